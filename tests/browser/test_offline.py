"""Without a signal: the browser's own switch, and a server that is really gone."""

from __future__ import annotations

import re
from datetime import datetime
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import expect

from tests.browser import real
from tests.browser.hands import add_place, all_sent, anew, begin, begun, heading, strip, within
from tests.browser.site import IS_KEPT, PROGRAM, SPEAKS, installed, open_here, open_kept

PARTS = ("", "/buy", "/cut", "/cut/line", "/labels", "/wiring", "/build", "/record", "/proof", "/docket")
# The worker waits 3 s for a page: by the test's own clock.
CLOCK_BY_HAND = """() => {
    const [begin, end] = [setTimeout, clearTimeout];
    self.late = [];
    self.setTimeout = (act, ms) => (ms === 3000 ? -late.push(act) : begin(act, ms));
    self.clearTimeout = (timer) => (timer < 0 ? delete late[-timer - 1] : end(timer));
}"""


# The server gets the first batch, and its answer never arrives.
LOSE_THE_FIRST_REPLY = """
    const ask = window.fetch;
    let isLost = false, said;
    window.lost = new Promise((done) => { said = done; });
    window.fetch = async (address, options) => {
        const answer = await ask(address, options);
        if (address !== '/sync' || isLost) return answer;
        isLost = true;
        setTimeout(said, 1000);
        throw new TypeError('lost');
    };
"""


def test_every_page_of_a_plan_opens_while_the_server_is_gone(phone, site):
    page = phone()
    plan = f"{site.origin}/plans/{site.plan}"
    open_kept(page, site, f"/plans/{site.plan}")
    bought = page.locator("[data-mark]").first
    site.stop()
    try:
        for part in PARTS:
            page.goto(plan + part)
            expect(strip(page)).to_contain_text("no signal")
            assert not page.title().startswith("No signal"), part
        page.goto(f"{plan}/buy")
        bought.check()
        expect(strip(page)).to_contain_text("1 waiting")
        anew(page)
        expect(bought).to_be_checked()
        page.goto(f"{site.origin}/?from=home")
        expect(heading(page)).to_have_text("Jobs")
        page.locator(f".card__buy[href$='{site.plan}/buy']").tap()  # one tap from where the app opens
        expect(heading(page)).to_have_text("What to buy")
        expect(bought).to_be_checked()
        page.goto(f"{site.origin}/plans/nowhere")
        expect(heading(page)).to_have_text("No signal here")
        expect(page.locator("[data-part=list] a")).to_have_count(1)
    finally:
        site.start()


def test_a_job_whose_page_is_the_first_of_ours_that_is_opened_is_kept_too(phone, site):
    """As by the code of a label: nothing is installed yet, and no second page is opened."""
    page = phone()
    page.goto(f"{site.origin}/plans/{site.plan}/buy")
    assert page.evaluate(IS_KEPT, f"/jobs/{site.job}/plan")


def test_plans_side_by_side_open_again_without_a_signal_and_only_these(phone, site):
    page = phone()
    _job, other = site.planned_with_petrol()
    pair = f"/compare?plan={site.plan}&plan={other}"
    open_here(page, site, pair)
    expect(page.get_by_text("waits for a qualified person")).to_be_visible()
    site.stop()
    try:
        page.goto(f"{site.origin}{pair}")
        expect(strip(page)).to_contain_text("no signal")
        expect(heading(page)).to_have_text("Compare plans")
        expect(page.get_by_text("waits for a qualified person")).to_be_visible()
        for never_opened in (f"/compare?plan={other}&plan={site.plan}", "/compare"):
            page.goto(f"{site.origin}{never_opened}")
            expect(heading(page)).to_have_text("No signal here")
    finally:
        site.start()


def test_plans_side_by_side_are_from_before_a_change_of_any_job(phone, site):
    page = phone()
    open_here(page, site, "/compare")
    changed = page.evaluate("""async () => {
        const main = document.querySelector("script[src*='/js/main.js']").src;
        const copies = await import(main.replace("/js/main.js", "/js/offline/copies.js"));
        await copies.noteChanges(`/jobs/${"a".repeat(26)}/limits`);
        return Promise.all(["/compare", "/", "/words"].map(async (path) => (await copies.changedAt(path)) > 0));
    }""")
    assert changed == [True, True, False]


# Here at once, answered late: a device with much to do.
ANSWERS_LATE = """() => {
    const answer = MessagePort.prototype.postMessage;
    MessagePort.prototype.postMessage = function (...what) { setTimeout(() => answer.apply(this, what), 2000); };
}"""


def test_a_copy_is_called_one_where_the_worker_is_slow_to_say_so(phone, site):
    page = phone()
    path = f"/jobs/{site.job}/places"
    open_here(page, site, path)
    (worker,) = page.context.service_workers
    worker.evaluate(ANSWERS_LATE)
    page.context.set_offline(True)
    page.goto(site.origin + path)
    expect(strip(page)).to_have_text(re.compile("."))
    expect(strip(page)).to_contain_text("no signal")


