"""Case by case: together they hold every plan worth having, and no bound on the way passes the least price."""

from __future__ import annotations

import threading
from typing import Any

import pytest
from ortools.sat.python import cp_model

from optimizer.planner import plan
from optimizer.solve import cases as cases_module
from optimizer.solve import search
from optimizer.solve.around import LookAround
from optimizer.solve.best import Best
from optimizer.solve.cases import Case, Cases, Outcome
from optimizer.solve.fractional import Priced
from optimizer.solve.instance import build
from optimizer.solve.model import build_model
from optimizer.solve.narrowed import Narrow, Narrowed
from optimizer.solve.settling import Settling
from optimizer.solve.variables import total
from tests.benchmarks.jobs import made_up_job
from tests.optimizer.cases import case
from tests.optimizer.solve.begun import begun

pytestmark = pytest.mark.usefixtures("long_steps")

SMALL = ["007", "031", "066"]
LARGER = "023"  # takes seconds, and its cases are worth splitting


class _Begun:
    """The cases of a shared case, with the bounds that were told."""

    def __init__(self, number: str, above_cents: int, monkeypatch: pytest.MonkeyPatch) -> None:
        least_cents = case(number).total_cents
        assert least_cents is not None
        self.least_cents = least_cents
        built = build_model(build(case(number).job, case(number).catalogue))
        built.cp.minimize(total(built.bought.cost))
        self.best = Best(built, 600, None, None, least_cents + above_cents, is_worked_over=False)
        settling = Settling(self.best, few_loads=False)
        relaxed = LookAround(self.best, settling).tightened(600)
        assert relaxed is not None
        self.relaxed = relaxed
        self.settled: list[list[int]] = []
        self.cases = Cases(self.best, Narrowed(self.best, relaxed), relaxed, self.settled.append)
        self.told: list[int] = []
        raise_bound = self.best.raise_bound
        monkeypatch.setattr(self.best, "raise_bound", lambda cents: (self.told.append(cents), raise_bound(cents)))


def _split(cases: Cases) -> tuple[Priced, list[Case]]:
    """What the whole costs with fractions allowed, and its first two parts."""
    cases._widen(first=True)
    (case,), rows = cases._open, cases._rows
    assert rows is not None
    cases._price(case, rows)
    assert case.priced is not None
    return case.priced, cases._split(case, rows)


@pytest.fixture
def splits(monkeypatch: pytest.MonkeyPatch) -> list[list[Case]]:
    """The parts of every split, where cases are split early."""
    monkeypatch.setattr(cases_module, "_PACE", cases_module._PACE._replace(first=0.006, way=0.08, time_s=0.17))
    seen: list[list[Case]] = []
    split = Cases._split

    def noting(*given: object) -> list[Case]:
        seen.append(split(*given))  # type: ignore[arg-type]
        return seen[-1]

    monkeypatch.setattr(Cases, "_split", noting)
    return seen


