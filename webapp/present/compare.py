"""Two to four finished plans side by side: the same rows for all, and what all have in common."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from optimizer.job import Load
from webapp.present.compare_figures import figure_rows
from webapp.present.compare_parts import feed_rows, part_rows
from webapp.present.compare_rows import LETTERS, Row, Same, Side, same_of
from webapp.present.compare_words import cheapest_words, difference_words
from webapp.present.energy import NO_RECHARGE
from webapp.present.words import listed
from webapp.texts import _, ngettext

LEAST, MOST = 2, len(LETTERS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """What the page of a comparison says."""

    differences: tuple[str, ...]  # a sentence for each plan but the first
    cheapest: str  # which one for how many hours; empty where that would mislead
    mind: tuple[str, ...]  # what makes the figures less alike than they look
    figures: tuple[Row, ...]
    feeds: tuple[Row, ...]
    parts: tuple[Row, ...]
    parts_closed: str  # why no parts are compared; empty where they are, or are the same
    same: tuple[Same, ...]
    no_recharge: str


def comparison(sides: Sequence[Side]) -> Comparison:
    """All that differs, row by row, then all that does not."""
    figures = figure_rows(sides)
    feeds, fed_alike = feed_rows(sides)
    parts, bought_alike = part_rows(sides)
    is_alone = len(sides) == 1  # beside others that have no plan: then nothing is the same in all
    return Comparison(
        differences=tuple(difference_words(sides[0], side) for side in sides[1:]),
        cheapest="" if _other_loads(sides) else cheapest_words(sides),
        mind=tuple(filter(None, (_other_loads(sides), _other_volts(sides), _other_prices(sides)))),
        figures=tuple(row for row in figures if is_alone or not row.is_same),
        feeds=feeds,
        parts=parts,
        parts_closed=_parts_closed(sides),
        same=() if is_alone else (*same_of(figures), *fed_alike, *bought_alike),
        no_recharge=_(NO_RECHARGE),
    )


def _other_loads(sides: Sequence[Side]) -> str:
    if _differ(sides, lambda load: load.label):
        return _("They do not feed the same loads: the cheaper one may simply do less.")
    if _differ(sides, lambda load: (load.label, load.peak_w, load.typical_w, load.hours_per_day)):
        return _("Their loads are the same by name, but not by power or hours.")
    return ""


def _other_volts(sides: Sequence[Side]) -> str:
    if len({side.job.bus.nominal_v for side in sides}) == 1:
        return ""
    return _(
        "Not at the same voltage: a charger, an inverter and whatever else hangs on the panel today are in no price."
    )


def _differ(sides: Sequence[Side], told: Callable[[Load], object]) -> bool:
    return len({frozenset(Counter(told(load) for load in side.job.loads).items()) for side in sides}) > 1


def _other_prices(sides: Sequence[Side]) -> str:
    revisions = {side.catalogue_revision for side in sides}
    if len(revisions) == 1:
        return ""
    return _("The catalogue has changed between them: their prices are not of the same day.")


def _parts_closed(sides: Sequence[Side]) -> str:
    waiting = [side.letter for side in sides if side.waits]
    if not waiting:
        return ""
    return ngettext(
        "What %(plans)s buys is not shown before a qualified person answers for it.",
        "What %(plans)s buy is not shown before a qualified person answers for each of them.",
        len(waiting),
        plans=listed(waiting),
    )
