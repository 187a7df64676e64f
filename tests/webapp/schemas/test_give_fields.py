"""Fields about what would have to give: read back as they were written, refused where they make no sense."""

from __future__ import annotations

import pytest

from tests.webapp.schemas.documents import JOB, at
from webapp.schemas import dump_job, read_job


def test_budget_reads_back_and_is_left_out_where_there_is_none() -> None:
    job = read_job(at(JOB, "limits/budget_cents", 25000)).value
    assert job is not None
    assert job.limits.budget_cents == 25000
    assert read_job(dump_job(job)).value == job
    assert "budget_cents" not in dump_job(read_job(JOB).value)["limits"]


@pytest.mark.parametrize("cents", [-1, 10.5, "250", True])
def test_budget_is_a_number_of_cents(cents: object) -> None:
    assert [fault.pointer for fault in read_job(at(JOB, "limits/budget_cents", cents)).faults] == [
        "limits/budget_cents"
    ]
