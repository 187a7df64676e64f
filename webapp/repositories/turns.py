"""Whose turn it is: those who ask take turns, however many plans each of them has asked for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A plan that waits or is being worked out."""

    plan_id: str
    asker: str
    job_id: str


def in_turn(waiting: Sequence[Asked], at_work: Sequence[Asked], served: Iterable[str]) -> list[Asked]:
    """Those that wait, in the order in which they will begin.

    Next is the asker with the fewest plans at work and, among these, whoever has not been served for longest; of one
    asker's plans, a job that is not at work already, then the one asked for first.

    Args:
        waiting: In the order of asking.
        served: Askers in the order in which they were last served.
    """
    last_served = {asker: turn for turn, asker in enumerate(served)}
    left, order = list(waiting), list[Asked]()
    while left:
        place = min(range(len(left)), key=lambda n: (*_claim(left[n], at_work, last_served), n))
        order.append(left.pop(place))
        last_served[order[-1].asker] = len(last_served) + len(order)
    return order


def has_room(one: Asked, at_work: Sequence[Asked], most_each: int) -> bool:
    """Whether one more plan of this asker may be worked out at the same time."""
    return sum(other.asker == one.asker for other in at_work) < most_each


def _claim(one: Asked, at_work: Sequence[Asked], last_served: Mapping[str, int]) -> tuple[int, int, int]:
    of_asker = sum(other.asker == one.asker for other in at_work)
    of_job = sum(other.job_id == one.job_id for other in at_work)
    return of_asker, last_served.get(one.asker, -1), of_job
