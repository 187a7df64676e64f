"""Tiny jobs and catalogues, made from a seed: small enough to try everything, odd enough to disagree on."""

from __future__ import annotations

import random
from dataclasses import replace
from typing import Any

from optimizer.catalogue import (
    BankKit,
    Battery,
    Cable,
    Catalogue,
    Consumable,
    Content,
    Fuse,
    Holder,
    Junction,
    Offer,
    Part,
    Seller,
    Stage,
    Switch,
    Terminal,
)
from optimizer.job import (
    AcOutlet,
    Bank,
    Brick,
    Bus,
    CutLead,
    ExistingBank,
    Job,
    Limits,
    Load,
    Needs,
    Owned,
    Place,
    SuppliedLead,
)

PLUG = Needs(form="dc-plug", min_v=18, max_v=20)
WIDE_PLUG = Needs(form="dc-plug", min_v=10, max_v=21)
WIRE = Needs(form="dc-wire", min_v=10, max_v=15)


def tiny(seed: int) -> tuple[Job, Catalogue]:
    """One or two loads and about ten offers."""
    made = _Tiny(random.Random(seed))
    return made.job(), made.catalogue()


class _Tiny:
    def __init__(self, dice: random.Random) -> None:
        self._dice = dice
        self._safer = dice.random() < 0.4  # with the safer limits of planning rules 10
        self._many = dice.random() < 0.6
        self._banks = dice.random() < 0.35
        self._ac = dice.random() < 0.35
        self._singles = dice.random() < 0.3
        self._parts: list[Part] = []
        self._offers: list[Offer] = []

    def _flip(self, chance: float = 0.5) -> bool:
        return self._dice.random() < chance

    # -- job ------------------------------------------------------------------------------------------------------

    def job(self) -> Job:
        pick = self._dice.choice
        existing = ExistingBank(
            nominal_v=12,
            capacity_ah=pick((40, 90, 160)),
            usable_fraction=0.5,
            rated_hours=20,
            peukert=pick((1, 1.2)),
            max_discharge_a=pick((8, 30)),
        )
        loads = (self._load("a", "near"), *([self._load("b", pick(("near", "far")))] if self._many else []))
        return Job(
            title="Tiny",
            bus=Bus(
                nominal_v=12,
                low_v=11.5,
                high_v=pick((14, 14.4)),
                spare_ways=pick((0, 1, 2, 2)),
                way_max_a=pick((10, 30)),
                fuse_style="blade",
                fault_a=pick((500, 800)),
            ),
            bank=Bank(existing=existing if not self._banks or self._flip() else None, may_buy=self._banks),
            places=(
                Place(id="near", run_m=pick((1.5, 3, 4)), bundled=pick((2, 4))),
                Place(id="far", run_m=pick((4, 6))),
            ),
            loads=loads,
            limits=self._limits(),
            ac=AcOutlet(efficiency=0.85, idle_w=6, on_hours_per_day=8, max_w=pick((40, 150))) if self._ac else None,
            owned=self._owned(),
        )

    def _load(self, name: str, place: str) -> Load:
        pick = self._dice.choice
        needs = pick((PLUG, PLUG, WIDE_PLUG, WIRE))
        peak_w = pick((6, 14, 22, 34))
        is_wire = needs is WIRE
        resistive = is_wire and self._flip(0.3)
        return Load(
            id=name,
            place=place,
            needs=needs,
            peak_w=peak_w,
            typical_w=peak_w * pick((0.4, 0.8)),
            hours_per_day=pick((4, 12, 24)),
            lead=CutLead(length_m=pick((0.5, 1.5))) if is_wire and self._flip(0.7) else SuppliedLead(loop_ohm=0.05),
            switch=self._flip(0.2),
            own_circuit=self._flip(0.2),
            drop_pct=pick((None, None, None, 4)),
            brick=Brick(efficiency=0.85, idle_w=0.5) if self._flip() else None,
            behaviour="resistive" if resistive else "constant_power",
            rated_v=12 if resistive else None,
            max_fuse_a=pick((None, 10, 10)),
        )

    def _limits(self) -> Limits:
        pick = self._dice.choice
        plain = Limits(
            drop_pct=pick((4, 7, 10)),
            headroom_pct=pick((0, 20)),
            autonomy_h=pick((12, 24)),
            bank_derate=0.8,
            conductor_c=50,
            slack_m=0.25,
            wiring_allowance_pct=4,
            min_mm2=pick((0, 0, 2.5)),
        )
        if not self._safer:
            return plain
        return replace(
            plain,
            far_fault_multiple=5,
            count_circuits=True,
            fuse_ratio_max=2,
            joint_mohm=5,
            count_joints=True,
        )

    def _owned(self) -> tuple[Owned, ...]:
        stock = [
            Owned(part="fuse5", count=1),
            Owned(part="small", count=3),
            Owned(part="twin2.5", length_m=4.5),
            Owned(part="weak", count=1),
            Owned(part="holder", count=1),
        ]
        return tuple(owned for owned in stock if self._flip(0.25))

    # -- catalogue ------------------------------------------------------------------------------------------------

    def catalogue(self) -> Catalogue:
        self._wiring()
        self._stages()
        self._joints()
        if self._banks:
            self._batteries()
        sellers = (self._seller("east"), self._seller("west"))
        return Catalogue(sellers=sellers, parts=tuple(self._parts), offers=tuple(self._offers))

    def _seller(self, name: str) -> Seller:
        delivery = self._dice.choice((0, 390, 690))
        return Seller(
            id=name, name=name.title(), delivery_cents=delivery, free_over_cents=self._dice.choice((None, 4000, 6000))
        )

    def _sell(self, price: int, *contents: Content, **terms: Any) -> None:
        seller = self._dice.choice(("east", "west"))
        spread = self._dice.uniform(0.7, 1.4)
        number = len(self._offers)
        offer = Offer(id=f"o{number:02}", seller=seller, price_cents=round(price * spread), contents=contents, **terms)
        self._offers.append(offer)

    def _wiring(self) -> None:
        ceiling = {"max_fuse_a": 10.0} if self._safer else {}
        self._parts += [
            Cable(id="twin2.5", mm2=2.5, cores=2, ohm_per_km_20c=8, ampacity_a=25, insulation_c=90, **ceiling),
            Cable(id="twin6", mm2=6, cores=2, ohm_per_km_20c=3.3, ampacity_a=45, insulation_c=90),
            Cable(id="red6", mm2=6, cores=1, polarity="positive", ohm_per_km_20c=3.3, ampacity_a=50, insulation_c=90),
            Cable(id="black6", mm2=6, cores=1, polarity="negative", ohm_per_km_20c=3.2, ampacity_a=40, insulation_c=90),
            Fuse(id="fuse5", style="blade", rating_a=5, max_v=32, interrupt_a=1000),
            Fuse(id="fuse10", style="blade", rating_a=10, max_v=32, interrupt_a=self._dice.choice((600, 2000))),
            Terminal(id="small", mm2_min=1, mm2_max=4),
            Terminal(id="big", mm2_min=2.5, mm2_max=10),
        ]
        self._sell(900, Content(part="twin2.5", length_m=self._dice.choice((5, 8))))
        if self._flip(0.7):
            self._sell(160, Content(part="twin2.5", length_m=1), step_m=1)
        if self._singles:
            self._sell(700, Content(part="red6", length_m=5), Content(part="black6", length_m=5))
        elif self._flip(0.6):
            self._sell(1900, Content(part="twin6", length_m=7))
        self._sell(90, Content(part="fuse5", count=1))
        if self._flip():
            self._sell(130, Content(part="fuse10", count=1))
        if self._flip(0.4):
            self._sell(190, Content(part="fuse5", count=2), Content(part="fuse10", count=1))
        self._sell(260, Content(part="small", count=self._dice.choice((4, 8))))
        if self._flip():
            self._sell(420, Content(part="big", count=8))

    def _stages(self) -> None:
        pick = self._dice.choice
        plain: dict[str, Any] = {"in_form": "dc-wire", "in_min_v": 9, "in_max_v": 32, "out_form": "dc-plug"}
        self._parts += [
            Stage(id="weak", **plain, out_v=19, max_out_w=pick((25, 40)), efficiency=0.85, idle_w=1.5),
            Stage(
                id="strong",
                **plain,
                out_v=19,
                max_out_w=70,
                efficiency=0.93,
                idle_w=0.6,
                max_fuse_a=pick((None, 7.5)),
                max_conductor_mm2=pick((None, 2.5)),
            ),
            Stage(
                id="up24",
                **plain | {"out_form": "dc-wire"},
                out_v=24,
                max_out_w=90,
                efficiency=0.95,
                idle_w=0.5,
                max_conductor_mm2=4,
            ),
            Stage(id="from24", **plain | {"in_min_v": 20}, out_v=19, max_out_w=60, efficiency=0.95, idle_w=0.2),
            Stage(id="tip", **plain | {"in_min_v": 0}, out_v=None, max_out_w=50, efficiency=1, idle_w=0),
        ]
        self._sell(1500, Content(part="weak", count=1))
        self._sell(2600, Content(part="strong", count=1))
        if self._flip(0.35):
            self._sell(3400, Content(part="weak", count=1), Content(part="strong", count=1))
        if self._flip(0.35):
            self._sell(500, Content(part="up24", count=1))
            self._sell(600, Content(part="from24", count=1))
        if self._flip():
            self._sell(350, Content(part="tip", count=1))

    def _joints(self) -> None:
        self._parts += [
            Holder(id="holder", style="blade", max_a=30, max_v=32),
            Switch(id="switch", max_a=self._dice.choice((5, 20)), max_v=24),
            Junction(id="junction", max_a=10, max_v=32, outlets=2, mm2_max=6),
            Consumable(id="label", purpose="labels", per=self._dice.choice(("circuit", "termination")), each=0.5),
        ]
        if self._flip(0.7):
            self._sell(240, Content(part="holder", count=1))
        if self._flip(0.8):
            self._sell(380, Content(part="switch", count=1))
        if self._safer and self._flip(0.7):
            self._sell(450, Content(part="junction", count=1))
        if self._flip(0.3):
            self._sell(110, Content(part="label", count=4))
        else:
            self._parts.pop()

    def _batteries(self) -> None:
        pick = self._dice.choice
        stated: dict[str, Any] = {"fault_a": pick((400, 900)), "max_series": 2, "charge_v": 14.6} if self._safer else {}
        self._parts += [
            Battery(
                id="agm",
                nominal_v=12,
                capacity_ah=40,
                usable_fraction=0.5,
                rated_hours=20,
                peukert=1.15,
                max_discharge_a=20,
                low_v=11.5,
                high_v=14,
                max_parallel=2,
                **stated,
            ),
            Battery(
                id="six",
                nominal_v=6,
                capacity_ah=90,
                usable_fraction=0.5,
                rated_hours=20,
                peukert=1.2,
                max_discharge_a=30,
                low_v=5.75,
                high_v=7,
                max_parallel=1,
            ),
            BankKit(id="kit", max_series=2, max_parallel=2, max_a=25, max_v=32, interrupt_a=1500),
        ]
        self._sell(7000, Content(part="agm", count=1))
        if self._flip():
            self._sell(5500, Content(part="six", count=1))
        if self._safer and self._flip(0.7):
            self._sell(1500, Content(part="kit", count=1))


