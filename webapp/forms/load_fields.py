"""Fields of a load, the short form and the long one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from webapp.forms import help
from webapp.forms.fields import Spec
from webapp.texts import N_, _

FORMS = (
    ("dc-plug", N_("Round DC plug")),
    ("usb-c", N_("USB-C")),
    ("powered-ethernet", N_("Powered Ethernet")),
    ("dc-wire", N_("Two bare conductors")),
)
OTHER_PLACE = N_("This place is not there any more. Choose another.")
NO_PLACE = N_("Its place is not there any more, and no other is stated. Add a place first.")
LEADS = (("supplied", N_("Came with the load")), ("cut", N_("Cut from a spool")))
BEHAVIOURS = (
    ("constant_power", N_("Draws the same watts at any voltage (electronics)")),
    ("resistive", N_("Draws less at less voltage (heater, filament lamp)")),
)
FIRST = (
    Spec(name="name", label=N_("What it is"), pointer="name", kind="text"),
    Spec(name="place", label=N_("Where it sits"), pointer="place", kind="choice"),
    Spec(name="form", label=N_("How it takes its supply"), pointer="needs/form", kind="choice"),
    Spec(
        name="min_v",
        help=help.ACCEPTED_VOLTS,
        step=0.1,
        term="voltage-window",
        label=N_("Lowest voltage it accepts, volts"),
        pointer="needs/min_v",
        unit="V",
        quantity="voltage",
        hint=N_("Its manual says; 5 to 10 % below the label where it does not."),
    ),
    Spec(
        name="max_v",
        step=0.1,
        label=N_("Highest voltage it accepts, volts"),
        pointer="needs/max_v",
        unit="V",
        quantity="voltage",
    ),
    Spec(
        name="peak_w",
        help=help.PEAK_WATTS,
        label=N_("Most it draws, watts"),
        pointer="peak_w",
        unit="W",
        quantity="power",
        hint=N_("Volts times amps of the OUTPUT line."),
    ),
    Spec(
        name="typical_w",
        replaceable=True,  # by what a meter said
        help=help.USUAL_WATTS,
        term="typical-draw",
        label=N_("Usual draw while on, watts"),
        pointer="typical_w",
        unit="W",
        quantity="power",
        hint=N_("Measured is best; often half of the most."),
    ),
    Spec(
        name="hours_per_day",
        step=0.5,
        term="duty",
        label=N_("On for, hours a day"),
        pointer="hours_per_day",
        unit="h",
        quantity="time",
    ),
)
# What a plug-in meter said: no values of the document, they become the usual draw.
MEASURED = (
    Spec(
        name="measured_wh",
        label=N_("Energy on the meter, watt-hours"),
        unit="Wh",
        quantity="energy",
        optional=True,
        step=0,
        hint=N_("From the moment you plugged it in."),
    ),
    Spec(
        name="measured_h",
        label=N_("Over how long, hours"),
        unit="h",
        quantity="time",
        optional=True,
        hint=N_("Only the hours in which it was on, such as 1 h 30."),
    ),
)
SUPPLY = (
    Spec(name="switch", label=N_("Its circuit gets a switch"), pointer="switch", kind="tick", default=False),
    Spec(
        name="own_circuit",
        label=N_("It shares its circuit with nothing"),
        pointer="own_circuit",
        kind="tick",
        default=False,
    ),
    Spec(
        name="drop_pct",
        term="drop",
        quantity="percent",
        label=N_("Volts lost on the way, at most, percent"),
        pointer="drop_pct",
        unit="%",
        optional=True,
        hint=N_("Empty: the limit of the job. 5 % suits lights and motors."),
    ),
    Spec(
        name="max_fuse_a",
        step=1,
        label=N_("Largest fuse it allows when fed directly, amps"),
        pointer="max_fuse_a",
        unit="A",
        quantity="current",
        optional=True,
        hint=N_("From its manual. Empty and with its own lead: we take 5 A."),
    ),
    Spec(
        name="behaviour",
        term="behaviour",
        label=N_("How its draw follows the voltage"),
        pointer="behaviour",
        default="constant_power",
        kind="choice",
        choices=BEHAVIOURS,
    ),
    Spec(
        name="rated_v",
        step=0.1,
        label=N_("Voltage at which it draws its most, volts"),
        pointer="rated_v",
        unit="V",
        quantity="voltage",
        optional=True,
        hint=N_("Only for a heater or a filament lamp."),
    ),
)
CRITICAL = (
    Spec(
        name="critical",
        label=N_("Does health or safety depend on it?"),
        pointer="critical",
        kind="choice",
        optional=True,
        choices=(
            ("", N_("No")),
            ("health", N_("Somebody's health or life")),
            ("vehicle", N_("The safety of the vehicle or boat")),
        ),
        hint=N_(
            "Health: such as a breathing aid or an alarm. Vehicle: brakes, airbags, steering, road and navigation "
            "lights, bilge pumps, engine start. A qualified person then has to answer for the plan."
        ),
    ),
    Spec(
        name="keeps_supply",
        label=N_("It keeps the supply it has; this one is added beside it"),
        pointer="keeps_supply",
        kind="tick",
        default=False,
        hint=N_("The present supply of what keeps a vehicle or boat safe is never changed here."),
    ),
)
LENGTH = Spec(
    name="length_m",
    step=0.1,
    term="lead",
    label=N_("Length of a lead to cut, metres"),
    pointer="lead/length_m",
    unit="m",
    quantity="length",
    optional=True,
    hint=N_("Only for bare conductors: from the end of the run to the load."),
)
LEAD = (
    Spec(name="lead", label=N_("Its lead"), pointer="lead/kind", kind="choice", choices=LEADS),
    Spec(
        name="loop_ohm",
        help=help.LEAD_OHMS,
        term="loop-resistance",
        label=N_("Resistance of a lead that came with it, out and back, ohms"),
        pointer="lead/loop_ohm",
        unit="Ω",
        quantity="resistance",
        optional=True,
        hint=N_("0.05 suits a thin metre and a half. Powered Ethernet: about 1.2 for 20 m."),
    ),
    LENGTH,
)
BRICK = (
    Spec(name="has_brick", label=N_("It has a mains adapter today"), kind="tick"),
    Spec(
        name="brick_efficiency",
        term="efficiency",
        label=N_("Efficiency of the adapter, percent"),
        pointer="brick/efficiency",
        unit="%",
        percent=True,
        optional=True,
    ),
    Spec(
        name="brick_idle_w",
        step=0.1,
        label=N_("Adapter's own draw while the load is off, watts"),
        pointer="brick/idle_w",
        unit="W",
        quantity="power",
        optional=True,
    ),
)
MORE = SUPPLY + CRITICAL + LEAD + BRICK
SPECS = FIRST + MEASURED + MORE


def add_specs(document: Mapping[str, Any]) -> tuple[Spec, ...]:
    """The short form: a name, the OUTPUT line, a place."""
    return (
        Spec(
            name="output",
            term="output-line",
            label=N_("OUTPUT line of its adapter"),
            kind="text",
            hint=N_("As printed, such as 19.5V 3.34A. Not the INPUT line."),
        ),
        Spec(
            name="what",
            label=N_("What it is"),
            pointer="name",
            kind="text",
            optional=True,
            hint=N_("Such as: check-out laptop."),
        ),
        where_spec(document),
    )


def where_spec(document: Mapping[str, Any]) -> Spec:
    """Which place the next load goes to."""
    return Spec(name="where", label=N_("Where it sits"), kind="choice", choices=place_choices(document), named=True)


def place_choices(document: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    return tuple((place["id"], place.get("name") or place["id"]) for place in document["places"])


def place_gone(document: Mapping[str, Any]) -> str:
    """What to do where the place that a load was to sit at is not there any more."""
    said = OTHER_PLACE if document["places"] else NO_PLACE
    return _(said)


def specs_for(document: Mapping[str, Any], forms: Sequence[str]) -> tuple[Spec, ...]:
    """The long form's fields with this job's places and the forms of supply on offer."""
    known = dict(FORMS)
    extra = tuple((form, form.replace("-", " ").capitalize()) for form in forms if form not in known)
    changed: dict[str, dict[str, Any]] = {
        "place": {"choices": place_choices(document), "named": True},
        "form": {"choices": FORMS + extra},
    }
    return tuple(replace(spec, **changed[spec.name]) if spec.name in changed else spec for spec in SPECS)


def supply_forms(catalogue: Mapping[str, Any]) -> list[str]:
    """Every form of supply some part of the catalogue puts out."""
    return sorted({part["out_form"] for part in catalogue["parts"] if part["kind"] == "stage"})
