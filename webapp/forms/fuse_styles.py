"""Styles of fuse that the catalogue offers, and which of them suits a panel."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from webapp.present.styles import style_words
from webapp.present.words import quantity
from webapp.texts import _


@dataclass(frozen=True, slots=True, kw_only=True)
class FuseStyle:
    """A style of fuse the catalogue offers, and the largest fault its fuses break."""

    key: str
    interrupt_a: float
    max_v: float
    ratings: int

    @property
    def words(self) -> str:
        return _("%(style)s, breaks %(amps)s", style=style_words(self.key), amps=quantity(self.interrupt_a, "A", 9))


def fuse_styles(catalogue: Mapping[str, Any]) -> list[FuseStyle]:
    """The styles on offer, the one with most ratings first."""
    fuses: dict[str, list[Mapping[str, Any]]] = {}
    for part in catalogue["parts"]:
        if part["kind"] == "fuse":
            fuses.setdefault(part["style"], []).append(part)
    styles = [
        FuseStyle(
            key=key,
            interrupt_a=max(fuse["interrupt_a"] for fuse in members),
            max_v=max(fuse["max_v"] for fuse in members),
            ratings=len({fuse["rating_a"] for fuse in members}),
        )
        for key, members in fuses.items()
    ]
    return sorted(styles, key=lambda style: (-style.ratings, style.key))


def fitting_style(styles: Sequence[FuseStyle], fault_a: float, high_v: float) -> str:
    """A style that can break the fault at this voltage; the strongest there is where none can."""
    able = [style for style in styles if style.interrupt_a >= fault_a and style.max_v >= high_v]
    if able:
        return able[0].key
    return max(styles, key=lambda style: style.interrupt_a).key if styles else "blade-regular"


def too_weak(styles: Sequence[FuseStyle], document: Mapping[str, Any]) -> str:
    """What to say where no fuse of the panel's style breaks its fault current; empty where one does."""
    bus = document["bus"]
    interrupt_a = max((style.interrupt_a for style in styles if style.key == bus["fuse_style"]), default=0)
    if interrupt_a >= bus["fault_a"]:
        return ""
    return _(
        "No fuse of this style on offer breaks %(fault)s; the strongest breaks %(strongest)s. "
        "With it no plan is possible: choose another style, or have the fault current determined.",
        fault=quantity(bus["fault_a"], "A", 9),
        strongest=quantity(interrupt_a, "A", 9),
    )
