"""Answers that are not ours: of networks that want a sign-in, of proxies, cut short. None is taken for the server's."""

from __future__ import annotations

import json
import re

import pytest
from playwright.sync_api import expect

from tests.browser.hands import add_place, all_sent, anew, begin, begun, heading, strip
from tests.browser.site import ASTRAY, Site, installed, open_here, open_kept


@pytest.fixture(scope="module")
def site(tmp_path_factory, chromium):
    site = Site(tmp_path_factory.mktemp("astray"))
    site.start(ASTRAY)
    yield site
    site.close()


@pytest.fixture
def astray(site):
    """Says what is answered in the place of the server."""

    def set_to(answers):
        (site.folder / "said").write_text(json.dumps(answers))
        (site.folder / "said").rename(site.folder / "astray")

    yield set_to
    set_to({})


def asked(site, what):
    return (site.folder / "asked").read_text().splitlines().count(what)


def places(site):
    return [place.get("name") for place in site.document(site.job)["places"]]


def module(page, name="sender"):
    """The address of a module that the page runs."""
    begun(page)
    return page.evaluate(
        "(end) => performance.getEntriesByType('resource').map(({ name }) => name).find((name) => name.endsWith(end))",
        f"/offline/{name}.js",
    )


def answered(page, site, what, before):
    """Wait until it was asked for once more."""
    for _ in range(2400):
        if asked(site, what) > before:
            page.evaluate("navigator.locks.request('outbox-send', () => null)")  # and the answer is dealt with
            return
        page.wait_for_timeout(25)
    raise TimeoutError(f"nobody asked: {what}")


def test_a_form_answered_by_somebody_else_is_sent_once_all_the_same(phone, site, astray):
    page = phone()
    path = f"/jobs/{site.job}/places"
    page.goto(site.origin + path)
    installed(page)
    for kind in ("portal", "away", "short"):
        astray({f"POST {path}": kind})
        add_place(page, f"Form {kind}", "2")
        expect(page).to_have_url(site.origin + path)
        all_sent(page)
        assert places(site).count(f"Form {kind}") == 1, kind


def test_what_waits_stays_whatever_answers_in_the_place_of_the_server(phone, site, astray):
    page = phone()
    path = f"/jobs/{site.job}/places"
    open_here(page, site, path)
    page.context.set_offline(True)
    for number in (1, 2):
        add_place(page, f"Waits {number}", "2")
    astray({"POST /sync": "500"})
    page.context.set_offline(False)
    for kind in ("portal", "short", "400", "403", "500", "429"):
        astray({"POST /sync": kind})
        before = asked(site, "POST /sync")
        page.evaluate("void dispatchEvent(new Event('online'))")
        answered(page, site, "POST /sync", before)
        expect(strip(page)).to_contain_text("2 waiting")
        expect(strip(page)).not_to_contain_text("Needs you")
    before = asked(site, "POST /sync")
    page.evaluate(f"import('{module(page)}').then(({{ send }}) => send())")
    assert asked(site, "POST /sync") == before  # it was told when to come back
    astray({})
    page.goto(f"{site.origin}/settings")
    all_sent(page)
    assert places(site)[-2:] == ["Waits 1", "Waits 2"]


def test_no_foreign_page_is_kept_and_no_kept_page_is_lost(phone, site, astray):
    page = phone()
    path = f"/jobs/{site.job}/limits"
    open_here(page, site, path)
    for kind in ("short", "404", "429", "500", "502"):
        astray({f"GET {path}": kind})
        page.goto(site.origin + path)
        expect(page.locator("[name=drop_pct]"), kind).to_be_visible()
    astray({f"GET {path}": "portal"})
    page.goto(site.origin + path)
    expect(heading(page)).to_have_text("Welcome, please sign in")  # else nobody could
    page.context.set_offline(True)
    page.goto(site.origin + path)
    expect(page.locator("[name=drop_pct]")).to_be_visible()


