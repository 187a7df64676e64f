"""Conductor resistance against published tables."""

from __future__ import annotations

import pytest

from optimizer.physics import resistance

# IEC 60228 class 5 plain copper, ohm/km at 20 °C (two public tables agree)
CLASS_5 = {0.75: 26.0, 1.5: 13.3, 2.5: 7.98, 4: 4.95, 6: 3.30, 10: 1.91, 16: 1.21}


@pytest.mark.parametrize("conductor_c", [0, 20, 50, 70, 90])
def test_copper_at_temperature_follows_the_annex_of_iec_60228(conductor_c: float) -> None:
    annex = 1.91 * (234.5 + conductor_c) / 254.5  # IEC 60228 informative annex, copper
    assert resistance.at_temperature_ohm(1.91, conductor_c) == pytest.approx(annex, rel=2e-4)


@pytest.mark.parametrize(
    ("mm2", "length_m", "expected_ohm"),
    [
        pytest.param(10, 4.5, 0.01719, id="2 × 4.5 m × 1.91 Ω/km"),
        pytest.param(6, 5.0, 0.0330, id="2 × 5 m × 3.30 Ω/km"),
        pytest.param(0.75, 1.0, 0.052, id="2 × 1 m × 26.0 Ω/km"),
    ],
)
def test_loop_goes_out_and_back(mm2: float, length_m: float, expected_ohm: float) -> None:
    assert resistance.loop_ohm(2 * CLASS_5[mm2], length_m, 20) == pytest.approx(expected_ohm)


# NFPA 70 chapter 9 table 8, stranded uncoated copper, ohm per 1,000 ft at 75 °C (memory)
TABLE_8 = [(2.081, 3.14), (5.261, 1.24), (13.30, 0.491), (33.63, 0.194)]  # 14, 10, 6, 2 AWG


@pytest.mark.parametrize(("mm2", "per_kft_75c"), TABLE_8)
def test_warm_copper_agrees_with_the_american_table(mm2: float, per_kft_75c: float) -> None:
    r20_ohm_per_km = 17.241 / mm2  # IEC 60028: annealed copper, 17.241 Ω mm²/km at 20 °C; stranding adds about 2 %
    per_kft = resistance.at_temperature_ohm(r20_ohm_per_km * 1.02, 75) * 0.3048
    assert per_kft == pytest.approx(per_kft_75c, rel=0.02)
