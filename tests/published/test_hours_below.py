"""Hours and degree-hours below thresholds against counts made outside (`hours_below.csv`)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from suitability.climate.exposure import MonthlyExposure, monthly_exposure

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.published.conftest import Series

    OpenSeries = Callable[[str], Series]
    OpenTable = Callable[[str], list[dict[str, str]]]
    OpenRows = Callable[[str], list[tuple[int, int, str]]]

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


def count(found: Series, *thresholds_c: float, warmer_c: float = 0.0) -> MonthlyExposure:
    """Our counts on a series."""
    start, temp_c = found
    return monthly_exposure(temp_c + warmer_c, None, start, np.array(thresholds_c))


def year_of(exposure: MonthlyExposure, year: int) -> list[int | None]:
    """Positions of the months of a year among the running months, None outside."""
    first = exposure.first_year * 12 + exposure.first_month - 1
    last = exposure.hours_valid.size
    places = [year * 12 + month - first for month in range(12)]
    return [place if 0 <= place < last else None for place in places]


def half_unit(text: str) -> float:
    """Half a unit in the last printed place, and the noise of binary sums of 700 decimals."""
    return 0.5 * 10.0 ** -len(text.partition(".")[2]) + 1e-6


def test_every_published_month(series: OpenSeries, table: OpenTable) -> None:
    """Counts and valid hours exact, degree-hours to half a unit of the last printed place."""
    checked = 0
    for row in table("hours_below"):
        exposure = count(series(row["series"]), float(row["threshold_c"] or 0.0))
        for month, place in zip(MONTHS, year_of(exposure, int(row["year"])), strict=True):
            if row[month] == "":
                continue
            assert place is not None
            where = (row["series"], row["year"], row["threshold_c"], row["quantity"], month)
            if row["quantity"] == "hours_valid":
                assert exposure.hours_valid[place] == int(row[month]), where
            elif row["quantity"] == "hours":
                assert exposure.hours_below[0, place] == int(row[month]), where
            else:
                assert exposure.degree_hours_below[0, place] == pytest.approx(
                    float(row[month]), rel=0.0, abs=half_unit(row[month])
                ), where
            checked += 1
    assert checked == 27 * 12 - 3 * 3  # every cell but January to March 2020 of three rows


def test_every_published_total(series: OpenSeries, table: OpenTable) -> None:
    """Whole records; a spot so much warmer is the same as a threshold so much lower."""
    for row in table("yearly_totals"):
        threshold_c, warmer_c = float(row["threshold_c"]), float(row["warmer_c"])
        found = series(row["series"])
        warmed = count(found, threshold_c, warmer_c=warmer_c)
        lowered = count(found, threshold_c - warmer_c)
        for exposure in (warmed, lowered):
            months = np.arange(exposure.hours_valid.size)
            if row["year"]:
                months = np.array(year_of(exposure, int(row["year"])), np.int64)
            assert np.nansum(exposure.hours_below[0, months]) == int(row["hours"]), row
            if row["degree_hours"]:
                # totals printed under a row of months sum those twelve as they were rounded
                summed = row["series"] in ("newark", "san_francisco")
                slack = half_unit(row["degree_hours"]) * (12 if summed else 1)
                total = np.nansum(exposure.degree_hours_below[0, months])
                assert total == pytest.approx(float(row["degree_hours"]), rel=0.0, abs=slack), row


def test_many_thresholds_in_one_pass_are_the_same_as_one_by_one(series: OpenSeries) -> None:
    thresholds = np.arange(-5.0, 26.0, 0.5)
    for name in ("newark", "uk"):
        together = count(series(name), *thresholds)
        for row, threshold_c in enumerate(thresholds):
            alone = count(series(name), threshold_c)
            np.testing.assert_array_equal(together.hours_below[row], alone.hours_below[0])
            np.testing.assert_allclose(
                together.degree_hours_below[row], alone.degree_hours_below[0], rtol=0, atol=1e-6
            )


@pytest.mark.parametrize(
    ("name", "threshold_c", "right", "wrong"),
    [("newark", 12.8, 4192, 4301), ("newark", 15.6, 4836, 4963), ("kennedy", 12.8, 4382, 4486)],
)
def test_fahrenheit_is_kept_to_six_decimals(
    *, new_york: OpenRows, series: OpenSeries, name: str, threshold_c: float, right: int, wrong: int
) -> None:
    """12.8 °C is 55.04 °F, and 109 hours stand there: unrounded they would count as below."""
    rows = new_york({"newark": "EWR", "kennedy": "JFK"}[name])
    unrounded = [(float(text) - 32.0) * 5.0 / 9.0 for _, _, text in rows if text != "NA"]
    assert sum(value < threshold_c for value in unrounded) == wrong  # the trap is there
    assert np.nansum(count(series(name), threshold_c).hours_below) == right


@pytest.mark.parametrize(
    ("threshold_c", "below", "at_or_below"), [(10, 3639, 3785), (15, 4918, 5051), (18, 5805, 5830)]
)
def test_an_hour_at_the_threshold_is_not_below_it(
    series: OpenSeries, threshold_c: float, below: int, at_or_below: int
) -> None:
    """Published counts of `<` and `<=`: a hair above the threshold turns one into the other."""
    exposure = count(series("kennedy"), threshold_c, threshold_c + 1e-6)
    assert np.nansum(exposure.hours_below, axis=1).tolist() == [below, at_or_below]


def test_months_are_those_of_standard_time(new_york: OpenRows, series: OpenSeries) -> None:
    """March and April of Newark differ by wall clock: 668 and 272 instead of 669 and 271."""
    exposure = count(series("newark"), 10.0)
    assert exposure.hours_below[0, 2:4].tolist() == [669, 271]
    by_wall_clock = [
        sum((float(text) - 32.0) / 1.8 < 10.0 - 1e-6 for _, month, text in rows if text != "NA")
        for rows in [[row for row in new_york("EWR") if row[1] == month] for month in (3, 4)]
        for month in [rows[0][1]]
    ]
    assert by_wall_clock == [668, 272]  # the trap is there


def test_months_of_utc_would_be_others(series: OpenSeries) -> None:
    """Kennedy below 10 °C in January, November, December: 701 451 611 by UTC."""
    start, temp_c = series("kennedy")
    months = [0, 10, 11]
    standard = monthly_exposure(temp_c, None, start, np.array([10.0]))
    utc = monthly_exposure(temp_c, None, start + 5, np.array([10.0]))
    assert standard.hours_below[0, months].tolist() == [706, 456, 606]
    assert utc.hours_below[0, months].tolist() == [701, 451, 611]


def test_missing_hours_are_neither_cold_nor_warm(series: OpenSeries) -> None:
    """December at Newark: 601 of the 714 hours there are; as 0 °C the 30 missing ones give 631."""
    start, temp_c = series("newark")
    december = count((start, temp_c), 10.0)
    assert (december.hours_below[0, 11], december.hours_valid[11]) == (601, 714)
    whole = np.concatenate([temp_c, np.full(29, np.nan)])  # to the end of the year
    filled = count((start, np.where(np.isnan(whole), 0.0, whole)), 10.0)
    assert filled.hours_below[0, 11] == 631


@pytest.mark.slow
# pandas announces a change of its own that xclim 0.62 has not followed yet
@pytest.mark.filterwarnings("ignore:The 'name' property is deprecated")
def test_the_reference_library_counts_the_same(series: OpenSeries) -> None:
    """Generic counting of xclim (month starts, strictly below) on three series."""
    import pandas as pd
    import xarray as xr
    from xclim.indices.generic import count_occurrences

    for name in ("newark", "kennedy", "uk"):
        start, temp_c = series(name)
        time = pd.date_range(pd.Timestamp(start * 3600, unit="s"), periods=temp_c.size, freq="h")
        array = xr.DataArray(temp_c, {"time": time}, attrs={"units": "degC"})
        for threshold_c in (5.0, 10.0, 15.0):
            theirs = count_occurrences(array, f"{threshold_c} degC", freq="MS", op="<")
            ours = count((start, temp_c), threshold_c)
            np.testing.assert_array_equal(ours.hours_below[0], theirs.to_numpy())


def test_a_sinusoid_sampled_each_hour(table: OpenTable) -> None:
    """Counts of 24 samples on the hour and on the half hour, and the closed form in the limit."""
    for row in table("sinusoid"):
        mean_c, amplitude_c, threshold_c = (
            float(row[name]) for name in ("mean_c", "amplitude_c", "threshold_c")
        )

        def wave(
            hours: np.ndarray, mean_c: float = mean_c, amplitude_c: float = amplitude_c
        ) -> np.ndarray:
            return mean_c + amplitude_c * np.sin(2.0 * np.pi * hours / 24.0)

        for name, shift in (("at_00", 0.0), ("at_30", 0.5)):
            exposure = count((0, wave(np.arange(24) + shift)), threshold_c)
            assert exposure.hours_below.item() == int(row[f"hours_{name}"]), row
            printed = float(row[f"degree_hours_{name}"])
            # 0.001 and not half of it: 24.40147 is printed as 24.402, rounded twice
            assert exposure.degree_hours_below.item() == pytest.approx(printed, rel=0, abs=0.001)
        # 31 days sampled 24 times an hour: the months are 24 x 31 "hours" of a slower wave
        fine = count((0, wave((np.arange(31 * 24) + 0.5) / 31.0)), threshold_c)
        assert fine.hours_below.item() / 31 == pytest.approx(float(row["hours"]), rel=0, abs=1 / 31)
        assert fine.degree_hours_below.item() / 31 == pytest.approx(
            float(row["degree_hours"]), rel=0, abs=0.005
        )
