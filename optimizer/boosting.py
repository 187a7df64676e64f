"""Feeds with a converter at the panel: every chain of stages there and at the place, with every lead (additions 2)."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cached_property

from optimizer.boosted import BoostedFeeds, Stages
from optimizer.catalogue import BUS_FORM, Stage
from optimizer.conductors import Pair
from optimizer.converted import ConvertedFeeds, fits_in_current
from optimizer.feed_option import FeedOption, fixed_v
from optimizer.job import Job, Load
from optimizer.units import FORGIVEN

_MOST_STAGES = 3  # planning rules 2

Leads = Callable[[Load, Stages], Iterator[tuple[Pair | None, float]]]  # leads behind a chain, with their loop [Ω]


class Boosts:
    """Enumerates the boosted feeds of one job's loads."""

    def __init__(
        self, job: Job, converted: ConvertedFeeds, stages_from: Mapping[str, Sequence[Stage]], leads: Leads
    ) -> None:
        self._job = job
        self._stages_from = stages_from
        self._leads = leads
        self._sizer = BoostedFeeds(job, converted)

    def options(self, load: Load) -> Iterator[FeedOption]:
        """Every boosted feed that obeys the rules on its own."""
        tails = list(self._tails(load))
        for head in self._heads:
            for tail in tails:
                if self._fit(head, tail):
                    for lead, lead_ohm in self._leads(load, (*head, *tail)):
                        yield from self._sizer.options(load, head, tail, lead, lead_ohm)

    @staticmethod
    def _fit(head: Stages, tail: Stages) -> bool:
        """Whether a tail may follow a head; what it sees at the far end of the run is looked at when it is sized."""
        if len(head) + len(tail) > _MOST_STAGES or any(stage in head for stage in tail):
            return False
        before, chain = fixed_v(head), head
        for stage in tail:
            if before is not None and (before > stage.in_max_v or not fits_in_current(chain, stage)):
                return False
            before, chain = (before if stage.out_v is None else None), (*chain, stage)
        return True

    @cached_property
    def _heads(self) -> list[Stages]:
        """Stages up to the first that fixes a voltage: above the bus's, and on bare wire."""
        bus = self._job.bus
        grown: list[Stages] = [()]
        found: list[Stages] = []
        for _ in range(_MOST_STAGES):
            grown = [
                (*chain, stage)
                for chain in grown
                if fixed_v(chain) is None
                for stage in self._after(chain)
                if stage.in_min_v <= bus.low_v and bus.high_v <= stage.in_max_v
            ]
            found += [chain for chain in grown if chain[-1].out_form == BUS_FORM]
        return [chain for chain in found if (fixed_v(chain) or 0.0) > bus.nominal_v]

    def _tails(self, load: Load) -> Iterator[Stages]:
        """Stages at the place, one of which at most fixes a voltage; nothing where the load takes bare wire."""
        grown: list[Stages] = [()]
        for _ in range(_MOST_STAGES):
            yield from (chain for chain in grown if self._serves(load, chain))
            grown = [(*chain, stage) for chain in grown for stage in self._after(chain) if _may_follow(chain, stage)]

    def _after(self, chain: Stages) -> Iterator[Stage]:
        """What takes the form that a chain ends in, and changes something."""
        for stage in self._stages_from[chain[-1].out_form if chain else BUS_FORM]:
            if stage not in chain and not (stage.out_v is None and stage.in_form == stage.out_form):
                yield stage

    def _serves(self, load: Load, chain: Stages) -> bool:
        out_v, form = fixed_v(chain), chain[-1].out_form if chain else BUS_FORM
        suits = out_v is None or load.needs.min_v <= out_v <= load.needs.max_v
        # a quick look before leads are sized: every stage puts out at least a constant-power load's peak
        asked_w = 0.0 if load.behaviour == "resistive" else load.peak_w * (1 + self._job.limits.headroom_pct / 100)
        return form == load.needs.form and suits and all(asked_w <= s.max_out_w * (1 + FORGIVEN) for s in chain)


def _may_follow(chain: Stages, stage: Stage) -> bool:
    before_v = fixed_v(chain)
    if before_v is None:
        return True
    return stage.out_v is None and stage.in_min_v <= before_v <= stage.in_max_v and fits_in_current(chain, stage)
