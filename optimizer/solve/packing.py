"""Whether what is bought can be cut into what is wanted, for cables of which the model counts lengths only.

What cannot is ruled out by weights of lengths (see `weights`) where they tell it, and by itself where they do not.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass

from optimizer.arrays import Floats
from optimizer.cutting import Packing, Undecided, pack
from optimizer.solve.cutting import LengthUse
from optimizer.solve.variables import Model, Term, Var, total, upper
from optimizer.solve.weights import Weights, weights_against

Reader = Callable[[Var], int]  # the value of a variable in the solution at hand


Packed = tuple[tuple[int, ...], ...]  # the pieces cut from each spool or offcut of one length [mm]


@dataclass(frozen=True, slots=True)
class Unfit:
    """Pieces that cannot be cut from so many spools, or were not found to be in the work allowed."""

    use: LengthUse
    pieces: Counter[int]
    spools: int
    is_proven: bool


def packed(use: LengthUse, value: Reader) -> Packed | Unfit:
    """A way to cut what a solution takes from the spools of one length, or what does not fit."""
    pieces = +Counter({mm: value(var) for mm, var in use.counts})
    spools = sum(coef * value(var) for coef, var in use.supply) + use.owned
    wanted = sorted(pieces.elements(), reverse=True)
    found = _pack(use, pieces, spools)
    if isinstance(found, Packing):
        return tuple(tuple(wanted[n] for n in positions) for positions in found.spools)
    if isinstance(found, Undecided):
        return Unfit(use, pieces, spools, is_proven=False)
    return Unfit(use, _fewest(use, pieces, spools), spools, is_proven=True)


def _pack(use: LengthUse, pieces: Counter[int], spools: int) -> Packing | Undecided | None:
    return pack([use.stock_mm] * min(spools, pieces.total()), sorted(pieces.elements(), reverse=True))


def _fewest(use: LengthUse, pieces: Counter[int], spools: int) -> Counter[int]:
    """Pieces that still do not fit, as few as leaving out one after the other comes to: they rule out the most."""
    left = Counter(pieces)
    for mm in sorted(pieces):
        while left[mm]:
            fewer = left - Counter([mm])
            if _pack(use, fewer, spools) is not None:
                break
            left = fewer
    return +left


def rule_out(model: Model, unfit: Unfit, uses: list[LengthUse]) -> None:
    """More spools or fewer pieces than what does not fit: for its cable, and for others cut into the same lengths."""
    for use in uses:
        counts = dict(use.counts)
        if use.stock_mm == unfit.use.stock_mm and unfit.pieces.keys() <= counts.keys():
            weights = weights_against(use.stock_mm, unfit.pieces, unfit.spools, _most(use))
            if weights is None:
                _rule_out(model, unfit, use, counts)
            else:
                terms, most = weighed(use, weights)
                model.add(total(terms) <= most)


def broken_row(use: LengthUse, values: Floats) -> tuple[list[Term], int] | None:
    """A row that every way of cutting obeys and these values, fractions allowed, do not; None where none is found."""
    wanted = {mm: float(values[var.index]) for mm, var in use.counts}
    spools = sum(coef * float(values[var.index]) for coef, var in use.supply) + use.owned
    weights = weights_against(use.stock_mm, wanted, spools, _most(use))
    return None if weights is None else weighed(use, weights)


def _most(use: LengthUse) -> dict[int, int]:
    return {mm: upper(var) for mm, var in use.counts}


def weighed(use: LengthUse, weights: Weights) -> tuple[list[Term], int]:
    """The sum of the terms is at most so much: what all cuts weigh, and what all spools hold."""
    cuts = [(weights.weight[mm], var) for mm, var in use.counts if mm in weights.weight]
    spools = [(-weights.capacity * coef, var) for coef, var in use.supply]
    return cuts + spools, weights.capacity * use.owned


def _rule_out(model: Model, unfit: Unfit, use: LengthUse, counts: dict[int, Var]) -> None:
    ways: list[Var] = []
    for mm, count in unfit.pieces.items():
        fewer = model.new_bool_var(f"fewer[{use.cable},{use.stock_mm},{mm}]")
        model.add(counts[mm] <= count - 1).only_enforce_if(fewer)
        ways.append(fewer)
    more = model.new_bool_var(f"more[{use.cable},{use.stock_mm}]")
    model.add(total(use.supply) + use.owned >= unfit.spools + 1).only_enforce_if(more)
    model.add_bool_or([*ways, more])
