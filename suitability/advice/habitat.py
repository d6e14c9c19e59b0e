"""
A grower's year beside that of a place where the plant grows wild, month by month.

Months differ by a stated rule, never by eye: by at least so much, and beyond what the years of the
habitat differ among themselves. Where one place has its winter when the other has its summer, they
are set beside each other by season.
"""

from collections.abc import Mapping
from enum import StrEnum
from typing import Annotated, TypeVar

import numpy as np
from msgspec import Meta, Struct
from msgspec.structs import asdict, replace

from suitability.advice.plant_state import Subject
from suitability.advice.preparing import LaidOut, lay_out, summarise_record
from suitability.advice.question import Question
from suitability.advice.resting import flower_need_of, lay_out_resting, years_told
from suitability.advice.result import RecordSummary
from suitability.advice.terms import Whose, whose
from suitability.climate.days import DAYS, local_hour, night_minima
from suitability.climate.months import (
    MonthBand,
    MonthRain,
    band_of_months,
    coolest_months,
    day_maxima,
    day_rain,
    rain_of_months,
)
from suitability.climate.past_years import FEWEST_YEARS
from suitability.climate.rest import RestPeriod, judge_rest
from suitability.climate.states import SpotNights
from suitability.errors import OptionError
from suitability.groups.group import Mark, Needs
from suitability.groups.words import Words, read_words
from suitability.places import Place
from suitability.quantities import (
    SCHEMA_VERSION,
    Celsius,
    Count,
    DaysAMonth,
    Difference,
    MeanCelsius,
    Millimetres,
    MillimetresApart,
    Month,
    Result,
    SchemaVersion,
)
from suitability.spots.spot import OPEN_AIR, Spot
from suitability.weather.quality import check_quality
from suitability.weather.record import Record

LEAST_C = 2.0  # K between typical nights, or days, that differ; reasoned
LEAST_MM = 40.0  # of a month, as a week of 10 mm has: what leaves a resting pot wet; reasoned
SAME_DEGREES = 0.01  # within which two positions are one place: about a km
OPPOSITE_DAYS = 91  # between two mid-winters: nearer to half a year than to none
HALF_A_YEAR = 6  # months


class Beside(StrEnum):
    """How a month here is beside the same season in the habitat."""

    ALIKE = "alike"
    WARMER = "warmer"
    COLDER = "colder"
    WETTER = "wetter"
    DRIER = "drier"
    UNKNOWN = "not-known"


class Typical(Result, frozen=True, kw_only=True):
    """Night minima, or day maxima, of a month of the year; null where too few years tell."""

    typical_c: Annotated[MeanCelsius | None, Meta(description="Half of them are colder.")]
    low_c: Annotated[MeanCelsius | None, Meta(description="One of ten is colder.")]
    high_c: Annotated[MeanCelsius | None, Meta(description="One of ten is warmer.")]
    years_low_c: Annotated[
        MeanCelsius | None,
        Meta(
            description="What is typical of eight years of ten lies from here to years_high_c; of "
            "all where they are fewer than nine."
        ),
    ]
    years_high_c: MeanCelsius | None
    years: Annotated[Count, Meta(description="How many are behind it.")]


class RainMonth(Result, frozen=True, kw_only=True):
    """Rain of a month of the year; null where too few years tell."""

    mean_mm: Millimetres | None
    years_low_mm: Annotated[Millimetres | None, Meta(description="As years_low_c.")]
    years_high_mm: Millimetres | None
    dry_days: Annotated[DaysAMonth | None, Meta(description="With less than 1 mm, on the mean.")]
    years: Count


class AirMonth(Result, frozen=True, kw_only=True):
    """One month of the year at one place."""

    night: Typical
    day: Typical
    rain: Annotated[RainMonth | None, Meta(description="Null where the record has none.")]


