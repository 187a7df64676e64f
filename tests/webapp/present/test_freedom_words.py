"""Converters at the panel and shared ones, as the plan page, its cut list and its fuse schedule tell of them."""

from __future__ import annotations

from dataclasses import replace

from optimizer.cautions import cautions_for
from optimizer.plan import Piece
from tests.builders import CUTS
from tests.optimizer.checks.twins import sharing
from tests.optimizer.checks.twins.boosting import FUSED, GLASS, GLASS_HOLDER, boosted, fused
from webapp.present.circuits import circuit_views, feed_view, fuse_rows, output_fuse_rows
from webapp.present.cuts import spool_views


def plain(text: str) -> str:
    return text.replace("\u00a0", " ").replace("\u202f", " ")


def test_a_boosted_feed_says_where_its_converter_stands_and_what_the_run_is() -> None:
    system = boosted()
    view = feed_view(system.job, system.catalogue, system.plan.feeds[0])
    assert plain(view.words) == "router: 12 to 24 V at the panel, then 20.00 m of 0.5 mm² twin to desk"
    assert [plain(step) for step in view.chain] == [
        "circuit C1",
        "up24, at the panel",
        "20.00 m to desk",
        "boost",
        "router",
    ]


def test_the_circuit_of_a_boosted_feed_ends_at_the_converter() -> None:
    system = boosted()
    raised, plain_one = circuit_views(system.job, system.catalogue, system.plan)
    assert plain(raised.run) == "1.00 m, to the converter at the panel"
    assert (raised.ends_at, plain_one.ends_at) == ("At the converter", "At the place")
    assert "at the panel" not in plain_one.run
    assert (plain(raised.onward), plain_one.onward) == ("0.5 mm² twin, cut 20.00 m, carries 24 V", "")
    first, second = fuse_rows(system.job, system.catalogue, system.plan)
    assert plain(first.cable) == "4 mm² twin, to the converter at the panel"
    assert plain(second.cable) == "4 mm² twin"


def test_the_cut_list_tells_run_and_circuit_apart_and_marks_the_voltage() -> None:
    system = boosted()
    pieces = (Piece(mm=1000, circuit="C1"), Piece(mm=10000, circuit="C2"), Piece(mm=20000, run="router"))
    cut = replace(CUTS[0], pieces=pieces, stock_mm=31000)
    (spool,) = spool_views(system.job, system.catalogue, replace(system.plan, cuts=(cut,)))
    assert [(row.goes_to, plain(row.mark)) for row in spool.rows] == [
        ("run to desk, from the converter at the panel", "C1, 24 V"),
        ("run to mast", "C2"),
        ("panel to the converter there, for router", "C1"),
    ]


def test_an_output_fuse_says_at_which_end_it_is() -> None:
    """It stands behind the last converter: at the panel where nothing at the place converts."""
    on_run = fused(ampacity_a=3)
    (words,) = output_fuse_rows(on_run.job, on_run.catalogue, on_run.plan)
    assert words.endswith("right behind the converter at the panel.")
    behind = boosted()
    catalogue = replace(behind.catalogue, parts=(*behind.catalogue.parts, GLASS, GLASS_HOLDER))
    feeds = (replace(behind.plan.feeds[0], **FUSED), *behind.plan.feeds[1:])
    (words,) = output_fuse_rows(behind.job, catalogue, replace(behind.plan, feeds=feeds))
    assert words.endswith("right behind the converter.")


def test_a_shared_converter_is_told_once() -> None:
    system = sharing.shared()
    (view, _) = circuit_views(system.job, system.catalogue, system.plan)
    assert [(feed.words, feed.chain) for feed in view.feeds] == [
        ("camera: fed through", ("circuit C1", "boost", "camera")),
        ("router: fed by the converter of camera, from another of its outlets.", ()),
    ]


def test_a_raised_run_is_warned_of_with_its_voltage() -> None:
    system = boosted()
    (said,) = [each for each in cautions_for(system.job, system.catalogue, system.plan) if "24 V" in each]
    assert said.startswith("The run to desk for router carries 24 V, not the 12 V of the panel.")


def test_the_fuse_of_a_shared_converter_faces_its_inrush_once() -> None:
    """60 W / 0.9 + 2 W at 11.7 V are 5.9 A; the fuse of 5 A is within 1.5 × of that."""
    system = sharing.shared()
    said, _ = (each for each in cautions_for(system.job, system.catalogue, system.plan) if "switch-on" in each)
    assert "5.9 A" in said