KEPT_A_YEAR_FROM_NOW = """(job) => {
    const asked = Date.now() + 366 * 86400e3, spoken = 'en metric', addresses = [location.pathname];
    localStorage.setItem('jobs-here', JSON.stringify({ [job]: { title: '', at: asked, asked, spoken, addresses } }));
}"""
SIXTY_CHANGES = """async ([address, job]) => {
    const outbox = await import(address), month = 31 * 86400e3;
    const said = (number) => (number < 30 ? [`${number}`, `${number + 1}`] : [`${number - 1}`, `${number}`]);
    for (let number = 0; number < 60; number++) {
        const changes = number === 30 ? { drop_pct: ['5', 'not much'] } : { headroom_pct: said(number) };
        const at = new Date(Date.now() + (number % 2 ? 12 : -1) * month).toISOString();
        const body = { op_id: crypto.randomUUID(), at, kind: 'form', job, form: 'limits', entry: null, changes };
        await outbox.add({ entries: [{ body, title: 'Sixty', what: 'Limits', detail: '', page: location.pathname }] });
    }
}"""


def test_one_of_sixty_changes_is_refused_and_the_others_arrive_in_order(phone, site):
    page = phone()
    page.goto(f"{site.origin}/jobs/{site.job}/limits")
    installed(page)
    site.change(site.job, "limits", headroom_pct=0, drop_pct=5)
    page.context.set_offline(True)
    page.evaluate(SIXTY_CHANGES, [module(page, "outbox"), site.job])
    expect(strip(page)).to_contain_text("60 waiting")
    page.context.set_offline(False)
    page.goto(f"{site.origin}/settings")
    expect(strip(page)).to_contain_text("Needs you (1)")  # two batches first
    all_sent(page)
    limits = site.document(site.job)["limits"]
    assert (limits["headroom_pct"], limits["drop_pct"]) == (59, 5)
    expect(strip(page)).to_contain_text("Needs you (1)")
    expect(page.locator("[data-slot=errors]")).to_have_count(1)


def test_copies_are_renewed_after_a_clock_was_a_year_ahead(phone, site):
    page = phone()
    open_kept(page, site, f"/jobs/{site.job}/limits")  # else this page still notes what it fetches
    page.evaluate(KEPT_A_YEAR_FROM_NOW, site.job)
    with page.expect_request("**/pages.json"):
        anew(page)


def test_a_job_begun_here_opens_although_the_server_answers_and_does_not_know_it_yet(phone, site, astray):
    page = phone()
    open_here(page, site, "/jobs/new")
    all_sent(page)
    astray({"POST /jobs/new": "502", "POST /sync": "502"})
    begin(page, "Begun as the signal went")
    expect(strip(page)).to_contain_text("1 waiting")
    add_place(page, "Bunk", "3")
    path = page.url.removeprefix(site.origin)
    astray({f"GET {path}": "busy", "POST /sync": "502"})
    anew(page)  # nor where it can make no page just now
    expect(page.locator("[data-list=place]")).to_contain_text("Bunk")
    astray({})
    page.evaluate("void dispatchEvent(new Event('online'))")  # sent from this page: no other is asked for meanwhile
    all_sent(page)
    expect(page.locator("[data-list=place]")).to_contain_text("Bunk")
    assert [place["name"] for place in site.job_called("Begun as the signal went")["places"]] == ["Bunk"]


def test_a_server_that_cannot_make_a_page_just_now_takes_no_kept_one_away(phone, site, astray):
    page = phone()
    path = f"/jobs/{site.job}/limits"
    open_kept(page, site, path)
    all_sent(page)
    astray({f"GET {path}": "busy"})
    page.goto(site.origin + path)
    expect(heading(page)).to_have_text("What must the plan keep to?")
    expect(strip(page)).to_have_text(re.compile("^As of [^,]*$"))  # there is a signal
