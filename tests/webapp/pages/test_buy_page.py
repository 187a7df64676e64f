"""The parts list ticked off in the shop, without JavaScript."""

from __future__ import annotations

import pytest
from page_browser import plain, read_case
from test_plan_pages import an_answer

from webapp.services import marks

OFFERS = {order["offer"]: order["cents"] for order in an_answer()["orders"]}
FIRST = min(OFFERS)


@pytest.fixture
def plan_id(planned):
    return planned(an_answer())


def spelled(cents):
    return f"{cents // 100}.{cents % 100:02}"


def test_what_is_bought_is_ticked_stays_ticked_and_is_counted(browser, plan_id):
    page = browser.open(f"/plans/{plan_id}/buy")
    goods = sum(OFFERS.values())
    assert f"0 of {len(OFFERS)} bought, {spelled(goods)} of goods left" in page.words
    page = browser.send("Save", **{f"buy/{FIRST}": "yes"})
    assert page.path == f"/plans/{plan_id}/buy"
    assert marks.marks_of(plan_id) == {f"buy/{FIRST}": "yes"}
    assert f"1 of {len(OFFERS)} bought, {spelled(goods - OFFERS[FIRST])} of goods left" in page.words
    assert [at["name"] for at in page.tagged("input") if "checked" in at] == [f"buy/{FIRST}"]


def test_whoever_has_not_said_what_fuses_the_panel_takes_is_asked_to_look_before_buying(browser, planned):
    page = browser.open(f"/plans/{planned(an_answer(), assumed=['bus/fuse_style'])}/buy")
    assert "Look at your panel before you buy" in page.words
    assert any(href.endswith("/battery#f-fuse_style") for href, _ in page.reader.links)
    page = browser.open(f"/plans/{planned(an_answer())}/buy")
    assert "Look at your panel" not in page.words


def test_a_tick_is_taken_back(browser, plan_id):
    marks.set_mark(plan_id, f"buy/{FIRST}", "", "yes")
    browser.open(f"/plans/{plan_id}/buy")
    browser.send("Save", **{f"buy/{FIRST}": None})
    assert marks.marks_of(plan_id) == {}


def test_every_order_is_one_tick_with_its_price_and_the_sentence_to_fill(browser, plan_id):
    page = browser.open(f"/plans/{plan_id}/buy")
    ticks = {at["name"]: int(at["data-cents"]) for at in page.tagged("input") if "data-mark" in at}
    assert ticks == {f"buy/{offer}": cents for offer, cents in OFFERS.items()}
    (shape,) = [at["data-shape"] for at in page.tagged("p") if "data-shape" in at]
    assert all(gap in shape for gap in ("{done}", "{all}", "{left}"))


def test_a_substitute_can_be_judged_in_the_aisle(browser, plan_id):
    words = plain(browser.open(f"/plans/{plan_id}/buy").words)
    fuses = {part["id"]: part for part in read_case("catalogue-3")["parts"] if part["kind"] == "fuse"}
    used = [fuses[circuit["fuse"]] for circuit in an_answer()["circuits"]]
    assert used
    for fuse in used:
        assert f", {fuse['rating_a']:g} A exactly" in words
        assert f"able to break {fuse['interrupt_a']:,.0f} A or more".replace(",", " ") in words
