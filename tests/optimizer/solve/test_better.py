"""Ever better solutions: that they come, that they end, and that they change no total."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest

from optimizer.planner import plan
from optimizer.solve import around, better, search
from optimizer.solve.around import LookAround
from optimizer.solve.best import Best
from optimizer.solve.better import Better
from optimizer.solve.cases import Cases
from optimizer.solve.diving import Dive
from optimizer.solve.instance import build
from optimizer.solve.mixing import Mixture
from optimizer.solve.narrowed import Narrowed
from optimizer.solve.rows import Solution
from tests.benchmarks.jobs import made_up_job
from tests.optimizer.cases import case
from tests.optimizer.solve.before import Before
from tests.optimizer.solve.begun import LIMIT_S, begun


def _better(best: Best, around_it: LookAround) -> Better:
    relaxed = around_it.tightened(60)
    assert relaxed is not None
    cases = Cases(best, Narrowed(best, relaxed), relaxed, lambda _: None)
    return Better(best, relaxed, cases, around_it._take)


def test_a_round_of_twelve_loads_finds_a_cheaper_plan_than_by_hand() -> None:
    best, settling = begun(build(*made_up_job(12, 4, 90, 1)))
    before_cents = best.cost_cents
    next(_better(best, LookAround(best, settling)).rounds())
    assert best.cost_cents < before_cents


def test_rounds_end_after_several_in_vain(monkeypatch: pytest.MonkeyPatch) -> None:
    """The least price is known, so that all are in vain."""
    best, settling = begun(build(case("023").job, case("023").catalogue))
    around_it = LookAround(best, settling)
    assert list(_better(best, around_it).rounds())[-1] > 0
    assert best.cost_cents == case("023").total_cents
    monkeypatch.setattr(better, "IN_VAIN", 3)
    assert list(_better(best, around_it).rounds()) == [1, 2, 3]


def test_rounds_end_once_somebody_stops() -> None:
    best, settling = begun(build(*made_up_job(12, 4, 90, 1)))
    rounds = _better(best, LookAround(best, settling)).rounds()
    next(rounds)
    best.ended.set()
    assert list(rounds) == []


def test_what_cannot_be_cut_is_not_searched_below(monkeypatch: pytest.MonkeyPatch) -> None:
    """The first two mixtures found cannot be cut: it is asked again, each time below the best that can be."""
    best, settling = begun(build(*made_up_job(12, 4, 90, 1)))
    searching = _better(best, LookAround(best, settling))
    asked, unfit = [], [best.solution, best.solution]
    monkeypatch.setattr(best, "keeps", lambda solution: solution not in unfit or unfit.remove(solution) is not None)

    def below(start: Solution, *_: Any, **__: Any) -> Dive:
        asked.append(start)
        return Dive(best.solution if unfit else None, is_ended=True)

    monkeypatch.setattr(searching._diving, "below", below)
    assert searching._between(Mixture(frozenset(), {})) == Dive(None, is_ended=True)
    assert asked == [best.solution] * 3


def test_mixing_ends_with_one_for_which_there_is_no_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """What neither ends nor finds anything is followed by others: of 50 loads each takes seconds, mostly in vain."""
    best, settling = begun(build(*made_up_job(4, 2, 90, 1)))
    searching, mixed = _better(best, LookAround(best, settling)), list[Mixture]()
    mixture = Mixture(frozenset(), {})
    answers = [Dive(None, is_ended=True), Dive(best.solution, is_ended=False), Dive(None, is_ended=False)]
    monkeypatch.setattr(searching._mixing, "next", lambda _: mixture)
    monkeypatch.setattr(searching._mixing, "mixed", lambda of, *_, **__: mixed.append(of))
    monkeypatch.setattr(searching, "_between", lambda _: answers.pop(0))
    searching._mix()
    assert answers == []
    assert len(mixed) == 3


def test_beside_the_best_solution_one_side_is_kept_after_another(monkeypatch: pytest.MonkeyPatch) -> None:
    """From the first one again once something cheaper is found; with each as far as there is time."""
    best, settling = begun(build(*made_up_job(12, 4, 90, 1)))
    searching, dives = _better(best, LookAround(best, settling)), list[tuple[int, bool]]()
    kept = [set(side.kept) for side in searching._sides]
    below = searching._diving.below

    def noted(start: Solution, held: dict[int, int], **limits: Any) -> Dive:
        which = next(n for n, side in enumerate(kept) if side <= held.keys())
        assert all(held[index] == start[index] == best.solution[index] for index in kept[which])
        before_cents = best.cost_cents
        found = below(start, held, **{**limits, "limit_s": LIMIT_S})
        dives.append((which, best.cost_cents < before_cents))
        return found

    monkeypatch.setattr(searching._diving, "below", noted)
    before_cents = best.cost_cents
    searching._one_side_kept()
    assert best.cost_cents < before_cents
    assert any(is_cheaper for _, is_cheaper in dives)
    for (which, is_cheaper), (then, _) in pairwise(dives):
        assert then == 0 if is_cheaper else then in (which, which + 1)
    count = len(dives)
    searching._one_side_kept()
    assert len(dives) == count  # nothing cheaper is left, as far as each goes


def test_the_last_search_leaves_time_to_mix_what_it_finds(monkeypatch: pytest.MonkeyPatch) -> None:
    best, settling = begun(build(*made_up_job(4, 2, 90, 1)))
    searching, limits_s = _better(best, LookAround(best, settling)), list[float]()

    def below(*_: Any, limit_s: float, **__: Any) -> Dive:
        limits_s.append(limit_s)
        return Dive(None, is_ended=True)

    monkeypatch.setattr(searching._diving, "below", below)
    monkeypatch.setattr(Best, "left_s", 2.0)
    searching._search(best.solution, {}, 100)
    assert 1 <= limits_s[0] <= 1.5


@pytest.mark.parametrize("number", ["031", "066"])
def test_it_changes_no_total(monkeypatch: pytest.MonkeyPatch, number: str) -> None:
    """Every job counts as one of many loads, and all looks come before the proof."""
    ran = []
    monkeypatch.setattr(search, "FEW_LOADS", 0)
    monkeypatch.setattr(search, "Beside", Before)
    monkeypatch.setattr(better, "IN_VAIN", 1)
    monkeypatch.setattr(around, "CASES_AFTER", 0)  # and the bound in between
    rounds = Better.rounds
    monkeypatch.setattr(Better, "rounds", lambda self: (ran.append(1), rounds(self))[1])
    answer = plan(case(number).job, case(number).catalogue)
    assert ran
    assert (answer.status, answer.total_cents) == ("optimal", case(number).total_cents)
