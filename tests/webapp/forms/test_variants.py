"""Variants of a job: only what differs from it and can matter, with figures worked out by hand.

The one load draws 18 W behind its adapter (80 %) and the inverter (90 %): 25 W; the inverter idles at 9 W; so 34 W.
The bank gives 0.5 × 0.85 × 101.4 Ah = 43.1 Ah, at 34 W / 12 V = 2.83 A for 15.2 h.
"""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

import pytest

from optimizer.plan import Energy, Feed, Plan, PlanBank
from webapp import schemas
from webapp.forms.variants import variants

CASES = Path(__file__).parents[2] / "cases"
BANK = {
    "nominal_v": 12,
    "capacity_ah": 101.4,
    "usable_fraction": 0.5,
    "rated_hours": 20,
    "peukert": 1,
    "max_discharge_a": 60,
}
AC = {"efficiency": 0.9, "idle_w": 9, "on_hours_per_day": 24, "max_w": 300}
BRICKED = {"peak_w": 20, "typical_w": 18, "hours_per_day": 24, "brick": {"efficiency": 0.8, "idle_w": 0}}


@pytest.fixture(scope="module")
def catalogue():
    return schemas.read_catalogue(json.loads((CASES / "catalogue-3.json").read_text())).value


def a_document(**changes: Any) -> dict[str, Any]:
    document = copy.deepcopy(json.loads((CASES / "case-062.json").read_text())["job"])
    document["loads"] = [document["loads"][0] | BRICKED]
    document["bank"] = {"existing": BANK, "may_buy": False}
    document["ac"] = AC
    document["limits"] |= {"bank_derate": 0.85, "autonomy_h": 24}
    return document | changes


def limited(document, **limits):
    return document | {"limits": document["limits"] | limits}


def a_plan(source="bus", *, keep=True, average_w=20.0, **changes):
    feed = Feed(load="L0", source=source, circuit=None, stages=(), lead=None)
    part = None if keep else "BAT-agm-100"
    bank = PlanBank(keep=keep, part=part, series=1, parallel=1, average_w=average_w, available_w=30)
    energy = Energy(average_w=average_w, today_average_w=None)
    values = {"status": "optimal", "total_cents": 1, "bound_cents": 1, "feeds": (feed,), "bank": bank, "energy": energy}
    return Plan(**values | changes)


IMPOSSIBLE = Plan(status="infeasible", total_cents=None, bound_cents=None)


def offered(document, catalogue, plan=None):
    return {each.key: each.document for each in variants(document, catalogue, plan)}


def test_inverter_is_kept_for_as_many_half_hours_as_the_bank_gives(catalogue):
    kept = offered(a_document(), catalogue)["inverter"]
    assert kept == limited(a_document(), autonomy_h=15.0)


@pytest.mark.parametrize(
    ("document", "plan"),
    [
        pytest.param(a_document(ac=AC | {"max_w": 24}), None, id="too weak: 25 W at peak"),
        pytest.param(a_document(bank={"may_buy": True}), None, id="no bank yet"),
        pytest.param(limited(a_document(), autonomy_h=15), None, id="lasts as long as asked"),
        pytest.param(a_document(), a_plan("ac"), id="stays there as it is"),
    ],
)
def test_inverter_is_not_offered_where_it_makes_no_difference_or_cannot_be(catalogue, document, plan):
    assert "inverter" not in offered(document, catalogue, plan)


def test_inverter_just_strong_enough_is_kept(catalogue):
    assert "inverter" in offered(a_document(ac=AC | {"max_w": 25}), catalogue)


def test_a_load_without_an_adapter_costs_hours(catalogue):
    document = a_document()
    document["loads"] = [*document["loads"], document["loads"][0] | {"id": "L1", "brick": None, "typical_w": 7}]
    del document["loads"][1]["brick"]
    # 7 W × 1.03 / 0.7 = 10.3 W more: 43.1 Ah / (44.3 W / 12 V) = 11.7 h
    assert offered(document, catalogue)["inverter"]["limits"]["autonomy_h"] == 11.5


def test_doing_without_the_inverter_leaves_all_else(catalogue):
    direct = offered(a_document(), catalogue, a_plan("ac"))["direct"]
    assert direct == {name: value for name, value in a_document().items() if name != "ac"}
    assert "direct" not in offered(a_document(), catalogue, a_plan("bus"))
    assert "direct" not in offered(a_document(), catalogue, IMPOSSIBLE)


def test_other_volts_take_a_new_bank_and_leave_the_inverter(catalogue):
    document = a_document(assumed=["ac/idle_w", "bank/existing/peukert", "bus/low_v", "limits/slack_m"])
    other = offered(document, catalogue)["volts-24"]
    assert other["bank"] == {"may_buy": True}
    assert "ac" not in other
    # scaled, 23 to 29.4 V holds no battery on offer but two of 12 V: 2 × 11.5 and 2 × 14.7 V
    assert other["bus"] == document["bus"] | {"nominal_v": 24, "low_v": 23.0, "high_v": 29.4, "fault_a": 3000}
    assert sorted(other["assumed"]) == ["bus/fault_a", "bus/high_v", "bus/low_v", "limits/slack_m"]


