"""A rule and two numbers become a Check: the only place that says holds, tight, fails or not checked."""

from __future__ import annotations

import math

from optimizer.checks.rules import Rule
from optimizer.plan import Check, CheckState
from optimizer.units import FORGIVEN


def at_most(rule: Rule, subject: str, value: float, limit: float, formula: str) -> Check:
    """The value must not exceed the limit."""
    return _compared(rule, subject, value, limit, limit - value, formula)


def at_least(rule: Rule, subject: str, value: float, limit: float, formula: str) -> Check:
    """The value must reach the limit."""
    return _compared(rule, subject, value, limit, value - limit, formula)


def same(
    rule: Rule, subject: str, recorded: float | None, recomputed: float | None, formula: str, *, tolerance: float = 0.0
) -> Check:
    """What the plan states must be what comes out here."""
    if recorded is None or recomputed is None or not math.isfinite(recomputed):
        state: CheckState = "holds" if recorded is recomputed else "fails"
        return _check(rule, subject, recorded, recomputed, None, state, formula)
    apart = abs(recorded - recomputed)
    state = "holds" if apart <= tolerance + FORGIVEN * abs(recomputed) else "fails"
    return _check(rule, subject, recorded, recomputed, None, state, formula)


def claim(rule: Rule, subject: str, holds: bool, formula: str) -> Check:
    """A rule of yes or no."""
    return _check(rule, subject, None, None, None, "holds" if holds else "fails", formula)


def unchecked(rule: Rule, subject: str, formula: str, value: float | None = None, limit: float | None = None) -> Check:
    """Nobody can check this here; the formula says why."""
    return _check(rule, subject, value, limit, None, "not_checked", formula)


def num(value: float | None) -> str:
    """A number as a builder writes it: four digits, no more."""
    if value is None or not math.isfinite(value):
        return "∞"
    return f"{value:.0f}" if abs(value) >= 1000 else f"{value:.4g}"


def _compared(rule: Rule, subject: str, value: float, limit: float, margin: float, formula: str) -> Check:
    dust = FORGIVEN * max(abs(value), abs(limit)) if math.isfinite(value) else 0.0
    if not margin >= -dust:  # NaN fails too
        return _check(rule, subject, value, limit, margin, "fails", formula)
    state: CheckState = "holds" if rule.tight is None or margin >= rule.tight * abs(limit) - dust else "tight"
    return _check(rule, subject, value, limit, max(margin, 0.0), state, formula)


def _check(
    rule: Rule,
    subject: str,
    value: float | None,
    limit: float | None,
    margin: float | None,
    state: CheckState,
    formula: str,
) -> Check:
    return Check(
        rule=rule.id,
        subject=subject,
        value=_finite(value),
        limit=_finite(limit),
        unit=rule.unit,
        state=state,
        margin=_finite(margin),
        source=rule.source,
        formula=formula,
    )


def _finite(value: float | None) -> float | None:
    # a document holds no infinities: a load that cannot run shows no value and fails
    return value if value is not None and math.isfinite(value) else None
