"""
The result of a check: what every table, chart and file shows, and none of them computes.

Temperatures are in °C, differences in K, doses in °C·h; days of the year are "MM-DD" in the place's
standard time. What is not known is None.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from msgspec import Struct

from suitability.advice.answers import RestRoom, Season

if TYPE_CHECKING:
    from datetime import date

    from suitability.advice.answers import Flowers
    from suitability.advice.profile import Profile
    from suitability.advice.verdicts import Verdict
    from suitability.places import Place
    from suitability.spots.spot import Spot
    from suitability.weather.record import FlagCount, Record, Station


__all__ = [
    "CarriedNights",
    "CheckResult",
    "Credit",
    "Finding",
    "Limiting",
    "MonthOfYear",
    "Normals",
    "PlaceZones",
    "Reason",
    "RecordSummary",
    "RestFinding",
    "RestRoom",
    "Season",
    "Settings",
    "SpotEnds",
    "WorstFortnight",
    "WorstNight",
]


class Reason(Struct, frozen=True, kw_only=True):
    """Why a verdict is what it is, in words and numbers; `code` is stable for programs."""

    code: str
    text: str
    numbers: tuple[tuple[str, float], ...] = ()


class Credit(Struct, frozen=True, kw_only=True):
    """Where the weather of a place comes from, and what must be said when it is shown."""

    source: str
    licence: str
    attribution: str

    @classmethod
    def of(cls, record: Record) -> Credit:
        """The credit of a record."""
        return cls(source=record.source, licence=record.licence, attribution=record.attribution)


class CarriedNights(Struct, frozen=True, kw_only=True):
    """Nights a year on which a plant that otherwise stays out would be carried in."""

    typical: int
    worst: int


class Limiting(Struct, frozen=True, kw_only=True):
    """
    What limits the group, and in which months (1 to 12).

    Causes: `hard-night`, `wet-cold` (only the wet limit fails), `dose`, `heat`, `floor` (survives,
    does not grow), `missing-nights` (not observed).
    """

    cause: str
    months: tuple[int, ...]


class MonthOfYear(NamedTuple):
    """
    Raw counts of one month of one year; None where the month has no valid hour.

    A named tuple, because a result holds thousands of them.
    """

    year: int
    month: int
    hours_valid: int
    hours_below: float | None
    degree_hours_below: float | None


class Normals(Struct, frozen=True, kw_only=True):
    """
    The climatological year below one threshold: twelve months, January first.

    The bad year is reached in one year of ten; `years` tells how many stand behind each month.
    """

    threshold_c: float
    hours: tuple[float | None, ...]
    median_hours: tuple[float | None, ...]
    bad_hours: tuple[float | None, ...]
    degree_hours: tuple[float | None, ...]
    years: tuple[int, ...]


class RestFinding(Struct, frozen=True, kw_only=True):
    """
    Whether the winter rest that brings flowers is met on the nights that the plant spends out.

    Attributes
    ----------
    needed
        Flowers hang on it; all else is None where they do not, and where there is no verdict.
    told
        False for a plant whose own rest no name tells: `needed` is that of the group that it is
        judged as, and all else is None.
    met_years, partly_years, of_years
        Of the years observed well enough.
    usual_date, latest_date
        Day of the year on which it is complete, in the median and in the latest year of those
        that met it: not before it may the plant come in. None if none met it.
    if_kept_dry
        Rain would spoil it and is not on record: the years hold for a pot that is kept dry.
    nights_indoors
        Nights of its period that the plant spends indoors by its moves.
    room
        The room that meets it whatever the weather.
    """

    needed: bool
    met_years: int | None = None
    partly_years: int | None = None
    of_years: int | None = None
    usual_date: str | None = None
    latest_date: str | None = None
    if_kept_dry: bool = False
    nights_indoors: int | None = None
    room: RestRoom | None = None
    told: bool = True


class SpotEnds(Struct, frozen=True, kw_only=True):
    """The verdicts at the colder and at the warmer end of what is known of a spot."""

    low: Verdict
    high: Verdict


class WorstNight(Struct, frozen=True, kw_only=True):
    """
    One of the coldest nights on record, dated by its evening.

    `minimum_c` is the lowest hourly reading; `below_limit_c` tells how far the night, with the
    allowance for what hourly readings miss, was below the limit that applied (0 if it was not).
    """

    evening: date
    minimum_c: float
    below_limit_c: float


class WorstFortnight(Struct, frozen=True, kw_only=True):
    """One of the heaviest cold doses on record: 14 nights up to `last_evening`."""

    last_evening: date
    dose_c_h: float
    lowest_c: float


class Finding(Struct, frozen=True, kw_only=True):
    """
    The answer for one group at one spot.

    Attributes
    ----------
    plant
        Name of the plant that is judged in its own state; empty for a group.
    verdict, reason, provisional, borderline
        `reason` is None only for "outdoor all year"; borderline if a spot 1 °C colder or warmer
        has another verdict (`verdict_colder`, `verdict_warmer`).
    dry_verdict
        The verdict if rain were kept off; None where rain makes no difference or is kept off.
    spot_ends
        The verdicts at the ends of the spot's range; None for a spot without one.
    promise, model_based
        The probability promised, and whether the years alone, without a model, cannot carry it.
    years_usable, years_kept, years_counted
        Plant years observed well enough; years that speak for the season, and those that kept it.
    growth, rest_floor
        Hours below the growth floor and, where the group has one, below the rest floor.
    by_month
        Raw counts below the growth floor.
    season, survival_season, survival_seasons
        Outdoors and growing or resting (None where the verdict lets it out for none); free of
        unsafe nights, whatever the verdict; all stretches of the latter.
    growing_days
        For each month the days of the calendar on which the group grows or rests.
    unsafe_share
        For each month the share of its nights that were unsafe.
    flowers, line
        Whether its rest stands against flowers; life and flowers in one line.
    margin_c, headroom_c
        Least warming that would raise the verdict, most cooling it stands.
    floor_c, rest_floor_c, chill_base_c, dose_limit_c_h, limit_c, limit_wet_c, ceiling_c
        The thresholds used.
    """

    spot: str
    group: str
    group_name: str
    plant: str
    verdict: Verdict
    reason: Reason | None
    provisional: bool
    borderline: bool
    verdict_colder: Verdict
    verdict_warmer: Verdict
    dry_verdict: Verdict | None
    promise: float
    model_based: bool
    years_usable: int
    years_kept: int
    years_counted: int
    growth: Normals
    rest_floor: Normals | None
    by_month: tuple[MonthOfYear, ...]
    season: Season | None
    survival_season: Season | None
    survival_seasons: tuple[Season, ...]
    growing_days: tuple[int, ...]
    unsafe_share: tuple[float | None, ...]
    carried_nights: CarriedNights | None
    margin_c: float | None
    headroom_c: float | None
    rest: RestFinding
    flowers: Flowers
    line: str
    limiting: tuple[Limiting, ...]
    stability: float | None
    floor_c: float
    rest_floor_c: float | None
    chill_base_c: float
    dose_limit_c_h: float
    limit_c: float
    limit_wet_c: float
    ceiling_c: float | None
    low_confidence_limit: bool
    spot_ends: SpotEnds | None = None
    worst_nights: tuple[WorstNight, ...] = ()
    worst_fortnights: tuple[WorstFortnight, ...] = ()


class RecordSummary(Struct, frozen=True, kw_only=True):
    """
    The record that answered: ISO UTC period, hours, coverage, origin, licence.

    `coverage` is the share of the readings that its step allows.
    """

    start: str
    stop: str
    hours_valid: int
    coverage: float
    step_hours: int
    origin: tuple[tuple[str, int], ...]
    source: str
    licence: str
    attribution: str
    station: Station | None
    flags: tuple[FlagCount, ...]
    notes: tuple[str, ...]
    rain_known: bool


class Settings(Struct, frozen=True, kw_only=True):
    """What was asked for; `understood` says in sentences what names were taken for."""

    promise: float
    caution: str
    minimum_allowance_c: float
    minimum_allowance_from: str
    seed: int
    quality: bool
    understood: tuple[str, ...] = ()


class PlaceZones(Struct, frozen=True, kw_only=True):
    """
    The published zones of a place in the open air; None where nothing tells.

    Attributes
    ----------
    hardiness, lowest_c, winters
        Half zone of plant hardiness, mean of each winter's coldest night, and how many told.
    heat, hot_days, years
        Heat zone, mean yearly number of days above 30 °C, and how many years told.
    """

    hardiness: str | None
    lowest_c: float | None
    winters: int
    heat: int | None
    hot_days: float | None
    years: int


class CheckResult(Struct, frozen=True, kw_only=True):
    """
    A place, its record, what was asked, the spots, and a finding for each spot and group.

    `profiles` show in full the groups that were asked for by name.
    """

    place: Place
    record: RecordSummary
    settings: Settings
    findings: tuple[Finding, ...]
    profiles: tuple[Profile, ...] = ()
    zones: PlaceZones | None = None
    spots: tuple[Spot, ...] = ()
