"""
Sun and day length against FAO-56, the example of a solar position algorithm, and an almanac.

Rise and set of the upper limb with 34' of refraction: pvlib 0.16.1 (SPA) and ephem 4.2.1 (pressure
0, horizon -0:34) agree within 10 s, astral 3.2 within 25 s; an almanac prints whole minutes, so a
minute is asked for.
"""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from suitability.climate.sun import (
    almanac_day_length_h,
    day_length_h,
    solar_declination,
    sun_rise_set_utc,
    sun_zenith_deg,
    sunset_angle,
)

MINUTE = 1.0 / 60.0

NEW_YORK = (40.64, -73.78, "America/New_York")
LISBON = (38.72, -9.14, "Europe/Lisbon")
SYDNEY = (-33.87, 151.21, "Australia/Sydney")
ALMANAC = [
    (NEW_YORK, "2013-03-20", "06:58:09", "19:07:28"),
    (NEW_YORK, "2013-06-21", "05:24:22", "20:29:25"),
    (NEW_YORK, "2013-12-21", "07:15:30", "16:31:14"),
    (NEW_YORK, "2024-02-29", "06:29:38", "17:45:55"),
    (LISBON, "2013-03-20", "06:40:00", "18:48:34"),
    (LISBON, "2013-06-21", "06:11:59", "21:04:44"),
    (LISBON, "2013-12-21", "07:51:00", "17:18:26"),
    (LISBON, "2024-02-29", "07:09:42", "18:28:45"),
    (SYDNEY, "2013-03-20", "06:58:05", "19:06:45"),
    (SYDNEY, "2013-06-21", "06:59:58", "16:53:46"),
    (SYDNEY, "2013-12-21", "05:40:42", "20:05:30"),
    (SYDNEY, "2024-02-29", "06:42:08", "19:32:33"),
]  # local clock time


def hour_of(date: str, clock: str, zone: str) -> float:
    """Hours from 1970-01-01 00:00 UTC to a local clock time."""
    return (
        datetime.fromisoformat(f"{date}T{clock}").replace(tzinfo=ZoneInfo(zone)).timestamp() / 3600
    )


@pytest.mark.parametrize(("place", "date", "rise", "down"), ALMANAC)
def test_sunrise_and_sunset_within_a_minute(
    place: tuple[float, float, str], date: str, rise: str, down: str
) -> None:
    latitude, longitude, zone = place
    noon, north, east = (
        np.array([hour_of(date, "12:00", zone)]),
        np.array([latitude]),
        np.array([longitude]),
    )
    found = sun_rise_set_utc(noon, north, east)
    expected = hour_of(date, rise, zone), hour_of(date, down, zone)
    assert found[0][0] == pytest.approx(expected[0], rel=0, abs=MINUTE)
    assert found[1][0] == pytest.approx(expected[1], rel=0, abs=MINUTE)
    length = almanac_day_length_h(noon, north, east)[0]
    assert length == pytest.approx(expected[1] - expected[0], rel=0, abs=MINUTE)


def test_the_example_of_a_solar_position_algorithm() -> None:
    """
    Zenith, sunrise and sunset of Reda & Andreas 2004, *Solar Energy* 76, 577-589.

    2003-10-17 12:30:30 UTC-7, 39.742476 N 105.1786 W: zenith 50.11162° (with less than 0.02° of
    refraction), sunrise 06:12:43, sunset 17:20:19. From memory, recomputed with pvlib 0.16.1. The
    algorithm takes the day in UTC, so its sunset is that of the evening before: pvlib's next one
    is 17:18:52.
    """
    north, east = np.array([39.742476]), np.array([-105.1786])
    moment = hour_of("2003-10-17", "12:30:30", "Etc/GMT+7")
    zenith = sun_zenith_deg(np.array([moment]), north, east)[0]
    assert zenith == pytest.approx(50.1116, rel=0, abs=0.03)
    rise, down = sun_rise_set_utc(np.array([moment - 24.0, moment]), north, east)
    assert rise[1] == pytest.approx(
        hour_of("2003-10-17", "06:12:43", "Etc/GMT+7"), rel=0, abs=MINUTE
    )
    expected = [
        hour_of("2003-10-16", "17:20:19", "Etc/GMT+7"),
        hour_of("2003-10-17", "17:18:52", "Etc/GMT+7"),
    ]
    assert down == pytest.approx(np.array(expected), rel=0, abs=MINUTE)


def test_examples_8_and_9_of_fao_56() -> None:
    """3 September (J 246), 20° S: declination 0.120, sunset 1.527, 11.7 h."""
    day, south = np.array([246.0]), np.array([-20.0])
    assert solar_declination(day).round(3).tolist() == [0.120]
    assert sunset_angle(day, south).round(3).tolist() == [1.527]
    assert day_length_h(day, south)[0] == pytest.approx(11.666, abs=6e-4)


def test_day_length_in_the_middle_of_four_months() -> None:
    """FAO-56 equation 34, recomputed; table 2.7 of its annex 2 prints one decimal."""
    days = np.array([15.0, 105.0, 198.0, 288.0])
    expected = [[9.47, 13.08, 14.52, 10.90], [14.02, 11.14, 9.99, 12.88], [12.0] * 4]
    found = day_length_h(days, np.array([[40.0], [-34.0], [0.0]]))
    assert found == pytest.approx(np.array(expected), rel=0, abs=0.0051)
