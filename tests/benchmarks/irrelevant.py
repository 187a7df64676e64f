"""Offers that no feed of a job can use, at every seller: a large shop's shelves around the few parts that matter."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace

from optimizer.catalogue import (
    Cable,
    Catalogue,
    Content,
    Fuse,
    Holder,
    Offer,
    Part,
    Stage,
    Switch,
    Terminal,
)

STYLE_OF_OTHERS = "bottle"  # a fuse style no panel here takes
FORM_OF_OTHERS = "barrel-jack-6"  # a form of supply that no load here asks for


def with_irrelevant_offers(catalogue: Catalogue, count: int, seed: int = 0) -> Catalogue:
    """The catalogue with so many offers more, about one part to two offers; no plan of any job here needs one.

    Converters for a form nobody asks for, converters that need 65 V and more, fuses and holders of another style,
    switches for 5 V, terminals and single cables above 100 mm² of one polarity only.
    """
    dice = random.Random(f"irrelevant {seed}")
    made = [_part(n, dice) for n in range((count + 1) // 2)]
    offers = tuple(_offers(made, [seller.id for seller in catalogue.sellers], count, dice))
    return replace(catalogue, parts=(*catalogue.parts, *made), offers=(*catalogue.offers, *offers))


def _offers(parts: list[Part], sellers: list[str], count: int, dice: random.Random) -> Iterator[Offer]:
    for n in range(count):
        part = parts[n // 2]
        is_cable = isinstance(part, Cable)
        content = (
            Content(part=part.id, length_m=dice.choice((5, 10, 25))) if is_cable else Content(part=part.id, count=1)
        )
        yield Offer(
            id=f"other-{n:06d}",
            seller=sellers[n % len(sellers)],
            price_cents=dice.randint(20, 40_000),
            contents=(content,),
        )


def _part(number: int, dice: random.Random) -> Part:
    name = f"other-{number:06d}"
    match number % 7:
        case 0:
            return _stage(name, 9.0, FORM_OF_OTHERS, dice)
        case 1:
            return _stage(name, 65.0, "usb-c", dice)
        case 2:
            rating_a = dice.choice((1, 2, 4, 6, 10, 16, 25))
            return Fuse(id=name, style=STYLE_OF_OTHERS, rating_a=rating_a, max_v=80, interrupt_a=3000)
        case 3:
            return Holder(id=name, style=STYLE_OF_OTHERS, max_a=63, max_v=80)
        case 4:
            return Switch(id=name, max_a=dice.choice((1, 3, 6)), max_v=5)
        case 5:
            return Terminal(id=name, mm2_min=120, mm2_max=150)
        case _:
            return _cable(name, dice)


def _stage(name: str, least_v: float, form: str, dice: random.Random) -> Stage:
    return Stage(
        id=name,
        in_form="dc-wire",
        in_min_v=least_v,
        in_max_v=least_v + 40,
        out_form=form,
        out_v=dice.choice((5, 12, 20)),
        max_out_w=dice.choice((30, 60, 120)),
        efficiency=round(dice.uniform(0.8, 0.95), 3),
        idle_w=0.5,
    )


def _cable(name: str, dice: random.Random) -> Cable:
    """A positive single of a size that has no negative: no pair."""
    return Cable(
        id=name,
        mm2=dice.choice((120, 150)),
        cores=1,
        polarity="positive",
        ohm_per_km_20c=0.15,
        ampacity_a=300,
        insulation_c=90,
    )
