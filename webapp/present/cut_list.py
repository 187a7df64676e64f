"""A cut list in plain words, for the terminal and for paper."""

from __future__ import annotations

from itertools import groupby

from optimizer.cutting import CutLength, CutListAnswer

_SOURCES = {"spool": "spool", "by_the_metre": "by the metre", "owned": "on hand"}


def cut_list_text(answer: CutListAnswer) -> str:
    """What to buy, what to cut from each length, what to keep, what is proven."""
    assert answer.total_cents is not None
    assert answer.bound_cents is not None
    lines = ["Buy:"]
    lines += [f"  {p.quantity} x {p.offer} ({p.cable})  {_money(p.price_cents)}" for p in answer.purchases]
    lines += ["  nothing: the lengths on hand are enough"] if not answer.purchases else []
    lines += [f"Total {_money(answer.total_cents)}, {_proof(answer)}", "", "Cut:"]
    lines += [line for length in answer.lengths if length.cuts for line in _length(length)]
    offcuts = answer.offcuts
    lines += ["", "Keep:"] if offcuts else []
    lines += [f"  {_metres(offcut.rest_mm)} of {offcut.cable}, from {_name(offcut)}" for offcut in offcuts]
    return "\n".join(lines)


def _proof(answer: CutListAnswer) -> str:
    if answer.status == "optimal":
        return "and nothing is cheaper (proven)."
    least = _money(answer.bound_cents or 0)
    return f"at most {100 * (answer.gap or 0):.2f} % above the cheapest: no list costs less than {least}."


def _length(length: CutLength) -> list[str]:
    head = f"  {_name(length)}: {_metres(length.length_mm)} of {length.cable}"
    cuts = [
        f"    {_metres(length_mm)}  {run} {_numbers([cut.number for cut in cuts])}"
        for (run, length_mm), group in groupby(length.cuts, key=lambda cut: (cut.run, cut.length_mm))
        for cuts in [list(group)]
    ]
    return [head, *cuts, f"    rest {_metres(length.rest_mm)}{', keep' if length.keep else ''}"]


def _name(length: CutLength) -> str:
    unit = f" {length.unit + 1}" if length.source == "spool" else ""
    return f"{length.id}{unit} ({_SOURCES[length.source]})"


def _numbers(numbers: list[int]) -> str:
    return f"no. {numbers[0]}" if len(numbers) == 1 else f"no. {numbers[0]} to {numbers[-1]}"


def _metres(length_mm: int) -> str:
    return f"{length_mm / 1000:.3f} m"


def _money(cents: int) -> str:
    return f"{cents // 100:,}.{cents % 100:02d}"
