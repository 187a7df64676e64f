"""A second look: other feeds, circuits merged and split, other cables, sellers and banks, as long as it gets cheaper.

A plain local search with a fixed amount of work, so that the same documents give the same plan.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from optimizer.by_hand.basket import Shop, needs_of
from optimizer.by_hand.bill import Prices, best_sellers, buy
from optimizer.by_hand.changes import Change, Changes
from optimizer.by_hand.choices import Choices
from optimizer.by_hand.line_by_line import Answer, Pencil
from optimizer.by_hand.power import Feeds
from optimizer.solve.instance import Instance

THRIFT_CENTS_PER_W = (0.0, 15.0, 40.0, 100.0, 250.0, 600.0, 1500.0, 4000.0)  # where the search starts from
OUTLET_CENTS_PER_W = (0.0, 100.0, 600.0)  # with which of them the outlet is weighed too
STARTS = 3  # the cheapest of the starts are worked on
EFFORT = 1500  # shopping lists priced in all
TOO_DEAR_CENTS = 800.0  # parts and bank on paper: what cables, packs and deliveries can hardly make good


def improved(instance: Instance, answer: Answer | None = None, *, effort: int = EFFORT) -> Answer | None:
    """A plan no dearer than the answer given (or than any by hand), found by looking around it; None without a start.

    Args:
        effort: How many shopping lists may be priced; each takes about half a millisecond at 12 loads.
    """
    return Improver(instance, effort).run(answer)


class Improver:
    """One local search."""

    def __init__(self, instance: Instance, effort: int = EFFORT) -> None:
        self._pencil = Pencil(instance)
        self._instance = instance
        self._desk = self._pencil.desk
        self._shop = Shop(self._desk, mixes=True)
        self._left = effort
        self._changes = Changes(self._pencil)

    def run(self, answer: Answer | None) -> Answer | None:
        best: tuple[float, Choices] | None = None
        if not self._instance.catalogue.sellers:
            return answer
        starts = self._starts(answer)
        for n, (cents, choices) in enumerate(starts):
            share = self._left // (len(starts) - n)
            found = self._descend(cents, choices, share)
            if best is None or found[0] < best[0]:
                best = found
        if best is None or (answer is not None and answer.total_cents <= best[0]):
            return answer
        bought = self._bought(best[1])
        if bought is None or (answer is not None and answer.total_cents <= bought.total_cents):
            return answer
        return bought

    def around(self, choices: Choices, effort: int) -> Answer | None:
        """A plan found by looking around some choices with so much effort; None where what they take is not on sale."""
        self._left = effort
        cents = self._cents(choices)
        return None if math.isinf(cents) else self._bought(self._descend(cents, choices, effort)[1])

    def _bought(self, choices: Choices) -> Answer | None:
        needs = needs_of(self._desk, choices)
        bill = None if needs is None else buy(self._desk, self._shop, needs, best_sellers)
        return None if bill is None else Answer(desk=self._desk, choices=choices, bill=bill)

    # -- starts -------------------------------------------------------------------------------------------------------

    def _starts(self, answer: Answer | None) -> list[tuple[float, Choices]]:
        starts = [answer.choices] if answer else []
        starts += [choices for choices in self._thrifty() if choices is not None]
        different = [choices for n, choices in enumerate(starts) if choices not in starts[:n]]
        priced = [(self._cents(choices), n) for n, choices in enumerate(different)]
        return [(cents, different[n]) for cents, n in sorted(priced)[:STARTS] if math.isfinite(cents)]

    def _thrifty(self) -> Iterator[Choices | None]:
        has_ac = any(self._instance.may_use_ac(load) for load in self._instance.loads)
        for cents_per_w in THRIFT_CENTS_PER_W:
            yield self._pencil.thrifty(cents_per_w, prefers_ac=False)
            if has_ac and cents_per_w in OUTLET_CENTS_PER_W:
                yield self._pencil.thrifty(cents_per_w, prefers_ac=True)

    # -- one choice after another -------------------------------------------------------------------------------------

    def _cents(self, choices: Choices) -> float:
        """What choices come to, sellers chosen well; infinite where something is not on sale."""
        self._left -= 1
        needs = needs_of(self._desk, choices)
        if needs is None:
            return math.inf
        prices = Prices(self._desk, self._shop, needs)
        return prices.cents(best_sellers(prices))

    def _descend(self, cents: float, choices: Choices, effort: int) -> tuple[float, Choices]:
        """Takes every change that pays until none does or the work is used up."""
        stop_at = self._left - effort
        goes_on = True
        while goes_on:
            goes_on = False
            for kind in self._changes.kinds:
                cents, choices, is_better = self._sweep(kind(choices), cents, choices, stop_at)
                goes_on = goes_on or is_better
            if self._left <= stop_at:
                break
        return cents, choices

    def _sweep(
        self, changes: Iterator[Change], cents: float, choices: Choices, stop_at: int
    ) -> tuple[float, Choices, bool]:
        """Tries changes in turn on the choices as they are by then; changes that no longer fit are passed over."""
        is_better = False
        for change in changes:
            if self._left <= stop_at:
                break
            changed = self._apply(choices, change)
            if changed is None:
                continue
            other_cents = self._cents(changed)
            if other_cents < cents:
                cents, choices, is_better = other_cents, changed, True
        return cents, choices, is_better

    def _apply(self, choices: Choices, change: Change) -> Choices | None:
        """The choices after a change; None where it does not fit them, or is far too dear on paper."""
        if not all(circuit in choices.circuits for circuit in change.gone):
            return None
        if any(choices.feeds[load] is not option for load, option in change.was.items()):
            return None
        feeds: Feeds = {**choices.feeds, **change.feeds}
        circuits = [circuit for circuit in choices.circuits if circuit not in change.gone]
        circuits = sorted([*circuits, *change.new], key=lambda circuit: circuit.loads[0])
        for place in {circuit.place for circuit in change.new}:
            at_place = sum(circuit.place == place for circuit in circuits)
            if at_place > self._instance.bands[place][choices.bands[place]].max_circuits:
                return None
        bank = choices.bank
        if change.feeds:
            power = self._pencil.power
            if not power.fits_outlet(feeds):
                return None
            sure_a = max(self._instance.job.bus.fault_a, choices.bank.fault_a)
            banks = (bank for bank in power.by_price if bank.fault_a <= sure_a and power.carries(bank, feeds))
            found = next(banks, None)
            if found is None:
                return None
            bank = found
        power = self._pencil.power
        more = change.paper_cents + power.bank_cents(bank) - power.bank_cents(choices.bank)
        if more > TOO_DEAR_CENTS:
            return None
        return replace(choices, feeds=feeds, circuits=tuple(circuits), bank=bank)