def test_volts_above_the_ceiling_are_never_offered(catalogue):
    bus = a_document()["bus"] | {"nominal_v": 24, "low_v": 23, "high_v": 31.2}  # doubled, 62.4 V
    document = a_document(bus=bus, bank={"existing": BANK | {"nominal_v": 24}, "may_buy": False})
    found = offered(document, catalogue)
    assert {"volts-12", "volts-48"} <= found.keys()
    assert found["volts-12"]["bus"]["fault_a"] == 1500  # fewer volts: not counted on
    assert found["volts-48"]["bus"]["high_v"] <= 60


def test_volts_for_which_nobody_sells_a_battery_are_not_offered(catalogue):
    document = a_document(bus=a_document()["bus"] | {"nominal_v": 48, "low_v": 48, "high_v": 58.4})
    document["bank"] = {"existing": BANK | {"nominal_v": 48}, "may_buy": False}
    assert "volts-24" in offered(document, catalogue)
    batteries = {part.id for part in catalogue.parts if part.kind == "battery"}
    offers = tuple(each for each in catalogue.offers if not batteries & {content.part for content in each.contents})
    bare = type(catalogue)(sellers=catalogue.sellers, parts=catalogue.parts, offers=offers)
    assert not {"volts-24", "new-bank"} & offered(document, bare).keys()


def test_a_bank_there_is_replaced_or_kept_whichever_the_plan_does_not(catalogue):
    assert offered(a_document(), catalogue, a_plan())["new-bank"]["bank"] == {"may_buy": True}
    may_buy = a_document(bank={"existing": BANK, "may_buy": True})
    bought = offered(may_buy, catalogue, a_plan(keep=False))
    assert bought["old-bank"]["bank"] == {"existing": BANK, "may_buy": False}
    assert "new-bank" not in bought
    # 18 W for 36 h are 648 Wh, the bank gives 517 Wh: it could not be kept
    assert "old-bank" not in offered(limited(may_buy, autonomy_h=36), catalogue, a_plan(keep=False))
    assert "new-bank" not in offered(may_buy, catalogue, IMPOSSIBLE)  # a new one was allowed


def test_a_night_longer_only_where_the_plan_does_not_last_it_anyway(catalogue):
    document = a_document(bank={"existing": BANK | {"capacity_ah": 300}, "may_buy": False})
    assert offered(document, catalogue)["longer"] == limited(document, autonomy_h=36)
    # 127.5 Ah at 40 W, 3.33 A, are 38.3 h; at 60 W, 5 A, 25.5 h
    assert "longer" not in offered(document, catalogue, a_plan(average_w=40))
    assert "longer" in offered(document, catalogue, a_plan(average_w=60))
    assert "longer" not in offered(document, catalogue, IMPOSSIBLE)


def test_a_night_longer_that_no_feed_could_hold_is_not_offered(catalogue):
    assert "longer" not in offered(a_document(), catalogue)  # 648 Wh of 517
    assert "longer" in offered(a_document(bank={"existing": BANK, "may_buy": True}), catalogue)


def test_a_night_less_where_hours_made_the_plan_dearer(catalogue):
    no_outlet = {name: value for name, value in a_document().items() if name != "ac"}
    assert offered(no_outlet, catalogue, IMPOSSIBLE)["shorter"] == limited(no_outlet, autonomy_h=12)
    assert "shorter" not in offered(a_document(), catalogue)  # the inverter kept for 15 h says it
    assert "shorter" not in offered(a_document(), catalogue, a_plan("ac"))
    assert "shorter" not in offered(limited(no_outlet, autonomy_h=12), catalogue)  # no hours left


def test_freedoms_are_offered_until_both_are_taken(catalogue):
    both = {"share_stages": True, "boost_at_panel": True}
    assert offered(a_document(), catalogue)["freedoms"] == limited(a_document(), **both)
    one = limited(a_document(), share_stages=True)
    assert offered(one, catalogue)["freedoms"] == limited(one, **both)
    assert "freedoms" not in offered(limited(a_document(), **both), catalogue)
    assert "freedoms" not in offered(a_document(), catalogue, IMPOSSIBLE)  # its ways out have tried them


def test_what_is_changed_is_assumed_no_more(catalogue):
    document = a_document(assumed=["limits/autonomy_h", "/limits/slack_m"])
    assert offered(document, catalogue)["inverter"]["assumed"] == ["/limits/slack_m"]


def test_a_job_that_cannot_be_planned_yet_has_none(catalogue):
    assert variants(a_document(loads=[]), catalogue, None) == ()


def test_the_job_itself_is_never_touched(catalogue):
    document = a_document(assumed=["bus/low_v"])
    before = copy.deepcopy(document)
    variants(document, catalogue, None)
    assert document == before
