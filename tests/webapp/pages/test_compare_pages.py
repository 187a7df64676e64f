"""Plans side by side: reached, chosen, and never more told than each plan's own pages tell."""

from __future__ import annotations

import re

import pytest
from page_browser import plain, read_case
from test_german_pages import english
from test_plan_pages import HOLDS, an_answer, no_answer

from webapp import schemas, spoken
from webapp.services import catalogue, jobs, marks, plans

FAILS = HOLDS | {"state": "fails"}
OTHER = "z" * 26
DEARER = {"total_cents": 66754, "bound_cents": 66754}


def compared(*ids, **more):
    return "/compare?" + "&".join(
        [f"plan={each}" for each in ids] + [f"{name}={value}" for name, value in more.items()]
    )


@pytest.fixture
def pair(planned):
    """Two plans of two jobs."""
    return planned(an_answer(), title="As it is"), planned(an_answer(**DEARER), title="The other way")


@pytest.fixture
def again(pages_app):
    """Plans the job of a plan once more, with another answer; the new plan's id."""

    def plan(plan_id, answer):
        new = plans.start_plan(plans.get_plan(plan_id).job_id)
        assert plans.claim_plan() is not None
        plans.finish_plan(new, answer, "stub")
        return new

    return plan


def ticks(page):
    return {at["value"]: "checked" in at for at in page.tagged("input") if at.get("name") == "plan"}


def test_two_plans_stand_side_by_side(browser, pair):
    page = browser.open(compared(*pair))
    assert "B costs 41.20 more than A." in page.words
    assert page.words.index("626.34") < page.words.index("667.54")
    assert {f"/plans/{each}" for each in pair} <= {href for href, _ in page.reader.links}
    assert "Hours count no recharge" in page.words
    assert "This is a design aid." in page.words
    assert "The same in all Price cheapest, proven" in page.words


def test_it_is_one_table_of_named_rows_and_columns(browser, pair):
    page = browser.open(compared(*pair))
    table = page.html[page.html.index("<table") : page.html.index("</table>")]
    heads = re.findall(r'<th scope="col" role="columnheader">', table)
    rows = re.findall(r'<th class="compare__title" scope="row" role="rowheader">', table)
    assert len(heads) == 2
    assert len(re.findall(r'<td class="compare__cell[^>]* role="cell">', table)) == 2 * len(rows) > 0
    assert re.findall(r"<caption[^>]*>(.*?)</caption>", table) == ["What differs"]


def test_every_plan_says_what_it_is_of(browser, pair):
    words = browser.open(compared(*pair)).words
    for letter, plan_id in zip("AB", pair, strict=True):
        assert (
            f"{letter}: {'As it is' if letter == 'A' else 'The other way'} · plan {plan_id} · job revision 1" in words
        )


def test_more_than_four_are_too_many_and_stay_ticked(browser, planned):
    ids = [planned(an_answer(), title=f"Job {number}") for number in range(5)]
    page = browser.open(compared(*ids))
    assert "Four plans at most fit side by side" in page.words
    assert ticks(page) == dict.fromkeys(ids, True)
    assert "Four plans at most" not in browser.open(compared(*ids[:4])).words
    assert len([at for at in browser.page.tagged("th") if at["scope"] == "col"]) == 4


@pytest.mark.parametrize("odd", ["", OTHER, "%00", "%ED%A0%80", "x" * 5000, "'--", "1/2", "<b>"])
def test_what_is_not_here_is_said_and_is_no_fault(browser, pair, odd):
    page = browser.open(compared(*pair, odd))
    assert page.status == 200
    assert ("A plan that was asked for is not here." in page.words) == bool(odd)
    assert "667.54" in page.words
    page = browser.open(compared(odd))
    assert page.status == 200
    assert "Tick two, three or four." in page.words
    assert "<b>" not in page.html


def test_one_plan_leads_to_the_choice_with_that_one_ticked(browser, pair):
    page = browser.open(compared(pair[1]))
    assert ticks(page) == {pair[0]: False, pair[1]: True}
    (form,) = [form for form in page.reader.forms if form.action == "/compare"]
    assert form.method == "get"
    assert len(page.tagged("legend")) == 2
    assert "This is a design aid." in page.words


def test_the_same_plan_twice_is_one(browser, pair):
    assert "Tick two, three or four." in browser.open(compared(pair[0], pair[0])).words


