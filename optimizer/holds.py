"""How far each figure of a finished plan may go with all else unchanged, and which rule stops it there.

Found by putting the checks to changed lengths and powers, so that it knows no physics of its own. Who holds a plan can
then judge a changed length by comparison alone. Every figure is rounded down: against us.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from optimizer.catalogue import Catalogue
from optimizer.checks.circuits import check_circuits
from optimizer.checks.facts import PlanFacts, outlet_peak_w
from optimizer.checks.feeds import check_feeds
from optimizer.job import CutLead, Job, Load
from optimizer.plan import Check, Cut, Feed, Hold, Plan
from optimizer.units import FORGIVEN, cut_mm

RUN_STEP_M, LEAD_STEP_M, PEAK_STEP_W, HOURS_STEP, AVERAGE_STEP_W = 0.01, 0.01, 0.1, 0.1, 0.01
_MOST_RUN_M, _MOST_LEAD_M, _MOST_PEAK_W, _MOST_HOURS = 500.0, 100.0, 20_000.0, 8760.0  # as far as a job may go
_MOST_RULES = 3  # for one figure: the next ones matter to nobody
_NEAR = 8  # an edge is first looked for within this part of the figure as it is
_PIECE = "spool_not_overdrawn"
# What a plan states of itself changes with it, and the settled voltage says the same as the drop.
_FOLLOWS = frozenset(
    {
        "floor_recorded",
        "design_recorded",
        "settled_voltage_recorded",
        "settled_current_recorded",
        "settled_drop_recorded",
        "settled_voltage",
    }
)

MOST_LOADS = 40

Broken = Callable[[int], frozenset[str]]  # the rules broken so many steps from nothing


def with_holds(job: Job, catalogue: Catalogue, plan: Plan) -> Plan:
    """A sound plan with, beside every circuit, feed and its bank, how far their figures hold.

    Beyond MOST_LOADS at one place, where many may hang on one circuit and be asked about each time, none is given.
    """
    if any(sum(load.place == place.id for load in job.loads) > MOST_LOADS for place in job.places):
        return plan
    facts = PlanFacts(job=job, catalogue=catalogue, plan=plan)
    apart = {c.id: _Apart(facts, [f for f in plan.feeds if f.circuit == c.id]) for c in plan.circuits}
    circuits = tuple(replace(c, holds=tuple(apart[c.id].of_circuit())) for c in plan.circuits)
    feeds = []
    for feed in plan.feeds:
        system = _Apart(facts, [feed]) if feed.circuit is None else apart[feed.circuit]
        feeds.append(replace(feed, holds=tuple(system.of_feed(feed))))
    bank = None if plan.bank is None else replace(plan.bank, holds=tuple(_of_bank(facts)))
    return replace(plan, circuits=circuits, feeds=tuple(feeds), bank=bank)


def _limits(field: str, ask: Broken, now: float, step: float, most: float) -> Iterator[Hold]:
    """For the first few rules that stop a figure on its way up, how far it may go; the nearest first."""
    known: dict[int, frozenset[str]] = {}

    def broken(n: int) -> frozenset[str]:
        if n not in known:
            known[n] = ask(n)
        return known[n]

    low, high = math.floor(now / step + 1e-6), math.floor(most / step)
    ignored = broken(low)  # what is broken from the start is not for us to say
    for _ in range(_MOST_RULES):
        if low >= high or not broken(high) - ignored:
            return
        good = max(n for n in known if n < high and not known[n] - ignored)
        bad = min(n for n in known if n > good and known[n] - ignored)
        low, bad = _edge(lambda n: bool(broken(n) - ignored), good, bad)  # noqa: B023  # used at once
        stops = sorted(broken(bad) - ignored)
        yield Hold(field=field, most=max(now, round(low * step, 6)), rule=stops[0])
        ignored |= frozenset(stops)


def _edge(is_broken: Callable[[int], bool], good: int, bad: int) -> tuple[int, int]:
    """The last number that is not broken and the one after it, between one of each. Near ones come soon."""
    stride = max(1, good // _NEAR)
    while bad - good > 1:
        n = min(good + stride, (good + bad) // 2)
        good, bad = (good, n) if is_broken(n) else (n, bad)
        stride *= 4
    return good, bad


class _Apart:
    """Feeds of one circuit, or one at the outlet: a small system with what it needs to know of the rest.

    The circuits beside it are as they are: they count in how many conductors lie bundled along the run.
    """

    def __init__(self, facts: PlanFacts, feeds: Sequence[Feed]) -> None:
        self._facts = facts
        names = {feed.load for feed in feeds}
        loads = tuple(load for load in facts.job.loads if load.id in names)
        self._place_id = loads[0].place
        self._job = replace(
            facts.job,
            places=tuple(
                replace(place, bundled=facts.bundled(place)) if place.id == self._place_id else place
                for place in facts.job.places
            ),
        )
        on = {feed.circuit for feed in feeds}
        self._here = replace(
            facts.plan, circuits=tuple(c for c in facts.plan.circuits if c.id in on), feeds=tuple(feeds)
        )
        self._loads = loads
        others = [feed for feed in facts.feeds if feed.load.id not in names]
        self._others_a = math.fsum(feed.current_a(self._job.bus.low_v) for feed in others if feed.from_bus)
        self._others_outlet = [feed for feed in others if not feed.from_bus]
        self._others_w = facts.average_w - self._as_is(loads).average_w

    # -- runs -----------------------------------------------------------------------------------------------------

    def of_circuit(self) -> Iterator[Hold]:
        """How long the run to its place may be: by its own rules, and by the pieces that are there to be cut."""
        now_m = self._job.place_by_id[self._place_id].run_m

        yield from _limits("run_m", lambda n: self._run(n * RUN_STEP_M), now_m, RUN_STEP_M, _MOST_RUN_M)

    def _run(self, run_m: float) -> frozenset[str]:
        """Rules broken by a run of such a length."""
        run_m = max(run_m, RUN_STEP_M)
        places = tuple(replace(p, run_m=run_m) if p.id == self._place_id else p for p in self._job.places)
        facts = self._changed(replace(self._job, places=places, loads=self._loads))
        subjects = {c.subject for c in facts.circuits} | {f.subject for f in facts.feeds}
        piece = {_PIECE} if self._is_overdrawn(run_m) else set()
        return _failed([*check_feeds(facts), *check_circuits(facts)], subjects) | piece

    def _is_overdrawn(self, run_m: float) -> bool:
        """Whether the pieces for a longer run do not come out of what they are cut from."""
        now_m, slack_m = self._job.place_by_id[self._place_id].run_m, self._job.limits.slack_m
        more_mm = cut_mm(run_m + slack_m) - cut_mm(now_m + slack_m)
        to_place = {
            c.circuit.id for c in self._facts.circuits if c.circuit.place == self._place_id and not c.ends_at_panel
        }
        boosted = {load.id for load in self._job.loads if load.place == self._place_id}
        return any(
            more_mm * sum(piece.circuit in to_place or piece.run in boosted for piece in cut.pieces) > cut.left_mm
            for cut in self._facts.plan.cuts
        )

    # -- feeds ----------------------------------------------------------------------------------------------------

    def of_feed(self, feed: Feed) -> Iterator[Hold]:
        """The highest peak of its load, and the longest lead where one is cut."""
        load = self._job.load_by_id[feed.load]
        yield from _limits(
            "peak_w", lambda n: self._peak(load, n * PEAK_STEP_W), load.peak_w, PEAK_STEP_W, _MOST_PEAK_W
        )
        lead = load.lead
        if isinstance(lead, CutLead) and feed.lead is not None:
            yield from _limits(
                "length_m", lambda n: self._lead(load, n * LEAD_STEP_M), lead.length_m, LEAD_STEP_M, _MOST_LEAD_M
            )

    def _peak(self, load: Load, peak_w: float) -> frozenset[str]:
        peak_w = max(peak_w, load.typical_w, PEAK_STEP_W)
        return self._with_load(replace(load, peak_w=peak_w))

    def _lead(self, load: Load, length_m: float) -> frozenset[str]:
        assert isinstance(load.lead, CutLead)
        slack_m, now_m = self._job.limits.slack_m, load.lead.length_m
        more_mm = cut_mm(length_m + slack_m) - cut_mm(now_m + slack_m)
        piece = {_PIECE} if _grows_beyond(self._facts.plan.cuts, load.id, more_mm) else set()
        return self._with_load(replace(load, lead=replace(load.lead, length_m=max(length_m, LEAD_STEP_M)))) | piece

    def _with_load(self, load: Load) -> frozenset[str]:
        loads = tuple(load if each.id == load.id else each for each in self._loads)
        facts = self._as_is(loads)
        return _failed([*check_feeds(facts), *check_circuits(facts)], None) | self._bank(facts)

    # -- the rest of the system -----------------------------------------------------------------------------------

    def _as_is(self, loads: tuple[Load, ...]) -> PlanFacts:
        return self._changed(replace(self._job, loads=loads))

    def _changed(self, job: Job) -> PlanFacts:
        return PlanFacts(job=job, catalogue=self._facts.catalogue, plan=self._here)

    def _bank(self, facts: PlanFacts) -> frozenset[str]:
        """Rules of bank and outlet broken with the rest of the loads as they are."""
        store, ac, broken = self._facts.battery or self._job.bank.existing, self._job.ac, set()
        outlet = [*self._others_outlet, *facts.ac_feeds]
        peak_a = self._others_a + math.fsum(feed.current_a(self._job.bus.low_v) for feed in facts.bus_feeds)
        if ac is not None and outlet:
            outlet_w = outlet_peak_w(outlet)
            peak_a += (outlet_w / ac.efficiency + ac.idle_w) / self._job.bus.low_v
            if _above(outlet_w, ac.max_w):
                broken.add("ac_peak")
        if store is not None and _above(peak_a, self._facts.bank.parallel * store.max_discharge_a):
            broken.add("bank_peak")
        if self._facts.kit is not None and _above(peak_a, self._facts.kit.max_a):
            broken.add("bank_kit_current")
        if _above(self._others_w + facts.average_w, self._facts.available_w):
            broken.add("autonomy")
        return frozenset(broken)


def _grows_beyond(cuts: Sequence[Cut], load_id: str, more_mm: int) -> bool:
    return any(more_mm * sum(piece.lead == load_id for piece in cut.pieces) > cut.left_mm for cut in cuts)


def _failed(checks: Sequence[Check], subjects: set[str] | None) -> frozenset[str]:
    """Rules that fail, of some subjects or of all."""
    return frozenset(
        check.rule
        for check in checks
        if check.state == "fails" and check.rule not in _FOLLOWS and (subjects is None or check.subject in subjects)
    )


def _above(value: float, limit: float) -> bool:
    return not value <= limit + FORGIVEN * max(abs(value), abs(limit))


# -- bank ---------------------------------------------------------------------------------------------------------


def _of_bank(facts: PlanFacts) -> Iterator[Hold]:
    """How long the bank lasts with what the plan takes, and how much it may take for the hours asked."""
    job, average_w = facts.job, facts.average_w

    def broken(steps: int) -> frozenset[str]:
        limits = replace(job.limits, autonomy_h=max(steps, 1) * HOURS_STEP)
        longer = PlanFacts(job=replace(job, limits=limits), catalogue=facts.catalogue, plan=facts.plan)
        return frozenset({"autonomy"}) if _above(average_w, longer.available_w) else frozenset()

    yield from _limits("autonomy_h", broken, job.limits.autonomy_h, HOURS_STEP, _MOST_HOURS)
    most_w = math.floor(facts.available_w / AVERAGE_STEP_W) * AVERAGE_STEP_W
    yield Hold(field="average_w", most=max(facts.bank.average_w, round(most_w, 6)), rule="autonomy")
