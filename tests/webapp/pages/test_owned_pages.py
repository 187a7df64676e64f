"""What somebody has already: listed, added and taken off without scripts, and free of charge in the plan."""

from __future__ import annotations

import pytest

from webapp.services import catalogue, jobs


@pytest.fixture
def at_owned(browser, a_job):
    """A job with nothing on hand, its page of stock open."""
    job_id = a_job(owned=[])
    browser.open(f"/jobs/{job_id}/owned")
    return job_id


def a_part(kind):
    return next(part for part in catalogue.current().document["parts"] if part["kind"] == kind)


def owned(job_id):
    return jobs.get_job(job_id).document["owned"]


def test_an_offcut_is_added_by_its_length_as_people_type_it(browser, at_owned):
    browser.open(f"/jobs/{at_owned}/owned?kind=cable")
    page = browser.send("Add it", part=a_part("cable")["id"], length_m="15 ft")
    assert owned(at_owned) == [{"part": a_part("cable")["id"], "length_m": pytest.approx(4.572)}]  # 0.3048 m a foot
    assert "4.572 m" in page.words


def test_pieces_of_one_part_are_counted_together_and_offcuts_are_not(browser, at_owned):
    for kind, amount in (("fuse", {"count": "2"}), ("fuse", {"count": "3"}), ("cable", {"length_m": "4"})):
        browser.open(f"/jobs/{at_owned}/owned?kind={kind}")
        browser.send("Add it", part=a_part(kind)["id"], **amount)
    browser.open(f"/jobs/{at_owned}/owned?kind=cable")
    browser.send("Add it", part=a_part("cable")["id"], length_m="4")
    assert [entry.get("count") or entry["length_m"] for entry in owned(at_owned)] == [5, 4, 4]


@pytest.mark.parametrize(
    ("kind", "amount"),
    [("fuse", {"count": "0"}), ("fuse", {"count": "1.5"}), ("fuse", {"count": ""}), ("cable", {"length_m": "-2"})],
)
def test_an_amount_that_cannot_be_is_refused_beside_its_field_and_kept(browser, at_owned, kind, amount):
    browser.open(f"/jobs/{at_owned}/owned?kind={kind}")
    page = browser.send("Add it", part=a_part(kind)["id"], **amount)
    assert page.status == 422
    assert owned(at_owned) == []
    (name, text), *_ = amount.items()
    (box,) = [at for at in page.tagged("input") if at.get("name") == name]
    assert (box["value"], box["aria-invalid"]) == (text, "true")


def test_words_narrow_the_list(browser, at_owned):
    part = a_part("fuse")
    page = browser.open(f"/jobs/{at_owned}/owned?kind=fuse&words={part['id']}")
    assert page.form("Add it").choices["part"] == ["", part["id"]]
    assert "No part among" in browser.open(f"/jobs/{at_owned}/owned?kind=fuse&words=<b>none</b>").words


def test_what_is_removed_comes_back_by_undo(browser, at_owned):
    browser.open(f"/jobs/{at_owned}/owned?kind=fuse")
    browser.send("Add it", part=a_part("fuse")["id"], count="2")
    browser.send("Remove")
    assert owned(at_owned) == []
    browser.send("Undo")
    assert owned(at_owned) == [{"part": a_part("fuse")["id"], "count": 2}]


def test_the_page_of_limits_saves_before_it_leads_here(browser, at_owned):
    browser.open(f"/jobs/{at_owned}/limits")
    page = browser.send("Save, and list what I have", autonomy_h="7")
    assert page.path.endswith("/owned")
    assert jobs.get_job(at_owned).document["limits"]["autonomy_h"] == 7


def test_stock_of_a_part_that_is_gone_says_so_and_can_be_removed(browser, a_job):
    job_id = a_job(owned=[{"part": "gone-1", "count": 1}])
    page = browser.open(f"/jobs/{job_id}/owned")
    assert "gone-1" in page.words
    assert "Not in the catalogue any more" in page.words
    browser.open(f"/jobs/{job_id}/plan")
    blocked = browser.send("Find cheapest")
    assert f"/jobs/{job_id}/owned" in {href for href, _ in blocked.reader.links}
    browser.open(f"/jobs/{job_id}/owned")
    browser.send("Remove")
    assert owned(job_id) == []