def test_others_can_be_chosen_from_there(browser, pair):
    page = browser.open(compared(*pair))
    (href,) = [href for href, words in page.reader.links if words == "Choose other plans"]
    assert ticks(browser.open(href)) == dict.fromkeys(pair, True)


def test_an_explanation_is_the_plan_it_explains(browser, pair):
    explained = plans.explain_plan(pair[0])
    assert plans.claim_plan() is not None
    plans.finish_plan(explained, an_answer(), "stub")
    assert "Tick two, three or four." in browser.open(compared(pair[0], explained)).words
    assert explained not in ticks(browser.page)


def test_where_too_little_is_planned_the_page_says_what_to_do(browser, planned, a_job):
    a_job()
    assert "No job has a plan yet" in browser.open("/compare").words
    planned(no_answer({"subject": "bank", "text": "Too small"}))
    assert "No job has a plan yet" in browser.open("/compare").words
    plan_id = planned(an_answer())
    page = browser.open("/compare")
    assert "There is one plan so far. Duplicate its job" in page.words
    assert list(ticks(page)) == [plan_id]
    assert not [words for form in page.reader.forms for *_, words in form.buttons if words == "Set side by side"]
    planned(an_answer())
    page = browser.open("/compare")
    assert "so far" not in page.words
    assert page.form("Set side by side")


def test_the_plans_of_a_job_stand_together_the_newest_first(browser, pair, again):
    newer = again(pair[0], an_answer(**DEARER))
    page = browser.open("/compare")
    assert list(ticks(page)) == [newer, pair[0], pair[1]]
    assert page.words.count("As it is") == 1


def test_what_is_in_the_bin_is_not_offered_but_can_still_be_looked_at(browser, pair):
    jobs.delete_job(plans.get_plan(pair[1]).job_id)
    assert list(ticks(browser.open("/compare"))) == [pair[0]]
    page = browser.open(compared(*pair))
    assert "○ in the bin" in page.words
    assert "667.54" in page.words


def test_many_plans_are_found_by_the_name_of_their_job(browser, planned, again):
    first = planned(an_answer(), title="Ölhafen")
    for number in range(30):
        again(first, an_answer(total_cents=50000 + number))
    last = planned(an_answer(), title="Weir")
    page = browser.open(compared(last))
    assert len(ticks(page)) == 30
    assert "32 plans" in page.words
    assert "search" in [at.get("type") for at in page.tagged("input")]
    found = ticks(browser.open(compared(last, words="öLHAF", choose="yes")))
    assert found[last]  # ticked before, whatever is searched for
    assert len(found) == 30
    assert ticks(browser.open("/compare?words=nowhere&choose=yes")) == {}
    assert "0 plans" in browser.page.words
    assert "No job has a plan yet" not in browser.page.words


def test_a_search_without_a_plan_is_said(browser, pair, planned, a_job):
    none = planned(no_answer({"subject": "bank", "text": "Too small"}), title="Weeks")
    for others in (pair[:1], pair):
        words = browser.open(compared(*others, none)).words
        assert "Weeks No plan can hold all of this. Battery: Too small." in words
        assert "Total A 626.34" in words
    words = browser.open(compared(none)).words
    assert "Weeks No plan can hold all of this." in words
    assert "Tick two, three or four." in words
    waits = plans.start_plan(a_job(title="Tomorrow"))
    words = browser.open(compared(*pair, waits)).words
    assert "Tomorrow: Waiting to be planned" in words
    assert "As it is: 626.34" in words
    words = browser.open(compared(*pair, waits, now="yes")).words
    assert "Tomorrow: that search has no plan yet." in words
    assert "667.54" in words


def test_a_plan_that_failed_a_check_is_not_compared(browser, pair, planned):
    failed = planned(an_answer(checks=[FAILS], total_cents=12345, bound_cents=12345), title="Spoilt")
    page = browser.open(compared(*pair, failed))
    assert "Spoilt: a check failed or was not made, so it is not compared." in page.words
    assert "123.45" not in page.words


