"""What somebody has already: parts by the piece, offcuts by their length."""

from __future__ import annotations

import copy
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from webapp.forms.fields import Form, Spec, posted, shown
from webapp.found import holds_words
from webapp.texts import N_, _

KINDS = {
    "cable": N_("Cable"),
    "fuse": N_("Fuses"),
    "stage": N_("Converters, plug leads"),
    "holder": N_("Fuse holders"),
    "switch": N_("Switches"),
    "terminal": N_("Terminals"),
    "junction": N_("Junctions"),
    "consumable": N_("Small things"),
    "battery": N_("Batteries"),
    "bank-kit": N_("Battery kits"),
}
CABLE = "cable"
PART = Spec(
    name="part", label=N_("Which part"), pointer="part", kind="choice", hint=N_("Take only what is exactly this.")
)
COUNT = Spec(name="count", label=N_("How many"), pointer="count", quantity="count")
LENGTH = Spec(
    name="length_m",
    step=0.1,
    label=N_("Length of the piece, metres"),
    pointer="length_m",
    unit="m",
    quantity="length",
    hint=N_("One piece at a time: cuts are never joined."),
)

Parts = Sequence[Mapping[str, Any]]


def kinds_on_offer(parts: Parts) -> tuple[tuple[str, str], ...]:
    """Kinds of part the catalogue holds, the likeliest first."""
    held = {part["kind"] for part in parts}
    likely = [kind for kind in KINDS if kind in held]
    return tuple((kind, kind_words(kind)) for kind in [*likely, *sorted(held - KINDS.keys())])


def kind_words(kind: str) -> str:
    return _(KINDS[kind]) if kind in KINDS else kind.replace("-", " ").capitalize()


def matching(parts: Parts, kind: str, words: str) -> list[Mapping[str, Any]]:
    """Parts of a kind whose name holds every one of the words."""
    return [part for part in parts if part["kind"] == kind and holds_words(part_words(part), words)]


def part_words(part: Mapping[str, Any]) -> str:
    return str(part.get("name") or part["id"])


def blank_form(parts: Parts, kind: str, words: str) -> Form:
    form = shown(_specs(parts, kind, words), {})
    form["part"].text = ""
    return form


def read_add(
    answers: Mapping[str, str], stored: dict[str, Any], parts: Parts, kind: str, words: str
) -> tuple[Form, dict[str, Any] | None]:
    """The stored job with one more thing on hand; None while something is wrong."""
    form, values = posted(_specs(parts, kind, words), answers)
    if form.troubled:
        return form, None
    document = copy.deepcopy(stored)
    _add(document.setdefault("owned", []), values)
    return form, document


def _specs(parts: Parts, kind: str, words: str) -> tuple[Spec, Spec]:
    choices = tuple((part["id"], part_words(part)) for part in matching(parts, kind, words))
    return replace(PART, choices=choices, named=True), LENGTH if kind == CABLE else COUNT


def _add(owned: list[dict[str, Any]], values: dict[str, Any]) -> None:
    """Pieces of one part are counted together; every offcut stands for itself."""
    same = next((entry for entry in owned if entry["part"] == values["part"] and "count" in entry), None)
    if same is not None and "count" in values:
        same["count"] += values["count"]
    else:
        owned.append(values)
