"""Ticks of a plan: their names, and how much of a list is done."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Set
from typing import Any

from webapp.present.cuts import letter
from webapp.present.words import capital, money
from webapp.texts import N_, _

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


def first_open(keys: Iterable[str], ticks: Mapping[str, str]) -> str | None:
    """The first tick of a list that is not set."""
    return next((key for key in keys if ticks.get(key) != TICKED), None)


def progress_words(plan: Mapping[str, Any], ticked: Set[str]) -> str:
    """How much of a plan is bought and cut; empty before the first.

    Args:
        plan: Its document.
        ticked: Keys of ticks, of other lists too.
    """
    buy = {f"buy/{order['offer']}" for order in plan["orders"]}
    cut = {
        f"cut/{number}/{letter(index)}"
        for number, spool in enumerate(plan["cuts"], start=1)
        for index in range(len(spool["pieces"]))
    }
    if not (buy | cut) & ticked:
        return ""
    words = (
        _(shape, done=str(len(keys & ticked)), all=str(len(keys)))
        for shape, keys in ((N_("bought %(done)s of %(all)s"), buy), (N_("cut %(done)s of %(all)s"), cut))
        if keys
    )
    return capital(", ".join(words))


def done_shape() -> str:
    return _done("{done}", "{all}")


def _bought(done: str, all_: str, left: str) -> str:
    return _("%(done)s of %(all)s bought, %(left)s of goods left", done=done, all=all_, left=left)


def _done(done: str, all_: str) -> str:
    return _("%(done)s of %(all)s done", done=done, all=all_)
