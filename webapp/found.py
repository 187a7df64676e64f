"""What somebody types to find one of many by its name."""

from __future__ import annotations


def holds_words(name: str, words: str) -> bool:
    """Whether a name holds every one of the words, in whatever case (SQLite folds ASCII only)."""
    folded = name.casefold()
    return all(word in folded for word in words.casefold().split())