class HabitatMonth(Result, frozen=True, kw_only=True):
    """One month here and the month of the same season in the habitat."""

    month: Month
    habitat_month: Annotated[
        Month, Meta(description="Six months away where the seasons are opposite.")
    ]
    here: AirMonth
    there: AirMonth
    night_difference_c: Annotated[Difference | None, Meta(description="Here less there.")]
    day_difference_c: Difference | None
    rain_difference_mm: MillimetresApart | None
    nights: Annotated[
        Beside,
        Meta(
            description="`warmer` or `colder` by 2 °C or more and beyond what is typical of the "
            "habitat's years, else `alike`; `not-known` with fewer than three years."
        ),
    ]
    days: Annotated[Beside, Meta(description="The same of days.")]
    rain: Annotated[
        Beside,
        Meta(
            description="`wetter` or `drier` by 40 mm a month or more and beyond the habitat's "
            "years; `not-known` unless both records have rain."
        ),
    ]


class RestSeen(Result, frozen=True, kw_only=True):
    """What the years of a place do for what a group's flowers hang on, were it out all year."""

    met_years: Count
    partly_years: Count
    of_years: Annotated[Count, Meta(description="Years observed well enough.")]
    nights: Annotated[
        float | None,
        Meta(
            extra={"decimals": 1},
            description="Nights of a year that count, in the median year: in the band, or dry ones "
            "in a row where a drought brings the flowers.",
        ),
    ]
    nights_needed: Annotated[float, Meta(extra={"decimals": 1})]
    if_kept_dry: Annotated[
        bool, Meta(description="It must be dry, and rain is kept off or not on record.")
    ]


class HabitatGroup(Whose, frozen=True, kw_only=True):
    """A group, or plants of it, by its own needs at both places, were it out all year."""

    floor_c: Annotated[Celsius, Meta(description="Growth floor.")]
    comfort_c: Celsius | None
    below_floor_here: Annotated[
        tuple[Month, ...], Meta(description="Months whose typical night is below the growth floor.")
    ]
    below_floor_there: Annotated[
        tuple[Month, ...], Meta(description="The same in the habitat, by its own calendar.")
    ]
    comfortable_here: Annotated[
        tuple[Month, ...], Meta(description="Months whose typical night reaches the comfort mark.")
    ]
    comfortable_there: tuple[Month, ...]
    rest_low_c: Annotated[Celsius | None, Meta(description="Of the nights that its rest counts.")]
    rest_high_c: Celsius | None
    rest_here: Annotated[
        RestSeen | None, Meta(description="Null where its flowers hang on nothing that is counted.")
    ]
    rest_there: RestSeen | None
    origin: Annotated[str, Meta(description="Where it grows wild, by the catalogue.")]
    altitude: str
    altitude_mark: Annotated[Mark | None, Meta(description="Where the altitude comes from.")]


class HabitatSpot(Result, frozen=True, kw_only=True):
    """One spot beside the habitat."""

    spot: str
    roofed: Annotated[bool, Meta(description="Rain is kept off the pots.")]
    months: Annotated[tuple[HabitatMonth, ...], Meta(description="January first.")]
    groups: tuple[HabitatGroup, ...]


