"""The first step: battery, panel and the outlets that exist today."""

from __future__ import annotations

import copy
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from optimizer.catalogue import CEILING_V
from webapp.forms import batteries, pointers
from webapp.forms.fields import Form, Spec, posted, shown
from webapp.forms.limits import new_limits

VOLTAGES = (("12", "12 V"), ("24", "24 V"), ("48", "48 V"))
KINDS = tuple((each.key, each.label) for each in batteries.CHEMISTRIES)
STATED = (batteries.AS_STATED, "As entered under More")

TITLE = Spec(
    name="title", label="Name of the job", pointer="title", kind="text", optional=True, hint="Such as: van, boat, hut."
)
FIRST = (
    TITLE,
    Spec(name="nominal_v", label="Battery voltage", pointer="bus/nominal_v", kind="choice", choices=VOLTAGES),
    Spec(name="chemistry", label="Type of battery", kind="choice", choices=KINDS),
    Spec(
        name="capacity_ah",
        label="Battery capacity, amp-hours",
        pointer="bank/existing/capacity_ah",
        unit="Ah",
        quantity="charge",
        optional=True,
        hint="On its sticker. Leave empty if there is no battery yet.",
    ),
    Spec(name="may_buy", label="A new battery may be bought", pointer="bank/may_buy", kind="tick"),
    Spec(
        name="has_ac",
        label="An inverter feeds mains outlets today",
        kind="tick",
        hint="Then we compare: what the loads draw through it, and fed directly.",
    ),
    Spec(
        name="spare_ways",
        label="Free fuse ways in the panel",
        pointer="bus/spare_ways",
        quantity="count",
        hint="Circuits beyond these get an in-line fuse holder.",
    ),
)
PANEL = (
    Spec(
        name="low_v",
        label="Lowest voltage at the panel, volts",
        pointer="bus/low_v",
        unit="V",
        quantity="voltage",
        hint="While loads run and the battery is nearly down.",
    ),
    Spec(
        name="high_v",
        label="Highest voltage at the panel, volts",
        pointer="bus/high_v",
        unit="V",
        quantity="voltage",
        hint="While charging. Count equalising, and the extra volts some chargers add in frost.",
    ),
    Spec(
        name="fault_a",
        label="Short-circuit current at the panel, amps",
        pointer="bus/fault_a",
        unit="A",
        quantity="current",
        optional=True,
        hint="Ask the battery's maker. Left empty we assume 20,000 A for lithium, 5,000 A for lead-acid.",
    ),
    Spec(
        name="fuse_style",
        label="Style of fuse the panel takes",
        pointer="bus/fuse_style",
        kind="choice",
        hint="Its fuses must be able to break the short-circuit current.",
    ),
    Spec(
        name="way_max_a",
        label="Largest fuse a way takes, amps",
        pointer="bus/way_max_a",
        unit="A",
        quantity="current",
    ),
    Spec(
        name="ambient_c",
        label="Hottest air around panel and cables, °C",
        pointer="bus/ambient_c",
        unit="°C",
        quantity="temperature",
    ),
)
BANK = (
    Spec(
        name="usable",
        label="Share of the capacity that may be used, percent",
        pointer="bank/existing/usable_fraction",
        unit="%",
        percent=True,
        optional=True,
        hint="Half is usual for lead-acid, most of it for lithium.",
    ),
    Spec(
        name="rated_hours",
        label="Discharge time the capacity is rated at, hours",
        pointer="bank/existing/rated_hours",
        unit="h",
        quantity="time",
        optional=True,
        hint="Often printed as C20 (20 hours) or C5.",
    ),
    Spec(
        name="peukert",
        label="Peukert's exponent",
        pointer="bank/existing/peukert",
        optional=True,
        hint="1 is ideal; lead-acid loses capacity at high current, about 1.15 to 1.3.",
    ),
    Spec(
        name="max_discharge_a",
        label="Largest lasting discharge, amps",
        pointer="bank/existing/max_discharge_a",
        unit="A",
        quantity="current",
        optional=True,
        hint="Of the battery or its management system, whichever is less.",
    ),
)
OUTLETS = (
    Spec(
        name="ac_efficiency",
        label="Inverter efficiency, percent",
        pointer="ac/efficiency",
        unit="%",
        percent=True,
        optional=True,
    ),
    Spec(
        name="ac_idle_w",
        label="Its own draw with nothing plugged in, watts",
        pointer="ac/idle_w",
        unit="W",
        quantity="power",
        optional=True,
    ),
    Spec(
        name="ac_hours",
        label="Switched on, hours a day",
        pointer="ac/on_hours_per_day",
        unit="h",
        quantity="time",
        optional=True,
    ),
    Spec(
        name="ac_max_w", label="Most it can feed, watts", pointer="ac/max_w", unit="W", quantity="power", optional=True
    ),
)
AC_TYPICAL = {"ac/efficiency": 0.88, "ac/idle_w": 10, "ac/on_hours_per_day": 24, "ac/max_w": 300}
NEW_PANEL = {"bus/way_max_a": 30, "bus/ambient_c": 30}
MORE = PANEL + BANK + OUTLETS
UNTITLED = "Untitled job"


