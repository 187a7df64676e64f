"""One check as a gauge: how far the value is along the scale, where the limit stands, which side is not allowed."""

from __future__ import annotations

import math
from dataclasses import dataclass

from optimizer.plan import Check
from webapp.present.words import figure
from webapp.texts import _

# Where the limit stands, in percent of the rail: the same place in every gauge of a kind, so that they compare.
AT_MOST_PCT = 80.0
AT_LEAST_PCT = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """A rail from nothing to beyond the limit. All along it is in percent of its width, as SVG takes it."""

    state: str
    value_pct: str
    limit_pct: str
    barred_from_pct: str  # the side that is not allowed; both ends alike where the value meets its limit exactly
    barred_to_pct: str
    beyond: bool  # the value lies past the end of the rail
    words: str


def gauge_of(check: Check) -> Gauge | None:
    """The gauge of a check; None where there is nothing to measure against, as with yes or no."""
    if not _is_measured(check):
        return None
    assert check.value is not None
    assert check.limit is not None
    limit_pct = AT_LEAST_PCT if side_of(check) == "at_least" else AT_MOST_PCT
    share = _share(check.value, check.limit)
    value_pct = min(share * limit_pct, 100.0)
    barred = {"at_most": (limit_pct, 100.0), "at_least": (0.0, limit_pct), "": (limit_pct, limit_pct)}[side_of(check)]
    return Gauge(
        state=check.state,
        value_pct=pct(value_pct),
        limit_pct=pct(limit_pct),
        barred_from_pct=pct(barred[0]),
        barred_to_pct=pct(barred[1]),
        beyond=share * limit_pct > 100.0,
        words=_words(side_of(check), share),
    )


def pct(value: float) -> str:
    """Percent as SVG takes it: a gauge is 26 rem wide at most, and a tenth of a percent less than half a point."""
    return f"{value:.1f}%"


def _is_measured(check: Check) -> bool:
    numbers = (check.value, check.limit, check.margin)
    return all(number is not None and math.isfinite(number) for number in numbers)


def side_of(check: Check) -> str:
    """On which side of the limit the value has to stay, as the sign of the margin tells: at_most, at_least or empty."""
    if not check.margin or check.value is None or check.limit is None or check.value == check.limit:
        return ""
    return "at_most" if (check.limit - check.value) * check.margin > 0 else "at_least"


def _share(value: float, limit: float) -> float:
    """The value as a share of its limit, from 0 up."""
    if limit > 0:
        return max(value / limit, 0.0)
    return 1.0 if value == limit else math.inf if value > limit else 0.0


def _words(side: str, share: float) -> str:
    if not side:
        return _("Exactly at the limit")
    if not math.isfinite(share):
        return _("The limit is zero")
    of = figure(100 * share)
    if side == "at_most":
        return _("%(share)s %% of what is allowed", share=of)
    return _("%(share)s %% of what is needed", share=of)
