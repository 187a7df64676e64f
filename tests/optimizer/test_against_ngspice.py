"""ngspice solves the netlist of whole plans and agrees with the operating point on every node within 1 mV."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest

from optimizer.catalogue import Catalogue
from optimizer.checks.facts import PlanFacts
from optimizer.job import Job, SuppliedLead
from optimizer.plan import Circuit, Plan
from tests.builders import ROUTER, ROUTER_FEED, a_catalogue, a_job, a_plan
from tests.optimizer import ngspice
from tests.optimizer.checks.twins import boosting, sharing
from tests.optimizer.demos import AUTONOMY_H, planned
from tests.optimizer.examples import NUMBERS, example

WITHIN_V = 0.001

System = tuple[Job, Catalogue, Plan]


@pytest.fixture(autouse=True)
def _needs_ngspice() -> None:
    if shutil.which("ngspice") is None:
        message = "ngspice is not installed (package ngspice): nobody but us has solved these circuits here"
        if os.environ.get("CI") == "true":
            pytest.fail(message)
        pytest.skip(message)


def mixed() -> System:
    """Every kind of load on one circuit, a resistance behind a converter, joints in the loop, warm copper."""
    kinds = (
        {"id": "dimmer", "behaviour": "resistive", "rated_v": 12.0, "peak_w": 10.0, "lead": SuppliedLead(loop_ohm=0.2)},
        {"id": "pump", "peak_w": 12.0, "lead": SuppliedLead(loop_ohm=0.1)},
        {"id": "heater", "behaviour": "resistive", "rated_v": 18.0, "peak_w": 20.0, "lead": SuppliedLead(loop_ohm=1.0)},
    )
    loads = tuple(replace(ROUTER, **kind) for kind in kinds)
    direct = [replace(ROUTER_FEED, load=load, stages=()) for load in ("dimmer", "pump")]
    feeds = (*direct, replace(ROUTER_FEED, load="heater"))
    job = a_job(
        more_loads=loads,
        router={"lead": SuppliedLead(loop_ohm=0.5)},
        desk={"run_m": 7.5},
        limits={"joint_mohm": 5, "conductor_c": 60},
    )
    plan = a_plan(c1={"loads": ("router", "dimmer", "pump", "heater")}, more_feeds=feeds)
    return job, a_catalogue(), plan


def system_of(number: str) -> System:
    return example(number)[:3]


def boosted() -> System:
    system = boosting.boosted(job=boosting.job(limits={"joint_mohm": 5, "conductor_c": 60}))
    return system.job, system.catalogue, system.plan


def boosted_and_direct(**load: object) -> System:
    """A run and a lead of 1.75 Ω that feed a load which nothing at the place converts for."""
    system = boosting.on_24(load=load)
    return system.job, system.catalogue, system.plan


def shared(**camera: object) -> System:
    system = sharing.shared(job=sharing.job({"lead": SuppliedLead(loop_ohm=0.95), **camera}))
    return system.job, system.catalogue, system.plan


SYSTEMS: dict[str, Callable[[], System]] = {
    **{f"example {number}": partial(system_of, number) for number in NUMBERS},
    **{f"demo {slug}": partial(planned, slug) for slug in AUTONOMY_H},
    "worked out by hand": lambda: (a_job(), a_catalogue(), a_plan()),
    "every kind of load": mixed,
    "boosted": boosted,
    "boosted, nothing behind the run": boosted_and_direct,
    "boosted, a resistance": partial(boosted_and_direct, behaviour="resistive", rated_v=20.0, peak_w=40.0),
    "two loads on one converter": shared,
    "two loads on one converter, one a resistance": partial(shared, behaviour="resistive", rated_v=19.0),
}


@pytest.mark.parametrize("name", SYSTEMS)
def test_every_node_agrees_with_the_operating_point(name: str, tmp_path: Path) -> None:
    job, catalogue, plan = SYSTEMS[name]()
    found_v = ngspice.solve(ngspice.netlist(job, catalogue, plan), tmp_path)
    expected_v = node_voltages(job, catalogue, plan)
    assert len(expected_v) >= len(plan.circuits)
    assert {node: found_v[node] for node in expected_v} == pytest.approx(expected_v, abs=WITHIN_V)


@pytest.mark.parametrize("number", NUMBERS)
def test_the_plans_own_settled_voltages_agree(number: str, tmp_path: Path) -> None:
    job, catalogue, plan = example(number)[:3]
    found_v = ngspice.solve(ngspice.netlist(job, catalogue, plan), tmp_path)
    for i, circuit in enumerate(plan.circuits):
        assert found_v[f"place{i}"] == pytest.approx(_settled_v(circuit), abs=WITHIN_V)


def test_overloaded_run_falls_below_the_clamp(tmp_path: Path) -> None:
    job = a_job(desk={"run_m": 90})  # 42 W over 0.905 Ω: at most 11.7² / (4 × 0.905) = 37.8 W
    found_v = ngspice.solve(ngspice.netlist(job, a_catalogue(), a_plan()), tmp_path)
    assert found_v["place0"] < job.bus.low_v / 2
    assert PlanFacts(job=job, catalogue=a_catalogue(), plan=a_plan()).circuits[0].settled is None


def node_voltages(job: Job, catalogue: Catalogue, plan: Plan) -> dict[str, float]:
    """Every place and every load of the operating point, by the names of the netlist."""
    facts = PlanFacts(job=job, catalogue=catalogue, plan=plan)
    nodes: dict[str, float] = {}
    position = {feed.load: i for i, feed in enumerate(plan.feeds)}
    for i, circuit in enumerate(facts.circuits):
        assert circuit.settled is not None
        nodes[f"place{i}"] = circuit.settled.place_v
        for feed in circuit.feeds:
            load_v = feed.draw.load_v(circuit.settled.place_v)
            assert load_v is not None
            nodes[f"load{position[feed.load.id]}"] = load_v
            if feed.run_end_v is not None:
                nodes[f"far{position[feed.load.id]}"] = feed.run_end_v
    return nodes


def _settled_v(circuit: Circuit) -> float:
    return circuit.settled.place_v
