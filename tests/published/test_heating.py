"""Heat losses, demand and energy against published examples and reference libraries."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from suitability.spots.heating import (
    AIR_HEAT_W_H_M3K,
    COVERINGS,
    Enclosure,
    Loss,
    heat_demand_w,
    held_after_outage,
    kwh_by_year,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    Series = Callable[[str], tuple[int, NDArray[np.float64]]]

BTU_H_FT2_F = 5.678263  # W/(m² K), exact to its digits
LOSS = 12.0  # W/K, of the cases with the sample of eemeter


def test_a_cubic_metre_of_air_holds_a_third_of_a_watt_hour_a_degree() -> None:
    """0.335 W h/(m³ K), to its three digits: 1.2 kg/m³ x 1005 J/(kg K) / 3600."""
    assert pytest.approx(0.335, abs=5e-4) == AIR_HEAT_W_H_M3K


def test_loss_of_a_small_house_by_hand() -> None:
    """20 m² of U 6.0, 10 m³ changed 1.5 times an hour, 15 °C apart: 1800 + 75.4 = 1875 W."""
    house = Enclosure(area_m2=20, u_w_m2k=6.0, volume_m3=10, air_changes_per_hour=1.5)
    assert house.loss_w_per_k * 15 == pytest.approx(1875.4, abs=0.1)


def test_sum_of_the_parts_of_a_builders_sizing_note() -> None:
    """
    A greenhouse builder's note on a house of 22 x 96 ft: 2605.76 Btu/(h °F) = 1374.6 W/K.

    352 ft² of U 0.53 and 3456 ft² of U 0.70 Btu/(h ft² °F); 1 Btu/(h °F) = 0.527527 W/K.
    """
    foot_m2 = 0.3048**2
    parts = [(352, 0.53), (3456, 0.70)]
    loss = sum(
        Enclosure(area_m2=area * foot_m2, u_w_m2k=u * BTU_H_FT2_F).loss_w_per_k for area, u in parts
    )
    assert loss == pytest.approx(1374.6, abs=0.1)


def test_u_values_are_those_of_the_extension_service() -> None:
    """1.0 to 1.2 Btu/(h ft² °F) for single glazing and 0.6 to 0.7 for double, to 0.1 W/(m² K)."""
    single, double = COVERINGS["single"], COVERINGS["double"]
    found = [single.low, single.high, double.low, double.high]
    assert found == pytest.approx([u * BTU_H_FT2_F for u in (1.0, 1.2, 0.6, 0.7)], abs=0.05)


def test_an_enclosure_loses_what_the_extension_services_equation_says() -> None:
    """
    Purdue University, Calculating greenhouse heating requirements: Q = U x A x dT, in Btu/h.

    The equation is theirs, the house ours: 600 ft² of single glazing (U 1.0 to 1.2, eXtension) hold
    50 °F against 0 °F: 33,000 Btu/h at the middle, 36,000 at the high end. Air adds 0.018
    Btu/(ft³ °F) (from memory) for each change: 2,000 ft³ twice an hour add 3,600.
    """
    foot_m2, foot_m3, kelvin, btu_w = 0.3048**2, 0.3048**3, 50.0 / 1.8, 0.29307107
    single = COVERINGS["single"]
    loss = Loss.of(
        600 * foot_m2, single.usual, single.high, volume_m3=2000 * foot_m3, air_changes=2.0
    )
    cover = [
        Loss.of(600 * foot_m2, u, u, volume_m3=0.1, air_changes=0.1).w_per_k * kelvin / btu_w
        for u in (single.usual, single.high)
    ]
    assert cover == pytest.approx([33_000.0, 36_000.0], rel=0.01)
    leak = loss.high_w_per_k * kelvin / btu_w - cover[1]
    assert leak == pytest.approx(3600.0, rel=0.01)


def test_air_leaks_of_every_enclosure_and_on_the_safe_side_more() -> None:
    """Nobody said the air: the most that the cover holds, once an hour, and twice; said: as said.

    27 m² hold at most 13.5 m³: a square box of 3 m, half as high as wide, 9 + 4 x 4.5 m².
    """
    loss = Loss.of(27.0, 4.0, 5.0)
    assert loss.volume_m3 == pytest.approx(13.5)
    assert loss.w_per_k == pytest.approx(27 * 4 + 0.335 * 13.5, abs=1e-3)
    assert loss.high_w_per_k == pytest.approx(27 * 5 + 0.335 * 2 * 13.5, abs=1e-3)
    assert (loss.volume_assumed, loss.air_changes_assumed) == (True, True)
    said = Loss.of(27.0, 4.0, 5.0, volume_m3=10.0, air_changes=1.5)
    assert said.w_per_k == pytest.approx(27 * 4 + 0.335 * 15.0, abs=1e-3)
    assert (said.volume_assumed, said.air_changes_assumed) == (False, False)


@pytest.mark.parametrize(
    ("held_c", "kwh", "peak_w"),
    [(10.0, 558.635, 189.44), (12.0, 855.336, 213.44), (15.0, 1441.554, 249.44)],
)
def test_energy_to_hold_a_real_series(
    series: Series, held_c: float, kwh: float, peak_w: float
) -> None:
    """Sample of eemeter, loss 12 W/K, summed with pandas: kWh to 3 decimals, watts to 2."""
    _, temp_c = series("uk")
    demand = heat_demand_w(temp_c, held_c, LOSS)
    assert demand.sum() / 1000.0 == pytest.approx(kwh, abs=5e-4)
    assert demand.max() == pytest.approx(peak_w, abs=5e-3)


@pytest.mark.parametrize(("watts", "kwh"), [(150.0, 848.155), (100.0, 778.760)])
def test_a_limited_heater_uses_less(series: Series, watts: float, kwh: float) -> None:
    """The same at 12 °C with a heater of limited power."""
    _, temp_c = series("uk")
    assert heat_demand_w(temp_c, 12.0, LOSS, watts).sum() / 1000.0 == pytest.approx(kwh, abs=5e-4)


def test_one_winter_is_counted_by_itself(series: Series) -> None:
    """October 2020 to March 2021 at 12 °C: 26512.720 K h, 318.153 kWh."""
    start, temp_c = series("uk")
    time = (start + np.arange(temp_c.size)).astype("datetime64[h]")
    winter = (time >= np.datetime64("2020-10-01T00")) & (time < np.datetime64("2021-04-01T00"))
    demand = heat_demand_w(temp_c[winter], 12.0, LOSS)
    assert demand.sum() / LOSS == pytest.approx(26512.720, abs=5e-3)
    year = np.zeros(demand.size, np.int64)
    assert kwh_by_year(demand, year, 0.4)[0] == pytest.approx(318.153, abs=5e-4)


def test_missing_hours_need_what_the_others_do_and_thin_years_are_unknown() -> None:
    """9,000 hours of 100 W, a tenth of them missing: 900 kWh; a year of 100 hours tells nothing."""
    demand = np.full(9100, 100.0)
    demand[:900] = np.nan
    year = np.repeat([0, 1], [9000, 100])
    kwh = kwh_by_year(demand, year)
    assert kwh[0] == pytest.approx(900.0)
    assert np.isnan(kwh[1])


def test_a_power_cut_lets_an_enclosure_fall_by_its_time_constant() -> None:
    """From 12 towards 0 with 6 h: after 3 h 12 x exp(-0.5); without lag 0 at once."""
    outside = np.zeros(10)
    fallen = held_after_outage(outside, 12.0, 3, 6.0)
    assert fallen[0] == pytest.approx(12.0 * np.exp(-0.5))
    assert np.isnan(fallen[-3:]).all()
    assert held_after_outage(outside, 12.0, 3, 0.0)[0] == 0.0
