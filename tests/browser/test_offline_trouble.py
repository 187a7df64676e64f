"""Without a signal, when more goes wrong: lost answers, two tabs, a closed app, a busy server, a full device."""

from __future__ import annotations

import re

from playwright.sync_api import expect

from tests.browser import real
from tests.browser.hands import add_place, all_sent, anew, begin, heading, strip, within
from tests.browser.site import SPEAKS, installed, open_kept

# Where the page sets "lose", the server gets a form and its answer never arrives; with "hold" nothing is sent, with
# "full" the database takes nothing more.
HANDS_ON = """
    const ask = window.fetch;
    const says = (name) => localStorage.getItem(name) === 'yes';
    SyncManager.prototype.register = () => Promise.reject(new Error('not here'));
    const put = IDBObjectStore.prototype.put;
    IDBObjectStore.prototype.put = function (...what) {
        if (!says('full')) return put.apply(this, what);
        Object.defineProperty(this.transaction, 'error', { value: new DOMException('full', 'QuotaExceededError') });
        this.transaction.abort();
    };
    window.fetch = async (address, options) => {
        if (address === '/ping' && says('hold')) throw new TypeError('held');
        const answer = await ask(address, options);
        if (!says('lose') || !options?.headers?.['Thriftloom-Go']) return answer;
        localStorage.removeItem('lose');
        throw new TypeError('lost');
    };
"""


def set_up(page, **flags):
    """Say from here on what goes wrong on this device."""
    page.evaluate("(flags) => Object.entries(flags).forEach((flag) => localStorage.setItem(...flag))", flags)


def places(site):
    return [place.get("name") for place in site.document(site.job)["places"]]


def test_what_is_queued_behind_a_lost_answer_finds_its_place_and_its_job(phone, site):
    page = phone()
    page.add_init_script(HANDS_ON)
    page.goto(f"{site.origin}/jobs/new")
    installed(page)
    set_up(page, hold="yes", lose="yes")
    begin(page, "Lost reply")
    expect(strip(page)).to_contain_text("1 waiting")
    assert site.titles().count("Lost reply") == 1
    add_place(page, "Aft", "3")
    page.get_by_role("link", name="Next: loads").click()
    page.get_by_role("button", name="Router 12").click()
    expect(strip(page)).to_contain_text("3 waiting")
    set_up(page, hold="no")
    anew(page)
    expect(strip(page)).to_have_text("Saved")
    assert site.titles().count("Lost reply") == 1
    job = site.job_called("Lost reply")
    assert ([place["name"] for place in job["places"]], len(job["loads"])) == (["Aft"], 1)


def test_a_place_whose_answer_was_lost_is_chosen_and_used(phone, site):
    page = phone()
    page.add_init_script(HANDS_ON)
    open_kept(page, site, f"/jobs/{site.job}/places")
    set_up(page, hold="yes", lose="yes")
    add_place(page, "Locker", "3")
    assert places(site).count("Locker") == 1
    page.goto(f"{site.origin}/jobs/{site.job}/loads")
    where = page.locator("select[name=where]")
    where.select_option(where.locator("option[value^=new-]").get_attribute("value"))
    page.get_by_role("button", name="Router 12").click()
    expect(strip(page)).to_contain_text("2 waiting")
    set_up(page, hold="no")
    anew(page)
    expect(strip(page)).to_have_text("Saved")
    assert places(site).count("Locker") == 1
    locker = site.document(site.job)["places"][places(site).index("Locker")]["id"]
    assert [load["place"] for load in site.document(site.job)["loads"]].count(locker) == 1


# In one go: as soon as one has sent, both pages load anew.
SEND_ONCE_NOTHING_HOLDS = """() => addEventListener('storage', ({ key, newValue }) => {
    if (key === 'hold' && newValue === 'no') dispatchEvent(new Event('online'));
})"""
LET_GO_AND_SEND_TWICE = """() => {
    localStorage.setItem('hold', 'no');
    for (let times = 0; times < 2; times++) dispatchEvent(new Event('online'));
}"""


