"""The docket: everything of a plan on paper, in the order of work, with its cautions."""

from __future__ import annotations

import re

import pytest
from page_browser import read_case
from test_plan_pages import HOLDS, an_answer

from webapp.services import marks

ORDER = (
    "Energy and battery",
    "Parts list",
    "Cut list",
    "Fuse schedule",
    "Wiring sketch",
    "Labels",
    "Circuits and feeds",
    "Order of work",
    "Measured on site",
    "Proof",
)


@pytest.fixture
def plan_id(planned):
    plan_id = planned(an_answer())
    marks.set_mark(plan_id, "caution/read", "", "yes")
    return plan_id


def test_everything_is_there_in_the_order_of_work(browser, plan_id):
    page = browser.open(f"/plans/{plan_id}/docket")
    words = page.words[page.words.index("Total 626.34") :]
    places = [words.index(heading) for heading in ORDER]
    assert places == sorted(places)


def test_what_is_critical_stands_before_the_parts(browser, plan_id):
    words = browser.open(f"/plans/{plan_id}/docket").words
    first = words[: words.index("Parts list")]
    for said in ("design aid", "thousands of amps", "No fuse, no connection", "can burst", "lock off shore"):
        assert said in first


def test_the_cover_says_each_caution_once(browser, planned):
    plan_id = planned(an_answer(), bus=read_case("case-062")["job"]["bus"] | {"high_v": 51}, setting="land")
    marks.set_mark(plan_id, "caution/read", "", "yes")
    words = browser.open(f"/plans/{plan_id}/docket").words
    assert words[: words.index("Parts list")].count("This bus passes 50 V DC.") == 1


def test_how_a_step_is_done_is_said_at_the_first_circuit_and_each_caution_where_it_was(browser, planned):
    plan_id = planned(an_answer())
    build = browser.open(f"/plans/{plan_id}/build").words
    marks.set_mark(plan_id, "caution/read", "", "yes")
    paper = browser.open(f"/plans/{plan_id}/docket").words
    work = paper[paper.index("Order of work") : paper.index("Measured on site")]
    circuits = len(an_answer()["circuits"])
    for head, text in (
        ("Lay it from the panel to", "A grommet at every edge, a hold close to each end"),
        ("Crimp all ends, and pull at each", "The terminal that fits the conductor"),
    ):
        assert build.count(text) == build.count(head) == work.count(head) == circuits > 1
        assert work.count(text) == 1
    for said in ("Test for no voltage before you touch", "no joint hidden in a wall", "can burst", "10 and 30 minutes"):
        assert said in work


def test_what_is_ticked_and_measured_is_filled_in_and_the_rest_is_for_a_pen(browser, plan_id):
    page = browser.open(f"/plans/{plan_id}/docket")
    empty = [at for at in page.tagged("span") if at.get("class") == "box"]
    orders = len(an_answer()["orders"])
    assert len(empty) > orders
    marks.set_mark(plan_id, f"buy/{an_answer()['orders'][0]['offer']}", "", "yes")
    marks.set_mark(plan_id, "build/before/isolate", "", "yes")
    marks.set_mark(plan_id, "measured/C1/end_v", "", "12.34")
    page = browser.open(f"/plans/{plan_id}/docket")
    assert sum(at.get("class") == "box box--ticked" for at in page.tagged("span")) == 2
    assert "12.34 V" in page.words


def test_each_sheet_can_name_its_job_and_plan(browser, plan_id):
    page = browser.open(f"/plans/{plan_id}/docket")
    assert [at for at in page.tagged("p") if at.get("class") == "docket__stamp"]
    assert f"· plan {plan_id} ·" in page.words


def test_there_is_nothing_to_fill_in_on_the_screen(browser, plan_id):
    page = browser.open(f"/plans/{plan_id}/docket")
    assert not [at for at in page.tagged("input") if "data-mark" in at]


def test_every_check_is_on_paper_and_only_what_holds_without_a_figure_shares_a_line(browser, planned):
    bare = dict.fromkeys(("value", "limit", "margin"))
    held = [HOLDS | {"rule": f"rule {number}", "state": "holds"} | (bare if number % 2 else {}) for number in range(9)]
    trouble = [HOLDS | bare | {"rule": state, "state": state} for state in ("tight", "not_checked")]
    plan_id = planned(an_answer(checks=[*held, *trouble]))
    marks.set_mark(plan_id, "caution/read", "", "yes")
    paper = browser.open(f"/plans/{plan_id}/docket").html
    assert paper.count("check__title") == 11
    assert paper.count("check__value") == 5
    (shared,) = re.findall(r'<p class="proof__bare">(.*?)</p>', paper)
    assert shared.count("check__title") == 4
    assert "state--" not in shared
