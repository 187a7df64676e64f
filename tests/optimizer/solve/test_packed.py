"""Cables of which the model counts lengths only: what cannot be cut is ruled out, and nothing else is.

Five runs of 8, 6, 4.2, 2.3 and 2 m are 22.5 m, yet no two spools of 12 m hold them: beside 8 m there is room for one of
the two short ones, and 6 m with 4.2 m leave room for neither. Two spools of 20 m do not hold 12, 12, 10 and 5 m.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import pytest

from optimizer import solving
from optimizer.catalogue import Cable, Catalogue, Content, Offer
from optimizer.cutting import pack
from optimizer.job import Job, Owned, Place
from optimizer.planner import plan
from optimizer.solve import cutting, packing, search
from tests.builders import ROUTER, a_catalogue, a_job
from tests.optimizer.brute_force import cheapest
from tests.optimizer.tiny import tiny

BY_LENGTH, BY_PATTERN = 0, 300  # ways to cut a spool, beyond which only lengths are counted
FIVE, FOUR = (8, 6, 4.2, 2.3, 2), (12, 12, 10, 5)
# converters, packs of fuses, of crimps and of labels; from 200.00 on delivery is free
FIVE_CENTS = 5 * 3000 + 3 * 200 + 2 * 300 + 3 * 100
FOUR_CENTS = 4 * 3000 + 2 * 200 + 2 * 300 + 2 * 100
SPOOL_CENTS = 6000
OTHER = replace(a_catalogue().get(Cable, "twin4"), id="other4")
HALF_METRES = Offer(
    id="o-metre", seller="shop", price_cents=300, contents=(Content(part="twin4", length_m=0.5),), step_m=0.5
)
TWO_LONGER = Offer(  # of 12.3 m: 8 and 4.2 m, 6 and 2.3 and 2 m
    id="o-two", seller="shop", price_cents=12_500, contents=2 * (Content(part="other4", length_m=12.3),)
)

OFFCUT = Owned(part="twin4", length_m=20)


def with_runs(cuts_m: tuple[float, ...], spool_m: float, *more: Offer | Owned) -> tuple[Job, Catalogue]:
    """A load at the end of each run, and one kind of cable on spools, besides what more is on offer or at hand."""
    places = tuple(Place(id=f"p{n}", run_m=length_m - 0.5) for n, length_m in enumerate(cuts_m))
    loads = tuple(replace(ROUTER, id=f"r{n}", place=place.id, peak_w=20) for n, place in enumerate(places))
    at_hand = tuple(each for each in more if isinstance(each, Owned))
    job = a_job(bus={"spare_ways": 5}, existing={"capacity_ah": 900}, places=places, loads=loads, owned=at_hand)
    contents = (Content(part="twin4", length_m=spool_m),)
    spool = Offer(id="o-spool", seller="shop", price_cents=SPOOL_CENTS, contents=contents)
    catalogue = a_catalogue(OTHER)
    kept = tuple(offer for offer in catalogue.offers if offer.id not in ("o-twin4", "o-twin1"))
    offers = (each for each in more if isinstance(each, Offer))
    return job, replace(catalogue, offers=(*kept, spool, *offers))


def no_weights(*_: object) -> None:
    """As if no row of this kind were broken."""


@pytest.fixture(params=["few loads", "some loads", "many loads"])
def searched_for(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Every way a search goes about it, for jobs of any size, with nothing known beforehand."""
    monkeypatch.setattr(solving, "_by_hand", lambda *_: (None, None))
    if request.param == "some loads":
        monkeypatch.setattr(search, "LOADS_TO_LOOK", 0)
        monkeypatch.setattr(search, "JOINT_LIMIT", 0.0)
    elif request.param == "many loads":
        monkeypatch.setattr(search, "FEW_LOADS", 0)
    return str(request.param)


