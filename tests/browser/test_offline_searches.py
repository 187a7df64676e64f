"""A search asked for without a signal, where the job has a plan already: that one is not taken for the answer."""

from __future__ import annotations

from playwright.sync_api import expect

from tests.browser import real
from tests.browser.hands import all_sent, strip
from tests.browser.site import open_kept

CHANGED = "The job has been changed since this plan was made."
WAITS = "The search begins as soon as there is a signal"


def test_what_needs_the_person_is_not_said_to_change_the_plan_nor_to_wait_for_a_signal(phone, site):
    """With a signal the plan offered another search for ever, since a change that is refused is in no plan."""
    page = phone()
    plan = f"{site.origin}/plans/{site.plan}"
    open_kept(page, site, f"/jobs/{site.job}/limits")
    page.context.set_offline(True)
    page.locator("[name=drop_pct]").fill("5 of what")
    page.get_by_role("button", name="Find cheapest").tap()
    expect(strip(page)).to_contain_text("2 waiting")
    page.context.set_offline(False)
    page.goto(f"{site.origin}/settings")
    expect(strip(page)).to_contain_text("Needs you (1)")
    page.goto(plan)
    expect(page.get_by_text("The search begins once what needs you is settled")).to_be_visible()
    expect(page.get_by_text(WAITS)).to_have_count(0)
    page.goto(f"{site.origin}/settings")
    page.get_by_role("button", name="Take back").tap()
    expect(strip(page)).not_to_contain_text("waiting")
    with page.expect_request("**/ping"):  # once what is here was laid over the page
        page.goto(plan)
    expect(strip(page)).to_contain_text("Needs you (1)")
    expect(page.get_by_text(CHANGED)).to_have_count(0)


def test_a_plan_says_what_waits_that_it_does_not_know_and_is_searched_for_once(phone, site):
    page = phone()
    limits = f"/jobs/{site.job}/limits"
    open_kept(page, site, limits)
    page.context.set_offline(True)
    page.goto(site.origin + limits)
    page.locator("[name=drop_pct]").fill("4")
    page.get_by_role("button", name="Save only").tap()
    expect(strip(page)).to_contain_text("1 waiting")
    page.goto(f"{site.origin}/plans/{site.plan}/buy")
    expect(page.get_by_text(CHANGED)).to_be_visible()
    for _ in range(2):
        page.goto(site.origin + limits)
        page.get_by_role("button", name="Find cheapest").tap()
        expect(page.get_by_text(WAITS)).to_be_visible()
        expect(page.get_by_text("Until then this is the plan from before.")).to_be_visible()
    page.goto(site.origin)
    expect(page.locator("[data-list=job] .card__title")).to_contain_text("waiting")
    page.context.set_offline(False)
    page.goto(site.origin)
    all_sent(page)
    page.goto(f"{site.origin}/plans/{site.plan}")
    page.get_by_role("link", name="Open the newer one").tap()
    page.wait_for_url(lambda address: not address.endswith(site.plan))
    real.planned(page)
    page.goto(site.origin)
    assert len(site.plans_of(site.document(site.job)["title"])) == 2
    expect(page.locator("[data-list=job] .card__title")).not_to_contain_text("waiting")


def test_a_search_that_waits_stands_in_the_place_of_the_offer_and_is_asked_for_once(phone, site):
    page = phone()
    site.change(site.job, "limits", headroom_pct=33)
    open_kept(page, site, f"/plans/{site.plan}")
    expect(page.get_by_text(CHANGED)).to_be_visible()
    page.context.set_offline(True)
    page.get_by_role("button", name="Find cheapest again").tap()
    expect(page.get_by_text(WAITS)).to_be_visible()
    expect(page.get_by_text(CHANGED)).to_have_count(0)
    page.goto(f"{site.origin}/jobs/{site.job}/limits")
    page.get_by_role("button", name="Find cheapest").tap()
    expect(page.get_by_text(WAITS)).to_be_visible()
    expect(strip(page)).to_contain_text("1 waiting")
