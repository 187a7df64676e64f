"""From what each cut is taken: spools, owned offcuts, lengths by the metre.

Where a cable's cuts fit a spool in a few hundred ways at most, the maximal patterns are listed and the chosen ones
together make at least the cuts wanted. Where there are more, only lengths are counted, and for every length how many
pieces as long fit each spool: real lengths hardly waste anything, so nearly every choice that passes can be cut. One
that cannot is ruled out when it turns up (see `packing`).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import islice

from optimizer.catalogue import Content, Offer
from optimizer.solve.patterns import Pattern, maximal_patterns
from optimizer.solve.variables import Expr, Model, Term, Var, Variables, total
from optimizer.units import stock_mm

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
    """A cable of which only lengths are counted."""

    cable: str
    wanted: dict[int, list[Var]]  # length [mm] -> each true choice wants one
    spools: dict[int, tuple[list[Term], int]]  # length [mm] -> those bought, and how many are owned
    metres: list[tuple[str, int, Var]]  # offer, step [mm], steps


@dataclass(slots=True)
class CuttingUse:
    """How everything is cut."""

    spools: list[SpoolUse] = field(default_factory=list)
    metres: list[MetreUse] = field(default_factory=list)
    by_length: list[LengthUse] = field(default_factory=list)


class Cutting:
    """Adds the cutting of one cable after another to a model whose offers have their quantities."""

    def __init__(self, model: Model, v: Variables, quantity: dict[str, Var], out: CuttingUse) -> None:
        self._model = model
        self._v = v
        self._quantity = quantity
        self._owned = v.instance.job.owned
        self._out = out

    # -- cutting --------------------------------------------------------------------------------------------------

    def add(self, cable: str) -> None:
        wanted = self._v.cuts[cable]
        lengths_mm = sorted(wanted, reverse=True)
        spools = self._spools(cable)
        if self._is_listable(cable, [spool_mm for spool_mm, _, _ in spools], lengths_mm):
            self._by_pattern(cable, spools, lengths_mm)
        else:
            self._by_length(cable, spools, lengths_mm)
        for mm in lengths_mm:
            for choices in wanted[mm].exclusive:
                self._model.add(self._one_source(cable, mm) >= sum(choices))

    def _is_listable(self, cable: str, spools_mm: list[int], lengths_mm: list[int]) -> bool:
        """Whether every spool length has few patterns."""
        for spool_mm in spools_mm:
            fitting = [mm for mm in lengths_mm if mm <= spool_mm]
            most = [self._v.cuts[cable][mm].most for mm in fitting]
            if len(list(islice(maximal_patterns(spool_mm, fitting, most), MOST_PATTERNS + 1))) > MOST_PATTERNS:
                return False
        return True

    def _by_pattern(self, cable: str, spools: list[tuple[int, list[Term], int]], lengths_mm: list[int]) -> None:
        made: dict[int, list[Term]] = defaultdict(list)
        for spool_mm, supply, owned in spools:
            self._cut_spools(cable, spool_mm, supply, owned, lengths_mm, made)
        for offer in self._metres(cable):
            self._cut_metres(cable, offer, lengths_mm, made)
        for mm in lengths_mm:
            self._model.add(total(made[mm]) >= sum(self._v.cuts[cable][mm].wanted))

    def _by_length(self, cable: str, spools: list[tuple[int, list[Term], int]], lengths_mm: list[int]) -> None:
        """Rows that every way of cutting obeys: all lengths together, and the pieces of at least a length."""
        use = LengthUse(
            cable=cable,
            wanted={mm: self._v.cuts[cable][mm].wanted for mm in lengths_mm},
            spools={spool_mm: (supply, owned) for spool_mm, supply, owned in spools},
            metres=[(o.id, stock_mm(o.step_m or 0), self._quantity[o.id]) for o in self._metres(cable)],
        )
        self._out.by_length.append(use)
        metres = total([(step_mm, var) for _, step_mm, var in use.metres])
        stock = [(spool_mm, total(supply) + owned) for spool_mm, supply, owned in spools]
        count = {mm: sum(choices) for mm, choices in use.wanted.items()}
        self._model.add(sum(mm * count[mm] for mm in count) <= sum(mm * units for mm, units in stock) + metres)
        for least_mm in lengths_mm:
            long = sum(count[mm] for mm in count if mm >= least_mm)
            fit = sum(spool_mm // least_mm * least_mm * units for spool_mm, units in stock)
            self._model.add(least_mm * long <= fit + metres)

    def _metres(self, cable: str) -> list[Offer]:
        return [offer for offer, _ in self._holding(cable) if offer.step_m is not None]

    def _holding(self, cable: str) -> Iterator[tuple[Offer, Content]]:
        for offer in self._v.instance.catalogue.offers:
            if offer.id in self._quantity:
                yield from ((offer, content) for content in offer.contents if content.part == cable)

    def _one_source(self, cable: str, mm: int) -> Expr:
        """At least 1 where some spool, offcut or metre length that takes a cut of this length is at hand."""
        spools = [(1, self._quantity[o.id]) for o, c in self._holding(cable) if self._is_spool(o, c, mm)]
        offcuts = sum(o.part == cable and stock_mm(o.length_m or 0) >= mm for o in self._owned)
        metres = self._metres(cable)
        steps = [-(-mm // stock_mm(offer.step_m or 0)) for offer in metres]
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
        self,
        cable: str,
        spool_mm: int,
        supply: list[Term],
        owned: int,
        lengths_mm: list[int],
        made: dict[int, list[Term]],
    ) -> None:
        fitting = [mm for mm in lengths_mm if mm <= spool_mm]
        if not fitting:
            return
        most = [self._v.cuts[cable][mm].most for mm in fitting]
        patterns = [
            (pattern, self._v.new_count(self._times(pattern, most), f"cut[{cable},{spool_mm},{n}]"))
            for n, pattern in enumerate(maximal_patterns(spool_mm, fitting, most))
        ]
        self._model.add(sum(var for _, var in patterns) <= total(supply) + owned)
        for pattern, var in patterns:
            for mm, count in zip(fitting, pattern, strict=True):
                if count:
                    made[mm].append((count, var))
        self._out.spools.append(SpoolUse(cable, spool_mm, fitting, patterns))

    @staticmethod
    def _times(pattern: Pattern, most: list[int]) -> int:
        """How often a pattern can be useful."""
        return max(-(-wanted // count) for wanted, count in zip(most, pattern, strict=True) if count)

    def _cut_metres(self, cable: str, offer: Offer, lengths_mm: list[int], made: dict[int, list[Term]]) -> None:
        assert offer.step_m is not None
        counts = [(mm, self._v.new_count(self._v.cuts[cable][mm].most, f"metre[{offer.id},{mm}]")) for mm in lengths_mm]
        self._model.add(total(counts) <= stock_mm(offer.step_m) * self._quantity[offer.id])
        for mm, var in counts:
            made[mm].append((1, var))
        self._out.metres.append(MetreUse(cable, offer.id, counts))
