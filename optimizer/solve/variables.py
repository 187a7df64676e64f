"""The decisions of one plan as CP-SAT variables, named so that rules never touch an index."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from optimizer.catalogue import Junction
from optimizer.feeds import FeedOption
from optimizer.job import Load
from optimizer.solve.banks import BankOption
from optimizer.solve.circuits import MOST_BY_SETS, Circuit, Group, groups
from optimizer.solve.fits import Fits
from optimizer.solve.instance import Instance
from optimizer.solve.runs import BoostRun, RunPair

Model = cp_model.CpModel
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


@dataclass(slots=True)
class CutsWanted:
    """Cuts of one length from one cable."""

    wanted: list[Var] = field(default_factory=list)  # each true choice wants one
    most: int = 0  # of them that can be true together
    exclusive: list[list[Var]] = field(default_factory=list)  # at most one of each list is true


class Variables:
    """All choices of an instance, and the demands for parts that follow from them."""

    def __init__(self, model: cp_model.CpModel, instance: Instance, most_by_sets: int = MOST_BY_SETS) -> None:
        self._model = model
        self.instance = instance
        self.groups: list[Group] = groups(instance, most_by_sets)
        self.circuits: list[Circuit] = [circuit for group in self.groups for circuit in group.circuits]
        self.demand: dict[str, list[Term]] = defaultdict(list)  # part -> pieces wanted
        self.most_wanted: dict[str, int] = defaultdict(int)  # part -> pieces that can be wanted at most
        self.needs: list[tuple[list[Var], list[str]]] = []  # one of these true: one of these parts at hand
        self.cuts: dict[str, dict[int, CutsWanted]] = defaultdict(lambda: defaultdict(CutsWanted))  # cable -> [mm]
        self._laid: dict[str, Var] = {}  # circuit laid whole
        self._current: dict[tuple[str, bool, float, float, bool], Var] = {}
        self._feed: dict[tuple[str, str, int], Var] = {}
        self._pair: dict[str, list[tuple[RunPair, Var]]] = {}
        self._rating: dict[str, list[tuple[float, Var]]] = {}
        self._ac: dict[str, Var] = {
            load.id: model.new_bool_var(f"ac[{load.id}]") for load in instance.loads if instance.may_use_ac(load)
        }
        for group in self.groups:
            self._make_feeds(group)
        for circuit in self.circuits:
            self._make_circuit(circuit)
        self.boost_run: dict[str, list[tuple[BoostRun, Var]]] = {
            circuit.first.id: [
                (run, model.new_bool_var(f"run[{circuit.first.id},{n}]"))
                for n, run in enumerate(instance.boost_runs[circuit.place])
            ]
            for circuit in self.circuits
            if circuit.at_panel
        }
        self.idle_credit: list[Term] = []  # average power that counts twice otherwise. [1/SCALE W]
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

    def want(self, part: str, terms: list[Term], most: int) -> None:
        """Notes a demand for pieces of a part, and how many that can be at most."""
        self.demand[part] += terms
        self.most_wanted[part] += most

    def need(self, any_of: list[Var], parts: list[str]) -> None:
        """Notes that where one of some exclusive choices is made, at least one of some parts must be at hand.

        It follows from the demands; said once more, it keeps the relaxation from buying a tenth of a pack.
        """
        if any_of:
            self.needs.append((any_of, parts))

    # -- making ---------------------------------------------------------------------------------------------------

    def _make_feeds(self, group: Group) -> None:
        """One choice for each feed of a load; where loads join circuits one by one, one for each circuit as well."""
        for load in group.loads:
            for circuit in group.of(load):
                for n, _ in enumerate(self._options(load, circuit)):
                    if self._way(circuit) == "":
                        key, name = (load.id, "", n), f"feed[{load.id},{n}]"
                    else:
                        key, name = (load.id, circuit.key, n), f"feed[{load.id},{circuit.key},{n}]"
                    if key not in self._feed:
                        self._feed[key] = self._model.new_bool_var(name)

    def _make_circuit(self, circuit: Circuit) -> None:
        self._pair[circuit.key] = [
            (pair, self._model.new_bool_var(f"pair[{circuit.key},{n}]")) for n, pair in enumerate(circuit.pairs)
        ]
        self._rating[circuit.key] = [
            (rating, self._model.new_bool_var(f"fuse[{circuit.key},{rating:g}]")) for rating in circuit.ratings_a
        ]
        if circuit.is_whole:
            self._laid[circuit.key] = self._model.new_bool_var(f"laid[{circuit.key}]")

    # -- reading --------------------------------------------------------------------------------------------------

    @property
    def whole(self) -> list[Circuit]:
        """The circuits that are laid with all their members or not at all."""
        return [circuit for circuit in self.circuits if circuit.is_whole]

    @property
    def joined_one_by_one(self) -> list[Circuit]:
        """The circuits opened by their first load that others may join."""
        return [circuit for circuit in self.circuits if not circuit.is_whole]

    @property
    def most_circuits(self) -> int:
        """Circuits that a plan can have: one for each load that the bus can feed."""
        return sum(len(group.loads) for group in self.groups)

    def families(self) -> Iterator[list[Circuit]]:
        """Circuits of which at most one is laid."""
        for group in self.groups:
            yield from group.families

    def joined(self, load: Load, circuit: Circuit) -> list[Var]:
        """One of these is true where the load hangs on the circuit."""
        if circuit.is_whole:
            return [self._laid[circuit.key]]
        return [var for _, var in self.feeds_of(load, circuit)]

    def opened(self, circuit: Circuit) -> list[Var]:
        """One of these is true where the circuit exists."""
        return self.joined(circuit.first, circuit)

    def feeds_on(self, circuit: Circuit) -> Iterator[tuple[Load, FeedOption, Var]]:
        """Every feed that may hang on a circuit."""
        for load in circuit.members:
            yield from ((load, option, var) for option, var in self.feeds_of(load, circuit))

    def feeds_of(self, load: Load, circuit: Circuit) -> Iterator[tuple[FeedOption, Var]]:
        """Every feed of one load; where the circuit is joined one by one, true only on that circuit."""
        for n, option in enumerate(self._options(load, circuit)):
            yield option, self._feed[load.id, self._way(circuit), n]

    def _options(self, load: Load, circuit: Circuit) -> list[FeedOption]:
        return (self.instance.boosted if circuit.at_panel else self.instance.options)[load.id]

    @staticmethod
    def _way(circuit: Circuit) -> str:
        """What tells the feeds of a load apart: those at the panel, and those of circuits joined one by one."""
        return circuit.key if circuit.at_panel or not circuit.is_whole else ""

    def all_feeds(self, load: Load) -> Iterator[tuple[FeedOption, Var]]:
        """Every feed of one load, whatever its circuit."""
        for circuit in self._ways_to_join(load):
            yield from self.feeds_of(load, circuit)

    def _ways_to_join(self, load: Load) -> list[Circuit]:
        circuits = [circuit for group in self.groups for circuit in group.of(load)]
        return list({self._way(circuit): circuit for circuit in circuits}.values())

    def current(self, load: Load, circuit: Circuit, fits: Fits, at_v: float, floor_v: float, *, fills: bool) -> Var:
        """Peak current of one load's feed at a voltage of its place as one number. [1/SCALE A]

        Every set of loads that it may be on reads the same number, and not all its feeds again.
        """
        key = (load.id, circuit.at_panel, at_v, floor_v, fills)
        if key not in self._current:
            drawn = [
                ((fits.drawn(option, at_v).fills if fills else fits.drawn(option, at_v).asks), var)
                for option, var in self.feeds_of(load, circuit)
                if option.floor_v <= floor_v
            ]
            most = max((amps for amps, _ in drawn), default=0)
            self._current[key] = self.new_count(most, f"current[{load.id},{at_v:g},{floor_v:g}]")
            self._model.add(self._current[key] == total(drawn))
        return self._current[key]

    def of_load(self, load: Load) -> Iterator[Var]:
        """What one load is fed by, and how a run behind a converter at the panel is laid."""
        yield from (var for _, var in self.boost_run.get(load.id, []))
        yield from (var for _, var in self.all_feeds(load))
        yield from self.ac(load)

    def ac(self, load: Load) -> list[Var]:
        """True where the load stays on the AC outlet; empty where it may not."""
        return [self._ac[load.id]] if load.id in self._ac else []

    def pairs(self, circuit: Circuit) -> list[tuple[RunPair, Var]]:
        return self._pair[circuit.key]

    def ratings(self, circuit: Circuit) -> list[tuple[float, Var]]:
        return self._rating[circuit.key]
