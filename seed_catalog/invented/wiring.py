"""Cable, fuses, holders, switches, terminals, junctions and small stuff."""

from __future__ import annotations

from collections.abc import Iterator

from seed_catalog.invented.part import Invented, slug

# mm²: resistance of one conductor at 20 °C in ohm/km, IEC 60228 class 5 plain copper;
# ampacity in A with 70 °C and with 90 or 105 °C insulation: NFPA 70 table 310.16, 60 °C and 75 °C column (from memory),
# of the largest gauge whose area is not above the metric one; below 14 AWG common practice;
# usual largest fuse in A: NFPA 70 240.4(D) (from memory) mapped down likewise, below 14 AWG common practice
CONDUCTORS = {
    0.75: (26.0, 5, 5, 5),
    1: (19.5, 7, 7, 7),
    1.5: (13.3, 10, 10, 10),
    2.5: (7.98, 15, 20, 15),
    4: (4.95, 20, 25, 20),
    6: (3.30, 30, 35, 30),
    10: (1.91, 40, 50, None),
    16: (1.21, 55, 65, None),
    25: (0.780, 70, 85, None),
    35: (0.554, 95, 115, None),
    50: (0.386, 110, 130, None),
}


def cables() -> Iterator[Invented]:
    for mm2, (ohm_per_km, cool_a, warm_a, max_fuse_a) in CONDUCTORS.items():
        common: dict[str, object] = {"mm2": mm2, "ohm_per_km_20c": ohm_per_km, "max_fuse_a": max_fuse_a}
        twin_cents = 38 + 52 * mm2
        twin = common | {"cores": 2}
        yield _cable(f"twin-{slug(mm2)}-70c", f"Twin cable {mm2:g} mm², 70 °C", twin_cents, "basic", twin, 70, cool_a)
        if 1.5 <= mm2 <= 10:
            says = f"Twin cable {mm2:g} mm², heat-resistant 105 °C"
            yield _cable(f"twin-{slug(mm2)}-105c", says, twin_cents * 1.3, "fine", twin, 105, warm_a)
        for colour, polarity in (("red", "positive"), ("black", "negative")):
            single = common | {"cores": 1, "polarity": polarity}
            says = f"Single cable {mm2:g} mm², {colour}, 90 °C"
            yield _cable(f"single-{slug(mm2)}-{colour}", says, 24 + 29 * mm2, "good", single, 90, warm_a)


def _cable(
    tail: str, name: str, cents: float, grade: str, row: dict[str, object], insulation_c: float, ampacity_a: float
) -> Invented:
    ids = {"id": f"cable-{tail}", "name": name}
    ratings = {"ampacity_a": ampacity_a, "insulation_c": insulation_c}
    family = f"cable-{'twin' if row['cores'] == 2 else 'single'}-{insulation_c:g}"
    return Invented(kind="cable", family=family, grade=grade, list_cents=cents, row=ids | row | ratings)


LARGE_A = (20, 30, 40, 50, 60, 80)
BOLT_A = (30, 40, 50, 60, 80, 100, 125)
BLADE_A = (2, 3, 5, 7.5, 10, 15, 20, 25, 30)
CYLINDER_A = (3, 5, 8, 10, 15, 20, 25, 30)
# style, word in the id, name, max_v, interrupt_a, ratings, cents of the smallest
# Blades 32 V and 58 V at 1,000 A: ISO 8820-3; bolt-down 2,000 A: ISO 8820 family (values from memory)
FUSES = (
    ("blade-regular", "blade32", "Blade fuse, 32 V", 32, 1_000, BLADE_A, 55),
    ("blade-regular", "blade58", "Blade fuse, 58 V class", 58, 1_000, BLADE_A, 115),
    ("blade-small", "small32", "Small blade fuse, 32 V", 32, 1_000, BLADE_A, 45),
    ("blade-large", "large32", "Large blade fuse, 32 V", 32, 1_000, LARGE_A, 190),
    ("bolt-down", "bolt58", "Bolt-down fuse, 58 V", 58, 2_000, BOLT_A, 480),
    ("bolt-down", "bolt70", "Bolt-down fuse, 70 V", 70, 2_000, BOLT_A, 650),
    ("cylinder-10x38", "cyl10", "Cylinder fuse 10 × 38 mm, 80 V DC, 10 kA", 80, 10_000, CYLINDER_A, 230),
    ("cylinder-10x38", "cyl10hi", "Cylinder fuse 10 × 38 mm, 150 V DC, 30 kA", 150, 30_000, CYLINDER_A, 390),
    (
        "cylinder-14x51",
        "cyl14",
        "Cylinder fuse 14 × 51 mm, 150 V DC, 20 kA",
        150,
        20_000,
        (15, 20, 25, 30, 40, 50),
        620,
    ),
    (
        "cylinder-22x58",
        "cyl22",
        "Cylinder fuse 22 × 58 mm, 150 V DC, 20 kA",
        150,
        20_000,
        (50, 60, 80, 100, 125),
        1250,
    ),
)


def fuses() -> Iterator[Invented]:
    for style, word, name, max_v, interrupt_a, ratings_a, cents in FUSES:
        for rating_a in ratings_a:
            yield Invented(
                kind="fuse",
                family=f"fuse-{word}",
                grade="basic" if interrupt_a <= 1_000 else "good",
                list_cents=cents * (1 + rating_a / 150),
                row={
                    "id": f"fuse-{word}-{slug(rating_a)}a",
                    "name": f"{name}, {rating_a:g} A",
                    "style": style,
                    "rating_a": rating_a,
                    "max_v": max_v,
                    "interrupt_a": interrupt_a,
                },
            )


