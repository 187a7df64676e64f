"""A finished plan held as it is, but for what a question leaves open: the model solved again around it."""

from __future__ import annotations

import math
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from ortools.sat.python import cp_model

from optimizer.catalogue import Catalogue
from optimizer.checks import check_plan, failures
from optimizer.checks.facts import PlanFacts
from optimizer.errors import InvalidInput
from optimizer.feeds import FeedOption
from optimizer.job import Job, Load
from optimizer.plan import Circuit, Feed, Plan
from optimizer.solve.banks import BankOption
from optimizer.solve.circuits import Circuit as Candidate
from optimizer.solve.engine import new_solver, solve
from optimizer.solve.instance import Instance, build
from optimizer.solve.model import PlanModel, build_model
from optimizer.solve.readout import read_plan
from optimizer.solve.rules import average_terms, most_average
from optimizer.solve.search import Search, Solved
from optimizer.solve.variables import Var, total
from optimizer.units import AGAINST_US, WITH_US

NO_ROWS: Callable[[PlanModel], None] = lambda _: None  # noqa: E731


@dataclass(frozen=True, slots=True, kw_only=True)
class Freed:
    """What is not held as planned."""

    feeds: frozenset[str] = frozenset()  # loads
    circuits: frozenset[str] = frozenset()  # loads whose circuits are laid anew among themselves
    parts_of: frozenset[str] = frozenset()  # circuits whose loads stay, whatever their conductors and fuse
    bank: bool = False


