"""What sets one plan apart from another, in one sentence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from webapp.present.compare_rows import Side
from webapp.present.words import as_shown, listed, money, quantity
from webapp.texts import _, ngettext


@dataclass(frozen=True, slots=True, kw_only=True)
class Clause:
    """One thing that sets a plan apart, and whether that speaks for it."""

    words: str
    is_better: bool


def difference_words(first: Side, other: Side) -> str:
    """One sentence: what the other plan costs, lasts and takes more or less than the first; gains stand apart."""
    said = [each for each in (clause(first, other) for clause in CLAUSES) if each is not None]
    if not said:
        return _("%(other)s costs as much as %(first)s.", other=other.letter, first=first.letter)
    alike = listed([each.words for each in said if each.is_better == said[0].is_better])
    apart = listed([each.words for each in said if each.is_better != said[0].is_better])
    what = _("%(this)s, but %(that)s", this=alike, that=apart) if apart else alike
    return _("%(other)s %(what)s than %(first)s.", other=other.letter, what=what, first=first.letter)


def cheapest_words(sides: Sequence[Side]) -> str:
    """Which plan is the cheapest for how many hours without charging; empty where that is not known of all of them."""
    if len(sides) < 2 or None in [side.lasts_h for side in sides]:
        return ""
    best: list[Side] = []
    for side in sorted(sides, key=lambda each: (each.plan.total_cents or 0, -(each.lasts_h or 0))):
        if not best or as_shown(side.lasts_h or 0) > as_shown(best[-1].lasts_h or 0):
            best.append(side)
    spans = [(side.letter, quantity(side.lasts_h or 0, "h")) for side in best]
    if len(spans) == 1:
        return _("%(plan)s is the cheapest of them, and none lasts longer.", plan=spans[0][0])
    first, *others = spans
    words = [_("The cheapest of them is %(plan)s for up to %(hours)s without charging", plan=first[0], hours=first[1])]
    words += [_("%(plan)s for up to %(hours)s", plan=plan, hours=hours) for plan, hours in others]
    return f"{listed(words)}."


def _costs(first: Side, other: Side) -> Clause | None:
    cents = (other.plan.total_cents or 0) - (first.plan.total_cents or 0)
    amount = money(abs(cents))
    return _more_or_less(cents, _("costs %(amount)s more", amount=amount), _("costs %(amount)s less", amount=amount))


def _lasts(first: Side, other: Side) -> Clause | None:
    hours = _apart(first.lasts_h, other.lasts_h)
    time = quantity(abs(hours), "h")
    return _more_or_less(-hours, _("lasts %(time)s less", time=time), _("lasts %(time)s longer", time=time))


def _draws(first: Side, other: Side) -> Clause | None:
    watts = _apart(first.average_w, other.average_w)
    power = quantity(abs(watts), "W")
    return _more_or_less(watts, _("draws %(power)s more", power=power), _("draws %(power)s less", power=power))


def _comes(first: Side, other: Side) -> Clause | None:
    before, after = first.delivery_days, other.delivery_days
    if before is None or after is None:
        return None
    days = abs(after - before)
    return _more_or_less(
        after - before,
        ngettext("comes %(num)s day later", "comes %(num)s days later", days),
        ngettext("comes %(num)s day sooner", "comes %(num)s days sooner", days),
    )


def _apart(first: float | None, other: float | None) -> float:
    return 0.0 if first is None or other is None else as_shown(other) - as_shown(first)


def _more_or_less(apart: float, worse: str, better: str) -> Clause | None:
    return Clause(words=worse if apart > 0 else better, is_better=apart < 0) if apart else None


CLAUSES = (_costs, _lasts, _draws, _comes)