@pytest.mark.parametrize(
    ("number", "above_cents"), [(LARGER, 1), *((number, cents) for number in SMALL for cents in (0, 1, 300))]
)
def test_nothing_cheaper_than_the_least_price_is_left(
    number: str, above_cents: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whether that or a dearer plan is known."""
    begun_ = _Begun(number, above_cents, monkeypatch)
    begun_.cases.work()
    assert max(begun_.told) == begun_.best.bound_cents == begun_.best.cents == begun_.least_cents


def test_the_same_where_cases_are_split_early(monkeypatch: pytest.MonkeyPatch, splits: list[list[Case]]) -> None:
    begun_ = _Begun(LARGER, 300, monkeypatch)
    begun_.cases.work()
    assert splits
    assert max(begun_.told) == begun_.best.bound_cents == begun_.best.cents == begun_.least_cents


@pytest.mark.parametrize("number", SMALL)
def test_the_same_where_rows_are_about_few_plans_at_first(number: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The relaxation is far below the least price: what is left of every case is beyond the first rows."""
    monkeypatch.setattr(cases_module, "_WITHIN", 1e-4)
    begun_, widened = _Begun(number, 300, monkeypatch), []
    widen = begun_.cases._widen
    monkeypatch.setattr(begun_.cases, "_widen", lambda *, first: (widened.append(first), widen(first=first)))
    begun_.cases.work()
    assert widened == [True, False]
    assert max(begun_.told) == begun_.best.bound_cents == begun_.best.cents == begun_.least_cents


@pytest.mark.parametrize(("number", "within"), [(LARGER, 1e-4), ("066", 1e-4), ("066", 0.01)])
def test_no_bound_says_more_than_its_rows(number: str, within: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """Once nothing is left up to where the rows reach: that, and one cent more at the most, until they are wider."""
    monkeypatch.setattr(cases_module, "_WITHIN", within)
    begun_ = _Begun(number, 300, monkeypatch)
    widen = begun_.cases._widen
    reached: list[tuple[float, int]] = []

    def widened(*, first: bool) -> None:
        if not first:
            assert begun_.cases._rows is not None
            reached.append((begun_.cases._rows.within_cents, begun_.best.bound_cents))
        widen(first=first)

    monkeypatch.setattr(begun_.cases, "_widen", widened)
    begun_.cases.work()
    assert all(bound_cents == within_cents + 1 for within_cents, bound_cents in reached)
    assert reached or within > 1e-4
    assert max(begun_.told) == begun_.best.bound_cents == begun_.best.cents == begun_.least_cents


@pytest.mark.parametrize("within", [cases_module._WITHIN, 0.005])
def test_the_same_where_two_work_at_it(
    within: float, monkeypatch: pytest.MonkeyPatch, splits: list[list[Case]]
) -> None:
    """The second time rows get wider on the way."""
    monkeypatch.setattr(cases_module, "_WITHIN", within)
    begun_ = _Begun(LARGER, 300, monkeypatch)
    other = threading.Thread(target=begun_.cases.work, daemon=True)
    other.start()
    begun_.cases.work()
    other.join(timeout=240)
    assert not other.is_alive()
    assert splits
    assert max(begun_.told) == begun_.best.bound_cents == begun_.best.cents == begun_.least_cents


def test_a_split_leaves_no_value_out_and_none_in_twice(
    monkeypatch: pytest.MonkeyPatch, splits: list[list[Case]]
) -> None:
    begun_ = _Begun(LARGER, 10**6, monkeypatch)  # nothing is too dear
    whole, _ = _split(begun_.cases)
    less, more = splits[0]
    ((index, (least, at)),), ((again, (above, most)),) = less.spans.items(), more.spans.items()
    domain = list(begun_.best.built.cp.proto.variables[index].domain)
    assert again == index
    assert (least, above, most) == (domain[0], at + 1, domain[-1])
    assert at < dict(zip(whole.columns, whole.value, strict=True))[index] < above


def test_what_was_not_refuted_in_its_time_is_split(monkeypatch: pytest.MonkeyPatch, splits: list[list[Case]]) -> None:
    monkeypatch.setattr(cases_module, "_PACE", cases_module._PACE._replace(first=0.006, way=1.0, time_s=0.17))
    begun_ = _Begun(LARGER, 0, monkeypatch)
    asked: list[Narrow] = []

    def in_vain(best: Best, narrow: Narrow, *_: object) -> Outcome:
        asked.append(narrow)
        best._start_s -= 10  # its time has gone by
        if splits:
            best.ended.set()
        return Outcome(int(cp_model.UNKNOWN))

    monkeypatch.setattr(cases_module, "ask", in_vain)
    begun_.cases.work()
    assert len(asked) >= 1
    assert splits
    assert begun_.best.bound_cents <= begun_.least_cents


@pytest.mark.parametrize("priced", [0, 1])
def test_what_cannot_be_priced_is_refuted_whole(
    priced: int, monkeypatch: pytest.MonkeyPatch, splits: list[list[Case]]
) -> None:
    """Neither the first time nor once its parts are to be."""
    nothing_at_once = cases_module._PACE._replace(first=0.006, way=-1.0, time_s=0.17)
    monkeypatch.setattr(cases_module, "_PACE", nothing_at_once)
    begun_ = _Begun(LARGER, 0, monkeypatch)
    price, asked = cases_module.Fractional.priced, []

    def in_vain(*given: Any) -> Priced | None:
        asked.append(given)
        return price(*given) if len(asked) <= priced else None

    monkeypatch.setattr(cases_module.Fractional, "priced", in_vain)
    begun_.cases.work()
    assert len(splits) == priced
    assert begun_.best.bound_cents == begun_.least_cents


def test_a_level_is_as_high_as_the_time_left_does_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """The last one took 10 s, and 0.6 of 10 e / 0.6 s may be taken: one step further than it."""
    begun_ = _Begun(LARGER, 10**6, monkeypatch)
    best, price_cents = begun_.best, begun_.relaxed.least_cents
    monkeypatch.setattr(Best, "elapsed_s", 100.0)  # it stands still
    begun_.cases._level_s = best.elapsed_s - 10
    best._limit_s = best.elapsed_s + 10 * 2.718281828 / 0.6
    begun_.cases._go_higher(50_000)
    assert begun_.cases._level_cents == pytest.approx(50_000 + begun_.cases._pace.step * price_cents, abs=2)
    begun_.cases._level_s = best.elapsed_s - 0.001
    begun_.cases._go_higher(50_000)
    assert begun_.cases._level_cents == pytest.approx(50_000 + begun_.cases._pace.most_step * price_cents, abs=2)


def test_a_level_is_small_where_time_runs_out_and_where_there_are_many_cases(monkeypatch: pytest.MonkeyPatch) -> None:
    begun_ = _Begun(LARGER, 10**6, monkeypatch)
    cases, best, price_cents = begun_.cases, begun_.best, begun_.relaxed.least_cents
    monkeypatch.setattr(Best, "elapsed_s", 100.0)  # it stands still

    def further(took_s: float, left_s: float) -> float:
        cases._level_s, best._limit_s = best.elapsed_s - took_s, best.elapsed_s + left_s
        cases._go_higher(50_000)
        return (cases._level_cents - 50_000) / price_cents

    assert further(10, 17) == pytest.approx(cases_module._LEAST_OF_ONE, abs=1e-4)  # it alone takes 10 s for any step
    assert further(10, 15) == pytest.approx(cases_module._LEAST_STEP, abs=1e-4)
    cases._open += cases._open
    assert further(10, 17) == pytest.approx(cases_module._LEAST_STEP, abs=1e-4)


def test_a_solution_that_cannot_be_cut_is_settled(monkeypatch: pytest.MonkeyPatch) -> None:
    begun_ = _Begun(LARGER, 300, monkeypatch)
    monkeypatch.setattr(begun_.best, "consider", lambda _: False)
    monkeypatch.setattr(begun_.best, "keeps", lambda _: False)
    settle = begun_.settled.append

    def end(solution: list[int]) -> None:
        settle(solution)
        begun_.best.ended.set()

    begun_.cases._settle = end
    begun_.cases.work()
    assert begun_.best.cents_of(begun_.settled[0]) < begun_.least_cents + 300


def test_nothing_is_begun_once_it_is_time(monkeypatch: pytest.MonkeyPatch) -> None:
    begun_ = _Begun(LARGER, 0, monkeypatch)
    monkeypatch.setattr(cases_module, "ask", lambda *_: pytest.fail("it was time"))
    begun_.cases.work(until_s=begun_.best.elapsed_s)


def test_what_a_solution_buys_stays_on_sale(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cases_module, "_WITHIN", 1.0)  # rows are about both parts
    best, settling = begun(build(*made_up_job(12, 4, 90, 1)))
    relaxed = LookAround(best, settling).tightened(60)
    assert relaxed is not None
    cases = Cases(best, Narrowed(best, relaxed), relaxed, settling.settle)
    buys = {var.index for var in best.built.bought.quantity.values() if best.solution[var.index]}
    offers = {var.index for var in best.built.bought.quantity.values()}
    of_all = cases.unsold(best.solution)
    assert not buys & of_all.keys()
    assert all(of_all[index] == 0 for index in offers & of_all.keys())
    _, cases._open = _split(cases)
    of_one, of_another = cases.unsold(best.solution), cases.unsold(best.solution)
    assert not buys & (of_one.keys() | of_another.keys())
    assert of_one != of_another


def test_what_is_far_is_told_by_the_rows_of_the_cases() -> None:
    """Once there are some; the further out, the less is held, and never what the solution makes use of."""
    best, settling = begun(build(*made_up_job(12, 4, 90, 1)))
    relaxed = LookAround(best, settling).tightened(60)
    assert relaxed is not None
    cases, used = Cases(best, Narrowed(best, relaxed), relaxed, settling.settle), best.solution
    assert cases.far(100, used) == relaxed.dear(100, used)
    whole, _ = _split(cases)
    near, further = cases.far(100, used), cases.far(400, used)
    assert further.keys() < near.keys()
    assert all(used[index] <= least == relaxed.least[index] for index, least in near.items())
    dear = set(whole.columns[whole.reduced_cents > 100])
    assert {index for index in near if index in set(whole.columns)} == {
        index for index in dear if index < len(relaxed.least) and used[index] <= relaxed.least[index]
    }


def test_it_changes_no_total(monkeypatch: pytest.MonkeyPatch, splits: list[list[Case]]) -> None:
    """Every job counts as one of many loads."""
    monkeypatch.setattr(search, "FEW_LOADS", 0)
    answer = plan(case(LARGER).job, case(LARGER).catalogue)
    assert (answer.status, answer.total_cents) == ("optimal", case(LARGER).total_cents)
