"""The way from nothing to a job that can be planned, form by form."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from babel.dates import format_date
from page_browser import Browser

import seed_catalog
from webapp.forms import batteries
from webapp.services import catalogue, jobs, plans

START = {"nominal_v": "12", "chemistry": "lithium", "capacity_ah": "100"}


def only_job():
    (summary,) = jobs.list_jobs()
    return jobs.get_job(summary.id)


def a_started_job(browser: Browser, **answers: str):
    browser.open("/jobs/new")
    browser.send("Start", **{**START, **answers})
    return only_job()


def test_an_empty_list_leads_to_a_new_job(browser):
    page = browser.open("/")
    assert "No job yet" in page.words
    assert ("/jobs/new", "New job") in page.reader.links


def test_a_new_place_does_not_ask_for_the_revision_of_its_page(browser):
    job = a_started_job(browser)
    browser.open(f"/jobs/{job.id}/places")
    assert browser.send("Add this place", name="Desk", run_m="4", revision="²").status == 200
    assert [place["name"] for place in only_job().document["places"]] == ["Desk"]


def test_from_nothing_to_a_queued_plan(browser):
    job = a_started_job(browser)
    browser.send("Add this place", name="Desk", run_m="4,2 m")
    browser.open(f"/jobs/{job.id}/loads")
    browser.send("Router 12 V 11 W")
    browser.send("Strip lights 12 V 24 W")
    browser.send("Add from its OUTPUT line", output="19.5V 3.34A", what="Laptop")
    browser.open(f"/jobs/{job.id}/limits")
    page = browser.send("Find cheapest", autonomy_h="10")
    assert page.path.startswith("/plans/")
    assert "Finding the cheapest" in page.words
    document = only_job().document
    assert document["places"][0] == {"id": "P1", "name": "Desk", "run_m": 4.2}
    assert [load["name"] for load in document["loads"]] == ["Router", "Strip lights", "Laptop"]
    assert document["limits"]["autonomy_h"] == 10
    assert len(plans.plans_of(job.id)) == 1


def test_jobs_that_nobody_names_are_told_apart_by_where_they_are_built_and_the_day(browser):
    for setting in ("boat", "boat", "vehicle", ""):
        browser.open("/jobs/new")
        browser.send("Start", **START, setting=setting)
    today = datetime.now(UTC)
    day = f"{today.day} {format_date(today, 'MMM', locale='en_GB')}"
    titles = {each.title for each in jobs.list_jobs()}
    assert titles == {f"Boat, {day}", f"Boat, {day} (2)", f"Vehicle, {day}", f"Job, {day}"}


def test_a_job_whose_name_is_taken_out_keeps_the_one_it_had(browser):
    job = a_started_job(browser, title="My van")
    browser.open(f"/jobs/{job.id}/battery")
    browser.send("Save, next: places", title="", capacity_ah="120")
    assert (only_job().title, only_job().document["bank"]["existing"]["capacity_ah"]) == ("My van", 120)


def test_a_new_job_is_first_asked_where_it_is_built(browser):
    """A lithium battery in a van otherwise waits for a qualified person, as a boat's would."""
    asked = [at["name"] for at in browser.open("/jobs/new").tagged("select")]
    assert asked == ["setting", "chemistry"]


def test_a_new_job_keeps_to_every_safer_limit(browser):
    limits = a_started_job(browser).document["limits"]
    assert (limits["far_fault_multiple"], limits["fuse_ratio_max"], limits["joint_mohm"]) == (5, 2, 5)
    assert limits["count_circuits"] is True
    assert limits["count_joints"] is True


@pytest.mark.parametrize(
    ("chemistry", "fault_a"), [("lithium", 20_000), ("agm", 5_000), ("flooded", 5_000), ("unsure", 20_000)]
)
def test_an_unknown_fault_current_is_assumed_and_said_to_be(browser, chemistry, fault_a):
    job = a_started_job(browser, chemistry=chemistry)  # safety matrix row 6
    assert job.document["bus"]["fault_a"] == fault_a
    assert "bus/fault_a" in job.document["assumed"]
    page = browser.open(f"/jobs/{job.id}/battery")
    mark = next(at for at in page.tagged("span") if at.get("id") == "f-fault_a-mark")
    assert mark["class"] == "mark"


