"""One plan in one child process: temporary files in, progress lines and an exit code out."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from webapp import schemas
from webapp.repositories.rows import PlanTask

LINES_KEPT = 40
GRACE_S = 30.0  # on top of half the limit again: reading, checking and tie-breaks take their time
STOP_GRACE_S = 30.0  # to put the best plan so far together once asked to stop
EMPTY_GRACE_S = 5.0  # where there is none yet, and nothing to lose
# libraries below us would each start a thread for every core, and others solve at the same time
ONE_THREAD = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")
_ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended:
    """How a child ended."""

    code: int  # of the command line; negative: killed by that signal
    document: Any  # what it wrote, if that was JSON
    said: tuple[str, ...]  # on standard error, besides progress
    overran: bool = False  # killed by us, long after it should have ended
    cancelled: bool = False  # asked by us to stop early
    had_plan: bool = False  # it had told of one


def command(memory_mb: int) -> tuple[str, ...]:
    """The program that works plans out."""
    return (sys.executable, "-m", "webapp.solver.child", str(memory_mb))


class Child:
    """A running child process, which ends in the end."""

    def __init__(self, process: subprocess.Popen[str], *, most_s: float) -> None:
        self.process = process
        self.cancelled = False
        self.overran = False
        self.has_plan = False
        self._lock = threading.Lock()
        self._timers: list[threading.Timer] = []
        self._kill_after(most_s)

    def ask_to_stop(self) -> None:
        """Let it put its best plan so far together; only the first time counts."""
        with self._lock:
            if self.cancelled:
                return
            self.cancelled = True
        self._kill_after(STOP_GRACE_S if self.has_plan else EMPTY_GRACE_S)
        self.process.terminate()

    def kill(self) -> None:
        """End it at once."""
        self.process.kill()

    def wait(self) -> int:
        """Its exit code, once it has ended."""
        code = self.process.wait()
        for timer in self._timers:
            timer.cancel()
        return code

    def _kill_after(self, seconds: float) -> None:
        timer = threading.Timer(seconds, self._overrun)
        timer.daemon = True
        timer.start()
        self._timers.append(timer)

    def _overrun(self) -> None:
        self.overran = True
        self.kill()


def run(
    task: PlanTask,
    program: tuple[str, ...],
    work_dir: Path,
    *,
    on_progress: Callable[[dict[str, Any]], None],
    on_start: Callable[[Child], None],
) -> Ended:
    """Work one plan out and wait for it."""
    work_dir.mkdir(parents=True, exist_ok=True)
    with TemporaryDirectory(dir=work_dir) as folder:
        files = _files(task, Path(folder))
        with _start(program, files, task) as process:
            child = Child(process, most_s=1.5 * task.time_limit_s + GRACE_S)
            on_start(child)

            def note(progress: dict[str, Any]) -> None:
                child.has_plan = child.has_plan or progress.get("best_cents") is not None
                on_progress(progress)

            said = _listen(process.stderr or (), note)
            code = child.wait()
        return Ended(
            code=code,
            document=_written(files["plan"]),
            said=said,
            overran=child.overran,
            cancelled=child.cancelled,
            had_plan=child.has_plan,
        )


def _files(task: PlanTask, folder: Path) -> dict[str, Path]:
    """What goes in, written, and where what comes out will be."""
    files = {name: folder / f"{name}.json" for name in ("job", "catalogue", "plan", "finished")}
    given = {"job": task.job_document, "catalogue": task.catalogue_document, "finished": task.finished}
    for name, document in given.items():
        if document is not None:
            files[name].write_text(json.dumps(document), encoding="utf-8")
    return files


def _start(program: tuple[str, ...], files: dict[str, Path], task: PlanTask) -> subprocess.Popen[str]:
    more = () if task.finished is None else ("--finished", str(files["finished"]), "--why", "--limits")
    path = os.pathsep.join(filter(None, (str(_ROOT), os.environ.get("PYTHONPATH"))))
    return subprocess.Popen(  # noqa: S603 - our own program; what people typed is in the files only
        [
            *program,
            "plan",
            str(files["job"]),
            str(files["catalogue"]),
            "--out",
            str(files["plan"]),
            "--time-limit",
            str(task.time_limit_s),
            "--progress",
            "json",
            *more,
        ],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": path, **ONE_THREAD},
        text=True,
        encoding="utf-8",
        errors="replace",
    )


def _listen(lines: Iterable[str], on_progress: Callable[[dict[str, Any]], None]) -> tuple[str, ...]:
    said: deque[str] = deque(maxlen=LINES_KEPT)
    for line in lines:
        progress = _as_object(line)
        if progress is None:
            said.append(line.rstrip())
        else:
            on_progress(progress)
    return tuple(said)


def _as_object(line: str) -> dict[str, Any] | None:
    try:
        value = json.loads(line)
    except ValueError:
        return None
    return value if isinstance(value, dict) else None


def _written(path: Path) -> Any:
    try:
        return schemas.read_json(path.read_bytes()).value
    except FileNotFoundError:
        return None
