"""The third step: the loads, each with what it accepts, what it draws and how it is connected."""

from __future__ import annotations

import copy
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from webapp.forms import pointers
from webapp.forms.fields import Form, Spec, posted, shown
from webapp.forms.output_line import OutputLine
from webapp.forms.places import free_id
from webapp.forms.presets import BRICK_EFFICIENCY, BRICK_IDLE_W, GUESSED, Preset, supplied

FORMS = (
    ("dc-plug", "Round DC plug"),
    ("usb-c", "USB-C"),
    ("powered-ethernet", "Powered Ethernet"),
    ("dc-wire", "Two bare conductors"),
)
LEADS = (("supplied", "Came with the load"), ("cut", "Cut from a spool"))
BEHAVIOURS = (
    ("constant_power", "Draws the same watts at any voltage (electronics)"),
    ("resistive", "Draws less at less voltage (heater, filament lamp)"),
)
FIRST = (
    Spec(name="name", label="What it is", pointer="name", kind="text"),
    Spec(name="place", label="Where it sits", pointer="place", kind="choice"),
    Spec(name="form", label="How it takes its supply", pointer="needs/form", kind="choice"),
    Spec(
        name="min_v",
        label="Lowest voltage it accepts, volts",
        pointer="needs/min_v",
        unit="V",
        quantity="voltage",
        hint="Its manual says; 5 to 10 % below the label where it does not.",
    ),
    Spec(
        name="max_v",
        label="Highest voltage it accepts, volts",
        pointer="needs/max_v",
        unit="V",
        quantity="voltage",
    ),
    Spec(
        name="peak_w",
        label="Most it draws, watts",
        pointer="peak_w",
        unit="W",
        quantity="power",
        hint="Volts times amps of the OUTPUT line.",
    ),
    Spec(
        name="typical_w",
        label="Usual draw while on, watts",
        pointer="typical_w",
        unit="W",
        quantity="power",
        hint="Measured is best; often half of the most.",
    ),
    Spec(name="hours_per_day", label="On for, hours a day", pointer="hours_per_day", unit="h", quantity="time"),
)
SUPPLY = (
    Spec(name="switch", label="Its circuit gets a switch", pointer="switch", kind="tick"),
    Spec(name="own_circuit", label="It shares its circuit with nothing", pointer="own_circuit", kind="tick"),
    Spec(
        name="drop_pct",
        quantity="percent",
        label="Volts lost on the way, at most, percent",
        pointer="drop_pct",
        unit="%",
        optional=True,
        hint="Empty: the limit of the job. 5 % suits lights and motors.",
    ),
    Spec(
        name="max_fuse_a",
        label="Largest fuse it allows when fed directly, amps",
        pointer="max_fuse_a",
        unit="A",
        quantity="current",
        optional=True,
        hint="From its manual. Empty and with its own lead: we take 5 A.",
    ),
    Spec(
        name="behaviour",
        label="How its draw follows the voltage",
        pointer="behaviour",
        kind="choice",
        choices=BEHAVIOURS,
    ),
    Spec(
        name="rated_v",
        label="Voltage at which it draws its most, volts",
        pointer="rated_v",
        unit="V",
        quantity="voltage",
        optional=True,
        hint="Only for a heater or a filament lamp.",
    ),
)
LEAD = (
    Spec(name="lead", label="Its lead", pointer="lead/kind", kind="choice", choices=LEADS),
    Spec(
        name="loop_ohm",
        label="Resistance of a lead that came with it, out and back, ohms",
        pointer="lead/loop_ohm",
        unit="Ω",
        quantity="resistance",
        optional=True,
        hint="0.05 suits a thin metre and a half. Powered Ethernet: about 1.2 for 20 m.",
    ),
    Spec(
        name="length_m",
        label="Length of a lead to cut, metres",
        pointer="lead/length_m",
        unit="m",
        quantity="length",
        optional=True,
        hint="Only for bare conductors: from the end of the run to the load.",
    ),
)
BRICK = (
    Spec(name="has_brick", label="It has a mains adapter today", kind="tick"),
    Spec(
        name="brick_efficiency",
        label="Efficiency of the adapter, percent",
        pointer="brick/efficiency",
        unit="%",
        percent=True,
        optional=True,
    ),
    Spec(
        name="brick_idle_w",
        label="Adapter's own draw while the load is off, watts",
        pointer="brick/idle_w",
        unit="W",
        quantity="power",
        optional=True,
    ),
)
MORE = SUPPLY + LEAD + BRICK
SPECS = FIRST + MORE
USUAL = {"lead": "supplied", "behaviour": "constant_power"}
SUPPLIED_OHM = 0.05
PLAIN_SHARE = 0.6  # usual draw of electronics against the adapter's rating: our assumption, marked typical
PLAIN_HOURS = 4


def add_specs(document: Mapping[str, Any]) -> tuple[Spec, ...]:
    """The short form: a name, the OUTPUT line, a place."""
    return (
        Spec(
            name="output",
            label="OUTPUT line of its adapter",
            kind="text",
            hint="As printed, such as 19.5V 3.34A. Not the INPUT line.",
        ),
        Spec(name="what", label="What it is", kind="text", optional=True, hint="Such as: check-out laptop."),
        where_spec(document),
    )


