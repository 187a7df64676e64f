"""The pages of a plan besides its answer: its proof, what to buy, cut, label, wire, build, measure and hand over."""

from __future__ import annotations

from urllib.parse import urlsplit

from flask import request

from webapp import security
from webapp.pictures.network import network_of
from webapp.pictures.volts import volts_view
from webapp.pictures.wiring import WiringView, wiring_view
from webapp.present.answering import person_label
from webapp.present.assumptions import guessed_fuses
from webapp.present.build_steps import build_sections
from webapp.present.checks import check_groups, verdict
from webapp.present.circuits import circuit_views, fuse_rows, outlet_feeds, output_fuse_rows
from webapp.present.cut_lines import SpoolCuts, line_shown, spool_cuts
from webapp.present.cuts import spool_views
from webapp.present.holds import check_words
from webapp.present.labels import labels as label_views
from webapp.present.labels import tape_text
from webapp.present.marks import bought_shape, bought_words, done_shape, done_words, first_open
from webapp.present.record import record_sections, spelled, walk_through, worth_of_units
from webapp.present.record_words import SHAPES
from webapp.present.shopping import seller_views
from webapp.present.why import why_by_section
from webapp.present.words import money
from webapp.routes.page_base import bp
from webapp.routes.plan_base import Opened, job_code, of_answer, of_sound_plan, part_page
from webapp.services import marks

bp.add_app_template_filter(spelled, "for_scripts")


@bp.get("/plans/<plan_id>/proof")
@of_answer
def proof(shown: Opened) -> str:
    """Every check, and how its figures came."""
    return part_page(
        shown,
        "pages/proof.html",
        "proof",
        sound=shown.may_build,
        verdict=verdict(shown.plan),
        groups=check_groups(shown.plan, check_words(shown.stated, shown.plan)),
    )


@bp.get("/plans/<plan_id>/buy")
@of_sound_plan
def buy(shown: Opened) -> str:
    """What to buy, seller by seller."""
    sellers, ticks = seller_views(shown.catalogue, shown.plan), marks.marks_of(shown.record.id)
    return part_page(
        shown,
        "pages/buy.html",
        "buy",
        sellers=sellers,
        ticks=ticks,
        bought=bought_words(((row.key, row.cents) for seller in sellers for row in seller.rows), ticks),
        shape=bought_shape(),
        total=money(shown.plan.total_cents or 0),
        why_rows=why_by_section(shown.stated, shown.catalogue, shown.plan).get("buying"),
        guessed_fuses=guessed_fuses(shown.stated),
    )


@bp.get("/plans/<plan_id>/cut")
@of_sound_plan
def cut(shown: Opened) -> str:
    """Every spool with its cuts."""
    cuts = _cuts(shown)
    ticks = marks.marks_of(shown.record.id)
    done = done_words((line.key for each in cuts for line in each.lines), ticks)
    return part_page(
        shown, "pages/cut.html", "cut", read_first=True, cuts=cuts, ticks=ticks, done=done, shape=done_shape()
    )


@bp.get("/plans/<plan_id>/cut/line")
@of_sound_plan
def cut_line(shown: Opened) -> str:
    """One cut at a time."""
    lines = [line for each in _cuts(shown) for line in each.lines]
    ticks = marks.marks_of(shown.record.id)
    at = line_shown(lines, ticks, request.args.get("at", ""))
    return part_page(
        shown,
        "pages/cut_line.html",
        "cut",
        read_first=True,
        lines=lines,
        at=at,
        after=min(at + 1, len(lines)),
        ticks=ticks,
    )


@bp.get("/plans/<plan_id>/labels")
@of_sound_plan
def labels(shown: Opened) -> str:
    """The fuse schedule, and what to write on fuses and cables."""
    sheet = (*person_label(shown.answer), *label_views(shown.stated, shown.catalogue, shown.plan))
    return part_page(
        shown,
        "pages/labels.html",
        "labels",
        read_first=True,
        labels=sheet,
        tape=tape_text(sheet),
        qr=job_code(shown),
        only_here=urlsplit(security.public_url()).hostname in ("localhost", "127.0.0.1", "::1"),
        **_fuses(shown),
    )


@bp.get("/plans/<plan_id>/wiring")
@of_sound_plan
def wiring(shown: Opened) -> str:
    """What is connected to what."""
    return part_page(
        shown,
        "pages/wiring.html",
        "wiring",
        circuits=circuit_views(shown.stated, shown.catalogue, shown.plan),
        outlets=outlet_feeds(shown.stated, shown.catalogue, shown.plan),
        sketch=_sketch(shown),
        volts=volts_view(shown.stated, shown.catalogue, shown.plan),
    )


@bp.get("/plans/<plan_id>/build")
@of_sound_plan
def build(shown: Opened) -> str:
    """The order of work."""
    sections = build_sections(shown.stated, shown.catalogue, shown.plan, shown.cautions)
    ticks = marks.marks_of(shown.record.id)
    keys = [step.key for section in sections for step in section.steps]
    return part_page(
        shown,
        "pages/build.html",
        "build",
        sections=sections,
        ticks=ticks,
        done=done_words(keys, ticks),
        shape=done_shape(),
        next=first_open(keys, ticks),
    )


@bp.get("/plans/<plan_id>/record")
@of_sound_plan
def record(shown: Opened) -> str:
    """What was measured, beside what to expect."""
    sections = record_sections(shown.stated, shown.catalogue, shown.plan, marks.marks_of(shown.record.id))
    return part_page(
        shown,
        "pages/record.html",
        "record",
        sections=sections,
        walk=walk_through(sections),
        shapes=SHAPES,
        worth_of_units=worth_of_units(),
        most_chars=marks.NOTE_CHARS,
    )


def _sketch(shown: Opened) -> WiringView:
    return wiring_view(network_of(shown.stated, shown.catalogue, shown.plan))


def _cuts(shown: Opened) -> tuple[SpoolCuts, ...]:
    return spool_cuts(spool_views(shown.stated, shown.catalogue, shown.plan))


def _fuses(shown: Opened) -> dict[str, object]:
    return {
        "fuses": fuse_rows(shown.stated, shown.catalogue, shown.plan),
        "output_fuses": output_fuse_rows(shown.stated, shown.catalogue, shown.plan),
    }