class HabitatResult(Result, frozen=True, kw_only=True):
    """Every spot asked about, month by month beside the habitat."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    place: Place
    record: RecordSummary
    habitat: Place
    habitat_record: RecordSummary
    opposite: Annotated[
        bool, Meta(description="The seasons are half a year apart, and months set so.")
    ]
    winter_there: Annotated[
        bool, Meta(description="The year of the habitat has a wave of 2 °C or more.")
    ]
    coolest_there: Annotated[
        tuple[Month, ...],
        Meta(
            description="The three coolest months in a row of the habitat, by its own calendar; "
            "empty without a winter, and where a month is not known."
        ),
    ]
    understood: Annotated[
        tuple[str, ...], Meta(description="What names were taken for, in sentences.")
    ] = ()
    notes: Annotated[
        tuple[str, ...], Meta(description="What of a collection is left out, in sentences.")
    ] = ()
    results: tuple[HabitatSpot, ...]


class Air(Struct, frozen=True, kw_only=True):
    """What is known of the air at one spot: its months, January first, and its nights for rests."""

    months: tuple[AirMonth, ...]
    laid: SpotNights
    period: RestPeriod
    dry_by_hand: bool

    def typical_nights(self) -> np.ndarray:
        """By month, (12), °C; nan where too few years tell."""
        return np.array([month.night.typical_c for month in self.months], np.float64)

    @property
    def has_winter(self) -> bool:
        """Whether the year has a wave at all."""
        return self.laid.winter != self.laid.summer


def compare_habitat(question: Question, record: Record, place: Place) -> HabitatResult:
    """
    The year of each spot beside that of a place where the plant grows wild.

    Parameters
    ----------
    question
        From `ask`; its groups are judged at both places where they were asked for by name, or are
        plants of a collection.
    record, place
        Of the habitat; taken as level open ground.

    Raises
    ------
    OptionError
        Both are one place, or rest on one station.
    RecordError
        Nothing of the record lies in the years asked for.
    """
    _check_apart(question, record, place)
    subjects = question.subjects
    asked = subjects.by_spot() if subjects.in_full else [(spot, ()) for spot in subjects.spots]
    every = [subject.needs()[0] for subject in subjects.asked]
    spots, options = [*(spot for spot, _ in asked), OPEN_AIR], question.options
    home = lay_out(question.record, question.place, spots, (), options, also=every)
    record = check_quality(record) if options.quality else record
    options = replace(options, first_year=None, last_year=None)
    wild = lay_out(record, place, [OPEN_AIR], (), options, also=every)
    (*here, outside), (there,) = map(_airs, (home, wild))
    opposite = _is_opposite(outside, there)
    coolest = coolest_months(there.typical_nights()) if there.has_winter else None
    words: Mapping[str, Words] = read_words(subjects.catalogue) if subjects.in_full else {}
    return HabitatResult(
        place=question.place,
        record=summarise_record(home.used),
        habitat=place,
        habitat_record=summarise_record(wild.used),
        opposite=opposite,
        winter_there=there.has_winter,
        coolest_there=() if coolest is None else tuple((coolest + 1).tolist()),
        understood=subjects.understood,
        notes=(*subjects.notes, *subjects.placing),
        results=tuple(
            HabitatSpot(
                spot=spot.name,
                roofed=spot.roofed,
                months=tuple(
                    _month(air, there, month, (month + HALF_A_YEAR * opposite) % 12)
                    for month in range(12)
                ),
                groups=tuple(_group(spot, subject, air, there, words) for subject in some),
            )
            for (spot, some), air in zip(asked, here, strict=True)
        ),
    )


def _check_apart(question: Question, record: Record, place: Place) -> None:
    """Refuse a habitat that is the grower's own place, or is told by the same station."""
    own = question.place
    if (
        abs(own.latitude - place.latitude) < SAME_DEGREES
        and abs(own.longitude - place.longitude) < SAME_DEGREES
    ):
        raise OptionError(
            f"The habitat is your own place ({own.latitude:g},{own.longitude:g}); name one where "
            "the plant grows wild."
        )
    mine, theirs = question.record.station, record.station
    if mine is not None and theirs is not None and mine.identifier == theirs.identifier:
        raise OptionError(
            f"Your place and the habitat are both told by the station {mine.name} "
            f"({mine.identifier}); name a habitat farther away, or another station."
        )


def _airs(laid_out: LaidOut) -> list[Air]:
    """The air at each spot, by months."""
    used = laid_out.used
    start = local_hour(used.start_hour, laid_out.place.utc_offset_hours)
    rain = None
    if used.prcp_mm is not None:
        first_day, by_day = day_rain(used.prcp_mm, start)
        rain = rain_of_months(by_day, first_day, FEWEST_YEARS)
    found = []
    for laid in laid_out.spots:
        nights, roofed = laid.nights, laid.spot.roofed
        night = band_of_months(night_minima(nights.temp_c), nights.first_day, FEWEST_YEARS)
        first_day, maxima = day_maxima(laid.record.temp_c, start)
        day = band_of_months(maxima, first_day, FEWEST_YEARS)
        months = tuple(
            AirMonth(
                night=_of_month(Typical, night, at),
                day=_of_month(Typical, day, at),
                rain=None if rain is None else _of_month(RainMonth, rain, at),
            )
            for at in range(12)
        )
        found.append(
            Air(
                months=months,
                laid=nights,
                period=lay_out_resting(nights, used.prcp_mm, start, roofed=roofed),
                dry_by_hand=roofed or used.prcp_mm is None,
            )
        )
    return found


