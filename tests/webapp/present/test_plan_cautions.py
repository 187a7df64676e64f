"""Which cautions a plan carries, by what is known of its job."""

from __future__ import annotations

import pytest

from tests.builders import a_catalogue, a_job, a_plan
from webapp.present.cautions import GISTS, OUTDOORS, THUNDER, gists, plan_cautions
from webapp.texts import _


@pytest.mark.parametrize(
    ("places", "warns"),
    [
        ({}, None),
        ({"mast": {"run_m": 10.1}}, OUTDOORS),  # nobody has said where it goes
        ({"mast": {"outdoors": True}}, OUTDOORS),
        ({"mast": {"outdoors": True, "run_m": 10.1}}, THUNDER),  # every page asks for a person who plans the rest
        ({"mast": {"above_roof": True}}, THUNDER),
    ],
    ids=str,
)
def test_runs_outdoors_warn_of_surges_and_thunder(places, warns):
    job = a_job(**{"desk": {"run_m": 9.5}, **places})
    assert {OUTDOORS, THUNDER} & set(cautions_of(job).cuts) == ({warns} if warns else set())


def test_every_caution_above_work_has_a_gist_of_a_line_or_two():
    job = a_job(desk={"run_m": 10.1}, bus={"high_v": 58.4})
    care = cautions_of(job)
    said = {*care.cuts, *care.fuses, *care.work}
    assert said == {_(each) for each in GISTS}
    for whole, gist in zip(care.work, gists(care.work), strict=True):
        assert len(gist) <= min(56, len(whole) - 20)
    assert gists((THUNDER,)) == (THUNDER,)


def cautions_of(job):
    return plan_cautions(job, a_catalogue(), a_plan(), "lithium")
