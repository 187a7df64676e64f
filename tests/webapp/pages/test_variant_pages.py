"""What if: ticked without a script, copied once, planned by the queue, compared, and cleared away again."""

from __future__ import annotations

import pytest
from page_browser import assert_sound, plain
from test_german_pages import english
from test_plan_pages import an_answer, no_answer

from webapp import spoken
from webapp.services import catalogue, jobs, plans, variants
from webapp.services.errors import Busy

MARK = '<span class="mark">What if</span>'
BUTTON = "Plan and compare"
WAY = {
    "text": "Autonomy of 17.5 h instead of 24 h",
    "limit": "autonomy_h",
    "change": [{"pointer": "limits/autonomy_h", "value": 17.5}],
    "total_cents": 123456,
    "bound_cents": 123456,
    "status": "optimal",
}


@pytest.fixture
def job_id(planned):
    """A job whose plan is there: it buys a battery and leaves nothing on the inverter."""
    return plans.get_plan(planned(an_answer(), title="Weir hut")).job_id


def ticks(page):
    return {at["value"]: "checked" in at for at in page.tagged("input") if at.get("name") == "variant"}


def take(browser, job_id, *keys):
    """Tick exactly these and send the page."""
    page = browser.open(f"/jobs/{job_id}/what-if")
    form = page.form(BUTTON)
    values = [(name, value) for name, value in form.values if name != "variant"]
    form.values[:] = [*values, *(("variant", key) for key in keys)]
    return browser.send(BUTTON)


def twins(job_id):
    return {each.title: each for each in variants.made_of(job_id)}


def look_again(page):
    """Where the page of searches looks again: it names all of their plans."""
    (address,) = [href for href, words in page.reader.links if words == "Look again now"]
    return address


def finish(answers):
    """Answer what waits, one after the other; states of all plans are then known."""
    for answer in answers:
        task = plans.claim_plan()
        plans.finish_plan(task.plan_id, answer, "stub")


def test_the_page_offers_what_differs_with_three_ticked(browser, job_id):
    page = browser.open(f"/jobs/{job_id}/what-if")
    assert_sound(page)
    assert list(ticks(page).values()) == [True] * 3 + [False] * (len(ticks(page)) - 3)
    assert "Keep the inverter" in page.words
    assert "24 V instead of 12 V" in page.words
    assert "This is a design aid." in page.words
    assert "Do without the inverter" not in page.words  # the plan does
    assert jobs.list_jobs()[0].id == job_id  # looking makes nothing
    assert len(jobs.list_jobs()) == 1


def test_the_plan_leads_there(browser, job_id, planned):
    for plan_id in (plans.plans_of(job_id)[0].id, planned(no_answer({"subject": "bank", "text": "Too small"}))):
        owner = plans.get_plan(plan_id).job_id
        assert f"/jobs/{owner}/what-if" in {href for href, _ in browser.open(f"/plans/{plan_id}").reader.links}


def test_each_ticked_change_becomes_a_copy_that_waits_its_turn(browser, job_id):
    before = jobs.get_job(job_id).document
    page = take(browser, job_id, "volts-24", "longer", "freedoms")
    assert page.path.startswith("/compare")
    made = twins(job_id)
    assert {plain(title) for title in made} == {
        "Weir hut: 24 V",
        "Weir hut: 48 h without charging",
        "Weir hut: converters shared or at the panel",
    }
    assert [each.state for one in made.values() for each in plans.plans_of(one.id)] == ["queued"] * 3
    assert made["Weir hut: 48 h without charging"].document["limits"] == before["limits"] | {"autonomy_h": 48.0}
    assert jobs.get_job(job_id).document == before
    assert len(plans.plans_of(job_id)) == 1  # its plan is there
    assert (f"/plans/{plans.plans_of(job_id)[0].id}", "Plan") in page.reader.links
    for words in ("Weir hut: 626.34", "24 V: Waiting to be planned"):
        assert words in page.words


def test_without_a_plan_of_now_the_job_itself_is_planned_too(browser, a_job):
    job_id = a_job(title="Fresh")
    page = take(browser, job_id, "volts-24")
    assert [each.state for each in plans.plans_of(job_id)] == ["queued"]
    assert "Fresh: Waiting to be planned" in page.words


def test_prices_of_today_are_compared_with_prices_of_today(browser, job_id):
    document = catalogue.current().document
    document["offers"][0]["price_cents"] += 1
    catalogue.replace(document)
    take(browser, job_id, "volts-24")
    assert [each.state for each in plans.plans_of(job_id)] == ["queued", "done"]


