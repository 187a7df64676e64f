"""How long a search may take."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from webapp.forms.fields import Form, Spec, posted, shown
from webapp.texts import N_

MUCH_LONGER = 5

SPECS = (
    Spec(
        name="time_limit_s",
        label=N_("Search for at most, seconds"),
        pointer="time_limit_s",
        unit="s",
        quantity="seconds",
        hint=N_("Up to 600 s, which is 10 minutes. It ends sooner where the cheapest is proven sooner."),
    ),
)


def edit_form(time_limit_s: float) -> Form:
    return shown(SPECS, {"time_limit_s": time_limit_s})


def longer_form(time_limit_s: float, most_s: float) -> Form:
    """Suggests more time than was too little."""
    return edit_form(min(MUCH_LONGER * time_limit_s, most_s))


def read(answers: Mapping[str, str]) -> tuple[Form, Any]:
    """The form as typed and the seconds; None while they cannot be read."""
    form, values = posted(SPECS, answers)
    return form, values.get("time_limit_s")
