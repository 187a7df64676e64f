"""The demo jobs use every safer limit of planning rules 10: their plans must pass this second reading too."""

from __future__ import annotations

import pytest

from optimizer.checks import check_plan, failures
from tests.optimizer.demos import AUTONOMY_H, planned


@pytest.mark.parametrize("slug", AUTONOMY_H)
def test_demo_plan_has_no_failing_check(slug: str) -> None:
    assert failures(check_plan(*planned(slug))) == ()
