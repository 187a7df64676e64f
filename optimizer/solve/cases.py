"""The bound, case by case: no more than so many of a pack are bought, or more; and in each case there are cases again.

What a case costs at the least, with fractions allowed, is known in hundredths of a second. The nearer that comes to the
plan known, the less of the model is left in it, and the sooner CP-SAT refutes that any plan of it is cheaper. All cases
are refuted up to one level, then to a higher one, that with the lowest bound first; what lies too far below it is split
by the variable that makes both sides dear (strong branching of Applegate, Bixby, Chvátal and Cook, 1995). Of one
job of 24 loads CP-SAT took 25 to 40 s to refute that any plan costs at most 49,200; case by case it was 13 s.
"""

from __future__ import annotations

import math
import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from ortools.sat.python import cp_model

from optimizer.solve.beside import AnyOf
from optimizer.solve.best import Best
from optimizer.solve.circuits import MANY_LOADS
from optimizer.solve.engine import new_solver, solve
from optimizer.solve.fractional import NOTHING, Fractional, Priced, Shrunk, Spans
from optimizer.solve.highs import whole_cents
from optimizer.solve.narrowed import Narrow, Narrowed
from optimizer.solve.relaxing import Relaxation
from optimizer.solve.root_rows import root_rows
from optimizer.solve.rows import Solution
from optimizer.solve.variables import total

# How much higher the next level is at the least, as a share of the relaxation's price; and with one case open, which
# takes about as long for any less.
_LEAST_STEP, _LEAST_OF_ONE = 0.0004, 0.0012
_OF_LEFT = 0.6  # share of the time left that a level may take
_SPLITS, _NEWEST, _LEAST_S = 6.0, 0.3, 0.5  # a case has the time of so many splits, by their running mean, at the least
_QUICK, _SLOW = 0.35, 0.7  # shares of that: after what takes less cases are refuted further, after what takes more less
_SHORTER, _TOO_LONG, _BY_SPLIT = 0.9, 0.8, 1.005
_TRIED, _NEW = 3, 6  # variables to split by that are priced first: of those that were before, of others
_TRY_S, _FEW = 0.6, 3  # no more of them after so long, once there are a few
_UNKNOWN_CENTS, _SHARE = 50.0, 0.3  # what a split by a variable nobody tried is thought to cost, with this of its price
_FRACTION = 1e-5
_SURE_CENTS = 1.0  # beyond what a relaxation in floating point says
_NO_LIMIT = 1e9  # deterministic seconds: the clock is what ends it
_PAUSE_S = 0.05
_WITHIN = 0.02  # of the relaxation: so much dearer plans the rows are about first
_ROOT_SHARE = 0.3  # of the time left, for rows that HiGHS finds
_CHEAPEST, _SOLD = 6, 0.02  # cases of which it is asked what they buy; of an offer, at the least


class Pace(NamedTuple):
    """How cases are refuted to begin with."""

    first: float  # level, as a share of the relaxation's price above it
    way: float  # the same: how far above its own relaxation a case is refuted at once
    time_s: float  # to refute one case before any was split, by load
    step: float  # how much higher the next level is where it may take e times as long as the one before, by the same
    most_step: float  # how much higher at the most


_PACE = Pace(first=0.003, way=0.004, time_s=0.08, step=0.0018, most_step=0.005)
_PACE_OF_MANY = Pace(first=0.0125, way=0.06, time_s=0.6, step=0.005, most_step=0.008)


class Outcome(NamedTuple):
    """A status of CP-SAT's and, where there is one, the best solution it found."""

    status: int
    solution: Solution | None = None


@dataclass(slots=True, eq=False)
class Case:
    """A part of the model."""

    spans: dict[int, tuple[int, int]]  # least and most of some variables, by index
    priced: Priced | None  # None: not yet
    least_cents: float  # what it costs with fractions allowed
    bound_cents: int  # no plan of it is cheaper
    is_slow: bool = False  # it was not refuted in its time: it is split next
    is_last: bool = False  # nothing is left to split it by


class _Own(threading.local):
    """What each thread has for itself."""

    def __init__(self) -> None:
        self.fractional: dict[Shrunk, Fractional] = {}


