"""What is said of a year beside a habitat: months in a row, cool and dry seasons, what to do."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.advice.habitat import compare_habitat
from suitability.advice.question import ask
from suitability.answers.habitat import habitat_sheet
from suitability.answers.sheet import Text
from suitability.places import Place
from suitability.units import TemperatureUnit
from suitability.weather.record import datetime_of_hour

if TYPE_CHECKING:
    from suitability.answers.sheet import Sheet
    from suitability.weather.record import Record
    from tests.conftest import Hourly

HOME = Place(name="home", latitude=35.0, longitude=0.0)
AWAY = Place(name="away", latitude=20.0, longitude=0.0)


@pytest.fixture(scope="module")
def four_years(hourly: Hourly) -> Record:
    """Mean nights of 6 to 18 °C; it rains 1.5 mm at noon of each day from April to October."""
    record = hourly(mean_c=16.0, year_c=6.0, day_c=4.0, years=4)
    month = np.array([datetime_of_hour(hour).month for hour in hours_of(record)])
    wet = (month > 3) & (month < 11) & (hours_of(record) % 24 == 12)
    return replace(record, prcp_mm=np.where(wet, 1.5, 0.0))


def hours_of(record: Record) -> np.ndarray:
    return np.arange(record.start_hour, record.stop_hour)


def sheet_of(mine: Record, wild: Record, **asked: bool) -> Sheet:
    result = compare_habitat(ask(mine, HOME, **asked), wild, AWAY)  # type: ignore[arg-type]
    return habitat_sheet(result, TemperatureUnit.C)


def advice_of(sheet: Sheet) -> str:
    """What to do, in one text."""
    (section,) = [one for one in sheet.sections if one.name == "do"]
    (text,) = section.blocks
    assert isinstance(text, Text)
    return " ".join(text.sentences)


def test_a_cool_and_dry_season_is_said_and_that_the_years_are_few(four_years: Record) -> None:
    mine = replace(four_years, temp_c=four_years.temp_c + 4.0)
    sheet = sheet_of(mine, four_years)
    assert sheet.headline == (
        "Beside away, your nights in the open air are 4 °C warmer (all year). The coolest "
        "months there, December to February, have nights of 6 to 7 °C and 0 mm of rain a month: "
        "cool and dry."
    )
    assert sheet.notes[:2] == (
        "Only 4 years here: other years may differ more.",
        "Only 4 years in the habitat: other years may differ more.",
    )
    advice = advice_of(sheet)
    assert "Warmer nights than there (all year): where flowers hang on a cool rest" in advice
    assert "least in January (0 mm), most in May (46 mm)." in advice


def test_months_that_are_not_known_are_said_so(four_years: Record) -> None:
    """January of each year is lost here."""
    lost = [datetime_of_hour(hour).month == 1 for hour in hours_of(four_years)]
    sheet = sheet_of(
        replace(four_years, temp_c=np.where(lost, np.nan, four_years.temp_c)), four_years
    )
    assert sheet.headline.startswith(
        "Beside away, your nights in the open air are alike (Feb to Dec) and not known (Jan)."
    )


@pytest.mark.parametrize("roof", [False, True])
def test_rain_that_differs_counts_where_it_reaches_the_pot(
    four_years: Record, *, roof: bool
) -> None:
    assert four_years.prcp_mm is not None
    advice = advice_of(
        sheet_of(replace(four_years, prcp_mm=4.0 * four_years.prcp_mm), four_years, roof=roof)
    )
    assert ("More rain than there (Apr to Oct): keep it off" in advice) is not roof
    assert "Rain there, a guide to water" in advice
