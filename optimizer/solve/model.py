"""The whole model of an instance: circuits, feeds, rules, demands and what is bought."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ortools.sat.python import cp_model

from optimizer.solve.circuits import MOST_BY_SETS
from optimizer.solve.demands import DEMANDS
from optimizer.solve.instance import Instance
from optimizer.solve.joined_circuits import JOINED_CIRCUIT_RULES
from optimizer.solve.purchases import Buying, Purchases
from optimizer.solve.rules import RULES, Rule
from optimizer.solve.variables import Variables
from optimizer.solve.whole_circuits import WHOLE_CIRCUIT_RULES


@dataclass(slots=True)
class PlanModel:
    """A built model with the handles needed to solve and to read it."""

    cp: cp_model.CpModel
    v: Variables
    bought: Purchases


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
