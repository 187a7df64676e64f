"""Changes that may make a plan cheaper: other feeds, circuits merged and split, other cables."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from optimizer.by_hand.choices import Choices, CircuitChoice
from optimizer.by_hand.circuits import Fed
from optimizer.by_hand.line_by_line import Pencil
from optimizer.by_hand.power import Feeds
from optimizer.feeds import FeedOption
from optimizer.job import Load
from optimizer.solve.runs import may_share

WEIGHED_CENTS_PER_W = (0.0, 30.0, 150.0, 1000.0)  # what makes a feed worth a try: cheap, thrifty or between
FEEDS_EACH = 3
LEADS_EACH = 6


@dataclass(frozen=True, slots=True)
class Change:
    """Some circuits replaced by others, and the feeds of some loads; sized for the feeds there were."""

    gone: list[CircuitChoice]
    new: list[CircuitChoice]
    was: Feeds  # of every load it touches
    feeds: Feeds
    paper_cents: float  # parts dearer by so much on paper


class Changes:
    """Changes of one instance's plans, the most promising kinds first."""

    def __init__(self, pencil: Pencil) -> None:
        self._pencil = pencil
        self._instance = pencil.instance
        self._desk = pencil.desk
        self._worth_a_try: dict[str, list[FeedOption]] = {}
        self.kinds = (self._other_circuits, self._other_cables, self._fewer_cables, self._other_feeds)

    def _other_feeds(self, choices: Choices) -> Iterator[Change]:
        """Another feed for one load where it hangs, or the outlet; from the outlet to a circuit of its own."""
        circuit_of = {load: circuit for circuit in choices.circuits for load in circuit.loads}
        for load in self._instance.loads:
            now = choices.feeds[load.id]
            for option in self._worth(load, now):
                if option is not now:
                    yield from self._fed_otherwise(choices, load, option, circuit_of.get(load.id))
            if now is not None and self._instance.may_use_ac(load):
                yield from self._fed_otherwise(choices, load, None, circuit_of.get(load.id))

    def _worth(self, load: Load, now: FeedOption | None) -> list[FeedOption]:
        """Cheap and thrifty feeds, and the present one with other leads."""
        feeds = self._desk.feeds[load.id]
        if load.id not in self._worth_a_try:
            found: dict[int, FeedOption] = {}
            for cents_per_w in WEIGHED_CENTS_PER_W:
                ranked = sorted(feeds, key=lambda feed: feed[0] + cents_per_w * feed[1].average_w)
                found.update((id(option), option) for _, option in ranked[:FEEDS_EACH])
            self._worth_a_try[load.id] = list(found.values())
        leads = [o for _, o in feeds if now and o.lead and o.stages == now.stages and o.output_fuse == now.output_fuse]
        return [*self._worth_a_try[load.id], *(o for o in leads[:LEADS_EACH] if o not in self._worth_a_try[load.id])]

    def _fed_otherwise(
        self, choices: Choices, load: Load, option: FeedOption | None, circuit: CircuitChoice | None
    ) -> Iterator[Change]:
        mates = self._fed(choices, [other for other in circuit.loads if other != load.id]) if circuit else []
        fed = mates if option is None else [*mates, (load, option)]
        gone = [circuit] if circuit else []
        if not fed:
            yield self._change(choices, gone, [], {load.id: option})
            return
        again = self._sized(choices, fed)
        if again is not None:
            yield self._change(choices, gone, [again], {load.id: option})

    def _other_circuits(self, choices: Choices) -> Iterator[Change]:
        """Two circuits of a place as one; one load moved to another circuit, or to one of its own."""
        circuits = choices.circuits
        for n, first in enumerate(circuits):
            for second in circuits[n + 1 :]:
                if self._may_join(first, second):
                    merged = self._sized(choices, self._fed(choices, (*first.loads, *second.loads)))
                    if merged is not None:
                        yield self._change(choices, [first, second], [merged])
        for circuit in circuits:
            if len(circuit.loads) > 1:
                for load in circuit.loads:
                    yield from self._moved(choices, load, circuit)

    def _may_join(self, first: CircuitChoice, second: CircuitChoice) -> bool:
        loads = self._instance.job.load_by_id
        return may_share(loads[first.loads[0]], loads[second.loads[0]])

    def _moved(self, choices: Choices, load: str, circuit: CircuitChoice) -> Iterator[Change]:
        rest = self._sized(choices, self._fed(choices, [other for other in circuit.loads if other != load]))
        if rest is None:
            return
        alone = self._sized(choices, self._fed(choices, [load]))
        if alone is not None:
            yield self._change(choices, [circuit], [rest, alone])
        for other in choices.circuits:
            if other is not circuit and self._may_join(circuit, other):
                joined = self._sized(choices, self._fed(choices, [*other.loads, load]))
                if joined is not None:
                    yield self._change(choices, [circuit, other], [rest, joined])

    def _other_cables(self, choices: Choices) -> Iterator[Change]:
        """The same circuit on another pair, as one spool may serve both."""
        fault_a = max(self._instance.job.bus.fault_a, choices.bank.fault_a)
        for circuit in choices.circuits:
            band = choices.bands[circuit.place]
            fed = self._fed(choices, circuit.loads)
            for other in self._pencil.sizer(fault_a).all(fed, band):
                if other.pair is not circuit.pair:
                    yield self._change(choices, [circuit], [other])

    def _fewer_cables(self, choices: Choices) -> Iterator[Change]:
        """Every run and lead on one pair moved to another pair that the plan uses, where that one serves."""
        used = {circuit.pair.pair.ids for circuit in choices.circuits}
        used |= {option.lead_ids for option in choices.feeds.values() if option and option.lead}
        for before in sorted(used):
            for after in sorted(used - {before}):
                leads = self._leads_moved(choices, before, after)
                moved = replace(choices, feeds={**choices.feeds, **leads})
                gone, new = [], []
                for circuit in choices.circuits:
                    other = self._on_pair(moved, circuit, after if circuit.pair.pair.ids == before else None)
                    if other is not None and other != circuit:
                        gone.append(circuit)
                        new.append(other)
                    elif other is None and leads.keys() & circuit.loads:
                        break
                else:
                    if gone or leads:
                        yield self._change(choices, gone, new, leads)

    def _leads_moved(self, choices: Choices, before: tuple[str, ...], after: tuple[str, ...]) -> Feeds:
        """The same feeds with another lead, for every load that has the one."""
        moved: Feeds = {}
        for load, now in choices.feeds.items():
            if now is not None and now.lead_ids == before:
                same = (o for _, o in self._desk.feeds[load] if o.lead_ids == after and o.parts == now.parts)
                option = next((o for o in same if o.stages == now.stages), None)
                if option is not None:
                    moved[load] = option
        return moved

    def _on_pair(self, choices: Choices, circuit: CircuitChoice, ids: tuple[str, ...] | None) -> CircuitChoice | None:
        """A circuit sized again, on a pair where one is named and serves, else on its own."""
        fault_a = max(self._instance.job.bus.fault_a, choices.bank.fault_a)
        sized = list(self._pencil.sizer(fault_a).all(self._fed(choices, circuit.loads), choices.bands[circuit.place]))
        named = next((other for other in sized if other.pair.pair.ids == ids), None)
        return named or next((other for other in sized if other.pair is circuit.pair), None)

    # -- shared -------------------------------------------------------------------------------------------------------

    def _fed(self, choices: Choices, loads: Sequence[str]) -> list[Fed]:
        fed = []
        for load in loads:
            option = choices.feeds[load]
            assert option is not None  # only loads on circuits are asked for
            fed.append((self._instance.job.load_by_id[load], option))
        return fed

    def _sized(self, choices: Choices, fed: Sequence[Fed]) -> CircuitChoice | None:
        fault_a = max(self._instance.job.bus.fault_a, choices.bank.fault_a)
        return self._pencil.sizer(fault_a).cheapest(fed, choices.bands[fed[0][0].place])

    def _change(
        self, choices: Choices, gone: list[CircuitChoice], new: list[CircuitChoice], feeds: Feeds | None = None
    ) -> Change:
        feeds = feeds or {}
        touched = {load for circuit in gone for load in circuit.loads} | feeds.keys()
        more = sum(self._parts_cents(o) - self._parts_cents(choices.feeds[load]) for load, o in feeds.items())
        return Change(gone, new, {load: choices.feeds[load] for load in touched}, feeds, more)

    def _parts_cents(self, option: FeedOption | None) -> float:
        """Parts by the piece; cable may be left over from a spool, so it does not count. [cents]"""
        return sum(self._desk.piece_cents(part) for part in option.parts) if option else 0.0
