"""Fields of the battery step."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from webapp.forms import batteries, help
from webapp.forms.fields import Spec
from webapp.forms.fuse_styles import FuseStyle
from webapp.forms.reading import plain
from webapp.present.styles import style_words
from webapp.texts import N_, _, decimal

VOLTAGES = (("12", "12 V"), ("24", "24 V"), ("48", "48 V"))
KINDS = tuple((each.key, each.label) for each in batteries.CHEMISTRIES)
STATED = (batteries.AS_STATED, N_("As entered under More"))

TITLE = Spec(
    name="title",
    label=N_("Name of the job"),
    pointer="title",
    kind="text",
    optional=True,
    hint=N_("Such as: van, boat, hut."),
)
SETTING = Spec(
    name="setting",
    label=N_("Where is it built?"),
    pointer="setting",
    kind="choice",
    optional=True,
    choices=(
        ("", N_("Not said yet")),
        ("vehicle", N_("In a vehicle or trailer")),
        ("boat", N_("On a boat")),
        ("land", N_("In a building, a hut or outdoors")),
    ),
    hint=N_(
        "Boats have rules of their own: while this is open, a system above 50 V, and lithium above 500 Wh, are taken "
        "for a boat's."
    ),
)
MAY_BUY = Spec(
    name="may_buy", label=N_("A new battery may be bought"), pointer="bank/may_buy", kind="tick", default=False
)
FIRST = (
    TITLE,
    SETTING,
    Spec(name="nominal_v", label=N_("Battery voltage"), pointer="bus/nominal_v", kind="choice", choices=VOLTAGES),
    Spec(name="chemistry", label=N_("Type of battery"), kind="choice", choices=KINDS),
    Spec(
        name="capacity_ah",
        term="ah",
        label=N_("Battery capacity, amp-hours"),
        pointer="bank/existing/capacity_ah",
        unit="Ah",
        quantity="charge",
        optional=True,
        hint=N_("On its sticker. Leave empty if there is no battery yet."),
    ),
    MAY_BUY,
    Spec(
        name="has_ac",
        term="inverter",
        label=N_("An inverter feeds mains outlets today"),
        kind="tick",
        hint=N_("Then we compare: what the loads draw through it, and fed directly."),
    ),
    Spec(
        name="spare_ways",
        term="fuse-way",
        label=N_("Free fuse ways in the panel"),
        pointer="bus/spare_ways",
        quantity="count",
        hint=N_("Circuits beyond these get an in-line fuse holder."),
    ),
)
PANEL = (
    Spec(
        name="low_v",
        help=help.LOW_VOLTS,
        step=0.1,
        term="voltage-window",
        label=N_("Lowest voltage at the panel, volts"),
        pointer="bus/low_v",
        unit="V",
        quantity="voltage",
        hint=N_("While loads run and the battery is nearly down."),
    ),
    Spec(
        name="high_v",
        help=help.HIGH_VOLTS,
        step=0.1,
        label=N_("Highest voltage at the panel, volts"),
        pointer="bus/high_v",
        unit="V",
        quantity="voltage",
        hint=N_("While charging. Count equalising, and the extra volts some chargers add in frost."),
    ),
    Spec(
        name="fault_a",
        help=help.FAULT_CURRENT,
        step=0,
        term="fault-current",
        label=N_("Short-circuit current at the panel, amps"),
        pointer="bus/fault_a",
        unit="A",
        quantity="current",
        optional=True,
        hint=N_("Ask the battery's maker. Left empty we assume 20,000 A for lithium, 5,000 A for lead-acid."),
    ),
    Spec(
        name="fuse_style",
        term="breaking-capacity",
        label=N_("Style of fuse the panel takes"),
        pointer="bus/fuse_style",
        kind="choice",
        hint=N_("Its fuses must be able to break the short-circuit current."),
    ),
    Spec(
        name="way_max_a",
        term="fuse-way",
        label=N_("Largest fuse a way takes, amps"),
        pointer="bus/way_max_a",
        unit="A",
        quantity="current",
    ),
    Spec(
        name="ambient_c",
        term="ambient",
        label=N_("Hottest air around panel and cables, °C"),
        pointer="bus/ambient_c",
        default=30,
        unit="°C",
        quantity="temperature",
    ),
)
AROUND = (
    Spec(
        name="panel_wet",
        label=N_("The panel gets wet"),
        pointer="bus/wet",
        kind="tick",
        default=False,
        hint=N_("Rain, spray or a hose. Above 30 V a qualified person then has to answer for the plan."),
    ),
    Spec(
        name="panel_fuel",
        label=N_("Petrol or gas where battery or panel stand"),
        pointer="bus/fuel",
        kind="tick",
        default=False,
        hint=N_("Fuses, switches and terminals spark: a qualified person then has to answer for the plan."),
    ),
)
COLD = Spec(
    name="charged_cold",
    label=N_("It may be charged below 0 °C, without heater or block"),
    pointer="bank/existing/charged_cold",
    kind="tick",
    default=False,
    hint=N_("Frost ruins lithium cells that are charged. A qualified person then has to answer for the plan."),
)
BANK = (
    Spec(
        name="usable",
        help=help.USABLE_SHARE,
        term="usable-share",
        label=N_("Share of the capacity that may be used, percent"),
        pointer="bank/existing/usable_fraction",
        unit="%",
        percent=True,
        optional=True,
        hint=N_("Half is usual for lead-acid, most of it for lithium."),
    ),
    Spec(
        name="rated_hours",
        help=help.RATED_HOURS,
        label=N_("Discharge time the capacity is rated at, hours"),
        pointer="bank/existing/rated_hours",
        unit="h",
        quantity="time",
        optional=True,
        hint=N_("Often printed as C20 (20 hours) or C5."),
    ),
    Spec(
        name="peukert",
        term="peukert",
        label=N_("Peukert's exponent"),
        pointer="bank/existing/peukert",
        optional=True,
        hint=N_("1 is ideal; lead-acid loses capacity at high current, about 1.15 to 1.3."),
    ),
    Spec(
        name="max_discharge_a",
        step=10,
        label=N_("Largest lasting discharge, amps"),
        pointer="bank/existing/max_discharge_a",
        unit="A",
        quantity="current",
        optional=True,
        hint=N_("Of the battery or its management system, whichever is less."),
    ),
)
OUTLETS = (
    Spec(
        name="ac_efficiency",
        term="efficiency",
        label=N_("Inverter efficiency, percent"),
        pointer="ac/efficiency",
        unit="%",
        percent=True,
        optional=True,
    ),
    Spec(
        name="ac_idle_w",
        step=1,
        label=N_("Its own draw with nothing plugged in, watts"),
        pointer="ac/idle_w",
        unit="W",
        quantity="power",
        optional=True,
    ),
    Spec(
        name="ac_hours",
        label=N_("Switched on, hours a day"),
        pointer="ac/on_hours_per_day",
        unit="h",
        quantity="time",
        optional=True,
    ),
    Spec(
        name="ac_max_w",
        step=50,
        label=N_("Most it can feed, watts"),
        pointer="ac/max_w",
        unit="W",
        quantity="power",
        optional=True,
    ),
)
MORE = PANEL + BANK + OUTLETS


def specs_for(document: Mapping[str, Any], styles: Sequence[FuseStyle]) -> tuple[Spec, ...]:
    """The fields, with the choices that this catalogue and this job allow."""
    keys = [(style.key, style.words) for style in styles]
    stated = document["bus"]["fuse_style"]
    if stated not in dict(keys):
        keys.append((stated, _("%(style)s (no such fuse in the catalogue)", style=style_words(stated))))
    nominal = plain(document["bus"]["nominal_v"])
    voltages = VOLTAGES if nominal in dict(VOLTAGES) else (*VOLTAGES, (nominal, f"{decimal(nominal)} V"))
    changed: dict[str, dict[str, Any]] = {
        "fuse_style": {"choices": tuple(keys), "named": True},
        "nominal_v": {"choices": voltages},
        "chemistry": {"choices": (*KINDS, STATED)},
    }
    return tuple(_with(spec, **changed.get(spec.name, {})) for spec in FIRST + MORE + AROUND + (COLD,))


def _with(spec: Spec, **changes: Any) -> Spec:
    return replace(spec, **changes) if changes else spec
