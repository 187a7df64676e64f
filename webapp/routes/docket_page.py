"""The docket: everything of a plan in the order of work, to print and hand over."""

from __future__ import annotations

from webapp.pictures.flows import flow_view
from webapp.pictures.network import network_of
from webapp.pictures.wiring import wiring_view
from webapp.present.answering import person_label
from webapp.present.build_steps import build_sections, with_texts_once
from webapp.present.checks import check_groups
from webapp.present.circuits import fuse_rows, output_fuse_rows
from webapp.present.cuts import spool_views
from webapp.present.labels import labels
from webapp.present.plan_page import plan_view
from webapp.present.read_first import read_first
from webapp.present.record import record_sections
from webapp.present.shopping import seller_views
from webapp.routes.page_base import bp
from webapp.routes.plan_base import Opened, job_code, of_sound_plan, part_page
from webapp.services import marks


@bp.get("/plans/<plan_id>/docket")
@of_sound_plan
def docket(shown: Opened) -> str:
    """All pages of a plan as one, with what is ticked and measured so far."""
    made, care = (shown.stated, shown.catalogue, shown.plan), shown.cautions
    ticks = marks.marks_of(shown.record.id)
    return part_page(
        shown,
        "pages/docket.html",
        "docket",
        read_first=True,
        ticks=ticks,
        critical=tuple(each for each in read_first(shown.stated, care) if each not in care.top),
        qr=job_code(shown),
        view=plan_view(*made),
        sellers=seller_views(shown.catalogue, shown.plan),
        spools=spool_views(*made),
        fuses=fuse_rows(*made),
        output_fuses=output_fuse_rows(*made),
        labels=(*person_label(shown.answer), *labels(*made)),
        sketch=wiring_view(network_of(*made)),
        flows=flow_view(*made),
        sections=with_texts_once(build_sections(*made, care)),
        readings=record_sections(*made, ticks),
        groups=check_groups(shown.plan),
    )
