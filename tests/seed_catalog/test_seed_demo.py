"""The demo jobs: sound documents, the safer limits on, and the answers their stories tell.

Usable energies and what the loads take were worked out by hand before there was a planner.
"""

from dataclasses import replace
from functools import cache

import pytest

from optimizer.planner import plan
from seed_catalog import demo_jobs, load_catalogue
from webapp.schemas import cross_faults, read_catalogue, read_job

SLUGS = ("canal-boat-mast", "library-van", "reed-mere-hide", "relay-hut")
TIME_LIMIT_S = 240.0  # the slowest takes about 12 s on a quiet machine


@cache
def catalogue():
    return read_catalogue(load_catalogue()).value


def job_of(slug):
    return read_job(demo_jobs()[slug]).value


@cache
def planned(slug):
    return plan(job_of(slug), catalogue(), time_limit_s=TIME_LIMIT_S)


def usable_wh(job):
    bank = job.bank.existing
    return bank.nominal_v * bank.capacity_ah * bank.usable_fraction * job.limits.bank_derate


def lossless_wh_per_day(job):
    return sum(load.typical_w * load.hours_per_day for load in job.loads)


def test_there_are_four_on_12_24_and_48_v():
    assert tuple(demo_jobs()) == SLUGS
    assert sorted(job_of(slug).bus.nominal_v for slug in SLUGS) == [12, 12, 24, 48]


@pytest.mark.parametrize("slug", SLUGS)
def test_demo_is_a_faultless_job_of_the_seed_catalogue(slug):
    reading = read_job(demo_jobs()[slug])
    assert reading.faults == ()
    assert cross_faults(reading.value, catalogue()) == ()


@pytest.mark.parametrize("slug", SLUGS)
def test_demo_uses_every_safer_limit(slug):
    limits = job_of(slug).limits
    assert (limits.far_fault_multiple, limits.fuse_ratio_max, limits.joint_mohm) == (5, 2, 5)
    assert limits.count_circuits
    assert limits.count_joints


@pytest.mark.parametrize(
    ("slug", "bank_wh", "loads_wh", "autonomy_h"),
    [
        # 12.8 V × 100 Ah × 0.85; one opening day and 20 %; loads 228 + 24 + 58.5 + 71.5 + 108 + 96 + 110 + 48 standby
        pytest.param("library-van", 1088, 744, 28.8, id="van"),
        # 24 V × 110 Ah × 0.5 × 0.85; loads 264 + 28.8 + 168 + 240 + 18 + 36 standby
        pytest.param("canal-boat-mast", 1122, 754.8, 36, id="boat"),
        # 12.8 V × 150 Ah × 0.85 × 0.9; two tablets 90 each, two nest cameras 120 each, jetty 110
        pytest.param("reed-mere-hide", 1468.8, 530, 30, id="hide"),
        # 51.2 V × 100 Ah × 0.8 × 0.9; loads 424.8 + 576 + 192 + 144 + 72 + 90 + 96 standby
        pytest.param("relay-hut", 3686.4, 1594.8, 48, id="hut"),
    ],
)
def test_demo_states_the_energies_of_its_story(slug, bank_wh, loads_wh, autonomy_h):
    job = job_of(slug)
    assert usable_wh(job) == pytest.approx(bank_wh)
    assert lossless_wh_per_day(job) == pytest.approx(loads_wh)
    assert job.limits.autonomy_h == autonomy_h


def test_canal_boat_could_not_last_36_h_even_without_any_losses():
    job = job_of("canal-boat-mast")
    assert lossless_wh_per_day(job) * 36 / 24 > usable_wh(job)  # 1,132 Wh against 1,122 Wh


def test_canal_boat_has_no_plan_and_autonomy_is_the_reason():
    answer = planned("canal-boat-mast")
    assert answer.status == "infeasible"
    assert "autonomy" in {reason.rule for reason in answer.reasons}


def test_library_van_lasts_its_day_without_the_inverter():
    answer = planned("library-van")
    assert answer.has_answer
    assert {feed.source for feed in answer.feeds} == {"bus"}
    assert answer.bank.average_w * 28.8 <= 1088


def test_library_van_would_not_last_its_day_through_the_inverter():
    assert planned("library-van").energy.today_average_w * 28.8 > 1088


def test_library_van_takes_no_fuse_that_its_bank_could_burst():
    fuses = {fuse.id: fuse for fuse in catalogue().parts if fuse.kind == "fuse"}
    assert all(fuses[c.fuse].interrupt_a >= 2051 for c in planned("library-van").circuits)


def test_relay_hut_rides_out_its_storm_with_little_to_spare():
    bank = planned("relay-hut").bank
    assert 0.9 * 3686.4 / 48 < bank.average_w <= 3686.4 / 48


def test_no_converter_of_the_relay_hut_ends_at_58_v():
    stages = {part.id: part for part in catalogue().parts if part.kind == "stage"}
    first_stages = [stages[feed.stages[0]] for feed in planned("relay-hut").feeds if feed.stages]
    assert len(first_stages) >= 5
    assert all(stage.in_max_v >= 58.4 for stage in first_stages)


def test_bird_hide_uses_both_freedoms_and_is_cheaper_for_it():
    answer, job = planned("reed-mere-hide"), job_of("reed-mere-hide")
    jetty = next(feed for feed in answer.feeds if feed.load == "spot")
    assert (jetty.panel_stages, jetty.run is not None) == (1, True)
    assert [(feed.load, feed.shares) for feed in answer.feeds if feed.shares] == [("nest2", "nest1")]
    without = plan(
        replace(job, limits=replace(job.limits, boost_at_panel=False, share_stages=False)),
        catalogue(),
        time_limit_s=TIME_LIMIT_S,
    )
    assert answer.total_cents < 0.7 * without.bound_cents


@pytest.mark.parametrize("slug", ["library-van", "reed-mere-hide", "relay-hut"])
def test_no_check_of_a_demo_plan_fails(slug):
    checks = planned(slug).checks
    assert checks
    assert [check for check in checks if check.state == "fails"] == []
