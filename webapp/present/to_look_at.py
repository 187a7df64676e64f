"""The checks that do not simply hold, in brief: the same rule over several loads is one row."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from optimizer.plan import Check, Plan
from webapp.present.checks import ORDER, SHAPES, WORDS, amount_words, count_checks, limit_words, margin_words
from webapp.present.rule_words import rule_words, subject_words
from webapp.present.words import counted
from webapp.texts import _

WHOLE = ("plan", "bank")  # there is one of each, and the rule's name tells which


@dataclass(frozen=True, slots=True, kw_only=True)
class LookLine:
    """One check of a row."""

    name: str
    figures: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LookRow:
    """One rule that fails, is tight or was not checked, for one subject or several."""

    state: str
    word: str
    shape: str
    title: str
    note: str
    lines: tuple[LookLine, ...]  # to unfold; empty where the note says it all


def look_rows(plan: Plan) -> tuple[LookRow, ...]:
    """Fails, then Tight, then Not checked."""
    rules: dict[tuple[str, str], list[Check]] = {}
    for state in ORDER[:-1]:
        for check in plan.checks:
            if check.state == state:
                rules.setdefault((state, check.rule), []).append(check)
    return tuple(_row(checks) for checks in rules.values())


def _row(checks: Sequence[Check]) -> LookRow:
    first = checks[0]
    lines = tuple(LookLine(name=_name(check.subject), figures=_figures(check)) for check in checks)
    is_folded = len(lines) > 1 and any(line.figures for line in lines)
    return LookRow(
        state=first.state,
        word=_(WORDS[first.state]),
        shape=SHAPES[first.state],
        title=rule_words(first.rule),
        note=_several(checks) if is_folded else _plainly(lines),
        lines=lines if is_folded else (),
    )


def _plainly(lines: Sequence[LookLine]) -> str:
    """A single check with its figures, or the names of several that have none."""
    if len(lines) == 1:
        return ": ".join(each for each in (lines[0].name, lines[0].figures) if each)
    return ", ".join(dict.fromkeys(line.name for line in lines if line.name))


def _several(checks: Sequence[Check]) -> str:
    """How many there are, and which of them has the least room."""
    number = _number(checks)
    margins = [(check.margin, check) for check in checks if check.margin is not None]
    if len(margins) < len(checks) or len({check.unit for check in checks}) > 1:
        return number
    _margin, least = min(margins, key=lambda each: each[0])
    return _(
        "%(checks)s, least margin %(amount)s at %(name)s",
        checks=number,
        amount=margin_words(least),
        name=_name(least.subject),
    )


def _number(checks: Sequence[Check]) -> str:
    if all(check.subject.startswith("load ") for check in checks):
        return counted("%(num)s load", "%(num)s loads", len(checks))
    if all(check.subject.startswith("circuit ") for check in checks):
        return counted("%(num)s circuit", "%(num)s circuits", len(checks))
    return count_checks(len(checks))


def _figures(check: Check) -> str:
    if check.value is None:
        return ""
    margin = margin_words(check)
    figures = (
        amount_words(check.value, check.unit),
        limit_words(check),
        _("margin %(amount)s", amount=margin) if margin else "",
    )
    return ", ".join(each for each in figures if each)


def _name(subject: str) -> str:
    """A load or a circuit by its own name; what there is one of needs none."""
    if subject in WHOLE:
        return ""
    for kind in ("load ", "circuit "):
        if subject.startswith(kind):
            return subject.removeprefix(kind)
    return subject_words(subject)
