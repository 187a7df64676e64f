"""Chains of stages as rows of numbers, so that tens of thousands are grown and compared at once.

A chain is a row of indices of stages, filled up with an index that stands for nothing: it loses nothing, limits nothing
and costs nothing. Figures come out exactly as they do stage by stage.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optimizer.arrays import Bools, Floats, Ints
from optimizer.catalogue import BUS_FORM, Stage
from optimizer.job import Bus, Job
from optimizer.price_table import Further, PartPrices, PriceTable
from optimizer.rivals import unbeaten

MAX_STAGES = 3  # planning rules 2

_TIE = 1e-10  # relative, as `units.is_within`

Chain = tuple[Stage, ...]


class Shelf:
    """The stages that chains are made of, column by column; the last row stands for nothing."""

    def __init__(self, stages: Sequence[Stage]) -> None:
        self.stages = list(stages)
        self.nothing = len(self.stages)
        forms = [BUS_FORM, *(form for s in self.stages for form in (s.in_form, s.out_form))]
        self.form_codes = {form: code for code, form in enumerate(dict.fromkeys(forms))}
        self.in_form = np.array([*(self.form_codes[s.in_form] for s in self.stages), -1], dtype=np.intp)
        self.out_form = np.array([*(self.form_codes[s.out_form] for s in self.stages), -1], dtype=np.intp)
        self.in_min_v = self._column((s.in_min_v for s in self.stages), -math.inf)
        self.in_max_v = self._column((s.in_max_v for s in self.stages), math.inf)
        self.out_v = self._column((math.nan if s.out_v is None else s.out_v for s in self.stages), math.nan)
        self.max_out_w = self._column((s.max_out_w for s in self.stages), math.inf)
        self.efficiency = self._column((s.efficiency for s in self.stages), 1.0)
        self.idle_w = self._column((s.idle_w for s in self.stages), 0.0)
        self.max_fuse_a = self._column((_or_inf(s.max_fuse_a) for s in self.stages), math.inf)
        self.max_in_a = self._column((_or_inf(s.max_in_a) for s in self.stages), math.inf)
        self.max_mm2 = self._column((_or_inf(s.max_conductor_mm2) for s in self.stages), math.inf)
        self.outlets = self._column((s.outlets for s in self.stages), 0.0)
        self.limits_output = np.array([*(s.limits_output for s in self.stages), True], dtype=bool)
        self.fixes = ~np.isnan(self.out_v)

    @staticmethod
    def _column(values: Iterable[float], nothing: float) -> Floats:
        return np.array([*values, nothing], dtype=np.float64)

    def none(self) -> Chains:
        """The empty chain: the bus itself."""
        return Chains(self, np.full((1, MAX_STAGES), self.nothing, dtype=np.intp))


def _or_inf(value: float | None) -> float:
    return math.inf if value is None else value


@dataclass(frozen=True)
class Chains:
    """Some chains. Every figure is an array with one value for each."""

    shelf: Shelf
    index: Ints  # (chain, position)

    def __len__(self) -> int:
        return len(self.index)

    def __getitem__(self, rows: Ints | Bools) -> Chains:
        return Chains(self.shelf, self.index[rows])

    def __add__(self, other: Chains) -> Chains:
        return Chains(self.shelf, np.concatenate([self.index, other.index]))

    def as_stages(self) -> list[Chain]:
        stages, nothing = self.shelf.stages, self.shelf.nothing
        return [tuple(stages[n] for n in row if n != nothing) for row in self.index.tolist()]

    @cached_property
    def length(self) -> Ints:
        return np.asarray((self.index != self.shelf.nothing).sum(axis=1), dtype=np.intp)

    @cached_property
    def first(self) -> Ints:
        return np.asarray(self.index[:, 0], dtype=np.intp)

    @cached_property
    def last(self) -> Ints:
        """The last stage, nothing where the chain is empty."""
        return np.asarray(self.index[np.arange(len(self)), np.maximum(self.length - 1, 0)], dtype=np.intp)

    @cached_property
    def fixer(self) -> Ints:
        """The last stage with a voltage of its own; nothing where there is none."""
        found = np.full(len(self), self.shelf.nothing, dtype=np.intp)
        for position in range(MAX_STAGES):
            here = self.index[:, position]
            found = np.where(self.shelf.fixes[here], here, found)
        return found

    @cached_property
    def fixed_v(self) -> Floats:
        """Voltage at the end; not a number where it is still the bus's. [V]"""
        return np.asarray(self.shelf.out_v[self.fixer])

    @cached_property
    def form(self) -> Ints:
        """Code of the form at the end."""
        bus = self.shelf.form_codes[BUS_FORM]
        return np.asarray(np.where(self.length > 0, self.shelf.out_form[self.last], bus), dtype=np.intp)

    @cached_property
    def _reached(self) -> list[tuple[Ints, Bools]]:
        """The stages with whether each sees the bus voltage: up to the first that fixes one, that one included."""
        found, sees_bus = [], np.ones(len(self), dtype=bool)
        for position in range(MAX_STAGES):
            here = self.index[:, position]
            found.append((here, sees_bus))
            sees_bus = sees_bus & ~self.shelf.fixes[here]
        return found

    def floor_v(self, least_v: float) -> Floats:
        """Lowest voltage that the stages on the bus may see, at least a given one. [V]"""
        floor = np.full(len(self), least_v)
        for here, sees_bus in self._reached:
            floor = np.where(sees_bus, np.maximum(floor, self.shelf.in_min_v[here]), floor)
        return floor

    @cached_property
    def fuse_limit_a(self) -> Floats:
        """Largest fuse that the stages on the bus allow; infinite where none states one. [A]"""
        limit = np.full(len(self), math.inf)
        for here, sees_bus in self._reached:
            stated = np.minimum(self.shelf.max_fuse_a[here], self.shelf.max_in_a[here])
            limit = np.where(sees_bus, np.minimum(limit, stated), limit)
        return limit

    def passed_on(self, headroom: float) -> tuple[Floats, Floats, Floats]:
        """Power taken with nothing behind, per watt put out, and the most put out with headroom. [W], [W/W], [W]"""
        shelf, count = self.shelf, len(self)
        idle_w, per_w, most_out_w = np.zeros(count), np.ones(count), np.full(count, math.inf)
        for position in reversed(range(MAX_STAGES)):
            here = self.index[:, position]
            most_out_w = np.minimum(most_out_w, (shelf.max_out_w[here] / headroom - idle_w) / per_w)
            idle_w = shelf.idle_w[here] + idle_w / shelf.efficiency[here]
            per_w = per_w / shelf.efficiency[here]
        return idle_w, per_w, most_out_w

    @cached_property
    def weakest_w(self) -> Floats:
        """What every stage can put out at least. [W]"""
        return np.asarray(self.shelf.max_out_w[self.index].min(axis=1))

    # -- longer ones --------------------------------------------------------------------------------------------------

    def longer(self, bus: Bus, beaten: Bools) -> Chains:
        """All chains with one stage more.

        Args:
            beaten: Whether a better chain puts out the same. Another converter does not care which of the two feeds
                it; a passive plug, or what limits the current before it, may.
        """
        shelf = self.shelf
        choosy = ~shelf.fixes | np.isfinite(shelf.max_in_a)
        found = [np.empty((0, MAX_STAGES), dtype=np.intp)]
        for form in np.unique(self.form):
            following = np.flatnonzero(shelf.in_form == form)
            following = following[shelf.fixes[following] | (shelf.out_form[following] != form)]  # else nothing changes
            here = self.form == form
            found.append(self._followed(np.flatnonzero(here & ~beaten), following, bus))
            found.append(self._followed(np.flatnonzero(here & beaten), following[choosy[following]], bus))
        return Chains(shelf, np.concatenate(found))

    def _followed(self, rows: Ints, following: Ints, bus: Bus) -> Ints:
        """The rows with every stage behind each that may follow it."""
        shelf, chains = self.shelf, self[rows]
        before_v, fixer = chains.fixed_v[:, None], chains.fixer
        on_bus = np.isnan(before_v)
        takes_bus = (shelf.in_min_v <= bus.low_v) & (bus.high_v <= shelf.in_max_v)
        takes_v = (shelf.in_min_v[following] <= before_v) & (before_v <= shelf.in_max_v[following])
        fits = np.where(on_bus, takes_bus[following], takes_v)
        for position in range(MAX_STAGES):
            fits &= chains.index[:, position, None] != following
        with np.errstate(invalid="ignore"):
            full_a = (shelf.max_out_w[fixer] / shelf.out_v[fixer])[:, None]
            fits &= on_bus | (full_a <= shelf.max_in_a[following] * (1 + _TIE))  # rules 10: passive plugs
        fits &= on_bus | shelf.limits_output[fixer][:, None] | ~shelf.fixes[following]
        one, stage = np.nonzero(fits)
        index = chains.index[one]
        index[np.arange(len(one)), chains.length[one]] = following[stage]
        return index


