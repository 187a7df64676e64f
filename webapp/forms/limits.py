"""The fourth step: what the plan has to keep to."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from typing import Any

from webapp.forms.fields import Form, Spec, posted, shown, state
from webapp.forms.reading import written
from webapp.texts import N_, _, decimal

USUAL_AMBIENT_C = 30.0  # what a job that does not say is planned for
ROUNDED_C = 0.1  # shown in °F and read again, a temperature may be so much lower

FIRST = (
    Spec(
        name="autonomy_h",
        step=1,
        term="autonomy",
        label=N_("Must last without charging, hours"),
        pointer="limits/autonomy_h",
        unit="h",
        quantity="time",
        hint=N_("No sun, no engine, no charger counted."),
    ),
    Spec(
        name="drop_pct",
        step=0.5,
        term="drop",
        quantity="percent",
        label=N_("Volts lost on the way, at most, percent"),
        pointer="limits/drop_pct",
        unit="%",
        hint=N_("3 % suits electronics. A load can have its own limit."),
    ),
    Spec(
        name="headroom_pct",
        step=5,
        term="headroom",
        quantity="percent",
        label=N_("Room to spare in every converter, percent"),
        pointer="limits/headroom_pct",
        unit="%",
        hint=N_("Converters that run flat out run hot."),
    ),
    Spec(
        name="budget_cents",
        quantity="money",
        label=N_("Most it may cost, delivery included"),
        pointer="limits/budget_cents",
        optional=True,
        hint=N_("Such as 450. Leave it empty to see the cheapest there is, whatever it costs."),
    ),
)
MORE = (
    Spec(
        name="bank_derate",
        term="derating",
        label=N_("Share of the rated battery capacity counted on, percent"),
        pointer="limits/bank_derate",
        unit="%",
        percent=True,
        hint=N_("For age and cold: 80 % suits a battery some years old."),
    ),
    Spec(
        name="conductor_c",
        label=N_("Temperature of the copper, °C"),
        pointer="limits/conductor_c",
        unit="°C",
        quantity="temperature",
        hint=N_("Warm copper resists more. 50 °C suits a loaded cable."),
    ),
    Spec(
        name="slack_m",
        step=0.05,
        label=N_("Added to every cut, metres"),
        pointer="limits/slack_m",
        unit="m",
        quantity="length",
        hint=N_("For ends, bends and one mistake."),
    ),
    Spec(
        name="min_mm2",
        default=0,
        label=N_("Thinnest conductor allowed, mm²"),
        pointer="limits/min_mm2",
        unit="mm²",
        quantity="area",
        hint=N_("Thin conductors break at terminals."),
    ),
    Spec(
        name="wiring_allowance_pct",
        step=0.5,
        quantity="percent",
        label=N_("Energy lost in the wiring, percent"),
        pointer="limits/wiring_allowance_pct",
        unit="%",
    ),
    Spec(
        name="far_fault_multiple",
        step=1,
        term="far-fault",
        default=0,
        label=N_("A short at the far end drives at least so many times the fuse"),
        pointer="limits/far_fault_multiple",
        unit="×",
        hint=N_("So that the fuse still blows. 5 is our own default; 0 does not ask."),
    ),
    Spec(
        name="fuse_ratio_max",
        step=0.5,
        label=N_("Fuse at most so many times the current"),
        pointer="limits/fuse_ratio_max",
        unit="×",
        optional=True,
        hint=N_("A fuse far above the current protects little. Empty does not ask."),
    ),
    Spec(
        name="joint_mohm",
        step=1,
        term="joint",
        default=0,
        label=N_("Resistance of joints in each circuit, milliohms"),
        pointer="limits/joint_mohm",
        unit="mΩ",
        hint=N_("Fuse, holder, switch and terminals together."),
    ),
)
TICKS = (
    Spec(
        name="count_circuits",
        term="bundled",
        default=False,
        label=N_("Count our own circuits as bundled"),
        pointer="limits/count_circuits",
        kind="tick",
        hint=N_("Cables side by side heat each other and carry less."),
    ),
    Spec(
        name="count_joints",
        default=False,
        label=N_("Count the parts at joints"),
        pointer="limits/count_joints",
        kind="tick",
        hint=N_("Terminals at holders and switches, a junction where several loads share a circuit."),
    ),
)
# Two freedoms that can save money (docs/planning-rules-additions.md). Off unless somebody wants them.
FREEDOMS = (
    Spec(
        name="boost_at_panel",
        term="converter",
        default=False,
        label=N_("A converter may stand at the panel"),
        pointer="limits/boost_at_panel",
        kind="tick",
        hint=(
            N_(
                "It raises the voltage there, so that a long run gets by with thinner cable. "
                "Off at first: each takes a fuse way of its own, and room and air beside the panel."
            )
        ),
    ),
    Spec(
        name="panel_run_m",
        step=0.1,
        quantity="length",
        default=0.5,
        optional=True,
        label=N_("Cable from the panel to such a converter, metres"),
        pointer="limits/panel_run_m",
        unit="m",
        hint=N_("One way, up to 5 m. Empty: 0.5 m."),
    ),
    Spec(
        name="share_stages",
        term="converter",
        default=False,
        label=N_("One converter may feed several loads"),
        pointer="limits/share_stages",
        kind="tick",
        hint=(
            N_(
                "At one place, as many as it has outlets and power for. "
                "Off at first: when a shared converter fails or is unplugged, all of its loads go dark."
            )
        ),
    ),
)
SPECS = FIRST + MORE + TICKS + FREEDOMS


def new_limits() -> dict[str, Any]:
    """Where every new job starts: the usual limits and all the safer ones."""
    return {
        "drop_pct": 3,
        "headroom_pct": 20,
        "autonomy_h": 24,
        "bank_derate": 0.8,
        "conductor_c": 50,
        "slack_m": 0.3,
        "wiring_allowance_pct": 3,
        "min_mm2": 1,
        "far_fault_multiple": 5,
        "count_circuits": True,
        "fuse_ratio_max": 2,
        "joint_mohm": 5,
        "count_joints": True,
    }


def edit_form(document: Mapping[str, Any]) -> Form:
    return shown(SPECS, document)


def read_edit(answers: Mapping[str, str], stored: dict[str, Any]) -> tuple[Form, dict[str, Any] | None]:
    """The stored job with its limits answered anew; None while something is wrong."""
    form, values = posted(SPECS, answers)
    _refuse_cool_copper(form, values, stored)
    if form.troubled:
        return form, None
    document = copy.deepcopy(stored)
    for spec in SPECS:
        state(spec, document, values[spec.name])
    return form, document


def _refuse_cool_copper(form: Form, values: Mapping[str, Any], stored: Mapping[str, Any]) -> None:
    """Cool copper makes every drop look smaller than it is."""
    field, copper_c = form["conductor_c"], values.get("conductor_c")
    bus_c = stored["bus"].get("ambient_c", USUAL_AMBIENT_C)
    warmest_c = max([bus_c, *(place.get("ambient_c", bus_c) for place in stored["places"])])
    if copper_c is not None and copper_c < warmest_c - ROUNDED_C:
        least = decimal(written(field.spec, warmest_c))
        field.error = _("Copper is never cooler than the air around it: enter %(least)s or more.", least=least)
