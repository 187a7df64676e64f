"""Turns: whoever asks, however often, gets as many of the next places as anybody else who waits."""

from __future__ import annotations

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from webapp.repositories.turns import Asked, has_room, in_turn

ASKERS = "abcd"
askers = st.lists(st.sampled_from(ASKERS), max_size=25)


def asked(names):
    return [Asked(plan_id=f"p{n}", asker=name, job_id=f"j{n}") for n, name in enumerate(names)]


@given(names=askers, served=st.permutations(ASKERS))
def test_nobody_who_still_waits_is_more_than_one_turn_behind(names, served):
    order = in_turn(asked(names), [], served)
    assert sorted(one.plan_id for one in order) == sorted(f"p{n}" for n in range(len(names)))
    left, had = Counter(names), Counter()
    for one in order:
        left[one.asker] -= 1
        had[one.asker] += 1
        assert all(had[one.asker] - had[other] <= 1 for other in left if left[other] > 0)


@given(names=askers)
def test_the_plans_of_one_keep_their_order(names):
    order = in_turn(asked(names), [], [])
    for asker in ASKERS:
        own = [one.plan_id for one in order if one.asker == asker]
        assert own == [one.plan_id for one in asked(names) if one.asker == asker]


@given(names=askers.filter(lambda names: {"a", "b"} <= set(names)), times=st.integers(1, 5))
def test_whoever_has_plans_at_work_comes_after_those_who_have_none(names, times):
    at_work = [Asked(plan_id=f"w{n}", asker="a", job_id="w") for n in range(times)]
    assert in_turn(asked(names), at_work, [])[0].asker != "a"
    assert has_room(asked("b")[0], at_work, 1)
    assert not has_room(asked("a")[0], at_work, times)
    assert has_room(asked("a")[0], at_work, times + 1)


def test_another_job_of_the_same_asker_comes_before_one_at_work():
    first = Asked(plan_id="p", asker="a", job_id="same")
    other = Asked(plan_id="q", asker="a", job_id="other")
    at_work = [Asked(plan_id="w", asker="a", job_id="same")]
    assert in_turn([first, other], at_work, ["a"]) == [other, first]
