"""Buying, on the small system: its goods come to 10,160 cents, its delivery to 500."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from optimizer.catalogue import Catalogue, Content, Offer, Seller
from optimizer.checks import check_plan, failures
from optimizer.job import Job, Owned, SuppliedLead
from optimizer.plan import Plan
from optimizer.planner import plan
from tests.builders import a_catalogue, a_job
from tests.optimizer.checks.twins.twin import bought


def planned(catalogue: Catalogue, job: Job | None = None) -> Plan:
    answer = plan(job or a_job(), catalogue)
    assert answer.status == "optimal"
    assert failures(check_plan(job or a_job(), catalogue, answer)) == ()
    return answer


def ordered(answer: Plan) -> dict[str, int]:
    return {order.offer: order.quantity for order in answer.orders}


def offer(name: str, cents: int, *contents: Content, **terms: Any) -> Offer:
    return Offer(id=name, seller=terms.pop("seller", "shop"), price_cents=cents, contents=contents, **terms)


def test_small_system_costs_what_its_plan_says() -> None:
    assert planned(a_catalogue()).total_cents == 10660


# -- delivery ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("over_cents", "total_cents"),
    [
        pytest.param(10160, 10160, id="reached as it is"),
        pytest.param(10161, 10200, id="one more step of cable for 40 is cheaper than 500"),
        # 10,660 less 10,160: whatever fills 500 costs 500, and nothing cheaper does
        pytest.param(10660, 10660, id="filling costs as much as delivery"),
        pytest.param(10661, 10660, id="out of reach"),
    ],
)
def test_free_delivery_is_reached_with_surplus_where_that_is_cheaper(over_cents: int, total_cents: int) -> None:
    assert planned(a_catalogue(seller={"free_over_cents": over_cents})).total_cents == total_cents


@pytest.mark.parametrize(("over_cents", "labels"), [(10100, 2), (10101, 3), (10400, 5), (10501, 1)])
def test_more_than_enough_of_a_needed_thing_reaches_free_delivery(over_cents: int, labels: int) -> None:
    """Without the lead the goods come to 10,000; each further pack of labels adds 100, and delivery is 500."""
    plain = a_catalogue(seller={"free_over_cents": over_cents})
    dear = {"o-crimp": 600, "o-fuse5": 550, "o-switch": 550}  # dearer than delivery, so that only labels fill
    offers = tuple(replace(o, price_cents=dear.get(o.id, o.price_cents)) for o in plain.offers if o.id != "o-twin1")
    boost = offer("o-boost", 3000 - 800, Content(part="boost", count=1))
    offers = tuple(boost if o.id == "o-boost" else o for o in offers)
    job = a_job(lamp={"lead": SuppliedLead(loop_ohm=0.01)})
    answer = planned(replace(plain, offers=offers), job)
    assert ordered(answer)["o-label"] == labels
    assert answer.total_cents == (10500 if labels == 1 else 10000 + 100 * (labels - 1))


def test_free_delivery_is_reached_with_goods_that_nobody_needs() -> None:
    bead = offer("bead", 7, Content(part="red4", length_m=0.1))  # too short for any cut
    catalogue = a_catalogue(offers=(bead,), seller={"free_over_cents": 10180})
    answer = planned(catalogue)
    assert answer.total_cents == 10181  # three beads; a step of cable would be 40
    assert ordered(answer)["bead"] == 3


def test_dearer_offer_at_one_seller_saves_another_delivery() -> None:
    west = Seller(id="west", name="West", delivery_cents=300)
    cheap = offer("cheap-switch", 150, Content(part="switch", count=1), seller="west")
    plain = a_catalogue(offers=(cheap,))
    both = replace(plain, sellers=(*plain.sellers, west))
    assert planned(both).total_cents == 10660  # 150 + 300 is more than 400
    free = replace(plain, sellers=(*plain.sellers, replace(west, delivery_cents=240)))
    assert planned(free).total_cents == 10650


# -- packs, kits, stock -----------------------------------------------------------------------------------------------


def test_kit_is_bought_for_its_parts_together() -> None:
    kit = offer(
        "kit", 3500, Content(part="boost", count=1), Content(part="switch", count=1), Content(part="crimp", count=12)
    )
    assert planned(a_catalogue(offers=(kit,))).total_cents == 10660 - 3700 + 3500
    assert planned(a_catalogue(offers=(replace(kit, price_cents=3701),))).total_cents == 10660


def test_limit_of_an_offer_is_kept() -> None:
    single = offer("single", 10, Content(part="fuse5", count=1), limit=1)
    assert ordered(planned(a_catalogue(offers=(single,)))).get("o-fuse5") == 1
    assert ordered(planned(a_catalogue(offers=(replace(single, limit=2),)))).get("single") == 2


@pytest.mark.parametrize(
    ("count", "saved_cents"),
    [
        pytest.param(11, 0, id="one terminal short of a pack"),
        pytest.param(12, 300, id="the whole pack"),
    ],
)
def test_stock_saves_whole_packs_only(count: int, saved_cents: int) -> None:
    job = a_job(owned=(Owned(part="crimp", count=count),))
    assert planned(a_catalogue(), job).total_cents == 10660 - saved_cents


# -- cutting ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("spool_m", "spools"),
    [
        pytest.param(30, 1, id="20 m and 10 m from one"),
        pytest.param(29.999, 2, id="a millimetre short"),
        pytest.param(20, 2, id="one each"),
    ],
)
def test_cut_comes_whole_from_one_spool(spool_m: float, spools: int) -> None:
    plain = a_catalogue()
    spool = offer("o-twin4", 500, Content(part="twin4", length_m=spool_m))
    catalogue = replace(plain, offers=tuple(spool if o.id == "o-twin4" else o for o in plain.offers))
    assert ordered(planned(catalogue))["o-twin4"] == spools


@pytest.mark.parametrize(
    ("length_m", "total_cents"),
    [
        pytest.param(1.999, 10660, id="takes nothing"),
        pytest.param(2, 10500, id="takes the lead, 160 saved"),
        pytest.param(19.999, 10500, id="a run of 10 m, and the lead comes from what the spool has left"),
        pytest.param(20, 5460, id="takes the run of 20 m; the other is 10 m of 1 mm², 800 and not 6,000"),
        pytest.param(30, 4660, id="takes both runs"),
        pytest.param(32, 4500, id="takes both runs and the lead"),
    ],
)
def test_offcut_serves_only_what_fits_on_it(length_m: float, total_cents: int) -> None:
    job = a_job(owned=(Owned(part="twin4", length_m=length_m),))
    assert planned(a_catalogue(), job).total_cents == total_cents


def test_metre_length_holds_all_its_cuts_in_whole_steps() -> None:
    """20 m, 10 m and the lead of 2 m: 32 m / 0.7 m = 45.7; 46 steps of 40 are less than 43 and 160 for the lead."""
    metre = offer("metre", 40, Content(part="twin4", length_m=0.7), step_m=0.7)
    answer = planned(a_catalogue(offers=(metre,)))
    assert ordered(answer)["metre"] == 46
    assert [(cut.stock_mm, cut.left_mm) for cut in answer.cuts] == [(32200, 200)]


@pytest.mark.parametrize(
    ("step_m", "price_cents", "limit", "steps", "stock_mm"),
    [
        pytest.param(0.3048, 20, None, 105, 32004, id="105 feet: 32.004 m; 304 mm a step would ask for 106"),
        pytest.param(0.3048, 20, 105, 105, 32004, id="no more than 105 feet to be had"),
        pytest.param(0.1005, 5, None, 319, 32059, id="steps of 100.5 mm: 32.0595 m"),
        pytest.param(0.6666666666666666, 40, 48, 48, 32000, id="48 times two thirds of a metre: 32 m"),
    ],
)
def test_steps_are_rounded_to_millimetres_together(
    step_m: float, price_cents: int, limit: int | None, steps: int, stock_mm: int
) -> None:
    """Two runs and the lead take 32 m in one length (planning rules 1: multiples of step_m; 5; 9: cuts rounded up)."""
    metre = offer("metre", price_cents, Content(part="twin4", length_m=step_m), step_m=step_m, limit=limit)
    answer = planned(a_catalogue(offers=(metre,)))
    assert ordered(answer)["metre"] == steps
    assert [(cut.stock_mm, cut.left_mm) for cut in answer.cuts] == [(stock_mm, stock_mm - 32000)]
    assert not failures(answer.checks)


def test_singles_from_two_spools_make_a_run() -> None:
    red = offer("red", 900, Content(part="red4", length_m=30))
    black = offer("black", 1000, Content(part="black4", length_m=30))
    answer = planned(a_catalogue(offers=(red, black, bought("twin4"))))
    assert {circuit.cable for circuit in answer.circuits} == {("red4", "black4")}
    assert answer.total_cents == 10660 - 6000 + 1900
