"""What sets one plan apart from another, in one sentence."""

from __future__ import annotations

from webapp.present.compare_rows import Side
from webapp.present.words import as_shown, listed, money, quantity
from webapp.texts import _, ngettext


def difference_words(first: Side, other: Side) -> str:
    """One sentence: what the other plan costs, lasts and takes more or less than the first."""
    said = [words for words in (clause(first, other) for clause in CLAUSES) if words]
    if not said:
        return _("%(other)s costs as much as %(first)s.", other=other.letter, first=first.letter)
    return _("%(other)s %(what)s than %(first)s.", other=other.letter, what=listed(said), first=first.letter)


def _costs(first: Side, other: Side) -> str:
    cents = (other.plan.total_cents or 0) - (first.plan.total_cents or 0)
    amount = money(abs(cents))
    return _more_or_less(cents, _("costs %(amount)s more", amount=amount), _("costs %(amount)s less", amount=amount))


def _lasts(first: Side, other: Side) -> str:
    hours = _apart(first.lasts_h, other.lasts_h)
    time = quantity(abs(hours), "h")
    return _more_or_less(hours, _("lasts %(time)s longer", time=time), _("lasts %(time)s less", time=time))


def _draws(first: Side, other: Side) -> str:
    watts = _apart(first.average_w, other.average_w)
    power = quantity(abs(watts), "W")
    return _more_or_less(watts, _("draws %(power)s more", power=power), _("draws %(power)s less", power=power))


def _comes(first: Side, other: Side) -> str:
    before, after = first.delivery_days, other.delivery_days
    if before is None or after is None:
        return ""
    days = abs(after - before)
    return _more_or_less(
        after - before,
        ngettext("comes %(num)s day later", "comes %(num)s days later", days),
        ngettext("comes %(num)s day sooner", "comes %(num)s days sooner", days),
    )


def _apart(first: float | None, other: float | None) -> float:
    return 0.0 if first is None or other is None else as_shown(other) - as_shown(first)


def _more_or_less(apart: float, more: str, less: str) -> str:
    return more if apart > 0 else less if apart < 0 else ""


CLAUSES = (_costs, _lasts, _draws, _comes)
