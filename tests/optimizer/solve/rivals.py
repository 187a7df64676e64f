"""Made-up rivals: loads that share a circuit, and converters for them that differ in a little of everything."""

from __future__ import annotations

import random
from dataclasses import replace

from optimizer.catalogue import Cable, Catalogue, Content, Fuse, Holder, Junction, Offer, Part, Terminal
from optimizer.job import CutLead, Job, Load, Needs, Owned
from tests.builders import OFFERS, PARTS, ROUTER, a_catalogue, a_job

BOOST = next(part for part in PARTS if part.id == "boost")
FORMS = ("dc-plug", "dc-barrel")


def rivals(seed: int) -> tuple[Job, Catalogue]:
    """Two or three loads at one place with rival converters, singly sold at odd prices."""
    dice = random.Random(seed)
    return _job(dice), _catalogue(dice)


def _job(dice: random.Random) -> Job:
    pick = dice.choice
    loads = tuple(_load(dice, n) for n in range(pick((2, 2, 3))))
    job = a_job(
        bus={"spare_ways": pick((1, 1, 2, 3))},
        desk={"run_m": pick((4.5, 9.5, 14.5)), "bundled": pick((2, 4))},
        existing={"capacity_ah": pick((150, 300)), "max_discharge_a": pick((9, 50))},
        limits={
            "count_circuits": pick((False, True)),
            "count_joints": pick((False, True)),
            "fuse_ratio_max": pick((None, 2)),
            "far_fault_multiple": pick((0, 5)),
            "autonomy_h": 12,
        },
    )
    owned = (Owned(part="rival1", count=1),) if dice.random() < 0.2 else ()
    return replace(job, loads=loads, owned=owned)


def _load(dice: random.Random, n: int) -> Load:
    pick = dice.choice
    is_wire = dice.random() < 0.3
    peak_w = pick((9, 20, 30))
    return replace(
        ROUTER,
        id=f"load{n}",
        needs=Needs(form="dc-wire", min_v=10, max_v=15) if is_wire else Needs(form=pick(FORMS), min_v=18, max_v=20),
        peak_w=peak_w,
        typical_w=peak_w / 2,
        lead=CutLead(length_m=pick((0.5, 2))) if is_wire else ROUTER.lead,
        drop_pct=pick((None, 5)),
        behaviour="resistive" if is_wire and dice.random() < 0.4 else "constant_power",
        rated_v=12 if is_wire else None,
        max_fuse_a=10,
    )


def _catalogue(dice: random.Random) -> Catalogue:
    pick = dice.choice
    stages: list[Part] = [
        replace(
            BOOST,
            id=f"rival{n}",
            out_form=FORMS[n % 2],
            in_min_v=pick((9, 9, 11, 11.3)),
            max_conductor_mm2=pick((None, None, 2.5, 4)),
            max_fuse_a=pick((None, None, 5, 10)),
            efficiency=pick((0.85, 0.9, 0.93)),
            idle_w=pick((0.5, 1, 2)),
        )
        for n in range(8)
    ]
    wiring: list[Part] = [
        Cable(id="thin", mm2=2.5, cores=2, ohm_per_km_20c=8, ampacity_a=25, insulation_c=90, max_fuse_a=10),
        Cable(id="thick", mm2=6, cores=2, ohm_per_km_20c=3.3, ampacity_a=45, insulation_c=90),
        Terminal(id="lug", mm2_min=1, mm2_max=pick((4, 6))),
        Terminal(id="big-lug", mm2_min=4, mm2_max=6),
        Fuse(id="fuse10", style="blade", rating_a=10, max_v=32, interrupt_a=1000),
        Fuse(id="fuse15", style="blade", rating_a=15, max_v=32, interrupt_a=1000),
        Holder(id="holder", style="blade", max_a=30, max_v=32),
        Junction(id="junction", max_a=15, max_v=32, outlets=3, mm2_max=pick((2.5, 6))),
    ]
    plain = a_catalogue(*stages, *wiring)
    kept = tuple(offer for offer in OFFERS if offer.id not in ("o-boost", "o-twin4", "o-twin1"))
    priced = [_offer(dice, part, pick((300, 900, 2500, 6000))) for part in stages]
    priced += [_offer(dice, part, pick((50, 200))) for part in wiring if not isinstance(part, Cable | Holder)]
    priced += [_spool(part, pick((400, 1500)), 20) for part in wiring if isinstance(part, Cable)]
    if dice.random() < 0.5:
        priced.append(_offer(dice, wiring[6], 300))
    return replace(plain, offers=(*kept, *priced))


def _offer(dice: random.Random, part: Part, cents: int) -> Offer:
    count = 8 if isinstance(part, Terminal) else 1
    return Offer(
        id=f"o-{part.id}",
        seller="shop",
        price_cents=cents + dice.randrange(40),
        contents=(Content(part=part.id, count=count),),
    )


def _spool(part: Part, cents: int, length_m: float) -> Offer:
    return Offer(
        id=f"o-{part.id}", seller="shop", price_cents=cents, contents=(Content(part=part.id, length_m=length_m),)
    )