def test_a_job_changed_since_is_said_and_can_be_planned_again(browser, pair):
    job = jobs.get_job(plans.get_plan(pair[1]).job_id)
    jobs.save_job(job.id, job.revision, job.document | {"title": "The new way"})
    page = browser.open(compared(*pair))
    assert "B: the job has been changed since." in page.words
    assert "▲ job changed since" in page.words
    (form,) = [form for form in page.reader.forms if form.action == f"/jobs/{job.id}/plans"]
    assert [words for *_, words in form.buttons] == ["Find cheapest again"]


def test_where_the_job_is_planned_anew_beside_it_nothing_is_to_be_done(browser, pair, again):
    job = jobs.get_job(plans.get_plan(pair[0]).job_id)
    jobs.save_job(job.id, job.revision, job.document | {"title": "As it is now"})
    newer = again(pair[0], an_answer(**DEARER))
    page = browser.open(compared(pair[0], newer))
    assert "▲ job changed since" in page.words
    assert "has been changed since" not in page.words


def test_prices_of_two_catalogues_are_pointed_out(browser, pair, planned):
    document = catalogue.current().document
    for offer in document["offers"]:
        offer["price_cents"] += 1
    catalogue.replace(document)
    later = planned(an_answer())
    assert "prices are not of the same day" in browser.open(compared(pair[0], later)).words
    assert "not of the same day" not in browser.open(compared(*pair)).words


# -- what waits for a qualified person ---------------------------------------------------------------------------------


def bought_names():
    """The names of everything that the example plan buys, and of who sells it."""
    stored = schemas.read_catalogue(catalogue.current().document).value
    offers = [stored.offer_by_id[order["offer"]] for order in an_answer()["orders"]]
    parts = {content.part for offer in offers for content in offer.contents}
    return {*(stored.part(part).label for part in parts), *(stored.seller_by_id[each.seller].name for each in offers)}


@pytest.fixture
def heavy(planned):
    """A plan of 240 A, which a qualified person has to answer for."""
    circuits = [circuit | {"design_a": 60.0} for circuit in an_answer()["circuits"]]
    return planned(an_answer(circuits=circuits), title="Heavy")


@pytest.fixture
def bare(planned):
    """A plan that buys nothing and leaves everything on the inverter."""
    on_outlet = {"source": "ac", "circuit": None, "stages": [], "lead": None}
    feeds = [feed | on_outlet for feed in an_answer()["feeds"]]
    nothing = {"orders": [], "deliveries": [], "cuts": [], "circuits": [], "total_cents": 0, "bound_cents": 0}
    return planned(an_answer(feeds=feeds, **nothing), title="Bare")


@pytest.mark.parametrize("first", [True, False])
def test_what_a_plan_that_waits_buys_is_not_even_in_the_page(browser, heavy, bare, first):
    page = browser.open(compared(*((heavy, bare) if first else (bare, heavy))))
    letter = "A" if first else "B"
    assert "All loads together draw 240 A: we have tested up to 200 A." in page.words
    assert "Nobody answers for this plan yet: buy, cut and build nothing from it." in page.words
    assert f"What {letter} buys is not shown before a qualified person answers for it." in page.words
    assert "▲ waits for a qualified person" in page.words
    assert {name for name in bought_names() if plain(name) in page.words} == set()


def test_once_somebody_answers_it_is_compared_like_any_other(browser, heavy, bare):
    marks.set_mark(heavy, "person/name", "", "Ada Finch, fitter")
    page = browser.open(compared(heavy, bare))
    assert "Ada Finch, fitter answers for this plan." in page.words
    assert "All loads together draw 240 A" in page.words
    assert {name for name in bought_names() if plain(name) not in page.words} == set()
    assert "is not shown before" not in page.words
    asides = [at.get("aria-label") for at in page.tagged("aside") if at.get("class") == "caution"]
    assert asides == ["Caution", "Qualified person for plan A"]


def test_mains_are_warned_of_where_a_load_stays_on_the_inverter(browser, pair, bare):
    assert "Inverter output is mains and can kill" in browser.open(compared(pair[0], bare)).words
    assert "can kill" not in browser.open(compared(*pair)).words


def test_above_50_v_it_is_said_once_for_all_of_them(browser, pair, planned):
    bus = read_case("case-062")["job"]["bus"] | {"high_v": 51}
    high = planned(an_answer(), bus=bus, setting="land")
    page = browser.open(compared(*pair, high))
    assert page.words.count("This bus passes 50 V DC.") == 1


