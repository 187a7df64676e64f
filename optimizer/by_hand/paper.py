"""From choices and bill to a plan: circuits, feeds, orders and cut list as values."""

from __future__ import annotations

from collections import Counter, defaultdict

from optimizer.by_hand.basket import Fitting
from optimizer.by_hand.bill import Bill
from optimizer.by_hand.choices import Choices, CircuitChoice
from optimizer.by_hand.desk import Desk
from optimizer.by_hand.spools import CutPlan
from optimizer.feeds import FeedOption
from optimizer.physics.operating_point import settle
from optimizer.plan import (
    Circuit,
    Cut,
    Energy,
    Feed,
    Piece,
    Plan,
    Settled,
)
from optimizer.solve.outlet import ac_average_w, ac_idle_average_w, ac_peak_w
from optimizer.solve.stated import settling, stated_bank, stated_feed, stated_orders
from optimizer.units import is_within


def write_plan(desk: Desk, choices: Choices, bill: Bill) -> Plan:
    """The plan of some choices and the bill that buys them; nothing is proven about it."""
    return _Paper(desk, choices, bill).plan()


class _Paper:
    def __init__(self, desk: Desk, choices: Choices, bill: Bill) -> None:
        instance = desk.instance
        self._desk = desk
        self._instance = instance
        self._choices = choices
        self._bill = bill
        self._in_hand = {fitting: list(reversed(units)) for fitting, units in bill.units.items()}
        self._fault_a = max(instance.job.bus.fault_a, choices.bank.fault_a)

    def plan(self) -> Plan:
        circuits = tuple(self._circuit(n, circuit) for n, circuit in enumerate(self._choices.circuits))
        feeds = self._feeds()
        orders, deliveries = stated_orders(self._instance.catalogue, self._bill.quantity)
        average_w = self._average_w(set(self._choices.on_ac()))
        return Plan(
            status="feasible",
            total_cents=self._bill.cents,
            bound_cents=0,
            circuits=circuits,
            feeds=feeds,
            bank=stated_bank(self._choices.bank, average_w),
            orders=orders,
            deliveries=deliveries,
            cuts=self._cuts(),
            energy=Energy(average_w=round(average_w, 4), today_average_w=self._today_w()),
        )

    def _take(self, fitting: Fitting) -> str:
        return self._in_hand[fitting].pop()

    # -- circuits and feeds -------------------------------------------------------------------------------------------

    def _circuit(self, number: int, circuit: CircuitChoice) -> Circuit:
        instance, bus = self._instance, self._instance.job.bus
        options = [self._option(load) for load in circuit.loads]
        floor_v = max(option.floor_v for option in options)
        at_floor_a = sum(option.draw.current_a(floor_v) for option in options)
        at_high_a = sum(option.draw.current_a(bus.high_v) for option in options)
        point = settle(bus.low_v, circuit.pair.loop_ohm, [settling(option.draw) for option in options])
        assert point is not None  # the drop rule keeps the settled voltage at or above the floor
        is_switched = instance.job.load_by_id[circuit.loads[0]].switch
        has_holder = number in self._bill.needs.holders_on
        return Circuit(
            id=f"C{number + 1}",
            place=circuit.place,
            loads=circuit.loads,
            cable=circuit.pair.pair.ids,
            cut_mm=instance.run_mm(circuit.place),
            fuse=self._take(self._desk.fuses_of(circuit.rating_a, self._fault_a)),
            switch=self._take(self._desk.switches_for(circuit.rating_a)) if is_switched else None,
            holder=self._take(self._desk.holders) if has_holder else None,
            floor_v=round(floor_v, 4),
            design_a=round(max(at_floor_a, at_high_a), 4),
            settled=Settled(
                place_v=round(point.place_v, 4),
                current_a=round(point.current_a, 4),
                drop_v=round(bus.low_v - point.place_v, 4),
            ),
            junction=circuit.junction.id if circuit.junction else None,
        )

    def _option(self, load: str) -> FeedOption:
        option = self._choices.feeds[load]
        assert option is not None  # a circuit holds only loads fed from the bus
        return option

    def _feeds(self) -> tuple[Feed, ...]:
        circuit_of = {
            load: f"C{n}" for n, circuit in enumerate(self._choices.circuits, start=1) for load in circuit.loads
        }
        return tuple(
            stated_feed(self._instance, load, self._choices.feeds[load.id], circuit_of.get(load.id))
            for load in self._instance.loads
        )

    # -- energy --------------------------------------------------------------------------------------------------------

    def _average_w(self, on_ac: set[str]) -> float:
        """Average power with some loads on the AC outlet and the others as chosen. [W]"""
        job = self._instance.job
        allowance = 1 + job.limits.wiring_allowance_pct / 100
        total_w = ac_idle_average_w(job) if on_ac else 0.0
        for load in self._instance.loads:
            is_ac = load.id in on_ac
            total_w += ac_average_w(job, load) if is_ac else self._option(load.id).average_w * allowance
        return total_w

    def _today_w(self) -> float | None:
        job = self._instance.job
        bricks = [load for load in self._instance.loads if load.brick is not None]
        if job.ac is None or not is_within(sum(ac_peak_w(load) for load in bricks), job.ac.max_w):
            return None
        return round(self._average_w({load.id for load in bricks}), 4)

    # -- cuts -------------------------------------------------------------------------------------------------------

    def _cuts(self) -> tuple[Cut, ...]:
        pieces = self._pieces()
        return tuple(
            cut for cable, plan in sorted(self._bill.cut_plans.items()) for cut in _cuts_of(cable, plan, pieces[cable])
        )

    def _pieces(self) -> dict[str, list[Piece]]:
        """Pieces of each cable, longest first, in the order of the list that was cut."""
        pieces: dict[str, list[Piece]] = defaultdict(list)
        for n, circuit in enumerate(self._choices.circuits, start=1):
            for cable in circuit.pair.pair.ids:
                pieces[cable].append(Piece(mm=self._instance.run_mm(circuit.place), circuit=f"C{n}"))
        for load in self._instance.loads:
            option = self._choices.feeds[load.id]
            for cable in option.lead_ids if option else ():
                pieces[cable].append(Piece(mm=self._instance.lead_mm(load), lead=load.id))
        return {cable: sorted(made, key=lambda piece: -piece.mm) for cable, made in pieces.items()}


def _cuts_of(cable: str, plan: CutPlan, pieces: list[Piece]) -> list[Cut]:
    cuts = []
    units: Counter[str] = Counter()
    for spool in plan.opened:
        unit = None
        if spool.offer is not None and spool.offer.step_m is None:
            unit = units[spool.offer.id]
            units[spool.offer.id] += 1
        cuts.append(
            Cut(
                part=cable,
                offer=spool.offer.id if spool.offer else None,
                unit=unit,
                owned=spool.owned,
                stock_mm=spool.length_mm,
                pieces=tuple(pieces[n] for n in spool.pieces),
                left_mm=spool.left_mm,
            )
        )
    return cuts