def where_spec(document: Mapping[str, Any]) -> Spec:
    """Which place the next load goes to."""
    return Spec(name="where", label="Where it sits", kind="choice", choices=place_choices(document))


def place_choices(document: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    return tuple((place["id"], place.get("name") or place["id"]) for place in document["places"])


def specs_for(document: Mapping[str, Any], forms: Sequence[str]) -> tuple[Spec, ...]:
    """The long form's fields with this job's places and the forms of supply on offer."""
    known = dict(FORMS)
    extra = tuple((form, form.replace("-", " ").capitalize()) for form in forms if form not in known)
    choices = {"place": place_choices(document), "form": FORMS + extra}
    return tuple(replace(spec, choices=choices[spec.name]) if spec.name in choices else spec for spec in SPECS)


def supply_forms(catalogue: Mapping[str, Any]) -> list[str]:
    """Every form of supply some part of the catalogue puts out."""
    return sorted({part["out_form"] for part in catalogue["parts"] if part["kind"] == "stage"})


def edit_form(document: dict[str, Any], index: int, forms: Sequence[str]) -> Form:
    """The long form of a stated load."""
    form = shown(specs_for(document, forms), document, at=f"loads/{index}/", mark="typical")
    load = document["loads"][index]
    form["has_brick"].text = "yes" if load.get("brick") else ""
    form["name"].text = form["name"].text or load["id"]
    form["behaviour"].text = form["behaviour"].text or "constant_power"
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
        "name": name or f"{line.volts:g} V load",
        "place": place,
        "needs": {"form": "usb-c" if line.several else "dc-plug", "min_v": line.min_v, "max_v": line.max_v},
        "peak_w": line.watts,
        "typical_w": round(line.watts * PLAIN_SHARE, 1),
        "hours_per_day": PLAIN_HOURS,
        "lead": supplied(SUPPLIED_OHM),
        "brick": {"efficiency": BRICK_EFFICIENCY, "idle_w": BRICK_IDLE_W},
    }
    return _added(document, load, [each for each in GUESSED if each != "peak_w"])


def _added(document: dict[str, Any], load: dict[str, Any], guessed: Sequence[str]) -> dict[str, Any]:
    changed = copy.deepcopy(document)
    changed["loads"].append(load)
    index = len(changed["loads"]) - 1
    changed["assumed"] = [*changed.get("assumed", []), *(f"loads/{index}/{name}" for name in guessed)]
    return changed


def removed(document: dict[str, Any], index: int) -> dict[str, Any]:
    """The job without one load."""
    changed = copy.deepcopy(document)
    del changed["loads"][index]
    changed["assumed"] = pointers.shifted(changed.get("assumed", []), "loads", index)
    return changed


def duplicated(document: dict[str, Any], index: int) -> dict[str, Any]:
    """The job with a copy of one load right behind it, as unconfirmed as the first."""
    changed = copy.deepcopy(document)
    twin = copy.deepcopy(changed["loads"][index])
    twin["id"] = free_id(changed["loads"], "L")
    twin["name"] = f"{twin.get('name') or changed['loads'][index]['id']} (copy)"[:80]
    changed["loads"].insert(index + 1, twin)
    assumed = pointers.opened(changed.get("assumed", []), "loads", index + 1)
    own = [p.split("/", 2)[2] for p in assumed if p.startswith(f"loads/{index}/")]
    changed["assumed"] = [*assumed, *(f"loads/{index + 1}/{name}" for name in own)]
    return changed


def read_load(
    answers: Mapping[str, str], stored: dict[str, Any], index: int | None, forms: Sequence[str]
) -> tuple[Form, dict[str, Any] | None]:
    """The stored job with one load put in or changed; None while something is wrong."""
    form, values = posted(specs_for(stored, forms), {**USUAL, **answers})
    _only_bare_is_cut(form, values)
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


def _only_bare_is_cut(form: Form, values: Mapping[str, Any]) -> None:
    if values.get("lead") == "cut":
        if values.get("form", "dc-wire") != "dc-wire":
            form["lead"].error = "Only a load that takes two bare conductors can have a lead cut from a spool."
        elif values.get("length_m") is None and not form["length_m"].error:
            form["length_m"].error = "Enter how long the lead to cut is."
    if values.get("behaviour") == "resistive" and values.get("rated_v") is None and not form["rated_v"].error:
        form["rated_v"].error = "Enter the voltage at which it draws its most."


def _state(document: dict[str, Any], index: int, values: Mapping[str, Any]) -> None:
    at = f"loads/{index}/"
    for spec in FIRST + SUPPLY:
        pointers.put_at(document, at + spec.pointer, values[spec.name])
    load = document["loads"][index]
    if values["lead"] == "cut":
        load["lead"] = {"kind": "cut", "length_m": values["length_m"]}
    else:
        load["lead"] = supplied(SUPPLIED_OHM if values["loop_ohm"] is None else values["loop_ohm"])
    if values["behaviour"] != "resistive":
        load.pop("rated_v", None)
    load.pop("brick", None)
    if values["has_brick"]:
        load["brick"] = {
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
    document["assumed"] = [pointer for pointer in document.get("assumed", []) if pointer not in edited]
