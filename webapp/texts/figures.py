"""Numbers inside a text: grouped by a narrow space in every language, on one line with their units."""

from __future__ import annotations

import re
from functools import lru_cache

SPACE = "\u00a0"  # no line break between number and unit
GROUP = "\u202f"  # narrow, between thousands
_WITH_COMMAS = re.compile(r"(?<![\d',.])\d{1,3}(?:,\d{3})+(?![\d',])")  # in quotes it is what somebody typed
_WITH_SPACES = re.compile(r"(?<=\d) (?=\d{3}(?!\d))")  # the same in German: 20 000
_UNITS = r"[mk]?[VAWΩ]|k?[AW]h|mm²|[mck]?m|h|min|s|°[CF]|ft|AWG|×"
# behind a figure, or behind the hole for one in a text that is yet to be filled in
_BEFORE_UNIT = re.compile(rf"(?:(?<=\d)|(?<=\)s)) (?=(?:{_UNITS})(?!\w)|%(?![\w(]))|(?<=×) (?=\d)")


@lru_cache(maxsize=8192)
def bound(text: str, *, has_commas: bool) -> str:
    """The text with its numbers as we write them.

    Args:
        has_commas: Whether thousands are grouped by commas in it, as in English; else by plain spaces.
    """
    if has_commas:
        text = _WITH_COMMAS.sub(lambda number: number.group().replace(",", GROUP), text)
    else:
        text = _WITH_SPACES.sub(GROUP, text)
    return _BEFORE_UNIT.sub(SPACE, text)