def useful_stages(stages: Iterable[Stage], job: Job) -> list[Stage]:
    """The stages whose output leads to a form some load takes, and whose input some voltage here suits."""
    useful = list(stages)
    fixed_v = {stage.out_v for stage in useful if stage.out_v is not None}
    useful = [s for s in useful if _takes_bus(s, job.bus) or any(s.in_min_v <= v <= s.in_max_v for v in fixed_v)]
    forms = {load.needs.form for load in job.loads}
    while more := {stage.in_form for stage in useful if stage.out_form in forms} - forms:
        forms |= more
    return [stage for stage in useful if stage.out_form in forms]


def _takes_bus(stage: Stage, bus: Bus) -> bool:
    return stage.in_min_v <= bus.low_v and bus.high_v <= stage.in_max_v


def unbeaten_chains(
    chains: Chains, figures: Sequence[Floats], prices: PartPrices, further: Further, may_beat: Bools | None = None
) -> Ints:
    """The chains that no other beats, price and figures together; tried in order of length and price.

    Args:
        figures: One array each, the smaller the better.
        further: What any change of chain may cost besides.
        may_beat: Which chains may stand for others; None: all of them.
    """
    table = PriceTable(prices, chains.index)
    ids = (column for column in reversed(chains.index.T))
    order = np.lexsort((*ids, table.most_cents(further), chains.length))

    def are_dearer(rivals: Ints, ones: Ints) -> Bools:
        return table.are_dearer(rivals, ones, lambda *_: further, same_is_dearer=False)

    return unbeaten(np.stack([*figures, table.price], axis=1), order, are_dearer, may_beat)
