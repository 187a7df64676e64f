"""What a part must be: the figures that another one in its place has to reach. Read in the aisle, so kept short."""

from __future__ import annotations

from collections.abc import Callable
from functools import singledispatch

from optimizer.catalogue import (
    BankKit,
    Battery,
    Cable,
    Catalogue,
    Fuse,
    Holder,
    Junction,
    Offer,
    Part,
    Stage,
    Switch,
    Terminal,
)
from webapp.present.styles import style_words
from webapp.present.told import told_plainly
from webapp.present.words import exactly, form_words, quantity
from webapp.texts import _


def must_be(catalogue: Catalogue, offer: Offer) -> tuple[str, ...]:
    """A line for each part of an offer that a rating binds; parts named where there are several of them."""
    parts = [catalogue.part(content.part) for content in offer.contents]
    said = [(part, part_must_be(part)) for part in parts]
    named: Callable[[Part, str], str] = (
        (lambda part, words: f"{told_plainly(part.label)}: {words}") if len(parts) > 1 else (lambda _part, words: words)
    )
    return tuple(named(part, words) for part, words in said if words)


@singledispatch
def part_must_be(part: Part) -> str:  # noqa: ARG001 - kinds without a rating
    """What this part must be; empty where no rating binds it."""
    return ""


@part_must_be.register
def _fuse(part: Fuse) -> str:
    return _(
        "%(style)s, %(rating)s exactly, rated %(volts)s DC or more, able to break %(breaks)s or more",
        rating=_of(part.rating_a, "A"),
        style=style_words(part.style),
        volts=_of(part.max_v, "V"),
        breaks=_of(part.interrupt_a, "A"),
    )


@part_must_be.register
def _cable(part: Cable) -> str:
    return _(
        "copper, %(area)s exactly, %(cores)s, insulation for %(heat)s or more, for %(amps)s or more",
        area=_of(part.mm2, "mm²"),
        cores=_cores(part),
        heat=_of(part.insulation_c, "°C"),
        amps=_of(part.ampacity_a, "A"),
    )


def _cores(part: Cable) -> str:
    if part.cores == 2:
        return _("twin")
    return _("single, for +") if part.polarity == "positive" else _("single, for −")


@part_must_be.register
def _stage(part: Stage) -> str:
    takes = _("for %(low)s to %(high)s DC in", low=exactly(part.in_min_v), high=_of(part.in_max_v, "V"))
    if part.out_v is None:
        return _(
            "%(takes)s, the same out as %(form)s, %(power)s or more",
            takes=takes,
            form=form_words(part.out_form),
            power=_of(part.max_out_w, "W"),
        )
    gives = _(
        "%(takes)s, %(volts)s out as %(form)s, %(power)s or more without a pause",
        takes=takes,
        volts=_of(part.out_v, "V"),
        form=form_words(part.out_form),
        power=_of(part.max_out_w, "W"),
    )
    return _("%(gives)s, limiting its own output current", gives=gives) if part.limits_output else gives


@part_must_be.register
def _holder(part: Holder) -> str:
    return _(
        "for this fuse: %(style)s; %(amps)s or more, rated %(volts)s DC or more",
        style=style_words(part.style),
        amps=_of(part.max_a, "A"),
        volts=_of(part.max_v, "V"),
    )


@part_must_be.register
def _switch(part: Switch) -> str:
    return _(
        "able to break %(amps)s or more at %(volts)s DC or more; an AC rating does not count",
        amps=_of(part.max_a, "A"),
        volts=_of(part.max_v, "V"),
    )


@part_must_be.register
def _junction(part: Junction) -> str:
    return _(
        "for %(amps)s or more, rated %(volts)s DC or more, %(outlets)s outlets or more, each for %(area)s",
        amps=_of(part.max_a, "A"),
        volts=_of(part.max_v, "V"),
        outlets=part.outlets,
        area=_of(part.mm2_max, "mm²"),
    )


@part_must_be.register
def _terminal(part: Terminal) -> str:
    if part.mm2_min == part.mm2_max:
        return _("for copper of %(area)s", area=_of(part.mm2_max, "mm²"))
    return _("for copper of %(least)s to %(most)s", least=exactly(part.mm2_min), most=_of(part.mm2_max, "mm²"))


@part_must_be.register
def _battery(part: Battery) -> str:
    return _(
        "%(volts)s, %(capacity)s or more, %(amps)s or more without a pause, of the type named",
        volts=_of(part.nominal_v, "V"),
        capacity=_of(part.capacity_ah, "Ah"),
        amps=_of(part.max_discharge_a, "A"),
    )


@part_must_be.register
def _bank_kit(part: BankKit) -> str:
    return _(
        "for %(amps)s or more, rated %(volts)s DC or more, able to break %(breaks)s or more",
        amps=_of(part.max_a, "A"),
        volts=_of(part.max_v, "V"),
        breaks=_of(part.interrupt_a, "A"),
    )


def _of(value: float, unit: str) -> str:
    return quantity(value, unit, 6)
