"""Daily minima and maxima that a grower wrote down."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import numpy as np
import pytest

from suitability.errors import OptionError, RecordError
from suitability.units import TemperatureUnit
from suitability.weather.sources.extremes import Extremes, read_extremes

if TYPE_CHECKING:
    from pathlib import Path

COLUMNS = {"date": "Day", "min": "Low", "max": "High"}
GOOD = "Day;Low;High\n2024-03-01;3,5;14\n2024-03-03;4;15,5\n"


def read(folder: Path, text: str, *, morning: bool = False, unit: str = "c") -> Extremes:
    path = folder / "own.csv"
    path.write_text(text, encoding="utf-8")
    return read_extremes(
        path, columns=COLUMNS, unit=TemperatureUnit(unit), read_in_the_morning=morning
    )


def test_days_stand_on_an_axis_and_a_day_left_out_is_missing(tmp_path: Path) -> None:
    """Decimal commas, semicolons and a byte order mark are understood."""
    assert read(tmp_path, "\ufeff" + GOOD).first_day == read(tmp_path, GOOD).first_day
    found = read(tmp_path, GOOD)
    assert date(1970, 1, 1).toordinal() + found.first_day == date(2024, 3, 1).toordinal()
    np.testing.assert_array_equal(found.min_c, [3.5, np.nan, 4.0])
    np.testing.assert_array_equal(found.max_c, [14.0, np.nan, 15.5])


def test_read_in_the_morning_the_maximum_is_that_of_the_day_before(tmp_path: Path) -> None:
    """That of the first line belongs to a day before the file begins."""
    found = read(tmp_path, GOOD, morning=True)
    np.testing.assert_array_equal(found.min_c, [3.5, np.nan, 4.0])
    np.testing.assert_array_equal(found.max_c, [np.nan, 15.5, np.nan])


def test_fahrenheit_is_converted(tmp_path: Path) -> None:
    """50 °F are 10 °C."""
    found = read(tmp_path, "Day,Low,High\n2024-03-01,50,68\n", unit="f")
    assert (found.min_c[0], found.max_c[0]) == (10.0, 20.0)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Day,Low,High\n2024-03-01,3,14\n2024-03-01,4,15\n", "line 3: the day stands twice"),
        ("Day,Low,High\n2024-03-01,3,140\n", "line 2: 140 °C is outside"),
        ("Day,Low,High\n2024-03-01,x,14\n", "own.csv"),
        (
            "Day,Low,High\n2024-03-01,3,14\n2024-03-03,14,13.5\n2024-03-04,9,3\n",
            r"line 3: the minimum 14 °C is above the maximum 13.5 °C \(2 of 3 lines\)",
        ),
        ("Day,Low,High\n2024-03-01,3,14\n2054-03-02,3,14\n", "more than ten years"),
        ("Day,Low,High\n2024-03-01,3,14\n9999-12-31,3,14\n", "line 3: the time .* is outside"),
        ("Day,Least,Most\n2024-03-01,3,14\n", "names all the declared columns"),
        ("Day,Low,High\n", "no readings"),
    ],
)
def test_what_cannot_be_true_is_refused_with_its_line(
    tmp_path: Path, text: str, words: str
) -> None:
    """One sentence."""
    with pytest.raises(RecordError, match=words):
        read(tmp_path, text)


def test_columns_must_hold_a_date_and_a_minimum(tmp_path: Path) -> None:
    """A maximum alone tells nothing of nights."""
    path = tmp_path / "own.csv"
    path.write_text(GOOD, encoding="utf-8")
    with pytest.raises(OptionError, match="expected date and min"):
        read_extremes(
            path,
            columns={"date": "Day", "max": "High"},
            unit=TemperatureUnit.C,
            read_in_the_morning=False,
        )
