"""Children that stand in for the solver, and patience."""

from __future__ import annotations

import json
import sys
import time

from webapp.services import jobs, plans

# Children that behave as the command line may. argv: plan JOB CATALOGUE --out PLAN --time-limit S --progress json
PREAMBLE = (
    "import json, os, signal, sys, time; out = sys.argv[5]; say = lambda x: print(x, file=sys.stderr, flush=True)\n"
)
SLEEPS = "say(json.dumps({'best_cents': 500, 'bound_cents': 400, 'elapsed_s': 0.1})); time.sleep(600)"


def program(code):
    return (sys.executable, "-c", PREAMBLE + code)


def answers(plan, code=0):
    return program(
        f"say(json.dumps({{'best_cents': 700, 'bound_cents': 600, 'elapsed_s': 0.2}})); "
        f"open(out, 'w').write({json.dumps(plan)!r}); sys.exit({code})"
    )


def ask(job, who):
    return plans.start_plan(jobs.start_job(job).id, asked_by=who)


def wait_until(holds, seconds=60.0):
    deadline = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < deadline, "it did not happen"
        time.sleep(0.05)
