"""Solves the model: cheapest first, then the tie-breaks of planning rules 6, each with the ones before it held."""

from __future__ import annotations

import math
import threading
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from ortools.sat.python import cp_model

from optimizer.by_hand import Answer
from optimizer.progress import Progress
from optimizer.solve.circuits import MOST_BY_SETS, is_restricted
from optimizer.solve.demands import DEMANDS
from optimizer.solve.engine import new_solver, solve
from optimizer.solve.first_answer import choosable, decided
from optimizer.solve.instance import Instance
from optimizer.solve.joined_circuits import JOINED_CIRCUIT_RULES
from optimizer.solve.linear import LinearModel, Relaxation
from optimizer.solve.packing import Packed, Unfit, broken_row, packed, rule_out
from optimizer.solve.parts import Parts
from optimizer.solve.purchases import Buying, Purchases
from optimizer.solve.rules import RULES, Rule, average_terms, most_average
from optimizer.solve.second_look import SecondLook
from optimizer.solve.sure_price import surely_spent_cents
from optimizer.solve.variables import Term, Var, Variables, total, upper
from optimizer.solve.whole_circuits import WHOLE_CIRCUIT_RULES

Report = Callable[[Progress], None]
NO_LIMIT_S = 1e6
_LARGEST = 1 << 60  # objective that the solver's whole numbers hold
_TRIES = 20  # at buying for given circuits, each without what could not be cut
FEW_LOADS = 9  # up to which price and power are asked for together first,
JOINT_LIMIT = 6.0  # for so many deterministic seconds; above it good solutions are looked for in a part of the model:
AROUND_CENTS = (75.0, 200.0)  # in what the relaxation prices dearer by no more than this,
AROUND_SHARE, AROUND_S = 0.5, 30.0  # for this part of the time left, and for so long at the most
TIGHTEN_SHARE, TIGHTEN_IN_VAIN = 1e-4, 5  # rows of cutting are added until so many rounds raise the bound by less
FEWER_LOADS = 16  # above it not there, but in one part of the choices after another:
NEAR_SHARE = 0.3
PART_CENTS, PART_CLOSE, PART_S = 300.0, 0.004, 2.5  # what the relaxation prices dearer left out, how well, how long
IN_VAIN = 12  # parts in a row without anything better
SETTLE_CLOSE = 0.001
SETTLE_S = 5.0  # wall-clock guard for buying what given circuits take, also when time is up: else nothing is to show
FIRST_LIMIT = 2.0  # deterministic seconds for buying what given circuits take, all tries together
# deterministic seconds for power at a proven price, and for fuse ratings and order lines after; then the best stands
TIE_LIMIT = 1.0
TIE_LIMIT_LARGE = 0.5  # the same for more loads, where neither is proven in any time worth waiting for
ID_LIMIT = 0.2  # for the order of ids, which matters to nobody but must come out the same


@dataclass(slots=True)
class PlanModel:
    """A built model with the handles needed to solve and to read it."""

    cp: cp_model.CpModel
    v: Variables
    bought: Purchases


@dataclass(slots=True)
class Solved:
    """Outcome of a search; `value` reads a variable of the best solution, None where there is no solution."""

    status: str  # optimal, feasible, infeasible, unknown
    total_cents: int | None
    bound_cents: int | None
    value: Callable[[Var], int] | None
    packed: list[Packed] = field(default_factory=list)  # cuts from spools that the model knows by length only
    cheaper: Answer | None = None  # worked over by hand, below `total_cents` or where there is none


def build_model(instance: Instance, without: Iterable[Rule] = (), most_by_sets: int = MOST_BY_SETS) -> PlanModel:
    """The model of an instance, optionally without some rules, to find out which stand in the way."""
    cp = cp_model.CpModel()
    v = Variables(cp, instance, most_by_sets)
    left_out = set(without)
    for rule in (*WHOLE_CIRCUIT_RULES, *JOINED_CIRCUIT_RULES, *RULES, *DEMANDS):
        if rule not in left_out:
            rule(cp, v)
    bought = Buying(cp, v).build()
    return PlanModel(cp, v, bought)


