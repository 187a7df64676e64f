"""Conductor pairs: a twin cable, or a positive and a negative single of the same cross-section."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from functools import cached_property

from optimizer.catalogue import Cable, Catalogue
from optimizer.physics.ampacity import ampacity_a
from optimizer.physics.resistance import loop_ohm


@dataclass(frozen=True, kw_only=True)
class Pair:
    """Going and return conductor as they can be bought."""

    cables: tuple[Cable, ...]  # one twin, or positive then negative

    @cached_property
    def ids(self) -> tuple[str, ...]:
        return tuple(cable.id for cable in self.cables)

    @cached_property
    def mm2(self) -> float:
        return self.cables[0].mm2

    @cached_property
    def max_fuse_a(self) -> float:
        """Usual ceiling of a small conductor; infinite where none is stated. [A]"""
        return min(
            (cable.max_fuse_a for cable in self.cables if cable.max_fuse_a is not None),
            default=float("inf"),
        )

    def loop_ohm(self, length_m: float, conductor_c: float) -> float:
        """Resistance out and back over a length one way. [Ω]"""
        both = sum(cable.ohm_per_km_20c * (2 if cable.cores == 2 else 1) for cable in self.cables)
        return loop_ohm(both, length_m, conductor_c)

    def ampacity_a(self, ambient_c: float, bundled: int) -> float:
        """Continuous current as installed: the smaller of the two conductors'. [A]"""
        return min(ampacity_a(c.ampacity_a, c.insulation_c, ambient_c, bundled) for c in self.cables)


def pairs_on_offer(catalogue: Catalogue, min_mm2: float) -> list[Pair]:
    """Every pair of at least min_mm2, thinnest first, then by id."""
    cables = [cable for cable in catalogue.of(Cable) if cable.mm2 >= min_mm2]
    pairs = [Pair(cables=(cable,)) for cable in cables if cable.cores == 2]
    returns: dict[float, list[Cable]] = defaultdict(list)
    for cable in cables:
        if cable.polarity == "negative":
            returns[cable.mm2].append(cable)
    for going in cables:
        if going.polarity == "positive" and going.mm2 in returns:
            pairs += [Pair(cables=(going, back)) for back in returns[going.mm2]]
    return sorted(pairs, key=lambda pair: (pair.mm2, pair.ids))
