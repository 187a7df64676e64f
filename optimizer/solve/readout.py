"""From a solved model back to a plan: circuits, feeds, orders and the cut list, in a stated order."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, replace

from optimizer.boosted import settled_draw
from optimizer.catalogue import Switch
from optimizer.feeds import Draw as PeakDraw
from optimizer.feeds import FeedOption
from optimizer.job import CutLead, Load, SuppliedLead
from optimizer.physics.operating_point import settle
from optimizer.plan import (
    Circuit,
    Energy,
    Feed,
    Plan,
    Settled,
)
from optimizer.solve.banks import BankOption
from optimizer.solve.circuits import Circuit as Candidate
from optimizer.solve.cut_list import CutList
from optimizer.solve.filler import fill
from optimizer.solve.instance import Instance
from optimizer.solve.model import PlanModel
from optimizer.solve.outlet import ac_average_w, ac_idle_average_w, ac_peak_w
from optimizer.solve.runs import BoostRun, RunPair
from optimizer.solve.search import Solved
from optimizer.solve.stated import settling, stated_bank, stated_feed, stated_orders
from optimizer.solve.variables import Var
from optimizer.units import is_within


@dataclass(slots=True)
class _Laid:
    """One circuit as chosen."""

    candidate: Candidate
    pair: RunPair
    rating_a: float
    feeds: list[tuple[Load, FeedOption]]


def read_plan(instance: Instance, built: PlanModel, solved: Solved) -> Plan:
    """The plan of a solved model; checks, cautions and reasons are added by the planner."""
    if solved.value is None or solved.total_cents is None:
        return Plan(status="infeasible", total_cents=None, bound_cents=None)
    return _Readout(instance, built, solved.value).plan(solved)


class _Readout:
    def __init__(self, instance: Instance, built: PlanModel, value: Callable[[Var], int]) -> None:
        self._instance = instance
        self._built = built
        self._value = value
        self._laid = self._read_circuits()
        self._quantity = {o: value(var) for o, var in built.bought.quantity.items() if value(var)}
        self._add_filler()
        self._stock = _PartStock(instance, self._quantity)
        for laid in self._laid:
            for _, option in laid.feeds:
                for part in option.output_fuse or ():
                    self._stock.take([part.id])

    def plan(self, solved: Solved) -> Plan:
        circuits = tuple(self._circuit(n, laid) for n, laid in enumerate(self._laid, start=1))
        circuits = self._with_holders(circuits)
        feeds = self._feeds(circuits)
        orders, deliveries = stated_orders(self._instance.catalogue, self._quantity)
        average_w = self._average_w()
        return Plan(
            status="optimal" if solved.status == "optimal" else "feasible",
            total_cents=solved.total_cents,
            bound_cents=solved.bound_cents,
            circuits=circuits,
            feeds=feeds,
            bank=stated_bank(self._chosen_bank(), average_w),
            orders=orders,
            deliveries=deliveries,
            cuts=CutList(self._instance, self._built.bought, self._value, self._quantity, solved.packed).read(
                circuits, feeds
            ),
            energy=Energy(average_w=round(average_w, 4), today_average_w=self._today_w()),
        )

    # -- circuits -------------------------------------------------------------------------------------------------

    def _read_circuits(self) -> list[_Laid]:
        v = self._built.v
        laid = []
        for circuit in v.circuits:
            if not any(self._value(var) for var in v.opened(circuit)):
                continue
            feeds = [(load, option) for load, option, var in v.feeds_on(circuit) if self._value(var)]
            pair = next(pair for pair, var in v.pairs(circuit) if self._value(var))
            rating_a = next(rating for rating, var in v.ratings(circuit) if self._value(var))
            laid.append(_Laid(circuit, pair, rating_a, feeds))
        return sorted(laid, key=lambda one: one.candidate.first.id)

    def _circuit(self, number: int, laid: _Laid) -> Circuit:
        bus = self._instance.job.bus
        floor_v = max(option.floor_v for _, option in laid.feeds)
        at_floor_a = sum(option.draw.current_a(floor_v) for _, option in laid.feeds)
        at_high_a = sum(option.draw.current_a(bus.high_v) for _, option in laid.feeds)
        draws = [settling(self._settled(load, option)) for load, option in laid.feeds]
        point = settle(bus.low_v, laid.pair.loop_ohm, draws)
        assert point is not None  # the drop rule keeps the settled voltage at or above the floor
        fuses = [f for f in self._instance.fuses if f.rating_a == laid.rating_a]
        return Circuit(
            id=f"C{number}",
            place=laid.candidate.place,
            loads=tuple(load.id for load, _ in laid.feeds),
            cable=laid.pair.pair.ids,
            cut_mm=self._run_mm(laid.candidate),
            run_m=self._instance.job.limits.panel_run_m if laid.candidate.at_panel else None,
            fuse=self._stock.take([f.id for f in fuses if f.interrupt_a >= self._fault_a()]),
            switch=self._switch(laid) if laid.candidate.switch else None,
            holder=None,
            floor_v=round(floor_v, 4),
            design_a=round(max(at_floor_a, at_high_a), 4),
            settled=Settled(
                place_v=round(point.place_v, 4),
                current_a=round(point.current_a, 4),
                drop_v=round(bus.low_v - point.place_v, 4),
            ),
            junction=self._junction(laid),
        )

    def _run_mm(self, candidate: Candidate) -> int:
        return self._instance.panel_mm if candidate.at_panel else self._instance.run_mm(candidate.place)

    def _chosen_run(self, load: Load) -> BoostRun:
        return next(run for run, var in self._built.v.boost_run[load.id] if self._value(var))

    def _settled(self, load: Load, option: FeedOption) -> PeakDraw:
        """What a feed draws at peak, a boosted one behind the run that was chosen."""
        if option.run is None:
            return option.draw
        limits = self._instance.job.limits
        lead_ohm = load.lead.loop_ohm if isinstance(load.lead, SuppliedLead) else 0.0
        if option.lead is not None and isinstance(load.lead, CutLead):
            lead_ohm = option.lead.loop_ohm(load.lead.length_m + limits.slack_m, limits.conductor_c)
        return settled_draw(load, option, self._chosen_run(load).loop_ohm, lead_ohm)

    def _fault_a(self) -> float:
        return max(self._instance.job.bus.fault_a, self._chosen_bank().fault_a)

    def _switch(self, laid: _Laid) -> str:
        fitting = [s for s in self._instance.switches if s.max_a >= laid.rating_a]
        return self._stock.take([s.id for s in sorted(fitting, key=_switch_order)])

    def _junction(self, laid: _Laid) -> str | None:
        chosen = self._built.v.junction.get(laid.candidate.key, [])
        return next((junction.id for junction, var in chosen if self._value(var)), None)

    def _with_holders(self, circuits: tuple[Circuit, ...]) -> tuple[Circuit, ...]:
        """In-line holders go to the last circuits of the conductor sizes that the model gave them to.

        Never to more circuits than lack a way: the model may, where a pack holds more.
        """
        beyond = len(circuits) - self._instance.job.bus.spare_ways
        left = {mm2: self._value(var) for mm2, var in self._built.v.holders_at.items()}
        done = []
        for circuit, laid in zip(reversed(circuits), reversed(self._laid), strict=True):
            mm2 = laid.pair.pair.mm2
            if beyond > 0 and left.get(mm2, 0) > 0:
                beyond -= 1
                left[mm2] -= 1
                holder = self._stock.take([h.id for h in self._instance.holders])
                done.append(replace(circuit, holder=holder))
            else:
                done.append(circuit)
        return tuple(reversed(done))

    # -- feeds and bank -------------------------------------------------------------------------------------------

    def _feeds(self, circuits: tuple[Circuit, ...]) -> tuple[Feed, ...]:
        chosen = {
            load.id: (option, circuit.id)
            for circuit, laid in zip(circuits, self._laid, strict=True)
            for load, option in laid.feeds
        }
        return tuple(self._feed(load, *chosen.get(load.id, (None, None))) for load in self._instance.loads)

    def _feed(self, load: Load, option: FeedOption | None, circuit: str | None) -> Feed:
        run = self._chosen_run(load).pair if option is not None and option.run is not None else None
        return stated_feed(self._instance, load, option, circuit, run)

    def _chosen_bank(self) -> BankOption:
        return next(option for option, var in self._built.v.bank if self._value(var))

    # -- energy ---------------------------------------------------------------------------------------------------

    def _bus_average_w(self) -> dict[str, float]:
        allowance = 1 + self._instance.job.limits.wiring_allowance_pct / 100
        return {load.id: option.average_w * allowance for laid in self._laid for load, option in laid.feeds}

    def _average_w(self) -> float:
        on_bus = self._bus_average_w()
        return self._mixed_w({load.id for load in self._instance.loads if load.id not in on_bus})

    def _mixed_w(self, on_ac: set[str]) -> float:
        """Average power with some loads on the AC outlet and the rest as planned. [W]"""
        job, on_bus = self._instance.job, self._bus_average_w()
        total_w = sum(watts for load, watts in on_bus.items() if load not in on_ac) + self._shared_w(on_ac)
        total_w += sum(ac_average_w(job, load) for load in self._instance.loads if load.id in on_ac)
        return total_w + (ac_idle_average_w(job) if on_ac else 0.0)

    def _shared_w(self, on_ac: set[str]) -> float:
        """What the idle power of shared chains comes to beside what hosts and plugged-in loads count. [W]

        Less where switched loads come to more than a day; more where a host is on the outlet and others keep its chain.
        """
        job, more_w = self._instance.job, 0.0
        fed = {load.id: (load, option) for laid in self._laid for load, option in laid.feeds}
        for name, (host, option) in fed.items():
            plugged = [load for load, other in fed.values() if other.host == name and load.id not in on_ac]
            if not plugged or option.share is None:
                continue
            hosts = [] if name in on_ac else [host]
            stated_h = sum(load.hours_per_day for load in [*hosts, *plugged]) if host.switch else 24.0 * len(hosts)
            live_h = min(24.0, stated_h) if host.switch else 24.0
            more_w += option.share.idle_w * (live_h - stated_h) / 24
        return more_w * (1 + job.limits.wiring_allowance_pct / 100)

    def _today_w(self) -> float | None:
        """The same with every load that has a mains adapter fed from the outlet; None where it could not be. [W]"""
        job = self._instance.job
        bricks = [load for load in self._instance.loads if load.brick is not None]
        if job.ac is None or not is_within(sum(ac_peak_w(load) for load in bricks), job.ac.max_w):
            return None
        return round(self._mixed_w({load.id for load in bricks}), 4)

    # -- orders ---------------------------------------------------------------------------------------------------

    def _add_filler(self) -> None:
        for seller, var in self._built.bought.filler.items():
            if cents := self._value(var):
                unneeded = [
                    o
                    for o in self._instance.catalogue.offers
                    if o.seller == seller and o.id not in self._built.bought.quantity
                ]
                self._quantity.update(fill(unneeded, cents))


def _switch_order(switch: Switch) -> tuple[float, str]:
    return (switch.max_a, switch.id)


class _PartStock:
    """Parts at hand after buying, handed out to circuits, those with the fewest other uses first."""

    def __init__(self, instance: Instance, quantity: dict[str, int]) -> None:
        self._left: dict[str, int] = defaultdict(int)
        for owned in instance.job.owned:
            self._left[owned.part] += owned.count or 0
        for offer_id, units in quantity.items():
            for content in instance.catalogue.offer_by_id[offer_id].contents:
                self._left[content.part] += (content.count or 0) * units

    def take(self, fitting: list[str]) -> str:
        """The first of the fitting parts that is still at hand."""
        part = next(part for part in fitting if self._left[part] > 0)
        self._left[part] -= 1
        return part
