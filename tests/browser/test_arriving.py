"""Pages over a thin line: what is in sight stays where it is while the rest comes."""

from __future__ import annotations

import pytest

from tests.browser.shifts import WATCH, moved
from tests.browser.site import DRIPPING


@pytest.fixture(scope="module")
def dripping(site):
    site.stop()
    site.start(DRIPPING)
    return site


@pytest.mark.parametrize("path", ["/plans/{plan}", "/jobs/{job}/loads", "/words"])
def test_the_head_of_a_page_does_not_move_while_it_arrives(phone, dripping, path):
    page = phone()
    page.add_init_script(WATCH)
    page.goto(dripping.origin + path.format(job=dripping.job, plan=dripping.plan))
    assert moved(page, ".case, .tape, .above") == []