class Held:
    """A job, its instance and its plan."""

    def __init__(self, job: Job, catalogue: Catalogue, plan: Plan) -> None:
        """Raises InvalidInput: the plan is not one of this job and catalogue."""
        self.instance = build(job, catalogue)
        self.plan = plan
        self.feeds: dict[str, Feed] = {feed.load: feed for feed in plan.feeds}
        if not self._knows_all():
            raise _another_plan()
        self.options = {load.id: self._option(load) for load in self.instance.loads}
        self.bank = self._bank()
        self.baseline = plan  # what other plans are compared with

    def _knows_all(self) -> bool:
        """Whether the plan names nothing that this job and catalogue lack."""
        catalogue, plan = self.catalogue, self.plan
        parts = [part for circuit in plan.circuits for part in (*circuit.cable, circuit.fuse)]
        hung = sorted(load for circuit in plan.circuits for load in circuit.loads)
        return (
            self.feeds.keys() == self.job.load_by_id.keys()
            and hung == sorted(feed.load for feed in plan.feeds if feed.source == "bus")
            and all(part in catalogue for part in parts)
            and all(order.offer in catalogue.offer_by_id for order in plan.orders)
            and all(delivery.seller in catalogue.seller_by_id for delivery in plan.deliveries)
            and all(circuit.place in self.job.place_by_id for circuit in plan.circuits)
        )

    @property
    def job(self) -> Job:
        return self.instance.job

    @property
    def catalogue(self) -> Catalogue:
        return self.instance.catalogue

    def circuit_of(self, load: str) -> Circuit | None:
        """The circuit that a load hangs on; None on the AC outlet."""
        return next((circuit for circuit in self.plan.circuits if load in circuit.loads), None)

    def bundled(self, circuit: Circuit) -> int:
        """Loaded conductors bundled along the run of a circuit, as the plan lays them."""
        facts = PlanFacts(job=self.job, catalogue=self.catalogue, plan=self.plan)
        return facts.bundled(self.job.place_by_id[circuit.place])

    def place_mates(self, loads: tuple[str, ...]) -> frozenset[str]:
        """Every load at the places of some loads."""
        places = {self.job.load_by_id[load].place for load in loads}
        return frozenset(load.id for load in self.job.loads if load.place in places)

    @cached_property
    def everything(self) -> Freed:
        every = frozenset(self.options)
        return Freed(feeds=every, circuits=every, bank=True)

    # -- solving --------------------------------------------------------------------------------------------------

    def cheapest(
        self,
        freed: Freed,
        *,
        rows: Callable[[PlanModel], None] = NO_ROWS,
        others: Mapping[str, list[FeedOption]] | None = None,
        instance: Instance | None = None,
        is_real: bool = True,
        time_limit_s: float,
        stop: threading.Event | None = None,
    ) -> Plan:
        """The cheapest plan with all held but what is freed. Sums are rounded as for the plan itself (`cheapest_plan`).

        Args:
            rows: Adds what the question forbids or asks for.
            others: By load: the feeds it may have instead of those that are known.
            instance: Candidates other than the job's own.
            is_real: False where a part is priced as if it were better than it is, which no check would let pass.
        """
        around = self._narrowed(instance or self.instance, freed, others or {})
        found = self._solved(replace(around, rounding=WITH_US), freed, rows, time_limit_s, stop)
        if not is_real or not found.has_answer or not failures(check_plan(self.job, self.catalogue, found)):
            return found
        try:  # over some limit by a hair
            return self._solved(replace(around, rounding=AGAINST_US), freed, rows, time_limit_s, stop)
        except InvalidInput:  # what is held meets a limit exactly
            return _nothing("unknown")

    def _solved(
        self,
        around: Instance,
        freed: Freed,
        rows: Callable[[PlanModel], None],
        time_limit_s: float,
        stop: threading.Event | None,
    ) -> Plan:
        built = build_model(around)
        self._hold(built, freed)
        rows(built)
        if built.bought.cutting.by_length:  # what is chosen has still to be cut
            solved = Search(built, time_limit_s, None, stop, by_price_alone=True).run()
        else:
            solved = _cheapest(built, time_limit_s, stop)
        if solved.total_cents is not None and solved.total_cents == self.baseline.total_cents:
            solved = Search(built, time_limit_s, None, stop).run()  # equal prices: only now do the tie-breaks matter
        if solved.status in ("infeasible", "unknown"):
            return _nothing(solved.status)
        return read_plan(around, built, solved)

    def _narrowed(self, instance: Instance, freed: Freed, others: Mapping[str, list[FeedOption]]) -> Instance:
        """Only the candidates that may still be chosen: such a model is small."""
        options, boosted = dict(instance.options), dict(instance.boosted)
        for load, chosen in self.options.items():
            if load in others:
                options[load] = [option for option in others[load] if option.run is None]
                boosted[load] = [option for option in others[load] if option.run is not None]
            elif load not in freed.feeds:
                kept = [chosen] if chosen is not None else []
                options[load] = [option for option in kept if option.run is None]
                boosted[load] = [option for option in kept if option.run is not None]
        banks = instance.banks if freed.bank else [self.bank]
        return replace(instance, options=options, boosted=boosted, banks=banks)

    def _hold(self, built: PlanModel, freed: Freed) -> None:
        for load in self.instance.loads:
            if load.id not in freed.feeds:
                for var in built.v.ac(load):
                    built.cp.add(var == int(self.options[load.id] is None))
        for circuit in self.plan.circuits:
            if not freed.circuits & set(circuit.loads):
                self._lay(built, circuit)
                if circuit.id not in freed.parts_of:
                    self._hold_parts(built, circuit)

    def _lay(self, built: PlanModel, circuit: Circuit) -> None:
        """Lays a circuit with just its loads, whatever its conductors and fuse."""
        candidate = self.candidate(built, circuit)
        if candidate.is_whole:
            built.cp.add(sum(built.v.opened(candidate)) == 1)
            return
        for load in candidate.members:
            joined = built.v.joined(load, candidate)
            if joined:
                built.cp.add(sum(joined) == int(load.id in circuit.loads))

    def candidate(self, built: PlanModel, circuit: Circuit) -> Candidate:
        """The model's own circuit. Raises InvalidInput: there is none."""
        at_panel = circuit.run_m is not None
        for candidate in built.v.circuits:
            names = tuple(load.id for load in candidate.members)
            is_it = names == circuit.loads if candidate.is_whole else names[0] == circuit.loads[0]
            if is_it and candidate.at_panel == at_panel:
                return candidate
        raise _another_plan()

    def _hold_parts(self, built: PlanModel, circuit: Circuit) -> None:
        candidate = self.candidate(built, circuit)
        built.cp.add(sum(self.pair_vars(built, candidate, circuit)) == 1)
        built.cp.add(sum(self.fuse_vars(built, candidate, circuit)) == 1)
        run = self.feeds[circuit.loads[0]].run
        if candidate.at_panel and run is not None:
            runs = built.v.boost_run[candidate.first.id]
            built.cp.add(sum(var for each, var in runs if each.pair.ids == run.cable) == 1)

    def pair_vars(self, built: PlanModel, candidate: Candidate, circuit: Circuit) -> list[Var]:
        """The variable of the conductors that a circuit has in the plan."""
        return [var for pair, var in built.v.pairs(candidate) if pair.pair.ids == circuit.cable]

    def fuse_vars(self, built: PlanModel, candidate: Candidate, circuit: Circuit) -> list[Var]:
        """The variable of the fuse that a circuit has in the plan."""
        rating_a = self.rating_a(circuit)
        return [var for rating, var in built.v.ratings(candidate) if rating == rating_a]

    def rating_a(self, circuit: Circuit) -> float:
        return next((fuse.rating_a for fuse in self.instance.fuses if fuse.id == circuit.fuse), 0.0)

    # -- the plan in the model's own terms ------------------------------------------------------------------------

    def _option(self, load: Load) -> FeedOption | None:
        feed = self.feeds[load.id]
        if feed.source == "ac":
            return None
        options = self.instance.boosted if feed.panel_stages else self.instance.options
        for option in options[load.id]:
            if is_feed(option, feed):
                return option
        raise _another_plan()

    def _bank(self) -> BankOption:
        bank = self.plan.bank
        for option in self.instance.banks:
            part = option.battery.id if option.battery else None
            kit = option.kit.id if option.kit else None
            shape = (option.series, option.parallel)
            if bank and part == bank.part and (part is None or (*shape, kit) == (bank.series, bank.parallel, bank.kit)):
                return option
        raise _another_plan()


