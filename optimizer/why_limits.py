"""Which limit rules a candidate out, in numbers: parts that would do, and often for less, if one figure were better."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from optimizer.catalogue import BUS_FORM, Catalogue, Stage
from optimizer.checks.facts import PlanFacts
from optimizer.conductors import pairs_on_offer
from optimizer.feeds import FeedOption
from optimizer.job import Load
from optimizer.near_misses import Broken, apart, at_hand, broken_by, load_asks_w, most_fuse_a, seen_v
from optimizer.physics.protection import least_rating_a
from optimizer.plan import Circuit
from optimizer.prices import PriceBounds
from optimizer.solve.banks import BankOption
from optimizer.solve.instance import Instance, build
from optimizer.solve.model import PlanModel
from optimizer.solve.runs import RunPair
from optimizer.units import FORGIVEN
from optimizer.why_held import NO_ROWS, Freed, Held
from optimizer.why_words import bank_words, pair_words

_NEAREST = 2  # candidates tried for one choice
_DUST = 1 + FORGIVEN
# the figure that a converter misses, in a word
_FIGURES = {"max_out_w": "power", "in_min_v": "floor", "in_max_v": "voltage", "out_v": "voltage", "passes": "voltage"}


@dataclass(frozen=True, kw_only=True)
class RuledOut:
    """A candidate that one limit rules out, and how to price it as if that limit were none."""

    other: str
    text: str  # what speaks against it: "it puts out 30 W and 34 W are asked, headroom included"
    why: str
    freed: Freed
    instance: Instance
    others: dict[str, list[FeedOption]]
    rows: Any = NO_ROWS


# -- feeds --------------------------------------------------------------------------------------------------------


def stages_ruled_out(held: Held, load: Load) -> Iterator[RuledOut]:
    """Converters that miss one figure, the cheapest first; priced with that figure good enough."""
    chosen = held.feeds[load.id].stages
    prices = PriceBounds(held.job, held.catalogue)
    sold = at_hand(held.instance)
    near = []
    for stage in held.catalogue.of(Stage):
        if stage.id in chosen or stage.id not in sold:
            continue
        if (stage.in_form, stage.out_form) != (BUS_FORM, load.needs.form):
            continue
        broken = list(broken_by(held.instance, load, stage))
        if len(broken) == 1:
            near.append((prices.most_cents(stage.id), stage.id, stage, broken[0]))
    for _, _, stage, one in sorted(near, key=lambda each: each[:2])[:_NEAREST]:
        yield _stage(held, load, stage, one)


def _stage(held: Held, load: Load, stage: Stage, broken: Broken) -> RuledOut:
    enough = _good_enough(held, load, stage, broken.figure)
    catalogue = held.catalogue
    parts = tuple(part for part in catalogue.parts if not isinstance(part, Stage))
    with_it = Catalogue(sellers=catalogue.sellers, parts=(*parts, enough), offers=catalogue.offers)
    there = tuple(each for each in held.job.loads if each.place == load.place)
    options = build(replace(held.job, loads=there), with_it).options[load.id]
    circuit = held.circuit_of(load.id)
    return RuledOut(
        other=stage.label,
        text=broken.text,
        why=_FIGURES.get(broken.figure, "drop"),
        freed=Freed(feeds=frozenset({load.id}), circuits=frozenset(circuit.loads if circuit else (load.id,))),
        instance=held.instance,
        others={load.id: [option for option in options if option.stages and option.host is None]},
        rows=_on_bus(load),
    )


def _on_bus(load: Load) -> Any:
    def rows(built: PlanModel) -> None:
        for var in built.v.ac(load):
            built.cp.add(var == 0)

    return rows


def _good_enough(held: Held, load: Load, stage: Stage, figure: str) -> Stage:
    """The same stage with one figure as the load and the bus ask for."""
    bus, drop = held.job.bus, held.job.drop_pct(load) / 100
    most_w = load_asks_w(held.instance, load, stage.out_v) / (1 - min(drop, 0.5)) * _DUST
    values = {
        "in_max_v": bus.high_v,
        "in_min_v": bus.low_v - drop * bus.nominal_v,
        "max_out_w": most_w,
        "out_v": seen_v(load, stage),
    }
    changes: dict[str, Any] = {figure: values[figure]} if figure in values else {}
    return replace(stage, **changes)


# -- conductors ---------------------------------------------------------------------------------------------------


def pairs_ruled_out(held: Held, circuit: Circuit) -> Iterator[RuledOut]:
    """Conductors that a limit rules out, the nearest in size first; priced as if they were as good as those laid."""
    laid = next((run for run in _runs(held, circuit) if run.pair.ids == circuit.cable), None)
    if laid is None or circuit.run_m is not None:
        return
    near = []
    for pair in pairs_on_offer(held.catalogue, held.job.limits.min_mm2):
        if pair.ids != circuit.cable and at_hand(held.instance).issuperset(pair.ids):
            fake = replace(laid, pair=pair)
            said = _against_pair(held, circuit, fake)
            if said is not None:
                near.append((abs(pair.mm2 - laid.pair.mm2), pair.ids, fake, said))
    for _, _, fake, (text, why) in sorted(near, key=lambda each: each[:2])[:_NEAREST]:
        yield _pair(held, circuit, fake, text, why)


def _runs(held: Held, circuit: Circuit) -> list[RunPair]:
    return held.instance.pairs[circuit.place]


def _pair(held: Held, circuit: Circuit, fake: RunPair, text: str, why: str) -> RuledOut:
    pairs = {**held.instance.pairs, circuit.place: [*_runs(held, circuit), fake]}
    pairs[circuit.place] = [run for run in pairs[circuit.place] if run is fake or run.pair.ids != fake.pair.ids]

    def rows(built: PlanModel) -> None:
        candidate = held.candidate(built, circuit)
        built.cp.add(sum(var for run, var in built.v.pairs(candidate) if run.pair.ids == fake.pair.ids) == 1)

    return RuledOut(
        other=pair_words(held, fake.pair.ids),
        text=text,
        why=why,
        freed=Freed(parts_of=frozenset({circuit.id})),
        instance=replace(held.instance, pairs=pairs),
        others={},
        rows=rows,
    )


def _against_pair(held: Held, circuit: Circuit, other: RunPair) -> tuple[str, str] | None:
    """What speaks against other conductors with the feeds as planned; None where nothing known does."""
    job = held.job
    options = [option for load in circuit.loads if (option := held.options[load]) is not None]
    floor_v = max(option.floor_v for option in options)
    current_a = sum(option.draw.current_a(floor_v) for option in options)
    run_m = circuit.cut_mm / 1000
    loop_ohm = other.pair.loop_ohm(run_m, job.limits.conductor_c) + job.limits.joint_mohm / 1000
    lost_v, allowed_v = current_a * loop_ohm, job.bus.low_v - floor_v
    if lost_v > allowed_v * _DUST:
        lost, allowed = apart(lost_v, allowed_v, 2)
        return f"it loses {lost} V where {allowed} V are allowed", "drop"
    most_a, what = most_fuse_a(held.instance, job.place_by_id[circuit.place], other.pair, held.bundled(circuit))
    needed_a = least_rating_a(circuit.design_a)
    rating_a = min((rating for rating in held.instance.ratings_a if rating >= needed_a / _DUST), default=needed_a)
    if most_a * _DUST < rating_a:
        return f"it cannot stand behind the {rating_a:g} A fuse that {needed_a:.2f} A asks for: {what}", "fuse"
    first = min(option.max_conductor_mm2 for option in options)
    if other.pair.mm2 > first:
        return f"it is thicker than the {first:g} mm² that the terminals there take", "terminals"
    return None


# -- bank ---------------------------------------------------------------------------------------------------------


def banks_ruled_out(held: Held) -> Iterator[RuledOut]:
    """Banks that do not last or cannot give the peak, those that last longest first; priced as if they did both."""
    peak_a = PlanFacts(job=held.job, catalogue=held.catalogue, plan=held.plan).bank_peak_a
    near = []
    for bank in held.instance.banks:
        said = _against_bank(held, bank, peak_a)
        if said is not None:
            near.append((-bank.available_w, bank.key, bank, said))
    for _, _, bank, (text, why) in sorted(near, key=lambda each: each[:2])[:_NEAREST]:
        yield _bank(held, bank, text, why)


def _against_bank(held: Held, bank: BankOption, peak_a: float) -> tuple[str, str] | None:
    """What speaks against a bank with the feeds as planned; None where nothing known does."""
    assert held.plan.bank is not None
    needed_w = held.plan.bank.average_w
    if bank.available_w * _DUST < needed_w:
        gives, drawn = apart(bank.available_w, needed_w, 1)
        hours = held.job.limits.autonomy_h
        return f"it gives {gives} W on average for the {hours:g} h asked, and {drawn} W are drawn", "autonomy"
    if bank.max_discharge_a * _DUST < peak_a:
        drawn, _ = apart(peak_a, bank.max_discharge_a, 1)
        return f"it gives {bank.max_discharge_a:g} A, and everything at peak draws {drawn} A", "peak"
    return None


def _bank(held: Held, bank: BankOption, text: str, why: str) -> RuledOut:
    enough = replace(bank, available_w=held.bank.available_w, max_discharge_a=held.bank.max_discharge_a)
    return RuledOut(
        other=bank_words(bank),
        text=text,
        why=why,
        freed=Freed(bank=True),
        instance=replace(held.instance, banks=[enough]),
        others={},
    )
