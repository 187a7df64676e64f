"""The rules of a circuit that is laid whole: rows only where its feeds still decide what serves it.

A feed is one choice whatever its circuit. That it rules out conductors and fuses of some circuits is one row for each
distinct set of them, over all the circuits its load may be on: a clique, so the relaxation cannot halve it. Only where
the feeds of several loads decide together is the sum of their currents a row.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterable, Sequence
from itertools import combinations

import numpy as np

from optimizer.feeds import FeedOption
from optimizer.job import Load
from optimizer.solve.circuits import FEW_LOADS, MANY_LOADS, Circuit
from optimizer.solve.fits import Fit, Level
from optimizer.solve.limits import band_slacks, feed_fuse_limit_a
from optimizer.solve.variables import Expr, Model, Term, Var, Variables, total
from optimizer.units import is_within

Ruled = dict[Hashable, Var]  # what a feed rules out


def fed_from_a_circuit(model: Model, v: Variables) -> None:
    """A load is fed from the bus where a circuit with it is laid."""
    for load, circuits in _of_loads(v):
        laid = [var for circuit in circuits for var in v.opened(circuit)]
        model.add(sum(var for _, var in v.feeds_of(load, circuits[0])) == sum(laid))


def of_any_three_two_together_once(model: Model, v: Variables) -> None:
    """Of any three loads two hang together on one circuit at the most: two such circuits would share a load.

    It follows from one feed for each load. Said once more, it keeps the relaxation from laying half of each of three
    circuits (subset rows of Jepsen, Petersen, Spoorendonk and Pisinger, 2008). Of 50 loads it raised the relaxation by
    0.06 % and the first searches for better plans ended dearer; jobs of 12 took 7 to 13 s with it, 7 to 9 without.
    """
    if not FEW_LOADS < len(v.instance.loads) <= MANY_LOADS:
        return
    for group in v.groups:
        whole = [circuit for circuit in group.circuits if circuit.is_whole]
        for three in combinations(group.loads, 3):
            two = [circuit for circuit in whole if sum(load in three for load in circuit.members) > 1]
            if len(two) > 1:
                model.add(sum(var for circuit in two for var in v.opened(circuit)) <= 1)


def conductor_suits_feed(model: Model, v: Variables) -> None:
    """The run's conductor carries the circuit with this feed within its drop; the first stage takes it."""
    for load, circuits in _of_loads(v):
        options, feeds = zip(*v.feeds_of(load, circuits[0]), strict=True)
        _exclude(model, list(zip(feeds, _bad_pairs(v, circuits, load, options), strict=True)), 1)


def fuse_suits_feed(model: Model, v: Variables) -> None:
    """The fuse carries the circuit with this feed, is not oversized, and is within what the feed takes."""
    for load, circuits in _of_loads(v):
        options, feeds = zip(*v.feeds_of(load, circuits[0]), strict=True)
        for n, (_, slack) in enumerate(band_slacks(v, load.place)):
            limits_a = [feed_fuse_limit_a(v, load, option, n) for option in options]
            _exclude(model, list(zip(feeds, _bad_ratings(v, circuits, load, limits_a), strict=True)), 1 + slack)


def _of_loads(v: Variables) -> Iterable[tuple[Load, list[Circuit]]]:
    """Loads with the circuits that a choice of feed is about: those at the place, and the one at the panel."""
    for group in v.groups:
        for load in group.loads:
            for at_panel in (False, True):
                circuits = [c for c in group.of(load) if c.is_whole and c.at_panel == at_panel]
                if circuits:
                    yield load, circuits


def _exclude(model: Model, feeds: list[tuple[Var, Ruled]], most: Expr) -> None:
    """One of: a feed, or what it rules out; feeds that rule out at least as much stand in the same row."""
    distinct = {frozenset(ruled): ruled for _, ruled in feeds if ruled}
    for keys, ruled in distinct.items():
        alike = [var for var, other in feeds if keys <= other.keys()]
        model.add(sum(alike) + sum(ruled.values()) <= most)


def _bad_pairs(v: Variables, circuits: list[Circuit], load: Load, options: Sequence[FeedOption]) -> list[Ruled]:
    """By feed, the conductors that it rules out."""
    found: list[Ruled] = [{} for _ in options]
    thickest = np.array([[option.max_conductor_mm2] for option in options])
    for circuit in circuits:
        fit, pairs = _fit(circuit), [pair for pair, _ in v.pairs(circuit)]
        is_sure = np.array([fit.any_feeds_on(pair) for pair in pairs])
        serves = is_sure | fit.serves(circuit.members.index(load), pairs)
        too_thick = np.array([pair.pair.mm2 for pair in pairs]) > thickest
        for feed, n in np.argwhere(too_thick | ~serves).tolist():
            found[feed][circuit.key, n] = v.pairs(circuit)[n][1]
    return found