def test_a_page_looked_at_for_a_while_does_not_make_the_next_one_a_copy(phone, site):
    page = phone()
    open_kept(page, site, f"/plans/{site.plan}")
    (worker,) = page.context.service_workers
    worker.evaluate(CLOCK_BY_HAND)
    with page.expect_response("**/ping"):  # after which the worker forgets that the server was silent
        anew(page)  # now there is a copy
    expect(strip(page)).to_have_text("Saved")
    worker.evaluate("late.filter(Boolean).forEach((act) => act())")
    page.goto(f"{site.origin}/jobs/{site.job}/places")
    expect(strip(page)).to_have_text("Saved")


def test_copies_of_a_plan_are_open_once_somebody_answers_for_it(phone, site):
    page = phone()
    job, plan = site.planned_with_petrol()
    page.goto(f"{site.origin}/plans/{plan}")
    installed(page)
    anew(page)
    buy = [f"/jobs/{job}/plan", f"/plans/{plan}/buy"]
    assert page.evaluate(SPEAKS, [*buy, "Record this person"])
    page.get_by_role("textbox", name="Name and qualification").fill("Ada Finch, fitter")
    page.get_by_role("button", name="Record this person").click()
    expect(page.get_by_text("Ada Finch, fitter answers for this plan.")).to_be_visible()
    assert page.evaluate(SPEAKS, [*buy, "Ada Finch, fitter answers for this plan."])


def test_the_app_can_be_installed(chromium, site, tmp_path):
    start = chromium.browser_type.launch_persistent_context
    opened = start(tmp_path / "profile", executable_path=real.chromium_path(), args=[*real.ARGUMENTS])
    with real.patient(opened) as context:
        page = context.new_page()
        page.goto(site.origin)
        installed(page)
        errors = context.new_cdp_session(page).send("Page.getInstallabilityErrors")["installabilityErrors"]
        assert errors == []


def test_a_job_begun_without_a_signal_reaches_the_server_once(phone, site):
    page = phone()
    page.add_init_script("SyncManager.prototype.register = () => Promise.reject(new Error('not here'));")
    page.goto(site.origin)
    installed(page)
    page.context.set_offline(True)
    page.goto(f"{site.origin}/jobs/new")
    begin(page, "Heron hut")
    add_place(page, "Bunk", "4")
    page.get_by_role("link", name="Next: loads").click()
    page.get_by_role("button", name="Router 12").click()
    expect(page.locator("[data-list=load]")).to_contain_text("Router")
    page.get_by_role("link", name="Next: limits").click()
    page.get_by_label("Keep running").or_(page.locator("[name=autonomy_h]")).first.fill("12")
    page.get_by_role("button", name="Find cheapest").click()
    expect(page.get_by_text("The search begins as soon as there is a signal")).to_be_visible()
    assert "Heron hut" not in site.titles()
    page.goto("about:blank")  # this page would send it before the next one loses the reply
    page.add_init_script(LOSE_THE_FIRST_REPLY)
    page.context.set_offline(False)
    page.goto(f"{site.origin}/settings")
    within(page, "() => lost")
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(strip(page)).to_have_text("Saved")
    assert site.titles().count("Heron hut") == 1
    site.end_searches("Heron hut")
    job = site.job_called("Heron hut")
    assert [place["name"] for place in job["places"]] == ["Bunk"]
    assert [load["place"] for load in job["loads"]] == [job["places"][0]["id"]]
    assert job["limits"]["autonomy_h"] == 12


# In one of these zones it is never UTC's day.
@pytest.mark.parametrize(("zone", "setting"), [("Pacific/Kiritimati", "Boat"), ("Pacific/Pago_Pago", "Vehicle")])
def test_a_job_begun_without_a_signal_and_a_name_has_the_day_of_its_device(phone, site, zone, setting):
    page = phone(timezone_id=zone)
    page.goto(site.origin)
    installed(page)
    page.context.set_offline(True)
    page.goto(f"{site.origin}/jobs/new")
    begun(page)
    page.get_by_label("Where is it built").select_option(setting.lower())
    begin(page, "")
    page.context.set_offline(False)
    all_sent(page)
    (title,) = [title for title in site.titles() if title.startswith(setting)]
    assert re.fullmatch(rf"{setting}, (\w+ )?{datetime.now(ZoneInfo(zone)).day}( \w+)?", title)


