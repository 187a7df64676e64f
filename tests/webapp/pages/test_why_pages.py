"""Why each part and what each limit costs, on the plan page and on the way there."""

from __future__ import annotations

from typing import Any

from test_plan_pages import an_answer, no_answer

from webapp.services import plans


def why(subject: str, text: str, **changes: Any) -> dict[str, Any]:
    return {
        "subject": subject,
        "chosen": "The one",
        "other": "Another",
        "text": text,
        "why": "price",
        "more_cents": 840,
    } | changes


def explained(plan: dict[str, Any]) -> dict[str, Any]:
    circuit = plan["circuits"][0]
    alternatives = [
        why(f"feed {circuit['loads'][0]}", "Another would cost 8.40 more with everything else as it is."),
        why(f"fuse {circuit['id']}", "No other does: 3 A is less than the 5.00 A that 4.00 A asks for."),
        why("bank", "A new bank would cost 90.00 more."),
        why(f"offer {plan['orders'][0]['offer']}", "Two spools would cost 1.20 more."),
    ]
    autonomy = {"text": "Autonomy of 23 h", "limit": "autonomy_h", "total_cents": 100, "bound_cents": 100}
    binding = [autonomy | {"change": [], "saves_cents": 1250, "status": "optimal"}]
    binding += [binding[0] | {"text": words, "saves_cents": 0} for words in ("7 spare fuse ways", "A new bank allowed")]
    return {**plan, "alternatives": alternatives, "binding": binding}


def test_each_choice_says_why_where_it_stands(browser, planned):
    plan_id = planned(explained(an_answer()))
    words = browser.open(f"/plans/{plan_id}").words
    assert "Why this? Feed of L0: The one Another would cost 8.40 more with everything else as it is." in words
    assert "Fuse: The one No other does: 3 A is less than the 5.00 A that 4.00 A asks for." in words
    assert "Why this battery? Battery: The one A new bank would cost 90.00 more." in words
    words = browser.open(f"/plans/{plan_id}/buy").words
    assert "Why these offers? Bought: The one Two spools would cost 1.20 more." in words


def test_what_a_limit_costs_stands_on_the_page(browser, planned):
    words = browser.open(f"/plans/{planned(explained(an_answer()))}").words
    assert "What each limit costs Autonomy of 23 h Saves 12.50" in words
    assert "Costs the same 7 spare fuse ways; A new bank allowed" in words
    assert "Explain the choices" not in words


def test_why_and_what_limits_cost_are_a_tap_from_the_top(browser, planned):
    page = browser.open(f"/plans/{planned(explained(an_answer()))}")
    nav, rest = page.html.split('<nav class="jump"')[1].split("</nav>", 1)
    assert '<a href="#why">Why</a>' in nav
    assert "What each limit costs" in rest.split('id="why"')[1].split("</section>")[0]


def test_an_explanation_is_asked_for_and_waited_for(browser, planned):
    plan_id = planned(an_answer())
    assert "Why this?" not in browser.open(f"/plans/{plan_id}").words
    page = browser.send("Explain the choices and what each limit costs")
    assert "Explaining the plan" in page.words
    task = plans.claim_plan()
    assert task is not None
    assert task.finished == an_answer()
    words = browser.open(f"/plans/{task.plan_id}").words
    assert "Solving the plan again without each of its choices" in words
    assert "Back to the plan meanwhile" in words
    plans.finish_plan(task.plan_id, explained(an_answer()), "stub")
    assert "Why this?" in browser.open(f"/plans/{task.plan_id}").words


def test_a_plan_without_an_answer_is_not_explained(browser, planned):
    plan_id = planned(no_answer())
    page = browser.open(f"/plans/{plan_id}")
    assert "Explain the choices" not in page.words
    token = dict(next(form for form in page.reader.forms if form.method == "post").values)
    assert browser.client.post(f"/plans/{plan_id}/explanation", data=token).status_code == 404