HOLDERS = (
    ("blade-regular", "blade32", "In-line blade fuse holder, 32 V", 30, 32, 340),
    ("blade-regular", "blade58", "In-line blade fuse holder, 58 V, sealed", 30, 58, 560),
    ("blade-small", "small32", "In-line small blade fuse holder, 32 V", 30, 32, 310),
    ("blade-large", "large32", "In-line large blade fuse holder, 32 V", 80, 32, 890),
    ("bolt-down", "bolt70-60", "Bolt-down fuse holder, 70 V", 60, 70, 1190),
    ("bolt-down", "bolt70-125", "Bolt-down fuse holder, 70 V, heavy", 125, 70, 1590),
    ("cylinder-10x38", "cyl10", "In-line holder for 10 × 38 mm fuse, 150 V", 30, 150, 780),
    ("cylinder-10x38", "cyl10-rail", "Rail holder for 10 × 38 mm fuse, 150 V", 32, 150, 860),
    ("cylinder-14x51", "cyl14", "Holder for 14 × 51 mm fuse, 150 V", 50, 150, 1480),
    ("cylinder-22x58", "cyl22", "Holder for 22 × 58 mm fuse, 150 V", 125, 150, 2680),
)


def holders() -> Iterator[Invented]:
    for style, word, name, max_a, max_v, cents in HOLDERS:
        row = {"id": f"holder-{word}", "name": f"{name}, {max_a:g} A", "style": style, "max_a": max_a, "max_v": max_v}
        yield Invented(kind="holder", family="holder", grade="good", list_cents=cents, row=row)


def switches() -> Iterator[Invented]:
    for max_v, ratings_a, factor in ((32, (10, 15, 20, 30, 50, 100), 1.0), (60, (5, 10, 20, 30, 50, 100), 1.6)):
        for max_a in ratings_a:
            yield Invented(
                kind="switch",
                family=f"switch-{max_v}",
                grade="basic" if max_v == 32 else "good",
                list_cents=(360 + 26 * max_a) * factor,
                row={
                    "id": f"switch-{max_v}v-{max_a}a",
                    "name": f"DC switch {max_v} V, {max_a} A",
                    "max_a": max_a,
                    "max_v": max_v,
                },
            )


RANGES_MM2 = ((0.5, 1.5), (1.5, 2.5), (4, 6), (10, 10), (16, 16), (25, 25), (35, 35), (50, 50))


def terminals() -> Iterator[Invented]:
    for least, most in RANGES_MM2:
        cents = 16 + 4.2 * most
        yield _terminal("ring", "Ring terminal", least, most, cents)
        if most <= 16:
            yield _terminal("butt", "Butt connector, insulated", least, most, cents * 1.5)
    for mm2 in (mm2 for mm2 in CONDUCTORS if mm2 <= 35):
        yield _terminal("ferrule", "Ferrule", mm2, mm2, 11 + 2.6 * mm2)


def _terminal(word: str, says: str, least: float, most: float, cents: float) -> Invented:
    span = f"{least:g}" if least == most else f"{least:g}-{most:g}"
    row = {
        "id": f"term-{word}-{slug(least)}-{slug(most)}",
        "name": f"{says} {span} mm²",
        "mm2_min": least,
        "mm2_max": most,
    }
    return Invented(kind="terminal", family=f"terminal-{word}", grade="basic", list_cents=cents, row=row)


def junctions() -> Iterator[Invented]:
    for outlets, max_a, mm2, cents in (
        (2, 15, 2.5, 210),
        (2, 30, 6, 340),
        (3, 20, 4, 380),
        (3, 40, 10, 690),
        (4, 30, 6, 620),
        (4, 60, 16, 1190),
        (6, 40, 10, 1120),
        (6, 80, 25, 2290),
        (8, 60, 16, 1890),
    ):
        row = {
            "id": f"junction-{outlets}x-{max_a}a",
            "name": f"Junction for {outlets} feeds, {max_a} A, up to {mm2:g} mm²",
            "max_a": max_a,
            "max_v": 60,
            "outlets": outlets,
            "mm2_max": mm2,
        }
        yield Invented(kind="junction", family="junction", grade="good", list_cents=cents, row=row)


# purpose, per, each, then the parts of that purpose
CONSUMABLES = (
    ("heat-shrink", "termination", 1, (("Heat-shrink piece, lined", 14), ("Heat-shrink piece, lined, clear", 17))),
    ("labels", "circuit", 2, (("Cable label, wrap-round", 12), ("Cable label, engraved", 65))),
    ("ties", "circuit", 6, (("Cable tie 200 mm", 6), ("Cable tie 200 mm, outdoor", 9))),
    (
        "grommets",
        "circuit",
        1,
        (("Grommet set for one hole", 48), ("Grommet set, split, for one hole", 79)),
    ),
    ("warning-plate", "job", 1, (("Plate 'DC supply: isolate first'", 240), ("Plate, engraved, isolate first", 520))),
)


def consumables() -> Iterator[Invented]:
    for purpose, per, each, parts in CONSUMABLES:
        for number, (name, cents) in enumerate(parts, start=1):
            row = {"id": f"use-{purpose}-{number}", "name": name, "purpose": purpose, "per": per, "each": each}
            yield Invented(kind="consumable", family=f"use-{purpose}", grade="basic", list_cents=cents, row=row)
