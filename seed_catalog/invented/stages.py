"""Converters, powered-Ethernet injectors and plug leads.

Input ranges are those of the trade's common classes (common practice, no source): 9 to 36 V serves 12 and 24 V banks,
18 to 75 V serves 24 and 48 V, 36 to 75 V serves 48 V; the cheap narrow ones stop at 30 V and at 58 V. Powered-Ethernet
outputs stay below the 57 V of IEEE 802.3.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seed_catalog.invented.part import Invented, slug

# up to this size in W: largest fuse before it in A (at least 125 % of its rated input), largest conductor in mm²
HOUSINGS = ((75, 15, 6), (100, 20, 6), (150, 30, 16), (300, 50, 25))


@dataclass(frozen=True, slots=True, kw_only=True)
class Grade:
    """How good a converter is, and what that costs."""

    letter: str
    efficiency: float
    idle_w: float
    idle_per_w: float
    price_factor: float


BASIC = Grade(letter="A", efficiency=0.865, idle_w=0.80, idle_per_w=0.0040, price_factor=1.0)
GOOD = Grade(letter="B", efficiency=0.915, idle_w=0.32, idle_per_w=0.0020, price_factor=1.42)
FINE = Grade(letter="C", efficiency=0.945, idle_w=0.12, idle_per_w=0.0010, price_factor=2.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Input:
    """An input range in one grade."""

    min_v: float
    max_v: float
    grade: Grade
    price_factor: float = 1.0

    @property
    def slug(self) -> str:
        return f"{slug(self.min_v)}to{slug(self.max_v)}-{self.grade.letter.lower()}"


LOW_A = Input(min_v=10, max_v=30, grade=BASIC)
LOW_B = Input(min_v=9, max_v=36, grade=GOOD)
LOW_C = Input(min_v=9, max_v=36, grade=FINE)
HIGH_A = Input(min_v=20, max_v=58, grade=BASIC, price_factor=1.05)
HIGH_B = Input(min_v=36, max_v=75, grade=GOOD, price_factor=1.08)
WIDE_C = Input(min_v=18, max_v=75, grade=FINE, price_factor=1.15)
ALL = (LOW_A, LOW_B, LOW_C, HIGH_A, HIGH_B, WIDE_C)


@dataclass(frozen=True, slots=True, kw_only=True)
class Output:
    """What a family of converters puts out, and in which sizes and inputs it is made."""

    slug: str
    says: str
    form: str
    out_v: float
    sizes_w: tuple[float, ...]
    inputs: tuple[Input, ...]
    extra_cents: int = 0
    extra_loss: float = 0.0  # taken off the efficiency


OUTPUTS = (
    Output(
        slug="poe48",
        says="48 V powered Ethernet out",
        form="powered-ethernet",
        out_v=48,
        sizes_w=(15, 30, 60),
        inputs=(LOW_A, LOW_B, HIGH_A, HIGH_B),
        extra_cents=600,
        extra_loss=0.01,
    ),
    Output(
        slug="poe56",
        says="56 V powered Ethernet out",
        form="powered-ethernet",
        out_v=56,
        sizes_w=(30, 60, 90),
        inputs=ALL,
        extra_cents=750,
        extra_loss=0.01,
    ),
    Output(
        slug="poe24",
        says="24 V passive powered Ethernet out",
        form="powered-ethernet",
        out_v=24,
        sizes_w=(15, 30),
        inputs=(LOW_A, LOW_B, LOW_C, HIGH_A, HIGH_B),
        extra_cents=300,
    ),
    Output(
        slug="dc12",
        says="12 V stabilised out",
        form="dc-wire",
        out_v=12,
        sizes_w=(15, 30, 60, 120),
        inputs=ALL,
    ),
    Output(
        slug="dc13_8",
        says="13.8 V stabilised out",
        form="dc-wire",
        out_v=13.8,
        sizes_w=(60, 150, 300),
        inputs=(LOW_A, LOW_B, HIGH_B),
    ),
    Output(
        slug="dc24",
        says="24 V stabilised out",
        form="dc-wire",
        out_v=24,
        sizes_w=(30, 75, 150),
        inputs=(LOW_A, LOW_B, HIGH_A, HIGH_B, WIDE_C),
    ),
    Output(
        slug="dc48",
        says="48 V stabilised out",
        form="dc-wire",
        out_v=48,
        sizes_w=(60, 120),
        inputs=(LOW_A, LOW_B, HIGH_B, WIDE_C),
        extra_cents=250,
    ),
    Output(
        slug="dc5",
        says="5 V stabilised out",
        form="dc-wire",
        out_v=5,
        sizes_w=(15,),
        inputs=(LOW_A, LOW_B, HIGH_A, HIGH_B),
        extra_loss=0.03,
    ),
    Output(
        slug="plug12",
        says="12 V plug out",
        form="dc-plug",
        out_v=12,
        sizes_w=(30, 60),
        inputs=(LOW_A, LOW_B, LOW_C, HIGH_A, HIGH_B),
        extra_cents=280,
    ),
    Output(
        slug="plug19_5",
        says="19.5 V plug out",
        form="dc-plug",
        out_v=19.5,
        sizes_w=(65, 90, 130),
        inputs=(LOW_A, LOW_B, LOW_C, HIGH_B),
        extra_cents=320,
    ),
    Output(
        slug="plug24",
        says="24 V plug out",
        form="dc-plug",
        out_v=24,
        sizes_w=(30, 60, 120),
        inputs=(LOW_A, LOW_B, HIGH_B),
        extra_cents=300,
    ),
    Output(
        slug="usbc20",
        says="USB-C out at 20 V",
        form="usb-c",
        out_v=20,
        sizes_w=(45, 65, 100),
        inputs=(LOW_A, LOW_B, LOW_C, HIGH_A, HIGH_B),
        extra_cents=350,
    ),
    Output(
        slug="usbc5",
        says="USB-C out at 5 V",
        form="usb-c",
        out_v=5,
        sizes_w=(15, 30),
        inputs=(LOW_A, LOW_B, HIGH_B),
        extra_cents=150,
        extra_loss=0.03,
    ),
)


def stages() -> Iterator[Invented]:
    """Every stage, converters first."""
    for output in OUTPUTS:
        for size_w in output.sizes_w:
            for source in output.inputs:
                yield _converter(output, size_w, source)
    yield from _injectors()
    yield from _plug_leads()


def _converter(output: Output, size_w: float, source: Input) -> Invented:
    grade = source.grade
    efficiency = _efficiency(output, size_w, source)
    max_fuse_a, max_conductor_mm2 = next((a, mm2) for upto_w, a, mm2 in HOUSINGS if size_w <= upto_w)
    wide_cents = (850 + 24 * size_w) * grade.price_factor * source.price_factor
    return Invented(
        kind="stage",
        family=f"converter-{output.slug}-{grade.letter}",
        grade={"A": "basic", "B": "good", "C": "fine"}[grade.letter],
        list_cents=wide_cents + output.extra_cents,
        row={
            "id": f"conv-{output.slug}-{slug(size_w)}w-{source.slug}",
            "name": f"{_noun(output, source)} {source.min_v:g}-{source.max_v:g} V in, {output.says}, "
            f"{size_w:g} W, grade {grade.letter}",
            "in_form": "dc-wire",
            "in_min_v": source.min_v,
            "in_max_v": source.max_v,
            "out_form": output.form,
            "out_v": output.out_v,
            "max_out_w": size_w,
            "efficiency": efficiency,
            "idle_w": round(grade.idle_w + grade.idle_per_w * size_w, 2),
            "max_fuse_a": max_fuse_a,
            "max_conductor_mm2": max_conductor_mm2,
            # the cheap large ones rely on a fuse behind them
            "limits_output": "no" if grade is BASIC and size_w >= 240 else None,
        },
    )


def _noun(output: Output, source: Input) -> str:
    if output.out_v > source.max_v:
        return "Step-up converter"
    return "Step-down converter" if output.out_v < source.min_v else "Step-up/down converter"


def _efficiency(output: Output, size_w: float, source: Input) -> float:
    """Small ones and big steps lose more; the class of 36 to 75 V a little more than that of 9 to 36 V."""
    size = -0.02 if size_w <= 15 else -0.008 if size_w <= 30 else 0.0 if size_w < 120 else 0.004
    wide = -0.004 if source.max_v > 36 else 0.0
    return round(source.grade.efficiency + size + wide - output.extra_loss, 3)


def _passive(row: dict[str, object], list_cents: float) -> Invented:
    fixed = {"in_form": "dc-wire", "efficiency": 1, "idle_w": 0}
    return Invented(kind="stage", family="passive", grade="basic", list_cents=list_cents, row=row | fixed)


def _injectors() -> Iterator[Invented]:
    """Pass their input through onto the spare pairs; each is bounded by the current its contacts carry."""
    for watts, min_v, max_v, max_in_a, cents in (
        (12, 9, 30, 1.0, 620),
        (30, 18, 57, 1.5, 790),
        (15, 44, 57, 0.7, 690),
        (60, 48, 57, 1.3, 1190),
        (90, 52, 57, 1.9, 1690),
    ):
        yield _passive(
            {
                "id": f"inj-{slug(min_v)}to{slug(max_v)}-{slug(watts)}w",
                "name": f"Powered-Ethernet injector, {min_v:g}-{max_v:g} V passed through, {watts:g} W",
                "in_min_v": min_v,
                "in_max_v": max_v,
                "out_form": "powered-ethernet",
                "max_out_w": watts,
                "max_fuse_a": 5,
                "max_conductor_mm2": 2.5,
                "max_in_a": max_in_a,
            },
            cents,
        )


def _plug_leads() -> Iterator[Invented]:
    for name, max_in_a, watts, mm2, cents in (
        ("Plug lead 2.1 mm, 0.5 m", 3, 60, 1.5, 290),
        ("Plug lead 2.5 mm, 0.5 m", 5, 120, 2.5, 430),
        ("Plug lead 2.5 mm, heavy, 0.5 m", 7.5, 180, 2.5, 640),
    ):
        yield _passive(
            {
                "id": "lead-" + name.split(",")[0].lower().replace(" ", "-").replace(".", "_") + f"-{slug(max_in_a)}a",
                "name": f"{name}, {max_in_a:g} A",
                "in_min_v": 5,
                "in_max_v": 60,
                "out_form": "dc-plug",
                "max_out_w": watts,
                "max_fuse_a": max_in_a,
                "max_conductor_mm2": mm2,
                "max_in_a": max_in_a,
            },
            cents,
        )
