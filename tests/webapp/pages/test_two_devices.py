"""Two devices at one job by plain forms: nothing is overwritten unseen, nothing is done twice, all can be undone."""

from __future__ import annotations

import pytest
from flask import before_render_template, g
from page_browser import Browser

from webapp import db
from webapp.forms import entries
from webapp.services import jobs, statements

PHONE = {"User-Agent": "Mozilla/5.0 (Linux; Android 15) Mobile"}


@pytest.fixture
def job_id(a_job):
    return a_job()


def documents(job_id):
    return jobs.get_job(job_id).document


def limits_of(job_id):
    return documents(job_id)["limits"]


@pytest.fixture
def other(pages_app, browser, job_id):
    """Another browser with the same page open, which saves what it is told."""

    def save(path, button, **answers):
        token = g.pop("csrf_token", None)
        there = Browser(pages_app.test_client())
        there.client.environ_base["HTTP_USER_AGENT"] = PHONE["User-Agent"]
        there.open(f"/jobs/{job_id}/{path}")
        page = there.send(button, **answers)
        g.pop("csrf_token", None)
        if token:
            g.csrf_token = token
        return page

    return save


def test_fields_that_nobody_else_changed_are_simply_saved(browser, job_id, other):
    browser.open(f"/jobs/{job_id}/limits")
    other("limits", "Save only", autonomy_h="30")
    page = browser.send("Save only", drop_pct="4.5")
    assert "Saved." in page.words
    assert (limits_of(job_id)["autonomy_h"], limits_of(job_id)["drop_pct"]) == (30, 4.5)


@pytest.mark.parametrize(("choice", "stored"), [("4.5", 4.5), ("2.5", 2.5)])
def test_a_field_that_both_changed_is_a_choice(browser, job_id, other, choice, stored):
    browser.open(f"/jobs/{job_id}/limits")
    other("limits", "Save only", drop_pct="2.5")
    page = browser.send("Save only", drop_pct="4.5", headroom_pct="33")
    assert page.status == 409
    assert "Volts lost on the way, at most, percent" in page.words
    assert "4.5 % yours, just now" in page.words
    assert "2.5 % stored from Android, " in page.words
    assert page.form("Save my choice").choices == {"drop_pct": ["4.5", "2.5"]}
    assert (limits_of(job_id)["drop_pct"], limits_of(job_id)["headroom_pct"]) == (2.5, 33)
    page = browser.send("Save my choice", drop_pct=choice)
    assert "Saved." in page.words
    assert (limits_of(job_id)["drop_pct"], limits_of(job_id)["headroom_pct"]) == (stored, 33)


def test_without_a_choice_what_is_stored_stays(browser, job_id, other):
    browser.open(f"/jobs/{job_id}/limits")
    other("limits", "Save only", drop_pct="2.5")
    browser.send("Save only", drop_pct="4.5")
    page = browser.send("Save my choice")
    assert "Nothing was chosen" in page.words
    assert limits_of(job_id)["drop_pct"] == 2.5


def test_a_third_change_while_choosing_is_asked_about_too(browser, job_id, other):
    browser.open(f"/jobs/{job_id}/limits")
    other("limits", "Save only", drop_pct="2.5")
    browser.send("Save only", drop_pct="4.5")
    other("limits", "Save only", drop_pct="2")
    page = browser.send("Save my choice", drop_pct="4.5")
    assert page.form("Save my choice").choices == {"drop_pct": ["4.5", "2"]}
    assert limits_of(job_id)["drop_pct"] == 2


def test_both_saying_the_same_is_no_question(browser, job_id, other):
    browser.open(f"/jobs/{job_id}/limits")
    other("limits", "Save only", drop_pct="2.5")
    assert "Saved." in browser.send("Save only", drop_pct="2.50").words


def test_a_box_that_both_touched_is_a_choice_of_yes_and_no(browser, job_id, other):
    index = len(documents(job_id)["loads"]) - 1
    path = f"loads/{index}"
    browser.open(f"/jobs/{job_id}/{path}")
    other(path, "Save", name="Theirs", switch="yes")
    page = browser.send("Save", name="Ours", switch="yes")
    assert page.form("Save my choice").choices == {"name": ["Ours", "Theirs"]}
    browser.send("Save my choice", name="Ours")
    load = documents(job_id)["loads"][index]
    assert (load["name"], load["switch"]) == ("Ours", True)


