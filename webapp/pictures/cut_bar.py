"""One spool as a bar to scale: its pieces in the order of cutting, a numbered pair of scissors at every cut.

Across, all is in percent of the bar, so that one drawing fits every width and its letters keep their size; what fits is
decided at the narrowest width. Kerf is not drawn.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from webapp.pictures.lettering import width_px
from webapp.present.words import metres, quantity
from webapp.texts import _

NARROWEST_PX = 288.0  # the bar on a phone of 320 px
LETTER_PX, NOTE_PX, NUMBER_PX = 17.0, 14.0, 14.0
APART_PX = 24.0  # between the numbers of one row
EDGE_PX = 12.0
MOST_ROWS = 2
ROW_PX = 34.0  # a number with its scissors
LEADER_PX, SLANT_PX = 12.0, 10.0
BAR_PX = 54.0
RULER_PX = 9.0
PATTERNS = 3  # neighbours differ by pattern, not by colour alone
TICK_STEPS_MM = (100, 500, 1000, 5000, 10_000, 50_000, 100_000, 500_000, 1_000_000)
MOST_TICKS = 30


@dataclass(frozen=True, slots=True, kw_only=True)
class BarPiece:
    x_pct: str
    width_pct: str
    middle_pct: str
    pattern: int
    text: str  # its letter, with its length where that fits; empty where neither does


@dataclass(frozen=True, slots=True, kw_only=True)
class CutMark:
    """A pair of scissors: where the cut is, and where its number stands clear of the others."""

    number: str  # in the order of cutting; empty where there are too many to name
    cut_pct: str
    label_pct: str
    y: float  # top of the number
    leader_from_y: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CutBar:
    height: float
    bar_y: float
    leader_y: float  # from there leaders slant from their numbers to the cuts
    pieces: tuple[BarPiece, ...]
    marks: tuple[CutMark, ...]
    left_x_pct: str
    left_width_pct: str
    left_middle_pct: str
    left_text: str  # empty where it does not fit
    ticks: tuple[str, ...]
    tick_words: str


def cut_bar(pieces: Sequence[tuple[str, int]], stock_mm: int) -> CutBar:
    """The bar of a spool.

    Args:
        pieces: Letter and length of each, in the order of cutting. [mm]
        stock_mm: Length of the spool, at least what the pieces need. [mm]
    """
    ends_mm = [sum(mm for _letter, mm in pieces[: index + 1]) for index in range(len(pieces))]
    cuts_mm = [mm for mm in ends_mm if mm < stock_mm]
    marks, rows = _marks([mm / stock_mm for mm in cuts_mm])
    bar_y = rows * ROW_PX + (LEADER_PX if rows else 0)
    used_mm = ends_mm[-1] if ends_mm else 0
    left_mm = stock_mm - used_mm
    step_mm = next((step for step in TICK_STEPS_MM if stock_mm / step <= MOST_TICKS), TICK_STEPS_MM[-1])
    return CutBar(
        height=bar_y + BAR_PX + RULER_PX + 1,
        bar_y=bar_y,
        leader_y=bar_y - SLANT_PX,
        pieces=tuple(
            _piece(index, letter, mm, end_mm, stock_mm)
            for index, ((letter, mm), end_mm) in enumerate(zip(pieces, ends_mm, strict=True))
        ),
        marks=marks,
        left_x_pct=_pct(used_mm / stock_mm),
        left_width_pct=_pct(left_mm / stock_mm),
        left_middle_pct=_pct((used_mm + left_mm / 2) / stock_mm),
        left_text=_left_text(left_mm, stock_mm),
        ticks=tuple(_pct(mm / stock_mm) for mm in range(step_mm, stock_mm, step_mm)),
        tick_words=_("one tick is %(length)s", length=quantity(step_mm / 1000, "m")),
    )


def _piece(index: int, letter: str, mm: int, end_mm: int, stock_mm: int) -> BarPiece:
    room_px = mm / stock_mm * NARROWEST_PX - 8
    full = f"{letter}  {metres(mm)}"
    fitting = [text for text in (full, letter) if width_px(text, LETTER_PX, bold=True) <= room_px]
    return BarPiece(
        x_pct=_pct((end_mm - mm) / stock_mm),
        width_pct=_pct(mm / stock_mm),
        middle_pct=_pct((end_mm - mm / 2) / stock_mm),
        pattern=index % PATTERNS + 1,
        text=fitting[0] if fitting else "",
    )


def _left_text(left_mm: int, stock_mm: int) -> str:
    text = _("left %(length)s", length=metres(left_mm))
    return text if width_px(text, NOTE_PX, bold=True) <= left_mm / stock_mm * NARROWEST_PX - 8 else ""


def _marks(shares: Sequence[float]) -> tuple[tuple[CutMark, ...], int]:
    """Scissors at shares of the length, and the rows their numbers take: spread in order, so leaders never cross."""
    room_px = NARROWEST_PX - 2 * EDGE_PX
    every = max(1, math.ceil((len(shares) - 1) * APART_PX / (MOST_ROWS * room_px)))
    named = shares[::every]
    rows = min(MOST_ROWS, max(1, math.ceil((len(named) - 1) * APART_PX / room_px))) if named else 0
    labels = _spread([share * NARROWEST_PX for share in named], APART_PX / max(1, rows))
    placed = {index * every: (x_px, index % rows) for index, x_px in enumerate(labels)}
    marks = []
    for index, share in enumerate(shares):
        x_px, row = placed.get(index, (share * NARROWEST_PX, rows - 1))
        marks.append(
            CutMark(
                number=str(index + 1) if index in placed else "",
                cut_pct=_pct(share),
                label_pct=_pct(x_px / NARROWEST_PX),
                y=row * ROW_PX,
                leader_from_y=(row + 1) * ROW_PX - 2,
            )
        )
    return tuple(marks), rows


def _spread(wanted_px: Sequence[float], apart_px: float) -> list[float]:
    """Positions in order and so far apart, as near as that allows to where they are wanted. [px]"""
    spread: list[float] = []
    for x_px in wanted_px:
        spread.append(max(x_px, EDGE_PX, spread[-1] + apart_px if spread else 0.0))
    most_px = NARROWEST_PX - EDGE_PX
    for index in reversed(range(len(spread))):
        spread[index] = min(spread[index], most_px)
        most_px = spread[index] - apart_px
    return spread


def _pct(share: float) -> str:
    return f"{100 * share:.4f}%"
