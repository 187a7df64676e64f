"""A job with one figure changed, and its plan written out anew: the same parts, lengths and records that follow."""

from __future__ import annotations

from dataclasses import replace

from optimizer.catalogue import Catalogue
from optimizer.checks.facts import PlanFacts
from optimizer.job import CutLead, Job
from optimizer.plan import Cut, Energy, Piece, Plan
from optimizer.units import cut_mm


def restated(
    job: Job, catalogue: Catalogue, answer: Plan, subject: tuple[str, str], field: str, value: float
) -> tuple[Job, Plan]:
    """The changed job, and the plan with every length and recorded figure as it then is."""
    job = _changed(job, subject, field, value)
    lengths = {("circuit", c.id): cut_mm(job.place_by_id[c.place].run_m + job.limits.slack_m) for c in answer.circuits}
    for load in job.loads:
        if isinstance(load.lead, CutLead):
            lengths["lead", load.id] = cut_mm(load.lead.length_m + job.limits.slack_m)
    answer = replace(
        answer,
        circuits=tuple(replace(c, cut_mm=lengths["circuit", c.id]) for c in answer.circuits),
        feeds=tuple(
            f if f.lead is None else replace(f, lead=replace(f.lead, cut_mm=lengths["lead", f.load]))
            for f in answer.feeds
        ),
        cuts=tuple(_cut(cut, lengths) for cut in answer.cuts),
    )
    return job, _recorded(job, catalogue, answer)


def _changed(job: Job, subject: tuple[str, str], field: str, value: float) -> Job:
    kind, name = subject
    if kind == "bank":
        return replace(job, limits=replace(job.limits, **{field: value}))
    if kind == "place":
        return replace(job, places=tuple(replace(p, run_m=value) if p.id == name else p for p in job.places))
    old = job.load_by_id[name]
    load = replace(old, lead=replace(old.lead, length_m=value)) if field == "length_m" else replace(old, peak_w=value)
    return replace(job, loads=tuple(load if each.id == name else each for each in job.loads))


def _cut(cut: Cut, lengths: dict[tuple[str, str], int]) -> Cut:
    pieces = tuple(_piece(piece, lengths) for piece in cut.pieces)
    return replace(cut, pieces=pieces, left_mm=cut.stock_mm - sum(piece.mm for piece in pieces))


def _piece(piece: Piece, lengths: dict[tuple[str, str], int]) -> Piece:
    key = ("circuit", piece.circuit) if piece.circuit is not None else ("lead", piece.lead)
    return replace(piece, mm=lengths[key])  # type: ignore[index]


def _recorded(job: Job, catalogue: Catalogue, answer: Plan) -> Plan:
    """What a plan says of itself, from the facts of the changed one."""
    facts = PlanFacts(job=job, catalogue=catalogue, plan=answer)
    circuits = []
    for circuit in facts.circuits:
        point, settled = circuit.settled, circuit.circuit.settled
        if point is not None:
            drop_v = job.bus.low_v - point.place_v
            settled = replace(settled, place_v=point.place_v, current_a=point.current_a, drop_v=drop_v)
        circuits.append(replace(circuit.circuit, floor_v=circuit.floor_v, design_a=circuit.design_a, settled=settled))
    bank = replace(facts.bank, average_w=facts.average_w, available_w=facts.available_w)
    energy = None if answer.energy is None else Energy(average_w=facts.average_w, today_average_w=facts.today_average_w)
    return replace(answer, circuits=tuple(circuits), bank=bank, energy=energy)
