"""Converters, powered-Ethernet injectors and plug leads."""

from __future__ import annotations

from collections.abc import Iterator

from seed_catalog.invented.outputs import BASIC, OUTPUTS, Input, Output
from seed_catalog.invented.part import Invented, slug

# up to this size in W: largest fuse before it in A (at least 125 % of its rated input), largest conductor in mm²
HOUSINGS = ((75, 15, 6), (100, 20, 6), (150, 30, 16), (300, 50, 25))


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
            "outlets": output.outlets if output.outlets > 1 else None,
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
    for watts, min_v, max_v, max_in_a, cents, outlets in (
        (12, 9, 30, 1.0, 620, 1),
        (30, 18, 57, 1.5, 790, 1),
        (15, 44, 57, 0.7, 690, 1),
        (60, 48, 57, 1.3, 1190, 1),
        (90, 52, 57, 1.9, 1690, 1),
        (40, 18, 57, 2.2, 1390, 4),
        (75, 44, 57, 1.7, 1790, 4),
    ):
        several = f", {outlets} outlets" if outlets > 1 else ""
        yield _passive(
            {
                "id": f"inj-{slug(min_v)}to{slug(max_v)}-{slug(watts)}w" + (f"-x{outlets}" if outlets > 1 else ""),
                "name": f"Powered-Ethernet injector, {min_v:g}-{max_v:g} V passed through{several}, {watts:g} W",
                "in_min_v": min_v,
                "in_max_v": max_v,
                "out_form": "powered-ethernet",
                "max_out_w": watts,
                "max_fuse_a": 5,
                "max_conductor_mm2": 2.5,
                "max_in_a": max_in_a,
                "outlets": outlets if outlets > 1 else None,
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