def test_two_tabs_that_send_at_once_send_each_change_once(phone, site):
    one = phone()
    one.add_init_script(HANDS_ON)
    open_kept(one, site, f"/jobs/{site.job}/places")
    other = one.context.new_page()
    other.add_init_script(HANDS_ON)
    other.goto(one.url)
    set_up(one, hold="yes")
    names = [f"Shelf {number}" for number in range(4)]
    one.context.set_offline(True)
    for name in names:
        add_place(one, name, "2")
    expect(strip(other)).to_contain_text("4 waiting")
    one.context.set_offline(False)
    sent = []
    one.context.on("request", lambda request: request.url.endswith("/sync") and sent.append(request.post_data_json))
    other.evaluate(SEND_ONCE_NOTHING_HOLDS)
    one.evaluate(LET_GO_AND_SEND_TWICE)
    for page in (one, other):
        all_sent(page)
    ids = [op["op_id"] for batch in sent for op in batch["ops"]]
    assert (len(ids), len(set(ids))) == (4, 4)
    assert [name for name in places(site) if name in names] == names


def test_a_removal_that_was_sent_is_undone_without_a_signal(phone, site):
    page = phone()
    open_kept(page, site, f"/jobs/{site.job}/loads")
    before = site.document(site.job)["loads"]
    card = page.locator('[data-entry^="load/"]').first
    card.get_by_text("⋯").click()
    card.get_by_role("button", name="Remove").click()
    expect(page.get_by_role("button", name="Undo")).to_be_visible()
    assert len(site.document(site.job)["loads"]) == len(before) - 1
    page.context.set_offline(True)
    page.get_by_role("button", name="Undo").click()
    expect(strip(page)).to_contain_text("1 waiting")
    page.context.set_offline(False)
    anew(page)
    all_sent(page)
    assert site.document(site.job)["loads"] == before
    anew(page)
    expect(strip(page)).to_have_text("Saved")  # the server was heard: no copy any more


# The page gives up its questions to the server when the test says so, not by the clock.
ASKED = """
    window.asked = [];
    const until = AbortSignal.timeout.bind(AbortSignal);
    AbortSignal.timeout = (ms) => {
        if (ms !== 3000) return until(ms);
        const question = new AbortController();
        asked.push(question);
        return question.signal;
    };
"""
NO_ANSWER_AND_ASKED_AGAIN = """() => {
    asked.splice(0).forEach((question) => question.abort());
    return new Promise((done) => { const look = () => (asked.length ? done() : setTimeout(look, 20)); look(); });
}"""


def test_a_busy_server_is_not_called_silent(phone, site):
    page = phone()
    page.add_init_script(ASKED)
    open_kept(page, site, f"/jobs/{site.job}/places")
    site.pause()
    try:
        anew(page)
        expect(strip(page)).to_contain_text("As of")
        within(page, NO_ANSWER_AND_ASKED_AGAIN)
        with page.expect_response("**/ping"):
            site.go_on()
        expect(strip(page)).to_contain_text("As of")
        expect(strip(page)).not_to_contain_text("no signal")
        site.pause()
        anew(page)
        expect(strip(page)).to_contain_text("As of")
        within(page, NO_ANSWER_AND_ASKED_AGAIN)
        expect(strip(page)).not_to_contain_text("no signal")
        page.evaluate("asked.forEach((question) => question.abort())")
        expect(strip(page)).to_contain_text("no signal")
    finally:
        site.go_on()


def test_a_full_device_says_so_and_loses_nothing(phone, site):
    page = phone()
    page.add_init_script(HANDS_ON)
    open_kept(page, site, f"/jobs/{site.job}/places")
    set_up(page, hold="yes")
    page.context.set_offline(True)
    add_place(page, "Before it was full", "2")
    set_up(page, full="yes")
    add_place(page, "When it was full", "2")
    expect(strip(page)).to_contain_text("2 waiting")
    expect(strip(page)).to_contain_text("keeps nothing after this page is closed")
    page.context.set_offline(False)
    anew(page)
    expect(strip(page)).to_contain_text("2 waiting")
    set_up(page, hold="no")
    anew(page)
    all_sent(page)
    assert [name for name in places(site) if "full" in (name or "")] == ["Before it was full", "When it was full"]


