"""The cut list: one bar per spool, to scale, and the same as rows."""

from __future__ import annotations

import string
from collections.abc import Sequence
from dataclasses import dataclass

from optimizer.catalogue import Cable, Catalogue, Stage
from optimizer.job import Job
from optimizer.plan import Cut, Feed, Piece, Plan
from webapp.pictures.cut_bar import CutBar, cut_bar
from webapp.present.words import metres, quantity
from webapp.texts import _


@dataclass(frozen=True, slots=True, kw_only=True)
class CutRow:
    letter: str
    goes_to: str
    length: str
    mark: str  # what to write on both ends


@dataclass(frozen=True, slots=True, kw_only=True)
class SpoolView:
    """One spool, length by the metre or offcut, with its cuts longest first."""

    cable: str
    stock: str
    origin: str
    bar: CutBar
    rows: tuple[CutRow, ...]
    left: str
    summary: str  # the bar in words, for those who cannot see it


def spool_views(job: Job, catalogue: Catalogue, plan: Plan) -> tuple[SpoolView, ...]:
    """Every spool of the plan, as the plan lists them."""
    return tuple(_spool(job, catalogue, plan, cut) for cut in plan.cuts)


def _spool(job: Job, catalogue: Catalogue, plan: Plan, cut: Cut) -> SpoolView:
    pieces = sorted(cut.pieces, key=lambda piece: -piece.mm)
    rows = tuple(_row(job, catalogue, plan, piece, index) for index, piece in enumerate(pieces))
    cable = cable_words(catalogue, (cut.part,))
    named = ", ".join(
        _("%(letter)s %(length)s for %(use)s", letter=row.letter, length=row.length, use=row.goes_to) for row in rows
    )
    return SpoolView(
        cable=cable,
        stock=metres(cut.stock_mm),
        origin=_origin(cut),
        bar=cut_bar([(letter(index), piece.mm) for index, piece in enumerate(pieces)], cut.stock_mm),
        rows=rows,
        left=metres(cut.left_mm),
        summary=_(
            "%(cable)s, %(stock)s: %(cuts)s; left %(left)s.",
            cable=cable,
            stock=metres(cut.stock_mm),
            cuts=named,
            left=metres(cut.left_mm),
        ),
    )


def _row(job: Job, catalogue: Catalogue, plan: Plan, piece: Piece, index: int) -> CutRow:
    goes_to, mark = _purpose(job, catalogue, plan, piece)
    return CutRow(letter=letter(index), goes_to=goes_to, length=metres(piece.mm), mark=mark)


def _purpose(job: Job, catalogue: Catalogue, plan: Plan, piece: Piece) -> tuple[str, str]:
    """What a piece is for, and what to write on both of its ends."""
    if piece.lead is not None:
        return _("lead of %(load)s", load=job.load_by_id[piece.lead].label), piece.lead
    boosted = {feed.circuit: feed for feed in plan.feeds if feed.run is not None}
    if piece.run is not None:
        feed = next(feed for feed in boosted.values() if feed.load == piece.run)
        place = job.place_by_id[job.load_by_id[feed.load].place].label
        # whoever opens it later must not take it for the battery's voltage
        mark = f"{feed.circuit}, {quantity(run_v(catalogue, feed), 'V')}"
        return _("run to %(place)s, from the converter at the panel", place=place), mark
    circuit = next(each for each in plan.circuits if each.id == piece.circuit)
    if circuit.id in boosted:
        load = job.load_by_id[circuit.loads[0]].label
        return _("panel to the converter there, for %(load)s", load=load), circuit.id
    return _("run to %(place)s", place=job.place_by_id[circuit.place].label), circuit.id


def run_v(catalogue: Catalogue, feed: Feed) -> float:
    """What the stages at the panel put on the run to the place. [V]"""
    volts = fixed_v(catalogue, feed.stages[: feed.panel_stages])
    assert volts is not None  # such a run begins behind a converter
    return volts


def fixed_v(catalogue: Catalogue, stages: Sequence[str]) -> float | None:
    """What stages put out, by their ids; None where all of them pass on the voltage of the bus. [V]"""
    volts = (catalogue.get(Stage, stage).out_v for stage in reversed(stages))
    return next((each for each in volts if each is not None), None)


def _origin(cut: Cut) -> str:
    if cut.owned is not None:
        return _("your own offcut")
    if cut.unit is None:
        return _("one length by the metre")
    return _("spool %(number)s", number=cut.unit + 1) if cut.unit else _("spool")


def cable_words(catalogue: Catalogue, parts: tuple[str, ...]) -> str:
    """A cable, or the pair of singles that make one."""
    cables = [catalogue.get(Cable, part) for part in parts]
    mm2 = quantity(cables[0].mm2, "mm²", 6)
    if len(cables) == 2:
        return _("%(area)s singles, + and −", area=mm2)
    first = cables[0]
    if first.cores == 2:
        return _("%(area)s twin", area=mm2)
    return _("%(area)s single, %(sign)s", area=mm2, sign="+" if first.polarity == "positive" else "−")


def letter(index: int) -> str:
    """What a cut is called on its spool, from 0."""
    turn, place = divmod(index, 26)
    return string.ascii_uppercase[place] + (str(turn) if turn else "")
