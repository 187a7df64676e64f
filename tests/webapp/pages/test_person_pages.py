"""A plan that needs a qualified person: shown, and closed to whoever would work by it until somebody is named."""

from __future__ import annotations

import pytest
from page_browser import read_case
from test_plan_pages import an_answer

from webapp import spoken
from webapp.services import jobs, marks, plans, variants

KEY = "person/name"
WORK = ("buy", "cut", "cut/line", "labels", "wiring", "build", "record", "docket")
ALL = ("", "/proof", *(f"/{part}" for part in WORK))
NOBODY = "Nobody answers for this plan yet"
KEPT = {"keep": True, "average_w": 31.2, "available_w": 40.0}
NAME = "Ada Finch, marine electrician"


@pytest.fixture
def heavy(planned):
    """Four circuits of 60 A."""
    circuits = [circuit | {"design_a": 60.0} for circuit in an_answer()["circuits"]]
    plan_id = planned(an_answer(circuits=circuits))
    marks.set_mark(plan_id, "caution/read", "", "yes")
    return plan_id


@pytest.mark.parametrize("path", ALL)
def test_every_page_says_why_and_that_nobody_is_named(browser, heavy, path):
    words = browser.open(f"/plans/{heavy}{path}").words
    assert "All loads together draw 240 A: we have tested up to 200 A." in words
    assert NOBODY in words


@pytest.mark.parametrize("part", WORK)
def test_what_one_works_by_is_not_even_in_the_page(browser, heavy, planned, part):
    page = browser.open(f"/plans/{heavy}/{part}")
    assert "Record this person" in [words for form in page.reader.forms for _, _, words in form.buttons]
    assert not page.tagged("table")
    assert "cut/1/A" not in page.html
    assert "label__head" not in page.html
    assert "<svg class=" not in page.html
    open_page = browser.open(f"/plans/{planned(an_answer())}/{part}")
    assert "Record this person" not in [words for form in open_page.reader.forms for _, _, words in form.buttons]


def test_the_design_itself_is_shown(browser, heavy):
    assert "626.34" in browser.open(f"/plans/{heavy}").words
    assert "Circuits and feeds" in browser.page.words
    assert "Each was worked out again" in browser.open(f"/plans/{heavy}/proof").words


def test_while_it_waits_the_answer_leads_to_who_answers_and_then_to_the_shops(browser, heavy):
    docked = [href for href, words in browser.open(f"/plans/{heavy}").reader.links if words == "Say who answers for it"]
    assert docked == ["#person"]
    assert "What to buy" not in browser.page.words
    browser.send("Record this person", **{KEY: NAME})
    assert "What to buy" in browser.page.words
    assert "Say who answers for it" not in browser.page.words


@pytest.mark.parametrize("part", WORK)
def test_a_name_opens_the_page_it_was_asked_on(browser, heavy, part):
    browser.open(f"/plans/{heavy}/{part}")
    page = browser.send("Record this person", **{KEY: NAME})
    assert page.path == f"/plans/{heavy}/{part}"
    assert marks.marks_of(heavy)[KEY] == NAME
    assert f"{NAME} answers for this plan." in page.words
    assert NOBODY not in page.words
    assert "Name and qualification" not in page.words


@pytest.mark.parametrize("path", ALL)
def test_the_name_stands_on_every_page(browser, heavy, path):
    marks.set_mark(heavy, KEY, "", NAME)
    page = browser.open(f"/plans/{heavy}{path}")
    assert f"{NAME} answers for this plan." in page.words
    assert "All loads together draw 240 A" in page.words
    asides = [at["class"] for at in page.tagged("aside") if at.get("aria-label") == "Qualified person"]
    assert asides == ["caution"]  # which prints


@pytest.mark.parametrize("part", ["labels", "docket"])
def test_a_label_says_who_answers(browser, heavy, part):
    marks.set_mark(heavy, KEY, "", NAME)
    assert f"Answered for by {NAME}" in browser.open(f"/plans/{heavy}/{part}").words
    assert f"! Answered for by {NAME}: above 200 A" in browser.open(f"/plans/{heavy}/labels").words  # tape printer


def test_a_name_taken_back_closes_them_again(browser, heavy):
    marks.set_mark(heavy, KEY, "", NAME)
    browser.open(f"/plans/{heavy}")
    browser.send("Record this person", **{KEY: " "})
    assert NOBODY in browser.open(f"/plans/{heavy}/cut").words


def test_a_name_counts_for_its_plan_alone(browser, heavy, planned):
    marks.set_mark(heavy, KEY, "", NAME)
    again = plans.start_plan(plans.get_plan(heavy).job_id)
    assert plans.claim_plan() is not None
    plans.finish_plan(again, plans.get_plan(heavy).document, "stub")
    assert NOBODY in browser.open(f"/plans/{again}/cut").words


