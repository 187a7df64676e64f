"""Loads that many jobs have, with typical figures: common practice, none measured, each marked typical until edited."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from webapp.texts import N_, _


@dataclass(frozen=True, slots=True, kw_only=True)
class Preset:
    key: str
    name: str
    short: str  # what the button says
    form: str
    min_v: float
    max_v: float
    peak_w: float
    typical_w: float
    hours_per_day: float
    loop_ohm: float | None = None  # supplied lead; None: cut from a spool
    brick: float | None = None  # efficiency of its mains adapter
    more: dict[str, Any] = field(default_factory=dict)

    @property
    def usual(self) -> str:
        """Its usual draw, for the button."""
        return f"{self.typical_w:g}\u00a0W"

    def load(self, load_id: str, place: str) -> dict[str, Any]:
        """The load as a piece of a job document."""
        lead = {"kind": "cut", "length_m": 0.5} if self.loop_ohm is None else supplied(self.loop_ohm)
        load: dict[str, Any] = {
            "id": load_id,
            "name": _(self.name),
            "place": place,
            "needs": {"form": self.form, "min_v": self.min_v, "max_v": self.max_v},
            "peak_w": self.peak_w,
            "typical_w": self.typical_w,
            "hours_per_day": self.hours_per_day,
            "lead": lead,
            **self.more,
        }
        if self.brick is not None:
            load["brick"] = {"efficiency": self.brick, "idle_w": BRICK_IDLE_W}
        return load


BRICK_IDLE_W = 0.4
BRICK_EFFICIENCY = 0.86
# Every figure a preset brings that the person has not confirmed.
GUESSED = ("needs/min_v", "needs/max_v", "peak_w", "typical_w", "hours_per_day")


def supplied(loop_ohm: float) -> dict[str, Any]:
    """A lead that came with the load."""
    return {"kind": "supplied", "loop_ohm": loop_ohm}


PRESETS = (
    Preset(
        key="router",
        name=N_("Router"),
        short=N_("Router 12\u00a0V"),
        form="dc-plug",
        min_v=10.8,
        max_v=13.2,
        peak_w=18,
        typical_w=11,
        hours_per_day=24,
        loop_ohm=0.05,
        brick=0.84,
    ),
    Preset(
        key="laptop",
        name=N_("Laptop"),
        short=N_("Laptop 19.5\u00a0V"),
        form="dc-plug",
        min_v=18.5,
        max_v=20.5,
        peak_w=65,
        typical_w=38,
        hours_per_day=4,
        loop_ohm=0.08,
        brick=0.88,
    ),
    Preset(
        key="laptop-usb",
        name=N_("USB-C laptop"),
        short=N_("Laptop USB-C"),
        form="usb-c",
        min_v=19,
        max_v=21,
        peak_w=65,
        typical_w=35,
        hours_per_day=4,
        loop_ohm=0.06,
        brick=0.88,
    ),
    Preset(
        key="tablet",
        name=N_("Tablet"),
        short=N_("Tablet USB-C"),
        form="usb-c",
        min_v=4.75,
        max_v=21,
        peak_w=30,
        typical_w=18,
        hours_per_day=3,
        loop_ohm=0.06,
        brick=0.88,
    ),
    Preset(
        key="camera",
        name=N_("Camera"),
        short=N_("Camera, powered Ethernet"),
        form="powered-ethernet",
        min_v=44,
        max_v=57,
        peak_w=12.9,
        typical_w=8,
        hours_per_day=24,
        loop_ohm=1.2,
        brick=0.86,
    ),
    Preset(
        key="lights",
        name=N_("Strip lights"),
        short=N_("Strip lights 12\u00a0V"),
        form="dc-wire",
        min_v=10,
        max_v=15,
        peak_w=24,
        typical_w=24,
        hours_per_day=4,
        more={"switch": True, "drop_pct": 5},
    ),
    Preset(
        key="fan",
        name=N_("Roof fan"),
        short=N_("Fan 12\u00a0V"),
        form="dc-wire",
        min_v=10,
        max_v=15,
        peak_w=30,
        typical_w=22,
        hours_per_day=5,
        more={"switch": True, "drop_pct": 5},
    ),
    Preset(
        key="fridge",
        name=N_("Small fridge"),
        short=N_("Fridge 12/24\u00a0V"),
        form="dc-wire",
        min_v=10.4,
        max_v=31,
        peak_w=60,
        typical_w=45,
        hours_per_day=9,
        more={"own_circuit": True, "drop_pct": 5, "max_fuse_a": 15},
    ),
    Preset(
        key="pump",
        name=N_("Water pump"),
        short=N_("Water pump 12\u00a0V"),
        form="dc-wire",
        min_v=10.5,
        max_v=15,
        peak_w=60,
        typical_w=50,
        hours_per_day=0.3,
        more={"switch": True, "drop_pct": 5, "max_fuse_a": 10},
    ),
    Preset(
        key="radio",
        name=N_("Two-way radio"),
        short=N_("Radio 13.8\u00a0V"),
        form="dc-wire",
        min_v=11.7,
        max_v=15.9,
        peak_w=96,
        typical_w=18,
        hours_per_day=12,
        more={"own_circuit": True, "max_fuse_a": 15},
    ),
    Preset(
        key="recorder",
        name=N_("Video recorder"),
        short=N_("Recorder 12\u00a0V"),
        form="dc-plug",
        min_v=10.8,
        max_v=13.2,
        peak_w=24,
        typical_w=10,
        hours_per_day=24,
        loop_ohm=0.05,
        brick=0.85,
    ),
    Preset(
        key="phone",
        name=N_("Phone charging"),
        short=N_("Phone USB-C"),
        form="usb-c",
        min_v=4.75,
        max_v=21,
        peak_w=20,
        typical_w=10,
        hours_per_day=2,
        loop_ohm=0.06,
        brick=0.86,
    ),
)
BY_KEY = {each.key: each for each in PRESETS}
