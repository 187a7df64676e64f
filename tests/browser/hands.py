"""What hands do on the pages of a job, and where eyes look."""

from __future__ import annotations

import re

from playwright.sync_api import Error, expect

from tests.browser import real

LOOK_MS = 50
# Each module is asked for once more, behind the page itself: when that is answered, the page has begun it.
BEGUN = """async () => {
    const main = document.querySelector("script[src$='/js/main.js']").src;
    const named = [...document.querySelectorAll("[data-module]")].map(({ dataset }) => `modules/${dataset.module}`);
    await Promise.all(["far", ...named].map((name) => import(main.replace(/main\\.js$/, `${name}.js`))));
    await new Promise((done) => setTimeout(done));
}"""


def within(page, script, arg=None):
    """What a function in a page comes to. A promise that nobody keeps would hold a test up for ever."""
    late = f"new Promise((_, fail) => setTimeout(() => fail(new Error('not in time')), {real.WAIT_MS}))"
    return page.evaluate(f"(arg) => Promise.race([({script})(arg), {late}])", arg)


def until(page, holds):
    """Wait for what is seen from here only; meanwhile the page lives on."""
    for _ in range(real.WAIT_MS // LOOK_MS):
        if holds():
            return
        page.wait_for_timeout(LOOK_MS)
    raise TimeoutError("it did not come")


def begun(page):
    """Wait until all modules that a page names are at work: before that it is quiet as well, now and then."""
    within(page, BEGUN)


def anew(page):
    """Load a page anew; once more where it does so by itself at that very moment: one of the two is given up."""
    try:
        page.reload()
    except Error as error:
        if "net::ERR_ABORTED" not in error.message:
            raise
        page.reload()


def strip(page):
    return page.locator(".strip")


def heading(page):
    return page.get_by_role("heading", level=1)


def all_sent(page):
    """Wait until nothing is on its way or waits any more. Before the outbox is read the strip says nothing at all."""
    is_done = re.compile(r"^(?!.*(waiting|Saving)).*\S")  # in one look: it may change between two
    expect(strip(page)).to_have_text(is_done)


def begin(page, title):
    """A new job from the first page to the list of places."""
    page.locator(".radios__one", has_text="24 V").click()
    page.get_by_label("Type of battery").select_option("lithium")
    page.get_by_label("Battery capacity").fill("100")
    page.get_by_label("Name of the job").fill(title)
    page.get_by_role("button", name="Start").click()
    expect(heading(page)).to_have_text("Where are the loads?")


def add_place(page, name, run):
    page.get_by_label("Name of the place").fill(name)
    page.get_by_label("Length of the run").fill(run)
    page.get_by_role("button", name="Add this place").click()
    expect(page.locator("[data-list=place]")).to_contain_text(name)
