"""How far a search is, in words and figures."""

from __future__ import annotations

import pytest

from optimizer.progress import Progress
from webapp.present.progress import gap_so_far, gap_words, progress_words
from webapp.progress import in_words


@pytest.mark.parametrize(
    ("total_cents", "bound_cents", "said"),
    [
        (33810, 31200, "At most 8.4\u00a0% above the best possible"),  # 26.10 / 312.00 = 8.365 %, rounded against us
        (31201, 31200, "At most 0.1\u00a0% above the best possible"),
        (31200, 31200, "At most 0\u00a0% above the best possible"),
        (20000, 10000, "At most 100\u00a0% above the best possible"),
        (30001, 10000, "At most 200.1\u00a0% above the best possible"),
        (33810, 0, ""),
        (33810, None, ""),
        (None, 31200, ""),
    ],
)
def test_a_gap_is_rounded_against_us(total_cents, bound_cents, said):
    assert gap_words(total_cents, bound_cents) == said


@pytest.mark.parametrize(
    ("best_cents", "said"),
    [
        (20000, "At most 100\u00a0% above the best possible"),
        (20001, ""),
        (None, ""),
        (10001, "At most 0.1\u00a0% above the best possible"),
        (10000, "Nothing costs less; of plans at this price the best is looked for"),
    ],
)
def test_while_it_runs_a_gap_is_told_as_soon_as_it_says_something(best_cents, said):
    assert gap_so_far(best_cents, 10000) == said


@pytest.mark.parametrize("progress", [None, {}, {"best_cents": None, "bound_cents": 5, "elapsed_s": 1.0}])
def test_before_the_first_plan_a_page_says_so(progress):
    assert progress_words(progress) == ("Looking for a first plan that holds.",)


@pytest.mark.parametrize(
    ("best_cents", "bound_cents", "said"),
    [
        (None, 30000, "Nothing found yet, 7 s"),
        (31240, None, "Best so far 312.40, 7 s"),
        (31240, 30000, "Best so far 312.40, at most 4.2\u00a0% above the best possible, 7 s"),
    ],
)
def test_a_terminal_shows_best_gap_and_time(best_cents, bound_cents, said):
    assert in_words(Progress(best_cents=best_cents, bound_cents=bound_cents, elapsed_s=1.0), 7.4) == said
