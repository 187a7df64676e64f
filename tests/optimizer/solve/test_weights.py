"""Weights of cuts: no spool holds more than they allow, and they tell what patterns one by one would."""

from __future__ import annotations

import random
from collections import Counter

import pytest

from optimizer.solve.patterns import maximal_patterns
from optimizer.solve.weights import weights_against


def _any(stock_mm: int, *lengths: int) -> dict[int, int]:
    """As many of each length as a spool holds."""
    return {mm: stock_mm // mm for mm in lengths}


def _fullest(stock_mm: int, weight: dict[int, int], most: dict[int, int]) -> int:
    """The heaviest cuts of one spool, every maximal pattern looked at."""
    lengths = sorted(weight, reverse=True)
    patterns = maximal_patterns(stock_mm, lengths, [min(most[mm], stock_mm // mm) for mm in lengths])
    return max(sum(weight[mm] * n for mm, n in zip(lengths, pattern, strict=True)) for pattern in patterns)


@pytest.mark.parametrize("seed", range(40))
def test_no_spool_holds_more_than_the_weights_allow(seed: int) -> None:
    dice = random.Random(seed)
    stock_mm = dice.choice((1000, 2500, 5000))
    lengths = sorted(dice.sample(range(stock_mm // 6, stock_mm), 6))
    wanted = {mm: dice.choice((0.0, 0.5, 1.0, 2.0, 3.0)) for mm in lengths}
    most = {mm: dice.choice((1, 2, 6)) for mm in lengths}
    found = weights_against(stock_mm, wanted, 0.5 * sum(mm * n for mm, n in wanted.items()) / stock_mm, most)
    assert found is not None
    assert _fullest(stock_mm, found.weight, most) <= found.capacity
    for mm in lengths:
        heavier = {**found.weight, mm: found.weight.get(mm, 0) + 1}
        assert _fullest(stock_mm, heavier, most) > found.capacity  # none could weigh more: it says as much as it can


def test_pieces_over_half_a_spool_need_one_each() -> None:
    """Three pieces of 5.1 m do not come from two spools of 10 m, although 15.3 m are less than 20 m."""
    found = weights_against(10_000, Counter({5100: 3}), 2, _any(10_000, 1000, 5100))
    assert found is not None
    assert 3 * found.weight[5100] > 2 * found.capacity


def test_lengths_together_tell_more_than_each_alone() -> None:
    """6 and 4.1 m do not go together into 10 m: two of each take three spools at least, and weights see it.

    Patterns: one 6 m, or two of 4.1 m. Two 6 m take two spools, and two of 4.1 m one more.
    """
    assert weights_against(10_000, {6000: 2, 4100: 2}, 2.9, _any(10_000, 4100, 6000)) is not None
    assert weights_against(10_000, {6000: 2, 4100: 2}, 3, _any(10_000, 4100, 6000)) is None


def test_fractions_count() -> None:
    """Half a piece of 6 m and half a pair of 4.1 m fill one spool: no row is broken, with 0.9 spools one is."""
    assert weights_against(10_000, {6000: 0.5, 4100: 1.0}, 1.0, _any(10_000, 4100, 6000)) is None
    assert weights_against(10_000, {6000: 0.5, 4100: 1.0}, 0.9, _any(10_000, 4100, 6000)) is not None


def test_longer_pieces_weigh_no_less() -> None:
    """So the row holds for lengths that nobody wanted when it was made."""
    most = _any(10_000, 3000, 5100, 7000, 9900)
    found = weights_against(10_000, {5100: 3.0}, 2, most)
    assert found is not None
    assert found.weight[9900] >= found.weight[7000] >= found.weight[5100]
    assert _fullest(10_000, found.weight, most) <= found.capacity


def test_a_length_no_spool_holds_is_left_out() -> None:
    found = weights_against(1000, {600: 2.0}, 1, {600: 2, 1200: 2})
    assert found is not None
    assert 1200 not in found.weight


def test_a_piece_that_is_wanted_once_takes_a_spool() -> None:
    """A fifth of a spool would hold it twice, by length; but there is no second one to share the spool with."""
    assert weights_against(10_000, {1000: 1.0}, 0.2, {1000: 10}) is None
    found = weights_against(10_000, {1000: 1.0}, 0.2, {1000: 1})
    assert found is not None
    assert found.weight[1000] == found.capacity


def test_pieces_that_are_wanted_once_each_fill_spools_together() -> None:
    """Of 3, 4 and 5 m, one each, any two go into 10 m but not all three: two spools, although 12 m are 1.2 of them."""
    wanted, most = {3000: 1.0, 4000: 1.0, 5000: 1.0}, {3000: 1, 4000: 1, 5000: 1}
    assert weights_against(10_000, wanted, 1.4, most) is not None
    assert weights_against(10_000, wanted, 1.6, most) is None
