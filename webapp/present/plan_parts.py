"""The pages of a plan, in the order in which they are used."""

from __future__ import annotations

from webapp.texts import N_

# Endpoint and name. The first is there for every answer, the others where it may be built from.
PARTS = (
    ("show_plan", N_("Answer")),
    ("buy", N_("Buy")),
    ("cut", N_("Cut")),
    ("labels", N_("Labels")),
    ("wiring", N_("Wiring")),
    ("build", N_("Build")),
    ("record", N_("Record")),
    ("docket", N_("Docket")),
)
