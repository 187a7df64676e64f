"""Hands that are faster than the network, or come back late: nothing they did is done twice, nothing typed is lost."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.browser.hands import add_place, all_sent, strip, until
from tests.browser.site import HOLDING, Hold, Site, installed, open_here, open_kept
from webapp.services import jobs

NOTHING_CAN_BE_KEPT = """
    const no = () => { throw new DOMException('not allowed', 'SecurityError'); };
    for (const name of ['localStorage', 'sessionStorage', 'indexedDB', 'caches'])
        Object.defineProperty(window, name, { get: no });
    navigator.locks.request = async () => no();
"""
# The driver's own hands wait for the next page.
TAP_TWICE_AND_TYPE = """() => {
    const form = document.querySelector('form[data-op=place]'), { name } = form.elements;
    const tap = () => form.querySelector('button:not([type=button])').click();
    tap();
    setTimeout(tap, 700);
    setTimeout(() => {
        name.value = 'Typed meanwhile';
        name.dispatchEvent(new Event('input', { bubbles: true }));
        console.info('typed');
    }, 1000);
}"""
# In one go: what rests for a third of a second is kept as a draft.
TYPE_AND_SEND = """() => {
    const form = document.querySelector('form[data-op=place]');
    for (const [name, typed] of [['name', 'Sent early'], ['run_m', '2']]) {
        form.elements[name].value = typed;
        form.elements[name].dispatchEvent(new Event('input', { bubbles: true }));
    }
    form.querySelector('button:not([type=button])').click();
}"""


@pytest.fixture(scope="module")
def site(tmp_path_factory, chromium):
    site = Site(tmp_path_factory.mktemp("hands"))
    site.start(HOLDING)
    yield site
    site.close()


def places(site):
    return [place.get("name") for place in site.document(site.job)["places"]]


def test_what_was_put_right_is_added_and_its_errors_are_gone(phone, site):
    page = phone()
    open_here(page, site, f"/jobs/{site.job}/places")
    page.get_by_role("button", name="Add this place").click()
    expect(page.locator("#errors")).to_be_focused()
    add_place(page, "Put right", "3")
    expect(page.locator("#errors")).to_have_count(0)
    expect(strip(page)).to_have_text("Saved")
    assert places(site).count("Put right") == 1


def test_a_form_sent_again_while_the_next_page_is_late_is_done_once(phone, site):
    page = phone()
    path = f"/jobs/{site.job}/places"
    open_kept(page, site, path)
    hold = Hold(site, path)
    page.get_by_label("Name of the place").fill("Tapped twice")
    page.get_by_label("Length of the run").fill("2")
    with page.expect_console_message(lambda message: message.text == "typed"):
        page.evaluate(TAP_TWICE_AND_TYPE)
        hold.until_asked(page)
    hold.let_go()
    expect(page.locator("[data-list=place]")).to_contain_text("Tapped twice")
    all_sent(page)
    assert places(site).count("Tapped twice") == 1
    expect(page.get_by_label("Name of the place")).to_have_value("Typed meanwhile")


def test_what_is_typed_before_the_scripts_are_there_is_not_replaced_by_an_older_draft(phone, site):
    page = phone(service_workers="block")
    page.goto(f"{site.origin}/jobs/{site.job}/limits")
    field = page.locator("[name=headroom_pct]")
    field.fill("43")
    expect(strip(page)).to_have_text("Not saved yet")
    page.goto("about:blank")
    held = []
    page.route("**/js/main.js", lambda route: held.append(route))
    page.goto(f"{site.origin}/jobs/{site.job}/limits", wait_until="commit")
    field.fill("44")
    until(page, lambda: held)
    held[0].continue_()
    expect(strip(page)).to_have_text("Not saved yet")  # the scripts are there
    expect(field).to_have_value("44")


def test_whoever_leaves_before_the_scripts_are_there_finds_what_was_typed_and_an_older_draft(phone, site):
    page = phone(service_workers="block")
    page.goto(f"{site.origin}/jobs/{site.job}/limits")
    page.locator("[name=headroom_pct]").fill("43")
    expect(strip(page)).to_have_text("Not saved yet")
    page.goto("about:blank")
    page.route("**/js/offline/start.js", lambda route: None)  # never arrives
    page.goto(f"{site.origin}/jobs/{site.job}/limits")
    page.locator("[name=autonomy_h]").fill("31")
    until(page, lambda: page.evaluate("Object.values(localStorage).some((draft) => draft.includes('31'))"))
    page.goto("about:blank")
    page.unroute("**/js/offline/start.js")
    page.goto(f"{site.origin}/jobs/{site.job}/limits")
    expect(page.locator("[name=autonomy_h]")).to_have_value("31")
    expect(page.locator("[name=headroom_pct]")).to_have_value("43")


def test_a_form_sent_before_the_scripts_are_there_leaves_no_draft(phone, site):
    page = phone(service_workers="block")
    page.route("**/js/offline/start.js", lambda route: None)  # never arrives
    path = f"/jobs/{site.job}/places"
    page.goto(f"{site.origin}{path}")
    with page.expect_response(lambda response: response.request.method == "POST"):
        page.evaluate(TYPE_AND_SEND)
    page.goto("about:blank")
    page.unroute("**/js/offline/start.js")
    page.goto(f"{site.origin}{path}")
    expect(strip(page)).to_have_text("Saved")
    expect(page.get_by_label("Name of the place")).to_have_value("")
    assert places(site).count("Sent early") == 1


def test_what_was_typed_before_another_device_saved_asks_which_is_right(phone, site):
    page = phone()
    path = f"/jobs/{site.job}/limits"
    page.goto(site.origin + path)
    installed(page)
    page.locator("[name=headroom_pct]").fill("41")
    page.goto("about:blank")
    site.change(site.job, "limits", headroom_pct=42)
    page.goto(site.origin + path)
    expect(page.locator("[name=headroom_pct]")).to_have_value("41")
    expect(page.get_by_text("What you had typed here before is back")).to_be_visible()
    page.get_by_role("button", name="Save only").click()
    expect(strip(page)).to_contain_text("Needs you (1)")
    assert site.document(site.job)["limits"]["headroom_pct"] == 42
    page.goto(f"{site.origin}/settings")
    page.get_by_role("button", name="Mine").click()
    expect(strip(page)).to_have_text("Saved")
    assert site.document(site.job)["limits"]["headroom_pct"] == 41


def test_what_was_typed_in_other_units_is_not_read_in_these(phone, site):
    page = phone()
    path = f"{site.origin}/jobs/{site.job}/places"
    units = {"name": "units", "url": site.origin}
    page.goto(path)
    expect(strip(page)).to_have_text("Saved")
    run = page.get_by_label("Length of the run")
    run.fill("4")
    page.context.add_cookies([units | {"value": "awg"}])
    page.goto(path)
    expect(page.locator("html")).to_have_attribute("data-units", "awg")
    expect(strip(page)).to_have_text("Saved")
    expect(run).to_have_value("")
    page.context.add_cookies([units | {"value": "metric"}])
    page.goto(path)
    expect(run).to_have_value("4")


def test_where_nothing_can_be_kept_the_text_stays_in_its_form(phone, site):
    page = phone(service_workers="block")
    page.add_init_script(NOTHING_CAN_BE_KEPT)
    page.goto(f"{site.origin}/jobs/{site.job}/places")
    expect(strip(page)).to_contain_text("keeps nothing")
    page.get_by_label("Name of the place").fill("Nowhere to go")
    page.get_by_label("Length of the run").fill("2")
    page.context.set_offline(True)
    page.get_by_role("button", name="Add this place").click()
    expect(page.locator("form[aria-busy]")).to_have_count(0)
    expect(page.get_by_label("Name of the place")).to_have_value("Nowhere to go")
    expect(strip(page)).to_contain_text("Not saved yet")
    page.context.set_offline(False)
    page.context.clear_cookies()  # those are not kept either: the form itself is turned down
    page.get_by_role("button", name="Add this place").click()
    expect(page.locator("[data-list=place]")).to_contain_text("Nowhere to go")
    assert places(site).count("Nowhere to go") == 1


def test_a_name_half_typed_is_not_taken_by_an_update_that_another_tab_asked_for(phone, site):
    page = phone()
    _job, plan = site.planned_with_petrol()
    open_here(page, site, f"/plans/{plan}")
    expect(strip(page)).to_have_text("Saved")
    name = page.get_by_role("textbox", name="Name and qualification")
    name.fill("Ada Fin")
    page.evaluate("void navigator.serviceWorker.dispatchEvent(new Event('controllerchange'))")
    page.wait_for_timeout(300)
    expect(name).to_have_value("Ada Fin")
    name.fill("")
    with page.expect_navigation():
        page.evaluate("void navigator.serviceWorker.dispatchEvent(new Event('controllerchange'))")


def test_what_belonged_to_a_deleted_job_is_sent_again_once_it_is_back(phone, site):
    page = phone()
    open_here(page, site, f"/jobs/{site.job}/places")
    page.context.set_offline(True)
    add_place(page, "Of a job in the bin", "2")
    with site.app.app_context():
        jobs.delete_job(site.job)
    page.context.set_offline(False)
    page.goto(f"{site.origin}/settings")
    expect(page.get_by_text("This job is in the bin.")).to_be_visible()
    expect(strip(page)).to_contain_text("Needs you (1)")
    with site.app.app_context():
        jobs.restore_job(site.job)
    page.get_by_role("button", name="Send it again").click()
    expect(strip(page)).not_to_contain_text("Needs you")
    all_sent(page)
    assert places(site).count("Of a job in the bin") == 1
