"""Why this part: for each choice of a plan the next-cheapest, and why it lost, from the model solved again."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from optimizer.catalogue import Catalogue
from optimizer.errors import InvalidInput
from optimizer.job import Job
from optimizer.near_misses import sentence
from optimizer.plan import Alternative, Plan
from optimizer.progress import Progress
from optimizer.shortfalls import money
from optimizer.solving import Clock
from optimizer.why_choices import AS_IT_IS, Question, questions
from optimizer.why_held import Freed, Held
from optimizer.why_limits import (
    RuledOut,
    banks_ruled_out,
    pairs_ruled_out,
    stages_ruled_out,
)
from optimizer.why_words import dearer, gained_words, tie

_LEAST_S, _MOST_S = 2.0, 10.0  # for one question
_RULED_OUT = 2  # of them named for one choice, cheapest first


def why_this(
    job: Job,
    catalogue: Catalogue,
    plan: Plan,
    *,
    time_limit_s: float,
    on_progress: Callable[[Progress], None] | None = None,
    stop: threading.Event | None = None,
) -> tuple[Alternative, ...]:
    """For every choice of a plan what it was preferred to, and cheaper parts that one limit rules out.

    Each is the cheapest plan with that one choice forbidden, really solved: first with everything else as it is, then
    with its place and at last with all chosen anew.

    Args:
        plan: The cheapest plan of this job and catalogue.
        time_limit_s: For all choices together; those that it does not reach say so. > 0. [s]
        on_progress: Called after every choice with the plan's own total, for a sign of life.
    Raises:
        InvalidInput: The time limit is not above zero, or the plan has no answer, or not to this job.
    """
    if not time_limit_s > 0:
        raise InvalidInput("time_limit_s", "Give more than 0 seconds.")
    if plan.total_cents is None or not plan.has_answer:
        raise InvalidInput("plan", "There is no plan to explain.")
    clock = Clock(time_limit_s, stop)
    asked = _Asked(Held(job, catalogue, plan), clock)
    found: list[Alternative] = list(asked.bought_better())
    waiting = list(questions(asked.held))
    for n, question in enumerate(waiting):
        found += asked.answers(question, left=len(waiting) - n)
        if on_progress is not None:
            on_progress(Progress(best_cents=plan.total_cents, bound_cents=plan.bound_cents, elapsed_s=clock.elapsed_s))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Asked:
    """A plan and the time there is to ask about it."""

    held: Held
    clock: Clock

    def answers(self, question: Question, left: int) -> Iterator[Alternative]:
        """The runner-up of one choice, then what would be cheaper but for one limit."""
        if self.clock.left_s <= 0:
            yield _said(question, "", "Not tried: the time was up.", "time")
            return
        share_s = min(max(self.clock.left_s / left, _LEAST_S), _MOST_S)
        others = list(self._ruled_out(question, share_s))
        yield self._runner_up(question, share_s, [each for each, _ in others])
        yield from [alternative for _, alternative in others if (alternative.more_cents or 0) < 0][:_RULED_OUT]

    def bought_better(self) -> Iterator[Alternative]:
        """What a plan whose search was not finished could be bought for; other plans are compared with that."""
        held, plan = self.held, self.held.plan
        if plan.status == "optimal" or self.clock.left_s <= 0:
            return
        better = held.cheapest(Freed(), time_limit_s=min(_MOST_S, self.clock.left_s), stop=self.clock.stop)
        assert plan.total_cents is not None
        if better.total_cents is None or better.total_cents >= plan.total_cents:
            return
        held.baseline = better
        less_cents = plan.total_cents - better.total_cents
        other = gained_words(held.catalogue, plan, better) or "fewer goods"
        text = f"The same circuits and feeds can be bought for {money(less_cents)} less, with {other}: the search for"
        yield Alternative(
            subject="purchases",
            chosen="what is bought",
            other=other,
            text=f"{text} this plan was not finished. What follows is compared with that.",
            why="search",
            more_cents=-less_cents,
        )

    # -- the runner-up --------------------------------------------------------------------------------------------

    def _runner_up(self, question: Question, share_s: float, ruled_out: list[RuledOut]) -> Alternative:
        refused: list[str] = []
        others, instance = question.others(), question.instance()
        for words, freed in question.widths:
            left_s = min(share_s, self.clock.left_s)
            if left_s <= 0:
                return _not_found(question, refused)
            other = self.held.cheapest(
                freed,
                rows=question.rows,
                others=others,
                instance=instance,
                time_limit_s=left_s,
                stop=self.clock.stop,
            )
            if other.has_answer:
                return self._compared(question, other, words)
            if other.status == "unknown":
                return _not_found(question, refused)
            refused.append(words)
            if against := question.against():
                return _said(question, "", sentence(f"No other does with everything else as it is: {against}"), "fuse")
        return self._nothing_else(question, ruled_out)

    def _compared(self, question: Question, other: Plan, words: str) -> Alternative:
        plan = self.held.baseline
        assert plan.total_cents is not None
        assert other.total_cents is not None
        more_cents = other.total_cents - plan.total_cents
        name = question.said(other)
        proven = "" if other.status == "optimal" else " at most"
        if more_cents > 0:
            bought, why = dearer(self.held.catalogue, plan, other)
            text = f"{name} would cost{proven} {money(more_cents)} more {words}"
            is_buying = question.subject.startswith("offer ") and why == "pack"  # then the pack is what it is about
            text += f": {bought}" if bought and not is_buying else ""
        elif more_cents == 0:
            decided, why = tie(self.held, other)
            text = f"{name} would cost the same {words}, {decided}"
        else:
            why = "search"
            text = f"{name} would be {money(-more_cents)} cheaper {words}: the search for this plan was not finished"
        return _said(question, name, sentence(text), why, more_cents)

    def _nothing_else(self, question: Question, ruled_out: list[RuledOut]) -> Alternative:
        """No other choice holds all limits: one of them says what is in the way."""
        text, why = f"Nothing else on offer holds every limit in place of {question.chosen}", "limits"
        if ruled_out:
            one = ruled_out[0]
            text, why = f"{text}; {one.other}, for one: {one.text}", one.why
        return _said(question, "", sentence(text), why)

    # -- ruled out ------------------------------------------------------------------------------------------------

    def _ruled_out(self, question: Question, share_s: float) -> Iterator[tuple[RuledOut, Alternative]]:
        for each in self._candidates(question):
            left_s = min(share_s, self.clock.left_s)
            if left_s <= 0:
                return
            other = self.held.cheapest(
                each.freed,
                rows=each.rows,
                others=each.others,
                instance=each.instance,
                is_real=False,
                time_limit_s=left_s,
                stop=self.clock.stop,
            )
            yield each, self._against(question, each, other)

    def _candidates(self, question: Question) -> Iterator[RuledOut]:
        kind, _, whose = question.subject.partition(" ")
        if kind == "feed":
            yield from stages_ruled_out(self.held, self.held.job.load_by_id[whose])
        elif kind == "conductor":
            circuit = next(each for each in self.held.plan.circuits if each.id == whose)
            yield from pairs_ruled_out(self.held, circuit)
        elif kind == "bank":
            yield from banks_ruled_out(self.held)

    def _against(self, question: Question, each: RuledOut, other: Plan) -> Alternative:
        plan = self.held.baseline
        assert plan.total_cents is not None
        more_cents = None if other.total_cents is None else other.total_cents - plan.total_cents
        if more_cents is not None and more_cents < 0:
            text = f"{each.other} would be {money(-more_cents)} cheaper {AS_IT_IS}, but {each.text}"
        else:
            text = f"{each.other} is ruled out: {each.text}"
        return _said(question, each.other, sentence(text), each.why, more_cents)


def _not_found(question: Question, refused: list[str]) -> Alternative:
    """The time was up; what was proven before that is said."""
    text = "What would have been next was not found in the time"
    if refused:
        text += f"; there is no other {' or '.join(refused)}"
    return _said(question, "", f"{text}.", "time")


def _said(question: Question, other: str, text: str, why: str, more_cents: int | None = None) -> Alternative:
    return Alternative(
        subject=question.subject, chosen=question.chosen, other=other, text=text, why=why, more_cents=more_cents
    )