def test_a_fault_beside_a_clash_is_said_first_and_the_clash_is_not_lost(browser, job_id, other):
    browser.open(f"/jobs/{job_id}/limits")
    other("limits", "Save only", drop_pct="2.5")
    page = browser.send("Save only", drop_pct="4.5", autonomy_h="long")
    assert page.status == 422
    values = {at.get("name"): at.get("value") for at in page.tagged("input")}
    assert (values["drop_pct"], values["autonomy_h"]) == ("4.5", "long")
    page = browser.send("Save only", autonomy_h="20")
    assert page.form("Save my choice").choices == {"drop_pct": ["4.5", "2.5"]}
    assert (limits_of(job_id)["drop_pct"], limits_of(job_id)["autonomy_h"]) == (2.5, 20)


def test_a_load_removed_meanwhile_can_be_added_anew_as_typed(browser, job_id):
    index = len(documents(job_id)["loads"]) - 1
    gone = documents(job_id)["loads"][index]["id"]
    browser.open(f"/jobs/{job_id}/loads/{index}")
    jobs.change_job(job_id, lambda job: {**job, "loads": job["loads"][:-1], "assumed": []})
    page = browser.send("Save", name="Typed with care")
    assert page.status == 409
    assert "removed on another device" in page.words
    browser.send("Add this load")
    last = documents(job_id)["loads"][-1]
    assert last["name"] == "Typed with care"
    assert last["id"] != gone


def test_a_form_that_says_nothing_of_what_it_showed_overwrites_nothing(browser, job_id):
    before = limits_of(job_id)
    browser.open(f"/jobs/{job_id}/limits")
    page = browser.send("Save only", drop_pct="4.5", revision="999")
    assert page.form("Save my choice").choices == {"drop_pct": ["4.5", "5"]}
    assert limits_of(job_id) == before


def sent_twice(browser, button, **answers):
    """The same form of the same page, as by a double tap."""
    first = browser.page
    browser.send(button, **answers)
    browser.page = first
    return browser.send(button, **answers)


def test_a_double_tap_adds_one_load(browser, job_id):
    before = len(documents(job_id)["loads"])
    browser.open(f"/jobs/{job_id}/loads")
    page = sent_twice(browser, "Router 12 V 11 W")
    assert page.path == f"/jobs/{job_id}/loads"
    assert "It was done once." in page.words
    assert len(documents(job_id)["loads"]) == before + 1


def test_a_double_tap_starts_one_job(browser):
    browser.open("/jobs/new")
    page = sent_twice(browser, "Start", nominal_v="12", chemistry="lithium", capacity_ah="100", title="Hut")
    assert page.path.endswith("/places")
    assert len(jobs.list_jobs()) == 1


@pytest.fixture
def written_beside(pages_app):
    """For each page made: whether another program could write while it was."""
    sqlite = db.sqlite_driver()  # the same library: two of them in one process do not see each other's locks
    path = db.current().engine.url.database
    seen = []

    def look(_app, template, **_values):
        beside = sqlite.connect(path, timeout=0, isolation_level=None)
        try:
            beside.execute("BEGIN IMMEDIATE")
            beside.execute("ROLLBACK")
            seen.append((template.name, True))
        except sqlite.OperationalError:
            seen.append((template.name, False))
        finally:
            beside.close()

    with before_render_template.connected_to(look, pages_app):
        yield seen


def test_no_page_is_made_while_others_wait_to_write(browser, job_id, other, written_beside):
    browser.open(f"/jobs/{job_id}/limits")
    other("limits", "Save only", drop_pct="2.5")
    assert browser.send("Save only", drop_pct="4.5").status == 409
    browser.open(f"/jobs/{job_id}/places")
    assert browser.send("Add this place", run_m="far").status == 422
    browser.open(f"/jobs/{job_id}/loads")
    assert browser.send("Add", output="nothing of use").status == 422
    browser.open("/jobs/new")
    assert browser.send("Start", capacity_ah="much").status == 422
    assert {name for name, _free in written_beside} >= {"pages/choice.html", "pages/places.html", "pages/loads.html"}
    assert [name for name, is_free in written_beside if not is_free] == []


