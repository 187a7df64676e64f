"""Made-up catalogues as catalogue/1 documents, in the style of tests/cases: three sellers, packs, spools, metres."""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator
from typing import Any

Record = dict[str, Any]

FUSE_STYLE = "blade-regular"
RATINGS_A = (2, 3, 5, 7.5, 10, 15, 20, 25, 30)
SIZES = {  # mm² -> Ω/km, base ampacity of twin and single [A], twin on sale
    0.75: (26.967, 10, 11.5, True),
    1.5: (13.837, 18, 20.7, True),
    2.5: (8.292, 25, 28.7, True),
    4: (5.134, 34, 39.1, True),
    6: (3.424, 44, 50.6, True),
    10: (1.981, 61, 70.1, True),
    16: (1.255, 0, 94.3, False),
    25: (0.809, 0, 124.2, False),
    35: (0.575, 0, 155.2, False),
}
SHORT_SPOOLS_M, LONG_SPOOLS_M = (5, 10, 25), (3, 5, 10)  # up to 6 mm², and above
FAMILIES = (  # form out, volts out, sizes [W]
    ("dc-wire", 12.2, (36, 72, 120, 240)),
    ("dc-wire", 24.3, (60, 120, 240)),
    ("dc-plug", 19.1, (65, 90, 130)),
    ("dc-wire", 5.1, (25,)),
    ("dc-wire", 48.2, (60, 120)),
    ("powered-ethernet", 48.1, (30, 60)),
    ("powered-ethernet", 56.1, (60, 90, 150)),
    ("usb-c", 20.1, (45, 65, 100)),
)
# per grade: lowest input [V], highest input [V], efficiency, idle [W], price over that of grade a
GRADES = {
    "a": ((9.7, 10.6), 30, (0.844, 0.88), (0.84, 1.41), 1.0),
    "b": ((8.6, 9.5), 36, (0.91, 0.95), (0.29, 0.5), 1.65),
}
PASSIVE = (  # id, lowest and highest input [V], form out, most [W], most fuse [A], price [cents]
    ("STG-inj", 44.0, 57.0, "powered-ethernet", 95, None, 1290),
    ("STG-pig", 0.0, 60.0, "dc-plug", 100, 7.5, 330),
)
TERMINALS = ((0.5, 1.5, 32), (1.5, 2.5, 33), (4, 6, 57), (10, 10, 75), (16, 16, 100), (25, 35, 205))  # mm², mm², cents
SWITCHES = ((10, 490), (20, 710), (30, 1010))  # A, cents
BATTERIES = (  # name, nominal, low and high [V], sizes [Ah], usable, rated hours, Peukert, most discharge [C], cents/Wh
    ("agm", 12, 11.5, 14.7, (60, 100, 130), 0.5, 20, 1.15, 0.5, 16.5),
    ("lfp", 12.8, 12, 14.6, (50, 100, 200, 300), 0.9, 5, 1.04, 1.0, 34),
    ("lfp24", 25.6, 24, 29.2, (50, 100, 200), 0.9, 5, 1.04, 1.0, 35),
)


def made_up_catalogue(parts: int, seed: int) -> Record:
    """A catalogue/1 document of about so many parts, at least 85 or so; it grows by variants of converters."""
    return _Catalogue(random.Random(f"catalogue {seed}")).document(parts)


