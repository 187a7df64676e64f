"""The pictures on the pages of a plan."""

from __future__ import annotations

from page_browser import read_case

CHECK = {
    "rule": "drop",
    "subject": "C4",
    "value": 0.4,
    "limit": 0.5,
    "unit": "V",
    "state": "holds",
    "margin": 0.1,
    "source": "circuit theory",
}


def an_answer(**changes):
    energy = {"average_w": 31.219, "today_average_w": None}
    return read_case("plan-062") | {"checks": [CHECK], "reasons": [], "energy": energy} | changes


def pictures(page):
    return [at["aria-label"] for at in page.tagged("svg") if at.get("role") == "img"]


def test_the_wiring_page_draws_every_circuit(planned, browser):
    page = browser.open(f"/plans/{planned(an_answer())}/wiring")
    said = pictures(page)
    assert said[0].startswith("Battery to panel")
    assert sum(label.startswith("Circuit C") for label in said) == 4
    assert sum(" floor " in label for label in said) == 8  # the cable of each circuit, and the load on it


def test_the_answer_shows_where_the_energy_goes(planned, browser):
    page = browser.open(f"/plans/{planned(an_answer())}")
    assert any(label.startswith("By this plan") for label in pictures(page))


def test_a_plan_that_failed_a_check_shows_no_flows(planned, browser):
    page = browser.open(f"/plans/{planned(an_answer(checks=[CHECK | {'state': 'fails', 'margin': -0.1}]))}")
    assert not any(label.startswith("By this plan") for label in pictures(page))


def test_the_docket_has_the_sketch_and_where_the_energy_goes_as_a_list(planned, browser):
    page = browser.open(f"/plans/{planned(an_answer())}/docket")
    said = pictures(page)
    assert sum(label.startswith("Circuit C") for label in said) == 4
    assert not any(label.startswith("By this plan") for label in said)
    assert page.words.count("Where it goes") == 1
