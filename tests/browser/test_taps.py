"""Taps at the wrong moment: as the signal goes, and as a page loads anew by itself."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from tests.browser.hands import add_place, all_sent, begun, heading, strip, until
from tests.browser.site import HOLDING, Hold, Site, installed, open_here, open_kept
from webapp.services import jobs
from webapp.services.errors import Busy


@pytest.fixture(scope="module")
def site(tmp_path_factory, chromium):
    site = Site(tmp_path_factory.mktemp("taps"))
    site.start(HOLDING)
    yield site
    site.close()


def tap_in_menu(page, title, what):
    card = page.locator("[data-list=job] .card").filter(has_text=title).first
    card.get_by_text("⋯").tap()
    card.get_by_role("button", name=what).tap()


def delete_without_a_signal(page, site, title):
    """A new job of that title; that it is deleted waits on the list of jobs."""
    open_here(page, site, "/")
    page.get_by_role("link", name="New job").tap()
    begin_named(page, title)
    page.goto(site.origin)
    page.context.set_offline(True)
    tap_in_menu(page, title, "Delete")
    expect(strip(page)).to_contain_text("1 waiting")


def test_the_list_of_jobs_shows_what_was_taken_of_what_waited_on_it(phone, site):
    page = phone()
    delete_without_a_signal(page, site, "Soon gone")
    page.context.set_offline(False)
    expect(page.locator("[data-list=job]")).not_to_contain_text("Soon gone")
    expect(strip(page)).to_have_text("Saved")


# The worker's word on what this page is comes when the test says so; until then the page listens to nobody.
UNTOLD = """
    const post = ServiceWorker.prototype.postMessage;
    window.untold = [];
    ServiceWorker.prototype.postMessage = function (...given) {
        if (given[0] === "copy") untold.push(() => post.apply(this, given));
        else post.apply(this, given);
    };
