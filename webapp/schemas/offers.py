"""Rules between the sellers, parts and offers of a catalogue."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from webapp.texts import _

from .faults import Fault, join, quoted, shown
from .records import Sound


def sellers_exist(catalogue: Sound) -> Iterator[Fault]:
    if "sellers" not in catalogue:
        return  # the list itself is at fault
    known = {seller["id"] for seller in _sound(catalogue["sellers"]) if "id" in seller}
    for index, offer in enumerate(catalogue.get("offers", [])):
        seller = (offer or {}).get("seller")
        if seller is not None and seller not in known:
            at = join("offers", str(index), "seller")
            yield Fault(pointer=at, message=f"there is no seller called {quoted(seller)}")


def offers_hold_known_parts(catalogue: Sound) -> Iterator[Fault]:
    if "parts" not in catalogue:
        return
    kinds = {part["id"]: part.get("kind") for part in _sound(catalogue["parts"]) if "id" in part}
    for index, offer in enumerate(catalogue.get("offers", [])):
        for row, content in enumerate((offer or {}).get("contents") or []):
            if content:
                for fault in amount_suits_part(content, kinds):
                    yield fault.below(join("offers", str(index), "contents", str(row)))
        yield from _by_the_metre_is_cable(offer or {}, kinds, index)


def amount_suits_part(content: dict[str, Any], kinds: dict[str, str | None]) -> Iterator[Fault]:
    """The part exists; a cable is measured, everything else counted."""
    part = content.get("part")
    if part is None:
        return
    if part not in kinds:
        yield Fault(pointer="part", message=_("there is no part called %(name)s", name=quoted(part)))
    elif kinds[part] == "cable" and content.get("count") is not None:
        yield Fault(
            pointer="count", message=_("%(name)s is a cable: state its length_m, not a count", name=quoted(part))
        )
    elif kinds[part] not in ("cable", None) and content.get("length_m") is not None:
        message = _(
            "%(name)s is a %(kind)s, not a cable: state a count, not a length_m", name=quoted(part), kind=kinds[part]
        )
        yield Fault(pointer="length_m", message=message)


def _by_the_metre_is_cable(offer: dict[str, Any], kinds: dict[str, str | None], index: int) -> Iterator[Fault]:
    if offer.get("step_m") is None:
        return
    for content in _sound(offer.get("contents") or []):
        kind = kinds.get(content.get("part", ""))
        if kind not in ("cable", None):
            message = f"only cable is sold by the metre; {quoted(content['part'])} is a {kind}"
            yield Fault(pointer=join("offers", str(index), "step_m"), message=message)


def consumables_agree(catalogue: Sound) -> Iterator[Fault]:
    """All parts of one purpose are counted alike."""
    first: dict[str, dict[str, Any]] = {}
    for index, part in enumerate(catalogue.get("parts", [])):
        if not part or part.get("kind") != "consumable" or not {"purpose", "per", "each"} <= part.keys():
            continue
        other = first.setdefault(part["purpose"], part)
        if (other["per"], other["each"]) != (part["per"], part["each"]):
            message = (
                f"all parts for {quoted(part['purpose'])} take the same number per the same thing; here it is "
                f"{shown(part['each'])} per {part['per']}, elsewhere {shown(other['each'])} per {other['per']}"
            )
            yield Fault(pointer=join("parts", str(index), "each"), message=message)


def _sound(entries: list[Any]) -> list[dict[str, Any]]:
    return [entry for entry in entries if entry]
