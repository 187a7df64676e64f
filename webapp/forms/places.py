"""The second step: where loads sit, and how far each place is from the panel."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from typing import Any

from webapp.forms import help
from webapp.forms.fields import Form, Spec, posted, shown, state
from webapp.texts import N_, _

NAME = Spec(
    name="name", label=N_("Name of the place"), pointer="name", kind="text", hint=N_("Such as: desk, mast, bunk.")
)
RUN = Spec(
    name="run_m",
    help=help.RUN_LENGTH,
    term="run",
    label=N_("Length of the run, metres"),
    pointer="run_m",
    unit="m",
    quantity="length",
    hint=N_("One way, along the real route from the panel."),
)
BUNDLED = Spec(
    name="bundled",
    term="bundled",
    label=N_("Conductors bundled along the run"),
    pointer="bundled",
    default=2,
    quantity="count",
    hint=N_("Those that carry current, ours included: a twin cable counts 2."),
)
AMBIENT = Spec(
    name="ambient_c",
    term="ambient",
    label=N_("Hottest air along the run, °C"),
    pointer="ambient_c",
    unit="°C",
    quantity="temperature",
    optional=True,
    hint=N_("Empty: the same as around the panel."),
)
AROUND = (
    Spec(
        name="wet",
        label=N_("It gets wet there"),
        pointer="wet",
        kind="tick",
        default=False,
        hint=N_("Rain, spray, a hose, or under water. Above 30 V a qualified person then has to answer for the plan."),
    ),
    Spec(
        name="fuel",
        label=N_("Petrol or gas there or on the way"),
        pointer="fuel",
        kind="tick",
        default=False,
        hint=N_(
            "A tank, an engine, a gas locker or bottle. Sparks set it off: a qualified person then has to answer for "
            "the plan."
        ),
    ),
    Spec(
        name="outdoors",
        label=N_("The run goes outdoors or up a mast"),
        pointer="outdoors",
        kind="tick",
        default=False,
        hint=N_("Longer than 10 m it needs surge protection and bonding, which this plan does not size."),
    ),
    Spec(
        name="above_roof",
        label=N_("It ends above the line of the roof"),
        pointer="above_roof",
        kind="tick",
        default=False,
        hint=N_("Then it needs surge protection and bonding, however short it is."),
    ),
)
SPECS = (NAME, RUN, BUNDLED, AMBIENT, *AROUND)


def row_form(document: Mapping[str, Any], index: int) -> Form:
    """One stated place as fields."""
    form = shown(SPECS, document, at=f"places/{index}/")
    if not form["name"].text:
        form["name"].text = document["places"][index]["id"]
    return form


def new_row() -> Form:
    return shown(SPECS, {})


def read_row(
    answers: Mapping[str, str], stored: dict[str, Any], index: int | None
) -> tuple[Form, dict[str, Any] | None]:
    """The stored job with one place put in or changed; None while something is wrong."""
    answers = {"bundled": "2", **answers}
    form, values = posted(SPECS, answers)
    _same_name(form, stored, index)
    if form.troubled:
        return form, None
    document = copy.deepcopy(stored)
    if index is None:
        document["places"].append({"id": free_id(document["places"], "P")})
        index = len(document["places"]) - 1
    unnamed = not document["places"][index].get("name")
    for spec in SPECS:
        if spec is NAME and unnamed and values["name"] == document["places"][index]["id"]:
            continue  # shown by its id, and left like that
        state(spec, document, values[spec.name], at=f"places/{index}/")
    return form, document


def _same_name(form: Form, stored: Mapping[str, Any], index: int | None) -> None:
    name = form["name"].text.casefold()
    others = [place.get("name") or place["id"] for i, place in enumerate(stored["places"]) if i != index]
    if name and name in {other.casefold() for other in others}:
        form["name"].error = _("There is a place of that name already. Give this one another.")


def loads_at(document: Mapping[str, Any], place_id: str) -> list[str]:
    """Names of the loads that sit at a place."""
    return [load.get("name") or load["id"] for load in document["loads"] if load["place"] == place_id]


def free_id(entries: list[dict[str, Any]], letter: str) -> str:
    """The first id of that letter that no entry has."""
    taken = {entry.get("id") for entry in entries}
    number = 1
    while f"{letter}{number}" in taken:
        number += 1
    return f"{letter}{number}"
