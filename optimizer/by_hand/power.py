"""Which banks carry the feeds chosen: average power over the autonomy, and every load at peak."""

from __future__ import annotations

from functools import cached_property

from optimizer.by_hand.desk import Desk
from optimizer.feeds import FeedOption
from optimizer.job import Load
from optimizer.solve.banks import BankOption
from optimizer.solve.outlet import ac_average_w, ac_idle_average_w, ac_peak_w
from optimizer.units import scaled_down, scaled_up

SCALE = 100_000  # 10 µW, 10 µA; rounded like the model's
Feeds = dict[str, FeedOption | None]


class Power:
    """Average and peak of each feed, worked out once."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._job = desk.instance.job
        self._known: dict[tuple[str, int], tuple[int, int]] = {}

    def of(self, load: Load, option: FeedOption | None) -> tuple[int, int]:
        """Average power and peak current that a load takes from the bank. [1/SCALE W], [1/SCALE A]"""
        key = (load.id, id(option))
        if key not in self._known:
            self._known[key] = self._of(load, option)
        return self._known[key]

    def _of(self, load: Load, option: FeedOption | None) -> tuple[int, int]:
        job, low_v = self._job, self._job.bus.low_v
        if option is not None:
            allowance = 1 + job.limits.wiring_allowance_pct / 100
            return scaled_up(option.average_w * allowance, SCALE), scaled_up(option.draw.current_a(low_v), SCALE)
        assert job.ac is not None
        peak_a = ac_peak_w(load) / job.ac.efficiency / low_v
        return scaled_up(ac_average_w(job, load), SCALE), scaled_up(peak_a, SCALE)

    def total(self, feeds: Feeds) -> tuple[int, int]:
        """The same of a whole plan, the inverter's idling included."""
        each = [self.of(load, feeds[load.id]) for load in self._desk.instance.loads]
        average, peak = sum(average for average, _ in each), sum(peak for _, peak in each)
        if self._job.ac is not None and None in feeds.values():
            average += scaled_up(ac_idle_average_w(self._job), SCALE)
            peak += scaled_up(self._job.ac.idle_w / self._job.bus.low_v, SCALE)
        return average, peak

    def fits_outlet(self, feeds: Feeds) -> bool:
        """Whether the outlet carries the peaks of everything left on it."""
        ac = self._job.ac
        on_ac = [load for load in self._desk.instance.loads if feeds[load.id] is None]
        if not on_ac:
            return True
        if ac is None or any(load.brick is None for load in on_ac):
            return False
        return sum(scaled_up(ac_peak_w(load), SCALE) for load in on_ac) <= scaled_down(ac.max_w, SCALE)

    def carries(self, bank: BankOption, feeds: Feeds) -> bool:
        average, peak = self.total(feeds)
        enough = average <= scaled_down(bank.available_w, SCALE)
        return enough and peak <= scaled_down(bank.max_discharge_a, SCALE)

    def banks(self, feeds: Feeds) -> list[BankOption]:
        """The banks that carry these feeds, the cheapest first."""
        return [bank for bank in self.by_price if self.carries(bank, feeds)]

    @cached_property
    def by_price(self) -> list[BankOption]:
        return sorted(self._desk.instance.banks, key=lambda bank: (self.bank_cents(bank), bank.key))

    def bank_cents(self, bank: BankOption) -> float:
        if bank.battery is None:
            return 0.0
        kit = self._desk.piece_cents(bank.kit.id) if bank.kit else 0.0
        return bank.series * bank.parallel * self._desk.piece_cents(bank.battery.id) + kit
