"""The proof: every check with its state in a word and a shape, trouble first."""

from __future__ import annotations

from dataclasses import dataclass

from optimizer.plan import Check, Plan
from webapp import units
from webapp.pictures.gauge import Gauge, gauge_of, side_of
from webapp.present.holds import Words
from webapp.present.rule_words import formula_words, rule_words, source_words, subject_words
from webapp.present.words import capital, counted, listed, money, one_or_many, quantity, signed
from webapp.texts import N_, _, ngettext

ORDER = ("fails", "tight", "not_checked", "holds")
WORDS = {"holds": N_("Holds"), "tight": N_("Tight"), "fails": N_("Fails"), "not_checked": N_("Not checked")}
SHAPES = {"holds": "●", "tight": "▲", "fails": "✕", "not_checked": "○"}


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckView:
    state: str
    word: str
    shape: str
    title: str
    subject: str
    value: str
    limit: str
    margin: str
    source: str
    formulas: tuple[tuple[str, str], ...]  # each, and what its metres and °C are in the units chosen
    holds: str
    gauge: Gauge | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckSection:
    """Checks of one subject; of all subjects where the heading is empty."""

    heading: str
    checks: tuple[CheckView, ...]

    @property
    def number(self) -> str:
        return count_checks(len(self.checks))


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckGroup:
    state: str
    word: str
    shape: str
    number: str
    sections: tuple[CheckSection, ...]


def check_groups(plan: Plan, holds: Words | None = None) -> tuple[CheckGroup, ...]:
    """Fails, Tight, Not checked, Holds; states without a check are left out.

    Args:
        holds: What to say of how far a figure may go, by rule and subject.
    """
    of_state = {state: [check for check in plan.checks if check.state == state] for state in ORDER}
    return tuple(_group(state, checks, holds or {}) for state, checks in of_state.items() if checks)


def _group(state: str, checks: list[Check], holds: Words) -> CheckGroup:
    return CheckGroup(
        state=state,
        word=_(WORDS[state]),
        shape=SHAPES[state],
        number=count_checks(len(checks)),
        sections=_by_subject(checks, holds)
        if state == "holds"
        else (CheckSection(heading="", checks=_merged(checks, holds)),),
    )


def _by_subject(checks: list[Check], holds: Words) -> tuple[CheckSection, ...]:
    """A section per subject; subjects with a single check share the last one."""
    subjects: dict[str, list[Check]] = {}
    for check in checks:
        subjects.setdefault(check.subject, []).append(check)
    sections = [
        CheckSection(heading=capital(subject_words(subject)), checks=tuple(_view([check], "", holds) for check in own))
        for subject, own in subjects.items()
        if len(own) > 1
    ]
    alone = tuple(_view(own, subject_words(subject), holds) for subject, own in subjects.items() if len(own) == 1)
    if alone:
        sections.append(CheckSection(heading=_("Purchases and the rest") if sections else "", checks=alone))
    return tuple(sections)


def _merged(checks: list[Check], holds: Words) -> tuple[CheckView, ...]:
    """Checks without figures that say the same of several subjects become one."""
    rows: dict[object, list[Check]] = {}
    for index, check in enumerate(checks):
        rows.setdefault(check.rule if check.value is None else index, []).append(check)
    return tuple(_view(each, listed([subject_words(check.subject) for check in each]), holds) for each in rows.values())


def verdict(plan: Plan) -> str:
    """All checks in one line."""
    if not plan.checks:
        return _("No check has been made: do not build from this page.")
    numbers = {state: sum(check.state == state for check in plan.checks) for state in ORDER}
    if numbers["holds"] == len(plan.checks):
        return ngettext("The one check holds.", "All %(num)s checks hold.", len(plan.checks))
    said = [_of_state(state, numbers[state]) for state in ORDER if numbers[state]]
    made = count_checks(len(plan.checks))
    return f"{made}: {', '.join(said)}."


def _of_state(state: str, number: int) -> str:
    return {
        "holds": ngettext("%(num)s holds", "%(num)s hold", number),
        "tight": ngettext("%(num)s tight", "%(num)s tight", number),
        "fails": ngettext("%(num)s failed", "%(num)s failed", number),
        "not_checked": ngettext("%(num)s not checked", "%(num)s not checked", number),
    }[state]


def count_checks(number: int) -> str:
    return counted("%(num)s check", "%(num)s checks", number)


def may_build(plan: Plan) -> bool:
    """Whether a price may be shown: there are checks and none fails."""
    return bool(plan.checks) and all(check.state != "fails" for check in plan.checks)


def _view(checks: list[Check], subject: str, holds: Words) -> CheckView:
    check = checks[0]
    told_of = (formula_words(each.formula) for each in checks if each.formula)
    return CheckView(
        state=check.state,
        word=_(WORDS[check.state]),
        shape=SHAPES[check.state],
        title=rule_words(check.rule),
        subject=subject,
        value=amount_words(check.value, check.unit),
        limit=limit_words(check),
        margin=margin_words(check),
        source=source_words(check.source),
        formulas=tuple((said, units.beside(said)) for said in dict.fromkeys(told_of)),
        holds=holds.get((check.rule, check.subject), ""),
        gauge=gauge_of(check),
    )


def amount_words(value: float | None, unit: str) -> str:
    """A value or a limit of a check, in its unit; empty where there is none."""
    if value is None:
        return ""
    return money(round(value)) if unit == "cents" else quantity(value, one_or_many(value, unit), 4)


def limit_words(check: Check) -> str:
    """The limit, and on which side of it the value has to be."""
    if check.limit is None:
        return ""
    amount = amount_words(check.limit, check.unit)
    said = {
        "at_most": _("at most %(amount)s", amount=amount),
        "at_least": _("at least %(amount)s", amount=amount),
        "": _("limit %(amount)s", amount=amount),
    }
    return said[side_of(check)]


def margin_words(check: Check) -> str:
    """How much room is left; empty where that cannot be said."""
    return "" if check.margin is None else signed(check.margin, one_or_many(check.margin, check.unit))
