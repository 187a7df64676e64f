"""Plans to choose from: the chosen ones first, then the newest; never more than asked for, and all of them counted."""

from __future__ import annotations

import pytest

from webapp.services import answers, jobs, plans

pytestmark = pytest.mark.usefixtures("in_app")


@pytest.fixture
def answered(job, plan):
    """Plans one more job under a title and stores an answer; the plan's id."""

    def begin(title):
        plan_id = plans.start_plan(jobs.start_job({**job, "title": title}).id)
        assert plans.claim_plan() is not None
        plans.finish_plan(plan_id, plan, "stub")
        return plan_id

    return begin


def ids(offered):
    return [each.plan.id for each in offered.plans]


def test_what_is_chosen_comes_first_and_then_the_newest(answered):
    first, second, third = (answered(title) for title in ("Van", "Weir", "Ölhafen"))
    offered = answers.offered("", (first,), 2)
    assert ids(offered) == [first, third]
    assert (offered.found, offered.total) == (3, 3)
    assert ids(answers.offered("öLHA", (second,), 9)) == [second, third]
    assert answers.offered("weir van", (), 9).found == 0


def test_even_of_what_is_chosen_there_are_no_more_than_asked_for(answered):
    chosen = [answered("Van") for _ in range(3)]
    assert ids(answers.offered("", chosen, 2)) == chosen[:0:-1]


def test_what_is_in_the_bin_is_neither_offered_nor_counted(answered):
    here, binned = answered("Van"), answered("Weir")
    jobs.delete_job(plans.get_plan(binned).job_id)
    offered = answers.offered("", (binned,), 9)
    assert (ids(offered), offered.total) == ([here], 1)