OfMonth = TypeVar("OfMonth", Typical, RainMonth)


def _of_month(kind: type[OfMonth], months: MonthBand | MonthRain, at: int) -> OfMonth:
    """One month of the year, its fields named as those of the months; nan becomes None."""
    return kind(**{name: values[at].item() for name, values in asdict(months).items()})


def _is_opposite(here: Air, there: Air) -> bool:
    """Whether two places that have a winter have it nearer to half a year apart than to none."""
    apart = abs(here.laid.winter - there.laid.winter)
    return here.has_winter and there.has_winter and min(apart, DAYS - apart) > OPPOSITE_DAYS


def _month(here: Air, there: Air, month: int, other: int) -> HabitatMonth:
    """A month here, 0 is January, and the `other` one in the habitat."""
    mine, wild = here.months[month], there.months[other]
    warmth = Beside.WARMER, Beside.COLDER
    nights, days = (
        _beside(own.typical_c, its.typical_c, (its.years_low_c, its.years_high_c), LEAST_C, warmth)
        for own, its in ((mine.night, wild.night), (mine.day, wild.day))
    )
    rain: tuple[float | None, Beside] = None, Beside.UNKNOWN
    if mine.rain is not None and wild.rain is not None:
        own_mm, its = mine.rain.mean_mm, wild.rain
        spread, wetness = (its.years_low_mm, its.years_high_mm), (Beside.WETTER, Beside.DRIER)
        rain = _beside(own_mm, its.mean_mm, spread, LEAST_MM, wetness)
    return HabitatMonth(
        month=month + 1,
        habitat_month=other + 1,
        here=mine,
        there=wild,
        night_difference_c=nights[0],
        day_difference_c=days[0],
        rain_difference_mm=rain[0],
        nights=nights[1],
        days=days[1],
        rain=rain[1],
    )


def _beside(
    here: float | None,
    there: float | None,
    spread: tuple[float | None, float | None],
    least: float,
    words: tuple[Beside, Beside],
) -> tuple[float | None, Beside]:
    """How far apart; and more, less or alike: by so much at least, and beyond there's years."""
    low, high = spread
    if here is None or there is None or low is None or high is None:
        return None, Beside.UNKNOWN
    apart = here - there
    if abs(apart) < least or low <= here <= high:
        return apart, Beside.ALIKE
    return apart, words[0] if apart > 0 else words[1]


def _group(
    spot: Spot, subject: Subject, here: Air, there: Air, words: Mapping[str, Words]
) -> HabitatGroup:
    """A group by its own needs at both places."""
    needs = subject.needs()[0]
    told = words[needs.key]
    comfort_c = np.inf if needs.comfort_c is None else needs.comfort_c
    below_here, below_there, fine_here, fine_there = (
        tuple((np.flatnonzero(months) + 1).tolist())
        for months in (
            *(air.typical_nights() < needs.floor_c for air in (here, there)),
            *(air.typical_nights() >= comfort_c for air in (here, there)),
        )
    )
    return HabitatGroup(
        **whose(spot.name, needs, 0),
        floor_c=needs.floor_c,
        comfort_c=needs.comfort_c,
        below_floor_here=below_here,
        below_floor_there=below_there,
        comfortable_here=fine_here,
        comfortable_there=fine_there,
        rest_low_c=needs.rest_low_c,
        rest_high_c=needs.rest_high_c,
        rest_here=_rest(here, needs),
        rest_there=_rest(there, needs),
        origin=told.origin,
        altitude=told.altitude,
        altitude_mark=told.altitude_mark if told.altitude else None,
    )


def _rest(air: Air, needs: Needs) -> RestSeen | None:
    """What the years do for its flowers, were it out all year."""
    need = flower_need_of(needs)
    if need is None or not needs.rest_told or not needs.rest_needed:
        return None
    years = judge_rest(air.period, need, np.ones(DAYS, np.bool_))
    nights = years.nights[years.counts]
    return RestSeen(
        **years_told(years),
        nights=float(np.median(nights)) if nights.size else None,
        nights_needed=need.full_nights,
        if_kept_dry=need.wants_dry and air.dry_by_hand,
    )
