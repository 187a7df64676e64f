"""Twins of additions 3: a router of 36 W and a camera of 9 W on one converter, 2 W + 45 W / 0.9 = 52 W in."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from optimizer.catalogue import Catalogue
from optimizer.job import Job
from optimizer.plan import Plan
from tests.builders import ROUTER_FEED, a_catalogue, a_job, a_plan

from .twin import CAMERA, System, Twin, pass_through

Fields = dict[str, Any]


def job(camera: Fields | None = None, limits: Fields | None = None, **changes: Any) -> Job:
    return a_job(
        more_loads=(replace(CAMERA, **camera or {}),), limits={"share_stages": True} | (limits or {}), **changes
    )


def catalogue(*more: Any, **boost: Any) -> Catalogue:
    return a_catalogue(*more, boost={"outlets": 2} | boost)


def plan(camera: Fields | None = None, **router: Any) -> Plan:
    """The camera comes first by id, so it is the host."""
    hosts = replace(ROUTER_FEED, **({"load": "camera"} | (camera or {})))
    return a_plan(c1={"loads": ("router", "camera")}, router={"shares": "camera"} | router, more_feeds=(hosts,))


def shared(**parts: Any) -> System:
    return System(**({"job": job(), "catalogue": catalogue(), "plan": plan()} | parts))


def twin(rule: str, what: str, obeys: System, breaks: System) -> Twin:
    return Twin(rule=rule, what=f"shared, {what}", obeys=obeys, breaks=breaks)


APART = shared(plan=plan(shares=None))  # a converter each
PLUG = pass_through("plug", "dc-wire", "dc-plug", outlets=2)

TWINS = (
    twin("share_allowed", "asked", shared(), shared(job=job(limits={"share_stages": False}))),
    twin("share_host", "the first by id", shared(), shared(plan=plan({"shares": "router"}, shares=None))),
    twin("share_host", "another chain", shared(), shared(plan=plan({"stages": ()}))),
    twin("share_host", "another circuit", shared(), shared(plan=plan({"circuit": "C2"}))),
    twin("share_host", "no host", shared(), shared(plan=plan({"shares": "camera"}))),
    twin("share_host", "a host on the outlet", shared(), shared(plan=plan({"source": "ac"}))),
    twin("share_host", "at the panel", shared(), shared(plan=plan({"panel_stages": 1}))),
    twin("share_host", "another place", shared(), shared(job=job({"place": "mast"}))),
    twin("share_chain", "every converter limits", shared(), shared(catalogue=catalogue(limits_output=False))),
    twin(
        "share_chain",
        "nothing fixes a voltage",
        shared(),
        shared(catalogue=catalogue(PLUG), plan=plan({"stages": ("plug",)}, stages=("plug",))),
    ),
    twin("share_outlets", "two", shared(), shared(catalogue=catalogue(outlets=1))),
    # (36 W + 9 W) × 1.2
    twin(
        "stage_rating", "both", shared(catalogue=catalogue(max_out_w=54)), shared(catalogue=catalogue(max_out_w=53.9))
    ),
    # what a stage before the converter passes: (2 W + 45 W / 0.9) × 1.2, the idle power once
    twin(
        "stage_rating",
        "idle power once",
        *(
            shared(
                catalogue=catalogue(pass_through("tail", "dc-wire", "tail", max_out_w=most_w), in_form="tail"),
                plan=plan({"stages": ("tail", "boost")}, stages=("tail", "boost")),
            )
            for most_w in (62.4, 62.3)
        ),
    ),
    twin("covered", "one converter", shared(), APART),
    twin(
        "junction",
        "one chain",
        shared(job=job(limits={"count_joints": True})),
        replace(APART, job=job(limits={"count_joints": True})),
    ),
    twin("own_circuit", "none with its own", shared(), shared(job=job({"own_circuit": True}))),
    twin("switched_apart", "both or none", shared(), shared(job=job({"switch": True}))),
    twin("references", "a host that is no load", shared(), shared(plan=plan(shares="nobody"))),
)
