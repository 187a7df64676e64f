"""Whether what is bought can be cut into what is wanted, for cables of which the model counts lengths only."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass

from optimizer.cutting import Packing, Undecided, pack
from optimizer.solve.cutting import LengthUse
from optimizer.solve.variables import Model, Var, total

Reader = Callable[[Var], int]  # the value of a variable in the solution at hand


@dataclass(frozen=True, slots=True)
class Packed:
    """The cuts of one cable, each list one spool, offcut or length by the metre."""

    by_spool: tuple[tuple[int, tuple[int, ...]], ...]  # spool [mm], pieces [mm]
    by_metre: tuple[tuple[int, ...], ...]  # in the order of the offers: pieces [mm]


@dataclass(frozen=True, slots=True)
class Unfit:
    """Pieces that cannot be cut from a stock, or were not found to be in the work allowed."""

    use: LengthUse
    pieces: Counter[int]
    spools: dict[int, int]  # length [mm] -> how many
    steps: tuple[int, ...]  # of each by-the-metre offer
    is_proven: bool


def packed(use: LengthUse, value: Reader) -> Packed | Unfit:
    """A way to cut what a solution wants of one cable from what it buys, or what does not fit."""
    pieces = +Counter({mm: sum(value(var) for var in choices) for mm, choices in use.wanted.items()})
    spools = {mm: sum(coef * value(var) for coef, var in supply) + owned for mm, (supply, owned) in use.spools.items()}
    steps = tuple(value(var) for _, _, var in use.metres)
    found = _pack(use, pieces, spools, steps)
    if isinstance(found, Packing):
        return _named(use, pieces, spools, found)
    if isinstance(found, Undecided):
        return Unfit(use, pieces, spools, steps, is_proven=False)
    return Unfit(use, _fewest(use, pieces, spools, steps), spools, steps, is_proven=True)


def _lists(
    use: LengthUse, pieces: Counter[int], spools: dict[int, int], steps: tuple[int, ...]
) -> tuple[list[int], list[int]]:
    """Stock, those by the metre last, and pieces. [mm]"""
    stock = [mm for mm, count in spools.items() for _ in range(min(count, pieces.total()))]
    stock += [step * count for (_, step, _), count in zip(use.metres, steps, strict=True)]
    return stock, sorted(pieces.elements(), reverse=True)


def _pack(
    use: LengthUse, pieces: Counter[int], spools: dict[int, int], steps: tuple[int, ...]
) -> Packing | Undecided | None:
    stock, wanted = _lists(use, pieces, spools, steps)
    return pack(stock, wanted)


def _fewest(use: LengthUse, pieces: Counter[int], spools: dict[int, int], steps: tuple[int, ...]) -> Counter[int]:
    """Pieces that still do not fit, as few as leaving out one after the other comes to: they rule out the most."""
    left = Counter(pieces)
    for mm in sorted(pieces):
        while left[mm]:
            fewer = left - Counter([mm])
            if _pack(use, fewer, spools, steps) is not None:
                break
            left = fewer
    return +left


def _named(use: LengthUse, pieces: Counter[int], spools: dict[int, int], found: Packing) -> Packed:
    stock, wanted = _lists(use, pieces, spools, (0,) * len(use.metres))
    cut = [tuple(wanted[n] for n in positions) for positions in found.spools]
    spool_count = len(stock) - len(use.metres)
    return Packed(tuple(zip(stock[:spool_count], cut[:spool_count], strict=True)), tuple(cut[spool_count:]))


def rule_out(model: Model, unfit: Unfit, uses: list[LengthUse]) -> None:
    """More stock or fewer pieces than what does not fit: for its cable, and for others with the same lengths."""
    for use in uses:
        alike = use.spools.keys() == unfit.use.spools.keys() and not (use.metres and use is not unfit.use)
        if use is unfit.use or (alike and not unfit.use.metres and unfit.pieces.keys() <= use.wanted.keys()):
            _rule_out(model, unfit, use)


def _rule_out(model: Model, unfit: Unfit, use: LengthUse) -> None:
    ways: list[Var] = []
    for mm, count in unfit.pieces.items():
        fewer = model.new_bool_var(f"fewer[{use.cable},{mm}]")
        model.add(sum(use.wanted[mm]) <= count - 1).only_enforce_if(fewer)
        ways.append(fewer)
    for mm, (supply, owned) in use.spools.items():
        more = model.new_bool_var(f"more[{use.cable},{mm}]")
        model.add(total(supply) + owned >= unfit.spools[mm] + 1).only_enforce_if(more)
        ways.append(more)
    for n, (_, _, steps) in enumerate(use.metres):
        longer = model.new_bool_var(f"longer[{use.cable},{n}]")
        model.add(steps >= unfit.steps[n] + 1).only_enforce_if(longer)
        ways.append(longer)
    model.add_bool_or(ways)