class Cases:
    """All plans that are cheaper than the one known, in cases that leave none out. Two threads may work at it."""

    def __init__(self, best: Best, narrowed: Narrowed, relaxed: Relaxation, settle: Callable[[Solution], None]) -> None:
        """settle: Called with a solution that cannot be cut: what its circuits take is to be bought."""
        self._best, self._narrowed, self._relaxed, self._settle = best, narrowed, relaxed, settle
        self._changed = threading.Condition()
        self._open = [Case({}, None, relaxed.least_cents, relaxed.bound_cents)]
        self._at_work: list[Case] = []
        self._rows: Shrunk | None = None  # by which cases are priced
        self._is_widening = False
        self._whole: Priced | None = None  # the first price of all
        self._plain: Shrunk | None = None  # about every plan cheaper than the one known at first
        self._own = _Own()
        self._asked = 0
        self._rises: dict[int, tuple[float, float]] = {}  # by variable: what one less of it cost, and one more [cents]
        loads = len(best.built.v.instance.loads)
        self._has_many = loads > MANY_LOADS
        pace = _PACE_OF_MANY if self._has_many else _PACE
        self._pace = pace
        self._way_cents = pace.way * relaxed.least_cents
        self._level_cents = math.floor((1 + pace.first) * relaxed.least_cents)
        self._level_s = best.elapsed_s
        self._split_s: float | None = None  # what a split takes
        self._time_s = pace.time_s * loads
        priced = {var.index for _, var in best.built.bought.cost}
        self._choices = priced | {var.index for circuit in best.built.v.whole for var in best.built.v.opened(circuit)}

    def work(self, until_s: float = math.inf) -> None:
        """Until nothing cheaper than the plan known is open, or the search ends. There must be a plan known.

        Args:
            until_s: No further case is begun then, or where all are being worked at. [s since the search began]
        """
        while (taken := self._next(until_s)) is not None:
            case, rows = taken
            if rows is None or case.bound_cents > rows.within_cents:
                self._widen(first=rows is None)
                self._put_back(case, [case], rows)
            else:
                self._put_back(case, self._looked_into(case, rows), rows)

    def _looked_into(self, case: Case, rows: Shrunk) -> list[Case]:
        """The case, with a better price or bound, or in parts."""
        most_cents = min(self._level_cents, self._known_cents() - 1, rows.within_cents)
        is_near = not case.is_slow and most_cents - case.least_cents <= self._way_cents
        if case.is_last or (is_near and (case.priced is not None or self._has_many)):
            self._refute(case, rows, math.floor(most_cents))
        elif case.priced is None:
            self._price(case, rows)
        else:
            return self._split(case, rows)
        return [case]

    def unsold(self, but: Solution) -> dict[int, int]:
        """Nothing of what a cheap case does not buy, and of what is too dear for any plan worth having.

        Each time of another one; of the relaxation of all as long as there are none.

        Args:
            but: A solution whose own variables are left out.
        """
        offers = [var.index for var in self._best.built.bought.quantity.values()]
        bought = self._bought()
        held = {index: 0 for index in offers if not but[index] and bought.get(index, 0.0) < _SOLD}
        return self._relaxed.too_dear(self._known_cents(), but) | held

    def priced(self, spans: Spans) -> Priced | None:
        """The least that a part of the model can cost; None where there was no time for it."""
        left = self._left(spans)
        if left is None:
            return NOTHING
        return self._fractional(self._shrunk()).priced(left, self._known_cents() - 1 + _SURE_CENTS, self._best.left_s)

    def _left(self, spans: Spans) -> Spans | None:
        """Without variables that keep one value in all that is worth having; None where a span leaves it out."""
        kept = self._shrunk().place
        for index, (least, most) in spans.items():
            if index not in kept and not least <= self._relaxed.least[index] <= most:
                return None
        return {index: span for index, span in spans.items() if index in kept}

    def dear(self, spans: Spans, priced: Priced, within_cents: float) -> dict[int, int]:
        """Variables that a part of the model as it is priced leaves at an end of their span, and what they are there.

        Args:
            within_cents: Another value of any of them costs more than that at the least. [cents]
        """
        return self._at_an_end(self._shrunk(), self._left(spans) or {}, priced, within_cents)

    def far(self, within_cents: float, but: Solution) -> dict[int, int]:
        """Variables that the relaxation would take only above a price, by the rows that cases are priced by.

        Args:
            but: A solution whose own variables are left out.
        """
        whole, relaxed = self._whole, self._relaxed
        if whole is None:
            return relaxed.dear(within_cents, but)
        own = whole.columns < len(relaxed.least)
        dear = np.ones(len(relaxed.least), dtype=bool)  # and what is no column is too dear
        dear[whole.columns[own]] = whole.reduced_cents[own] > within_cents
        return {int(n): int(relaxed.least[n]) for n in np.flatnonzero(dear) if but[n] <= relaxed.least[n]}

    def _at_an_end(self, rows: Shrunk, spans: Spans, priced: Priced, within_cents: float) -> dict[int, int]:
        least, most = rows.least.copy(), rows.most.copy()
        for index, span in spans.items():
            least[rows.place[index]], most[rows.place[index]] = span
        value, reduced = priced.value, priced.reduced_cents
        own = rows.columns < len(self._relaxed.least)
        at_least = own & (reduced > within_cents) & (value <= least + _FRACTION)
        at_most = own & (-reduced > within_cents) & (value >= most - _FRACTION)
        return {
            **{int(rows.columns[n]): int(least[n]) for n in np.flatnonzero(at_least)},
            **{int(rows.columns[n]): int(most[n]) for n in np.flatnonzero(at_most)},
        }

    def _bought(self) -> dict[int, float]:
        with self._changed:
            priced = [case.priced for case in (*self._open, *self._at_work) if case.priced is not None]
            worth = [one for one in priced if one is not NOTHING]
            cheapest = sorted(worth, key=lambda one: one.cents)[:_CHEAPEST]
            if not cheapest:
                return dict(enumerate(self._relaxed.value))
            one = cheapest[self._asked % len(cheapest)]
            self._asked += 1
            return dict(zip(map(int, one.columns), one.value, strict=True))

    # -- rows -----------------------------------------------------------------------------------------------------

    def _shrunk(self) -> Shrunk:
        with self._changed:
            if self._plain is None:
                self._plain = self._rows_within(self._known_cents() - 1)
            return self._plain

    def _rows_within(self, cents: float) -> Shrunk:
        relaxed = self._relaxed
        return Shrunk(self._best.linear(), relaxed.too_dear(cents, []), cents, relaxed.basis)

    def _fractional(self, rows: Shrunk) -> Fractional:
        """The rows to be priced by the thread that asks."""
        own = self._own.fractional
        if rows not in own:
            own[rows] = Fractional(rows, self._best.halt)
        return own[rows]

    def _widen(self, *, first: bool) -> None:
        """Rows about dearer plans as well, with those that HiGHS finds: nothing is left that the rows so far are about.

        Close to its relaxation a model has few columns. What HiGHS finds there holds there alone.
        """
        best, within_cents = self._best, self._known_cents() - 1
        if first and not self._has_many:
            within_cents = min(within_cents, math.floor((1 + _WITHIN) * self._relaxed.least_cents))
        rows = self._rows_within(within_cents)
        if not self._has_many:
            dear_cents, limit_s = within_cents + 1 - rows.sure_cents, _ROOT_SHARE * best.left_s
            rows = rows.with_rows(root_rows(rows.lp(), known_cents=dear_cents, limit_s=limit_s, stop=best.halt))
        with self._changed:
            self._rows, self._is_widening = rows, False
            for case in self._open:
                case.priced = None

    # -- which comes next -----------------------------------------------------------------------------------------

    def _next(self, until_s: float) -> tuple[Case, Shrunk | None] | None:
        """The case with the lowest bound, and the rows by which it is priced."""
        best = self._best
        with self._changed:
            while not (best.halt.is_set() or best.is_over or best.elapsed_s >= until_s):
                self._open = [case for case in self._open if case.bound_cents < self._known_cents()]
                case = min(self._open, key=lambda case: case.bound_cents, default=None)
                if case is not None and not (self._is_beyond(case) and self._is_widening):
                    if self._is_beyond(case):
                        self._is_widening = True
                    elif case.bound_cents > self._level_cents:
                        self._go_higher(case.bound_cents)
                    self._open.remove(case)
                    self._at_work.append(case)
                    return case, self._rows
                if not self._at_work or math.isfinite(until_s):
                    self._tell()
                    return None
                self._changed.wait(_PAUSE_S)
            return None

    def _is_beyond(self, case: Case) -> bool:
        """Whether the rows say nothing of what is left of a case."""
        return self._rows is None or case.bound_cents > self._rows.within_cents

    def _go_higher(self, bound_cents: int) -> None:
        """The next level, as far as can be refuted in the time left."""
        now_s, most_s = self._best.elapsed_s, _OF_LEFT * self._best.left_s
        took_s, self._level_s = now_s - self._level_s, now_s
        further = self._pace.step * math.log(max(1.0, most_s / max(took_s, _PAUSE_S)))
        least = _LEAST_OF_ONE if len(self._open) + len(self._at_work) == 1 and took_s <= most_s else _LEAST_STEP
        further = min(self._pace.most_step, max(least, further))
        self._level_cents = self._within(bound_cents + further * self._relaxed.least_cents)

    def _within(self, cents: float) -> int:
        return math.floor(cents if self._rows is None else min(cents, self._rows.within_cents))

    def _put_back(self, case: Case, parts: list[Case], rows: Shrunk | None) -> None:
        with self._changed:
            if self._rows is not rows:
                for part in parts:
                    part.priced = None
            self._at_work.remove(case)
            self._open += parts
            self._tell()
            self._changed.notify_all()

    def _raise(self, case: Case, cents: int) -> None:
        with self._changed:
            case.bound_cents = max(case.bound_cents, cents)
            self._tell()

    def _tell(self) -> None:
        """No plan is cheaper than the lowest case, or than the plan known where all are dearer."""
        bounds = [case.bound_cents for case in (*self._open, *self._at_work)]
        self._best.raise_bound(min([*bounds, self._known_cents()]))

    def _known_cents(self) -> int:
        assert self._best.cents is not None
        return self._best.cents

    # -- refuting -------------------------------------------------------------------------------------------------

    def _refute(self, case: Case, rows: Shrunk, most_cents: int) -> None:
        """A better bound of a case."""
        best = self._best
        narrow = self._narrowed.model(most_cents)
        if narrow.has_known:  # found meanwhile
            return
        rows.add_further_to(narrow.model)
        for index, (least, most) in case.spans.items():
            var = narrow.model.get_int_var_from_proto_index(index)
            narrow.model.add(var >= least)
            narrow.model.add(var <= most)
        for index, value in self._held(case, rows, most_cents).items():
            narrow.model.add(narrow.model.get_int_var_from_proto_index(index) == value)
        time_s = self._time_s if self._split_s is None else max(_LEAST_S, _SPLITS * self._split_s)
        limit_s = best.left_s if case.is_last else min(time_s, best.left_s)
        began_s, from_cents = best.elapsed_s, case.bound_cents
        outcome = ask(best, narrow, limit_s, case.bound_cents, lambda cents: self._raise(case, cents))
        took_s = best.elapsed_s - began_s
        if outcome.status == cp_model.INFEASIBLE:
            self._raise(case, most_cents + 1)
        elif outcome.solution is not None:
            self._take(case, outcome)
        case.is_slow = took_s >= time_s
        if not case.is_last:
            self._adapt(most_cents - case.least_cents, took_s / time_s, is_done=case.bound_cents > from_cents)

    def _take(self, case: Case, outcome: Outcome) -> None:
        best, solution = self._best, outcome.solution
        assert solution is not None
        is_least = outcome.status == cp_model.OPTIMAL
        if is_least:
            self._raise(case, best.cents_of(solution))
        stands = best.consider(solution) if is_least else best.keeps(solution)
        if not stands:
            self._settle(solution)

    def _adapt(self, way_cents: float, took: float, *, is_done: bool) -> None:
        """As far as cases are refuted in a good part of their time. [share of it]"""
        if took >= 1.0:
            self._way_cents = min(self._way_cents, _TOO_LONG * way_cents)
        elif is_done and took > _SLOW:
            self._way_cents = min(self._way_cents, _SHORTER * way_cents)
        elif is_done and took < _QUICK:
            further = self._pace.step * math.log(_QUICK / max(took, _FRACTION))
            self._way_cents = max(self._way_cents, way_cents + further * self._relaxed.least_cents)

    def _held(self, case: Case, rows: Shrunk, most_cents: int) -> dict[int, int]:
        """Variables that every plan of the case, of at most so much, leaves at the end of their span."""
        if case.priced is None:
            return {}
        return self._at_an_end(rows, case.spans, case.priced, most_cents - case.priced.cents + _SURE_CENTS)

    # -- splitting ------------------------------------------------------------------------------------------------

    def _price(self, case: Case, rows: Shrunk) -> None:
        """What a case costs at the least, with fractions allowed."""
        priced = self._fractional(rows).priced(case.spans, math.inf, self._best.left_s)
        with self._changed:
            if priced is None:
                case.is_last = True  # no time, or none that HiGHS can price: CP-SAT alone is left
                return
            case.priced, case.least_cents = priced, max(case.least_cents, min(priced.cents, rows.within_cents))
            case.bound_cents = self._bound(case, priced, rows)
            if not case.spans:
                if priced is not NOTHING:
                    self._whole = priced
                self._level_cents = max(self._level_cents, self._within((1 + self._pace.first) * case.least_cents))

    @staticmethod
    def _bound(case: Case, priced: Priced, rows: Shrunk) -> int:
        """Rows say nothing of plans dearer than they are about."""
        cents = whole_cents(min(priced.cents, rows.within_cents + 1))
        return max(case.bound_cents, cents)

    def _split(self, case: Case, rows: Shrunk) -> list[Case]:
        """The case in two; or as it was, where it cannot be split."""
        best = self._best
        assert case.priced is not None
        began_s, split, most_score = best.elapsed_s, None, 0.0
        for tried, index in enumerate(self._to_try(case.priced, rows)):
            if tried >= _FEW and best.elapsed_s - began_s > _TRY_S:
                break
            sides = self._sides(case, index, rows)
            if sides is None:
                continue
            score = self._score(case, *(side.least_cents for side in sides))
            if split is None or score > most_score:
                split, most_score = sides, score
        took_s = best.elapsed_s - began_s
        self._split_s = took_s if self._split_s is None else self._split_s + _NEWEST * (took_s - self._split_s)
        self._way_cents *= _BY_SPLIT  # else where splits lead nowhere there would be nothing but splits
        if split is None:
            case.is_last = True
            return [case]
        return list(split)

    def _to_try(self, priced: Priced, rows: Shrunk) -> list[int]:
        """The variables to try, the most promising first."""
        parts = {
            index: priced.value[n] - math.floor(priced.value[n] + _FRACTION)
            for n, index in enumerate(map(int, rows.columns))
            if index in self._choices and abs(priced.value[n] - round(priced.value[n])) > _FRACTION
        }

        def rise(index: int) -> float:
            less, more = self._rises[index]
            return float(less * parts[index] * more * (1 - parts[index]))

        def guess(index: int) -> float:
            cost = abs(rows.cost[rows.place[index]])
            return float(_UNKNOWN_CENTS + _SHARE * cost * min(parts[index], 1 - parts[index]))

        tried = sorted((index for index in parts if index in self._rises), key=rise, reverse=True)
        new = sorted((index for index in parts if index not in self._rises), key=guess, reverse=True)
        return tried[:_TRIED] + new[:_NEW]

    def _sides(self, case: Case, index: int, rows: Shrunk) -> tuple[Case, Case] | None:
        best, fractional = self._best, self._fractional(rows)
        assert case.priced is not None
        place = rows.place[index]
        least, most = case.spans.get(index, (int(rows.least[place]), int(rows.most[place])))
        value = case.priced.value[place]
        worth_cents = min(self._known_cents() - 1, rows.within_cents) + _SURE_CENTS
        sides = []
        for span in ((least, math.floor(value)), (math.floor(value) + 1, most)):
            spans = {**case.spans, index: span}
            priced = fractional.priced(spans, worth_cents, best.left_s)
            if priced is None:
                return None
            sides.append(Case(spans, priced, min(priced.cents, worth_cents), self._bound(case, priced, rows)))
        less, more = (min(side.least_cents, worth_cents) - case.priced.cents for side in sides)
        part = value - math.floor(value)
        self._rises[index] = max(less, 0.0) / part, max(more, 0.0) / (1 - part)
        return sides[0], sides[1]

    def _score(self, case: Case, less_cents: float, more_cents: float) -> float:
        most = self._known_cents() - case.least_cents
        return max(1.0, min(less_cents - case.least_cents, most)) * max(1.0, min(more_cents - case.least_cents, most))