def test_while_one_is_searched_for_the_page_looks_again_by_itself_and_then_compares(browser, job_id):
    page = take(browser, job_id, "volts-24")
    (address,) = [at["data-url"] for at in page.tagged("div") if "data-url" in at]
    assert 'http-equiv="refresh"' in page.html
    assert browser.client.get(address).json == {
        "under_way": True,
        "lines": ["Weir hut: 626.34", "24 V: Waiting to be planned"],
        "time": "",
        "stop": "",
    }
    finish([an_answer(total_cents=70000, bound_cents=70000)])
    assert browser.client.get(address).json["under_way"] is False
    page = browser.open(look_again(page))
    assert "B costs 73.66 more than A." in page.words
    assert 'http-equiv="refresh"' not in page.html


def test_what_is_there_can_be_compared_before_the_rest_has_ended(browser, job_id):
    page = take(browser, job_id, "volts-24", "freedoms")
    (now,) = [href for href, words in page.reader.links if words == "Compare what there is so far"]
    finish([an_answer(total_cents=70000, bound_cents=70000)])
    page = browser.open(now)
    assert "B costs 73.66 more than A." in page.words
    assert "that search has no plan yet" in page.words


def test_what_cannot_be_planned_is_said_with_its_cheapest_way_out(browser, job_id):
    take(browser, job_id, "volts-24", "freedoms")
    stuck = no_answer({"subject": "bank", "text": "It is too small", "rule": "autonomy"}) | {"ways_out": [WAY]}
    finish([an_answer(total_cents=70000, bound_cents=70000), stuck])
    page = browser.open(browser.page.path + "?" + "&".join(f"plan={each}" for each in plan_ids(job_id)))
    named = page.words.index(
        "Converters shared or at the panel No plan can hold all of this. Battery: It is too small."
    )
    assert named < page.words.index("Total A")
    assert "Cheapest way out: Autonomy of 17.5 h instead of 24 h, 1 234.56 in all." in page.words
    assert "B costs 73.66 more than A." in page.words


def plan_ids(job_id):
    """The plans of the job and of its variants, as they were asked for."""
    made = reversed(variants.made_of(job_id))
    return [plans.plans_of(each).pop().id for each in (job_id, *(one.id for one in made))]


def test_where_only_one_can_be_planned_it_stands_there_with_what_the_others_lack(browser, planned):
    none = planned(no_answer({"subject": "bank", "text": "Too small"}) | {"ways_out": [WAY]}, title="As it is")
    job_id = plans.get_plan(none).job_id
    take(browser, job_id, "volts-24")
    finish([an_answer()])
    page = browser.open("/compare?" + "&".join(f"plan={each}" for each in plan_ids(job_id)))
    assert_sound(page)
    assert "No plan can hold all of this. Battery: Too small." in page.words
    assert "Cheapest way out" in page.words
    assert "Total A 626.34" in page.words
    assert "The same in all" not in page.words


def test_a_second_tap_makes_no_second_copy(browser, job_id):
    first = look_again(take(browser, job_id, "volts-24"))
    ids = {each.id for each in jobs.list_jobs()}
    page = browser.open(f"/jobs/{job_id}/what-if")
    assert "Tried before: no second copy is made." in page.words
    assert look_again(take(browser, job_id, "volts-24")) == first
    assert {each.id for each in jobs.list_jobs()} == ids
    (twin,) = variants.made_of(job_id)
    assert len(plans.plans_of(twin.id)) == 1


def test_it_is_the_same_in_another_language(browser, job_id):
    take(browser, job_id, "longer")
    browser.client.set_cookie(spoken.COOKIE, "de")
    page = browser.open(f"/jobs/{job_id}/what-if")
    (button,) = [words for form in page.reader.forms for *_, words in form.buttons if words.startswith("Planen")]
    form = page.form(button)
    form.values[:] = [pair for pair in form.values if pair[0] != "variant"] + [("variant", "longer")]
    browser.send(button)
    assert [each.title for each in variants.made_of(job_id)] == ["Weir hut: 48 h without charging"]


def test_what_lies_in_the_bin_is_put_back_instead_of_made_anew(browser, job_id):
    take(browser, job_id, "volts-24")
    (twin,) = variants.made_of(job_id)
    jobs.delete_job(twin.id)
    take(browser, job_id, "volts-24")
    assert [each.id for each in variants.made_of(job_id)] == [twin.id]
    assert jobs.deleted_jobs() == []