"""


def test_what_was_taken_before_the_page_listened_is_shown_too(phone, site):
    first = phone()
    delete_without_a_signal(first, site, "Gone by then")
    second = first.context.new_page()
    second.add_init_script(UNTOLD)
    second.goto(site.origin)
    jobs = second.locator("[data-list=job]")
    expect(jobs).to_contain_text("Gone by then")
    first.context.set_offline(False)
    expect(first.locator("[data-list=job]")).not_to_contain_text("Gone by then")
    second.evaluate("untold.splice(0).forEach((tell) => tell())")
    expect(jobs).not_to_contain_text("Gone by then")


def begin_named(page, title):
    page.get_by_label("Type of battery").select_option("lithium")
    page.get_by_label("Battery capacity").fill("100")
    page.get_by_label("Name of the job").fill(title)
    page.get_by_role("button", name="Start").tap()
    expect(heading(page)).to_have_text("Where are the loads?")


def test_a_form_whose_answer_was_lost_is_not_said_to_have_done_nothing(phone, site):
    page = phone()
    open_here(page, site, "/")
    title, before = site.document(site.job)["title"], len(site.titles())
    hold = Hold(site, f"POST /jobs/{site.job}/copies")
    tap_in_menu(page, title, "Duplicate")
    hold.until_asked(page)
    until(page, lambda: len(site.titles()) > before)
    site.stop()
    hold.let_go()
    site.start(HOLDING)
    assert len(site.titles()) == before + 1
    expect(page.get_by_role("alert")).to_contain_text("If it was done all the same, it is not done twice")
    page.get_by_role("button", name=f"Duplicate {title}", exact=True).first.tap()
    expect(page.get_by_text("This was sent twice. It was done once.")).to_be_visible()
    assert len(site.titles()) == before + 1


def test_a_name_that_could_not_be_sent_is_still_there_and_is_sent_by_the_next_tap(phone, site):
    page = phone()
    _job, plan = site.planned_with_petrol()
    open_here(page, site, f"/plans/{plan}")
    all_sent(page)
    name = page.get_by_role("textbox", name="Name and qualification")
    name.fill("Ada Fin")
    site.stop()
    try:
        page.get_by_role("button", name="Record this person").tap()
        expect(page.get_by_role("alert")).to_contain_text("This needs a signal")
        expect(strip(page)).to_contain_text("Not saved yet")
        expect(name).to_have_value("Ada Fin")
    finally:
        site.start(HOLDING)
    page.get_by_role("button", name="Record this person").tap()
    expect(page.get_by_text("Ada Fin answers for this plan.")).to_be_visible()
    expect(page.get_by_role("alert")).to_have_count(0)


def test_a_form_that_a_busy_server_turns_away_is_still_there(phone, site):
    page = phone(service_workers="block")
    page.goto(f"{site.origin}/jobs/{site.job}/what-if")
    all_sent(page)
    ours = {"Thriftloom-Spoken": "en metric", "Content-Type": "text/html"}
    page.route("**/what-if", lambda route: route.fulfill(status=503, headers=ours))
    first = page.get_by_role("checkbox").first
    first.set_checked(False)
    page.get_by_role("button", name="Plan and compare").tap()
    expect(page.get_by_role("alert")).to_contain_text("The server could not do this just now")
    expect(first).not_to_be_checked()


def test_a_form_on_a_copy_from_before_there_were_words_for_it_says_elsewhere_that_it_was_not_sent(phone, site):
    page = phone()
    path = f"{site.origin}/jobs/{site.job}/what-if"
    page.goto(path)
    installed(page)
    all_sent(page)
    page.evaluate("document.querySelectorAll('[id^=words-]').forEach((words) => words.remove())")
    page.context.set_offline(True)
    page.get_by_role("button", name="Plan and compare").tap()
    expect(heading(page)).to_have_text("This needs a signal")


def test_a_form_on_its_way_looks_so_and_is_not_called_saved(phone, site):
    """Also one that cannot wait, behind a button that is not the main one."""
    page = phone()
    page.goto(f"{site.origin}/plans/{site.plan}")
    all_sent(page)
    hold = Hold(site, f"POST /plans/{site.plan}/explanation")
    button = page.get_by_role("button", name="Explain the choices")
    button.tap()
    hold.until_asked(page)
    expect(button).to_have_css("opacity", "0.6")
    expect(strip(page)).to_have_text("Saving…")
    hold.let_go()
    page.wait_for_url(lambda address: not address.endswith(site.plan))


# The page gives up a form that it sends when the test says so, not by the clock.
IMPATIENT = """
    const until = AbortSignal.timeout.bind(AbortSignal);
    window.sending = new AbortController();
    AbortSignal.timeout = (ms) => (ms === 8000 && !sending.signal.aborted ? sending.signal : until(ms));
