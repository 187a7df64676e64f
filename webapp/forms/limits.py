"""The fourth step: what the plan has to keep to."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from typing import Any

from webapp.forms.fields import Form, Spec, posted, shown, state

FIRST = (
    Spec(
        name="autonomy_h",
        label="Must last without charging, hours",
        pointer="limits/autonomy_h",
        unit="h",
        quantity="time",
        hint="No sun, no engine, no charger counted.",
    ),
    Spec(
        name="drop_pct",
        quantity="percent",
        label="Volts lost on the way, at most, percent",
        pointer="limits/drop_pct",
        unit="%",
        hint="3 % suits electronics. A load can have its own limit.",
    ),
    Spec(
        name="headroom_pct",
        quantity="percent",
        label="Room to spare in every converter, percent",
        pointer="limits/headroom_pct",
        unit="%",
        hint="Converters that run flat out run hot.",
    ),
    Spec(
        name="budget_cents",
        quantity="money",
        label="Most it may cost, delivery included",
        pointer="limits/budget_cents",
        optional=True,
        hint="Such as 450. Leave it empty to see the cheapest there is, whatever it costs.",
    ),
)
MORE = (
    Spec(
        name="bank_derate",
        label="Share of the rated battery capacity counted on, percent",
        pointer="limits/bank_derate",
        unit="%",
        percent=True,
        hint="For age and cold: 80 % suits a battery some years old.",
    ),
    Spec(
        name="conductor_c",
        label="Temperature of the copper, °C",
        pointer="limits/conductor_c",
        unit="°C",
        quantity="temperature",
        hint="Warm copper resists more. 50 °C suits a loaded cable.",
    ),
    Spec(
        name="slack_m",
        label="Added to every cut, metres",
        pointer="limits/slack_m",
        unit="m",
        quantity="length",
        hint="For ends, bends and one mistake.",
    ),
    Spec(
        name="min_mm2",
        default=0,
        label="Thinnest conductor allowed, mm²",
        pointer="limits/min_mm2",
        unit="mm²",
        quantity="area",
        hint="Thin conductors break at terminals.",
    ),
    Spec(
        name="wiring_allowance_pct",
        quantity="percent",
        label="Energy lost in the wiring, percent",
        pointer="limits/wiring_allowance_pct",
        unit="%",
    ),
    Spec(
        name="far_fault_multiple",
        default=0,
        label="A short at the far end drives at least so many times the fuse",
        pointer="limits/far_fault_multiple",
        unit="×",
        hint="So that the fuse still blows. 5 is our own default; 0 does not ask.",
    ),
    Spec(
        name="fuse_ratio_max",
        label="Fuse at most so many times the current",
        pointer="limits/fuse_ratio_max",
        unit="×",
        optional=True,
        hint="A fuse far above the current protects little. Empty does not ask.",
    ),
    Spec(
        name="joint_mohm",
        default=0,
        label="Resistance of joints in each circuit, milliohms",
        pointer="limits/joint_mohm",
        unit="mΩ",
        hint="Fuse, holder, switch and terminals together.",
    ),
)
TICKS = (
    Spec(
        name="count_circuits",
        default=False,
        label="Count our own circuits as bundled",
        pointer="limits/count_circuits",
        kind="tick",
        hint="Cables side by side heat each other and carry less.",
    ),
    Spec(
        name="count_joints",
        default=False,
        label="Count the parts at joints",
        pointer="limits/count_joints",
        kind="tick",
        hint="Terminals at holders and switches, a junction where several loads share a circuit.",
    ),
)
# Two freedoms that can save money (docs/planning-rules-additions.md). Off unless somebody wants them.
FREEDOMS = (
    Spec(
        name="boost_at_panel",
        default=False,
        label="A converter may stand at the panel",
        pointer="limits/boost_at_panel",
        kind="tick",
        hint=(
            "It raises the voltage there, so that a long run gets by with thinner cable. "
            "Off at first: each takes a fuse way of its own, and room and air beside the panel."
        ),
    ),
    Spec(
        name="panel_run_m",
        quantity="length",
        default=0.5,
        optional=True,
        label="Cable from the panel to such a converter, metres",
        pointer="limits/panel_run_m",
        unit="m",
        hint="One way, up to 5 m. Empty: 0.5 m.",
    ),
    Spec(
        name="share_stages",
        default=False,
        label="One converter may feed several loads",
        pointer="limits/share_stages",
        kind="tick",
        hint=(
            "At one place, as many as it has outlets and power for. "
            "Off at first: when a shared converter fails or is unplugged, all of its loads go dark."
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
    if form.troubled:
        return form, None
    document = copy.deepcopy(stored)
    for spec in SPECS:
        state(spec, document, values[spec.name])
    return form, document
