"""Parts of a solution to choose anew: the loads of a few places, while the others keep feeds and circuits.

What is bought is always open. That is what tells it from choosing place by place: packs and spools are shared.
"""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Iterable, Iterator

from optimizer.job import Load
from optimizer.solve.circuits import Circuit
from optimizer.solve.variables import Var, Variables

OPEN_LOADS = 8  # as many are solved within seconds
_STEP = 1.1  # by which the number of loads grows or shrinks


class Parts:
    """Draws parts at random, the same ones each time."""

    def __init__(self, v: Variables) -> None:
        self._v = v
        self.growth = 1.0  # of loads at a time
        self._dice = random.Random(0)  # noqa: S311 - a stated order, no secret
        self._of_load = {load.id: list(v.of_load(load)) for load in v.instance.loads}
        self._of_circuit = [(circuit, list(_of_circuit(v, circuit))) for circuit in v.circuits]

    def widen(self) -> None:
        """More loads at a time from now on."""
        self.growth *= _STEP

    def narrow(self) -> None:
        """Fewer loads at a time from now on."""
        self.growth /= _STEP

    def held(self, solution: list[int]) -> dict[int, int]:
        """The values that a solution keeps outside the next part: by index of variable."""
        chosen = {load.id for load in self._open(solution)}
        held = [var for load, own in self._of_load.items() if load not in chosen for var in own]
        for circuit, own in self._of_circuit:
            if any(load.id not in chosen for load in _settles(circuit)):
                held += own
        return {var.index: solution[var.index] for var in held}

    def _open(self, solution: list[int]) -> list[Load]:
        """Loads of places in random order; those on one circuit together, as many circuits as there is room for."""
        units = self._units(solution)
        places = sorted(units)
        self._dice.shuffle(places)
        chosen: list[Load] = []
        for place in places:
            self._dice.shuffle(units[place])
            for unit in units[place]:
                if not chosen or len(chosen) + len(unit) <= OPEN_LOADS * self.growth:
                    chosen += unit
        return chosen

    def _units(self, solution: list[int]) -> dict[str, list[list[Load]]]:
        """By place: loads on one circuit, and those on none by themselves."""
        units: dict[str, list[list[Load]]] = defaultdict(list)
        left = {load.id: load for load in self._v.instance.loads}
        for circuit in self._v.circuits:
            if not any(solution[var.index] for var in self._v.opened(circuit)):
                continue
            unit = [m for m in circuit.members if any(solution[x.index] for x in self._v.joined(m, circuit))]
            units[circuit.place].append(unit)
            for load in unit:
                left.pop(load.id, None)
        for load in left.values():
            units[load.place].append([load])
        return units


def _settles(circuit: Circuit) -> Iterable[Load]:
    """The loads that must all be open where a circuit is: others join an open one by choosing its feeds."""
    return circuit.members if circuit.is_whole else (circuit.first,)


def _of_circuit(v: Variables, circuit: Circuit) -> Iterator[Var]:
    if circuit.is_whole:
        yield from v.opened(circuit)
    yield from (var for _, var in v.pairs(circuit))
    yield from (var for _, var in v.ratings(circuit))
