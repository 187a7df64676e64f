"""The third step: the loads, each with what it accepts, what it draws and how it is connected."""

from __future__ import annotations

import copy
from collections.abc import Mapping, Sequence
from typing import Any

from webapp.forms import pointers
from webapp.forms.fields import Form, kept, posted, shown, state
from webapp.forms.load_fields import CRITICAL, FIRST, LENGTH, SUPPLY, specs_for
from webapp.forms.output_line import OutputLine
from webapp.forms.places import free_id
from webapp.forms.presets import BRICK_EFFICIENCY, BRICK_IDLE_W, GUESSED, Preset, supplied
from webapp.forms.reading import as_copy, plain
from webapp.texts import N_, _, decimal

USUAL = {"lead": "supplied", "behaviour": "constant_power"}
SUPPLIED_OHM = 0.05
PLAIN_SHARE = 0.6  # usual draw of electronics against the adapter's rating: our assumption, marked typical
PLAIN_HOURS = 4
USB_DROP_PCT = 5.0  # USB's own tolerance of its 5 V, so that a small device still sees the least that it takes


def edit_form(document: dict[str, Any], index: int, forms: Sequence[str]) -> Form:
    """The long form of a stated load."""
    form = shown(specs_for(document, forms), document, at=f"loads/{index}/", mark=N_("typical"))
    load = document["loads"][index]
    form["has_brick"].text = "yes" if load.get("brick") else ""
    form["name"].text = form["name"].text or load["id"]
    return form


def blank_form(document: dict[str, Any], forms: Sequence[str]) -> Form:
    """The long form of a load nothing is known about."""
    form = shown(specs_for(document, forms), {})
    for name, text in USUAL.items():
        form[name].text = text
    if document["places"]:
        form["place"].text = document["places"][-1]["id"]
    return form


def add_preset(document: dict[str, Any], preset: Preset, place: str) -> dict[str, Any]:
    """The job with one more usual load, its figures noted as unconfirmed."""
    return _added(document, preset.load(free_id(document["loads"], "L"), place), GUESSED)


def add_output(document: dict[str, Any], line: OutputLine, name: str, place: str) -> dict[str, Any]:
    """The job with one more load out of its adapter's OUTPUT line; the rest is typical."""
    load = {
        "id": free_id(document["loads"], "L"),
        "name": name or _named_by_volts(line),
        "place": place,
        "needs": {"form": "usb-c" if line.several else "dc-plug", "min_v": line.min_v, "max_v": line.max_v},
        "peak_w": line.watts,
        "typical_w": round(line.watts * PLAIN_SHARE, 1),
        "hours_per_day": PLAIN_HOURS,
        "lead": supplied(SUPPLIED_OHM),
        "brick": {"efficiency": BRICK_EFFICIENCY, "idle_w": BRICK_IDLE_W},
    }
    if line.least_v < line.volts:
        load["drop_pct"] = USB_DROP_PCT
    return _added(document, load, [each for each in GUESSED if each != "peak_w"])


def _named_by_volts(line: OutputLine) -> str:
    volts, least = decimal(f"{line.volts:g}"), decimal(f"{line.least_v:g}")
    if line.least_v < line.volts:  # its highest voltage alone would stand on a label as what to feed it with
        return _("%(least)s to %(volts)s V load", least=least, volts=volts)
    return _("%(volts)s V load", volts=volts)


def _added(document: dict[str, Any], load: dict[str, Any], guessed: Sequence[str]) -> dict[str, Any]:
    changed = copy.deepcopy(document)
    changed["loads"].append(load)
    index = len(changed["loads"]) - 1
    pointers.mark(changed, [*changed.get("assumed", []), *(f"loads/{index}/{name}" for name in guessed)])
    return changed


def duplicated(document: dict[str, Any], index: int) -> dict[str, Any]:
    """The job with a copy of one load right behind it, as unconfirmed as the first."""
    changed = copy.deepcopy(document)
    twin = copy.deepcopy(changed["loads"][index])
    twin["id"] = free_id(changed["loads"], "L")
    twin["name"] = as_copy(twin.get("name") or changed["loads"][index]["id"])
    changed["loads"].insert(index + 1, twin)
    assumed = pointers.opened(changed.get("assumed", []), "loads", index + 1)
    own = [p.split("/", 2)[2] for p in assumed if p.startswith(f"loads/{index}/")]
    pointers.mark(changed, [*assumed, *(f"loads/{index + 1}/{name}" for name in own)])
    return changed


