"""The decisions of one plan as CP-SAT variables, named so that rules never touch an index.

A circuit is named by its first load: load i may open circuit i, and a later load at the same place may join it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from functools import cached_property

from ortools.sat.python import cp_model

from optimizer.catalogue import Junction
from optimizer.feeds import FeedOption
from optimizer.job import Load
from optimizer.solve.banks import BankOption
from optimizer.solve.instance import Instance, RunPair, may_share

Var = cp_model.IntVar
Term = tuple[int, Var]  # coefficient, variable


Expr = cp_model.LinearExpr | int


def total(terms: Sequence[Term]) -> Expr:
    """The linear expression of some terms; 0 where there are none."""
    if not terms:
        return 0
    summed: Expr = cp_model.LinearExpr.weighted_sum([var for _, var in terms], [coef for coef, _ in terms])
    return summed


def upper(var: Var) -> int:
    """Upper bound of a variable."""
    return int(max(var.proto.domain))


class Variables:
    """All choices of an instance, and the demands for parts that follow from them."""

    def __init__(self, model: cp_model.CpModel, instance: Instance) -> None:
        self._model = model
        self.instance = instance
        self.demand: dict[str, list[Term]] = defaultdict(list)  # part -> pieces wanted
        self.needs: list[tuple[list[Var], list[str]]] = []  # one of these true: one of these parts at hand
        # cable -> length [mm] -> for each cut that may be wanted, the exclusive choices that want it
        self.cuts: dict[str, dict[int, list[list[Var]]]] = defaultdict(lambda: defaultdict(list))
        self._feed: dict[tuple[str, str, int], Var] = {}
        self._joined: dict[tuple[str, str], list[Var]] = defaultdict(list)
        self._pair: dict[str, list[tuple[RunPair, Var]]] = {}
        self._rating: dict[str, list[tuple[float, Var]]] = {}
        self._ac: dict[str, Var] = {}
        for load in instance.loads:
            self._make_feeds(load)
            if instance.may_use_ac(load):
                self._ac[load.id] = model.new_bool_var(f"ac[{load.id}]")
        for first in instance.loads:
            self._make_circuit(first)
        self.ac_used = model.new_bool_var("ac_used")
        self.bank: list[tuple[BankOption, Var]] = [
            (option, model.new_bool_var(f"bank[{n}]")) for n, option in enumerate(instance.banks)
        ]
        self.band: dict[str, list[Var]] = {
            place: [model.new_bool_var(f"band[{place},{n}]") for n, _ in enumerate(bands)]
            for place, bands in instance.bands.items()
        }
        self.floor_levels: dict[str, list[tuple[float, Var | None]]] = {}  # circuit -> its possible floors
        self.junction: dict[str, list[tuple[Junction, Var]]] = {}  # circuit -> its possible junctions
        self.holders_at: dict[float, Var] = {}  # mm² -> in-line holders on circuits of that conductor

    def new_count(self, most: int, name: str) -> Var:
        """A whole number from 0 to most."""
        return self._model.new_int_var(0, max(most, 0), name)

    def new_choice(self, name: str) -> Var:
        return self._model.new_bool_var(name)

    def need(self, any_of: list[Var], parts: list[str]) -> None:
        """Notes that where one of some exclusive choices is made, at least one of some parts must be at hand.

        It follows from the demands; said once more, it keeps the relaxation from buying a tenth of a pack.
        """
        if any_of:
            self.needs.append((any_of, parts))

    # -- making ---------------------------------------------------------------------------------------------------

    def _make_feeds(self, load: Load) -> None:
        for first in self.instance.loads:
            if first.id > load.id or not may_share(first, load):
                continue
            for n, _ in enumerate(self.instance.options[load.id]):
                var = self._model.new_bool_var(f"feed[{load.id},{first.id},{n}]")
                self._feed[load.id, first.id, n] = var
                self._joined[load.id, first.id].append(var)

    def _make_circuit(self, first: Load) -> None:
        if not self._joined[first.id, first.id]:
            self._pair[first.id], self._rating[first.id] = [], []
            return
        self._pair[first.id] = [
            (pair, self._model.new_bool_var(f"pair[{first.id},{n}]"))
            for n, pair in enumerate(self.instance.pairs[first.place])
        ]
        self._rating[first.id] = [
            (rating, self._model.new_bool_var(f"fuse[{first.id},{rating:g}]")) for rating in self.instance.ratings_a
        ]

    # -- reading --------------------------------------------------------------------------------------------------

    @cached_property
    def circuits(self) -> list[Load]:
        """The loads that may open a circuit."""
        return [load for load in self.instance.loads if self._joined[load.id, load.id]]

    def members(self, first: Load) -> list[Load]:
        """The loads that may hang on a circuit, its first included."""
        return [load for load in self.instance.loads if self._joined.get((load.id, first.id))]

    def joined(self, load: Load, first: Load) -> list[Var]:
        """One of these is true where the load hangs on the circuit."""
        return self._joined[load.id, first.id]

    def opened(self, first: Load) -> list[Var]:
        """One of these is true where the circuit exists."""
        return self._joined[first.id, first.id]

    def feeds_on(self, first: Load) -> Iterator[tuple[Load, FeedOption, Var]]:
        """Every feed that may hang on a circuit."""
        for load in self.members(first):
            yield from ((load, option, var) for option, var in self.feeds_of(load, first))

    def feeds_of(self, load: Load, first: Load) -> Iterator[tuple[FeedOption, Var]]:
        """Every feed of one load on one circuit."""
        for n, option in enumerate(self.instance.options[load.id]):
            yield option, self._feed[load.id, first.id, n]

    def all_feeds(self, load: Load) -> Iterator[tuple[Load, FeedOption, Var]]:
        """Every feed of one load with the first load of its circuit."""
        for first in self.circuits:
            if self._joined.get((load.id, first.id)):
                yield from ((first, option, var) for option, var in self.feeds_of(load, first))

    def ac(self, load: Load) -> list[Var]:
        """True where the load stays on the AC outlet; empty where it may not."""
        return [self._ac[load.id]] if load.id in self._ac else []

    def pairs(self, first: Load) -> list[tuple[RunPair, Var]]:
        return self._pair[first.id]

    def ratings(self, first: Load) -> list[tuple[float, Var]]:
        return self._rating[first.id]
