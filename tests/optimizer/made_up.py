"""Made-up jobs over the catalogues of tests/cases: two to four loads, from a seed."""

from __future__ import annotations

import random
from dataclasses import replace

from optimizer.catalogue import Catalogue
from optimizer.job import Job, Place
from tests.optimizer.cases import NUMBERS, case


def made_up(seed: int) -> tuple[Job, Catalogue]:
    """Loads of several cases thrown together on the bus of one of them, with other runs and limits."""
    dice = random.Random(seed)
    home = case(dice.choice(NUMBERS))
    strangers = [
        load
        for number in NUMBERS
        for load in case(number).job.loads
        if case(number).job.bus.nominal_v == home.job.bus.nominal_v
    ]
    places = tuple(Place(id=f"p{n}", run_m=dice.choice((1.5, 3, 5, 8)), bundled=dice.choice((2, 4))) for n in range(2))
    loads = tuple(
        replace(load, id=f"l{n}", place=dice.choice(places).id, brick=load.brick if home.job.ac else None)
        for n, load in enumerate(dice.sample(strangers, dice.choice((2, 3, 3, 4))))
    )
    limits = replace(
        home.job.limits,
        drop_pct=dice.choice((4, 6, 8)),
        headroom_pct=dice.choice((0, 15)),
        autonomy_h=dice.choice((8, 12, 24)),
        far_fault_multiple=dice.choice((0, 5)),
        count_circuits=dice.random() < 0.5,
        fuse_ratio_max=dice.choice((None, 2)),
        joint_mohm=dice.choice((0, 5)),
    )
    bus = replace(home.job.bus, spare_ways=dice.choice((1, 3)))
    return replace(home.job, bus=bus, places=places, loads=loads, limits=limits, owned=()), home.catalogue
