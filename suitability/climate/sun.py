"""Sun and day length, and when the day's length passes its marks."""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.climate.days import turn

FloatArray = NDArray[np.float64]

RISE_ZENITH_DEG = 90.0 + (34.0 + 16.0) / 60.0  # refraction at the horizon, and half the disc
DAYS_TO_2000 = 10957.5  # from 1970-01-01 00:00 to 2000-01-01 12:00
STEPS = 3  # of the search for the sun's place at the moment of rising


def solar_declination(day_of_year: FloatArray) -> FloatArray:
    """
    Declination of the sun, radians: FAO-56 equation 24.

    Parameters
    ----------
    day_of_year : any shape
        1 is 1 January.

    Examples
    --------
    >>> solar_declination(np.array([246.0])).round(3).tolist()
    [0.12]
    """
    declination: FloatArray = 0.409 * np.sin(2.0 * np.pi * day_of_year / 365.0 - 1.39)
    return declination


def sunset_angle(day_of_year: FloatArray, latitude: FloatArray) -> FloatArray:
    """
    Hour angle of sunset, radians: FAO-56 equation 25.

    Parameters
    ----------
    day_of_year, latitude : shapes that broadcast; degrees, north positive
        0 in the polar night, pi in the polar day.
    """
    product = -np.tan(np.radians(latitude)) * np.tan(solar_declination(day_of_year))
    angle: FloatArray = np.arccos(np.clip(product, -1.0, 1.0))
    return angle


def day_length_h(day_of_year: FloatArray, latitude: FloatArray) -> FloatArray:
    """
    Hours of daylight without air and with a sun that is a point: FAO-56 equation 34.

    Parameters
    ----------
    day_of_year, latitude : shapes that broadcast; degrees, north positive

    Examples
    --------
    >>> day_length_h(np.array([15.0, 198.0]), np.array([40.0])).round(2).tolist()
    [9.47, 14.52]
    """
    return 24.0 / np.pi * sunset_angle(day_of_year, latitude)


