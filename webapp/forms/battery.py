"""The first step: battery, panel and the outlets that exist today."""

from __future__ import annotations

import copy
from collections.abc import Mapping, Sequence
from typing import Any

from optimizer.catalogue import CEILING_V
from webapp.forms import batteries, pointers
from webapp.forms.battery_fields import AROUND, COLD, FIRST, MAY_BUY, MORE, SETTING, specs_for
from webapp.forms.fields import Form, posted, shown, state
from webapp.forms.fuse_styles import FuseStyle, fitting_style
from webapp.forms.limits import new_limits
from webapp.forms.reading import plain, written
from webapp.texts import N_, _, decimal

AC_TYPICAL = {"ac/efficiency": 0.88, "ac/idle_w": 10, "ac/on_hours_per_day": 24, "ac/max_w": 300}
NEW_PANEL = {"bus/way_max_a": 30, "bus/ambient_c": 30}
UNTITLED = N_("Untitled job")


def new_form() -> Form:
    """The form of a job that does not exist yet."""
    form = shown(FIRST, {"bus": {"nominal_v": 12, "spare_ways": 6}, "bank": {"may_buy": False}})
    form["chemistry"].text = ""
    return form


def edit_form(document: dict[str, Any], styles: Sequence[FuseStyle]) -> Form:
    """The form of a stated job."""
    form = shown(specs_for(document, styles), document)
    form["chemistry"].text = batteries.recognised(document)
    form["has_ac"].text = "yes" if document.get("ac") else ""
    return form


def read_new(
    answers: Mapping[str, str], styles: Sequence[FuseStyle], unnamed: str = ""
) -> tuple[Form, dict[str, Any] | None]:
    """A new job from its first answers; None while something is wrong.

    Args:
        unnamed: What it is called where the answers give it no name.
    """
    form, values = posted(FIRST, answers)
    if form.troubled:
        return form, None
    document: dict[str, Any] = {
        "format": "job/1",
        "title": values["title"] or unnamed or _(UNTITLED),
        "bus": {},
        "bank": {"may_buy": values["may_buy"]},
        "places": [],
        "loads": [],
        "limits": new_limits(),
        "assumed": [],
    }
    _state(document, values)
    _state_kind(document, values)
    _fill(document, _typical(values) | NEW_PANEL)
    style = fitting_style(styles, document["bus"]["fault_a"], document["bus"]["high_v"])
    _fill(document, {"bus/fuse_style": style} | (AC_TYPICAL if values["has_ac"] else {}))
    return _refused(form, document)


def read_edit(
    answers: Mapping[str, str], stored: dict[str, Any], styles: Sequence[FuseStyle]
) -> tuple[Form, dict[str, Any] | None]:
    """The stored job with its battery step answered anew; None while something is wrong."""
    form, values = posted(specs_for(stored, styles), answers)
    before = edit_form(stored, styles)
    if form.troubled:
        _carry_marks(form, before)
        return form, None
    document = copy.deepcopy(stored)
    document["title"] = values["title"] or stored["title"]
    _state(document, values)
    if not stored["bank"].get("existing") or _changed(form, before, "chemistry", "setting"):
        _state_kind(document, values)
    touched = _apply(document, form, before, values)
    _refill(document, stored, values, form, before, touched)
    return _refused(form, document)


def _state(document: dict[str, Any], values: Mapping[str, Any]) -> None:
    """What the person says outright."""
    moved = document["bus"].get("nominal_v") != _volts(values["nominal_v"])
    pointers.put_at(document, "bus/nominal_v", _volts(values["nominal_v"]))
    pointers.put_at(document, "bus/spare_ways", values["spare_ways"])
    for spec in (MAY_BUY, SETTING, *AROUND):
        if spec.name in values:
            state(spec, document, values[spec.name])
    if values["capacity_ah"] is None:
        document["bank"].pop("existing", None)
        _forget(document, "bank/existing/")
        document["bank"]["may_buy"] = True  # nothing to keep: one has to be bought
    else:
        document["bank"].setdefault("existing", {})
        pointers.put_at(document, "bank/existing/capacity_ah", values["capacity_ah"])
        if COLD.name in values:
            state(COLD, document, values[COLD.name])
        if moved or "nominal_v" not in document["bank"]["existing"]:  # 12.8 V cells on a 12 V bus stay 12.8 V
            document["bank"]["existing"]["nominal_v"] = _volts(values["nominal_v"])
    if not values["has_ac"]:
        document.pop("ac", None)
        _forget(document, "ac/")


