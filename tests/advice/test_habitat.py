"""A year beside a habitat: what differs by the rule, seasons set beside each other, needs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.advice.habitat import Beside, compare_habitat
from suitability.advice.question import ask
from suitability.errors import OptionError
from suitability.places import Place

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.advice.habitat import HabitatMonth, HabitatResult
    from suitability.weather.record import Record
    from tests.conftest import Hourly

HOME = Place(name="home", latitude=35.0, longitude=0.0)
AWAY = Place(name="away", latitude=-20.0, longitude=0.0)


def waves(hourly: Hourly, *, years: int = 4, year_c: float = 6.0, coldest: int = 15) -> Record:
    """Mean nights of 6 to 18 °C, the coldest in January or in July."""
    return hourly(mean_c=16.0, year_c=year_c, day_c=4.0, years=years, coldest=coldest)


def beside(mine: Record, wild: Record, *groups: str, **more: Any) -> HabitatResult:
    return compare_habitat(ask(mine, HOME, groups, **more), wild, AWAY)


def words(result: HabitatResult, field: str) -> set[Beside]:
    return {getattr(month, field) for month in result.results[0].months}


@pytest.mark.parametrize(
    ("warmer", "word"), [(-2.1, Beside.COLDER), (1.9, Beside.ALIKE), (2.1, Beside.WARMER)]
)
def test_nights_and_days_differ_from_two_degrees_on(
    hourly: Hourly, warmer: float, word: Beside
) -> None:
    """The same waves, one of them moved: every month is as far away."""
    wild = waves(hourly)
    mine = replace(wild, temp_c=(wild.temp_c + warmer).round(1))
    result = beside(mine, wild)
    assert words(result, "nights") == words(result, "days") == {word}
    apart = [month.night_difference_c for month in result.results[0].months]
    assert apart == pytest.approx([warmer] * 12, abs=0.06)
    assert words(result, "rain") == {Beside.UNKNOWN}


def test_what_the_years_of_the_habitat_do_themselves_is_no_difference(hourly: Hourly) -> None:
    """Years there are 3 °C apart to either side: 2.5 °C more than their middle is within them."""
    still = waves(hourly)
    years = np.arange(still.temp_c.size) // 8766
    wild = replace(still, temp_c=still.temp_c + np.array([-3.0, 0.0, 0.0, 3.0])[years])
    for warmer, word in ((2.5, Beside.ALIKE), (4.0, Beside.WARMER)):
        mine = replace(still, temp_c=still.temp_c + warmer)
        assert words(beside(mine, wild), "nights") == {word}


def test_opposite_seasons_stand_beside_each_other(hourly: Hourly) -> None:
    """A winter in July beside one in January: moved by six months they are alike."""
    result = beside(waves(hourly), waves(hourly, coldest=197))
    assert result.opposite
    assert [month.habitat_month for month in result.results[0].months][:7] == [*range(7, 13), 1]
    assert words(result, "nights") == {Beside.ALIKE}
    assert result.coolest_there == (6, 7, 8)


def test_without_a_winter_months_stand_as_they_are(hourly: Hourly) -> None:
    """Nothing says which season is which."""
    result = beside(waves(hourly, coldest=197), waves(hourly, year_c=0.5))
    assert not result.opposite
    assert not result.winter_there
    assert result.coolest_there == ()


def test_two_years_are_too_few_to_tell(hourly: Hourly) -> None:
    """Two Januaries, and only one of the months that the record tears."""
    result = beside(waves(hourly), waves(hourly, years=2))
    assert words(result, "nights") == words(result, "days") == {Beside.UNKNOWN}
    assert result.results[0].months[0].there.night.years == 2
    assert result.results[0].months[0].there.night.typical_c is None


@pytest.mark.parametrize(
    ("mm", "word"), [(2.0, Beside.WETTER), (0.5, Beside.ALIKE), (0.0, Beside.DRIER)]
)
def test_rain_differs_from_forty_mm_a_month_on(hourly: Hourly, mm: float, word: Beside) -> None:
    """About 45 mm a month there, at noon of each day 1.5 mm."""
    dry = waves(hourly)
    noon = np.arange(dry.temp_c.size) % 24 == 12
    wild = replace(dry, prcp_mm=np.where(noon, 1.5 if mm != 2.0 else 0.5, 0.0))
    result = beside(replace(dry, prcp_mm=np.where(noon, mm, 0.0)), wild)
    assert words(result, "rain") == {word}
    january: HabitatMonth = result.results[0].months[0]
    assert january.there.rain is not None
    assert january.there.rain.dry_days == (0.0 if mm != 2.0 else 31.0)


def test_a_group_is_judged_by_its_own_needs_at_both(hourly: Hourly) -> None:
    """Nights of 6 to 18 °C here and 4 °C more there: its floor of 13 °C is passed longer there."""
    here = waves(hourly)
    result = beside(here, replace(here, temp_c=here.temp_c + 4.0), "nobile")
    (group,) = result.results[0].groups
    assert set(group.below_floor_there) < set(group.below_floor_here)
    assert set(group.comfortable_here) < set(group.comfortable_there)
    nights = [month.here.night.typical_c for month in result.results[0].months]
    below = [at for at, one in enumerate(nights, 1) if one is not None and one < group.floor_c]
    assert list(group.below_floor_here) == below
    assert group.rest_here is not None
    assert group.rest_here.met_years == group.rest_here.of_years == 3
    assert "Himalaya" in group.origin


def test_the_habitat_must_be_another_place_and_another_station(
    hourly: Hourly, extract: Callable[[str], tuple[Record, Place]]
) -> None:
    here = waves(hourly)
    question = ask(here, HOME)
    with pytest.raises(OptionError, match="is your own place"):
        compare_habitat(question, here, replace(AWAY, latitude=35.005, longitude=0.005))
    record, place = extract("guangzhou")
    with pytest.raises(OptionError, match="both told by the station"):
        compare_habitat(ask(record, place), record, AWAY)
