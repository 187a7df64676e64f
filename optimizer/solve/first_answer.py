"""A first answer: the choices a careful person makes, bought as cheaply as those choices allow.

With circuits and feeds given, only buying and cutting are left, and that the solver settles almost at once.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from optimizer.by_hand import Choices, CircuitChoice
from optimizer.solve.circuits import Circuit
from optimizer.solve.variables import Var, Variables


def decided(v: Variables, choices: Choices) -> dict[int, int]:
    """By index of variable: its value under the choices. Only of what the choices say something about."""
    values = {var.index: 0 for var in choosable(v)}
    for load in v.instance.loads:
        if choices.feeds[load.id] is None:
            values.update((var.index, 1) for var in v.ac(load))
    for circuit, chosen in _laid(v, choices):
        values.update((var.index, 1) for var in _of_circuit(v, circuit, chosen, choices))
    values.update((var.index, int(bank == choices.bank)) for bank, var in v.bank)
    values[v.ac_used.index] = int(any(choices.on_ac()))
    return values


def _of_circuit(v: Variables, circuit: Circuit, chosen: CircuitChoice, choices: Choices) -> Iterator[Var]:
    """Everything that is true of a circuit that is laid."""
    if circuit.is_whole:
        yield from v.opened(circuit)
    for load, option, var in v.feeds_on(circuit):
        if load.id in chosen.loads and option is choices.feeds[load.id]:
            yield var
    yield from (var for pair, var in v.pairs(circuit) if pair is chosen.pair)
    yield from (var for rating, var in v.ratings(circuit) if rating == chosen.rating_a)


def _laid(v: Variables, choices: Choices) -> Iterator[tuple[Circuit, CircuitChoice]]:
    for chosen in choices.circuits:
        for circuit in v.circuits:
            names = tuple(load.id for load in circuit.members)
            if circuit.at_panel:
                continue
            if names == chosen.loads if circuit.is_whole else circuit.first.id == chosen.loads[0]:
                yield circuit, chosen


def choosable(v: Variables) -> Iterator[Var]:
    """What circuits, feeds and bank are made of; the rest is buying and cutting."""
    yield v.ac_used
    yield from (var for _, var in v.bank)
    for load in v.instance.loads:
        yield from v.of_load(load)
    for circuit in v.circuits:
        yield from v.opened(circuit)
        yield from (var for _, var in chain(v.pairs(circuit), v.ratings(circuit)))
