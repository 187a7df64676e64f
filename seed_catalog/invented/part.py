"""One invented part before it becomes a row of a table."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Invented:
    """A row of a table, and what its offers are made from."""

    kind: str
    family: str  # parts that cost alike; a seller's prices move together within it
    grade: str  # basic, good or fine: decides who carries it
    list_cents: float  # one piece, or one metre of cable
    row: dict[str, object]

    @property
    def id(self) -> str:
        return str(self.row["id"])


def slug(number: float) -> str:
    """A number inside an id: 1.5 becomes 1_5."""
    return f"{number:g}".replace(".", "_")
