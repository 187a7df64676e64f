"""What tests of the bound have in common."""

from __future__ import annotations

import pytest

from optimizer.solve import cases


@pytest.fixture
def long_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    """Few levels up to the least price. Small jobs are told to be ones of many loads, and their relaxation is far off.

    Case 023 lies 18 % above its own: 37 levels of the usual steps, and three times as long.
    """
    for pace in ("_PACE", "_PACE_OF_MANY"):
        monkeypatch.setattr(cases, pace, getattr(cases, pace)._replace(step=0.02, most_step=0.05))
