"""What the server of the audits holds: jobs and plans of every kind a screen can show."""

from __future__ import annotations

import copy
import json
import re
import time
import urllib.parse
import urllib.request
from dataclasses import dataclass
from typing import Any

from tests.browser import real

VAN = real.ROOT / "seed_catalog" / "demo" / "library-van.json"
SEARCHED_S = 60  # a plan to look at need not be proven; but a search far over its time is ended, on a busy machine too
PLANNED_S = 240
MOST_LOADS = 200


@dataclass(frozen=True, slots=True)
class Shelf:
    """Ids of what is there."""

    origin: str
    van: str  # a job of eight loads
    van_plan: str  # its plan
    bare: str  # a job without places and loads
    crowd: str  # a job of 200 loads
    stuck_plan: str  # no plan can hold what was asked
    unread_plan: str  # a plan whose cautions nobody has read yet
    waiting_plans: tuple[str, str]  # two of one job, which a qualified person has to answer for


def filled(origin: str) -> Shelf:
    """Put all of it on a server that was just seeded."""
    van = json.loads(VAN.read_text())
    van_job = _added(origin, van | {"title": "Van of the audits"})
    wants_weeks = copy.deepcopy(van) | {"title": "Van that wants weeks"}
    wants_weeks["limits"]["autonomy_h"] = 400
    van_plan = planned(origin, van_job, "optimal", "feasible")
    read_first(origin, van_plan)
    small = van | {"title": "Van of two loads", "loads": van["loads"][-2:], "owned": []}
    fumes = _added(origin, small | {"title": "Van with petrol", "bus": van["bus"] | {"fuel": True}})
    return Shelf(
        origin=origin,
        van=van_job,
        van_plan=van_plan,
        bare=_added(origin, van | {"title": "Nothing stated", "places": [], "loads": [], "owned": []}),
        crowd=_added(origin, crowded(van)),
        stuck_plan=planned(origin, _added(origin, wants_weeks), "infeasible"),
        unread_plan=planned(origin, _added(origin, small), "optimal", "feasible"),
        waiting_plans=(planned(origin, fumes, "optimal", "feasible"), planned(origin, fumes, "optimal", "feasible")),
    )


def crowded(job: dict[str, Any]) -> dict[str, Any]:
    """The same job with so many loads that no list of them fits a screen."""
    twins = [
        {**job["loads"][number % len(job["loads"])], "id": f"load-{number}", "name": f"Reading light {number}"}
        for number in range(1, MOST_LOADS + 1)
    ]
    return {**job, "title": f"Hall with {MOST_LOADS} loads", "loads": twins}


def _added(origin: str, document: dict[str, Any]) -> str:
    return str(asked(f"{origin}/api/jobs", document)["id"])


def planned(origin: str, job_id: str, *statuses: str) -> str:
    """Have a job planned, with one of these results; the plan's id."""
    plan_id = asked(f"{origin}/api/jobs/{job_id}/plans", {"time_limit_s": SEARCHED_S})["id"]
    ends = time.monotonic() + PLANNED_S
    while time.monotonic() < ends:
        told = asked(f"{origin}/api/plans/{plan_id}")
        if told["state"] not in ("queued", "running"):
            assert told["state"] == "done"
            plan = told["plan"] or told["waits"]["design"]  # a qualified person has to answer for it
            assert plan["status"] in statuses
            return str(plan_id)
        time.sleep(0.3)
    raise TimeoutError(f"{job_id} is not planned")


def read_first(origin: str, plan_id: str) -> None:
    """Tick the cautions of a plan, as a browser without scripts does."""
    browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
    with browser.open(f"{origin}/plans/{plan_id}/cut", timeout=30) as page:
        (token,) = set(re.findall(r'name="csrf_token" value="([^"]+)"', page.read().decode()))
    form = {"csrf_token": token, "caution/read": "yes", "back": "/"}
    browser.open(f"{origin}/plans/{plan_id}/marks", urllib.parse.urlencode(form).encode(), timeout=30).close()


def asked(address: str, document: dict[str, Any] | None = None) -> dict[str, Any]:
    """What the interface for programs answers."""
    data = None if document is None else json.dumps(document).encode()
    request = urllib.request.Request(address, data, {"Content-Type": "application/json"})
    with urllib.request.urlopen(request, timeout=30) as answer:
        told: dict[str, Any] = json.load(answer)
    return told
