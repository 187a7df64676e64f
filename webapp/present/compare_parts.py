"""How plans feed each load, and what each of them buys, side by side."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from optimizer.plan import Feed
from webapp.present.compare_rows import Cell, Row, Same, Side, closed_cell
from webapp.present.words import counted, exactly, listed, quantity
from webapp.texts import _, bound

MM = 1000  # to a metre
Amounts = dict[str, tuple[int, int]]  # by part: pieces, and length in mm


@dataclass(frozen=True, slots=True, kw_only=True)
class _Fed:
    """How one load is fed: `how` tells feeds apart, whatever is said of them."""

    how: object
    words: str


def feed_rows(sides: Sequence[Side]) -> tuple[tuple[Row, ...], tuple[Same, ...]]:
    """The loads that are not fed the same way by all plans, and those that are.

    Loads are known again by their names: ids of two jobs have nothing to do with each other.
    """
    fed = [dict(_fed(side)) for side in sides]
    names = list(dict.fromkeys(name for each in fed for name in each))
    alike = [name for name in names if len({each[name].how if name in each else None for each in fed}) == 1]
    rows = tuple(
        Row(title=name[0], cells=tuple(_feed_cell(each.get(name)) for each in fed))
        for name in names
        if name not in alike
    )
    same = Same(title=_("Fed the same way"), text=listed([label for label, _at in alike]))
    return rows, (same,) if alike else ()


def part_rows(sides: Sequence[Side]) -> tuple[tuple[Row, ...], tuple[Same, ...]]:
    """The parts that are not bought alike by all plans, and how many are. Nothing of a plan that waits for a person."""
    bought = [None if side.waits else _bought(side) for side in sides]
    shown = [each for each in bought if each is not None]
    if len(shown) < 2:
        return (), ()
    parts = sorted({part for each in shown for part in each}, key=lambda part: _label(sides, part).casefold())
    apart = [part for part in parts if len({each.get(part) for each in shown}) > 1]
    rows = tuple(
        Row(title=_label(sides, part), cells=tuple(_part_cell(each, part) for each in bought)) for part in apart
    )
    alike = len(parts) - len(apart)
    words = counted("%(num)s part, as many of it", "%(num)s parts, as many of each", alike)
    return rows, (Same(title=_("Bought alike"), text=words),) if alike else ()


def _fed(side: Side) -> Iterator[tuple[tuple[str, int], _Fed]]:
    """Every load by its name, the second of the same name as such, with its feed."""
    seen: Counter[str] = Counter()
    feeds = {feed.load: feed for feed in side.plan.feeds}
    for load in side.job.loads:
        if load.id in feeds:
            seen[load.label] += 1
            yield (load.label, seen[load.label]), _feed(side, feeds[load.id])


def _feed(side: Side, feed: Feed) -> _Fed:
    host = side.job.load_by_id[feed.shares].label if feed.shares else ""
    return _Fed(how=(feed.source, feed.stages, feed.panel_stages, host), words=_feed_words(side, feed, host))


def _feed_words(side: Side, feed: Feed, host: str) -> str:
    """Parts are named only where whoever reads it may buy them."""
    if feed.source == "ac":
        return _("stays on the inverter")
    if host:
        return _("from the converter of %(load)s", load=host)
    if not feed.stages:
        return _("straight from the panel")
    if side.waits:
        return counted("through %(num)s part", "through %(num)s parts", len(feed.stages))
    names = [bound(side.catalogue.part(stage).label) for stage in feed.stages]
    at_panel = [_("%(part)s, at the panel", part=name) for name in names[: feed.panel_stages]]
    return _("through %(parts)s", parts="; ".join([*at_panel, *names[feed.panel_stages :]]))


def _feed_cell(fed: _Fed | None) -> Cell:
    return Cell(text=_("not in this plan"), is_quiet=True) if fed is None else Cell(text=fed.words)


def _bought(side: Side) -> Amounts:
    """How many pieces, or what length in all, a plan buys of each part."""
    amounts: Amounts = {}
    for order in side.plan.orders:
        for content in side.catalogue.offer_by_id[order.offer].contents:
            pieces, mm = amounts.get(content.part, (0, 0))
            pieces += (content.count or 0) * order.quantity
            mm += round((content.length_m or 0) * MM) * order.quantity
            amounts[content.part] = pieces, mm
    return amounts


def _part_cell(bought: Amounts | None, part: str) -> Cell:
    if bought is None:
        return closed_cell()
    if part not in bought:
        return Cell(text=_("none"), is_quiet=True)
    pieces, mm = bought[part]
    return Cell(text=quantity(mm / MM, "m", 5) if mm else exactly(pieces))


def _label(sides: Sequence[Side], part: str) -> str:
    """Its name in the first catalogue that has it: sides may be planned from different ones."""
    known = (side.catalogue for side in sides if not side.waits)
    return next(bound(catalogue.part(part).label) for catalogue in known if part in catalogue)
