"""Which cautions a plan carries, by what is known of its job."""

from __future__ import annotations

import pytest

from tests.builders import a_catalogue, a_job, a_plan
from webapp.present.cautions import OUTDOORS, plan_cautions


@pytest.mark.parametrize(
    ("places", "warns"),
    [
        ({}, False),
        ({"mast": {"run_m": 10.1}}, True),  # nobody has said where it goes
        ({"mast": {"outdoors": True}}, True),
        ({"mast": {"above_roof": True}}, True),
    ],
    ids=str,
)
def test_runs_outdoors_warn_of_surges_and_thunder(places, warns):
    job = a_job(**{"desk": {"run_m": 9.5}, **places})
    assert (OUTDOORS in plan_cautions(job, a_catalogue(), a_plan(), "lithium").cuts) is warns
