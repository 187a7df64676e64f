"""What the model chose, worked over by hand: bought as it can be cut, and changed as long as that gets cheaper.

Where only lengths are counted, what the model would buy cannot always be cut. Its feeds and circuits are worth keeping
all the same, and a plain local search around them finds in a tenth of a second what the model takes long to.
"""

from __future__ import annotations

from collections.abc import Callable

from optimizer.by_hand import Answer, Choices, CircuitChoice, Improver
from optimizer.checks import check_plan, failures
from optimizer.solve.variables import Var, Variables

EFFORT = 150  # shopping lists priced around one solution

Reader = Callable[[Var], int]  # the value of a variable in the solution at hand


class SecondLook:
    """One instance's solutions worked over."""

    def __init__(self, v: Variables) -> None:
        self._v = v
        self._improver = Improver(v.instance)
        self._seen: list[Choices] = []

    def at(self, value: Reader) -> Answer | None:
        """A plan around the choices of a solution that passes every check; None where there is none or none new."""
        choices = choices_of(self._v, value)
        if choices is None or choices in self._seen:
            return None
        self._seen.append(choices)
        answer = self._improver.around(choices, EFFORT)
        if answer is None:
            return None
        instance = self._v.instance
        broken = failures(check_plan(instance.job, instance.catalogue, answer.plan))
        return None if broken else answer


def choices_of(v: Variables, value: Reader) -> Choices | None:
    """The choices of a solution; None where they are none that a person makes: stages at the panel, shared chains."""
    feeds = {}
    for load in v.instance.loads:
        chosen = [option for option, var in v.all_feeds(load) if value(var)]
        if any(option.run is not None or option.host is not None for option in chosen):
            return None
        feeds[load.id] = chosen[0] if chosen else None
    circuits = []
    for circuit in v.circuits:
        if not any(value(var) for var in v.opened(circuit)):
            continue
        joined = (load.id for load in circuit.members if any(value(var) for var in v.joined(load, circuit)))
        circuits.append(
            CircuitChoice(
                place=circuit.place,
                loads=tuple(sorted(joined)),
                pair=next(pair for pair, var in v.pairs(circuit) if value(var)),
                rating_a=next(rating for rating, var in v.ratings(circuit) if value(var)),
                junction=next((part for part, var in v.junction.get(circuit.key, []) if value(var)), None),
            )
        )
    return Choices(
        feeds=feeds,
        circuits=tuple(sorted(circuits, key=lambda circuit: circuit.loads[0])),
        bands={place: next(n for n, var in enumerate(chosen) if value(var)) for place, chosen in v.band.items()},
        bank=next(bank for bank, var in v.bank if value(var)),
    )