def freed(seed: int, *, boost: bool = False, share: bool = False) -> tuple[Job, Catalogue]:
    """The same with stages at the panel or shared chains allowed, and catalogues in which they can pay."""
    job, catalogue = tiny(seed)
    dice = random.Random(-seed)
    limits = replace(job.limits, boost_at_panel=boost, share_stages=share, panel_run_m=dice.choice((0.3, 0.5)))
    far = dice.choice((4, 6)) if boost else 1
    places = tuple(replace(place, run_m=place.run_m * far) for place in job.places)
    changes: dict[str, dict[str, Any]] = {
        "up24": {"max_out_w": dice.choice((40, 90)), "limits_output": dice.random() < 0.8},
        "weak": {"in_max_v": 32, "outlets": 2 if share else 1},
        "strong": {"outlets": 2 if share else 1},
        "from24": {"outlets": 2 if share else 1},
    }
    thin = Cable(id="twin1", mm2=1, cores=2, ohm_per_km_20c=18, ampacity_a=dice.choice((3, 12)), insulation_c=90)
    parts = [replace(part, **changes.get(part.id, {})) for part in catalogue.parts]
    offers = [*catalogue.offers]
    if boost:  # copper is dear
        offers = [
            replace(o, price_cents=4 * o.price_cents if o.contents[0].length_m else o.price_cents) for o in offers
        ]
        parts.append(thin)
        offers.append(
            Offer(id="o90", seller="east", price_cents=50, contents=(Content(part="twin1", length_m=1),), step_m=1)
        )
        offers.append(Offer(id="o91", seller="west", price_cents=400, contents=(Content(part="up24", count=1),)))
    if share:
        loads = tuple(replace(load, place="near") for load in job.loads)
        job = replace(job, loads=loads)
    return replace(job, limits=limits, places=places), replace(catalogue, parts=tuple(parts), offers=tuple(offers))