def test_a_confirmed_fault_current_loses_its_mark(browser):
    job = a_started_job(browser)
    browser.open(f"/jobs/{job.id}/battery")
    browser.send("Save, next: places", fault_a="1500 A")
    assert only_job().document["bus"]["fault_a"] == 1500
    assert "bus/fault_a" not in only_job().document["assumed"]


def test_an_emptied_fault_current_is_assumed_again(browser):
    job = a_started_job(browser)
    browser.open(f"/jobs/{job.id}/battery")
    browser.send("Save, next: places", fault_a="1500")
    browser.open(f"/jobs/{job.id}/battery")
    browser.send("Save, next: places", fault_a="")
    assert only_job().document["bus"]["fault_a"] == 20_000
    assert "bus/fault_a" in only_job().document["assumed"]


def test_changing_the_voltage_moves_what_was_assumed(browser):
    job = a_started_job(browser)
    browser.open(f"/jobs/{job.id}/battery")
    browser.send("Save, next: places", nominal_v="24")
    bus = only_job().document["bus"]
    assert (bus["nominal_v"], bus["low_v"], bus["high_v"]) == (24, 24, 29.2)


@pytest.mark.parametrize(
    ("said", "nominal_v", "usable", "high_v", "shown"),
    [
        ("lithium", "24", 0.8, 29.2, "lithium"),
        ("lithium", "48", 0.8, 58.4, "lithium"),
        (None, "24", 0.45, 31.2, "unsure"),
    ],
)
def test_another_voltage_of_a_bank_with_figures_of_its_own_takes_its_type(
    browser, said, nominal_v, usable, high_v, shown
):
    """A bank known to be lithium was taken for the worst of all types: at 48 V it was refused."""
    job = a_started_job(browser)
    existing = {**job.document["bank"]["existing"], "usable_fraction": 0.85, "peukert": 1.02, "chemistry": said}
    jobs.save_job(job.id, job.revision, {**job.document, "bank": {"existing": existing, "may_buy": False}})
    browser.open(f"/jobs/{job.id}/battery")
    assert dict(browser.page.form("Save, next: places").values)["chemistry"] == "stated"
    browser.send("Save, next: places", nominal_v=nominal_v)
    document = only_job().document
    assert document["bus"]["high_v"] == high_v
    assert document["bank"]["existing"]["usable_fraction"] == usable
    assert {"bus/high_v", "bank/existing/usable_fraction"} <= set(document["assumed"])
    assert batteries.recognised(document) == shown


def test_a_fuse_style_that_can_break_the_fault_is_chosen(browser):
    parts = catalogue.replace(seed_catalog.load_catalogue()).document["parts"]
    document = a_started_job(browser, chemistry="agm").document
    fuses = [part for part in parts if part["kind"] == "fuse"]
    able = {fuse["style"] for fuse in fuses if fuse["interrupt_a"] >= 5_000}
    assert able < {fuse["style"] for fuse in fuses}
    assert document["bus"]["fuse_style"] in able


def test_a_bank_above_our_ceiling_is_refused_with_its_voltage(browser):
    browser.open("/jobs/new")  # 24 lead-acid cells equalised at 2.6 V: 62.4 V (safety matrix row 2)
    page = browser.send("Start", nominal_v="48", chemistry="flooded", capacity_ah="100")
    assert page.status == 422
    assert "62.4 V" in page.words
    assert "60 V" in page.words
    assert jobs.list_jobs() == []


