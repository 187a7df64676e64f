"""The contents column of the offers: `10 x fuse-a; 25 m cable-b`."""

from __future__ import annotations

import math
import re

_ENTRY = re.compile(r"(?P<number>\d+(?:\.\d+)?)\s*(?P<sign>x|m)\s+(?P<part>\S+)", re.ASCII)


def read_contents(cell: str) -> list[dict[str, object]]:
    """The entries of one cell.

    Raises:
        ValueError: An entry is neither `<count> x <part>` nor `<length> m <part>`; the message says which.
    """
    return [_entry(entry.strip()) for entry in cell.split(";")]


def _entry(entry: str) -> dict[str, object]:
    found = _ENTRY.fullmatch(entry)
    if found is None:
        raise ValueError(f"'{entry}' is neither like '10 x part' nor like '25 m cable'; several are parted by ';'")
    number = float(found["number"])
    if number <= 0 or not math.isfinite(number):
        raise ValueError(f"'{entry}' holds none of it")
    if found["sign"] == "m":
        return {"part": found["part"], "length_m": number}
    if number != int(number):
        raise ValueError(f"'{entry}' is not a whole number of pieces")
    return {"part": found["part"], "count": int(number)}
