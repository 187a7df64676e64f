"""Figures, report and plot from records made up by hand; and what becomes of children that overstay, grow or fail."""

from __future__ import annotations

import math
import sys
import xml.etree.ElementTree as ET

import pytest

from tests.benchmarks import figures, plot, report
from tests.benchmarks.measure import measure, run_limited
from tests.benchmarks.suite import Group, groups

GROUP = Group(
    key="12/4", label="12 loads", jobs=(["made-up", 1],), limit_s=30, plain_limit_s=100, pruned_limit_s=100, loads=12
)
MINE = {
    "group": "12/4",
    "kind": "thriftloom",
    "job": ["made-up", 1],
    "limit_s": 30,
    "status": "optimal",
    "total_cents": 9_000,
    "bound_cents": 9_000,
    "seconds": 8.0,
    "steps": [[0.5, 12_000, 6_000], [2.0, 9_000, 8_000], [5.0, 9_000, 8_950], [8.0, 9_000, 9_000]],
    "broken": [],
}
PEER = {**MINE, "kind": "plain", "limit_s": 100, "status": "feasible", "bound_cents": 8_000, "seconds": 101.0}
PEER["steps"] = [[3.0, 9_500, 7_000], [101.0, 9_000, 8_000]]
HAND = {**MINE, "kind": "hand", "status": "feasible", "total_cents": 10_000, "seconds": 0.01, "steps": []}
PRUNED = {**PEER, "kind": "pruned"}
RECORDS = [MINE, PEER, PRUNED, HAND]
LISTS = [{"label": "one cable, realistic", "pieces": 40, "lists": 30, "proven": 30, "median_s": 0.02, "p90_s": 0.03}]
LISTS[0] |= {"most_s": 0.04, "most_gap_pct": 0.0, "ffd_over_pct": 1.5}
ABOUT = dict.fromkeys(report.surroundings(), "x") | {"date": "2026-01-02", "scope": "full", "seconds": "wall"}


def test_times_to_a_plan_to_a_gap_and_to_the_proof():
    assert figures.first_s(MINE) == 0.5
    assert figures.within_s(MINE, 0.01) == 5.0  # 9000 - 8950 = 50 ≤ 90
    assert figures.within_s(MINE, 0.2) == 2.0
    assert figures.proven_s(MINE) == 8.0
    assert math.isinf(figures.proven_s(PEER))


def test_gap_saving_and_ratio():
    assert figures.gap_pct(PEER) == pytest.approx(100 * 1_000 / 9_000)
    assert figures.saved_pct(MINE, HAND) == pytest.approx(10.0)
    assert figures.speedup(MINE, PEER) == (12.5, True)  # at least 100 s to 8 s
    assert figures.speedup({**MINE, "status": "feasible"}, PEER) is None
    sooner = {**MINE, "steps": [[0.5, 12_000, 6_000], [4.0, 9_000, 9_000]]}
    assert figures.speedup(sooner, PEER) == (12.5, True)  # with ties, checks and all
    assert figures.speedup(sooner, PEER, figures.price_proven_s) == (25.0, True)  # 100 s to 4 s
    assert figures.price_proven_s({**MINE, "status": "infeasible", "steps": []}) == 8.0


def test_goals_are_met_by_every_job_or_not_at_all():
    slow = {**MINE, "job": ["made-up", 2], "seconds": 11.0}
    met = {goal.goal: goal.is_met for goal in figures.goals(RECORDS)}
    missed = {goal.goal: goal.is_met for goal in figures.goals([*RECORDS, slow])}
    assert met["proven ≤ 10 s"]
    assert not missed["proven ≤ 10 s"]
    assert met["≥ 10 × as fast to the proof as plain HiGHS"]
    assert met["≥ 10 × as fast to the proof as plain HiGHS with our feeds"]


def test_a_ratio_of_what_was_not_proven_is_not_met():
    with_other = [{**MINE, "group": "irrelevant", "irrelevant": n, "seconds": 2.0 + n} for n in (0, 20_000)]
    assert [goal.is_met for goal in figures.goals(with_other)] == [False]
    unproven = [{**record, "status": "feasible"} for record in with_other]
    assert [goal.measured for goal in figures.goals(unproven)] == ["not proven"]


@pytest.mark.parametrize(
    ("changed", "found"),
    [
        ({"broken": ["drop C1"]}, "breaks drop C1"),
        ({"status": "optimal", "total_cents": 8_999}, "proven [8999, 9000]"),
        ({"total_cents": 8_999}, "totals [8999, 9000, 10000], proven [9000]"),
    ],
)
def test_what_must_never_be_is_found(changed, found):
    assert figures.disagreements(RECORDS) == []
    assert found in "; ".join(figures.disagreements([MINE, {**PEER, **changed}, PRUNED | {"status": "died"}, HAND]))


