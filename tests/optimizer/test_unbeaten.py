"""Candidates that no other beats: as looking at every two of them tells, however many are compared at once."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimizer.arrays import Bools, Ints
from optimizer.rivals import unbeaten


@given(data=st.data(), count=st.integers(0, 90), some_may=st.booleans())
def test_it_leaves_what_no_other_beats(data: st.DataObject, count: int, some_may: bool) -> None:
    """Price and two figures; of those that are alike in all, the first one tried stays."""
    numbers = st.integers(0, 4)
    figures = np.array(data.draw(st.lists(st.tuples(numbers, numbers), min_size=count, max_size=count)), dtype=float)
    price = np.array(data.draw(st.lists(numbers, min_size=count, max_size=count)))
    order = np.array(data.draw(st.permutations(range(count))), dtype=np.intp)
    may_beat = np.array(data.draw(st.lists(st.booleans(), min_size=count, max_size=count)), dtype=bool)
    may_beat = may_beat if some_may else np.ones(count, dtype=bool)
    turn = np.empty(count, dtype=np.intp)
    turn[order] = np.arange(count)

    def are_dearer(rivals: Ints, ones: Ints) -> Bools:
        assert (figures[rivals] >= figures[ones]).all()
        return np.asarray(price[rivals] >= price[ones])

    def is_beaten(worse: int) -> bool:
        for better in np.flatnonzero(may_beat).tolist():
            pairs = [*zip(figures[better], figures[worse], strict=True), (price[better], price[worse])]
            is_alike = all(a == b for a, b in pairs)
            if better != worse and all(a <= b for a, b in pairs) and not (is_alike and _stays(worse, better)):
                return True
        return False

    def _stays(one: int, alike: int) -> bool:
        return bool(may_beat[one] and turn[one] < turn[alike])

    found = unbeaten(figures.reshape(count, 2), order, are_dearer, may_beat if some_may else None)
    assert found.tolist() == [n for n in range(count) if not is_beaten(n)]


@pytest.mark.parametrize("count", [1, 4, 5, 200])
def test_of_many_alike_the_first_tried_stays(count: int) -> None:
    order = np.arange(count)[::-1].copy()
    found = unbeaten(np.zeros((count, 3)), order, lambda rivals, _: np.ones(len(rivals), dtype=bool))
    assert found.tolist() == [count - 1]
