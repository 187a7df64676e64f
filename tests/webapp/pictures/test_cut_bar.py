"""The bar of a spool: to scale, cuts numbered in their order, numbers clear of each other at the narrowest width."""

from __future__ import annotations

from itertools import pairwise

import pytest
from drawn import drawn
from hypothesis import given
from hypothesis import strategies as st

from webapp.pictures.cut_bar import APART_PX, MOST_ROWS, NARROWEST_PX, cut_bar
from webapp.pictures.lettering import width_px

SPOOLS = st.tuples(st.lists(st.integers(50, 30_000), min_size=1, max_size=60), st.integers(0, 50_000))
WIDE_PX = 736.0  # the bar on a desk


def bar_of(lengths_mm, left_mm):
    return cut_bar([(chr(65 + index % 26), mm) for index, mm in enumerate(lengths_mm)], sum(lengths_mm) + left_mm)


def px(pct, width_px=NARROWEST_PX):
    return float(pct.removesuffix("%")) / 100 * width_px


@given(SPOOLS)
def test_pieces_are_to_scale_within_half_a_pixel_and_fill_the_bar(spool):
    lengths_mm, left_mm = spool
    bar, stock_mm, at_px = bar_of(*spool), sum(lengths_mm) + left_mm, 0.0
    for piece, mm in zip(bar.pieces, lengths_mm, strict=True):
        assert px(piece.x_pct, WIDE_PX) == pytest.approx(at_px, abs=0.5)
        assert px(piece.width_pct, WIDE_PX) == pytest.approx(mm / stock_mm * WIDE_PX, abs=0.5)
        at_px += mm / stock_mm * WIDE_PX
    assert px(bar.left_x_pct, WIDE_PX) == pytest.approx(at_px, abs=0.5)
    assert at_px + px(bar.left_width_pct, WIDE_PX) == pytest.approx(WIDE_PX, abs=0.5)


@given(SPOOLS)
def test_every_cut_is_marked_in_its_order(spool):
    lengths_mm, left_mm = spool
    bar = bar_of(*spool)
    assert len(bar.marks) == len(lengths_mm) - (left_mm == 0)  # what is left is not cut off
    for number, (mark, piece) in enumerate(zip(bar.marks, bar.pieces, strict=False), start=1):
        assert px(mark.cut_pct) == pytest.approx(px(piece.x_pct) + px(piece.width_pct), abs=0.01)
        assert mark.number in ("", str(number))


@given(SPOOLS)
def test_numbers_stand_clear_and_their_leaders_never_cross(spool):
    named = [mark for mark in bar_of(*spool).marks if mark.number]
    for one, next_one in pairwise(named):
        assert px(next_one.label_pct) - px(one.label_pct) >= APART_PX / MOST_ROWS - 0.01
    for row in {mark.y for mark in named}:
        for one, next_one in pairwise([mark for mark in named if mark.y == row]):
            assert px(next_one.label_pct) - px(one.label_pct) >= APART_PX - 0.01
    assert all(10 <= px(mark.label_pct) <= NARROWEST_PX - 10 for mark in named)


@given(SPOOLS)
def test_letters_fit_their_pieces_on_the_narrowest_phone(spool):
    bar = bar_of(*spool)
    assert all(width_px(piece.text, 17, bold=True) <= px(piece.width_pct) for piece in bar.pieces if piece.text)
    assert not bar.left_text or width_px(bar.left_text, 14, bold=True) <= px(bar.left_width_pct)


def test_a_handful_of_cuts_are_all_numbered():
    bar = bar_of([12100, 6400, 5800, 300, 300, 300, 300, 300, 300, 300], 1500)
    assert [mark.number for mark in bar.marks] == [str(number) for number in range(1, 11)]
    assert bar.left_text == ""
    assert bar.pieces[0].text == "A  12.10\u00a0m"


def test_a_spool_that_is_used_up_needs_one_cut_less():
    assert [mark.number for mark in bar_of([2000, 1000], 0).marks] == ["1"]
    assert bar_of([2000], 0).marks == ()


def test_the_bar_is_well_formed_and_says_itself():
    tree = drawn("pictures/cut_bar", "cut_bar", bar_of([7100, 6400], 1500), "twin: A 7.10 m, B 6.40 m")
    svg = tree.find("svg")
    assert (svg.get("role"), svg.get("aria-label")) == ("img", "twin: A 7.10 m, B 6.40 m")
    assert [text.text for text in svg.iter("text") if text.get("class") == "bar__number"] == ["1", "2"]
