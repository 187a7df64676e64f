"""Rules between the fields of one object that several documents share."""

from __future__ import annotations

from collections.abc import Iterator

from webapp.texts import _

from .faults import Fault, join, quoted, shown
from .records import Rule, Sound


def in_order(small: str, large: str, says_small: str, says_large: str, unit: str) -> Rule:
    """The one field is at most the other."""

    def rule(sound: Sound) -> Iterator[Fault]:
        low, high = sound.get(small), sound.get(large)
        if low is not None and high is not None and low > high:
            message = _(
                "%(small)s (%(low)s %(unit)s) is above %(large)s (%(high)s %(unit)s)",
                small=_(says_small),
                large=_(says_large),
                low=shown(low),
                high=shown(high),
                unit=unit,
            )
            yield Fault(pointer=small, message=message)

    return rule


def one_amount(sound: Sound) -> Iterator[Fault]:
    """A count, or a length, and not both."""
    if sound.states("count") and sound.states("length_m"):
        yield Fault(pointer="", message=_("state a count or a length_m, not both"))
    if not sound.states("count") and not sound.states("length_m"):
        yield Fault(pointer="", message=_("state how many (count), or for a cable how long (length_m)"))


def unique_ids(name: str, says: str) -> Rule:
    """No two entries of a list share an id."""

    def rule(sound: Sound) -> Iterator[Fault]:
        first: dict[str, int] = {}
        for index, entry in enumerate(sound.get(name) or []):
            entry_id = (entry or {}).get("id")
            if entry_id is not None and first.setdefault(entry_id, index) != index:
                at = join(name, str(first[entry_id]))
                message = _(
                    "%(id)s is already the id of another %(kind)s (%(at)s)", id=quoted(entry_id), kind=_(says), at=at
                )
                yield Fault(pointer=join(name, str(index), "id"), message=message)

    return rule
