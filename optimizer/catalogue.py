"""catalogue/1 as frozen values: what can be bought, and from whom.

Optional fields of planning rules section 10 are None (or their harmless default) where a catalogue does not state them.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import ClassVar, TypeVar

from optimizer.names import isolated
from optimizer.units import steps_mm, stock_mm

CEILING_V = 60.0  # DC, our ceiling: above it live parts must be guarded even in dry places (planning rules 8)

BUS_FORM = "dc-wire"


@dataclass(frozen=True, slots=True, kw_only=True)
class Seller:
    """Somebody who sells, and what delivery costs."""

    id: str
    name: str
    delivery_cents: int
    free_over_cents: int | None = None  # goods at or above this travel free
    lead_days: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Anything an offer can contain."""

    kind: ClassVar[str] = ""
    id: str
    name: str = ""  # for people; the id where the catalogue gives none

    @property
    def label(self) -> str:
        """What a person reads: the name, or the id where there is none."""
        return isolated(self.name or self.id)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage(Part):
    """One part of a feed: converter, powered-Ethernet injector or plug lead."""

    kind: ClassVar[str] = "stage"
    in_form: str
    in_min_v: float
    in_max_v: float
    out_form: str
    out_v: float | None  # None: passes its input voltage through
    max_out_w: float
    efficiency: float  # fraction 0-1
    idle_w: float
    max_fuse_a: float | None = None
    max_conductor_mm2: float | None = None
    max_in_a: float | None = None  # passive plugs and injectors (rules 10)
    limits_output: bool = True  # limits its own output current (rules 10)
    outlets: int = 1  # loads that its output takes at once (additions 3)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cable(Part):
    """A cable as bought: twin, or single of one polarity."""

    kind: ClassVar[str] = "cable"
    mm2: float
    cores: int  # 2, or 1 with a polarity
    polarity: str | None = None  # "positive" or "negative" where cores is 1
    ohm_per_km_20c: float  # one conductor, DC
    ampacity_a: float  # 30 °C ambient, up to three loaded conductors together
    insulation_c: float
    max_fuse_a: float | None = None  # usual ceiling of a small conductor (rules 10)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fuse(Part):
    kind: ClassVar[str] = "fuse"
    style: str
    rating_a: float
    max_v: float
    interrupt_a: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Holder(Part):
    """In-line fuse holder."""

    kind: ClassVar[str] = "holder"
    style: str
    max_a: float
    max_v: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Switch(Part):
    """A switch with a DC rating."""

    kind: ClassVar[str] = "switch"
    max_a: float
    max_v: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Terminal(Part):
    kind: ClassVar[str] = "terminal"
    mm2_min: float
    mm2_max: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Junction(Part):
    """Splits one circuit to several feeds at its place (rules 10)."""

    kind: ClassVar[str] = "junction"
    max_a: float
    max_v: float
    outlets: int  # feeds it can serve
    mm2_max: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Consumable(Part):
    kind: ClassVar[str] = "consumable"
    purpose: str
    per: str  # circuit, termination, cut_lead or job
    each: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Battery(Part):
    kind: ClassVar[str] = "battery"
    nominal_v: float
    capacity_ah: float
    usable_fraction: float
    rated_hours: float
    peukert: float
    max_discharge_a: float
    low_v: float
    high_v: float
    max_parallel: int = 4
    mass_kg: float = 0.0
    chemistry: str | None = None
    fault_a: float | None = None  # short-circuit current of one battery (rules 10)
    max_series: int | None = None  # default 1 for lithium, 4 otherwise (rules 10)
    charge_v: float | None = None  # highest it may be charged at (rules 10)

    @property
    def series_limit(self) -> int:
        """Most of them in one string."""
        if self.max_series is not None:
            return self.max_series
        return 1 if self.chemistry == "lithium" else 4


@dataclass(frozen=True, slots=True, kw_only=True)
class BankKit(Part):
    """String fuses, links and main disconnect for a bank of several batteries (rules 10)."""

    kind: ClassVar[str] = "bank-kit"
    max_series: int
    max_parallel: int
    max_a: float
    max_v: float
    interrupt_a: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Content:
    """So many of a part, or one spool of a cable."""

    part: str
    count: int | None = None
    length_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """What a seller sells at a price: a pack, a kit, a spool, or cable by the metre."""

    id: str
    seller: str
    price_cents: int
    contents: tuple[Content, ...]
    step_m: float | None = None  # sold by the metre in multiples of this, price per step
    limit: int | None = None  # most units or steps

    def longest_mm(self, content: Content) -> float:
        """The longest piece that can be cut from a cable in this offer; infinite where steps are without end. [mm]"""
        if self.step_m is None:
            return stock_mm(content.length_m or 0)
        return math.inf if self.limit is None else steps_mm(self.limit, self.step_m)


PartT = TypeVar("PartT", bound=Part)


@dataclass(frozen=True, kw_only=True)
class Catalogue:
    """Everything that can be bought. Order carries no meaning: plans do not depend on it."""

    sellers: tuple[Seller, ...]
    parts: tuple[Part, ...]
    offers: tuple[Offer, ...]
    _by_id: dict[str, Part] = field(init=False, repr=False, compare=False, default_factory=dict)
    _by_kind: dict[type[Part], list[Part]] = field(init=False, repr=False, compare=False, default_factory=dict)

    def __post_init__(self) -> None:
        self._by_id.update((part.id, part) for part in self.parts)

    def part(self, part_id: str) -> Part:
        """The part of that id; KeyError where there is none."""
        return self._by_id[part_id]

    def __contains__(self, part_id: str) -> bool:
        return part_id in self._by_id

    def of(self, kind: type[PartT]) -> Iterator[PartT]:
        """All parts of a kind, smallest id first."""
        if kind not in self._by_kind:
            self._by_kind[kind] = sorted((p for p in self.parts if isinstance(p, kind)), key=lambda p: p.id)
        return iter(self._by_kind[kind])  # type: ignore[arg-type]

    def get(self, kind: type[PartT], part_id: str) -> PartT:
        """The part of that id and kind; KeyError where it is missing or of another kind."""
        part = self._by_id[part_id]
        if not isinstance(part, kind):
            raise KeyError(part_id)
        return part

    def offers_of(self, part_id: str) -> Sequence[tuple[Offer, Content]]:
        """The offers that hold a part, each with what it holds of it, in the catalogue's order."""
        return self._offers_by_part.get(part_id, ())

    @cached_property
    def _offers_by_part(self) -> dict[str, list[tuple[Offer, Content]]]:
        found: dict[str, list[tuple[Offer, Content]]] = defaultdict(list)
        for offer in self.offers:
            for content in offer.contents:
                found[content.part].append((offer, content))
        return dict(found)

    @cached_property
    def offer_by_id(self) -> dict[str, Offer]:
        return {offer.id: offer for offer in self.offers}

    @cached_property
    def seller_by_id(self) -> dict[str, Seller]:
        return {seller.id: seller for seller in self.sellers}
