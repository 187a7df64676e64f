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
_ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended:
    """How a child ended."""

    code: int  # of the command line; negative: killed by that signal
    document: Any  # what it wrote, if that was JSON
    said: tuple[str, ...]  # on standard error, besides progress
    overran: bool = False  # killed by us, long after its time limit


def command(memory_mb: int) -> tuple[str, ...]:
    """The program that works plans out."""
    return (sys.executable, "-m", "webapp.jobs.child", str(memory_mb))


def run(
    task: PlanTask,
    program: tuple[str, ...],
    work_dir: Path,
    *,
    on_progress: Callable[[dict[str, Any]], None],
    on_start: Callable[[subprocess.Popen[str]], None],
) -> Ended:
    """Work one plan out and wait for it."""
    work_dir.mkdir(parents=True, exist_ok=True)
    with TemporaryDirectory(dir=work_dir) as folder:
        files = {name: Path(folder) / f"{name}.json" for name in ("job", "catalogue", "plan")}
        files["job"].write_text(json.dumps(task.job_document), encoding="utf-8")
        files["catalogue"].write_text(json.dumps(task.catalogue_document), encoding="utf-8")
        with _start(program, files, task.time_limit_s) as child:
            on_start(child)
            overrun = _Overrun(child, after_s=1.5 * task.time_limit_s + GRACE_S)
            said = _listen(child.stderr or (), on_progress)
            code = child.wait()
        return Ended(code=code, document=_written(files["plan"]), said=said, overran=overrun.stop())


class _Overrun:
    """Kills a child that ignores its time limit."""

    def __init__(self, child: subprocess.Popen[str], *, after_s: float) -> None:
        self._child = child
        self._happened = False
        self._timer = threading.Timer(after_s, self._kill)
        self._timer.daemon = True
        self._timer.start()

    def stop(self) -> bool:
        """Whether it had to."""
        self._timer.cancel()
        return self._happened

    def _kill(self) -> None:
        self._happened = True
        self._child.kill()


def _start(program: tuple[str, ...], files: dict[str, Path], time_limit_s: float) -> subprocess.Popen[str]:
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
            str(time_limit_s),
            "--progress",
            "json",
        ],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": path},
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
