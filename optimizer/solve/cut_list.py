"""The cut list of a solved model: every cut named, with the spool, offcut or metre length it comes from."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass

from optimizer.catalogue import Offer
from optimizer.plan import Circuit, Cut, Feed, Piece
from optimizer.solve.instance import Instance
from optimizer.solve.packing import Packed
from optimizer.solve.purchases import Purchases
from optimizer.solve.variables import Var
from optimizer.units import steps_mm, stock_mm


@dataclass(slots=True)
class _Source:
    offer: Offer | None
    unit: int | None
    owned: int | None


class CutList:
    """Turns the chosen patterns into named cuts of named spools."""

    def __init__(
        self,
        instance: Instance,
        bought: Purchases,
        value: Callable[[Var], int],
        quantity: dict[str, int],
        packed: list[Packed],
    ) -> None:
        self._instance = instance
        self._cutting = bought.cutting
        self._packed = packed
        self._value = value
        self._quantity = quantity
        self._wanted: dict[str, dict[int, list[Piece]]] = defaultdict(lambda: defaultdict(list))

    def read(self, circuits: tuple[Circuit, ...], feeds: tuple[Feed, ...]) -> tuple[Cut, ...]:
        for circuit in circuits:
            for cable in circuit.cable:
                self._wanted[cable][circuit.cut_mm].append(Piece(circuit=circuit.id, mm=circuit.cut_mm))
        for feed in feeds:
            for cable in feed.lead.cable if feed.lead else ():
                assert feed.lead is not None
                self._wanted[cable][feed.lead.cut_mm].append(Piece(lead=feed.load, mm=feed.lead.cut_mm))
            for cable in feed.run.cable if feed.run else ():
                assert feed.run is not None
                self._wanted[cable][feed.run.cut_mm].append(Piece(run=feed.load, mm=feed.run.cut_mm))
        cuts = self._spool_cuts() + self._metre_cuts() + self._packed_cuts()
        assert not any(pieces for lengths in self._wanted.values() for pieces in lengths.values())
        return tuple(sorted(cuts, key=_cut_order))

    def _take(self, cable: str, mm: int, count: int) -> list[Piece]:
        pieces = self._wanted[cable][mm]
        taken = pieces[:count]
        del pieces[:count]
        return taken

    def _spool_cuts(self) -> list[Cut]:
        cuts = []
        for use in self._cutting.spools:
            sources = self._sources(use.cable, use.stock_mm)
            for pattern, var in use.patterns:
                for _ in range(self._value(var)):
                    pieces = [
                        piece
                        for mm, count in zip(use.lengths_mm, pattern, strict=True)
                        for piece in self._take(use.cable, mm, count)
                    ]
                    if pieces:
                        cuts.append(_cut(use.cable, sources.pop(0), use.stock_mm, pieces))
        return cuts

    def _metre_cuts(self) -> list[Cut]:
        cuts = []
        for use in self._cutting.metres:
            pieces = [piece for mm, var in use.counts for piece in self._take(use.cable, mm, self._value(var))]
            if pieces:
                offer = self._instance.catalogue.offer_by_id[use.offer]
                length_mm = steps_mm(self._quantity[offer.id], offer.step_m or 0)
                cuts.append(_cut(use.cable, _Source(offer, None, None), length_mm, pieces))
        return cuts

    def _packed_cuts(self) -> list[Cut]:
        cuts = []
        for use, spools in zip(self._cutting.by_length, self._packed, strict=True):
            sources = self._sources(use.cable, use.stock_mm)
            taken = (self._take_all(use.cable, lengths_mm) for lengths_mm in spools)
            cuts += [_cut(use.cable, sources.pop(0), use.stock_mm, pieces) for pieces in taken if pieces]
        return cuts

    def _take_all(self, cable: str, lengths_mm: tuple[int, ...]) -> list[Piece]:
        return [piece for mm in lengths_mm for piece in self._take(cable, mm, 1)]

    def _sources(self, cable: str, spool_mm: int) -> list[_Source]:
        """Offcuts and spools of one length, what is owned first."""
        sources = [
            _Source(None, None, n)
            for n, owned in enumerate(self._instance.job.owned)
            if owned.part == cable and owned.length_m is not None and stock_mm(owned.length_m) == spool_mm
        ]
        for offer_id, units in sorted(self._quantity.items()):
            offer = self._instance.catalogue.offer_by_id[offer_id]
            spools = [c for c in offer.contents if c.part == cable and offer.step_m is None] * units
            sources += [
                _Source(offer, unit, None)
                for unit, content in enumerate(spools)
                if content.length_m is not None and stock_mm(content.length_m) == spool_mm
            ]
        return sources


def _cut(cable: str, source: _Source, length_mm: int, pieces: list[Piece]) -> Cut:
    longest_first = sorted(pieces, key=lambda p: (-p.mm, p.circuit or "", p.lead or ""))
    return Cut(
        part=cable,
        offer=source.offer.id if source.offer else None,
        unit=source.unit,
        owned=source.owned,
        stock_mm=length_mm,
        pieces=tuple(longest_first),
        left_mm=length_mm - sum(piece.mm for piece in pieces),
    )


def _cut_order(cut: Cut) -> tuple[str, int, str, int]:
    return (cut.part, -1 if cut.owned is None else cut.owned, cut.offer or "", cut.unit or 0)
