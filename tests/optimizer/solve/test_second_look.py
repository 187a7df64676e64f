"""Choices of the model read back, and worked over by hand."""

from __future__ import annotations

import threading

import pytest

from optimizer import solving
from optimizer.by_hand import Answer, by_hand, improved
from optimizer.checks import check_plan, failures
from optimizer.progress import Progress
from optimizer.solve import search, second_look
from optimizer.solve.best import Best
from optimizer.solve.first_answer import decided
from optimizer.solve.instance import Instance, build
from optimizer.solve.model import PlanModel, build_model
from optimizer.solve.second_look import SecondLook, choices_of
from optimizer.solve.variables import Var
from optimizer.solving import cheapest_plan
from tests.benchmarks.jobs import made_up_job, safer_job
from tests.optimizer.cases import case


def _started(instance: Instance) -> tuple[PlanModel, Answer]:
    answer = improved(instance)
    assert answer is not None
    return build_model(instance), answer


def _values(built: PlanModel, answer: Answer) -> dict[int, int]:
    """What the choices of an answer say of the model's variables; the band and the junctions as the answer has them."""
    values = decided(built.v, answer.choices)
    for place, chosen in built.v.band.items():
        values.update((var.index, int(n == answer.choices.bands[place])) for n, var in enumerate(chosen))
    laid = {circuit.loads: circuit.junction for circuit in answer.choices.circuits}
    for circuit in built.v.circuits:
        junction = laid.get(tuple(load.id for load in circuit.members))
        values.update((var.index, int(part is junction)) for part, var in built.v.junction.get(circuit.key, []))
    return values


@pytest.mark.parametrize("which", ["case", "joints", "group"])
def test_choices_are_read_back_as_they_were(which: str) -> None:
    job, catalogue = {
        "case": lambda: case("023")[:2],
        "joints": lambda: safer_job(6, 2, 1),
        "group": lambda: made_up_job(9, 1, 120, 2),  # loads join circuits one by one
    }[which]()
    built, answer = _started(build(job, catalogue))
    values = _values(built, answer)

    def value(var: Var) -> int:
        return values[var.index]

    assert choices_of(built.v, value) == answer.choices


def test_a_second_look_gives_a_sound_plan_no_dearer_and_each_choice_one_look() -> None:
    job, catalogue = made_up_job(8, 3, 120, 1)
    instance = build(job, catalogue)
    built, answer = _started(instance)
    values = _values(built, answer)
    look = SecondLook(built.v)
    found = look.at(lambda var: values[var.index])
    assert found is not None
    assert found.total_cents <= answer.total_cents
    assert not failures(check_plan(instance.job, instance.catalogue, found.plan))
    assert look.at(lambda var: values[var.index]) is None


def test_what_cannot_be_cut_as_bought_is_kept_worked_over(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing the model buys can be cut, as it were; still there is a plan below the first, and a bound."""
    monkeypatch.setattr(search, "FEW_LOADS", 0)
    monkeypatch.setattr(Best, "_stands", lambda *_, **__: False)
    monkeypatch.setattr(second_look, "EFFORT", 0)  # bought only, so that it is the model's own choice
    monkeypatch.setattr(solving, "improved", by_hand)  # so is what there is to find below
    job, catalogue, _, best_cents = case("023")
    instance = build(job, catalogue)
    first = by_hand(instance)
    assert first is not None
    assert best_cents is not None
    stop = threading.Event()

    def until_near(told: Progress) -> None:
        assert told.best_cents is not None
        if told.best_cents < first.total_cents and (told.bound_cents or 0) > 0.97 * best_cents:
            stop.set()  # the rest takes far longer

    found = cheapest_plan(instance, time_limit_s=240, on_progress=until_near, stop=stop)
    assert found.total_cents is not None
    assert found.bound_cents is not None
    assert found.bound_cents <= best_cents <= found.total_cents < first.total_cents
    assert not failures(check_plan(instance.job, instance.catalogue, found))
