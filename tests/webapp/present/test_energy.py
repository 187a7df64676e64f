"""What a plan draws, beside today."""

from __future__ import annotations

from dataclasses import replace

import pytest

from optimizer.plan import Energy
from tests.builders import a_catalogue, a_job, a_plan
from webapp.present.energy import energy_view
from webapp.texts.figures import SPACE


@pytest.mark.parametrize(
    ("average_w", "said"),
    [
        pytest.param(12.0, "−72 Wh a day (20 % less)", id="less"),  # 3 W × 24 h, 3 of 15
        pytest.param(18.0, "+72 Wh a day (20 % more)", id="more"),
        pytest.param(15.0, "As much a day as today", id="as much"),
        pytest.param(15.0 + 1e-14, "As much a day as today", id="as much, but for binary fractions"),
    ],
)
def test_what_a_plan_draws_is_said_against_today(average_w, said):
    plan = replace(a_plan(), energy=Energy(average_w=average_w, today_average_w=15.0))
    told = energy_view(a_job(), a_catalogue(), plan).difference
    assert told.replace(SPACE, " ").startswith(said)
