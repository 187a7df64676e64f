"""Cut lists: which lengths to buy and what to cut from each, at the least price."""

from .answer import Cut, CutLength, CutListAnswer, Purchase
from .door import cut_list
from .packing import UNDECIDED, Packing, Undecided, pack
from .request import ByTheMetre, CutListRequest, FaultyCutList, Owned, Run, Settings, Spool

__all__ = [
    "UNDECIDED",
    "ByTheMetre",
    "Cut",
    "CutLength",
    "CutListAnswer",
    "CutListRequest",
    "FaultyCutList",
    "Owned",
    "Packing",
    "Purchase",
    "Run",
    "Settings",
    "Spool",
    "Undecided",
    "cut_list",
    "pack",
]
