"""What hands do on the pages of a job, and where eyes look."""

from __future__ import annotations

import re

from playwright.sync_api import expect

# Each module is asked for once more, behind the page itself: when that is answered, the page has begun it.
BEGUN = """async () => {
    const main = document.querySelector("script[src$='/js/main.js']").src;
    const named = [...document.querySelectorAll("[data-module]")].map(({ dataset }) => `modules/${dataset.module}`);
    await Promise.all(["far", ...named].map((name) => import(main.replace(/main\\.js$/, `${name}.js`))));
    await new Promise((done) => setTimeout(done));
}"""


def begun(page):
    """Wait until all modules that a page names are at work: before that it is quiet as well, now and then."""
    page.evaluate(BEGUN)


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
    page.get_by_role("radio", name="24 V").check(force=True)
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