class _Catalogue:
    def __init__(self, dice: random.Random) -> None:
        self._dice = dice
        self._offers: list[Record] = []
        self._sellers = ["S1", "S2", "S3"]

    def document(self, parts: int) -> Record:
        fixed = [*self._passive(), *self._cables(), *self._fuses(), *self._small_parts(), *self._batteries()]
        made = fixed + self._converters(max(parts - len(fixed), 20))
        return {"format": "catalogue/1", "sellers": _sellers(), "parts": made, "offers": self._offers}

    # -- offers -------------------------------------------------------------------------------------------------------

    def _offer(self, seller: str, cents: float, contents: list[Record], **more: Any) -> None:
        number = f"O{len(self._offers):05d}"
        price = max(1, round(cents))
        self._offers.append({"id": number, "seller": seller, "price_cents": price, "contents": contents, **more})

    def _sold(self, part: str, cents: float, packs: tuple[int, ...] = (1,), sellers: int = 2) -> None:
        """The part at some sellers, each with its own price, larger packs cheaper by the piece."""
        for seller in self._dice.sample(self._sellers, sellers):
            own = cents * self._dice.uniform(0.9, 1.1)
            for count in packs:
                self._offer(seller, own * count**0.85, [{"part": part, "count": count}])

    # -- parts --------------------------------------------------------------------------------------------------------

    def _converters(self, count: int) -> list[Record]:
        """Variants of every family, size and grade, one round after another until there are so many."""
        made: list[Record] = []
        for variant in itertools.count():
            for form, out_v, sizes_w in FAMILIES:
                if variant and len(made) >= count:
                    return made
                made += [self._converter(form, out_v, w, g, variant) for w in sizes_w for g in GRADES if self._kept()]
        raise AssertionError

    def _kept(self) -> bool:
        return self._dice.random() < 0.85

    def _converter(self, form: str, out_v: float, out_w: int, grade: str, variant: int) -> Record:
        dice = self._dice
        least_v, most_v, efficiency, idle_w, dearer = GRADES[grade]
        name = f"STG-{form[:2]}{out_v:g}-{out_w}{grade}-{variant}".replace(".", "_")
        self._sold(name, dearer * (1100 + 17 * out_w) * dice.uniform(0.8, 1.15))
        return {
            "id": name,
            "kind": "stage",
            "in_form": "dc-wire",
            "in_min_v": round(dice.uniform(*least_v), 1),
            "in_max_v": most_v,
            "out_form": form,
            "out_v": out_v,
            "max_out_w": out_w,
            "efficiency": round(dice.uniform(*efficiency), 3),
            "idle_w": round(dice.uniform(*idle_w), 2),
            "max_fuse_a": dice.choice((7.5, 10, 15) if out_w <= 65 else (15, 20, 25) if out_w < 100 else (20, 25, 30)),
            "max_conductor_mm2": dice.choice((4, 6) if out_w < 100 else (6, 10, 16)),
        }

    def _passive(self) -> Iterator[Record]:
        for name, least_v, most_v, form, out_w, fuse_a, cents in PASSIVE:
            self._sold(name, cents)
            made = {"id": name, "kind": "stage", "in_form": "dc-wire", "in_min_v": least_v, "in_max_v": most_v}
            made |= {"out_form": form, "out_v": None, "max_out_w": out_w, "efficiency": 1.0, "idle_w": 0.0}
            yield made | {"max_conductor_mm2": 2.5} | ({"max_fuse_a": fuse_a} if fuse_a else {})

    def _cables(self) -> Iterator[Record]:
        for mm2, (ohm_per_km, twin_a, single_a, has_twin) in SIZES.items():
            name = f"CBL-{mm2:g}".replace(".", "_")
            made = {"kind": "cable", "mm2": mm2, "ohm_per_km_20c": ohm_per_km}
            per_m = 44 + 28 * mm2 if mm2 <= 6 else 30 + 35 * mm2
            if has_twin:
                yield made | {
                    "id": f"{name}-TW",
                    "cores": 2,
                    "ampacity_a": twin_a,
                    "insulation_c": self._insulation_c(),
                }
                self._spools(f"{name}-TW", per_m * 1.05, mm2)
            for colour, polarity in (("RD", "positive"), ("BK", "negative")):
                yield (
                    made
                    | {"id": f"{name}-{colour}", "cores": 1, "polarity": polarity}
                    | {
                        "ampacity_a": single_a,
                        "insulation_c": self._insulation_c(),
                    }
                )
                self._spools(f"{name}-{colour}", per_m * 0.5, mm2)

    def _insulation_c(self) -> int:
        return self._dice.choice((70, 90, 105))

    def _spools(self, cable: str, per_m: float, mm2: float) -> None:
        """Spools, longer ones cheaper by the metre, each at one seller; most cables by the half metre too."""
        lengths_m = SHORT_SPOOLS_M if mm2 <= 6 else LONG_SPOOLS_M
        for length_m in lengths_m:
            if self._dice.random() < 0.85 or length_m == lengths_m[0]:
                cents = per_m * length_m * (0.82 + 0.5 / length_m) * self._dice.uniform(0.92, 1.08)
                self._offer(self._dice.choice(self._sellers), cents, [{"part": cable, "length_m": length_m}])
        if self._dice.random() < 0.6:
            contents = [{"part": cable, "length_m": 0.5}]
            self._offer(self._dice.choice(self._sellers), per_m * 0.5 * 1.25, contents, step_m=0.5)

    def _fuses(self) -> Iterator[Record]:
        for rating_a in RATINGS_A:
            name = f"FUS-{rating_a:g}".replace(".", "_")
            self._offer(self._dice.choice(self._sellers), 85, [{"part": name, "count": 1}])
            self._offer(self._dice.choice(self._sellers), 390, [{"part": name, "count": 10}])
            made = {"id": name, "kind": "fuse", "style": FUSE_STYLE, "rating_a": rating_a}
            yield made | {"max_v": self._dice.choice((32, 58)), "interrupt_a": self._dice.choice((1000, 2000))}
        mixed = [{"part": f"FUS-{rating_a:g}".replace(".", "_"), "count": 2} for rating_a in (5, 7.5, 10, 15, 20)]
        self._offer(self._dice.choice(self._sellers), 520, mixed)

    def _small_parts(self) -> Iterator[Record]:
        yield {"id": "HLD-30", "kind": "holder", "style": FUSE_STYLE, "max_a": 30, "max_v": 58}
        self._sold("HLD-30", 490, packs=(1, 4))
        for amps, cents in SWITCHES:
            yield {"id": f"SWT-{amps}", "kind": "switch", "max_a": amps, "max_v": 32}
            self._sold(f"SWT-{amps}", cents)
        for least_mm2, most_mm2, cents in TERMINALS:
            name = f"TRM-{least_mm2:g}-{most_mm2:g}".replace(".", "_")
            yield {"id": name, "kind": "terminal", "mm2_min": least_mm2, "mm2_max": most_mm2}
            self._sold(name, cents * 1.25, packs=(4, 10, 25))

    def _batteries(self) -> Iterator[Record]:
        for name, nominal_v, low_v, high_v, sizes_ah, usable, hours, peukert, rate, per_wh in BATTERIES:
            for ah in sizes_ah:
                self._sold(f"BAT-{name}-{ah}", per_wh * nominal_v * ah)
                made = {"id": f"BAT-{name}-{ah}", "kind": "battery", "nominal_v": nominal_v, "capacity_ah": ah}
                made |= {"usable_fraction": usable, "rated_hours": hours, "peukert": peukert}
                made |= {"max_discharge_a": rate * ah, "low_v": low_v, "high_v": high_v}
                yield made | {"max_parallel": 4, "mass_kg": round(0.009 * nominal_v * ah, 1)}


def _sellers() -> list[Record]:
    return [
        {"id": "S1", "name": "Seller one", "delivery_cents": 590, "free_over_cents": 9000, "lead_days": 2},
        {"id": "S2", "name": "Seller two", "delivery_cents": 0, "lead_days": 9},
        {"id": "S3", "name": "Seller three", "delivery_cents": 990, "free_over_cents": 20000, "lead_days": 1},
    ]