"""


def test_an_answer_that_is_late_is_not_called_no_signal(phone, site):
    page = phone()
    page.add_init_script(IMPATIENT)
    _job, plan = site.planned_with_petrol()
    page.goto(f"{site.origin}/plans/{plan}")
    all_sent(page)
    hold = Hold(site, f"POST /plans/{plan}/marks")
    page.get_by_role("textbox", name="Name and qualification").fill("Ada Late")
    record = page.get_by_role("button", name="Record this person")
    record.tap()
    hold.until_asked(page)
    page.evaluate("sending.abort()")
    expect(page.get_by_role("alert")).to_contain_text("The server is there, but its answer did not come in time.")
    hold.let_go()
    record.tap()
    expect(page.get_by_text("Ada Late answers for this plan.")).to_be_visible()


def test_what_was_refused_far_down_a_page_is_said_where_eyes_are(phone, site):
    """The page that comes stands where the one before stood, and what it says stands at its top."""
    page = phone()
    job, _plan = site.planned_with_petrol()
    before = site.document(job)
    used = next(place for place in before["places"] if place["id"] == before["loads"][0]["place"])
    shelves = [{"id": f"shelf-{number}", "name": f"Shelf {number}", "run_m": 2} for number in range(20)]
    with site.app.app_context():
        jobs.save_job(job, jobs.get_job(job).revision, before | {"places": [*shelves, *before["places"]]})
    page.goto(f"{site.origin}/jobs/{job}/places")
    all_sent(page)
    page.locator(f"form:has([name=entry][value='{used['id']}'])").get_by_role("button", name="Remove").tap()
    expect(page.locator(".notice--stop")).to_be_in_viewport()


TAKEN = "() => new BroadcastChannel('outbox').postMessage({jobs: [document.getElementById('main').dataset.job]})"


def test_what_was_not_done_is_said_until_it_is_tapped_again(phone, site):
    """Also where the page would load anew: under another id it would be done twice if it was done all the same."""
    page = phone()
    open_here(page, site, f"/plans/{site.plan}")
    all_sent(page)
    page.context.set_offline(True)
    page.get_by_role("button", name="Explain the choices").tap()
    expect(page.get_by_role("alert")).to_contain_text("This needs a signal")
    page.evaluate(TAKEN)
    expect(strip(page).get_by_role("link", name="A newer one is here: open it")).to_be_visible()
    expect(page.get_by_role("alert")).to_be_visible()


@pytest.mark.parametrize(("path", "button"), [("what-if", "Plan and compare"), ("plan", "Find cheapest")])
def test_that_ten_searches_wait_already_is_said_in_the_words_of_the_server(phone, site, path, button):
    page = phone(service_workers="block")
    with site.app.app_context():
        job = jobs.start_job(site.document(site.job)).id
    page.goto(f"{site.origin}/jobs/{job}/{path}")
    all_sent(page)
    headers = {"Thriftloom-Spoken": "en metric", "Content-Type": "text/html"}
    body = "<h1>10 of your plans are waiting already</h1>"

    def turn_away(route):
        if route.request.method == "POST":
            route.fulfill(status=Busy.status, headers=headers, body=body)
        else:
            route.continue_()

    page.route(f"**/jobs/{job}/*", turn_away)
    page.get_by_role("button", name=button).tap()
    expect(heading(page)).to_have_text("10 of your plans are waiting already")


MIDDLE = """(element) => {
    element.scrollIntoView({ block: "center" });
    const { x, y, width, height } = element.getBoundingClientRect();
    return [x + width / 2, y + height / 2];
}"""
# What waited is taken while the page that was tapped for is on its way; another tab has sent it.
TAP_AND_TAKE = """(link) => {
    const job = document.getElementById('main').dataset.job;
    setTimeout(() => link.click());
    setTimeout(() => new BroadcastChannel('outbox').postMessage({jobs: [job]}), 600);
}"""


def test_a_link_that_was_tapped_is_followed_although_what_waited_is_taken_meanwhile(phone, site):
    page = phone()
    open_kept(page, site, f"/jobs/{site.job}/places")
    all_sent(page)
    hold = Hold(site, f"/jobs/{site.job}/loads")
    page.get_by_role("link", name="Next: loads").evaluate(TAP_AND_TAKE)
    hold.until_asked(page)
    page.wait_for_timeout(1500)
    hold.let_go()
    expect(heading(page)).to_have_text("What should it feed?")


def test_a_thumb_that_hits_twice_taps_nothing_on_the_page_that_came_in_between(phone, site):
    page = phone(takes_taps_once_begun=False)
    path = f"{site.origin}/jobs/{site.job}/places"
    page.goto(path)
    for name in ("First shelf", "Second shelf", "Third shelf"):
        add_place(page, name, "2")
    all_sent(page)
    clock = page.context.new_cdp_session(page)
    clock.send("Animation.enable")
    clock.send("Animation.setPlaybackRate", {"playbackRate": 0})  # each page that comes stays as it has just come
    button = page.get_by_role("button", name="Remove First shelf")
    box = button.evaluate(MIDDLE)
    button.evaluate("(button) => button.click()")
    expect(page.get_by_text("Removed: First shelf.")).to_be_visible()
    page.touchscreen.tap(*box)
    clock.send("Animation.setPlaybackRate", {"playbackRate": 1})
    page.get_by_role("button", name="Remove Third shelf").tap()
    expect(page.get_by_text("Removed: Third shelf.")).to_be_visible()
    assert "Second shelf" in [place.get("name") for place in site.document(site.job)["places"]]


def test_a_tick_that_is_hit_twice_is_set(phone, site):
    page = phone()
    page.goto(f"{site.origin}/plans/{site.plan}/buy")
    all_sent(page)
    begun(page)
    page.locator(".todo__row").first.evaluate("(row) => { row.click(); row.click(); }")
    expect(strip(page)).to_have_text("Saved")
    expect(page.locator(".tally")).to_have_text(re.compile("^1 of "))
    page.reload()
    expect(page.locator(".todo__tick").first).to_be_checked()
