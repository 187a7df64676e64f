"""A server with one planned job that can be stopped and started again on the same address, and phones on it."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any

from playwright.sync_api import Page

from tests.browser import real, slow
from tests.browser.hands import anew, until, within
from webapp import db, migrate
from webapp.app import create_app
from webapp.config import Config
from webapp.services import catalogue, jobs, marks, plans

PROGRAM = [sys.executable, "-m", "webapp.cli"]
HOLDING = [*PROGRAM[:-1], "tests.browser.held"]
ASTRAY = [*PROGRAM[:-1], "tests.browser.astray"]
DRIPPING = [*PROGRAM[:-1], "tests.browser.dripping"]
IS_KEPT = """async (path) => {
    for (let tries = 0; tries < 600; tries++) {
        if (localStorage.getItem('jobs-here')?.includes(path.split('/')[2]) && await caches.match(path)) return true;
        await new Promise((done) => setTimeout(done, 200));
    }
    return false;
}"""
SPEAKS = """async ([last, path, said]) => {
    const copies = async (address) => {
        const names = (await caches.keys()).filter((name) => name.startsWith('pages'));
        const found = await Promise.all(names.map(async (name) => (await caches.open(name)).match(address)));
        return Promise.all(found.filter(Boolean).map((copy) => copy.text()));
    };
    for (let tries = 0; tries < 600; tries++) {
        const [lasts, texts] = [await copies(last), await copies(path)];
        if (lasts.length && texts.length && texts.every((text) => text.includes(said))) return true;
        await new Promise((done) => setTimeout(done, 200));
    }
    return false;
}"""
CONTROLLED = """() => new Promise((done) => {
    if (navigator.serviceWorker.controller) done();
    else navigator.serviceWorker.addEventListener('controllerchange', () => done());
})"""


class Site:
    """The data of a folder, served or not."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.port = folder, real.free_port()
        self.origin = f"http://localhost:{self.port}"
        self._serving: AbstractContextManager[tuple[subprocess.Popen[str], str]] | None = None
        self.app = create_app(Config.at(folder))
        with self.app.app_context():
            migrate.upgrade(self.app.extensions[db.EXTENSION], folder)
            catalogue.replace(_example("catalogue-3"))
            self.job, self.plan = _planned(_example("case-062")["job"])

    def start(self, program: list[str] = PROGRAM) -> None:
        self._serving = real.serving(program, self.folder, self.port)
        self._process, _address = self._serving.__enter__()

    def stop(self) -> None:
        """The way a machine that is switched off stops."""
        if self._serving is not None:
            self._process.send_signal(signal.SIGKILL)
            self._process.wait(timeout=real.ENDED_S)
            self._serving.__exit__(None, None, None)
            self._serving = None

    def pause(self) -> None:
        """Busy: it takes requests and answers none."""
        self._process.send_signal(signal.SIGSTOP)

    def go_on(self) -> None:
        self._process.send_signal(signal.SIGCONT)

    def document(self, job_id: str) -> dict[str, Any]:
        """A job as the server has it."""
        with self.app.app_context():
            return jobs.get_job(job_id).document

    def change(self, job_id: str, part: str, **values: Any) -> None:
        """Another device changes a part of a job."""
        with self.app.app_context():
            job = jobs.get_job(job_id)
            jobs.save_job(job_id, job.revision, {**job.document, part: {**job.document[part], **values}})

    def mark(self, key: str, value: str) -> None:
        """Another device ticks or measures something of the plan."""
        with self.app.app_context():
            marks.set_mark(self.plan, key, "", value)

    def titles(self) -> list[str]:
        """All jobs the server has."""
        with self.app.app_context():
            return [job.title for job in jobs.list_jobs()]

    def job_called(self, title: str) -> dict[str, Any]:
        """The newest job of that title."""
        with self.app.app_context():
            return jobs.get_job(next(job.id for job in jobs.list_jobs() if job.title == title)).document

    def plans_of(self, title: str) -> list[str]:
        """States of all plans of the newest job of that title."""
        with self.app.app_context():
            job = next(job.id for job in jobs.list_jobs() if job.title == title)
            return [plan.state for plan in plans.plans_of(job)]

    def end_searches(self, title: str) -> None:
        """Another device ends those of the newest job of that title: a server at work answers other tests late."""
        with self.app.app_context():
            job = next(job.id for job in jobs.list_jobs() if job.title == title)
            for plan in plans.plans_of(job):
                plans.cancel_plan(plan.id)

    def planned_with_petrol(self) -> tuple[str, str]:
        """Another job and its plan, which a qualified person has to answer for."""
        job = _example("case-062")["job"]
        job["bus"]["fuel"] = True
        with self.app.app_context():
            return _planned(job)

    def close(self) -> None:
        self.stop()
        self.app.extensions[db.EXTENSION].close()


class Hold:
    """Holds back the next answer to a path, of a server that is HOLDING."""

    def __init__(self, site: Site, path: str) -> None:
        self.held = site.folder / "held"
        (site.folder / "hold").write_text(path)

    def until_asked(self, page: Page) -> None:
        until(page, self.held.exists)

    def let_go(self) -> None:
        self.held.unlink()


def _planned(document: dict[str, Any]) -> tuple[str, str]:
    job = jobs.start_job(document).id
    plan = plans.start_plan(job)
    plans.claim_plan()
    plans.finish_plan(plan, slow.answer(), "an example")
    return job, plan


def installed(page: Page) -> None:
    """Wait until the worker has the page."""
    within(page, CONTROLLED)


def open_here(page: Page, site: Site, path: str) -> None:
    """Open a page with a signal, and once more, so that the worker has kept it."""
    page.goto(site.origin + path)
    installed(page)
    anew(page)


def open_kept(page: Page, site: Site, path: str) -> None:
    """Open a page of the planned job with a signal, and wait until all of the job is on the device."""
    open_here(page, site, path)
    assert page.evaluate(IS_KEPT, f"/jobs/{site.job}/plan")  # fetched after all others


def _example(name: str) -> dict[str, Any]:
    document: dict[str, Any] = json.loads((slow.CASES / f"{name}.json").read_text())
    return document
