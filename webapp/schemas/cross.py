"""Faults between documents: what one names and the other lacks."""

from __future__ import annotations

from optimizer.catalogue import Catalogue
from optimizer.job import Job

from .faults import Fault, capped, join
from .offers import amount_suits_part


def cross_faults(job: Job, catalogue: Catalogue) -> tuple[Fault, ...]:
    """Stock on hand that the catalogue does not know, or measures differently."""
    kinds: dict[str, str | None] = {part.id: part.kind for part in catalogue.parts}
    faults: list[Fault] = []
    for index, owned in enumerate(job.owned):
        entry = {"part": owned.part, "count": owned.count, "length_m": owned.length_m}
        faults.extend(fault.below(join("owned", str(index))) for fault in amount_suits_part(entry, kinds))
    return capped(faults)
