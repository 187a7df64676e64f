"""How long the bank there is lasts, by hand; the small system has 0.5 × 100 Ah × 0.8 × 12 V = 480 Wh."""

from __future__ import annotations

from dataclasses import replace

import pytest

from optimizer.job import AcOutlet, Brick
from optimizer.lasting import hours_on_outlet, may_last
from tests.builders import EXISTING, a_job

OUTLET = AcOutlet(efficiency=0.8, idle_w=6, on_hours_per_day=24, max_w=50)
BRICK = Brick(efficiency=0.9, idle_w=1)


def test_bank_lasts_by_what_outlet_and_other_loads_take() -> None:
    # router ((18 W / 0.9 + 1 W) × 12 h + 1 W × 12 h) / 24 h / 0.8 = 13.75 W, inverter 6 W, lamp 2 W × 1.05 / 0.7 = 3 W
    hours = hours_on_outlet(a_job(ac=OUTLET, router={"brick": BRICK}))
    assert hours == pytest.approx(480 / 22.75)


@pytest.mark.parametrize(
    ("outlet", "brick"),
    [
        (None, BRICK),
        (OUTLET, None),
        (replace(OUTLET, max_w=40), BRICK),  # 36 W / 0.9 + 1 W
    ],
)
def test_nothing_is_told_where_not_every_load_can_be_on_the_outlet(
    outlet: AcOutlet | None, brick: Brick | None
) -> None:
    assert hours_on_outlet(a_job(ac=outlet, router={"brick": brick})) is None


def test_bank_may_last_as_long_as_the_loads_alone_leave_it() -> None:
    # 18 W × 12 h / 24 h + 12 W × 4 h / 24 h = 11 W
    assert may_last(a_job(), EXISTING, 480 / 11 - 0.01)
    assert not may_last(a_job(), EXISTING, 480 / 11 + 0.01)