def _bad_ratings(v: Variables, circuits: list[Circuit], load: Load, limits_a: Sequence[float]) -> list[Ruled]:
    """By feed, the fuses that it rules out.

    Args:
        limits_a: The largest fuse of each feed.
    """
    found: list[Ruled] = [{} for _ in limits_a]
    for circuit in circuits:
        fit, ratings = _fit(circuit), [rating for rating, _ in v.ratings(circuit)]
        within = np.array([[is_within(rating, limit_a) for rating in ratings] for limit_a in limits_a])
        is_sure = np.array([fit.is_sure_behind(rating) for rating in ratings])
        suits = within & (is_sure | fit.carries(circuit.members.index(load), ratings))
        for feed, n in np.argwhere(~suits).tolist():
            rating, var = v.ratings(circuit)[n]
            found[feed][circuit.key, rating] = var
    return found


def _fit(circuit: Circuit) -> Fit:
    assert circuit.fit is not None
    return circuit.fit


# -- several feeds together ---------------------------------------------------------------------------------------


def currents_together(model: Model, v: Variables) -> None:
    """Drop at the floor, design current and oversize of circuits whose feeds decide them together."""
    for circuit in v.whole:
        fit = _fit(circuit)
        if len(circuit.members) == 1:
            continue
        drop = not all(fit.any_feeds_on(pair) for pair, _ in v.pairs(circuit))
        carry = not all(fit.any_feeds_behind(rating) for rating, _ in v.ratings(circuit))
        fill = not all(fit.any_feeds_fill(rating) for rating, _ in v.ratings(circuit))
        if not (drop or carry or fill):
            continue
        rows = _Together(model, v, circuit)
        if drop:
            rows.drop()
        if carry:
            rows.carry()
        if fill:
            rows.fill()


class _Together:
    """The rows of one circuit, each switched off where the circuit is not laid or has another floor."""

    def __init__(self, model: Model, v: Variables, circuit: Circuit) -> None:
        self._model, self._v, self._circuit = model, v, circuit
        self._fit = _fit(circuit)
        self._laid = v.opened(circuit)[0]
        self._at = self._floors()

    def _floors(self) -> list[tuple[Level, Var]]:
        """Each floor the circuit can have with the variable that is true where it has it."""
        levels = self._fit.levels
        if len(levels) == 1:
            return [(levels[0], self._laid)]
        model, v, circuit = self._model, self._v, self._circuit
        chosen = [v.new_choice(f"floor[{circuit.key},{level.floor_v:g}]") for level in levels]
        model.add(sum(chosen) == self._laid)
        by_floor: dict[float, list[Var]] = defaultdict(list)
        for _, option, var in v.feeds_on(circuit):
            by_floor[option.floor_v].append(var)
        for level, var in zip(levels, chosen, strict=True):
            model.add(var <= sum(by_floor[level.floor_v]))
        for load in circuit.members:
            for n, level in enumerate(levels):
                above = [var for option, var in v.feeds_of(load, circuit) if option.floor_v > level.floor_v]
                if above:
                    model.add(sum(above) <= sum(chosen[n + 1 :]) + 1 - self._laid)
        return list(zip(levels, chosen, strict=True))

    def _drawn(self, at_v: float, floor_v: float, *, fills: bool = False) -> list[Term]:
        """Peak current of each member at a voltage of the place, feeds of a higher floor left out. [1/SCALE A]"""
        return [
            (1, self._v.current(load, self._circuit, self._fit.fits, at_v, floor_v, fills=fills))
            for load in self._circuit.members
        ]

    def drop(self) -> None:
        for level, here in self._at:
            most = sum(level.most)
            fits = self._fit.fits
            room = [(min(fits.room(p, level.floor_v), most), var) for p, var in self._v.pairs(self._circuit)]
            drawn = self._drawn(level.floor_v, level.floor_v)
            self._model.add(total(drawn) <= total(room) + most * (1 - here))

    def carry(self) -> None:
        top = max(level.floor_v for level in self._fit.levels)
        for level, here, floor_v in [
            *((level, here, level.floor_v) for level, here in self._at),
            (self._fit.high, self._laid, top),
        ]:
            most = 5 * sum(level.most)
            carries = [
                (min(self._fit.fits.carries(rating), most), var) for rating, var in self._v.ratings(self._circuit)
            ]
            drawn = self._drawn(level.floor_v, floor_v)
            self._model.add(5 * total(drawn) <= total(carries) + most * (1 - here))

    def fill(self) -> None:
        needed = self._fit.fits.needed
        least = [(needed[rating], var) for rating, var in self._v.ratings(self._circuit)]
        worst = max(coef for coef, _ in least)
        high = self._v.new_choice(f"design_at_high[{self._circuit.key}]")
        top = max(level.floor_v for level in self._fit.levels)
        drawn = self._drawn(self._fit.high_v, top, fills=True)
        self._model.add(total(least) <= total(drawn) + worst * (1 - high))
        for level, here in self._at:
            drawn = self._drawn(level.floor_v, level.floor_v, fills=True)
            self._model.add(total(least) <= total(drawn) + worst * high + worst * (1 - here))


WHOLE_CIRCUIT_RULES = (
    fed_from_a_circuit,
    of_any_three_two_together_once,
    conductor_suits_feed,
    fuse_suits_feed,
    currents_together,
)