def read_load(
    answers: Mapping[str, str], stored: dict[str, Any], index: int | None, forms: Sequence[str]
) -> tuple[Form, dict[str, Any] | None]:
    """The stored job with one load put in or changed; None while something is wrong."""
    form, values = posted(specs_for(stored, forms), {**USUAL, **answers})
    _from_meter(form, values)
    _only_bare_is_cut(form, values)
    _safety_stays_as_it_is(form, values)
    if form.troubled:
        return form, None
    document = copy.deepcopy(stored)
    if index is None:
        document["loads"].append({"id": free_id(document["loads"], "L")})
        index = len(document["loads"]) - 1
    before = edit_form(stored, index, forms) if index < len(stored["loads"]) else None
    _state(document, index, values)
    _confirm(document, index, form, before)
    return form, document


def _from_meter(form: Form, values: dict[str, Any]) -> None:
    """Energy over hours, where both were measured, is the usual draw."""
    energy_wh, hours = values.get("measured_wh"), values.get("measured_h")
    if energy_wh is None and hours is None:
        return
    if not energy_wh or not hours:
        for name in ("measured_wh", "measured_h"):
            if not values.get(name) and not form[name].error:
                form[name].error = _("Enter both what the meter said and over how long.")
        return
    form["typical_w"].error = ""
    values["typical_w"] = round(energy_wh / hours, 1)
    form["typical_w"].text = decimal(plain(values["typical_w"]))


def _only_bare_is_cut(form: Form, values: Mapping[str, Any]) -> None:
    if values.get("lead") == "cut":
        if values.get("form", "dc-wire") != "dc-wire":
            form["lead"].error = _("Only a load that takes two bare conductors can have a lead cut from a spool.")
        elif values.get("length_m") is None and not form["length_m"].error:
            form["length_m"].error = _("Enter how long the lead to cut is.")
    if values.get("behaviour") == "resistive" and values.get("rated_v") is None and not form["rated_v"].error:
        form["rated_v"].error = _("Enter the voltage at which it draws its most.")


def _safety_stays_as_it_is(form: Form, values: Mapping[str, Any]) -> None:
    if values.get("critical") == "vehicle" and not values.get("keeps_supply"):
        form["keeps_supply"].error = _(
            "We do not change the supply of what keeps a vehicle or boat safe. Tick this if it keeps its own, or leave "
            "this load out of the job."
        )


def _state(document: dict[str, Any], index: int, values: Mapping[str, Any]) -> None:
    at = f"loads/{index}/"
    load = document["loads"][index]
    for spec in FIRST + SUPPLY + CRITICAL:
        if spec.name == "name" and not load.get("name") and values["name"] == load["id"]:
            continue  # shown by its id, and left like that
        state(spec, document, values[spec.name], at=at)
    pointers.put_at(load, "lead", _lead(values, load.get("lead") or {}))
    if values["behaviour"] != "resistive":
        load.pop("rated_v", None)
    pointers.put_at(load, "brick", _brick(values))


def _lead(values: Mapping[str, Any], stored: Mapping[str, Any]) -> dict[str, Any]:
    if values["lead"] == "cut":
        return {"kind": "cut", "length_m": kept(LENGTH, stored.get("length_m"), values["length_m"])}
    return supplied(SUPPLIED_OHM if values["loop_ohm"] is None else values["loop_ohm"])


def _brick(values: Mapping[str, Any]) -> dict[str, Any] | None:
    if not values["has_brick"]:
        return None
    return {
        "efficiency": values["brick_efficiency"] or BRICK_EFFICIENCY,
        "idle_w": BRICK_IDLE_W if values["brick_idle_w"] is None else values["brick_idle_w"],
    }


def _confirm(document: dict[str, Any], index: int, form: Form, before: Form | None) -> None:
    """Drop the mark from every figure that was edited."""
    if before is None:
        return
    edited = {
        f"loads/{index}/{field.spec.pointer}" for name, field in form.fields.items() if field.text != before[name].text
    }
    pointers.mark(document, [pointer for pointer in document.get("assumed", []) if pointer not in edited])