def test_a_highest_voltage_above_our_ceiling_is_refused_where_it_was_typed(browser):
    job = a_started_job(browser)
    browser.open(f"/jobs/{job.id}/battery")
    page = browser.send("Save, next: places", high_v="61")
    assert page.status == 422
    assert any(href == "#f-high_v" for href, _ in page.reader.links)
    assert only_job().document["bus"]["high_v"] == 14.6


def test_no_battery_yet_means_one_has_to_be_bought(browser):
    bank = a_started_job(browser, capacity_ah="").document["bank"]
    assert bank == {"may_buy": True}


def test_errors_keep_what_was_typed_and_link_to_the_fields(browser):
    browser.open("/jobs/new")
    page = browser.send("Start", nominal_v="12", chemistry="", capacity_ah="a lot", title="My van")
    assert page.status == 422
    assert {"#f-chemistry", "#f-capacity_ah"} <= {href for href, _ in page.reader.links}
    typed = {at.get("name"): at.get("value") for at in page.tagged("input")}
    assert (typed["capacity_ah"], typed["title"]) == ("a lot", "My van")


def test_a_run_of_900_m_is_refused_and_kept(browser):
    job = a_started_job(browser)
    page = browser.send("Add this place", name="Far hut", run_m="900")
    assert page.status == 422
    assert next(at["value"] for at in page.tagged("input") if at.get("id") == "f-run_m") == "900"
    assert jobs.get_job(job.id).document["places"] == []


def test_a_place_with_loads_is_not_removed(browser):
    job = a_started_job(browser)
    browser.send("Add this place", name="Desk", run_m="4")
    browser.open(f"/jobs/{job.id}/loads")
    browser.send("Router 12 V 11 W")
    browser.open(f"/jobs/{job.id}/places")
    page = browser.send("Remove")
    assert "Router" in page.words
    assert len(only_job().document["places"]) == 1


def test_an_unplannable_job_says_what_is_missing(browser):
    job = a_started_job(browser)
    page = browser.open(f"/jobs/{job.id}/plan")
    assert "no place yet" in page.words
    assert "no load yet" in page.words


def test_a_style_of_fuse_too_weak_for_the_fault_is_said_at_once(browser):
    job = a_started_job(browser)
    strongest_a = max(p["interrupt_a"] for p in catalogue.current().document["parts"] if p["kind"] == "fuse")
    assert strongest_a < 20_000  # the small catalogue's fuses cannot break what we assume of lithium
    assert "No fuse of this style on offer breaks 20 000 A" in browser.open(f"/jobs/{job.id}/battery").words


def test_a_job_in_the_bin_says_so(browser):
    job = a_started_job(browser)
    jobs.delete_job(job.id)
    assert "This job is in the bin" in browser.open(f"/jobs/{job.id}/limits").words


def test_figures_that_follow_from_a_faulty_one_are_not_complained_of_as_well(browser):
    browser.open("/jobs/new")
    page = browser.send("Start", **{**START, "capacity_ah": "-5"})
    assert page.status == 422
    assert "One thing needs you" in page.words
    assert "max_discharge_a" not in page.words


def test_a_stranger_is_told_what_this_is_until_there_is_a_plan(browser, a_job):
    a_job(title="Mast")
    assert "finds the cheapest parts" in browser.open("/").words


@pytest.mark.parametrize(
    ("field", "words"),
    [
        ("usable", "More: how much can be used"),
        ("max_discharge_a", "More: discharging and charging"),
        ("high_v", "More: volts and heat"),
        ("fault_a", "More: fuses and fault current"),
    ],
)
def test_of_what_is_folded_on_the_battery_page_only_the_group_with_the_error_opens(browser, field, words):
    job = a_started_job(browser)
    page = browser.open(f"/jobs/{job.id}/battery")
    assert not [at for at in page.tagged("details") if "open" in at]
    page = browser.send("Save, next: places", **{field: "-1"})
    assert page.status == 422
    (opened,) = [fold for fold in page.html.split('<details class="more"') if fold.startswith(" open")]
    assert f"<summary>{words}</summary>" in opened
    assert f'name="{field}"' in opened