def test_the_report_names_machine_goals_and_misses():
    text = report.markdown([GROUP], [{**MINE, "seconds": 11.0}, PEER, HAND], ABOUT, LISTS)
    assert text.startswith("# Benchmark of 2026-01-02")
    assert "| 12/4 | proven ≤ 10 s | 11 s | **no** |" in text
    assert (
        "| 12 loads | 1 | 0.5 s | 5 s | 11 s, 1 of 1 | 0 % | not reached, 0 of 1 in 100 s | not run | 10 % | 10.00 |"
        in text
    )
    assert "| one cable, realistic | 40 | 30 of 30 | 0.02 s | 0.03 s | 0.04 s | 0 % | 1.5 % |  |  |" in text
    assert (
        "| one cable, realistic, 40 cuts | proven in the middle ≤ 0.01 s | 0.02 s, 30 of 30 proven | **no** |" in text
    )


def test_the_readme_is_rewritten_between_its_marks_only(tmp_path):
    readme = tmp_path / "README.md"
    readme.write_text(f"before\n{report.BEGIN}\nold\n{report.END}\nafter\n", encoding="utf-8")
    assert report.rewrite_readme(readme, "new")
    assert report.rewrite_readme(readme, "new")
    assert readme.read_text(encoding="utf-8") == f"before\n{report.BEGIN}\n\nnew\n\n{report.END}\nafter\n"


def test_a_readme_without_marks_is_left_alone(tmp_path):
    readme = tmp_path / "README.md"
    readme.write_text("nothing here\n", encoding="utf-8")
    assert not report.rewrite_readme(readme, "new")
    assert readme.read_text(encoding="utf-8") == "nothing here\n"


def test_the_plot_is_an_svg_that_says_what_it_shows():
    picture = ET.fromstring(plot.svg(plot.series_of([GROUP], RECORDS), "caption"))
    told = picture.find("{http://www.w3.org/2000/svg}desc").text
    assert "proven: 12 loads 8 s" in told
    assert "plain HiGHS with our feeds, proven: 12 loads over 100 s" in told
    late = [mark for mark in picture.iter() if "late" in mark.get("class", "").split()]
    assert len(late) == 1  # hollow: the peer did not get there


def test_no_mark_of_the_plot_lies_outside_it():
    far = {**MINE, "seconds": 5_000.0, "steps": [[0.0001, 9_000, 9_000]]}
    picture = ET.fromstring(plot.svg(plot.series_of([GROUP], [far]), "caption"))
    circles = picture.findall("{http://www.w3.org/2000/svg}circle")
    assert circles
    assert all(0 < float(c.get("cx")) < plot.WIDTH and 0 < float(c.get("cy")) < plot.HEIGHT for c in circles)


def test_quick_runs_less_of_the_same():
    quick, full = list(groups(quick=True)), list(groups(quick=False))
    assert {group.key for group in quick} < {group.key for group in full}
    assert sum(len(g.jobs) for g in quick) < sum(len(g.jobs) for g in full) / 2


# -- children -----------------------------------------------------------------------------------------------------


def test_a_child_that_overstays_is_killed_and_recorded():
    found = run_limited([sys.executable, "-c", "import time; time.sleep(60)"], wall_s=0.3, memory_mb=2_000)
    assert found["status"] == "killed"
    assert found["seconds"] < 20


def test_a_child_that_grows_too_large_dies_alone():
    found = run_limited([sys.executable, "-c", "x = bytearray(900 << 20)"], wall_s=30, memory_mb=300)
    assert (found["status"], found["reason"]) == ("died", "MemoryError")


def test_one_measurement_of_each_kind():
    totals = {}
    for kind in ("thriftloom", "plain", "pruned", "hand"):
        record = measure({"kind": kind, "job": ["case", "066"], "limit_s": 30})
        assert record["broken"] == []
        totals[kind] = record["total_cents"]
    assert totals["thriftloom"] == totals["plain"] == totals["pruned"] == 30_803  # tests/cases
    assert totals["hand"] >= 30_803  # here a person with a pencil does as well


def test_what_little_of_a_processor_a_peer_got_is_no_proof_of_its_slowness():
    starved = {**PEER, "seconds": 16.0}
    assert figures.speedup(MINE, starved) == (2.0, True)  # it worked for 16 s of its 100 s


def test_a_shared_machine_is_told():
    shared = ABOUT | {"seconds": "processor", "load_before": "9.5"}
    for text in (report.markdown([GROUP], RECORDS, shared), report.readme_section([GROUP], RECORDS, shared)):
        assert "shared the machine, load 9.5" in text
    assert "shared" not in report.markdown([GROUP], RECORDS, ABOUT)


def test_processor_seconds_leave_out_the_waiting():
    code = (
        "import json, time\nfrom tests.benchmarks.clock import now_s, set_for\n"
        "task = set_for({'limit_s': 2, 'by_processor': True})\nstart_s = now_s()\ntime.sleep(0.5)\n"
        "print(json.dumps({'status': 'ok', 'took_s': now_s() - start_s, 'limit_s': task['limit_s']}))"
    )
    outcome = run_limited([sys.executable, "-c", code], 30, 4_000)
    assert outcome["took_s"] < 0.25
    assert outcome["limit_s"] > 2