def test_work_beside_the_plans_is_said_once_for_all_of_them(browser, planned):
    places = read_case("case-062")["job"]["places"]
    outdoors = [places[0] | {"above_roof": True}, *places[1:]]
    pair = [planned(an_answer(), places=outdoors, title=title) for title in ("One", "Two")]
    assert browser.open(compared(*pair)).words.count("Surge protection and bonding are not part of this plan") == 1
    assert "Have a qualified person do that work." in browser.page.words


# -- ways here ---------------------------------------------------------------------------------------------------------


def ways_here(page):
    return {words: href for href, words in page.reader.links if href.startswith("/compare")}


def test_the_list_of_jobs_leads_here_once_two_jobs_have_a_plan(browser, planned, again):
    assert ways_here(browser.open("/")) == {}
    first = planned(an_answer())
    again(first, an_answer())
    planned(no_answer({"subject": "bank", "text": "Too small"}))
    assert ways_here(browser.open("/")) == {}
    other = planned(an_answer())
    assert ways_here(browser.open("/")) == {"Compare plans": "/compare"}
    jobs.delete_job(plans.get_plan(other).job_id)
    assert ways_here(browser.open("/")) == {}


def test_a_plan_leads_to_another_and_to_the_one_before_it(browser, pair, again):
    assert ways_here(browser.open(f"/plans/{pair[0]}")) == {
        "Compare with another plan": f"/compare?plan={pair[0]}&of={pair[0]}"
    }
    again(pair[0], no_answer({"subject": "bank", "text": "Too small"}))
    newer = again(pair[0], an_answer(**DEARER))
    ways = ways_here(browser.open(f"/plans/{newer}"))
    assert ways == {
        "Compare with the plan before this one": compared(pair[0], newer, of=newer),
        "Compare with another plan": f"/compare?plan={newer}&of={newer}",
    }
    assert "B costs 41.20 more than A." in browser.open(ways["Compare with the plan before this one"]).words
    assert "Compare with the plan before this one" not in ways_here(browser.open(f"/plans/{pair[0]}"))


def test_who_came_from_a_plan_is_led_back_to_it_from_every_page_of_the_comparison(browser, pair, again):
    def back():
        return browser.page.reader.links[[words for _, words in browser.page.reader.links].index("Plan")][0]

    way = f"/plans/{pair[0]}"
    browser.open(f"/compare?plan={pair[0]}&of={pair[0]}")
    assert back() == way
    (of,) = [at["value"] for at in browser.page.tagged("input") if at.get("name") == "of"]
    chosen = browser.open(compared(*pair, of=of))
    assert ("B costs" in chosen.words, back()) == (True, way)
    (others,) = [href for href, words in chosen.reader.links if words == "Choose other plans"]
    browser.open(others)
    assert back() == way
    waiting = plans.start_plan(jobs.get_job(plans.get_plan(pair[1]).job_id).id)
    page = browser.open(compared(pair[0], waiting, of=pair[0]))
    assert back() == way
    for words in ("Look again now", "Compare what there is so far"):
        (href,) = [href for href, each in page.reader.links if each == words]
        browser.open(href)
        assert back() == way


def test_without_a_plan_it_leads_back_to_the_jobs(browser, pair):
    for of in ({}, {"of": "gone"}):
        assert ("/", "Jobs") in browser.open(compared(*pair, **of)).reader.links


def test_an_explanation_has_the_plan_before_the_one_it_explains(browser, pair, again):
    newer = again(pair[0], an_answer(**DEARER))
    for plan_id, before in ((newer, pair[0]), (pair[1], None)):
        explained = plans.explain_plan(plan_id)
        assert plans.claim_plan() is not None
        plans.finish_plan(explained, plans.get_plan(plan_id).document, "stub")
        way = ways_here(browser.open(f"/plans/{explained}")).get("Compare with the plan before this one")
        assert way == (before and compared(before, explained, of=explained))


def test_in_german(browser, pair, heavy):
    browser.client.set_cookie(spoken.COOKIE, "de")
    for path in ("/compare", compared(*pair), compared(*pair, heavy), compared(pair[0], OTHER)):
        page = browser.open(path)
        page.reader.text = [re.sub("As it is|The other way", "…", text) for text in page.reader.text]
        assert english(page) == []
    assert "B kostet 41,20 mehr als A." in browser.open(compared(*pair)).words
