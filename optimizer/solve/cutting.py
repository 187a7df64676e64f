"""From what each cut is taken: spools, owned offcuts, lengths by the metre.

Where the cuts fit a spool in a few hundred ways at most, the maximal patterns are listed and the chosen ones together
make at least the cuts wanted. For longer spools only lengths are counted, and for every length how many pieces as long
fit one: long spools hardly waste anything, so nearly every choice that passes can be cut. One that cannot is ruled out
when it turns up (see `packing`).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import islice

from optimizer.catalogue import Content, Offer
from optimizer.solve.patterns import Pattern, maximal_patterns
from optimizer.solve.variables import Expr, Model, Term, Var, Variables, total
from optimizer.units import step_mm, steps_for, stock_mm

MOST_PATTERNS = 300  # for one spool length


@dataclass(slots=True)
class SpoolUse:
    """How the spools of one length of one cable are cut."""

    cable: str
    stock_mm: int
    lengths_mm: list[int]
    patterns: list[tuple[Pattern, Var]]


@dataclass(slots=True)
class MetreUse:
    """How one by-the-metre length is cut."""

    cable: str
    offer: str
    counts: list[tuple[int, Var]]  # length [mm], how many


@dataclass(slots=True)
class LengthUse:
    """Spools of one length of one cable of which only lengths are counted."""

    cable: str
    stock_mm: int
    counts: list[tuple[int, Var]]  # length [mm], how many
    supply: list[Term]  # spools bought
    owned: int  # and at hand


@dataclass(slots=True)
class CuttingUse:
    """How everything is cut."""

    spools: list[SpoolUse] = field(default_factory=list)
    metres: list[MetreUse] = field(default_factory=list)
    by_length: list[LengthUse] = field(default_factory=list)


class Cutting:
    """Adds the cutting of one cable after another to a model whose offers have their quantities."""

    def __init__(
        self,
        model: Model,
        v: Variables,
        quantity: dict[str, Var],
        holding: Callable[[str], Iterator[tuple[Offer, Content]]],
        out: CuttingUse,
    ) -> None:
        self._model = model
        self._v = v
        self._quantity = quantity
        self._holding = holding  # the offers of a cable
        self._owned = v.instance.job.owned
        self._out = out

    # -- cutting --------------------------------------------------------------------------------------------------

    def add(self, cable: str) -> None:
        wanted = self._v.cuts[cable]
        lengths_mm = sorted(wanted, reverse=True)
        made: dict[int, list[Term]] = defaultdict(list)
        for spool_mm, supply, owned in self._spools(cable):
            self._cut_spools(cable, spool_mm, supply, owned, made)
        for offer in self._metres(cable):
            self._cut_metres(cable, offer, lengths_mm, made)
        for mm in lengths_mm:
            self._model.add(total(made[mm]) >= sum(wanted[mm].wanted))
            for choices in wanted[mm].exclusive:
                self._model.add(self._one_source(cable, mm) >= sum(choices))

    def _metres(self, cable: str) -> list[Offer]:
        return [offer for offer, _ in self._holding(cable) if offer.step_m is not None]

    def _one_source(self, cable: str, mm: int) -> Expr:
        """At least 1 where some spool, offcut or metre length that takes a cut of this length is at hand."""
        spools = [(1, self._quantity[o.id]) for o, c in self._holding(cable) if self._is_spool(o, c, mm)]
        offcuts = sum(o.part == cable and stock_mm(o.length_m or 0) >= mm for o in self._owned)
        metres = self._metres(cable)
        steps = [steps_for(mm, offer.step_m or 0) for offer in metres]
        enough = [self._v.new_choice(f"metre_enough[{offer.id},{mm}]") for offer in metres]
        for offer, least, var in zip(metres, steps, enough, strict=True):
            self._model.add(self._quantity[offer.id] >= least * var)
        return total(spools) + offcuts + sum(enough)

    @staticmethod
    def _is_spool(offer: Offer, content: Content, mm: int) -> bool:
        return offer.step_m is None and stock_mm(content.length_m or 0) >= mm

    def _spools(self, cable: str) -> list[tuple[int, list[Term], int]]:
        """Spool lengths of a cable with what is bought of each and how many offcuts of that length are owned."""
        bought: dict[int, list[Term]] = defaultdict(list)
        owned: dict[int, int] = defaultdict(int)
        for offer, content in self._holding(cable):
            if offer.step_m is None and content.length_m is not None:
                bought[stock_mm(content.length_m)].append((1, self._quantity[offer.id]))
        for offcut in self._owned:
            if offcut.part == cable and offcut.length_m is not None:
                owned[stock_mm(offcut.length_m)] += 1
        return [(mm, bought[mm], owned[mm]) for mm in sorted({*bought, *owned})]

    def _cut_spools(
        self, cable: str, spool_mm: int, supply: list[Term], owned: int, made: dict[int, list[Term]]
    ) -> None:
        wanted = self._v.cuts[cable]
        fitting = sorted((mm for mm in wanted if mm <= spool_mm), reverse=True)
        if not fitting:
            return
        most = [wanted[mm].most for mm in fitting]
        patterns = list(islice(maximal_patterns(spool_mm, fitting, most), MOST_PATTERNS + 1))
        if len(patterns) > MOST_PATTERNS:
            self._count_lengths(cable, spool_mm, supply, owned, made)
            return
        chosen = [
            (pattern, self._v.new_count(self._times(pattern, most), f"cut[{cable},{spool_mm},{n}]"))
            for n, pattern in enumerate(patterns)
        ]
        self._model.add(sum(var for _, var in chosen) <= total(supply) + owned)
        for pattern, var in chosen:
            for mm, count in zip(fitting, pattern, strict=True):
                if count:
                    made[mm].append((count, var))
        self._out.spools.append(SpoolUse(cable, spool_mm, fitting, chosen))

    def _count_lengths(
        self, cable: str, spool_mm: int, supply: list[Term], owned: int, made: dict[int, list[Term]]
    ) -> None:
        """Rows that every way of cutting obeys: all lengths together, and the pieces of at least a length."""
        wanted = self._v.cuts[cable]
        counts = [
            (mm, self._v.new_count(wanted[mm].most, f"count[{cable},{spool_mm},{mm}]"))
            for mm in sorted(wanted)
            if mm <= spool_mm
        ]
        spools = total(supply) + owned
        self._model.add(total(counts) <= spool_mm * spools)
        for least_mm, _ in counts:
            long = sum(var for mm, var in counts if mm >= least_mm)
            self._model.add(long <= spool_mm // least_mm * spools)
        for mm, var in counts:
            made[mm].append((1, var))
        self._out.by_length.append(LengthUse(cable, spool_mm, counts, supply, owned))

    @staticmethod
    def _times(pattern: Pattern, most: list[int]) -> int:
        """How often a pattern can be useful."""
        return max(-(-wanted // count) for wanted, count in zip(most, pattern, strict=True) if count)

    def _cut_metres(self, cable: str, offer: Offer, lengths_mm: list[int], made: dict[int, list[Term]]) -> None:
        assert offer.step_m is not None
        counts = [(mm, self._v.new_count(self._v.cuts[cable][mm].most, f"metre[{offer.id},{mm}]")) for mm in lengths_mm]
        step = step_mm(offer.step_m)
        lengths = [(step.denominator * mm, var) for mm, var in counts]
        self._model.add(total(lengths) <= step.numerator * self._quantity[offer.id])
        for mm, var in counts:
            made[mm].append((1, var))
        self._out.metres.append(MetreUse(cable, offer.id, counts))
