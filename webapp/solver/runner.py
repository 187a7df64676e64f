"""The solver of a server: a few threads, each waiting on one child process."""

from __future__ import annotations

import logging
import shutil
import threading
from collections.abc import Callable
from contextlib import ExitStack
from functools import partial
from importlib import metadata
from typing import Any

from flask import Flask
from sqlalchemy.exc import OperationalError, SQLAlchemyError

from webapp import cli, db
from webapp.config import Config
from webapp.files import BadInput
from webapp.locks import Taken, only_one
from webapp.repositories.rows import PlanTask
from webapp.services import plans
from webapp.solver import process
from webapp.solver.verdict import BROKE, NOT_STARTED, Cancelled, Unusable, plan_document

log = logging.getLogger(__name__)

LOOK_EVERY_S = 5.0  # for plans that another process asked for; our own ring at once
LOOK_FOR_WISHES_EVERY_S = 1.0  # to cancel, likewise
PROGRESS_EVERY_S = 0.5


class Runner:
    """Works plans out, a few at a time, for all servers on the same data folder."""

    def __init__(self, app: Flask, config: Config, *, program: tuple[str, ...] | None = None) -> None:
        self.children: dict[str, process.Child] = {}  # by the id of the plan they work on
        self._app = app
        self._config = config
        self._program = program or process.command(config.solver_memory_mb)
        self._work_dir = config.data_dir / "solver"
        self._held = ExitStack()
        self._stopping = threading.Event()
        self._claiming = threading.Lock()  # nothing is begun any more once we stop: it would only be broken off
        self._threads: list[threading.Thread] = []
        database: db.Database = app.extensions[db.EXTENSION]
        self._plan_queued, self._plan_cancelled = database.plan_queued, database.plan_cancelled

    def start(self) -> bool:
        """Begin; False while another server on the same data does this: then as soon as that one has ended."""
        if self._begin():
            return True
        log.warning("another server on the same data works the plans out")
        self._in_thread("solver-heir", self._wait_for_the_other)
        return False

    def stop(self) -> None:
        """End at once; what was being worked out ends with a sentence, what waited goes on waiting."""
        with self._claiming:
            self._stopping.set()
        self._plan_queued.set()
        self._plan_cancelled.set()
        for child in tuple(self.children.values()):
            child.kill()
        for thread in self._threads:  # the heir comes first and adds no more once it has ended
            thread.join()
        self._held.close()

    def work_next(self) -> bool:
        """Work out the plan whose turn it is; False if none waits."""
        with self._app.app_context():
            task = self._claim()
            if task is None:
                return False
            self._store(self._end_of(task))
            return True

    def _end_of(self, task: PlanTask) -> Callable[[], None]:
        """Works a plan out; what is to be stored of it."""
        try:
            document = plan_document(self._run(task))
        except Cancelled as trouble:
            return partial(plans.end_cancelled_plan, task.plan_id, str(trouble))
        except Unusable as trouble:
            message = plans.INTERRUPTED if self._stopping.is_set() else str(trouble)
            return partial(plans.fail_plan, task.plan_id, message)
        except OSError:
            log.exception("the solver process could not be started")
            return partial(plans.fail_plan, task.plan_id, NOT_STARTED)
        except Exception:
            log.exception("the search for plan %s broke off", task.plan_id)  # the thread is needed for the next one
            return partial(plans.fail_plan, task.plan_id, BROKE)
        return partial(plans.finish_plan, task.plan_id, document, versions())

    def _store(self, end: Callable[[], None]) -> None:
        """Tried until it is there: a search is not lost because the disk is full, nor does its page wait for ever."""
        while True:
            try:
                return end()
            except OperationalError:
                log.exception("the end of a search could not be stored; it is tried again")
            if self._stopping.wait(LOOK_EVERY_S):
                return None

    def _claim(self) -> PlanTask | None:
        """Room is left for others: nobody waits for one person alone, however many plans that one asks for."""
        with self._claiming:
            if self._stopping.is_set():
                return None
            return plans.claim_plan(most_each=max(1, self._config.solver_slots - 1))

    def _begin(self) -> bool:
        try:
            self._held.enter_context(only_one(self._config.data_dir / "solver.lock", wait_s=0.1))
        except Taken:
            return False
        shutil.rmtree(self._work_dir, ignore_errors=True)
        with self._app.app_context():
            plans.end_interrupted_plans()
        for number in range(self._config.solver_slots):
            self._in_thread(f"solver-{number}", self._work)
        self._in_thread("solver-cancel", self._pass_wishes_on)
        return True

    def _wait_for_the_other(self) -> None:
        while not self._stopping.wait(LOOK_EVERY_S):
            try:
                if self._begin():
                    return
            except (BadInput, SQLAlchemyError):
                log.exception("the data of the other server could not be taken over; it is tried again")
                self._held.close()

    def _in_thread(self, name: str, work: Callable[[], None]) -> None:
        thread = threading.Thread(target=work, name=name, daemon=True)
        self._threads.append(thread)
        thread.start()

    def _work(self) -> None:
        while not self._stopping.is_set():
            self._plan_queued.clear()
            try:
                busy = self.work_next()
            except SQLAlchemyError:
                log.exception("the database does not answer")
                busy = False
            if not busy and not self._stopping.is_set():
                self._plan_queued.wait(LOOK_EVERY_S)

    def _pass_wishes_on(self) -> None:
        """Asks the children to stop whose plans somebody has cancelled."""
        while not self._stopping.is_set():
            self._plan_cancelled.wait(LOOK_FOR_WISHES_EVERY_S)
            self._plan_cancelled.clear()
            if self.children:
                try:
                    self._stop_cancelled()
                except SQLAlchemyError:
                    log.exception("the database does not answer")

    def _stop_cancelled(self) -> None:
        with self._app.app_context():
            cancelled = plans.plans_to_cancel()
        for plan_id in cancelled:
            child = self.children.get(plan_id)
            if child is not None:
                child.ask_to_stop()

    def _run(self, task: PlanTask) -> process.Ended:
        def on_start(child: process.Child) -> None:
            self.children[task.plan_id] = child
            self._plan_cancelled.set()  # somebody may have cancelled it before there was a child to ask
            if self._stopping.is_set():  # it began just after the others were killed
                child.kill()

        notes = _Notes(self._app, task.plan_id)
        try:
            ended = process.run(task, self._program, self._work_dir, on_progress=notes, on_start=on_start)
        finally:
            self.children.pop(task.plan_id, None)
        if ended.code not in cli.WRITTEN:
            log.warning("the search for plan %s ended with %s: %s", task.plan_id, ended.code, "; ".join(ended.said))
        return ended


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
