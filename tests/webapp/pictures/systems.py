"""Plans to draw: the example plans, one boosted, one shared, one that stays on outlets."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

from optimizer.catalogue import Catalogue
from optimizer.job import AcOutlet, Brick, Job
from optimizer.plan import Plan
from tests.builders import CUTS, a_catalogue, a_job, a_plan
from tests.optimizer.checks.twins.boosting import boosted
from tests.optimizer.checks.twins.sharing import shared
from tests.optimizer.examples import NUMBERS, example


class System(NamedTuple):
    job: Job
    catalogue: Catalogue
    plan: Plan


def small() -> System:
    return System(a_job(), a_catalogue(), a_plan())


def on_outlets() -> System:
    """The router stays where it is: 90 % inverter, 10 W idle for 6 h, an adapter of 80 %."""
    job = a_job(
        ac=AcOutlet(efficiency=0.9, idle_w=10, on_hours_per_day=6, max_w=300),
        router={"brick": Brick(efficiency=0.8, idle_w=1)},
    )
    plan = a_plan(router={"source": "ac", "circuit": None, "stages": ()})
    return System(
        job,
        a_catalogue(),
        replace(plan, circuits=plan.circuits[1:], cuts=(replace(CUTS[0], pieces=CUTS[0].pieces[1:]), CUTS[1])),
    )


def systems() -> dict[str, System]:
    """All of them by name."""
    found = {number: System(*example(number)[:3]) for number in NUMBERS}
    for name, one in (("boosted", boosted()), ("shared", shared())):
        found[name] = System(one.job, one.catalogue, one.plan)
    return found | {"small": small(), "on_outlets": on_outlets()}
