"""The cuts one after the other, in the order of cutting: ticked off, or read one at a time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from webapp.present.cuts import SpoolView
from webapp.texts import _


@dataclass(frozen=True, slots=True, kw_only=True)
class CutLine:
    """One cut."""

    key: str  # of its tick
    number: int  # from 1, over all spools
    letter: str
    cable: str
    spool: str  # which one, and how long it is
    length: str
    goes_to: str
    ends: str  # what to write on both of its ends
    place: str  # "3 of 9"


@dataclass(frozen=True, slots=True, kw_only=True)
class SpoolCuts:
    """A spool as a bar, and its cuts to tick off."""

    spool: SpoolView
    lines: tuple[CutLine, ...]


def spool_cuts(spools: Sequence[SpoolView]) -> tuple[SpoolCuts, ...]:
    """Every spool with its cuts, longest first."""
    total = sum(len(spool.rows) for spool in spools)
    cuts, before = [], 0
    for index, spool in enumerate(spools, start=1):
        cuts.append(SpoolCuts(spool=spool, lines=_lines(spool, index, before, total)))
        before += len(spool.rows)
    return tuple(cuts)


def _lines(spool: SpoolView, index: int, before: int, total: int) -> tuple[CutLine, ...]:
    return tuple(
        CutLine(
            key=f"cut/{index}/{row.letter}",
            number=number,
            letter=row.letter,
            cable=spool.cable,
            spool=f"{spool.origin}, {spool.stock}",
            length=row.length,
            goes_to=row.goes_to,
            ends=row.mark,
            place=_("%(number)s of %(total)s", number=number, total=total),
        )
        for number, row in enumerate(spool.rows, start=before + 1)
    )


def line_shown(lines: Sequence[CutLine], ticks: dict[str, str], asked: str) -> int:
    """Which cut to show: the one asked for, or the first that is not made yet. From 1; 0 where there is none."""
    if not lines:
        return 0
    if asked.isascii() and asked.isdigit() and len(asked) < 6:
        return min(max(int(asked), 1), len(lines))
    return next((line.number for line in lines if line.key not in ticks), len(lines))