def _cheapest(built: PlanModel, time_limit_s: float, stop: threading.Event | None) -> Solved:
    """The cheapest and, among the cheapest, the one with the least average power; no tie-breaks beyond."""
    cent = 1 + most_average(built.v)
    cost = built.bought.cost
    built.cp.minimize(total([(cent * cents, var) for cents, var in cost] + average_terms(built.v)))
    solver = new_solver(limit_s=time_limit_s)
    status = solve(solver, built.cp, stop=stop)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Solved("infeasible" if status == cp_model.INFEASIBLE else "unknown", None, None, None)
    values = list(solver.response_proto.solution)
    best_cents = sum(cents * values[var.index] for cents, var in cost)
    bound_cents = min(best_cents, max(0, math.floor(solver.best_objective_bound / cent)))
    proven = status == cp_model.OPTIMAL or bound_cents == best_cents
    return Solved("optimal" if proven else "feasible", best_cents, bound_cents, lambda var: values[var.index])


def is_feed(option: FeedOption, feed: Feed) -> bool:
    """Whether a candidate is a feed of a plan, lead included."""
    fused = feed.output_fuse
    fuse_ids = (fused.fuse, fused.holder) if fused else None
    option_fuse = tuple(part.id for part in option.output_fuse) if option.output_fuse else None
    return (
        tuple(stage.id for stage in option.stages) == feed.stages
        and option.lead_ids == (feed.lead.cable if feed.lead else ())
        and option.panel_stages == feed.panel_stages
        and option.host == feed.shares
        and option_fuse == fuse_ids
    )


def _nothing(status: str) -> Plan:
    return Plan(status=status, total_cents=None, bound_cents=None)  # type: ignore[arg-type]


def _another_plan() -> InvalidInput:
    return InvalidInput("plan", "This plan was not made by this version from this job and catalogue.")
