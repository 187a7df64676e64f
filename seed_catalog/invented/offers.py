"""Five invented sellers, and what each sells in which packs at which price.

Names are made up. Prices start from a list price; each seller's level, a few per cent for each family of parts, and a
discount that grows with the pack make them differ in ways that make splitting a basket worth thinking about.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator
from dataclasses import dataclass

from seed_catalog.invented.part import Invented, slug

Offer = dict[str, object]


@dataclass(frozen=True, slots=True, kw_only=True)
class Seller:
    id: str
    name: str
    delivery_cents: int
    free_over_cents: int | None
    lead_days: int
    price_level: float

    @property
    def row(self) -> dict[str, object]:
        return {
            "id": self.id,
            "name": self.name,
            "delivery_cents": self.delivery_cents,
            "free_over_cents": self.free_over_cents,
            "lead_days": self.lead_days,
        }


GENERAL = Seller(
    id="brindlemoor",
    name="Brindlemoor Electrical",
    delivery_cents=490,
    free_over_cents=6_000,
    lead_days=2,
    price_level=1.00,
)
BOATS = Seller(
    id="harrowquay",
    name="Harrowquay Chandlery",
    delivery_cents=590,
    free_over_cents=15_000,
    lead_days=3,
    price_level=1.07,
)
CHEAP = Seller(
    id="kettlewick",
    name="Kettlewick Direct",
    delivery_cents=0,
    free_over_cents=None,
    lead_days=12,
    price_level=0.93,
)
TRADE = Seller(
    id="ostrafell",
    name="Ostrafell Industrial",
    delivery_cents=690,
    free_over_cents=None,
    lead_days=1,
    price_level=0.98,
)
SURPLUS = Seller(
    id="pellwick",
    name="Pellwick Surplus",
    delivery_cents=350,
    free_over_cents=None,
    lead_days=5,
    price_level=0.82,
)
SELLERS = (GENERAL, BOATS, CHEAP, TRADE, SURPLUS)

Packs = tuple[int, ...]
# who sells a kind of part in a grade, and in which packs
CARRIED: dict[tuple[str, str], tuple[tuple[Seller, Packs], ...]] = {
    ("stage", "basic"): ((GENERAL, (1,)), (CHEAP, (1,))),
    ("stage", "good"): ((GENERAL, (1,)), (TRADE, (1,))),
    ("stage", "fine"): ((BOATS, (1,)), (TRADE, (1,))),
    ("fuse", "basic"): ((GENERAL, (1, 5)), (CHEAP, (10,))),
    ("fuse", "good"): ((TRADE, (1, 10)), (BOATS, (1,))),
    ("holder", "good"): ((GENERAL, (1, 4)), (TRADE, (1, 5)), (BOATS, (1,))),
    ("switch", "basic"): ((GENERAL, (1,)), (CHEAP, (1, 3))),
    ("switch", "good"): ((BOATS, (1,)), (TRADE, (1,))),
    ("terminal", "basic"): ((GENERAL, (10,)), (TRADE, (25, 100)), (CHEAP, (50,))),
    ("junction", "good"): ((GENERAL, (1,)), (BOATS, (1, 3)), (TRADE, (1,))),
    ("bank-kit", "fine"): ((BOATS, (1,)), (TRADE, (1,))),
    ("consumable", "basic"): ((GENERAL, (10, 50)), (CHEAP, (100,))),
    ("battery", "good"): ((GENERAL, (1,)), (BOATS, (1,))),
    ("battery", "fine"): ((CHEAP, (1,)), (TRADE, (1,))),
}
SURPLUS_SHARE = 3  # one part in three also turns up as surplus, a few pieces of it
SURPLUS_KINDS = ("fuse", "holder", "switch", "battery")
PACK_EXPONENT = 0.14  # ten cost a piece 28 % less than one

SPOOL_BASE_M = 5  # list price is a metre off a spool of this length
SPOOL_EXPONENT = 0.12
BY_THE_METRE_FACTOR = 1.15

KITS: tuple[tuple[str, Seller, float, tuple[tuple[int, str], ...]], ...] = (
    ("blades", GENERAL, 0.70, tuple((2, f"fuse-blade32-{a}a") for a in ("3", "5", "7_5", "10", "15", "20"))),
    ("blades-large", CHEAP, 0.62, tuple((5, f"fuse-blade32-{a}a") for a in ("3", "5", "10", "15", "20", "30"))),
    ("blades-58v", GENERAL, 0.74, tuple((2, f"fuse-blade58-{a}a") for a in ("3", "5", "10", "15", "20"))),
    ("small-blades", CHEAP, 0.64, tuple((3, f"fuse-small32-{a}a") for a in ("3", "5", "7_5", "10", "15"))),
    ("bolt-down", BOATS, 0.80, tuple((1, f"fuse-bolt58-{a}a") for a in ("40", "60", "80", "100"))),
    ("cylinders-low", TRADE, 0.76, tuple((2, f"fuse-cyl10-{a}a") for a in ("3", "5", "8", "10"))),
    ("cylinders", TRADE, 0.78, tuple((2, f"fuse-cyl10-{a}a") for a in ("10", "15", "20", "25"))),
    ("rings", GENERAL, 0.66, ((20, "term-ring-0_5-1_5"), (20, "term-ring-1_5-2_5"), (10, "term-ring-4-6"))),
    ("ferrules", TRADE, 0.60, tuple((50, f"term-ferrule-{m}-{m}") for m in ("0_75", "1", "1_5", "2_5"))),
    ("ferrules-large", TRADE, 0.64, tuple((20, f"term-ferrule-{m}-{m}") for m in ("4", "6", "10"))),
    ("butts", CHEAP, 0.60, ((20, "term-butt-0_5-1_5"), (20, "term-butt-1_5-2_5"), (10, "term-butt-4-6"))),
    ("tidy", GENERAL, 0.72, ((50, "use-ties-1"), (20, "use-labels-1"), (10, "use-grommets-1"))),
    ("finish", BOATS, 0.75, ((50, "use-heat-shrink-1"), (20, "use-labels-1"), (50, "use-ties-2"))),
    ("finish-all", CHEAP, 0.70, ((50, "use-heat-shrink-1"), (20, "use-labels-1"), (60, "use-ties-1"))),
    ("holder-blade", GENERAL, 0.86, ((1, "holder-blade32"), (2, "fuse-blade32-5a"), (2, "fuse-blade32-10a"))),
    ("holder-cylinder", TRADE, 0.88, ((1, "holder-cyl10"), (2, "fuse-cyl10-5a"), (2, "fuse-cyl10-10a"))),
    ("switch-pair", BOATS, 0.90, ((1, "switch-60v-10a"), (1, "holder-blade58"))),
)


def offers(parts: list[Invented]) -> Iterator[Offer]:
    """Every offer: each part in its packs or spools, then the kits."""
    for part in parts:
        yield from _spools(part) if part.kind == "cable" else _packs(part)
    by_id = {part.id: part for part in parts}
    for name, seller, factor, contents in KITS:
        yield _kit(name, seller, factor, contents, by_id)


def _packs(part: Invented) -> Iterator[Offer]:
    for seller, packs in CARRIED[part.kind, part.grade]:
        for count in packs:
            cents = part.list_cents * count ** (1 - PACK_EXPONENT) * _level(seller, part)
            yield _offer(seller, f"{part.id}-x{count}", cents, f"{count} x {part.id}")
    lot = _number_from(part.id)
    if part.kind in SURPLUS_KINDS and lot % SURPLUS_SHARE == 0:
        cents = part.list_cents * _level(SURPLUS, part)
        yield _offer(SURPLUS, f"{part.id}-x1", cents, f"1 x {part.id}") | {"limit": 1 + lot % 4}


def _spools(part: Invented) -> Iterator[Offer]:
    for seller, lengths_m in _spool_lengths(part):
        for length_m in lengths_m:
            cents = part.list_cents * length_m * (length_m / SPOOL_BASE_M) ** -SPOOL_EXPONENT * _level(seller, part)
            yield _offer(seller, f"{part.id}-{length_m}m", cents, f"{length_m} m {part.id}")
    for seller, step_m in _by_the_metre(part):
        cents = part.list_cents * step_m * BY_THE_METRE_FACTOR * _level(seller, part)
        offer = _offer(seller, f"{part.id}-by-{slug(step_m)}m", cents, f"{step_m:g} m {part.id}")
        yield offer | {"step_m": step_m}


def _spool_lengths(part: Invented) -> tuple[tuple[Seller, tuple[int, ...]], ...]:
    """Thin cable comes on long spools, thick cable on short ones; heat-resistant cable from fewer."""
    mm2 = float(str(part.row["mm2"]))
    if part.grade == "fine":
        return ((TRADE, (25,)), (BOATS, (10,)))
    if mm2 <= 2.5:
        return ((GENERAL, (5, 25)), (TRADE, (50, 100)), (CHEAP, (10,)))
    if mm2 <= 10:
        return ((GENERAL, (5, 10)), (TRADE, (25, 50)))
    return ((GENERAL, (5,)), (TRADE, (10, 25)))


def _by_the_metre(part: Invented) -> tuple[tuple[Seller, float], ...]:
    mm2 = float(str(part.row["mm2"]))
    if part.grade == "fine":
        return ((BOATS, 1.0),)
    return ((BOATS, 0.5),) if mm2 >= 10 else ((BOATS, 1.0),)


def _kit(
    name: str, seller: Seller, factor: float, contents: tuple[tuple[int, str], ...], by_id: dict[str, Invented]
) -> Offer:
    cents = sum(by_id[part].list_cents * count * _level(seller, by_id[part]) for count, part in contents)
    return _offer(seller, f"kit-{name}", cents * factor, "; ".join(f"{count} x {part}" for count, part in contents))


def _offer(seller: Seller, tail: str, cents: float, contents: str) -> Offer:
    return {
        "id": f"{seller.id[:3]}-{tail}",
        "seller": seller.id,
        "price_cents": _tidy(cents),
        "contents": contents,
    }


def _tidy(cents: float) -> int:
    """Prices as sellers write them: to 5 cents above 5.00, to 10 above 50.00; never nothing."""
    step = 1 if cents < 500 else 5 if cents < 5_000 else 10
    return max(1, step * round(cents / step))


def _level(seller: Seller, part: Invented) -> float:
    """A seller's level, up to 3 % off it for each family: the same on every machine and in every version."""
    return seller.price_level * (1 + (_number_from(f"{seller.id} {part.family}") % 61 - 30) / 1000)


def _number_from(text: str) -> int:
    return zlib.crc32(text.encode())