class Search:
    """One search: keeps the clock, the limits and the best solution so far."""

    def __init__(
        self,
        built: PlanModel,
        time_limit_s: float | None,
        report: Report | None,
        stop: threading.Event | None = None,
        first: Answer | None = None,
        *,
        by_price_alone: bool = False,
    ) -> None:
        """A search to be run once.

        Args:
            first: What to start from, already told to whoever listens.
            by_price_alone: Any plan of the least price will do: no ties are broken.
        """
        self._by_price_alone = by_price_alone
        self._first = first
        self._built = built
        self._stop = stop
        self._limit_s = time_limit_s or NO_LIMIT_S
        self._report = report
        self._start_s = time.monotonic()
        self._solution: list[int] = []  # best so far, of variables in their order; empty: none yet
        self._packed: list[Packed] = []  # its cuts, from spools that the model knows by length only
        self._has_unfit = False
        self._is_restricted = False  # the model leaves plans out: what it proves says nothing of those
        self._has_looked_around = False
        self._second_look = None if self._has_few_loads else SecondLook(built.v)
        self._worked_over: Answer | None = None  # the cheapest that the second look came to
        self._candidate: list[int] = []  # solution last looked at
        self._best_cents: int | None = None if first is None else first.total_cents
        self._bound_cents = 0
        self._undecided_cents: int | None = None  # a bound may not pass a solution nobody could cut or refute
        self._weight = 1  # of a cent against any power
        self._cent = 1  # one cent in the joint objective

    def run(self) -> Solved:
        """Cheapest plan and, among the cheapest, the least average power; then the other tie-breaks.

        Price and power are one objective, price weighted above any power: that was measured several times faster
        than the least power under a fixed price.
        """
        cp, cost, power = self._built.cp, self._built.bought.cost, average_terms(self._built.v)
        self._weight = self._cent = 1 + most_average(self._built.v)
        most_cents = sum(abs(coef) * upper(var) for coef, var in cost)
        if self._by_price_alone or self._cent * most_cents > _LARGEST:
            self._cent, power = 1, []  # prices too large to stand beside a power in one number
        cp.minimize(total([(self._cent * coef, var) for coef, var in cost] + power))
        self._take_first_answer()
        self._raise_bound(surely_spent_cents(self._built.v.instance))
        self._is_restricted = is_restricted(self._built.v.instance)
        status = self._cheapest()
        if status == cp_model.INFEASIBLE and not self._is_restricted:
            return Solved("infeasible", None, None, None)
        if not self._solution:
            return Solved("unknown", None, self._bound_cents, None, cheaper=self._worked_over)
        best = self._cost_cents()
        if status == cp_model.OPTIMAL and not self._is_restricted and self._undecided_cents is None:
            if not self._by_price_alone:
                cp.add(total(cost) <= best)
                self._hold_power_of_each_load()
                self._break_ties()
            return Solved("optimal", best, best, self._value, self._packed)
        bound = min(self._bound_cents, best)
        cheaper = self._worked_over if self._worked_over and self._worked_over.total_cents < best else None
        return Solved("optimal" if bound == best else "feasible", best, bound, self._value, self._packed, cheaper)

    def _cheapest(self) -> int:
        """Price and power together where that is proven soon; otherwise the price by HiGHS, then the power."""
        status = int(self._until_cut(self._jointly)) if self._has_few_loads else int(cp_model.UNKNOWN)
        if status == cp_model.OPTIMAL and self._cent != self._weight:
            self._least_power()
        if status not in (cp_model.FEASIBLE, cp_model.UNKNOWN) or self._is_over():
            return status
        status = self._until_cut(self._by_price)
        if status == cp_model.OPTIMAL and self._undecided_cents is None:
            self._least_power()
        return status

    def _until_cut(self, ask: Callable[[], int]) -> int:
        """Asks until the answer can be cut as well, each time without what turned out not to fit."""
        while True:
            status = ask()
            if not self._has_unfit or self._is_over():
                is_answer = not self._has_unfit or status == cp_model.INFEASIBLE
                return status if is_answer else int(cp_model.FEASIBLE)

    def _jointly(self) -> int:
        self._hint()
        solver = self._solver(JOINT_LIMIT)
        status = solve(
            solver,
            self._built.cp,
            stop=self._stop,
            on_solution=_Reporter(self) if self._report else None,
            on_bound=self._better_bound if self._report else None,
        )
        if status == cp_model.MODEL_INVALID:
            raise RuntimeError(f"solver ended with {solver.status_name(status)}: {self._built.cp.validate()}")
        self._has_unfit = False
        if status != cp_model.INFEASIBLE:
            self._raise_bound(self._whole_cents(solver.best_objective_bound))
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) and not self._keep(solver):
            self._has_unfit = True
            self._settle_purchases()
        return status

    def _by_price(self) -> int:
        linear = LinearModel(self._built.cp, self._built.bought.cost)
        if not self._has_few_loads and not self._has_looked_around:
            linear = self._look_around(linear)
        found = linear.minimize(
            limit_s=self._left_s(),
            start=self._solution,
            stop=self._stop,
            on_solution=self._look_at,
            on_bound=self._raise_bound,
        )
        self._has_unfit = False
        if found.is_infeasible:
            return int(cp_model.INFEASIBLE)
        self._raise_bound(found.bound_cents)
        if found.solution is not None and not self._consider(found.solution):
            self._has_unfit = True
            self._settle_purchases()
        return int(cp_model.OPTIMAL if found.is_optimal else cp_model.FEASIBLE)

    def _look_around(self, linear: LinearModel) -> LinearModel:
        """Good solutions of parts of the model: the whole one takes long to find any.

        Returns:
            The model to go on with: what could not be cut on the way is ruled out in it.
        """
        self._has_looked_around = True
        until_s = self.elapsed_s() + min(AROUND_SHARE * self._left_s(), AROUND_S)
        relaxed = self._tighten(linear, until_s)
        if relaxed is None:
            return linear
        linear = LinearModel(self._built.cp, self._built.bought.cost)
        if len(self._built.v.instance.loads) <= FEWER_LOADS or not self._solution:
            return self._look_near(linear, relaxed, until_s, AROUND_CENTS)
        near_until_s = self.elapsed_s() + NEAR_SHARE * (until_s - self.elapsed_s())
        linear = self._look_near(linear, relaxed, near_until_s, AROUND_CENTS[:1])
        return self._look_at_parts(linear, relaxed, until_s)

    def _tighten(self, linear: LinearModel, until_s: float) -> Relaxation | None:
        """The relaxation with rows of cutting that it breaks, one after another, in the model as well."""
        relaxing, in_vain = linear.relaxing(), 0
        relaxed = relaxing.solve(until_s - self.elapsed_s())
        while relaxed is not None and in_vain < TIGHTEN_IN_VAIN and not self._is_over():
            self._raise_bound(relaxed.bound_cents)
            uses = self._built.bought.cutting.by_length
            rows = [row for use in uses if (row := broken_row(use, relaxed.value)) is not None]
            if not rows:
                break
            for terms, most in rows:
                relaxing.add(terms, most)
                self._built.cp.add(total(terms) <= most)
            tighter = relaxing.solve(until_s - self.elapsed_s())
            if tighter is None:
                break
            gain = tighter.bound_cents - relaxed.bound_cents
            in_vain = 0 if gain > TIGHTEN_SHARE * tighter.bound_cents else in_vain + 1
            relaxed = tighter
        return relaxed

    def _look_near(
        self, linear: LinearModel, relaxed: Relaxation, until_s: float, around_cents: Sequence[float]
    ) -> LinearModel:
        """A model without what the relaxation prices dear. Where nothing better lies that near, further out."""
        before = self._best_cents
        for cents in around_cents:
            found = linear.minimize(
                limit_s=until_s - self.elapsed_s(),
                start=self._solution,
                stop=self._stop,
                on_solution=self._look_at,
                on_bound=self._raise_bound,
                held=relaxed.dear(cents, self._solution),
            )
            if found.solution is not None and (not self._solution or linear.cents(found.solution) < self._cost_cents()):
                linear = self._take_part(linear, found.solution)
            if self._best_cents != before or self.elapsed_s() >= until_s or self._is_over():
                break
        return linear

    def _look_at_parts(self, linear: LinearModel, relaxed: Relaxation, until_s: float) -> LinearModel:
        """A few loads chosen anew at a time, those of some places, with all that is bought; the others are held."""
        parts, in_vain = Parts(self._built.v), 0
        while in_vain < IN_VAIN and self.elapsed_s() < until_s and not self._is_over():
            found = linear.minimize(
                limit_s=min(PART_S, until_s - self.elapsed_s()),
                start=self._solution,
                stop=self._stop,
                on_solution=lambda _: None,
                on_bound=self._raise_bound,
                held=relaxed.dear(PART_CENTS, self._solution) | parts.held(self._solution),
                close=PART_CLOSE,
            )
            before = self._worth(self._solution)
            if found.solution is not None and linear.cents(found.solution) < self._cost_cents():
                linear = self._take_part(linear, found.solution)
            in_vain = 0 if self._worth(self._solution) < before else in_vain + 1
        return linear

    def _take_part(self, linear: LinearModel, solution: list[int]) -> LinearModel:
        """Keeps a solution that can be cut; otherwise rules out what cannot, and buys what its circuits take."""
        if self._keeps(solution):
            return linear
        self._candidate = solution
        self._settle_purchases()
        return LinearModel(self._built.cp, self._built.bought.cost)

    def _keeps(self, solution: list[int]) -> bool:
        """Whether a solution of a part can be cut. What is sure not to be is ruled out."""
        found = self._cut(solution)
        for each in found:
            if isinstance(each, Unfit) and each.is_proven:
                rule_out(self._built.cp, each, self._built.bought.cutting.by_length)
        return self._stands(solution, found, ranked=True)

    def _least_power(self) -> None:
        """The least average power at the least price, or the least found in the work allowed."""
        if self._by_price_alone:
            return
        cp, cost = self._built.cp, self._built.bought.cost
        cp.add(total(cost) == self._cost_cents())
        cp.minimize(total(average_terms(self._built.v)))
        self._hint()
        solver = self._solver(self._tie_limit)
        if solve(solver, cp, stop=self._stop) in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            self._keep(solver, ranked=False)

    def _raise_bound(self, cents: int) -> None:
        """Notes a better bound and tells of it; no bound may pass a solution nobody could cut or refute."""
        if self._is_restricted:
            return
        if self._undecided_cents is not None:
            cents = min(cents, self._undecided_cents)
        if cents > self._bound_cents:
            self._bound_cents = cents
            self._tell()

    # -- a first answer, and answers put right --------------------------------------------------------------------

    def _take_first_answer(self) -> None:
        """The choices of the first answer, bought as cheaply as they allow."""
        if self._first is not None:
            self._solve_with(decided(self._built.v, self._first.choices))

    def _settle_purchases(self) -> None:
        """Keeps feeds and circuits of a solution whose cuts do not fit, and buys what they take."""
        self._solve_with({var.index: self._candidate[var.index] for var in choosable(self._built.v)})

    def _solve_with(self, values: dict[int, int]) -> None:
        """The cheapest solution with some variables given, kept if it is the best so far."""
        if not self._has_few_loads:
            self._buy_with(values)
            return
        left = FIRST_LIMIT
        for _ in range(_TRIES):
            held = self._built.cp.clone()
            for index, value in values.items():
                held.add(held.get_int_var_from_proto_index(index) == value)
            solver = new_solver(limit_s=SETTLE_S, deterministic_limit=left)
            if solve(solver, held, stop=self._stop) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
                return
            left -= solver.response_proto.deterministic_time
            if self._keep(solver) or left <= 0:
                return

    def _buy_with(self, values: dict[int, int]) -> None:
        """The same by HiGHS, which buys for many loads sooner."""
        until_s = self.elapsed_s() + SETTLE_S
        for _ in range(_TRIES):
            found = LinearModel(self._built.cp, self._built.bought.cost).minimize(
                limit_s=until_s - self.elapsed_s(),
                start=[],
                stop=self._stop,
                on_solution=lambda _: None,
                on_bound=lambda _: None,
                held=values,
                close=SETTLE_CLOSE,
            )
            if found.solution is None or self._keeps(found.solution) or self.elapsed_s() >= until_s:
                return

    def _hint(self) -> None:
        cp = self._built.cp
        cp.clear_hints()  # type: ignore[no-untyped-call]
        for n, value in enumerate(self._solution):
            cp.add_hint(cp.get_int_var_from_proto_index(n), value)

    def _cost_cents(self) -> int:
        return sum(coef * self._value(var) for coef, var in self._built.bought.cost)

    def _whole_cents(self, objective: float) -> int:
        """The cents in a value of the joint objective. A bound of 10.3 cents is one of 10.3 and so of 10 and power."""
        return max(0, math.floor(objective / self._cent))

    @property
    def _has_few_loads(self) -> bool:
        return len(self._built.v.instance.loads) <= FEW_LOADS

    @property
    def _tie_limit(self) -> float:
        return TIE_LIMIT if self._has_few_loads else TIE_LIMIT_LARGE

    def _hold_power_of_each_load(self) -> None:
        """Leaves every load the feeds that draw exactly as much as its feed in the plan at hand."""
        v, cp = self._built.v, self._built.cp
        for load in v.instance.loads:
            for var in v.ac(load):
                cp.add(var == self._value(var))
            feeds = list(v.all_feeds(load))
            chosen_w = [option.average_w for option, var in feeds if self._value(var)]
            for option, var in feeds:
                if option.average_w not in chosen_w:
                    cp.add(var == 0)

    def _break_ties(self) -> None:
        """Least fuse ratings and, among those, fewest order lines; then smallest ids."""
        lines = self._order_lines()
        first = lines + [((1 + len(lines)) * coef, var) for coef, var in self._fuse_total()]
        for objective, most in ((first, self._tie_limit), (self._id_order(), ID_LIMIT)):
            cp = self._built.cp
            cp.minimize(total(objective))
            self._hint()
            solver = self._solver(most)
            if solve(solver, cp, stop=self._stop) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
                return
            if not self._keep(solver, ranked=False):
                return
            cp.add(total(objective) <= round(solver.objective_value))

    def _fuse_total(self) -> list[Term]:
        """Fuse ratings of all circuits. [1/10 A]"""
        v = self._built.v
        return [(round(rating * 10), var) for circuit in v.circuits for rating, var in v.ratings(circuit)]

    def _order_lines(self) -> list[Term]:
        cp, bought = self._built.cp, self._built.bought
        lines: list[Term] = []
        for name, quantity in sorted({**bought.quantity, **bought.filler}.items()):
            line = cp.new_bool_var(f"line[{name}]")
            cp.add(quantity <= upper(quantity) * line)
            lines.append((1, line))
            self._solution.append(int(self._solution[quantity.index] > 0))
        return lines

    def _id_order(self) -> list[Term]:
        """Smallest fuse first, then thinnest pair, then feeds and offers in the order of their ids."""
        v, bought = self._built.v, self._built.bought
        terms: list[Term] = []
        for load in v.instance.loads:
            terms += [(rank, var) for rank, (_, var) in enumerate(v.all_feeds(load))]
        for circuit in v.circuits:
            terms += [(rank, var) for rank, (_, var) in enumerate(v.pairs(circuit))]
        terms += [(rank, var) for rank, (_, var) in enumerate(v.bank)]
        terms += [(rank, bought.quantity[offer]) for rank, offer in enumerate(sorted(bought.quantity))]
        return terms

    # -- solver ---------------------------------------------------------------------------------------------------

    def _solver(self, most: float = NO_LIMIT_S) -> cp_model.CpSolver:
        """A solver for the time that is left, and for at most so much work in deterministic seconds."""
        left_s = max(0.01, self._left_s())
        return new_solver(limit_s=left_s, deterministic_limit=min(left_s, most))

    def _left_s(self) -> float:
        return self._limit_s - self.elapsed_s()

    def _is_over(self) -> bool:
        return self._left_s() <= 0 or (self._stop is not None and self._stop.is_set())

    def _keep(self, solver: cp_model.CpSolver, *, ranked: bool = True) -> bool:
        """Whether the solver's solution can be cut; then it stands, if it is no dearer than the best so far."""
        return self._consider(list(solver.response_proto.solution), ranked=ranked)

    def _look_at(self, solution: list[int]) -> None:
        """A solution found on the way: it stands if it can be cut."""
        self._stands(solution, self._cut(solution), ranked=True)
        answer = self._second_look.at(lambda var: solution[var.index]) if self._second_look else None
        if answer is not None and (self._worked_over is None or answer.total_cents < self._worked_over.total_cents):
            self._worked_over = answer
            self._note_best(answer.total_cents)

    def _consider(self, solution: list[int], *, ranked: bool = True) -> bool:
        """Whether a solution can be cut. What cannot is ruled out.

        Args:
            ranked: The cheaper solution is the better one; otherwise the newer, found under the price of the other.
        """
        self._candidate = solution
        found = self._cut(solution)
        unfit = [each for each in found if isinstance(each, Unfit)]
        for each in unfit:
            if not each.is_proven and ranked:
                self._undecided_cents = self._bound_cents
            rule_out(self._built.cp, each, self._built.bought.cutting.by_length)
        return self._stands(solution, found, ranked=ranked)

    def _cut(self, solution: list[int]) -> list[Packed | Unfit]:
        return [packed(use, lambda var: solution[var.index]) for use in self._built.bought.cutting.by_length]

    def _stands(self, solution: list[int], found: list[Packed | Unfit], *, ranked: bool) -> bool:
        if any(isinstance(each, Unfit) for each in found):
            return False
        worth = self._worth(solution)
        if not ranked or not self._solution or worth < self._worth(self._solution):
            self._solution = solution
            self._packed = [cuts for cuts in found if not isinstance(cuts, Unfit)]
            self._note_best(self._cost_cents())
        return True

    def _worth(self, solution: list[int]) -> int:
        """Price, then power."""
        cost, power = self._built.bought.cost, average_terms(self._built.v)
        cents = sum(coef * solution[var.index] for coef, var in cost)
        return self._weight * cents + sum(coef * solution[var.index] for coef, var in power)

    def _value(self, var: Var) -> int:
        return self._solution[var.index]

    def elapsed_s(self) -> float:
        return time.monotonic() - self._start_s

    def better_plan(self, objective: float, bound: float) -> None:
        """A better solution of price and power, which may yet turn out not to be cut."""
        if not self._built.bought.cutting.by_length:
            self._note_best(self._whole_cents(objective))
        self._better_bound(bound)

    def _better_bound(self, bound: float) -> None:
        self._raise_bound(self._whole_cents(bound))

    def _note_best(self, cents: int) -> None:
        if self._best_cents is None or cents < self._best_cents:
            self._best_cents = cents
            self._tell()

    def _tell(self) -> None:
        if self._report is not None:
            elapsed_s = self.elapsed_s()
            self._report(Progress(best_cents=self._best_cents, bound_cents=self._bound_cents, elapsed_s=elapsed_s))


class _Reporter(cp_model.CpSolverSolutionCallback):
    """Streams every better plan to whoever listens."""

    def __init__(self, search: Search) -> None:
        super().__init__()
        self._search = search

    def on_solution_callback(self) -> Any:
        self._search.better_plan(self.objective_value, self.best_objective_bound)
