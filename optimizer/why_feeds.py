"""The feeds a load could have instead of the one planned, those included that the planned one beats."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import cache

from optimizer.catalogue import Catalogue, Part
from optimizer.feeds import FeedOption
from optimizer.job import Load
from optimizer.solve.instance import Instance, build
from optimizer.why_held import Held

_NO_DIRECT_FUSE_A = 1e-9  # no fuse is that small: then nothing is beaten for being dearer than direct feeding


class OtherFeeds:
    """Enumerated anew without a part of the planned feed: among those left, the usual comparisons stay right."""

    def __init__(self, held: Held) -> None:
        self._held = held
        self._without = cache(self._build_without)

    def of(self, load: Load) -> list[FeedOption]:
        """Every other feed worth considering: without some stage of the planned one, or with it elsewhere."""
        held = self._held
        known = [*held.instance.options[load.id], *held.instance.boosted[load.id]]
        chosen = held.options[load.id]
        if chosen is None:
            return known
        if chosen.stages:
            built = [self._without(stage.id, load.place) for stage in chosen.stages]
        else:
            built = [self._not_direct(load)]
        for other in built:
            known += [*other.options[load.id], *other.boosted[load.id]]
        return _unique(option for option in known if _is_other(option, chosen))

    def with_other_leads(self, load: Load) -> list[FeedOption]:
        """The planned stages with other leads."""
        held = self._held
        chosen = held.options[load.id]
        assert chosen is not None
        assert chosen.lead is not None
        known = [*held.instance.options[load.id], *held.instance.boosted[load.id]]
        for cable in chosen.lead.ids:
            other = self._without(cable, load.place)
            known += [*other.options[load.id], *other.boosted[load.id]]
        same_way = (option for option in known if _is_same_way(option, chosen))
        return _unique(option for option in same_way if option.lead_ids != chosen.lead_ids)

    def _build_without(self, part: str, place: str) -> Instance:
        catalogue = self._held.catalogue
        left = tuple(each for each in catalogue.parts if each.id != part)
        return self._build(place, left)

    def _not_direct(self, load: Load) -> Instance:
        job = self._held.job
        there = tuple(each for each in job.loads if each.place == load.place and each.id != load.id)
        bent = replace(load, max_fuse_a=_NO_DIRECT_FUSE_A)
        return build(replace(job, loads=(*there, bent)), self._held.catalogue)

    def _build(self, place: str, parts: tuple[Part, ...]) -> Instance:
        job, catalogue = self._held.job, self._held.catalogue
        there = tuple(load for load in job.loads if load.place == place)
        without = Catalogue(sellers=catalogue.sellers, parts=parts, offers=catalogue.offers)
        return build(replace(job, loads=there), without)


def _is_other(option: FeedOption, chosen: FeedOption) -> bool:
    """Whether a feed is another; the same stages with one more before them are no other to speak of."""
    adds_only = bool(chosen.stages) and {*chosen.stages} < {*option.stages}
    return not adds_only and not _is_same_way(option, chosen)


def _is_same_way(option: FeedOption, chosen: FeedOption) -> bool:
    """Whether two feeds are the same stages in the same positions, whatever their leads."""
    return (option.stages, option.panel_stages, option.host) == (chosen.stages, chosen.panel_stages, chosen.host)


def _unique(options: Iterable[FeedOption]) -> list[FeedOption]:
    by_key = {option.key: option for option in options}
    return [by_key[key] for key in sorted(by_key)]
