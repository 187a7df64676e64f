"""Ticks of a plan: their names, and how much of a list is done."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from webapp.present.words import money
from webapp.texts import _

TICKED = "yes"


def bought_words(rows: Iterable[tuple[str, int]], ticks: Mapping[str, str]) -> str:
    """How much of a shopping list is bought. `bought_shape` is the same with gaps, for the browser.

    Args:
        rows: Key and price of every line. [cents]
    """
    listed = list(rows)
    left = [cents for key, cents in listed if ticks.get(key) != TICKED]
    return _bought(str(len(listed) - len(left)), str(len(listed)), money(sum(left)))


def bought_shape() -> str:
    return _bought("{done}", "{all}", "{left}")


def done_words(keys: Iterable[str], ticks: Mapping[str, str]) -> str:
    """How many of some ticks are set."""
    listed = list(keys)
    return _done(str(sum(ticks.get(key) == TICKED for key in listed)), str(len(listed)))


def done_shape() -> str:
    return _done("{done}", "{all}")


def _bought(done: str, all_: str, left: str) -> str:
    return _("%(done)s of %(all)s bought, %(left)s of goods left", done=done, all=all_, left=left)


def _done(done: str, all_: str) -> str:
    return _("%(done)s of %(all)s done", done=done, all=all_)
