"""From classes and loads back to named runs, offers and rests."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import islice

from .answer import Cut, CutLength, Purchase, Source
from .greedy import Packed
from .instance import Instance
from .pieces import Counts
from .request import CutListRequest


def lengths_of(request: CutListRequest, instance: Instance, packed: Packed) -> list[CutLength]:
    """Every length that is bought, and every owned one, with its named cuts."""
    runs = request.runs
    waiting = [
        iter(
            [
                Cut(run=runs[at].id, number=number + 1, length_mm=runs[at].length_mm)
                for at in members
                for number in range(runs[at].quantity)
            ]
        )
        for members in instance.runs
    ]
    return [
        _length(request, origin, _cuts(waiting, load))
        for origin, load in zip(_origins(request, instance, packed), packed.loads, strict=True)
    ]


def _cuts(waiting: list[Iterator[Cut]], load: Counts) -> tuple[Cut, ...]:
    return tuple([cut for at, count in enumerate(load) if count for cut in islice(waiting[at], count)])


def _origins(
    request: CutListRequest, instance: Instance, packed: Packed
) -> Iterator[tuple[Source, str, int, str, int]]:
    for kind, count in zip(instance.kinds, packed.mix.counts, strict=True):
        for unit in range(count):
            yield "spool", kind.spool.offer, unit, kind.spool.cable, kind.spool.length_mm
    for reel, steps in zip(instance.reels, packed.mix.steps, strict=True):
        if steps:
            yield "by_the_metre", reel.offer.offer, 0, reel.offer.cable, reel.offer.step_mm * steps
    for stock in instance.stock:
        owned = request.owned[stock.at]
        yield "owned", owned.id, 0, owned.cable, owned.length_mm


def _length(request: CutListRequest, origin: tuple[Source, str, int, str, int], cuts: tuple[Cut, ...]) -> CutLength:
    source, name, unit, cable, length_mm = origin
    settings = request.settings
    rest_mm = length_mm
    if cuts:
        used_mm = settings.trim_mm + sum([cut.length_mm for cut in cuts]) + settings.kerf_mm * len(cuts)
        rest_mm = max(length_mm - used_mm, 0)
    return CutLength(
        source=source,
        id=name,
        unit=unit,
        cable=cable,
        length_mm=length_mm,
        cuts=cuts,
        rest_mm=rest_mm,
        keep=bool(cuts) and rest_mm >= max(settings.least_offcut_mm, 1),
    )


def purchases_of(request: CutListRequest, lengths: list[CutLength]) -> tuple[Purchase, ...]:
    """What is bought, in the order of the offers."""
    spools = Counter(length.id for length in lengths if length.source == "spool")
    metres = {length.id: length.length_mm for length in lengths if length.source == "by_the_metre"}
    bought = [
        Purchase(offer=s.offer, cable=s.cable, quantity=spools[s.offer], price_cents=s.price_cents * spools[s.offer])
        for s in request.spools
        if spools[s.offer]
    ]
    for offer in request.by_the_metre:
        if offer.offer in metres:
            steps = metres[offer.offer] // offer.step_mm
            bought.append(
                Purchase(offer=offer.offer, cable=offer.cable, quantity=steps, price_cents=steps * offer.step_cents)
            )
    return tuple(bought)
