"""Names as a sentence holds them: whatever is in one, the figures beside it are read as they stand."""

from __future__ import annotations

import unicodedata

# Unicode bidirectional classes of what is read from right to left, or makes what follows be read so.
_TURNS = frozenset({"R", "AL", "AN", "RLE", "LRE", "RLO", "LRO"})
_BEGINS, _ENDS = "\u2068", "\u2069"  # first strong isolate, pop directional isolate
_OF_ITS_OWN = dict.fromkeys(range(0x2066, 0x206A))  # an end inside a name would end ours


def isolated(name: str) -> str:
    """A name, closed off where it is read from right to left or turns what follows it (UAX 9, isolates)."""
    if name.isascii() or not any(unicodedata.bidirectional(char) in _TURNS for char in name):
        return name
    return f"{_BEGINS}{name.translate(_OF_ITS_OWN)}{_ENDS}"