def test_a_database_that_never_answers_loses_nothing(phone, site):
    page = phone()
    page.add_init_script("""
        const later = setTimeout;
        window.setTimeout = (act, ms, ...more) => later(act, ms === 5000 ? 50 : ms, ...more);
        IDBDatabase.prototype.transaction = () => ({ objectStore: () => ({ get: () => ({}) }), abort() {} });
    """)
    page.goto(f"{site.origin}/jobs/{site.job}/places")
    expect(strip(page)).to_contain_text("keeps nothing after this page is closed")
    installed(page)
    anew(page)
    page.context.set_offline(True)
    add_place(page, "Silent database", "2")
    expect(strip(page)).to_contain_text("1 waiting")
    page.context.set_offline(False)
    anew(page)
    all_sent(page)
    assert places(site).count("Silent database") == 1


def test_a_sending_that_hangs_is_given_up_and_is_waited_for_where_it_is_asked_for(phone, site):
    page = phone()
    page.add_init_script("""
        const until = AbortSignal.timeout.bind(AbortSignal);
        AbortSignal.timeout = (ms) => until(ms !== 20000 ? ms : localStorage.getItem('short') ? 50 : 600_000);
    """)
    page.add_init_script(HANDS_ON)
    open_kept(page, site, f"/jobs/{site.job}/places")
    set_up(page, hold="yes", short="yes")
    page.context.set_offline(True)
    add_place(page, "Hung up", "2")
    held = []
    page.context.route("**/sync", lambda route: held.append(route))
    page.context.set_offline(False)
    set_up(page, hold="no")
    with page.expect_event("requestfailed", lambda request: request.url.endswith("/sync")):
        page.evaluate("void dispatchEvent(new Event('online'))")
    expect(strip(page)).to_contain_text("1 waiting")
    page.evaluate("localStorage.removeItem('short')")
    with page.expect_request("**/sync"):
        page.evaluate("void dispatchEvent(new Event('online'))")
    other = page.context.new_page()
    other.goto(f"{site.origin}/settings")
    other.get_by_role("button", name="Send now").click()
    expect(other.locator("[data-part=sent]")).to_have_text("Sending…")
    held[-1].continue_()
    page.context.unroute("**/sync")
    expect(other.locator("[data-part=sent]")).to_have_text("The server answers.")
    all_sent(page)
    assert places(site).count("Hung up") == 1


def test_pages_open_where_there_is_no_room_to_keep_them(phone, site):
    page = phone()
    page.goto(site.origin)
    installed(page)
    full = page.context.new_cdp_session(page)
    full.send("Storage.overrideQuotaForOrigin", {"origin": site.origin, "quotaSize": 1})
    page.goto(f"{site.origin}/jobs/{site.job}/places")
    expect(heading(page)).to_have_text("Where are the loads?")
    expect(strip(page)).to_contain_text("No room left")


# Of caches with nothing in them there may be one: the worker looks into its own for each file of this page.
COPIES = """async () => {
    const all = await Promise.all((await caches.keys()).map(async (name) => (await caches.open(name)).keys()));
    return all.flat().map(({ url }) => url);
}"""


def test_the_way_out_keeps_what_waits(phone, site):
    page = phone()
    page.add_init_script(HANDS_ON)
    open_kept(page, site, f"/jobs/{site.job}/places")
    set_up(page, hold="yes")
    page.context.set_offline(True)
    add_place(page, "Kept through it", "2")
    page.context.set_offline(False)
    page.goto(f"{site.origin}/reset-app")
    expect(page.locator('[data-part="after"]')).to_be_visible()
    assert page.evaluate(COPIES) == []
    assert "Kept through it" not in places(site)
    set_up(page, hold="no")
    page.goto(site.origin)
    expect(strip(page)).to_have_text("Saved")
    assert places(site).count("Kept through it") == 1