def ask(best: Best, narrow: Narrow, limit_s: float, from_cents: int, on_bound: Callable[[int], None]) -> Outcome:
    """The least price of a part of the model, as far as CP-SAT comes in that time.

    Args:
        limit_s: Wall-clock limit. [s]
        from_cents: Nothing in it is cheaper, as far as is known.
        on_bound: Called with better bounds of that part. [cents]
    """
    narrow.model.minimize(total(best.built.bought.cost))
    solver = new_solver(limit_s=max(0.01, limit_s), deterministic_limit=_NO_LIMIT, refutes=True)

    def better_bound(cents: float) -> None:
        on_bound(int(min(whole_cents(cents), narrow.most_cents)))

    stop = AnyOf(best.halt, _Outdated(best, from_cents, narrow.most_cents))
    status = solve(solver, narrow.model, stop=stop, on_bound=better_bound)
    has_solution = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    if narrow.is_missing(status, solver.objective_value if has_solution else 0.0):
        best.ended.set()
        return Outcome(int(cp_model.UNKNOWN))
    if has_solution:
        better_bound(solver.best_objective_bound)
    return Outcome(status, list(solver.response_proto.solution) if has_solution else None)


class _Outdated:
    """Set once a cheaper plan is known that leaves less than half of what is asked for."""

    def __init__(self, best: Best, from_cents: int, most_cents: float) -> None:
        self._best, self._most_cents = best, most_cents
        self._half_cents = (from_cents + most_cents) / 2

    def is_set(self) -> bool:
        known = self._best.cents
        return known is not None and known < self._most_cents and known <= self._half_cents