@dataclass(frozen=True, slots=True, kw_only=True)
class FuseStyle:
    """A style of fuse the catalogue offers, and the largest fault its fuses break."""

    key: str
    interrupt_a: float
    max_v: float
    ratings: int

    @property
    def words(self) -> str:
        return f"{self.key.replace('-', ' ').capitalize()} (breaks up to {self.interrupt_a:,.0f} A)"


def fuse_styles(catalogue: Mapping[str, Any]) -> list[FuseStyle]:
    """The styles on offer, the one with most ratings first."""
    fuses: dict[str, list[Mapping[str, Any]]] = {}
    for part in catalogue["parts"]:
        if part["kind"] == "fuse":
            fuses.setdefault(part["style"], []).append(part)
    styles = [
        FuseStyle(
            key=key,
            interrupt_a=max(fuse["interrupt_a"] for fuse in members),
            max_v=max(fuse["max_v"] for fuse in members),
            ratings=len({fuse["rating_a"] for fuse in members}),
        )
        for key, members in fuses.items()
    ]
    return sorted(styles, key=lambda style: (-style.ratings, style.key))


def fitting_style(styles: Sequence[FuseStyle], fault_a: float, high_v: float) -> str:
    """A style that can break the fault at this voltage; the strongest there is where none can."""
    able = [style for style in styles if style.interrupt_a >= fault_a and style.max_v >= high_v]
    if able:
        return able[0].key
    return max(styles, key=lambda style: style.interrupt_a).key if styles else "blade-regular"


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


def specs_for(document: Mapping[str, Any] | None, styles: Sequence[FuseStyle]) -> tuple[Spec, ...]:
    """The fields, with the choices that this catalogue and this job allow."""
    if document is None:
        return FIRST
    keys = [(style.key, style.words) for style in styles]
    stated = document["bus"]["fuse_style"]
    if stated not in dict(keys):
        keys.append((stated, f"{stated} (no such fuse in the catalogue)"))
    nominal = _text(document["bus"]["nominal_v"])
    voltages = VOLTAGES if nominal in dict(VOLTAGES) else (*VOLTAGES, (nominal, f"{nominal} V"))
    changed = {
        "fuse_style": {"choices": tuple(keys)},
        "nominal_v": {"choices": voltages},
        "chemistry": {"choices": (*KINDS, STATED)},
    }
    return tuple(_with(spec, **changed.get(spec.name, {})) for spec in FIRST + MORE)


def _with(spec: Spec, **changes: Any) -> Spec:
    return replace(spec, **changes) if changes else spec


def _text(value: float) -> str:
    return format(value, "g")