def test_going_back_and_typing_something_else_is_not_swallowed(browser, job_id):
    before = len(documents(job_id)["places"])
    first = browser.open(f"/jobs/{job_id}/places")
    browser.send("Add this place", name="Bow", run_m="3")
    browser.page = first
    browser.send("Add this place", name="Stern", run_m="5")
    browser.page = first
    browser.send("Add this place", name="Stern", run_m="5")
    assert [place["name"] for place in documents(job_id)["places"][before:]] == ["Bow", "Stern"]


def test_every_form_that_states_a_job_carries_an_id_of_its_own(browser, job_id):
    found = []
    for path in ("", "battery", "places", "places/0", "loads", "loads/0", "loads/new", "limits", "owned?kind=fuse"):
        page = browser.open(f"/jobs/{job_id}/{path}" if path else "/")
        forms = [form for form in page.reader.forms if form.method == "post" and form.action != "/language"]
        assert forms
        found += [dict(form.values)["op_id"] for form in forms]
    assert len(set(found)) == len(found)


def test_two_tabs_undo_two_removals(browser, job_id):
    before = documents(job_id)["loads"]
    browser.open(f"/jobs/{job_id}/loads")
    one = browser.send("Remove")
    two = browser.send("Remove")
    assert len(documents(job_id)["loads"]) == len(before) - 2
    browser.page = one
    browser.send("Undo")
    browser.page = two
    browser.send("Undo")
    assert documents(job_id)["loads"] == before


def test_undo_twice_puts_back_once(browser, a_job):
    job_id = a_job(owned=[{"part": "FUS-10", "count": 2}])
    browser.open(f"/jobs/{job_id}/owned")
    browser.send("Remove")
    sent_twice(browser, "Undo")
    assert documents(job_id)["owned"] == [{"part": "FUS-10", "count": 2}]


def test_two_devices_undo_one_removal_of_stock_once(a_job):
    job_id = a_job(owned=[{"part": "FUS-10", "count": 2}])
    before = documents(job_id)["owned"]
    revision = statements.remove_entry(job_id, "owned", entries.name_of(before[0]))
    assert [statements.undo_removal(job_id, revision) for _device in range(2)] == ["owned", ""]
    assert documents(job_id)["owned"] == before


def test_both_of_two_pieces_alike_come_back(a_job):
    pieces = [{"part": "CBL-2_5-TW", "length_m": 3.4}] * 2
    job_id = a_job(owned=pieces)
    removals = [statements.remove_entry(job_id, "owned", entries.name_of(pieces[0])) for _piece in pieces]
    for revision in (*reversed(removals), *removals):
        statements.undo_removal(job_id, revision)
    assert documents(job_id)["owned"] == pieces


def test_an_id_is_never_given_twice(browser, job_id):
    last = documents(job_id)["loads"][-1]["id"]
    jobs.change_job(job_id, lambda job: {**job, "loads": job["loads"][:-1], "assumed": []})
    browser.open(f"/jobs/{job_id}/loads")
    browser.send("Router 12 V 11 W")
    assert documents(job_id)["loads"][-1]["id"] != last


def in_feet(browser):
    browser.client.set_cookie("units", "awg")


def test_a_choice_is_read_in_the_units_it_was_shown_in(browser, job_id, other):
    """Whatever was chosen in another tab since."""
    before = limits_of(job_id)
    in_feet(browser)
    browser.open(f"/jobs/{job_id}/limits")
    other("limits", "Save only", slack_m="0.5")
    browser.send("Save only", slack_m="2")
    assert browser.page.form("Save my choice").choices == {"slack_m": ["2", "1.64"]}
    browser.client.set_cookie("units", "metric")
    assert browser.send("Save my choice", slack_m="2").status == 200
    assert limits_of(job_id) == before | {"slack_m": pytest.approx(2 * 0.3048)}