@pytest.mark.usefixtures("searched_for")
@pytest.mark.parametrize("most_patterns", [BY_LENGTH, BY_PATTERN])
@pytest.mark.parametrize(
    ("cuts_m", "spool_m", "more", "cents"),
    [
        pytest.param(FOUR, 20, (), FOUR_CENTS + 3 * SPOOL_CENTS, id="weights tell it"),
        pytest.param(FIVE, 12, (), FIVE_CENTS + 3 * SPOOL_CENTS, id="told by each being wanted once"),
        pytest.param(FIVE, 12, (HALF_METRES,), FIVE_CENTS + 2 * SPOOL_CENTS + 4 * 300, id="two metres apart"),
        pytest.param(FIVE, 12, (TWO_LONGER,), FIVE_CENTS + 12_500, id="from longer ones"),
        pytest.param(FOUR, 20, (OFFCUT,), FOUR_CENTS + 2 * SPOOL_CENTS, id="weights tell it, with an offcut"),
        pytest.param(FIVE, 12, (replace(OFFCUT, length_m=12),), FIVE_CENTS + 2 * SPOOL_CENTS, id="with an offcut"),
        pytest.param(FIVE[:4], 12, (), FOUR_CENTS + 2 * SPOOL_CENTS, id="they fit"),
    ],
)
def test_what_is_bought_can_be_cut(
    cuts_m: tuple[float, ...],
    spool_m: float,
    more: tuple[Offer | Owned, ...],
    cents: int,
    most_patterns: int,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(cutting, "MOST_PATTERNS", most_patterns)
    answer = plan(*with_runs(cuts_m, spool_m, *more))
    assert (answer.status, answer.total_cents, answer.bound_cents) == ("optimal", cents, cents)
    assert not [check for check in answer.checks if check.state == "fails"]


@pytest.mark.usefixtures("searched_for")
def test_what_nobody_could_cut_or_refute_is_not_called_dearer(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without any work two spools are neither cut nor refuted: three stand, and nothing says that none is cheaper."""
    monkeypatch.setattr(cutting, "MOST_PATTERNS", BY_LENGTH)
    monkeypatch.setattr(packing, "pack", partial(pack, work=0))
    monkeypatch.setattr(packing, "weights_against", no_weights)
    answer = plan(*with_runs(FIVE, 12))
    assert (answer.status, answer.total_cents) == ("feasible", FIVE_CENTS + 3 * SPOOL_CENTS)
    assert answer.bound_cents is not None
    assert answer.bound_cents <= FIVE_CENTS + 2 * SPOOL_CENTS


@pytest.mark.usefixtures("searched_for")
@pytest.mark.parametrize(
    ("more", "cents"),
    [
        pytest.param((), FIVE_CENTS + 3 * SPOOL_CENTS, id="alone"),
        pytest.param((HALF_METRES,), FIVE_CENTS + 2 * SPOOL_CENTS + 4 * 300, id="two metres apart"),
        pytest.param((TWO_LONGER,), FIVE_CENTS + 12_500, id="from longer ones"),
        pytest.param((replace(OFFCUT, length_m=12),), FIVE_CENTS + 2 * SPOOL_CENTS, id="with an offcut"),
    ],
)
def test_what_no_weights_tell_is_ruled_out_by_itself(
    more: tuple[Offer | Owned, ...], cents: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Weights of cuts, each wanted once, always tell of two spools; of three they may not, nor where one may be two."""
    monkeypatch.setattr(cutting, "MOST_PATTERNS", BY_LENGTH)
    monkeypatch.setattr(packing, "weights_against", no_weights)
    answer = plan(*with_runs(FIVE, 12, *more))
    assert (answer.status, answer.total_cents, answer.bound_cents) == ("optimal", cents, cents)


@pytest.mark.parametrize("seed", [0, 1, 2, 3, 6, 8, 12, 31])
def test_lengths_alone_come_to_what_trying_everything_does(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cutting, "MOST_PATTERNS", BY_LENGTH)
    job, catalogue = tiny(seed)
    best, answer = cheapest(job, catalogue), plan(job, catalogue)
    assert answer.total_cents == (None if best is None else best.total_cents)
