"""
Published zones of hardiness and heat.

Half zones of hardiness: United States Department of Agriculture, map of 2023, 5 °F steps. The
expected numbers of 30 equal winters were given by xclim 0.62 `hardiness_zones(method="usda")`.
Heat zones: American Horticultural Society 1997.
"""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pytest

from suitability.advice.cases import Rules
from suitability.advice.checking import check_groups
from suitability.advice.preparing import CheckOptions, lay_out
from suitability.climate.days import hours_by_night
from suitability.climate.zones import hardiness_zone, heat_zone, hot_days
from suitability.groups import read_catalogue
from suitability.spots.kinds import read_kinds
from suitability.spots.spot import OPEN_AIR

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.places import Place
    from suitability.weather.record import Record
    from tests.conftest import Hourly
    from tests.published.conftest import Series


@pytest.mark.parametrize(
    ("lowest_c", "zone"),
    [
        *[(-12.3, "7b"), (-5.05, "9a"), (-3.9, "9a"), (-3.8, "9b"), (-1.2, "9b"), (-1.0, "10a")],
        *[(1.7, "10b"), (4.4, "10b"), (4.5, "11a")],
    ],
)
def test_half_zones_as_a_reference_library_gives_them(lowest_c: float, zone: str) -> None:
    """-3.9 °C is 24.98 °F and still 9a, though printed tables in °C leave it between two zones."""
    assert hardiness_zone(lowest_c) == zone


@pytest.mark.parametrize(
    ("from_f", "zone"),
    [
        *[(5, "7b"), (10, "8a"), (15, "8b"), (20, "9a"), (25, "9b"), (30, "10a"), (35, "10b")],
        *[(40, "11a"), (45, "11b"), (50, "12a"), (55, "12b"), (60, "13a"), (65, "13b")],
    ],
)
def test_the_printed_table_of_half_zones(from_f: float, zone: str) -> None:
    """Each zone holds its lower end; just below it is the zone before."""
    at_c = (from_f - 32.0) / 1.8
    assert hardiness_zone(at_c) == zone
    assert hardiness_zone(at_c - 0.01) != zone


def test_zones_end_at_both_ends() -> None:
    assert hardiness_zone(-60.0) == "1a"
    assert hardiness_zone(25.0) == "13b"


@pytest.mark.parametrize(
    ("days", "zone"),
    [
        *[(0, 1), (0.9, 1), (1, 2), (7, 2), (8, 3), (14, 3), (15, 4), (30, 4), (45, 5), (60, 6)],
        *[(90, 7), (120, 8), (150, 9), (180, 10), (210, 11), (211, 12)],
    ],
)
def test_the_printed_table_of_heat_zones(days: float, zone: int) -> None:
    assert heat_zone(days) == zone


def test_hot_days_of_newark_in_2013(series: Callable[[str], Series]) -> None:
    """36 days in standard time with an hour above 30 °C (pandas): zone 5 for that year."""
    start, temp_c = series("newark")
    _, days = hours_by_night(temp_c, start + 12)
    hot, _ = hot_days(days)
    assert hot.sum() == 36
    assert heat_zone(float(hot.sum())) == 5


def test_a_winter_is_not_torn_at_new_year(hourly: Hourly) -> None:
    """
    Ten winters that go down to 10 °C, with one hour of -2 °C each, on 31 December or 1 January.

    Counted by calendar years some would have two of them and others none; each winter has one.
    """
    record = hourly(start="2001-07-01T00", years=10, mean_c=18.0, year_c=8.0)
    for year in range(2001, 2011):
        new_year = (date(year + 1, 1, 1) - date(2001, 7, 1)).days * 24
        record.temp_c[new_year + (-5 if year % 2 else 5)] = -2.0
    zones = check_groups(
        lay_out(
            record,
            place_of(),
            (OPEN_AIR,),
            [read_catalogue().find("nobile").needs()],
            CheckOptions(rules=Rules(), minimum_allowance_c=0.0),
        )
    ).zones
    assert zones is not None
    assert zones.lowest_c == pytest.approx(-2.0)
    assert zones.hardiness == "9b"
    assert zones.heat == 1


def test_the_zones_of_a_place_are_the_same_at_every_spot(
    extract: Callable[[str], tuple[Record, Place]],
) -> None:
    """A cool room has its mid-summer on another day, or none; the place keeps its winters."""
    nobile = [read_catalogue().find("nobile").needs()]
    record, place = extract("dallas")
    kinds = map(read_kinds().find, ("room", "closed-greenhouse", "open-bench"))
    spots = (OPEN_AIR, *(kind.spot for kind in kinds))
    found = [
        check_groups(lay_out(record, place, (spot,), nobile, CheckOptions(rules=Rules()))).zones
        for spot in spots
    ]
    assert found[0] is not None
    assert [zones == found[0] for zones in found] == [True] * len(spots)


def place_of() -> Place:
    from suitability.places import Place

    return Place(name="invented", latitude=35.0, longitude=0.0)


def test_real_places_lie_where_their_climate_says(
    extract: Callable[[str], tuple[Record, Place]],
) -> None:
    """Common practice, no source: a coast without frost, a continental winter, the wet tropics."""
    nobile = [read_catalogue().find("nobile").needs()]
    found = {}
    for name in ("los_angeles", "lansing", "manaus"):
        record, place = extract(name)
        found[name] = check_groups(
            lay_out(record, place, (OPEN_AIR,), nobile, CheckOptions(rules=Rules()))
        ).zones
    zones = {name: (one.hardiness, one.heat) for name, one in found.items() if one is not None}
    assert zones["los_angeles"][0] in ("10b", "11a")
    assert zones["lansing"][0] in ("5b", "6a")
    assert zones["manaus"] == ("13b", 12)
