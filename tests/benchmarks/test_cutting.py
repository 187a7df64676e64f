"""The cut lists that figures are given for are what they say, and the table shows what was measured."""

from __future__ import annotations

import pytest

from tests.benchmarks import cut_lists, cutting, cutting_figures, report
from tests.benchmarks.cutting_figures import CHOICE, ONE


@pytest.mark.parametrize("pieces", [60, 249, 501])
def test_triplets_fill_bins_of_1000(pieces):
    request = cut_lists.triplets(pieces, 0)
    assert sum(run.length_mm * run.quantity for run in request.runs) == 1_000 * pieces // 3
    assert sum(run.quantity for run in request.runs) == pieces


def test_exact_uniform_pieces_fill_bins_of_150():
    request = cut_lists.uniform_exact(500, 0)
    assert sum(run.length_mm * run.quantity for run in request.runs) % 150 == 0
    assert all(20 <= run.length_mm <= 100 for run in request.runs)


def test_lists_depend_on_their_seed_alone():
    assert cut_lists.chosen(40, 1, metre=True) == cut_lists.chosen(40, 1, metre=True)
    assert cut_lists.chosen(40, 1) != cut_lists.chosen(40, 2)


def test_a_row_counts_what_was_proven_and_the_peer_beside_it():
    family = cutting.Family(
        label="one cable", make=cut_lists.plain, pieces=10, seeds=2, limit_s=10, peer_limit_s=20, peer_seeds=1
    )
    row = cutting._row(family)
    assert (row["proven"], row["peer_proven"], row["peer_lists"]) == (2, 1, 1)
    assert row["ffd_over_pct"] >= 0
    assert report.cutting_rows([row])[0][:3] == ["one cable", "10", "2 of 2"]


ROW = {"label": ONE, "pieces": 40, "lists": 30, "proven": 30, "median_s": 0.009, "p90_s": 0.01, "most_s": 0.02}
ROW |= {"most_gap_pct": 0.0, "peer_lists": 3, "peer_proven": 2, "peer_median_s": 1.0, "times_faster": 120.0}


@pytest.mark.parametrize(
    ("changed", "missed"),
    [
        ({}, []),
        ({"median_s": 0.011}, ["proven in the middle ≤ 0.01 s"]),
        ({"proven": 29}, ["≥ 99.5 % of the lists proven"]),
        ({"proven": 15}, ["proven in the middle ≤ 0.01 s", "≥ 99.5 % of the lists proven"]),
        ({"times_faster": 99.0}, ["≥ 100 × as fast as HiGHS by assignment"]),
        ({"label": CHOICE, "pieces": 2000, "median_s": 5.1}, ["proven in the middle ≤ 5 s"]),
    ],
)
def test_goals_of_cut_lists_are_missed_by_what_misses_them(changed, missed):
    goals = cutting_figures.goals([ROW | changed])
    assert [goal.goal for goal in goals if not goal.is_met] == missed


def test_published_classes_are_to_be_proven_each():
    row = ROW | {"label": cutting_figures.TRIPLETS, "pieces": 501, "most_s": 31.0, "lists": 5, "proven": 5}
    row = {key: value for key, value in row.items() if key != "times_faster"}
    textbook = row | {"label": cutting_figures.TEXTBOOK, "lists": 1, "proven": 1, "rolls": 454, "most_s": 1.0}
    assert [goal.is_met for goal in cutting_figures.goals([row, textbook])] == [False, False]
    better = [row | {"most_s": 29.0}, textbook | {"rolls": 453}]
    assert [goal.is_met for goal in cutting_figures.goals(better)] == [True, True]


def test_a_peer_that_did_not_prove_is_slower_by_at_least_so_much():
    assert cutting_figures.peer(ROW) == "1 s, 2 of 3 proven, at least 120 ×"
    assert cutting_figures.peer({**ROW, "peer_proven": 3}).endswith(", 120 ×")
