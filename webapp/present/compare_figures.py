"""The figures of plans side by side, each with how far it is from that of the first plan."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from optimizer.plan import CheckState
from optimizer.units import HOURS_PER_DAY
from webapp.present.compare_rows import Cell, Row, Side, closed_cell
from webapp.present.energy import against_today, store_of
from webapp.present.plan_page import STATUS
from webapp.present.progress import gap_words
from webapp.present.words import as_shown, counted, exactly, listed, money, quantity, signed
from webapp.texts import _


def figure_rows(sides: Sequence[Side]) -> tuple[Row, ...]:
    """Every figure that the plans hold, what matters most first."""
    rows = (
        _total(sides),
        _row(_("Price"), sides, _price),
        _quantity(_("Battery lasts"), [side.lasts_h for side in sides], "h"),
        _row(_("Asked to last"), sides, lambda side: Cell(text=quantity(side.job.limits.autonomy_h, "h"))),
        _quantity(_("Draws on average"), [side.average_w for side in sides], "W", _per_day),
        _today_row(sides),
        _row(_("Battery"), sides, _battery),
        _row(_("Loads fed"), sides, lambda side: Cell(text=exactly(len(side.plan.feeds)))),
        _row(_("Left on the inverter"), sides, _left),
        _row(_("Circuits"), sides, lambda side: Cell(text=exactly(len(side.plan.circuits)))),
        _sellers(sides),
        _row(_("Longest delivery"), sides, _delivery),
        _row(_("Checks that are tight"), sides, lambda side: Cell(text=exactly(_checks(side, "tight")))),
        _row(_("Not checked"), sides, lambda side: Cell(text=exactly(_checks(side, "not_checked")))),
    )
    return tuple(row for row in rows if row is not None)


def _row(title: str, sides: Sequence[Side], cell: Callable[[Side], Cell]) -> Row:
    return Row(title=title, cells=tuple(cell(side) for side in sides))


def _total(sides: Sequence[Side]) -> Row:
    totals = [side.plan.total_cents or 0 for side in sides]
    apart = [cents - totals[0] for cents in totals]
    cells = (
        Cell(text=money(cents), against=f"{'+' if more > 0 else ''}{money(more)}" if more else "", bar_pct=bar)
        for cents, more, bar in zip(totals, apart, _bars(totals), strict=True)
    )
    return Row(title=_("Total"), cells=tuple(cells), is_figure=True)


def _quantity(
    title: str, values: Sequence[float | None], unit: str, note: Callable[[float], str] = lambda _value: ""
) -> Row | None:
    """A quantity that some plan tells, with its bar; None where none does."""
    if all(each is None for each in values):
        return None
    cells = (
        _unknown()
        if each is None
        else Cell(text=quantity(each, unit), note=note(each), against=_apart(values[0], each, unit), bar_pct=bar)
        for each, bar in zip(values, _bars(values), strict=True)
    )
    return Row(title=title, cells=tuple(cells), is_figure=True)


def _bars(values: Sequence[float | None]) -> list[str]:
    """Each as a share of the largest."""
    most = max(each or 0 for each in values)
    return [f"{100 * (each or 0) / most:.2f}%" if most else "" for each in values]


def _apart(first: float | None, other: float, unit: str) -> str:
    """How far from the first: of both as they are shown, which is what people get who subtract them."""
    apart = 0.0 if first is None else as_shown(other) - as_shown(first)
    return signed(apart, unit) if apart else ""


def _unknown() -> Cell:
    return Cell(text=_("not known"), is_quiet=True)


def _today_row(sides: Sequence[Side]) -> Row | None:
    """Where no plan knows what is drawn today there is no row."""
    cells = tuple(_today(side) for side in sides)
    return None if all(cell.is_quiet for cell in cells) else Row(title=_("Against today"), cells=cells)


def _today(side: Side) -> Cell:
    energy = side.plan.energy
    if energy is None or not energy.today_average_w:
        return _unknown()
    if as_shown(energy.average_w) == as_shown(energy.today_average_w):
        return Cell(text=_("as today"))
    amount, share = against_today(energy.average_w, energy.today_average_w)
    return Cell(text=_("%(energy)s a day", energy=amount), note=share)


def _price(side: Side) -> Cell:
    plan = side.plan
    gap = gap_words(plan.total_cents, plan.bound_cents) if plan.status == "feasible" else ""
    if plan.status == "optimal":
        return Cell(text=_("cheapest, proven"))
    return Cell(text=gap or _(STATUS[plan.status]))


def _battery(side: Side) -> Cell:
    bank = side.plan.bank
    if bank is None:
        return _unknown()
    store = store_of(side.job, side.catalogue, side.plan)
    figures = f"{quantity(store.nominal_v, 'V')}, {quantity(store.capacity_ah, 'Ah')}"
    return Cell(text=figures, note=_("the one you have") if bank.part is None else _("bought"))


def _left(side: Side) -> Cell:
    names = [side.job.load_by_id[feed.load].label for feed in side.plan.feeds if feed.source == "ac"]
    return Cell(text=exactly(len(names)), note=listed(names))


def _sellers(sides: Sequence[Side]) -> Row:
    """Their number alone while it is not shown of every plan who sells."""
    named = not any(side.waits for side in sides)
    return _row(_("Sellers"), sides, lambda side: _sellers_of(side, named))


def _sellers_of(side: Side, named: bool) -> Cell:
    sellers = sorted({order.seller for order in side.plan.orders})
    names = [side.catalogue.seller_by_id[each].name for each in sellers]
    return Cell(text=exactly(len(names)), note=listed(names) if named else "")


def _delivery(side: Side) -> Cell:
    if side.waits:
        return closed_cell()
    if not side.plan.orders:
        return Cell(text=_("nothing to buy"), is_quiet=True)
    days = side.delivery_days
    if days is None:
        return Cell(text=_("not stated"), is_quiet=True)
    return Cell(text=counted("about %(num)s day", "about %(num)s days", days))


def _per_day(average_w: float) -> str:
    return _("%(energy)s a day", energy=quantity(average_w * HOURS_PER_DAY, "Wh"))


def _checks(side: Side, state: CheckState) -> int:
    return sum(check.state == state for check in side.plan.checks)
