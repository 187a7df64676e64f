"""A search that has a first answer as its solution, and nothing else yet."""

from __future__ import annotations

from optimizer.by_hand import improved
from optimizer.solve.best import Best
from optimizer.solve.instance import Instance
from optimizer.solve.model import build_model
from optimizer.solve.settling import Settling
from optimizer.solve.variables import total

LIMIT_S = 3600.0  # on a busy machine too: what a search does once its time is up is tested where that is the question


def begun(instance: Instance) -> tuple[Best, Settling]:
    """A search of an instance after a careful person's answer."""
    built = build_model(instance)
    built.cp.minimize(total(built.bought.cost))
    best = Best(built, LIMIT_S, None, None, None, is_worked_over=False)
    settling = Settling(best, few_loads=False)
    first = improved(instance)
    assert first is not None
    settling.take(first)
    assert best.solution
    return best, settling
