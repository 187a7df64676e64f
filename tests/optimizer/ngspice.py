"""The netlist of a plan for ngspice: a second solver that knows neither our formulas nor our facts.

Resistances are worked out here from the catalogue, so that a slip in optimizer.checks cannot hide. The bus is a source
at its lowest voltage. A constant-power load or converter input is a behavioural source with a clamp: below a voltage
it cannot settle at, it turns into a resistance, without which ngspice may return the unstable root.
"""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

from optimizer.catalogue import Cable, Catalogue, Stage
from optimizer.job import Job, Load, SuppliedLead
from optimizer.plan import Feed, Plan

_CLAMP = 0.5  # of the source: a single constant-power load has its stable root at or above half of it
_SHORT_OHM = 1e-9  # ngspice knows no resistor of nothing; over 100 A this loses 0.1 µV


def netlist(job: Job, catalogue: Catalogue, plan: Plan) -> str:
    """Every circuit, chain, lead and load of a plan, everything at peak."""
    lines = [f"* {plan.status} plan", f"Vbus bus 0 {job.bus.low_v!r}"]
    for i, circuit in enumerate(plan.circuits):
        place = job.place_by_id[circuit.place]
        run_m = place.run_m if circuit.run_m is None else circuit.run_m
        loop_ohm = _cut_ohm(job, catalogue, circuit.cable, run_m) + job.limits.joint_mohm / 1000
        lines += [_resistor(f"run{i}", "bus", f"place{i}", loop_ohm), _nodeset(f"place{i}", job.bus.low_v)]
    places = {circuit.id: f"place{i}" for i, circuit in enumerate(plan.circuits)}
    for i, feed in enumerate(plan.feeds):
        if feed.circuit is not None:
            lines += _feed(job, catalogue, plan, i, places[feed.circuit])
    control = [
        ".options reltol=1e-9 vntol=1e-12 abstol=1e-12",
        ".control",
        "set numdgt=12",
        "op",
        "print all",
        "quit 0",
        ".endc",
    ]
    return "\n".join([*lines, *control, ".end", ""])


def solve(text: str, folder: Path) -> dict[str, float]:
    """Node voltages by name. Raises where ngspice fails or says nothing."""
    path = folder / "plan.cir"
    path.write_text(text, encoding="utf-8")
    done = subprocess.run(["ngspice", "-b", str(path)], capture_output=True, text=True, timeout=30, check=True)
    found = {name: float(value) for name, value in re.findall(r"^(\w+) = (\S+)$", done.stdout, re.MULTILINE)}
    assert "bus" in found, done.stdout + done.stderr
    return found


def _feed(job: Job, catalogue: Catalogue, plan: Plan, i: int, place: str) -> Iterator[str]:
    feed = plan.feeds[i]
    load, node, source_v = job.load_by_id[feed.load], place, job.bus.low_v
    host = next((n for n, other in enumerate(plan.feeds) if other.load == feed.shares), i)
    for k, part in enumerate(feed.stages):
        stage = catalogue.get(Stage, part)
        if stage.out_v is not None:  # else a plug lead: the same node
            out = f"out{host}x{k}"
            if host == i:
                yield f"V{out} {out} 0 {stage.out_v!r}"
                power_w = f"({stage.idle_w!r} + {stage.out_v!r}*(-I(V{out}))/{stage.efficiency!r})"
                yield _constant_power(f"in{i}x{k}", node, power_w, _CLAMP * source_v)
            node, source_v = out, stage.out_v
        if feed.run is not None and k + 1 == feed.panel_stages:
            run_ohm = _cut_ohm(job, catalogue, feed.run.cable, job.place_by_id[load.place].run_m)
            yield _resistor(f"boosted{i}", node, f"far{i}", run_ohm + job.limits.joint_mohm / 1000)
            yield _nodeset(f"far{i}", source_v)
            node = f"far{i}"
    yield _resistor(f"lead{i}", node, f"load{i}", _lead_ohm(job, catalogue, load, feed))
    yield _nodeset(f"load{i}", source_v)
    if load.behaviour == "resistive":
        assert load.rated_v is not None
        yield _resistor(f"own{i}", f"load{i}", "0", load.rated_v**2 / load.peak_w)
    else:
        yield _constant_power(f"own{i}", f"load{i}", repr(load.peak_w), _CLAMP * source_v)


def _constant_power(name: str, node: str, power_w: str, clamp_v: float) -> str:
    v = f"V({node})"
    return f"B{name} {node} 0 I = {v} > {clamp_v!r} ? {power_w}/{v} : {v}*{power_w}/{clamp_v**2!r}"


def _resistor(name: str, a: str, b: str, ohm: float) -> str:
    return f"R{name} {a} {b} {max(ohm, _SHORT_OHM)!r}"


def _nodeset(node: str, guess_v: float) -> str:
    return f".nodeset V({node})={guess_v!r}"


def _lead_ohm(job: Job, catalogue: Catalogue, load: Load, feed: Feed) -> float:
    if isinstance(load.lead, SuppliedLead):
        return load.lead.loop_ohm
    assert feed.lead is not None
    return _cut_ohm(job, catalogue, feed.lead.cable, load.lead.length_m)


def _cut_ohm(job: Job, catalogue: Catalogue, cable: tuple[str, ...], length_m: float) -> float:
    conductors = [catalogue.get(Cable, part) for part in cable] * (2 if len(cable) == 1 else 1)
    warm = (234.5 + job.limits.conductor_c) / 254.5  # IEC 60228 informative annex, not the rounded 0.00393
    return sum(c.ohm_per_km_20c for c in conductors) * (length_m + job.limits.slack_m) / 1000 * warm
