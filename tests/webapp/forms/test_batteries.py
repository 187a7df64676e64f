"""What a battery type lets us assume."""

from __future__ import annotations

import pytest

from webapp.forms import batteries

UNSURE = batteries.BY_KEY["unsure"]


@pytest.mark.parametrize("known", [each for each in batteries.CHEMISTRIES if each is not UNSURE], ids=lambda c: c.key)
def test_a_type_nobody_is_sure_of_is_taken_no_better_than_any(known):
    assert UNSURE.low_v <= known.low_v
    assert UNSURE.high_v >= known.high_v
    assert UNSURE.usable_fraction <= known.usable_fraction
    assert UNSURE.peukert >= known.peukert
    assert UNSURE.discharge_per_ah <= known.discharge_per_ah
    assert UNSURE.fault_a >= known.fault_a


@pytest.mark.parametrize("key", list(batteries.BY_KEY))
@pytest.mark.parametrize("nominal_v", [12, 24])
@pytest.mark.parametrize("capacity_ah", [100.0, None])
def test_a_type_is_known_again_by_its_figures(key, nominal_v, capacity_ah):
    figures = batteries.typical(batteries.BY_KEY[key], nominal_v, capacity_ah)
    bus = {name.removeprefix("bus/"): value for name, value in figures.items() if name.startswith("bus/")}
    bank = {name.rpartition("/")[2]: value for name, value in figures.items() if name.startswith("bank/")}
    document = {"bus": {"nominal_v": nominal_v, **bus}, "bank": {"existing": bank} if bank else {}}
    assert batteries.recognised(document) == key
