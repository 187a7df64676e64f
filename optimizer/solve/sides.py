"""Sides of a solution to keep while all else is chosen anew: what many circuits share is never better place by place.

Fuses come in packs of one rating, cable in spools of one size, and delivery is free above a sum: a cheaper plan often
takes another rating on every circuit, another conductor, or leaves a seller out, and no few loads chosen anew come to
that.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from optimizer.solve.parts import Parts
from optimizer.solve.purchases import Purchases
from optimizer.solve.variables import Var, Variables

Held = dict[int, int]  # values by index of variable

BOTH_CENTS, PAIRS_CENTS, STAGES_CENTS, CIRCUITS_CENTS, ALL_CENTS = 200.0, 300.0, 130.0, 60.0, 30.0  # reach at first
MANY_LOADS = 30  # beyond, a job has many
_STEP = 1.5  # by which a reach grows or shrinks


class Side:
    """What a look keeps, and how far it reaches beyond the relaxation. [cents]"""

    def __init__(self, held: Callable[[list[int]], Held], reach_cents: float) -> None:
        """held: The values that a solution keeps, by index of variable."""
        self.held = held
        self.reach_cents = reach_cents

    def widen(self) -> None:
        """Reaches further from now on: this far there is nothing better."""
        self.reach_cents *= _STEP

    def narrow(self) -> None:
        """Reaches less far from now on: so much is not solved in its time."""
        self.reach_cents /= _STEP


def in_turn(v: Variables) -> list[Side | Parts]:
    """What is kept by turns: circuits with stages, with conductors, stages, all but some loads, circuits, nothing.

    Of many loads, all but some come first: the other looks are seldom solved in their time.
    """
    laid = _kept(var for circuit in v.circuits for var in v.opened(circuit))
    pairs = _kept(var for circuit in v.circuits for _, var in v.pairs(circuit))
    stages = _stages(v)
    sides = [
        Side(lambda solution: laid(solution) | stages(solution), BOTH_CENTS),
        Side(lambda solution: laid(solution) | pairs(solution), PAIRS_CENTS),
        Side(stages, STAGES_CENTS),
        Side(laid, CIRCUITS_CENTS),
        Side(lambda _: {}, ALL_CENTS),
    ]
    at = 0 if len(v.instance.loads) > MANY_LOADS else 3
    return [*sides[:at], Parts(v), *sides[at:]]


def other_sellers(bought: Purchases, solution: list[int]) -> Iterator[Held]:
    """One seller whose delivery costs something less, or one more whose goods reach free delivery if they can."""
    for seller, used in bought.used.items():
        if solution[used.index]:
            yield {used.index: 0}
        else:
            yield {var.index: 1 for var in (used, bought.waived.get(seller)) if var is not None}


def _kept(variables: Iterable[Var]) -> Callable[[list[int]], Held]:
    kept = [var.index for var in variables]
    return lambda solution: {index: solution[index] for index in kept}


def _stages(v: Variables) -> Callable[[list[int]], Held]:
    """No feed of other stages; the lead behind them and the circuit before them are open."""
    feeds = [[(option.parts, var.index) for option, var in v.all_feeds(load)] for load in v.instance.loads]

    def held(solution: list[int]) -> Held:
        others: Held = {}
        for own in feeds:
            chosen = [parts for parts, index in own if solution[index]]
            others |= {index: 0 for parts, index in own if parts not in chosen}
        return others

    return held