def _state_kind(document: dict[str, Any], values: Mapping[str, Any]) -> None:
    """The type of the bank, as far as somebody knows it: said with the type or with where the job is built."""
    existing, key = document["bank"].get("existing"), values["chemistry"]
    if existing and key != batteries.AS_STATED:
        pointers.put_at(existing, "chemistry", batteries.STATED_AS.get(key))


def _apply(document: dict[str, Any], form: Form, before: Form, values: Mapping[str, Any]) -> set[str]:
    """Take over what was edited under More; returns the pointers that the person has touched."""
    touched = set()
    for spec in MORE:
        if _absent(document, spec.pointer, values):
            continue
        if form[spec.name].text != before[spec.name].text and values[spec.name] is not None:
            pointers.put_at(document, spec.pointer, values[spec.name])
            touched.add(spec.pointer)
    for pointer in touched:
        _forget(document, pointer)
    return touched


def _forget(document: dict[str, Any], start: str) -> None:
    """Take marks off what starts like this."""
    if "assumed" in document:
        document["assumed"] = [pointer for pointer in document["assumed"] if not pointer.startswith(start)]


def _absent(document: Mapping[str, Any], pointer: str, values: Mapping[str, Any]) -> bool:
    """Whether the value belongs to a battery or an inverter that this job does not have."""
    if pointer.startswith("bank/existing/"):
        return not document["bank"].get("existing")
    return pointer.startswith("ac/") and not values["has_ac"]


def _refill(
    document: dict[str, Any],
    stored: dict[str, Any],
    values: Mapping[str, Any],
    form: Form,
    before: Form,
    touched: set[str],
) -> None:
    """Follow a changed type, voltage or size in everything the person has not set just now."""
    changed = _changed(form, before, "chemistry", "nominal_v")
    resized = form["capacity_ah"].text != before["capacity_ah"].text
    typical = _typical(values, stored)
    fresh = {
        pointer: value
        for pointer, value in typical.items()
        if pointer not in touched
        and (
            changed
            or pointers.get_at(document, pointer) is None
            or (resized and pointer.endswith("max_discharge_a") and pointer in stored.get("assumed", []))
        )
    }
    if form["fault_a"].text == "" and before["fault_a"].text:
        fresh["bus/fault_a"] = typical.get("bus/fault_a", batteries.BY_KEY["unsure"].fault_a)
    if values["has_ac"]:
        fresh |= {p: v for p, v in AC_TYPICAL.items() if pointers.get_at(document, p) is None}
    _fill(document, fresh)


def _changed(form: Form, before: Form, *names: str) -> set[str]:
    return {name for name in names if form[name].text != before[name].text}


def _typical(values: Mapping[str, Any], stored: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """What the type fills in: where figures are a bank's own, the type that is known of it."""
    key = values["chemistry"]
    if key == batteries.AS_STATED:
        key = batteries.known_of(stored or {})
    chemistry = batteries.BY_KEY[key]
    return batteries.typical(chemistry, _volts(values["nominal_v"]), values["capacity_ah"])


def _fill(document: dict[str, Any], figures: Mapping[str, Any]) -> None:
    """Put figures in and note that nobody has confirmed them."""
    assumed = document.setdefault("assumed", []) if figures else []
    for pointer, value in figures.items():
        pointers.put_at(document, pointer, value)
        if pointer not in assumed:
            assumed.append(pointer)


def _carry_marks(form: Form, before: Form) -> None:
    for name, field in form.fields.items():
        field.mark = before[name].mark if field.text == before[name].text else ""


def _refused(form: Form, document: dict[str, Any]) -> tuple[Form, dict[str, Any] | None]:
    """Stop at our ceiling, with the figure that passes it."""
    high_v = document["bus"]["high_v"]
    if high_v <= CEILING_V:
        return form, document
    words = _(
        "This battery reaches %(volts)s V while charging: above our ceiling of %(ceiling)s V DC, where live parts "
        "must be guarded even in dry places. We do not plan that.",
        volts=decimal(plain(high_v)),
        ceiling=f"{CEILING_V:g}",
    )
    home = form.fields.get("high_v")
    if home is not None and home.text == written(home.spec, high_v):
        home.error = words
    else:
        form["nominal_v"].error = " ".join(
            (words, _("Choose a lower voltage, or a type that is never charged that high."))
        )
    return form, None


def _volts(text: str) -> float:
    volts = float(text)
    return int(volts) if volts.is_integer() else volts
