"""Why this part: runner-ups worked out by hand on the small system, and against trying everything on tiny jobs."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import replace

import pytest

from optimizer.catalogue import Battery, Cable, Catalogue, Content, Fuse, Offer
from optimizer.errors import InvalidInput
from optimizer.job import Bank, Job, Needs, Place, SuppliedLead
from optimizer.plan import Alternative, Circuit, Feed, Order, Plan
from optimizer.planner import plan, why_this
from optimizer.why_choices import ANEW, AS_IT_IS
from optimizer.why_held import Held
from optimizer.why_words import dearer, tie
from tests.builders import EXISTING, ORDERS, ROUTER, a_catalogue, a_job, a_plan
from tests.optimizer.brute_force import Design, TooMany, _Brute
from tests.optimizer.solve.rule_twins import AGM
from tests.optimizer.tiny import freed, tiny

BOOST = a_catalogue().parts[0]
BIG = replace(BOOST, id="big", max_out_w=90)
WEAK = replace(BOOST, id="weak", max_out_w=30)
THIN = Cable(id="thin", mm2=2.5, cores=2, ohm_per_km_20c=8, ampacity_a=30, insulation_c=90)


def one(part: str, cents: int) -> Offer:
    return Offer(id=f"o-{part}", seller="shop", price_cents=cents, contents=(Content(part=part, count=1),))


def spool(part: str, length_m: float, cents: int, name: str = "") -> Offer:
    content = Content(part=part, length_m=length_m)
    return Offer(id=name or f"o-{part}", seller="shop", price_cents=cents, contents=(content,))


def asked(job: Job, catalogue: Catalogue) -> dict[str, list[Alternative]]:
    found: dict[str, list[Alternative]] = {}
    for each in why_this(job, catalogue, plan(job, catalogue), time_limit_s=60):
        found.setdefault(each.subject, []).append(each)
    return found


def test_next_cheapest_converter_costs_what_it_is_dearer() -> None:
    (found,) = asked(a_job(), a_catalogue(BIG, offers=(one("big", 3840),)))["feed router"]
    assert (found.chosen, found.other, found.why, found.more_cents) == ("boost", "big", "price", 840)
    assert found.text == "Big would cost 8.40 more with everything else as it is."


def test_cheaper_converter_lacks_power() -> None:
    catalogue = a_catalogue(BIG, WEAK, offers=(one("big", 3840), one("weak", 2590)))
    _, found = asked(a_job(), catalogue)["feed router"]  # 36 W × 1.2 = 43.2 W
    assert (found.other, found.why, found.more_cents) == ("weak", "power", -410)
    assert "4.10 cheaper with everything else as it is, but it puts out 30 W and 43 W are asked" in found.text


def test_converter_that_more_than_the_figure_named_rules_out_is_not_called_cheaper() -> None:
    # with power enough it would still need 11.5 V at the end of the run, where 4 A over 0.2 Ω lose 0.8 V of 11.7 V
    picky = replace(WEAK, in_min_v=11.5)
    (found,) = asked(a_job(), a_catalogue(BIG, picky, offers=(one("big", 3840), one("weak", 2590))))["feed router"]
    assert (found.other, found.more_cents) == ("big", 840)


def test_cheaper_converter_of_too_low_a_voltage_is_priced_at_one_that_the_lead_leaves_enough_of() -> None:
    # 30 W at 18 V over 0.2 Ω leave 17.66 V of the 18 V needed; at 20 V 19.7 V
    low = replace(BOOST, id="low", out_v=16)
    catalogue = a_catalogue(BIG, low, offers=(one("big", 3840), one("low", 2590)))
    _, found = asked(a_job(router={"lead": SuppliedLead(loop_ohm=0.2), "peak_w": 30}), catalogue)["feed router"]
    assert (found.other, found.why, found.more_cents) == ("low", "voltage", -410)


def test_where_no_other_converter_does_the_nearest_says_why() -> None:
    found, cheaper = asked(a_job(), a_catalogue(WEAK, offers=(one("weak", 2590),)))["feed router"]
    assert (found.other, found.more_cents, found.why) == ("", None, "power")
    assert found.text.endswith(
        "in place of boost; weak, for one: it puts out 30 W and 43 W are asked, headroom included."
    )
    assert cheaper.more_cents == -410


def test_equal_price_is_decided_by_power() -> None:
    thrifty = replace(BOOST, id="thrifty", idle_w=1)  # 1 W × 24 h / 24 h × 1.05 less than 14.7 W
    (found,) = asked(a_job(), a_catalogue(thrifty, offers=(one("thrifty", 3000),)))["feed router"]
    assert (found.chosen, found.other, found.why, found.more_cents) == ("thrifty", "boost", "power", 0)
    assert "draws more: 14.7 W on average, not 13.7 W" in found.text  # 13.65 W


def test_equal_in_all_is_decided_by_the_stated_order() -> None:
    (found,) = asked(a_job(), a_catalogue(replace(BOOST, id="c"), offers=(one("c", 3000),)))["feed router"]
    assert (found.other, found.why, found.more_cents) == ("c", "order", 0)
    assert found.text.endswith("and is no better in anything else; then the stated order of parts decides.")


SOFTER = "between plans of one price the search stops early"


@pytest.mark.parametrize(
    ("average_w", "fuse", "orders", "told"),
    [
        pytest.param(14.8, "fuse5", 7, ("but draws more: 14.8 W on average, not 14.7 W", "power"), id="more power"),
        pytest.param(
            14.6, "fuse10", 8, (f"and draws less: 14.6 W on average, not 14.7 W; {SOFTER}", "search"), id="less power"
        ),
        pytest.param(14.7, "fuse10", 6, ("but has larger fuses: 15 A in all, not 10 A", "fuse"), id="larger fuses"),
        pytest.param(
            14.7, "fuse3", 8, (f"and has smaller fuses: 8 A in all, not 10 A; {SOFTER}", "search"), id="smaller fuses"
        ),
        pytest.param(14.7, "fuse5", 8, ("but takes 8 order lines, not 7", "order"), id="more lines"),
        pytest.param(14.7, "fuse5", 1, (f"and takes 1 order line, not 7; {SOFTER}", "search"), id="fewer lines"),
    ],
)
def test_every_order_of_ties_has_its_words(average_w: float, fuse: str, orders: int, told: tuple[str, str]) -> None:
    """In the order of planning rules 6, also where what came next would come first: ties are searched for so long."""
    fuses = [Fuse(id=f"fuse{a}", style="blade", rating_a=a, max_v=32, interrupt_a=1000) for a in (3, 10)]
    held = Held(a_job(), a_catalogue(*fuses, offers=tuple(one(each.id, 90) for each in fuses)), a_plan())
    other = a_plan(bank={"average_w": average_w}, c2={"fuse": fuse}, orders=(*ORDERS, ORDERS[0])[:orders])
    assert tie(held, other) == told


def test_thin_cable_is_cheaper_but_loses_too_much() -> None:
    # 20 m of it: 2 × 20 m × 8 Ω/km = 0.32 Ω, 4 A at the floor of 10.5 V, 1.2 V to spend. With it, 25 m for 30.00 and
    # 10 m of the other for 20.00 do instead of 30 m for 60.00.
    catalogue = a_catalogue(THIN, offers=(spool("thin", 25, 3000), spool("twin4", 10, 2000, "o-ten")))
    nothing, found, thinnest = asked(a_job(), catalogue)["conductor C2"]
    assert (nothing.other, nothing.why) == ("", "drop")
    assert (found.other, found.why, found.more_cents) == ("thin", "drop", -1000)
    assert "but it loses 1.28 V where 1.20 V are allowed" in found.text
    assert (thinnest.other, thinnest.why) == ("twin1", "drop")


def test_spools_that_too_many_lengths_could_be_cut_from_are_priced_too() -> None:
    # eleven runs of 5.5 to 9.2 m: hundreds of ways to cut a spool of 40 m, so that the model knows lengths only.
    # The first takes 11 half metres of 1 mm² at 0.40; a spool of 4 mm² for 60.00 instead
    catalogue = a_catalogue()
    offers = tuple(spool("twin4", 40, 6000, o.id) if o.id == "o-twin4" else o for o in catalogue.offers)
    places = tuple(Place(id=f"p{n:02}", run_m=round(5 + 0.37 * n, 2)) for n in range(11))
    loads = tuple(replace(ROUTER, id=f"r{n:02}", place=f"p{n:02}", peak_w=20) for n in range(11))
    job = replace(a_job(bus={"spare_ways": 11}, existing={"capacity_ah": 1000}), places=places, loads=loads)
    (found,) = asked(job, replace(catalogue, offers=offers))["conductor C1"]
    assert (found.chosen, found.other, found.more_cents) == ("twin1", "twin4", 6000 - 11 * 40)


def test_bank_there_is_would_be_cheaper_but_cannot_give_the_peak() -> None:
    # 42 W / 11.7 V + 21 W / 11.55 V = 5.41 A; the AGM gives enough of both with two of them
    job = a_job(bank=Bank(existing=replace(EXISTING, max_discharge_a=5), may_buy=True))
    large = replace(AGM, id="large", capacity_ah=100, max_discharge_a=50)
    _, found = asked(job, a_catalogue(large, offers=(one("large", 9000),)))["bank"]
    assert (found.other, found.why, found.more_cents) == ("the bank there is", "peak", -9000)
    assert "but it gives 5 A, and everything at peak draws 5.4 A" in found.text


@pytest.mark.parametrize(
    ("needs", "lead_ohm", "words"),
    [
        pytest.param((18, 20), 0, "which falls to 11.7 V, and the load needs 18 V", id="too low"),
        pytest.param((10, 13.5), 0, "which reaches 14 V, and the load takes 13.5 V", id="too high"),
        # 30 W at 11 V: 2.73 A, and 0.82 V of them over 0.3 Ω
        pytest.param((11, 20), 0.3, "and it needs 11.82 V at its place, lead included, and the bus falls", id="lead"),
    ],
)
def test_converter_that_passes_the_bus_on_misses_the_voltage(
    needs: tuple[float, float], lead_ohm: float, words: str
) -> None:
    tip = replace(BOOST, id="tip", out_v=None, efficiency=1, idle_w=0)
    low_v, high_v = needs
    needed, lead = Needs(form="dc-plug", min_v=low_v, max_v=high_v), SuppliedLead(loop_ohm=lead_ohm)
    catalogue = a_catalogue(tip, offers=(one("tip", 100),), boost={"out_v": high_v})
    (found, *_) = asked(a_job(router={"needs": needed, "lead": lead, "peak_w": 30}), catalogue)["feed router"]
    assert (found.other, found.why) == ("", "voltage")
    assert f"tip, for one: it passes the bus on, {words}" in found.text


def test_circuit_that_would_end_at_the_panel_is_told_by_its_feed() -> None:
    """With the same fuse and conductors there: neither is what came next to itself."""
    found = asked(*freed(120, boost=True))
    assert found["conductor C1"][0].other == found["fuse C1"][0].other == "up24 then weak, begun at the panel"


@pytest.mark.parametrize(("seed", "boost"), [(121, True), (112, False), (116, False)])
def test_what_came_next_never_reads_like_what_was_chosen(seed: int, boost: bool) -> None:
    """A spool of 5 m and five metres by the metre; a circuit to the place and one to the panel."""
    for subject, found in asked(*freed(seed, boost=boost, share=True)).items():
        assert not [each for each in found if each.other.casefold() == each.chosen.casefold()], subject


@pytest.mark.parametrize(
    ("capacity_ah", "idle_w", "words"),
    [
        pytest.param(73.4, 2, "gives 14.68 W on average for the 24 h asked, and 14.70 W are drawn", id="a hair"),
        # 2,000 W idle: (2,020 + 2,000) W × 12 h / 24 h + 2 W, × 1.05 = 2,112.6 W
        pytest.param(5000, 2000, "gives 1,000.0 W on average for the 24 h asked, and 2,112.6 W are drawn", id="much"),
    ],
)
def test_power_drawn_and_given_read_as_what_they_are(capacity_ah: float, idle_w: float, words: str) -> None:
    job = a_job(bank=Bank(existing=replace(EXISTING, capacity_ah=capacity_ah, max_discharge_a=900), may_buy=True))
    large = replace(AGM, id="large", capacity_ah=11_000, max_discharge_a=900)  # 0.2 W an Ah
    fuses = Fuse(id="fuse400", style="blade", rating_a=400, max_v=32, interrupt_a=1000)
    catalogue = a_catalogue(
        large, fuses, offers=(one("large", 9000), one("fuse400", 900)), boost={"idle_w": idle_w, "max_out_w": 90},
        twin4={"ohm_per_km_20c": 0.05, "ampacity_a": 900}, switch={"max_a": 500},
    )  # fmt: skip
    _, found = asked(replace(job, bus=replace(job.bus, way_max_a=400)), catalogue)["bank"]
    assert words in found.text


def test_bank_there_is_would_be_cheaper_but_does_not_last() -> None:
    battery = Battery(
        id="new", nominal_v=12, capacity_ah=100, usable_fraction=0.5, rated_hours=20, peukert=1, max_discharge_a=50,
        low_v=11.7, high_v=14, mass_kg=20,
    )  # fmt: skip
    weak = replace(EXISTING, capacity_ah=70)  # 0.5 × 70 Ah × 0.8 / 24 h × 12 V = 14 W of 14.7 W
    job = a_job()
    job = replace(job, bank=replace(job.bank, existing=weak, may_buy=True))
    runner_up, found = asked(job, a_catalogue(battery, offers=(one("new", 9000),)))["bank"]
    assert runner_up.more_cents == 9000 - 500  # two of them: 281.60 of goods are delivered free
    assert (found.other, found.why, found.more_cents) == ("the bank there is", "autonomy", -9000)
    assert "gives 14.0 W on average for the 24 h asked, and 14.7 W are drawn" in found.text


def test_fuse_says_which_others_do_not_do() -> None:
    fuses = [Fuse(id=f"fuse{a}", style="blade", rating_a=a, max_v=32, interrupt_a=1000) for a in (3, 25)]
    catalogue = a_catalogue(*fuses, offers=tuple(one(fuse.id, 90) for fuse in fuses))
    found = asked(a_job(limits={"fuse_ratio_max": 2}), catalogue)
    (router,) = found["fuse C2"]  # 4 A at the floor: 1.25 × 4 A = 5 A
    assert (router.why, router.more_cents) == ("fuse", None)
    assert "3 A is less than the 5.00 A that 4.00 A asks for; 25 A is more than 2 times the 4.00 A drawn" in router.text


def test_fuse_far_above_a_small_current_is_said_to_be_enough() -> None:
    # 1.25 × 0.39 A asks for less than the 5 A that is the smallest on offer; 2 × 0.39 A allows no fuse on offer
    fuse = Fuse(id="fuse25", style="blade", rating_a=25, max_v=32, interrupt_a=1000)
    catalogue = a_catalogue(fuse, offers=(one("fuse25", 90),))
    small = replace(ROUTER, peak_w=1.8, typical_w=1.8)  # (2 W + 1.8 W / 0.9) / 10.5 V
    job = a_job(limits={"fuse_ratio_max": 2})
    found = asked(replace(job, loads=(small, *job.loads[1:])), catalogue)
    (router,) = found["fuse C2"]
    assert "25 A is more than 2 times the " in router.text
    assert router.text.endswith(" A drawn, and 5 A is enough.")


def test_fuse_is_told_with_the_conductors_that_the_plan_lays() -> None:
    # two circuits to the desk: four loaded conductors, 20 A × 0.8 = 16 A
    fuse = Fuse(id="fuse25", style="blade", rating_a=25, max_v=32, interrupt_a=1000)
    catalogue = a_catalogue(fuse, offers=(one("fuse25", 90),), twin4={"ampacity_a": 20})
    second = replace(ROUTER, id="second", own_circuit=True)
    job = a_job(
        more_loads=(second,), bus={"spare_ways": 3}, existing={"capacity_ah": 400}, limits={"count_circuits": True}
    )
    (found,) = asked(job, catalogue)["fuse C2"]
    assert "25 A is too much for the conductors: 4 mm² carries 16.00 A with 4 conductors bundled at 30 °C" in found.text


def test_loads_on_circuits_of_their_own_take_another_run() -> None:
    twin = replace(ROUTER, id="second", peak_w=9, typical_w=9)
    catalogue = a_catalogue(
        Fuse(id="fuse10", style="blade", rating_a=10, max_v=32, interrupt_a=1000),
        Cable(id="thick", mm2=4, cores=2, ohm_per_km_20c=2, ampacity_a=40, insulation_c=90),
        offers=(one("fuse10", 100), spool("thick", 20, 5000)),
    )
    job = a_job(more_loads=(twin,), bus={"spare_ways": 3}, existing={"capacity_ah": 400})
    (found,) = asked(job, catalogue)["sharing C2"]
    assert found.chosen == "router and second on one circuit"
    assert found.other == "router on its own circuit, second on its own circuit"
    answer = plan(replace(job, loads=tuple(replace(load, own_circuit=True) for load in job.loads)), catalogue)
    before = plan(job, catalogue)
    assert answer.total_cents is not None
    assert before.total_cents is not None
    assert found.more_cents is not None
    assert found.more_cents >= answer.total_cents - before.total_cents > 0


@pytest.mark.parametrize(
    ("change", "why", "words"),
    [
        ({"quantity": 2, "cents": 400}, "pack", "it takes another 2 fuse5 from Shop"),
        ({}, "delivery", "5.00 more for delivery, from Far as well"),
    ],
)
def test_dearer_is_put_down_to_a_pack_or_a_delivery(change: dict[str, int], why: str, words: str) -> None:
    catalogue = a_catalogue()
    far = replace(catalogue.sellers[0], id="far", name="Far")
    catalogue = Catalogue(sellers=(*catalogue.sellers, far), parts=catalogue.parts, offers=catalogue.offers)
    before, more = a_plan(), 200 if change else 500
    delivery = replace(before.deliveries[0], seller="far", goods_cents=0)
    deliveries = before.deliveries if change else (*before.deliveries, delivery)
    orders: tuple[Order, ...] = tuple(replace(o, **change) if o.offer == "o-fuse5" else o for o in ORDERS)  # type: ignore[arg-type]
    after = replace(before, orders=orders, deliveries=deliveries, total_cents=10660 + more)
    assert dearer(catalogue, before, after) == (words, why)


def test_unfinished_search_is_compared_with_what_its_parts_could_cost() -> None:
    job, catalogue = a_job(), a_catalogue(BIG, offers=(one("big", 3840),))
    orders = tuple(replace(o, quantity=2, cents=600) if o.offer == "o-crimp" else o for o in ORDERS)  # a pack too many
    unfinished = replace(plan(job, catalogue), status="feasible", bound_cents=9000, total_cents=10960, orders=orders)
    found = {each.subject: each for each in why_this(job, catalogue, unfinished, time_limit_s=60)}
    assert (found["purchases"].why, found["purchases"].more_cents) == ("search", -300)
    assert (found["feed router"].why, found["feed router"].more_cents) == ("price", 840)


# -- bounds -------------------------------------------------------------------------------------------------------


def test_what_time_does_not_reach_is_said() -> None:
    job, catalogue, stop = a_job(), a_catalogue(BIG, offers=(one("big", 3840),)), threading.Event()
    answer = plan(job, catalogue)
    whole = why_this(job, catalogue, answer, time_limit_s=60)
    found = why_this(job, catalogue, answer, time_limit_s=60, on_progress=lambda _: stop.set(), stop=stop)
    assert {each.subject for each in found} == {each.subject for each in whole}
    assert found[0] == whole[0]
    assert {(each.why, each.text) for each in found[1:]} == {("time", "Not tried: the time was up.")}


@pytest.mark.parametrize(
    ("answer", "limit_s"),
    [
        (a_plan(), 0),
        (Plan(status="unknown", total_cents=None, bound_cents=None), 5),
        (a_plan(router={"stages": ("other",)}), 5),
        (a_plan(c1={"fuse": "other"}), 5),
        (a_plan(bank={"keep": False, "part": "other"}), 5),
        (replace(a_plan(), orders=(replace(ORDERS[0], offer="other"),)), 5),
    ],
)
def test_what_cannot_be_explained_is_refused(answer: Plan, limit_s: float) -> None:
    with pytest.raises(InvalidInput):
        why_this(a_job(), a_catalogue(), answer, time_limit_s=limit_s)


# -- against trying everything ------------------------------------------------------------------------------------


SEEDS = (
    0,
    1,
    2,
    5,
    6,
    7,
    8,
    10,
    12,
    13,
    16,
    17,
    18,
    19,
    20,
    21,
    23,
    24,
    25,
    27,
    28,
    29,
    31,
    33,
    34,
    35,
    37,
    38,
    40,
    43,
    44,
    48,
    50,
    52,
    53,
    55,
    56,
    59,
    61,
    63,
    65,
    67,
)  # with a plan, and few enough designs


class _Others(_Brute):
    """All designs that keep to a plan, but for one choice and for what may change with it."""

    def __init__(self, job: Job, catalogue: Catalogue, answer: Plan, subject: str, freed: str) -> None:
        super().__init__(job, catalogue)
        self.answer = answer
        self.kind, _, self.whose = subject.partition(" ")
        self.freed = freed

    def designs(self) -> Iterator[Design]:
        for design in super().designs():
            if self._is_other(design) and (self.freed == "all" or self._keeps(design)):
                yield design

    def _is_other(self, design: Design) -> bool:
        if self.kind in ("offer", "seller"):
            return True
        if self.kind == "bank":
            return _shape(design) != _shape(self.answer)
        if self.kind == "feed":
            old, new = self._feed(self.answer), self._feed(design)
            adds_only = bool(old.stages) and {*old.stages} <= {*new.stages}  # the same behind one stage more
            return old.source != new.source or not (adds_only or old.stages == new.stages)
        if self.kind == "lead":
            old, new = self._feed(self.answer), self._feed(design)
            return (old.source, old.stages) == (new.source, new.stages) and old.lead != new.lead
        wanted = next(c for c in self.answer.circuits if c.id == self.whose)
        same = next((c for c in design.circuits if set(c.loads) == set(wanted.loads)), None)
        if self.kind == "sharing":
            return same is None
        at = (0,) if self.kind == "conductor" else (1,)
        return same is None or any(self._parts(same)[n] != self._parts(wanted)[n] for n in at)

    def _feed(self, design: Design | Plan) -> Feed:
        return next(feed for feed in design.feeds if feed.load == self.whose)

    def _keeps(self, design: Design) -> bool:
        open_loads = self._open_loads()
        if self.kind != "bank" and _shape(design) != _shape(self.answer):
            return False
        before, after = _ways(self.answer), _ways(design)
        free_feeds = open_loads if self.freed == "place" else {self.whose} if self.kind in ("feed", "lead") else set()
        if any(before[load] != after[load] for load in before.keys() - free_feeds):
            return False
        return self._kept_circuits(self.answer, open_loads) == self._kept_circuits(design, open_loads)

    def _open_loads(self) -> set[str]:
        """Loads whose circuits may be others."""
        if self.kind in ("bank", "offer", "seller"):
            return set()
        circuit = next((c for c in self.answer.circuits if self.whose in (c.id, *c.loads)), None)
        loads = set(circuit.loads) if circuit else {self.whose}
        if self.freed == "own" and self.kind != "sharing":
            return loads
        places = {self.job.load_by_id[load].place for load in loads}
        return {load.id for load in self.job.loads if load.place in places}

    def _kept_circuits(self, design: Design | Plan, open_loads: set[str]) -> set[object]:
        found: set[object] = set()
        stays = self.freed == "own" and self.kind in ("conductor", "fuse")
        for circuit in design.circuits:
            if not set(circuit.loads) & open_loads:
                found.add((frozenset(circuit.loads), self._parts(circuit)))
            elif stays:
                found.add(frozenset(circuit.loads))
        return found

    def _parts(self, circuit: Circuit) -> tuple[tuple[str, ...], float]:
        return circuit.cable, self.catalogue.get(Fuse, circuit.fuse).rating_a


def _ways(design: Design | Plan) -> dict[str, object]:
    return {feed.load: (feed.source, feed.stages, feed.lead, feed.output_fuse) for feed in design.feeds}


def _shape(design: Design | Plan) -> object:
    bank = design.bank
    assert bank is not None
    return (bank.part, bank.series, bank.parallel)  # a kit more than it needs makes no other bank


@pytest.mark.parametrize("seed", SEEDS)
def test_runner_up_is_the_cheapest_by_trying_everything(seed: int) -> None:
    job, catalogue = tiny(seed)
    answer = plan(job, catalogue)
    assert answer.total_cents is not None
    compared = 0
    for each in why_this(job, catalogue, answer, time_limit_s=60):
        if (each.more_cents or 0) < 0:
            continue
        try:
            best = _Others(job, _without(catalogue, each.subject), answer, each.subject, _freed(each)).best()
        except TooMany:
            continue
        compared += 1
        more_cents = None if best is None else best.total_cents - answer.total_cents
        assert more_cents == each.more_cents, (seed, each)
    assert compared


def _without(catalogue: Catalogue, subject: str) -> Catalogue:
    """The catalogue without an offer or a seller's offers; as it is for other choices."""
    kind, _, whose = subject.partition(" ")
    left = tuple(o for o in catalogue.offers if whose != {"offer": o.id, "seller": o.seller}.get(kind))
    return Catalogue(sellers=catalogue.sellers, parts=catalogue.parts, offers=left)


def _freed(each: Alternative) -> str:
    """What may change with the choice, by what its sentence says."""
    if AS_IT_IS in each.text or each.subject.startswith("offer "):
        return "own"
    return "all" if ANEW in each.text or not each.other else "place"
