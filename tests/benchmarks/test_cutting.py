"""The cut lists that figures are given for are what they say, and the table shows what was measured."""

from __future__ import annotations

import pytest

from tests.benchmarks import cut_lists, cutting


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
    assert "| one cable | 10 | 2/2 |" in cutting.table([row])
