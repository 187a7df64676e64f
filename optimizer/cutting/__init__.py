"""Cut lists: which lengths to buy and what to cut from each, at the least price."""

from .packing import UNDECIDED, Packing, Undecided, pack

__all__ = ["UNDECIDED", "Packing", "Undecided", "pack"]
