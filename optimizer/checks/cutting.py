"""Rules of planning rules 5: every cut made once, from stock that is there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from optimizer.catalogue import Content
from optimizer.checks import rules
from optimizer.checks.facts import PlanFacts
from optimizer.checks.verdict import at_most, claim, num, same
from optimizer.job import CutLead
from optimizer.plan import Check, Cut, Piece
from optimizer.units import cut_mm, stock_mm

_LIST = "cut list"


def check_cutting(facts: PlanFacts) -> Iterator[Check]:
    """Every rule about the cut list."""
    yield from _lengths(facts)
    yield from _made_once(facts)
    for cut in facts.plan.cuts:
        yield from _stock(facts, cut)
    yield from _each_stock_once(facts)
    yield from _spools_bought(facts)


def _lengths(facts: PlanFacts) -> Iterator[Check]:
    slack_m = facts.job.limits.slack_m
    for circuit in facts.circuits:
        text = f"{num(circuit.stated_run_m)} m + {num(slack_m)} m = {cut_mm(circuit.run_m)} mm"
        yield same(rules.CUT_LENGTH, circuit.subject, circuit.circuit.cut_mm, cut_mm(circuit.run_m), text)
    for feed in facts.feeds:
        if feed.feed.lead is not None and isinstance(feed.load.lead, CutLead):
            due_mm = cut_mm(feed.load.lead.length_m + slack_m)
            text = f"{num(feed.load.lead.length_m)} m + {num(slack_m)} m = {due_mm} mm"
            yield same(rules.CUT_LENGTH, f"{feed.subject} lead", feed.feed.lead.cut_mm, due_mm, text)
        if feed.feed.run is not None and feed.run is not None:
            due_mm = cut_mm(feed.run.length_m)
            text = f"{num(feed.place.run_m)} m + {num(slack_m)} m = {due_mm} mm"
            yield same(rules.CUT_LENGTH, f"{feed.subject} run", feed.feed.run.cut_mm, due_mm, text)


def _made_once(facts: PlanFacts) -> Iterator[Check]:
    made = Counter((cut.part, piece) for cut in facts.plan.cuts for piece in cut.pieces)
    due = dict(_due(facts))
    for wanted, subject in due.items():
        part, piece = wanted
        text = f"{piece.mm} mm of {facts.catalogue.part(part).label}: {made[wanted]} cuts, 1 needed"
        yield same(rules.CUT_ONCE, subject, made[wanted], 1, text)
    unasked = [f"{piece.mm} mm of {part}" for part, piece in made if (part, piece) not in due]
    yield claim(rules.CUT_UNASKED, _LIST, not unasked, f"cuts nothing asks for: {', '.join(unasked) or 'none'}")


def _due(facts: PlanFacts) -> Iterator[tuple[tuple[str, Piece], str]]:
    for circuit in facts.circuits:
        for part in circuit.circuit.cable:
            yield (part, Piece(mm=cut_mm(circuit.run_m), circuit=circuit.circuit.id)), circuit.subject
    for feed in facts.feeds:
        if feed.feed.lead is not None and isinstance(feed.load.lead, CutLead):
            due_mm = cut_mm(feed.load.lead.length_m + facts.job.limits.slack_m)
            for part in feed.feed.lead.cable:
                yield (part, Piece(mm=due_mm, lead=feed.load.id)), f"{feed.subject} lead"
        if feed.run is not None:
            for cable in feed.run.cables:
                yield (cable.id, Piece(mm=cut_mm(feed.run.length_m), run=feed.load.id)), f"{feed.subject} run"


def _stock(facts: PlanFacts, cut: Cut) -> Iterator[Check]:
    subject = f"cut list, {facts.catalogue.part(cut.part).label}"
    lengths_mm = _lengths_of(facts, cut)
    yield claim(rules.CUT_SOURCE, subject, bool(lengths_mm), f"comes from {_source_text(cut)}")
    if lengths_mm:
        nearest_mm = cut.stock_mm if cut.stock_mm in lengths_mm else max(lengths_mm)
        text = f"{_source_text(cut)} holds {nearest_mm} mm"
        yield same(rules.CUT_STOCK, subject, cut.stock_mm, nearest_mm, text)
    cut_sum_mm = sum(piece.mm for piece in cut.pieces)
    text = f"{' + '.join(str(piece.mm) for piece in cut.pieces) or 'nothing'} = {cut_sum_mm} of {cut.stock_mm} mm"
    yield at_most(rules.NOT_OVERDRAWN, subject, cut_sum_mm, cut.stock_mm, text)
    text = f"{cut.stock_mm} mm − {cut_sum_mm} mm"
    yield same(rules.CUT_LEFT, subject, cut.left_mm, cut.stock_mm - cut_sum_mm, text)


def _source_text(cut: Cut) -> str:
    if cut.offer is None:
        return f"owned stock {cut.owned}"
    return f"{cut.offer}, one length" if cut.unit is None else f"{cut.offer}, spool {cut.unit}"


def _lengths_of(facts: PlanFacts, cut: Cut) -> tuple[int, ...]:
    """What the named source can hold of exactly this part; empty where it cannot be the source. [mm]"""
    if (cut.offer is None) == (cut.owned is None):
        return ()
    if cut.owned is not None:
        owned = facts.job.owned[cut.owned]
        fits = owned.part == cut.part and owned.length_m is not None and cut.unit is None
        return (stock_mm(owned.length_m or 0.0),) if fits else ()
    return _bought_lengths_of(facts, cut, cut.offer or "")


def _bought_lengths_of(facts: PlanFacts, cut: Cut, offer_id: str) -> tuple[int, ...]:
    offer, quantity = facts.catalogue.offer_by_id[offer_id], _ordered(facts, offer_id)
    spools = _spools(offer.contents, cut.part)
    if not spools or quantity < 1:
        return ()
    if offer.step_m is not None:
        return (stock_mm(quantity * offer.step_m),) if cut.unit is None else ()
    every = quantity * sum(content.length_m is not None for content in offer.contents)
    return tuple(spools) if cut.unit is not None and 0 <= cut.unit < every else ()


def _spools(contents: tuple[Content, ...], part: str) -> list[int]:
    return [stock_mm(c.length_m) for c in contents if c.part == part and c.length_m is not None]


def _ordered(facts: PlanFacts, offer_id: str) -> int:
    return sum(order.quantity for order in facts.plan.orders if order.offer == offer_id)


def _each_stock_once(facts: PlanFacts) -> Iterator[Check]:
    uses = Counter((cut.part, cut.offer, cut.unit, cut.owned) for cut in facts.plan.cuts)
    twice = [f"{part} from {offer or f'owned stock {owned}'}" for (part, offer, _, owned), n in uses.items() if n > 1]
    yield claim(rules.CUT_SOURCE, _LIST, not twice, f"stock listed twice: {', '.join(twice) or 'none'}")


def _spools_bought(facts: PlanFacts) -> Iterator[Check]:
    """Of a kit with spools of several lengths no more of one length is opened than came."""
    opened = Counter(
        (cut.offer, cut.part, cut.stock_mm) for cut in facts.plan.cuts if cut.offer is not None and cut.unit is not None
    )
    for (offer_id, part, length_mm), count in opened.items():
        offer = facts.catalogue.offer_by_id[offer_id]
        came = _ordered(facts, offer_id) * _spools(offer.contents, part).count(length_mm)
        subject = f"cut list, {facts.catalogue.part(part).label}"
        text = f"{count} spools of {length_mm} mm cut, {came} come with {offer_id}"
        yield at_most(rules.CUT_SPOOLS, subject, count, came, text)
