"""Do these few pieces of one cable fit these spools and one by-the-metre length? Decided in milliseconds."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from .fits import UNDECIDED, Undecided, fits
from .pieces import Loads, Pieces

_WORK = 60_000  # steps: some tens of milliseconds


@dataclass(frozen=True, slots=True, kw_only=True)
class Packing:
    """Which piece is cut from what, as positions in the lists that were given."""

    spools: tuple[tuple[int, ...], ...]
    by_metre: tuple[int, ...]


def pack(
    spools_mm: Sequence[int],
    pieces_mm: Sequence[int],
    *,
    by_metre_mm: int = 0,
    kerf_mm: int = 0,
    trim_mm: int = 0,
    work: int = _WORK,
) -> Packing | Undecided | None:
    """A packing of every piece, None where there is none (proven), or UNDECIDED at the work limit.

    Args:
        spools_mm: Length of each spool at hand.
        pieces_mm: Length of each piece, above 0; meant for fewer than 60.
        by_metre_mm: The one length bought by the metre, 0 for none.
        kerf_mm: Lost between two neighbouring pieces.
        trim_mm: Lost once at the end of each length.
        work: Steps of the search before it gives up; the same input always ends the same way.
    """
    lengths_mm = [*spools_mm, *([by_metre_mm] if by_metre_mm else [])]
    rooms = [(max(length + kerf_mm - trim_mm, 0), 0) for length in lengths_mm]
    needed = Counter(length + kerf_mm for length in pieces_mm)
    sizes = sorted(needed, reverse=True)
    loads = fits(rooms, Pieces.of_one_cable(sizes), [needed[size] for size in sizes], work)
    if loads is None or isinstance(loads, Undecided):
        return loads
    return _named(loads, sizes, [length + kerf_mm for length in pieces_mm], len(spools_mm))


def _named(loads: Loads, sizes: Sequence[int], pieces: Sequence[int], spools: int) -> Packing:
    waiting: dict[int, list[int]] = {}
    for piece in range(len(pieces) - 1, -1, -1):
        waiting.setdefault(pieces[piece], []).append(piece)
    taken = [
        tuple(sorted(waiting[size].pop() for size, count in zip(sizes, load, strict=True) for _ in range(count)))
        for load in loads
    ]
    return Packing(spools=tuple(taken[:spools]), by_metre=taken[spools] if len(taken) > spools else ())


__all__ = ["UNDECIDED", "Packing", "Undecided", "pack"]
