"""Which cuts fit on one spool together."""

from __future__ import annotations

from collections.abc import Iterator

Pattern = tuple[int, ...]  # cuts of each length, in the order of the lengths given


def maximal_patterns(stock_mm: int, lengths_mm: list[int], most: list[int]) -> Iterator[Pattern]:
    """Every way to cut one spool to which no further wanted cut could be added.

    Args:
        stock_mm: Length of the spool. [mm]
        lengths_mm: Distinct lengths wanted, longest first. [mm]
        most: How many of each can be wanted at all.
    """
    yield from _fill(stock_mm, lengths_mm, most, 0, ())


def _fill(left_mm: int, lengths_mm: list[int], most: list[int], n: int, taken: Pattern) -> Iterator[Pattern]:
    if n == len(lengths_mm):
        is_maximal = all(taken[m] == most[m] or lengths_mm[m] > left_mm for m in range(len(lengths_mm)))
        if is_maximal and any(taken):
            yield taken
        return
    for count in range(min(most[n], left_mm // lengths_mm[n]), -1, -1):
        yield from _fill(left_mm - count * lengths_mm[n], lengths_mm, most, n + 1, (*taken, count))
