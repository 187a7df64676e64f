"""How wide words are at most, and where they break. Rounded against us: the widest of the usual system fonts counts."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from itertools import accumulate

_NARROW = frozenset("iljtfrI.,:;'|!()[]-/ \u00a0\u202f")
_WIDE = frozenset("mwMWOQG@%—…²Ω")
BOLD = 1.12  # bold type is wider by so much
LINE_PX = 18.0
SIZES_PX = {"title": 15.0, "note": 14.0, "cable": 14.0}  # as pictures.css has them
_MOST_LINES = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """One line of text by the start of its baseline, or its end where it is aligned so."""

    text: str
    x: float
    y: float
    kind: str  # one of SIZES_PX
    ends: bool = False

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom at most. [px]"""
        size_px = SIZES_PX[self.kind]
        wide_px = width_px(self.text, size_px, bold=self.kind == "title")
        left = self.x - wide_px if self.ends else self.x
        return left, self.y - 0.8 * size_px, left + wide_px, self.y + 0.22 * size_px


def lettered(
    x: float, top: float, room_px: float, *texts: tuple[str, str], most: int = _MOST_LINES
) -> tuple[tuple[Words, ...], float]:
    """Texts of a kind below each other from a top edge, broken into lines; with their bottom edge."""
    lines = [
        (line, kind)
        for text, kind in texts
        for line in wrapped(text, SIZES_PX[kind], room_px, bold=kind == "title", most=most)
    ]
    words = tuple(
        Words(text=line, x=x, y=round(top + index * LINE_PX + 0.8 * LINE_PX, 2), kind=kind)
        for index, (line, kind) in enumerate(lines)
    )
    return words, top + len(lines) * LINE_PX


def width_px(text: str, size_px: float, *, bold: bool = False) -> float:
    """Width of a line of text at most. [px]"""
    return sum(_em(sign) for sign in text) * size_px * (BOLD if bold else 1.0)


def wrapped(text: str, size_px: float, room_px: float, *, bold: bool = False, most: int = 99) -> tuple[str, ...]:
    """A text in lines that fit the room; a word that is too long is broken, a line too many ends in an ellipsis."""
    lines: list[str] = []
    for word in text.split(" "):
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and width_px(joined, size_px, bold=bold) <= room_px:
            lines[-1] = joined
        else:
            lines.extend(_broken(word, size_px, room_px, bold=bold))
    lines = [line for line in lines if line]
    if len(lines) <= most:
        return tuple(lines)
    return (*lines[: most - 1], _cut_short(" ".join(lines[most - 1 :]), size_px, room_px, bold=bold))


def _broken(word: str, size_px: float, room_px: float, *, bold: bool) -> list[str]:
    parts = [""]
    for sign in word:
        if parts[-1] and width_px(parts[-1] + sign, size_px, bold=bold) > room_px:
            parts.append("")
        parts[-1] += sign
    return parts


def _cut_short(text: str, size_px: float, room_px: float, *, bold: bool) -> str:
    fitting = [each for each in accumulate(text) if width_px(f"{each}…", size_px, bold=bold) <= room_px]
    return f"{fitting[-1].rstrip()}…" if fitting else "…"


def _em(sign: str) -> float:
    """Width of one sign in em, as the widest of DejaVu, Verdana, Roboto and Segoe have it, about."""
    if unicodedata.combining(sign):
        return 0.0
    if unicodedata.east_asian_width(sign) in ("W", "F"):
        return 1.05
    if sign in _WIDE:
        return 1.0
    if sign in _NARROW:
        return 0.42
    return 0.72 if sign.isupper() else 0.64
