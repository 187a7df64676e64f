"""What converters are made for: grades, input ranges, and the families of outputs with their sizes.

Input ranges are those of the trade's common classes (common practice, no source): 9 to 36 V serves 12 and 24 V banks,
18 to 75 V serves 24 and 48 V, 36 to 75 V serves 48 V; the cheap narrow ones stop at 30 V and at 58 V. Powered-Ethernet
outputs stay below the 57 V of IEEE 802.3.
"""

from __future__ import annotations

from dataclasses import dataclass

from seed_catalog.invented.part import slug


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
    outlets: int = 1  # loads it takes at once, its power shared among them


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
    # with several outlets: dearer than one outlet of that power, cheaper than one converter for each load
    Output(
        slug="usbc20x2",
        says="USB-C out at 20 V, 2 outlets",
        form="usb-c",
        out_v=20,
        sizes_w=(65, 130),
        inputs=(LOW_B, LOW_C, HIGH_A, HIGH_B),
        extra_cents=900,
        outlets=2,
    ),
    Output(
        slug="usbc5x4",
        says="USB-C out at 5 V, 4 outlets",
        form="usb-c",
        out_v=5,
        sizes_w=(40,),
        inputs=(LOW_A, LOW_B, HIGH_B),
        extra_cents=600,
        extra_loss=0.03,
        outlets=4,
    ),
    Output(
        slug="poe56x4",
        says="56 V powered Ethernet out, 4 outlets",
        form="powered-ethernet",
        out_v=56,
        sizes_w=(60, 120),
        inputs=(LOW_A, LOW_B, HIGH_B, WIDE_C),
        extra_cents=1900,
        extra_loss=0.01,
        outlets=4,
    ),
    Output(
        slug="poe48x2",
        says="48 V powered Ethernet out, 2 outlets",
        form="powered-ethernet",
        out_v=48,
        sizes_w=(30, 60),
        inputs=(LOW_A, LOW_B, HIGH_B),
        extra_cents=1150,
        extra_loss=0.01,
        outlets=2,
    ),
    Output(
        slug="dc12x4",
        says="12 V stabilised out, 4 pairs of terminals",
        form="dc-wire",
        out_v=12,
        sizes_w=(60, 120),
        inputs=(LOW_B, HIGH_A, HIGH_B),
        extra_cents=550,
        outlets=4,
    ),
)