def test_whoever_starts_afresh_has_no_worker_before_the_next_page(phone, site):
    """One that is asked for while the files of the old one are removed would keep half of its own."""
    page = phone()
    open_kept(page, site, f"/jobs/{site.job}/places")
    with page.expect_request("**/ping"):  # a page asks for it once it has asked for its worker
        page.goto(f"{site.origin}/reset-app")
    expect(page.locator('[data-part="after"]')).to_be_visible()
    assert within(page, "async () => (await navigator.serviceWorker.getRegistrations()).length") == 0
    page.goto(site.origin)
    installed(page)


def test_copies_are_fetched_anew_in_another_language(phone, site):
    page = phone()
    open_kept(page, site, f"/jobs/{site.job}/places")
    page.goto(site.origin)
    page.get_by_role("button", name="Deutsch").click()
    expect(page.locator("html")).to_have_attribute("lang", "de")
    assert page.evaluate(SPEAKS, [f"/jobs/{site.job}/plan", f"/jobs/{site.job}/limits", 'lang="de"'])


def test_no_search_begins_before_what_was_stated_is_taken(phone, site):
    page = phone()
    open_kept(page, site, f"/jobs/{site.job}/limits")
    title = site.document(site.job)["title"]
    before = site.plans_of(title)
    page.context.set_offline(True)
    page.locator("[name=drop_pct]").fill("5 of what")
    page.get_by_role("button", name="Find cheapest").click()
    expect(strip(page)).to_contain_text("2 waiting")
    page.context.set_offline(False)
    page.goto(f"{site.origin}/settings")
    expect(strip(page)).to_contain_text("Needs you (1)")
    expect(strip(page)).to_contain_text("1 waiting")
    assert site.plans_of(title) == before
    page.get_by_role("button", name="Discard it").click()
    expect(strip(page)).not_to_contain_text("Needs you")
    anew(page)
    all_sent(page)
    assert len(site.plans_of(title)) == len(before) + 1
    site.end_searches(title)


def test_a_day_without_a_server_arrives_once_and_in_order(chromium, site, tmp_path):
    def open_app():
        start = chromium.browser_type.launch_persistent_context
        profile = tmp_path / "profile"
        return real.patient(start(profile, executable_path=real.chromium_path(), args=[*real.ARGUMENTS], **real.PHONE))

    before = site.document(site.job)
    job = f"{site.origin}/jobs/{site.job}"
    with open_app() as app:
        page = app.new_page()
        open_kept(page, site, f"/jobs/{site.job}/limits")
        site.stop()
        change_a_kept_job(page, job)
        page.goto(f"{site.origin}/jobs/new")
        state_a_new_job(page)
    try:
        with open_app() as app:
            page = app.new_page()
            page.goto(site.origin)
            expect(page.locator("[data-list=job]")).to_contain_text("Day hut")
            expect(strip(page)).to_contain_text("13 waiting")
            site.start()
            anew(page)
            all_sent(page)
            expect(strip(page)).not_to_contain_text("Needs you")
            page.goto(site.origin)
            page.get_by_role("link", name="Day hut").first.click()
            real.planned(page)
    finally:
        site.stop()
        site.start()
    after = site.document(site.job)
    assert after["limits"]["drop_pct"] == 2.5
    assert after["bank"]["existing"]["capacity_ah"] == 77
    assert len(after["owned"]) == len(before.get("owned", [])) + 1
    ids, ids_before = ([load["id"] for load in each["loads"]] for each in (after, before))
    assert (len(ids), ids[0], ids[1] in ids_before) == (
        len(ids_before),
        ids_before[0],
        False,
    )
    made = site.job_called("Day hut")
    assert [place["name"] for place in made["places"]] == ["Bunk", "Deck"]
    assert [load["name"] for load in made["loads"]] == ["Router", "Laptop", "Radio"]
    assert made["limits"]["autonomy_h"] == 5
    assert site.plans_of("Day hut") == ["done"]
    assert site.titles().count("Day hut") == 1


