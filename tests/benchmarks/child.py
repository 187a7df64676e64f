"""One measurement in a process of its own: reads a task from the command line, prints the outcome as one line of JSON.

Times are seconds (see clock) on values already read: importing and parsing documents is not counted.
"""

from __future__ import annotations

import json
import resource
import sys
from collections.abc import Callable
from typing import Any

from optimizer.by_hand import by_hand, by_hand_from_one_seller, improved
from optimizer.catalogue import Catalogue
from optimizer.checks import check_plan
from optimizer.job import Job
from optimizer.plan import Plan
from optimizer.planner import plan
from optimizer.progress import Progress
from optimizer.solve.instance import Instance, build
from tests.benchmarks.clock import now_s, set_for
from tests.benchmarks.irrelevant import with_irrelevant_offers
from tests.benchmarks.jobs import made_up_job, safer_job
from tests.benchmarks.milp import Outcome as PeerOutcome
from tests.benchmarks.plain import every_feed, solve_plainly
from tests.optimizer.cases import case

Task = dict[str, Any]
Outcome = dict[str, Any]


def job_of(task: Task) -> tuple[Job, Catalogue]:
    """The job that a task names: made up, over the seed catalogue, or a case; with irrelevant offers if it says so."""
    match task["job"]:
        case ["made-up", *numbers]:
            job, catalogue = made_up_job(*numbers)
        case ["safer", *numbers]:
            job, catalogue = safer_job(*numbers)
        case ["case", number]:
            job, catalogue = case(number).job, case(number).catalogue
        case unknown:
            raise ValueError(f"no such job: {unknown}")
    if task.get("irrelevant"):
        catalogue = with_irrelevant_offers(catalogue, task["irrelevant"])
    return job, catalogue


def thriftloom(task: Task) -> Outcome:
    """The product, through its only door."""
    job, catalogue = job_of(task)
    start_s = now_s()
    steps: list[tuple[float, int | None, int | None]] = []

    def note(progress: Progress) -> None:
        steps.append((now_s() - start_s, progress.best_cents, progress.bound_cents))

    answer = plan(job, catalogue, time_limit_s=task["limit_s"], on_progress=note)
    seconds = now_s() - start_s
    steps.append((seconds, answer.total_cents, answer.bound_cents))
    return {
        "status": answer.status,
        "total_cents": answer.total_cents,
        "bound_cents": answer.bound_cents,
        "seconds": seconds,
        "steps": steps,
        "broken": broken_rules(job, catalogue, answer),
    }


def plain(task: Task) -> Outcome:
    """The peer, choosing from every feed there is. Listing them and writing its program down is not counted for it."""
    instance = build(*job_of(task))
    return _peer(solve_plainly(instance, task["limit_s"], options=every_feed(instance.job, instance.catalogue)))


def pruned(task: Task) -> Outcome:
    """The peer, choosing from the feeds that the product left after its comparisons, which are not counted for it."""
    return _peer(solve_plainly(build(*job_of(task)), task["limit_s"]))


def _peer(found: PeerOutcome) -> Outcome:
    return {
        "status": found.status,
        "total_cents": found.total_cents,
        "bound_cents": found.bound_cents,
        "seconds": found.solve_s,
        "steps": [*found.steps, (found.solve_s, found.total_cents, found.bound_cents)],
        "columns": found.columns,
        "rows": found.rows,
        "broken": [],
    }


def hand(task: Task) -> Outcome:
    """The careful person, the cheaper of every part where it is cheapest and mostly one seller; then a second look."""
    job, catalogue = job_of(task)
    instance = build(job, catalogue)
    each, each_s = _timed(by_hand, instance)
    one, _ = _timed(by_hand_from_one_seller, instance)
    second, second_s = _timed(improved, instance)
    answers = [answer for answer in (each, one) if answer is not None]
    best = min(answers, key=lambda answer: answer.total_cents, default=None)
    return {
        "status": "unknown" if best is None else "feasible",
        "total_cents": best and best.total_cents,
        "seconds": each_s,
        "improved_cents": second and second.total_cents,
        "improved_s": second_s,
        "broken": [
            rule for answer in [*answers, second] if answer for rule in broken_rules(job, catalogue, answer.plan)
        ],
    }


def _timed(way: Callable[[Instance], Any], instance: Instance) -> tuple[Any, float]:
    start_s = now_s()
    answer = way(instance)
    return answer, now_s() - start_s


def broken_rules(job: Job, catalogue: Catalogue, answer: Plan) -> list[str]:
    """What the checks, which know no solver, find wrong with a plan; a benchmark of wrong plans is worth nothing."""
    if not answer.has_answer:
        return []
    return [f"{c.rule} {c.subject}" for c in check_plan(job, catalogue, answer) if c.state == "fails"]


KINDS = {"thriftloom": thriftloom, "plain": plain, "pruned": pruned, "hand": hand}


def main() -> None:
    task = set_for(json.loads(sys.argv[1]))
    outcome = KINDS[task["kind"]](task)
    outcome["peak_mb"] = round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
    print(json.dumps(outcome))


if __name__ == "__main__":
    main()