def test_lists_say_what_it_waits_for_and_lead_there(browser, heavy, planned):
    """Not “proven” and “Buy”, where nothing may be bought."""
    planned(an_answer(), title="Needs nobody")
    for path in ("/", "/compare"):
        words = browser.open(path).words
        assert words.count("Waits for a qualified person: above 200 A") == words.count("proven") == 1
    leads = {words: href for href, words in browser.open("/").reader.links if words in ("Buy", "Say who")}
    assert leads["Say who"] == f"/plans/{heavy}#person"
    assert heavy not in leads["Buy"]
    assert 'id="person"' in browser.open(f"/plans/{heavy}").html
    marks.set_mark(heavy, KEY, "", NAME)
    assert "Waits for" not in browser.open("/").words
    marks.set_mark(heavy, KEY, NAME, "")
    assert "Waits for" in browser.open("/").words


def test_a_variant_says_in_its_list_what_it_waits_for(browser, heavy, pages_app):
    job = jobs.get_job(plans.get_plan(heavy).job_id)
    (ours, twin) = variants.take(job.id, {next(iter(variants.offers(job))).variant.key: "Twin"})[:2]
    assert ours == heavy
    assert plans.claim_plan() is not None
    plans.finish_plan(twin, plans.get_plan(heavy).document, "stub")
    assert "Waits for a qualified person: above 200 A" in browser.open(f"/jobs/{job.id}/what-if").words


def test_a_plan_that_needs_nobody_asks_for_nobody(browser, planned):
    plan_id = planned(an_answer())
    for path in ALL:
        words = browser.open(f"/plans/{plan_id}{path}").words
        assert NOBODY not in words
        assert "Name and qualification" not in words
    marks.set_mark(plan_id, KEY, "", NAME)  # a stray name does not show
    assert NAME not in browser.open(f"/plans/{plan_id}").words


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"place": {"fuel": True}}, "Petrol or gas at"),
        ({"load": {"critical": "health"}}, "two independent supplies"),
        ({"load": {"critical": "vehicle", "keeps_supply": True}}, "beside the supply it has"),
        ({"bus": {"high_v": 51}}, "does not say whether it is on a boat"),
        ({"bus": {"high_v": 51}, "job": {"setting": "boat"}}, "51 V DC, on a boat"),
        ({"bank": {"chemistry": "lithium"}}, "does not say whether it is on a boat"),
        ({"bank": {"chemistry": "lithium"}, "job": {"setting": "boat"}}, "Wh on a boat"),
    ],
)
def test_what_the_job_says_closes_its_pages(browser, planned, changes, said):
    job = read_case("case-062")["job"]
    first = job["places"][0] | changes.get("place", {}), job["loads"][0] | changes.get("load", {})
    whole = {
        "places": [first[0], *job["places"][1:]],
        "loads": [first[1], *job["loads"][1:]],
        "bus": job["bus"] | changes.get("bus", {}),
        "bank": job["bank"] | {"existing": job["bank"]["existing"] | changes.get("bank", {})},
        **changes.get("job", {}),
    }
    answer = an_answer(bank=KEPT) if "bank" in changes else an_answer()
    words = browser.open(f"/plans/{planned(answer, **whole)}/cut").words
    assert said in words
    assert NOBODY in words


@pytest.mark.parametrize(("setting", "asked"), [({}, True), ({"setting": "boat"}, False)])
def test_whoever_is_on_no_boat_is_led_to_say_so(browser, planned, setting, asked):
    bank = read_case("case-062")["job"]["bank"]
    whole = {"bank": bank | {"existing": bank["existing"] | {"chemistry": "lithium"}}, **setting}
    plan_id = planned(an_answer(bank=KEPT), **whole)
    job_id = plans.get_plan(plan_id).job_id
    for path in ("", "/cut"):
        links = browser.open(f"/plans/{plan_id}{path}").tagged("a")
        assert (f"/jobs/{job_id}/battery#f-setting" in [link.get("href") for link in links]) == asked
    main = [at["href"] for at in browser.open(f"/plans/{plan_id}").tagged("a") if "button--main" in at.get("class", "")]
    assert main == [f"/jobs/{job_id}/battery#f-setting" if asked else "#person"]
    assert "f-setting" in [each.get("id") for each in browser.open(f"/jobs/{job_id}/battery").tagged("select")]


def test_surge_protection_asks_for_a_person_and_closes_nothing(browser, planned):
    job = read_case("case-062")["job"]
    places = [job["places"][0] | {"above_roof": True}, *job["places"][1:]]
    page = browser.open(f"/plans/{planned(an_answer(), places=places)}/buy")
    place = places[0].get("name") or places[0]["id"]
    assert f"runs that go outdoors: {place}. Have a qualified person do that work." in page.words
    assert "Total" in page.words
    assert NOBODY not in page.words


def test_what_two_people_name_at_once_is_asked(browser, heavy):
    browser.open(f"/plans/{heavy}/cut")
    marks.set_mark(heavy, KEY, "", "Bo Reed")
    page = browser.send("Record this person", **{KEY: NAME})
    assert page.status == 409
    assert "Who answers for the plan" in page.words


def test_in_german(browser, heavy):
    browser.client.set_cookie(spoken.COOKIE, "de")
    words = browser.open(f"/plans/{heavy}/cut").words
    assert "240 A" in words
    assert "Nobody" not in words
    assert "All loads" not in words