def test_a_copy_that_somebody_worked_on_is_left_alone_and_a_new_one_made(browser, job_id):
    take(browser, job_id, "volts-24")
    (twin,) = variants.made_of(job_id)
    jobs.save_job(twin.id, 1, twin.document | {"setting": "boat"})
    take(browser, job_id, "volts-24")
    assert len(variants.made_of(job_id)) == 2


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ((), "Tick at least one."),
        (("volts-24", "inverter", "freedoms", "longer"), "Three at most fit beside the job as it is"),
    ],
)
def test_none_or_too_many_make_nothing_and_stay_ticked(browser, job_id, keys, said):
    page = take(browser, job_id, *keys)
    assert page.status == 422
    assert said in page.words
    assert {key for key, ticked in ticks(page).items() if ticked} == set(keys)
    assert variants.made_of(job_id) == []


def test_a_job_changed_meanwhile_is_looked_at_again_first(browser, job_id):
    page = browser.open(f"/jobs/{job_id}/what-if")
    assert ticks(page)
    job = jobs.get_job(job_id)
    jobs.save_job(job_id, job.revision, job.document | {"title": "Otherwise"})
    page = browser.send(BUTTON)
    assert page.status == 409
    assert "The job has been changed since this page was made" in page.words
    assert variants.made_of(job_id) == []


def test_where_too_many_wait_nothing_is_made(browser, job_id, monkeypatch):
    monkeypatch.setattr(plans, "MOST_QUEUED_EACH", 1)
    page = take(browser, job_id, "volts-24", "longer")
    assert page.status == 429
    assert "of your plans are waiting already" in page.words
    assert variants.made_of(job_id) == []
    assert plans.claim_plan() is None


def test_the_service_does_all_or_nothing(job_id, monkeypatch):
    monkeypatch.setattr(plans, "MOST_QUEUED_EACH", 1)
    with pytest.raises(Busy):
        variants.take(job_id, {"volts-24": "one", "longer": "two"})
    assert variants.made_of(job_id) == []


def test_variants_are_marked_in_the_list_and_in_the_bin(browser, job_id):
    take(browser, job_id, "volts-24")
    page = browser.open("/")
    assert "Weir hut: 24 V What if" in page.words
    assert page.html.count(MARK) == 1
    (twin,) = variants.made_of(job_id)
    jobs.delete_job(twin.id)
    jobs.delete_job(jobs.duplicate_job(twin.id).id)  # a copy of a variant is a job like any other
    assert browser.open("/bin").html.count(MARK) == 1


def test_all_are_deleted_at_once_and_put_back_at_once(browser, job_id):
    take(browser, job_id, "volts-24", "longer")
    jobs.duplicate_job(job_id)
    browser.open(f"/jobs/{job_id}/what-if")
    page = browser.send("Delete all 2 variants")
    assert "Deleted: 2 variants. They stay in the bin." in page.words
    assert len(jobs.list_jobs()) == 2  # the job and its plain copy
    assert len(jobs.deleted_jobs()) == 2
    browser.send("Undo")
    assert len(variants.made_of(job_id)) == 2
    assert jobs.deleted_jobs() == []


def test_only_those_are_put_back_that_are_named_and_variants_of_that_job(browser, job_id):
    take(browser, job_id, "volts-24", "longer")
    one, two = variants.made_of(job_id)
    other = jobs.duplicate_job(job_id)
    for each in (one, two, other):
        jobs.delete_job(each.id)
    variants.restore(job_id, [one.id, other.id])
    assert {each.id for each in jobs.deleted_jobs()} == {two.id, other.id}


def test_one_alone_is_deleted_by_its_own_button(browser, job_id):
    take(browser, job_id, "volts-24")
    page = browser.open(f"/jobs/{job_id}/what-if")
    assert "Tried so far 24 V Waiting to be planned" in page.words
    assert "Delete all" not in page.words
    browser.send("Delete")
    assert variants.made_of(job_id) == []


def test_a_job_that_lacks_something_says_what(browser, a_job):
    page = browser.open(f"/jobs/{a_job(loads=[])}/what-if")
    assert "There is no load yet" in page.words
    assert ticks(page) == {}


def test_a_job_in_the_bin_makes_none(browser, job_id):
    browser.open(f"/jobs/{job_id}/what-if")
    jobs.delete_job(job_id)
    assert browser.send(BUTTON).status == 404
    assert variants.made_of(job_id) == []


def test_in_german(browser, job_id):
    take(browser, job_id, "volts-24", "longer")
    browser.client.set_cookie(spoken.COOKIE, "de")
    here = "/compare?" + "&".join(f"plan={each}" for each in plan_ids(job_id))
    for path in (f"/jobs/{job_id}/what-if", here, "/"):
        page = browser.open(path)
        page.reader.text = [text.replace("Weir hut: 48 h without charging", "…") for text in page.reader.text]
        assert english(page) == []