def _place_of_sun(days_since_1970: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Declination, and hour angle at Greenwich, both in radians, at moments in UTC."""
    n = days_since_1970 - DAYS_TO_2000
    mean_longitude = 280.460 + 0.9856474 * n
    anomaly = np.radians(357.528 + 0.9856003 * n)
    longitude = np.radians(mean_longitude + 1.915 * np.sin(anomaly) + 0.020 * np.sin(2.0 * anomaly))
    obliquity = np.radians(23.439 - 4.0e-7 * n)
    ascension = np.arctan2(np.cos(obliquity) * np.sin(longitude), np.cos(longitude))
    declination: FloatArray = np.arcsin(np.sin(obliquity) * np.sin(longitude))
    turned = np.radians(280.46062 + 360.98564737 * n) - ascension
    hour_angle: FloatArray = (turned + np.pi) % (2.0 * np.pi) - np.pi
    return declination, hour_angle


def sun_zenith_deg(
    hours_since_1970: FloatArray, latitude: FloatArray, longitude: FloatArray
) -> FloatArray:
    """
    Angle of the sun's centre from straight overhead, degrees, without refraction.

    Parameters
    ----------
    hours_since_1970 : h, UTC
    latitude, longitude : degrees, north and east positive
        Shapes that broadcast.
    """
    declination, hour_angle = _place_of_sun(hours_since_1970 / 24.0)
    place = np.radians(latitude)
    height = np.sin(place) * np.sin(declination)
    turned = hour_angle + np.radians(longitude)
    height = height + np.cos(place) * np.cos(declination) * np.cos(turned)
    zenith: FloatArray = np.degrees(np.arccos(np.clip(height, -1.0, 1.0)))
    return zenith


def sun_rise_set_utc(
    first_noon_hour: FloatArray, latitude: FloatArray, longitude: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """
    Moments of sunrise and sunset around a noon: upper limb, 34' of refraction, sea horizon.

    Parameters
    ----------
    first_noon_hour : h, UTC, since 1970-01-01 00:00
        About local noon of the day asked for; within some hours of it is near enough.
    latitude, longitude : degrees, north and east positive
        Shapes that broadcast.

    Returns
    -------
    rise, set : h, UTC, since 1970-01-01 00:00
        nan where the sun does not rise or does not set.
    """
    noon = _transit(np.asarray(first_noon_hour, np.float64), longitude)
    rise = _crossing(noon, latitude, longitude, -1.0)
    return rise, _crossing(noon, latitude, longitude, 1.0)


def _transit(hour: FloatArray, longitude: FloatArray) -> FloatArray:
    """The moment nearest to an hour at which the sun stands in the south or north, h."""
    for _ in range(STEPS):
        _, hour_angle = _place_of_sun(hour / 24.0)
        turned = hour_angle + np.radians(longitude)
        turned = (turned + np.pi) % (2.0 * np.pi) - np.pi
        hour = hour - turned * 12.0 / np.pi
    return hour


def _crossing(
    noon: FloatArray, latitude: FloatArray, longitude: FloatArray, side: float
) -> FloatArray:
    """Moment before (-1) or after (1) noon at which the upper limb touches the horizon, h."""
    moment = noon
    for _ in range(STEPS):
        declination, hour_angle = _place_of_sun(moment / 24.0)
        angle = side * _limb_angle(declination, latitude)
        turned = hour_angle + np.radians(longitude) - angle
        turned = (turned + np.pi) % (2.0 * np.pi) - np.pi
        moment = moment - turned * 12.0 / np.pi
    return moment


def _limb_angle(declination: FloatArray, latitude: FloatArray) -> FloatArray:
    """Hour angle at which the upper limb touches the horizon, radians; nan where it never does."""
    place = np.radians(latitude)
    cosine = np.cos(np.radians(RISE_ZENITH_DEG)) - np.sin(place) * np.sin(declination)
    cosine = cosine / (np.cos(place) * np.cos(declination))
    angle: FloatArray = np.arccos(np.where(np.abs(cosine) <= 1.0, cosine, np.nan))
    return angle


def almanac_day_length_h(
    noon_hour: FloatArray, latitude: FloatArray, longitude: FloatArray
) -> FloatArray:
    """
    Hours from sunrise to sunset as almanacs give them; 0 in the polar night, 24 in the polar day.

    Parameters
    ----------
    noon_hour : h, UTC, since 1970-01-01 00:00
        About local noon of the day asked for.
    latitude, longitude : degrees, north and east positive
        Shapes that broadcast.
    """
    rise, down = sun_rise_set_utc(noon_hour, latitude, longitude)
    up_at_noon = sun_zenith_deg(_transit(noon_hour, longitude), latitude, longitude)
    always = np.where(up_at_noon < RISE_ZENITH_DEG, 24.0, 0.0)
    return np.where(np.isnan(down - rise), always, down - rise)


SHORT_DAY_H, EVEN_DAY_H = 11.0, 12.0  # a day under the first is short; reasoned
LENGTHENED_H = 0.5  # by which the day must have grown since the shortest one; reasoned
RANGE_H = 1.0  # of day length over the year; under it light dates nothing; reasoned


class ShortDays(Struct, frozen=True, kw_only=True):
    """
    Days after mid-summer on which the length of the day passes a mark; None where it never does.

    `under_even` and `under_short`: below 12 and 11 h; `longer`: half an hour above the shortest;
    `over_short` and `over_even`: 11 and 12 h again.
    """

    under_even: int | None = None
    under_short: int | None = None
    longer: int | None = None
    over_short: int | None = None
    over_even: int | None = None


def find_short_days(day_length_h: FloatArray, summer: int) -> ShortDays:
    """
    When the day's length passes its marks; nothing where it varies by less than an hour.

    Parameters
    ----------
    day_length_h : (365), h
    summer
        Day of the folded year from which days are counted.
    """
    length = turn(day_length_h, -summer)
    if length.max() - length.min() < RANGE_H:
        return ShortDays()
    shortest = int(np.argmin(length))
    before, after = length[:shortest], length[shortest:]

    def under(hours: float) -> int | None:
        return int(np.argmax(before < hours)) if (before < hours).any() else None

    def over(hours: float) -> int | None:
        if length[shortest] >= hours or not (after >= hours).any():
            return None
        return shortest + int(np.argmax(after >= hours))

    return ShortDays(
        under_even=under(EVEN_DAY_H),
        under_short=under(SHORT_DAY_H),
        longer=over(float(length[shortest]) + LENGTHENED_H),
        over_short=over(SHORT_DAY_H),
        over_even=over(EVEN_DAY_H),
    )
