"""Cutting patterns against every combination there is."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimizer.solve.patterns import Pattern, maximal_patterns


def by_trying(stock_mm: int, lengths_mm: list[int], most: list[int]) -> set[Pattern]:
    """Every combination that fits and to which no further wanted cut could be added."""
    fitting = {
        taken
        for taken in itertools.product(*(range(m + 1) for m in most))
        if sum(n * mm for n, mm in zip(taken, lengths_mm, strict=True)) <= stock_mm
    }

    def one_more(taken: Pattern) -> list[Pattern]:
        return [(*taken[:n], taken[n] + 1, *taken[n + 1 :]) for n in range(len(taken))]

    return {taken for taken in fitting if any(taken) and not any(more in fitting for more in one_more(taken))}


@pytest.mark.parametrize(
    ("stock_mm", "lengths_mm", "most", "expected"),
    [
        (10_000, [6_000, 4_000], [2, 2], {(1, 1), (0, 2)}),
        (10_000, [5_000], [1], {(1,)}),
        (10_000, [5_000], [5], {(2,)}),
        (4_999, [5_000], [5], set()),
        (5_000, [5_000], [5], {(1,)}),
    ],
)
def test_patterns_by_hand(stock_mm: int, lengths_mm: list[int], most: list[int], expected: set[Pattern]) -> None:
    assert set(maximal_patterns(stock_mm, lengths_mm, most)) == expected


@settings(max_examples=150, deadline=None, derandomize=True)
@given(
    stock_mm=st.integers(1, 30),
    cuts=st.dictionaries(st.integers(1, 20), st.integers(1, 4), min_size=1, max_size=4),
)
def test_patterns_equal_trying_everything(stock_mm: int, cuts: dict[int, int]) -> None:
    lengths_mm = sorted(cuts, reverse=True)
    most = [cuts[mm] for mm in lengths_mm]
    found = list(maximal_patterns(stock_mm, lengths_mm, most))
    assert len(found) == len(set(found))
    assert set(found) == by_trying(stock_mm, lengths_mm, most)