def change_a_kept_job(page, job):
    page.goto(f"{job}/limits")
    page.locator("[name=drop_pct]").fill("2.5")
    page.get_by_role("button", name="Save only").click()
    expect(strip(page)).to_contain_text("1 waiting")
    page.goto(f"{job}/battery")
    page.locator("[name=capacity_ah]").fill("77")
    page.get_by_role("button", name="Save, next: places").click()
    expect(heading(page)).to_have_text("Where are the loads?")
    page.goto(f"{job}/owned")
    page.get_by_role("navigation", name="Kinds of part").get_by_role("link").first.click()
    page.locator("[name=part]").select_option(index=1)
    page.locator("[name=count], [name=length_m]").first.fill("2")
    page.get_by_role("button", name="Add it").click()
    expect(strip(page)).to_contain_text("3 waiting")
    page.goto(f"{job}/loads")
    act(page.locator('[data-entry^="load/"]').first, "Duplicate")
    expect(page.locator("[data-list=load] .card__title")).not_to_have_text(re.compile("^ *waiting"))
    expect(strip(page)).to_contain_text("4 waiting")
    act(page.locator('[data-entry^="load/"]').last, "Remove")
    expect(page.locator(".card--gone")).to_have_count(1)


def act(card, name):
    card.evaluate("(card) => card.closest('details').setAttribute('open', '')")
    card.get_by_text("⋯").click()
    card.get_by_role("button", name=name).click()


def state_a_new_job(page):
    begin(page, "Day hut")
    add_place(page, "Bunk", "4")
    add_place(page, "Deck", "6")
    page.get_by_role("link", name="Next: loads").click()
    page.get_by_role("button", name="Router 12").click()
    expect(page.locator("[data-list=load]")).to_contain_text("Router")
    page.locator("[name=output]").fill("19.5V 3.34A")
    page.locator("[name=what]").fill("Laptop")
    page.get_by_role("button", name="Add from its OUTPUT line").click()
    expect(page.locator("[data-list=load]")).to_contain_text("Laptop")
    page.get_by_role("link", name="All by hand").click()
    page.locator("[name=name]").fill("Radio")
    page.locator("[name=form]").select_option("dc-plug")
    page.locator("[name=typical_w]").fill("8")
    page.locator("[name=hours_per_day]").fill("3")
    page.locator("[name=min_v]").fill("10.8")
    page.locator("[name=max_v]").fill("15")
    expect(page.locator(".judge__line")).to_contain_text("29.2 V on charge is over 15 V")
    page.locator("[name=peak_w]").fill("10")
    page.get_by_role("button", name="Add this load").click()
    expect(page.locator("[data-list=load]")).to_contain_text("Radio")
    page.get_by_role("link", name="Next: limits").click()
    page.locator("[name=autonomy_h]").fill("5")
    page.get_by_role("button", name="Find cheapest").click()
    expect(page.get_by_text("The search begins as soon as there is a signal")).to_be_visible()


# One who works in the database and never ends keeps everybody else out of it.
HOLD_THE_DATABASE = """() => new Promise((done) => {
    window.held = 0;
    indexedDB.open("thriftloom").onsuccess = ({ target }) => {
        const store = target.result.transaction("kept", "readwrite").objectStore("kept");
        const spin = () => { store.get("spoken").onsuccess = spin; held += 1; if (held === 2) done(); };
        spin();
    };
})"""


STILL_HELD = """() => new Promise((done) => {
    const before = held;
    setTimeout(() => done(held > before), 200);
})"""


def test_a_page_that_the_server_sends_does_not_wait_for_a_database_that_hangs(phone, site):
    holder = phone()
    open_kept(holder, site, f"/jobs/{site.job}/places")
    (worker,) = holder.context.service_workers
    worker.evaluate("setTimeout = () => 0")  # it is never given up
    within(holder, HOLD_THE_DATABASE)
    page = holder.context.new_page()
    page.goto(f"{site.origin}/jobs/{site.job}/limits", wait_until="commit")
    expect(heading(page)).to_have_text("What must the plan keep to?")
    assert holder.evaluate(STILL_HELD)