def read_new(answers: Mapping[str, str], styles: Sequence[FuseStyle]) -> tuple[Form, dict[str, Any] | None]:
    """A new job from its first answers; None while something is wrong."""
    form, values = posted(FIRST, answers)
    if form.troubled:
        return form, None
    document: dict[str, Any] = {
        "format": "job/1",
        "title": values["title"] or UNTITLED,
        "bus": {},
        "bank": {"may_buy": values["may_buy"]},
        "places": [],
        "loads": [],
        "limits": new_limits(),
        "assumed": [],
    }
    _state(document, values)
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
    document["title"] = values["title"] or UNTITLED
    _state(document, values)
    touched = _apply(document, form, before, values)
    _refill(document, stored, values, form, before, touched)
    return _refused(form, document)


def _state(document: dict[str, Any], values: Mapping[str, Any]) -> None:
    """What the person says outright."""
    document["bus"] |= {"nominal_v": float(values["nominal_v"]), "spare_ways": values["spare_ways"]}
    document["bank"]["may_buy"] = values["may_buy"]
    if values["capacity_ah"] is None:
        document["bank"].pop("existing", None)
        document["assumed"] = [p for p in document.get("assumed", []) if not p.startswith("bank/existing")]
        document["bank"]["may_buy"] = True  # nothing to keep: one has to be bought
    else:
        document["bank"].setdefault("existing", {})
        document["bank"]["existing"] |= {"nominal_v": float(values["nominal_v"]), "capacity_ah": values["capacity_ah"]}
    if not values["has_ac"]:
        document.pop("ac", None)
        document["assumed"] = [p for p in document["assumed"] if not p.startswith("ac/")]


def _apply(document: dict[str, Any], form: Form, before: Form, values: Mapping[str, Any]) -> set[str]:
    """Take over what was edited under More; returns the pointers that the person has touched."""
    touched = set()
    for spec in MORE:
        if _absent(document, spec.pointer):
            continue
        if form[spec.name].text != before[spec.name].text and values[spec.name] is not None:
            pointers.put_at(document, spec.pointer, values[spec.name])
            touched.add(spec.pointer)
    document["assumed"] = [p for p in document.get("assumed", []) if p not in touched]
    return touched


def _absent(document: Mapping[str, Any], pointer: str) -> bool:
    """Whether the value belongs to a battery or an inverter that this job does not have."""
    if pointer.startswith("bank/existing"):
        return not document["bank"].get("existing")
    return False


def _refill(
    document: dict[str, Any],
    stored: dict[str, Any],
    values: Mapping[str, Any],
    form: Form,
    before: Form,
    touched: set[str],
) -> None:
    """Follow a changed type, voltage or size in everything the person has not set just now."""
    changed = {name for name in ("chemistry", "nominal_v") if form[name].text != before[name].text}
    resized = form["capacity_ah"].text != before["capacity_ah"].text
    typical = _typical(values)
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


def _typical(values: Mapping[str, Any]) -> dict[str, Any]:
    key = values["chemistry"]
    chemistry = batteries.BY_KEY["unsure" if key == batteries.AS_STATED else key]
    return batteries.typical(chemistry, float(values["nominal_v"]), values["capacity_ah"])


def _fill(document: dict[str, Any], figures: Mapping[str, Any]) -> None:
    """Put figures in and note that nobody has confirmed them."""
    for pointer, value in figures.items():
        pointers.put_at(document, pointer, value)
        if pointer not in document["assumed"]:
            document["assumed"].append(pointer)


def _carry_marks(form: Form, before: Form) -> None:
    for name, field in form.fields.items():
        field.mark = before[name].mark if field.text == before[name].text else ""


def _refused(form: Form, document: dict[str, Any]) -> tuple[Form, dict[str, Any] | None]:
    """Stop at our ceiling, with the figure that passes it."""
    high_v = document["bus"]["high_v"]
    if high_v <= CEILING_V:
        return form, document
    words = (
        f"This battery reaches {high_v:g} V while charging: above our ceiling of {CEILING_V:g} V DC, where live parts "
        "must be guarded even in dry places. We do not plan that."
    )
    home = form.fields.get("high_v")
    if home is not None and home.text == _text(high_v):
        home.error = words
    else:
        form["nominal_v"].error = f"{words} Choose a lower voltage, or a type that is never charged that high."
    return form, None
