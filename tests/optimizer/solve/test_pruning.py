"""Feeds left out of the model because another beats them change no total, whatever shares their circuit."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from optimizer import feeds
from optimizer.catalogue import Cable, Catalogue, Content, Offer, Stage, Terminal
from optimizer.job import Job, Needs
from optimizer.planner import plan
from optimizer.solve import instance
from tests.builders import a_catalogue, a_job
from tests.optimizer.checks.twins.twin import CAMERA, bought
from tests.optimizer.solve.rivals import rivals
from tests.optimizer.solve.rule_twins import FUSE_10, JUNCTION


def unpruned(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(instance, "without_beaten", lambda options, *_, **__: options)
    monkeypatch.setattr(feeds.Heads, "beaten", lambda _, chains: np.zeros(len(chains), dtype=bool))
    monkeypatch.setattr(feeds.Ends, "unbeaten", lambda _, chains: chains)


@pytest.mark.parametrize("seed", range(80))
def test_rivals_left_out_change_no_total(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    pruned = plan(*rivals(seed))
    unpruned(monkeypatch)
    assert plan(*rivals(seed)).total_cents == pruned.total_cents


def test_many_rivals_are_left_out() -> None:
    """Otherwise the test above would compare a thing with itself."""
    left_out = 0
    with pytest.MonkeyPatch.context() as patched:
        kept = [_options(seed) for seed in range(80)]
        unpruned(patched)
        left_out = sum(_options(seed) > few for seed, few in enumerate(kept))
    assert left_out > 20


def _options(seed: int) -> int:
    return sum(len(options) for options in instance.build(*rivals(seed)).options.values())


def floors_apart() -> tuple[Job, Catalogue]:
    """Two loads must share the one way left; one of them takes 2.5 mm² at most.

    Over 10 m of 2.5 mm² (0.2 Ω) both together hold the drop from the floor of 10.5 V of the dear converter (5.14 A,
    1.03 V of 1.2 V), not from the 11.3 V of the cheap one (4.78 A, 0.96 V of 0.4 V), which would need 6 mm².
    """
    boost = a_catalogue().get(Stage, "boost")
    parts = (
        replace(boost, id="wide"),
        replace(boost, id="narrow", in_min_v=11.3),
        replace(boost, id="barrel", out_form="dc-barrel", max_conductor_mm2=2.5),
        Cable(id="twin2.5", mm2=2.5, cores=2, ohm_per_km_20c=10, ampacity_a=25, insulation_c=90),
        Cable(id="twin6", mm2=6, cores=2, ohm_per_km_20c=3.3, ampacity_a=45, insulation_c=90),
        Terminal(id="lug", mm2_min=1, mm2_max=6),
        FUSE_10,
    )
    priced = {"wide": 9000, "narrow": 1000, "barrel": 100, "lug": 100, "fuse10": 100}
    offers = tuple(replace(bought(part), price_cents=cents) for part, cents in priced.items())
    spools = tuple(
        Offer(id=f"o-{cable}", seller="shop", price_cents=100, contents=(Content(part=cable, length_m=20),))
        for cable in ("twin2.5", "twin6")
    )
    catalogue = a_catalogue(*parts, offers=(*offers, *spools))
    kept = tuple(offer for offer in catalogue.offers if offer.id not in ("o-boost", "o-twin4"))
    camera = replace(CAMERA, needs=Needs(form="dc-barrel", min_v=18, max_v=20))
    job = a_job(desk={"run_m": 9.5}, more_loads=(camera,), existing={"capacity_ah": 300})
    return job, replace(catalogue, offers=kept)


def test_dear_converter_is_kept_where_a_mate_takes_no_thicker_run() -> None:
    answer = plan(*floors_apart())
    assert answer.status == "optimal"
    assert next(feed.stages for feed in answer.feeds if feed.load == "router") == ("wide",)


def with_a_small_junction() -> tuple[Job, Catalogue]:
    """The same where not the mate's converter but the only junction takes 2.5 mm² at most."""
    job, catalogue = floors_apart()
    junction = replace(JUNCTION, mm2_max=2.5)
    parts = tuple(replace(part, max_conductor_mm2=None) if part.id == "barrel" else part for part in catalogue.parts)
    catalogue = replace(catalogue, parts=(*parts, junction), offers=(*catalogue.offers, bought("junction")))
    return replace(job, limits=replace(job.limits, count_joints=True)), catalogue


def test_dear_converter_is_kept_where_no_junction_takes_a_thicker_run() -> None:
    assert plan(*with_a_small_junction()).status == "optimal"


def test_dear_converter_is_what_the_whole_model_takes(monkeypatch: pytest.MonkeyPatch) -> None:
    unpruned(monkeypatch)
    answer = plan(*floors_apart())
    assert (answer.status, answer.total_cents) == ("optimal", 10800)
    assert {feed.stages for feed in answer.feeds} == {("barrel",), (), ("wide",)}
    assert plan(*with_a_small_junction()).status == "optimal"


def heads_apart() -> tuple[Job, Catalogue]:
    """A cheap thrifty step-up does not limit its output, so no converter may follow it; a dear one does."""
    boost = a_catalogue().get(Stage, "boost")
    up = replace(boost, out_form="dc-wire", out_v=24)
    parts = (
        replace(up, id="cheap", efficiency=0.98, idle_w=0.1, limits_output=False),
        replace(up, id="dear", efficiency=0.9),
        replace(boost, id="down", in_min_v=18, in_max_v=36),
    )
    priced = {"cheap": 500, "dear": 4000, "down": 2000}
    catalogue = a_catalogue(*parts, offers=tuple(replace(bought(p), price_cents=c) for p, c in priced.items()))
    kept = tuple(offer for offer in catalogue.offers if offer.id != "o-boost")
    return a_job(existing={"capacity_ah": 300}), replace(catalogue, offers=kept)


def test_a_head_that_no_converter_may_follow_stands_for_no_other() -> None:
    chains = [[stage.id for stage in option.stages] for option in instance.build(*heads_apart()).options["router"]]
    assert chains == [["dear", "down"]]
