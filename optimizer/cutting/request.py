"""What is asked of a cut list, as values, and everything that can be wrong with them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from optimizer.errors import InvalidInput

MOST_MM = 100_000_000  # 100 km: beyond any drum
MOST_PIECES = 20_000
MOST_CENTS = 10**12


@dataclass(frozen=True, slots=True, kw_only=True)
class Spool:
    """An offer of one whole spool of a cable."""

    offer: str
    cable: str
    length_mm: int
    price_cents: int
    limit: int | None = None  # most spools that can be bought


@dataclass(frozen=True, slots=True, kw_only=True)
class ByTheMetre:
    """An offer of one continuous length in whole steps."""

    offer: str
    cable: str
    step_mm: int
    step_cents: int
    limit: int | None = None  # most steps that can be bought


@dataclass(frozen=True, slots=True, kw_only=True)
class Owned:
    """A length on hand, free to cut from."""

    id: str
    cable: str
    length_mm: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Equal cuts that are needed, of any one of the cables that serve."""

    id: str
    length_mm: int
    cables: tuple[str, ...]
    quantity: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """What cutting loses and what is worth keeping."""

    kerf_mm: int = 0  # lost between two neighbouring cuts
    trim_mm: int = 0  # lost once on every length that is cut from
    least_offcut_mm: int = 0  # shorter rests are scrap


@dataclass(frozen=True, slots=True, kw_only=True)
class CutListRequest:
    """Runs to cut, and what they can be cut from."""

    runs: tuple[Run, ...]
    spools: tuple[Spool, ...] = ()
    by_the_metre: tuple[ByTheMetre, ...] = ()
    owned: tuple[Owned, ...] = ()
    settings: Settings = field(default_factory=Settings)


class FaultyCutList(InvalidInput):
    """Every fault of a request at once."""

    def __init__(self, faults: tuple[InvalidInput, ...]) -> None:
        super().__init__(faults[0].field, faults[0].problem)
        self.faults = faults

    @property
    def user_message(self) -> str:
        """One line a fault."""
        return "\n".join(f"{fault.field}: {fault.problem}" for fault in self.faults)


def refuse_faulty(request: CutListRequest, time_limit_s: float | None) -> None:
    """Raise FaultyCutList with every fault there is.

    Raises:
        FaultyCutList: Some value cannot be used as written.
    """
    faults = tuple(_faults(request, time_limit_s))
    if faults:
        raise FaultyCutList(faults)


def _faults(request: CutListRequest, time_limit_s: float | None) -> Iterator[InvalidInput]:
    if time_limit_s is not None and not 0 < time_limit_s < float("inf"):
        yield InvalidInput("time_limit_s", "Enter seconds above 0.")
    yield from _settings_faults(request.settings)
    yield from _run_faults(request.runs)
    for at, spool in enumerate(request.spools):
        yield from _whole(f"spools/{at}/length_mm", spool.length_mm, 1, MOST_MM)
        yield from _whole(f"spools/{at}/price_cents", spool.price_cents, 0, MOST_CENTS)
        yield from _limit(f"spools/{at}/limit", spool.limit)
    for at, offer in enumerate(request.by_the_metre):
        yield from _whole(f"by_the_metre/{at}/step_mm", offer.step_mm, 1, MOST_MM)
        yield from _whole(f"by_the_metre/{at}/step_cents", offer.step_cents, 0, MOST_CENTS)
        yield from _limit(f"by_the_metre/{at}/limit", offer.limit)
    for at, length in enumerate(request.owned):
        yield from _whole(f"owned/{at}/length_mm", length.length_mm, 1, MOST_MM)
    offers = [*(spool.offer for spool in request.spools), *(offer.offer for offer in request.by_the_metre)]
    yield from _repeated("offers", offers)
    yield from _repeated("owned", [length.id for length in request.owned])


def _settings_faults(settings: Settings) -> Iterator[InvalidInput]:
    yield from _whole("settings/kerf_mm", settings.kerf_mm, 0, 1_000)
    yield from _whole("settings/trim_mm", settings.trim_mm, 0, 100_000)
    yield from _whole("settings/least_offcut_mm", settings.least_offcut_mm, 0, MOST_MM)


def _run_faults(runs: tuple[Run, ...]) -> Iterator[InvalidInput]:
    if not runs:
        yield InvalidInput("runs", "There is nothing to cut: add at least one run.")
    for at, run in enumerate(runs):
        if not _is_within(run.length_mm, 1, MOST_MM):
            yield from _whole(f"runs/{at}/length_mm", run.length_mm, 1, MOST_MM)
        if not _is_within(run.quantity, 1, MOST_PIECES):
            yield from _whole(f"runs/{at}/quantity", run.quantity, 1, MOST_PIECES)
        if len(run.cables) != 1:
            if not run.cables:
                yield InvalidInput(f"runs/{at}/cables", "Name at least one cable that serves.")
            yield from _repeated(f"runs/{at}/cables", run.cables)
    pieces = sum([run.quantity for run in runs if _is_whole(run.quantity)])
    if pieces > MOST_PIECES:
        yield InvalidInput("runs", f"{pieces} cuts are more than one list takes: {MOST_PIECES} at most.")
    yield from _repeated("runs", [run.id for run in runs])


def _is_whole(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _is_within(value: object, least: int, most: int) -> bool:
    return isinstance(value, int) and least <= value <= most and not isinstance(value, bool)


def _whole(where: str, value: object, least: int, most: int) -> Iterator[InvalidInput]:
    if not _is_within(value, least, most):
        yield InvalidInput(where, f"{value!r} is not a whole number from {least} to {most}.")


def _limit(where: str, limit: object) -> Iterator[InvalidInput]:
    if limit is not None:
        yield from _whole(where, limit, 0, MOST_CENTS)


def _repeated(where: str, names: Sequence[str]) -> Iterator[InvalidInput]:
    if len(set(names)) == len(names):
        return
    for name, times in Counter(names).items():
        if times > 1:
            yield InvalidInput(where, f"'{name}' is named {times} times.")
