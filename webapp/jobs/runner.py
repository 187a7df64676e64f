"""The solver of a server: a few threads, each waiting on one child process."""

from __future__ import annotations

import logging
import shutil
import subprocess
import threading
from contextlib import ExitStack
from importlib import metadata
from typing import Any

from flask import Flask
from sqlalchemy.exc import SQLAlchemyError

from webapp import db
from webapp.config import Config
from webapp.jobs import process
from webapp.jobs.verdict import Unusable, plan_document
from webapp.locks import Taken, only_one
from webapp.repositories.rows import PlanTask
from webapp.services import plans

log = logging.getLogger(__name__)

LOOK_EVERY_S = 5.0  # for plans that another process asked for; our own ring at once
PROGRESS_EVERY_S = 0.5


class Runner:
    """Works plans out, a few at a time, for all servers on the same data folder."""

    def __init__(self, app: Flask, config: Config, *, program: tuple[str, ...] | None = None) -> None:
        self._app = app
        self._config = config
        self._program = program or process.command(config.solver_memory_mb)
        self._work_dir = config.data_dir / "solver"
        self._held = ExitStack()
        self._stopping = threading.Event()
        self._children: set[subprocess.Popen[str]] = set()
        self._threads: list[threading.Thread] = []

    def start(self) -> bool:
        """Begin, unless another server on the same data does this already."""
        try:
            self._held.enter_context(only_one(self._config.data_dir / "solver.lock", wait_s=0.1))
        except Taken:
            log.warning("another server on the same data works the plans out")
            return False
        shutil.rmtree(self._work_dir, ignore_errors=True)
        with self._app.app_context():
            plans.end_interrupted_plans()
        for number in range(self._config.solver_slots):
            thread = threading.Thread(target=self._work, name=f"solver-{number}", daemon=True)
            thread.start()
            self._threads.append(thread)
        return True

    def stop(self) -> None:
        """End at once; what was being worked out ends with a sentence."""
        self._stopping.set()
        self._bell.set()
        for child in tuple(self._children):
            child.kill()
        for thread in self._threads:
            thread.join()
        self._held.close()

    @property
    def _bell(self) -> threading.Event:
        database: db.Database = self._app.extensions[db.EXTENSION]
        return database.plan_queued

    def _work(self) -> None:
        while not self._stopping.is_set():
            self._bell.clear()
            try:
                busy = self.work_next()
            except SQLAlchemyError:
                log.exception("the database does not answer")
                busy = False
            if not busy and not self._stopping.is_set():
                self._bell.wait(LOOK_EVERY_S)

    def work_next(self) -> bool:
        """Work out the next plan that waits; False if none does."""
        with self._app.app_context():
            task = plans.claim_plan()
            if task is None:
                return False
            try:
                document = plan_document(self._run(task))
            except Unusable as trouble:
                plans.fail_plan(task.plan_id, plans.INTERRUPTED if self._stopping.is_set() else str(trouble))
            except OSError as error:
                log.exception("the solver process could not be started")
                plans.fail_plan(task.plan_id, f"The search could not be started: {error.strerror}. Try again.")
            else:
                plans.finish_plan(task.plan_id, document, versions())
            return True

    def _run(self, task: PlanTask) -> process.Ended:
        started: list[subprocess.Popen[str]] = []

        def on_start(child: subprocess.Popen[str]) -> None:
            started.append(child)
            self._children.add(child)
            if self._stopping.is_set():  # it began just after the others were killed
                child.kill()

        try:
            return process.run(
                task, self._program, self._work_dir, on_progress=_Notes(self._app, task.plan_id), on_start=on_start
            )
        finally:
            self._children.difference_update(started)


class _Notes:
    """Stores progress, always the latest, but not more often than anybody looks."""

    def __init__(self, app: Flask, plan_id: str) -> None:
        self._app = app
        self._plan_id = plan_id
        self._lock = threading.Lock()
        self._latest: dict[str, Any] | None = None

    def __call__(self, progress: dict[str, Any]) -> None:
        with self._lock:
            is_first = self._latest is None
            self._latest = progress
        if is_first:
            timer = threading.Timer(PROGRESS_EVERY_S, self._store)
            timer.daemon = True
            timer.start()

    def _store(self) -> None:
        with self._lock:
            progress, self._latest = self._latest, None
        try:
            with self._app.app_context():
                plans.note_progress(self._plan_id, progress or {})
        except SQLAlchemyError:
            log.exception("progress was not stored")  # no reason to end the search


def versions() -> str:
    """What worked a plan out."""
    return f"thriftloom {_version('thriftloom')}, ortools {_version('ortools')}"


def _version(package: str) -> str:
    try:
        return metadata.version(package)
    except metadata.PackageNotFoundError:
        return "not installed"
