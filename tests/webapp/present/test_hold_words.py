"""How far a plan holds, in words beside the circuits and beside the checks."""

from __future__ import annotations

from dataclasses import replace

from optimizer.checks import check_plan
from optimizer.holds import with_holds
from optimizer.plan import Hold, Plan
from tests.builders import C1, a_catalogue, a_job, a_plan
from webapp import units
from webapp.present.checks import check_groups
from webapp.present.holds import check_words, circuit_words


def plain(text: str) -> str:
    return text.replace("\u00a0", " ").replace("\u202f", " ")


def held() -> Plan:
    job, catalogue, plan = a_job(), a_catalogue(), a_plan()
    return with_holds(job, catalogue, replace(plan, checks=check_plan(job, catalogue, plan)))


def test_a_circuit_says_how_far_its_run_and_its_loads_may_go() -> None:
    plan = held()
    words = [plain(each) for each in circuit_words(a_job(), plan, plan.circuits[0])]
    assert words == [
        "a run of 19.5 m: then the cable it is cut from is too short",
        "router 36 W: then the fuse is too small",
    ]


def test_a_check_says_it_for_the_rule_that_it_judges() -> None:
    views = [
        view
        for group in check_groups(held(), check_words(a_job(), held()))
        for s in group.sections
        for view in s.checks
    ]
    said = {plain(view.holds) for view in views if view.holds}
    assert "a run of 29.5 m; router 54.9 W" in said  # the drop of C1
    assert "32.6 h; 20 W on average" in said
    assert len([view for view in views if view.holds]) < len(views)


def test_lengths_are_in_feet_for_whoever_reads_feet() -> None:
    plan = held()
    with units.counting_in(units.AMERICAN):
        words = [plain(each) for each in circuit_words(a_job(), plan, plan.circuits[0])]
    assert words[0] == "a run of 63.97 ft: then the cable it is cut from is too short"  # 19.5 / 0.3048 = 63.976


def test_figures_are_never_rounded_up() -> None:
    circuit = replace(C1, holds=(Hold(field="run_m", most=5.999, rule="drop"),))
    feed = replace(a_plan().feeds[0], holds=(Hold(field="peak_w", most=1071.999, rule="some_rule"),))
    words = circuit_words(a_job(), replace(a_plan(), feeds=(feed,)), circuit)
    assert plain(words[0]).startswith("a run of 5.99 m")
    assert plain(words[1]) == "router 1 071.99 W: then this fails: Some rule"
