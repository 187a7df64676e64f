"""What a comparison of plans is made of: its sides, and rows with one cell for each of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from optimizer.catalogue import Catalogue
from optimizer.job import Job
from optimizer.plan import Plan
from webapp.present.energy import store_of
from webapp.present.words import capital
from webapp.texts import _

LETTERS = "ABCD"


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One plan of a comparison, and what it was made from."""

    letter: str
    plan_id: str
    title: str  # of its job
    name: str  # the same, or only what is changed where the job it was made beside stands here too
    made: Markup
    job: Job  # as it was planned
    catalogue: Catalogue
    catalogue_revision: int
    plan: Plan
    waits: bool  # for a qualified person: what is bought is not shown before
    changed: bool  # its job, since
    binned: bool  # its job

    @property
    def average_w(self) -> float | None:
        """What the plan draws from the battery, on average over a day. [W]"""
        return self.plan.energy.average_w if self.plan.energy else None

    @property
    def lasts_h(self) -> float | None:
        """How long the battery lasts at that, without recharge. [h]"""
        if self.average_w is None or self.plan.bank is None:
            return None
        return store_of(self.job, self.catalogue, self.plan).hours(self.average_w, self.job.limits.bank_derate)

    @property
    def delivery_days(self) -> int | None:
        """How long the slowest seller takes; None where none says so, or where it is not shown yet. [days]"""
        sellers = {order.seller for order in self.plan.orders}
        days = max((self.catalogue.seller_by_id[each].lead_days for each in sellers), default=0)
        return None if self.waits else days or None


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """What one plan says in a row."""

    text: str
    note: str = ""
    against: str = ""  # how far from the first plan
    bar_pct: str = ""  # of the largest of the row
    is_quiet: bool = False  # there is nothing there


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """The same figure of every plan."""

    title: str
    cells: tuple[Cell, ...]
    is_figure: bool = False

    @property
    def is_same(self) -> bool:
        """Whether all plans say the same, as far as it is shown."""
        return len({(cell.text, cell.note) for cell in self.cells}) == 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Same:
    """What all plans have in common."""

    title: str
    text: str


def same_of(rows: Sequence[Row]) -> tuple[Same, ...]:
    """The rows that say one thing of all plans, each in a line."""
    joined = ((row.title, row.cells[0]) for row in rows if row.is_same)
    return tuple(Same(title=title, text=", ".join(filter(None, (cell.text, cell.note)))) for title, cell in joined)


def short_names(titles: Sequence[str]) -> dict[str, str]:
    """What tells jobs apart: of a title that goes on from another one there, how it goes on."""
    return {title: _apart(title, titles) for title in titles}


def _apart(title: str, titles: Sequence[str]) -> str:
    starts = [f"{each}: " for each in titles if title.startswith(f"{each}: ")]
    return capital(title.removeprefix(max(starts, key=len))) if starts else title


def closed_cell() -> Cell:
    """In the place of what nobody is shown before somebody answers for the plan."""
    return Cell(text=_("not shown yet"), is_quiet=True)
