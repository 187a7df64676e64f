"""The command line with a solver that finds a cheaper plan every moment and never ends by itself.

`python -m tests.browser.slow serve ...`; as `python -m tests.browser.slow solve plan JOB CATALOGUE --out PLAN ...` it
is that solver. Asked to stop, it writes the plan of an example and waits for nobody.
"""

from __future__ import annotations

import json
import signal
import sys
import time
from pathlib import Path
from typing import Any

from webapp import cli
from webapp.solver import process

CASES = Path(__file__).parents[1] / "cases"
CHECK = {
    "rule": "drop",
    "subject": "C1",
    "value": 0.3,
    "limit": 0.36,
    "unit": "V",
    "state": "holds",
    "margin": 0.06,
    "source": "planning rules 3",
}
BOUND_CENTS = 60_000


def main() -> int:
    """Serve, or be the solver."""
    if sys.argv[1] == "solve":
        return solve(Path(sys.argv[sys.argv.index("--out") + 1]))
    process.command = lambda _memory_mb: (sys.executable, "-m", "tests.browser.slow", "solve")
    return cli.main(sys.argv[1:])


def solve(out: Path) -> int:
    """Better and better, until somebody asks for the answer."""
    asked: list[int] = []
    signal.signal(signal.SIGTERM, lambda number, _frame: asked.append(number))
    began_s, best_cents = time.monotonic(), 90_000
    while not asked:
        progress = {"best_cents": best_cents, "bound_cents": BOUND_CENTS, "elapsed_s": time.monotonic() - began_s}
        print(json.dumps(progress), file=sys.stderr, flush=True)
        best_cents = max(62_634, best_cents - 100)
        time.sleep(0.2)
    out.write_text(json.dumps(answer()))
    return cli.DONE


def answer() -> dict[str, Any]:
    """The plan of case 62, not proven."""
    plan = json.loads((CASES / "plan-062.json").read_text())
    energy = {"average_w": 31.2, "today_average_w": None}
    return {
        **plan,
        "status": "feasible",
        "bound_cents": BOUND_CENTS,
        "checks": [CHECK],
        "reasons": [],
        "energy": energy,
    }


if __name__ == "__main__":
    sys.exit(main())
