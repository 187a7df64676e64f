"""What would have to give, in words with prices: for the page and for the terminal."""

from __future__ import annotations

from dataclasses import dataclass

from optimizer.plan import Binding, Plan, WayOut
from webapp.present.told import told, told_plainly
from webapp.present.words import capital, listed, money
from webapp.texts import _, bound

_FEW = 3  # are said in a sentence; more are a list to open


@dataclass(frozen=True, slots=True, kw_only=True)
class WayOutView:
    """One way out. Without a number it is no matter of the job, so that there is nothing to tap."""

    number: int | None
    text: str
    total: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WaysOutView:
    ways: tuple[WayOutView, ...]
    untried: str
    more_untried: tuple[str, ...]  # one by one, where they are too many for a sentence on a page


def ways_out_view(plan: Plan) -> WaysOutView:
    """Every way out, and what there was no time to try."""
    names = [told_plainly(each) for each in plan.untried]
    return WaysOutView(
        ways=tuple(_view(n, way) for n, way in enumerate(plan.ways_out)),
        untried=_("There was no time left to try %(what)s.", what=listed(names)) if names else "",
        more_untried=tuple(map(capital, names)) if len(names) > _FEW else (),
    )


def _view(number: int, way: WayOut) -> WayOutView:
    return WayOutView(
        number=number if way.change else None,
        text=told(way.text),
        total=money(way.total_cents),
        note=" ".join(_notes(way)),
    )


def _notes(way: WayOut) -> list[str]:
    notes = []
    if way.status != "optimal":
        notes.append(_("Stopped early: it may be had cheaper."))
        if way.bound_cents:
            notes[-1] = _("Stopped early: it may be had cheaper, not below %(price)s.", price=money(way.bound_cents))
    if way.uncounted:
        notes.append(_("Not in this price: %(what)s.", what=told_plainly(way.uncounted)))
    return notes


def lines(plan: Plan) -> list[str]:
    """The same for a terminal, one way a line."""
    view = ways_out_view(plan)
    shown = [f"- {way.text}: {way.total} in all. {way.note}".rstrip() for way in view.ways]
    head = ["What would have to give, one of these:"] if shown else []
    return [*head, *shown, *([view.untried] if view.untried else [])]


def limit_lines(plan: Plan) -> list[str]:
    """What each limit costs, one a line, for a terminal."""
    return ["What limits cost:", *(f"- {bound(each.text)}: {worth(each)}" for each in plan.binding)]


def worth(each: Binding) -> str:
    """What one step of a limit is worth."""
    if each.total_cents is None:
        return _("no plan")
    if each.saves_cents == 0:
        said = _("costs the same")
    elif each.saves_cents > 0:
        said = _("saves %(price)s", price=money(each.saves_cents))
    else:
        said = _("costs %(price)s more", price=money(-each.saves_cents))
    return said if each.status == "optimal" else _("%(worth)s, not proven", worth=said)
