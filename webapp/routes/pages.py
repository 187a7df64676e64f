"""The pages: one blueprint, its views in the modules imported here."""

from webapp.routes import (
    assumed_pages,
    blank_pages,
    compare_pages,
    device_pages,
    docket_page,
    load_pages,
    mark_pages,
    offline_pages,
    owned_pages,
    place_pages,
    plan_pages,
    plan_parts,
    search_pages,
    shell_pages,
    step_pages,
    way_out_pages,
    word_pages,
)
from webapp.routes.page_base import bp

__all__ = [
    "assumed_pages",
    "blank_pages",
    "bp",
    "compare_pages",
    "device_pages",
    "docket_page",
    "load_pages",
    "mark_pages",
    "offline_pages",
    "owned_pages",
    "place_pages",
    "plan_pages",
    "plan_parts",
    "search_pages",
    "shell_pages",
    "step_pages",
    "way_out_pages",
    "word_pages",
]