def test_the_main_job_with_the_server_gone_half_way(phone, site):
    page = phone()
    page.goto(f"{site.origin}/jobs/new")
    installed(page)
    begin(page, "Otter raft")
    job_path = page.url.removesuffix("/places")
    site.stop()
    try:
        add_place(page, "Cabin", "3")
        page.goto(f"{job_path}/loads")
        expect(page.locator("select[name=where]")).to_contain_text("Cabin")
        page.get_by_role("button", name="Router 12").click()
        expect(strip(page)).to_contain_text("2 waiting")
    finally:
        site.start()
    anew(page)
    expect(strip(page)).to_have_text("Saved")
    job = site.job_called("Otter raft")
    assert ([place["name"] for place in job["places"]], len(job["loads"])) == (["Cabin"], 1)


def test_two_devices_with_the_same_field_are_given_the_choice(phone, site):
    one, other = phone(), phone()
    place = f"/jobs/{site.job}/places/0"
    open_kept(one, site, place)
    one.context.set_offline(True)
    one.goto(site.origin + place)
    change_run(one, "7")
    expect(strip(one)).to_contain_text("1 waiting")
    other.goto(site.origin + place)
    change_run(other, "9")
    expect(heading(other)).to_have_text("Where are the loads?")
    one.context.set_offline(False)
    one.goto(f"{site.origin}/settings")
    expect(one.get_by_text("Which one is right?")).to_be_visible()
    expect(strip(one)).to_contain_text("Needs you (1)")
    assert site.document(site.job)["places"][0]["run_m"] == 9
    expect(one.get_by_role("button", name="The other")).to_contain_text("9\u00a0m")  # in words
    one.get_by_role("button", name="Mine 7\u00a0m").click()
    expect(strip(one)).to_have_text("Saved")
    assert site.document(site.job)["places"][0]["run_m"] == 7


def change_run(page, length):
    page.get_by_label("Length of the run").fill(length)
    page.get_by_role("button", name="Save").click()


def test_an_update_keeps_what_is_typed_in_two_tabs_and_what_waits(phone, site):
    page = phone()
    page.goto(f"{site.origin}/jobs/{site.job}/places")
    installed(page)
    anew(page)
    other = page.context.new_page()
    other.goto(f"{site.origin}/jobs/{site.job}/limits")
    headroom = other.locator("[name=headroom_pct]")
    headroom.fill("17")
    site.stop()
    add_place(page, "Waits for the update", "2")
    name = page.get_by_label("Name of the place")
    name.fill("Half-way up the ma")
    site.start([*PROGRAM[:-1], "tests.browser.newer"])
    try:
        page.evaluate("navigator.serviceWorker.getRegistration().then((registration) => registration.update())")
        use = page.get_by_role("button", name="Use it now")
        expect(use).to_be_visible()
        expect(name).to_have_value("Half-way up the ma")
        with page.expect_navigation():
            use.click()
        expect(name).to_have_value("Half-way up the ma")
        expect(page.get_by_text("What you had typed here before is back")).to_be_visible()
        assert "shell-0123456789ab" in page.evaluate("caches.keys()")
        all_sent(page)
        assert [place.get("name") for place in site.document(site.job)["places"]].count("Waits for the update") == 1
        expect(headroom).to_have_value("17")
        with other.expect_navigation():
            other.get_by_role("button", name="Use it now").click()
        expect(headroom).to_have_value("17")
    finally:
        site.stop()
        site.start()


def test_an_update_is_offered_neither_half_behind_the_button_at_the_bottom_nor_to_whoever_starts_afresh(phone, site):
    page = phone()
    page.goto(f"{site.origin}/jobs/{site.job}/limits")
    installed(page)
    anew(page)
    site.stop()
    site.start([*PROGRAM[:-1], "tests.browser.newer"])
    try:
        page.evaluate("navigator.serviceWorker.getRegistration().then((registration) => registration.update())")
        expect(page.locator(".update")).to_be_attached()
        afresh = page.context.new_page()
        afresh.goto(f"{site.origin}/jobs/{site.job}/limits")
        expect(afresh.locator(".update")).to_be_attached()
        afresh.goto(f"{site.origin}/reset-app")
        expect(afresh.get_by_text("The app now comes fresh from the server.")).to_be_visible()
        expect(afresh.locator(".update")).to_have_count(0)
        dock, offer = (page.locator(name).bounding_box() for name in (".dock", ".update"))
        assert offer["y"] >= dock["y"] + dock["height"]
    finally:
        site.stop()
        site.start()


def test_changes_are_kept_and_sent_where_the_database_is_broken(phone, site):
    page = phone()
    page.add_init_script("indexedDB.open = () => { throw new DOMException('closing', 'InvalidStateError'); };")
    open_kept(page, site, f"/jobs/{site.job}/places")
    page.context.set_offline(True)
    add_place(page, "Roof box", "2")
    expect(strip(page)).to_contain_text("keeps nothing after this page is closed")
    page.context.set_offline(False)
    anew(page)
    all_sent(page)
    assert "Roof box" in [place.get("name") for place in site.document(site.job)["places"]]
