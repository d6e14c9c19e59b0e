"""
The result of a check: what every table, chart and file shows, and none of them computes.

Temperatures are in °C, differences in K, doses in °C·h; days of the year are "MM-DD" in the place's
standard time. What is not known is None.
"""

from datetime import date
from typing import Annotated, NamedTuple

from msgspec import Meta, Struct, field

from suitability.advice.profile import Profile
from suitability.advice.terms import Flowers, RestRoom, Season, Verdict
from suitability.places import Place
from suitability.quantities import Count, Difference, Month, MonthDay, Promise, Result, Share
from suitability.spots.spot import Spot
from suitability.weather.record import FlagCount, OriginHours, Record, Station

__all__ = [
    "CarriedNights",
    "CheckResult",
    "Credit",
    "Finding",
    "Limiting",
    "MonthOfYear",
    "Normals",
    "Period",
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


class Reason(Result, frozen=True, kw_only=True):
    """Why a verdict is what it is, in words and numbers."""

    code: Annotated[str, Meta(description="Stable, for programs.")]
    text: Annotated[str, Meta(title="Why")]
    numbers: Annotated[dict[str, float], Meta(description="Of the text, by name.")] = field(
        default_factory=dict
    )


class Credit(Result, frozen=True, kw_only=True):
    """Where the weather of a place comes from, and what must be said when it is shown."""

    source: str
    licence: str
    attribution: str

    @classmethod
    def of(cls, record: Record) -> "Credit":
        """The credit of a record."""
        return cls(source=record.source, licence=record.licence, attribution=record.attribution)


class CarriedNights(Result, frozen=True, kw_only=True):
    """Nights a year on which a plant that otherwise stays out would be carried in."""

    typical: Annotated[Count, Meta(extra_json_schema={"unit": "nights a year"})]
    worst: Annotated[Count, Meta(extra_json_schema={"unit": "nights a year"})]


class Limiting(Result, frozen=True, kw_only=True):
    """What limits the group, and when."""

    cause: Annotated[
        str,
        Meta(
            description="`hard-night`, `wet-cold` (only the wet limit fails), `dose`, `heat`, "
            "`floor` (survives, does not grow), `missing-nights` (not observed)."
        ),
    ]
    months: tuple[Month, ...]


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


class RestFinding(Result, frozen=True, kw_only=True):
    """Whether the rest that brings flowers is met on the nights that the plant spends out."""

    needed: Annotated[
        bool | None,
        Meta(
            description="Flowers hang on it; all else is null where they do not, and where there "
            "is no verdict. Null for a plant whose own rest no name tells."
        ),
    ]
    met_years: Count | None = None
    partly_years: Count | None = None
    of_years: Annotated[Count | None, Meta(description="Years observed well enough.")] = None
    usual_date: Annotated[
        MonthDay | None,
        Meta(
            description="Day on which it is complete in the median of the years that met it: not "
            "before it may the plant come in. Null if none met it."
        ),
    ] = None
    latest_date: Annotated[MonthDay | None, Meta(description="The same in the latest year.")] = None
    if_kept_dry: Annotated[
        bool,
        Meta(
            description="Rain would spoil it and is not on record: the years hold for a pot that "
            "is kept dry."
        ),
    ] = False
    nights_indoors: Annotated[
        Count | None,
        Meta(description="Nights of its period that the plant spends indoors by its moves."),
    ] = None
    room: Annotated[RestRoom | None, Meta(description="Meets it whatever the weather.")] = None

    @property
    def told(self) -> bool:
        """Whether the plant's name tells its own rest."""
        return self.needed is not None


class SpotEnds(Result, frozen=True, kw_only=True):
    """The verdicts at the colder (low) and at the warmer (high) end of what is known of a spot."""

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


class Period(Result, frozen=True, kw_only=True):
    """First and last hour, ISO 8601, UTC."""

    start: str
    end: str


class RecordSummary(Result, frozen=True, kw_only=True):
    """The record that answered."""

    period: Period
    hours_valid: Count
    coverage: Annotated[Share, Meta(description="Of the readings that its step allows.")]
    step_hours: Annotated[int, Meta(ge=1, description="Usual distance of two readings, h.")]
    origin: Annotated[OriginHours, Meta(description="Hours by where they come from.")]
    source: str
    licence: str
    attribution: str
    station: Annotated[Station | None, Meta(description="Null for a file.")]
    flags: Annotated[tuple[FlagCount, ...], Meta(description="What the checks of quality found.")]
    notes: tuple[str, ...]
    rain_known: bool


class Settings(Result, frozen=True, kw_only=True):
    """What was asked for."""

    promise: Promise
    caution: Annotated[
        str, Meta(description="Which ends of ranges were taken.", pattern="^(low|usual|high)$")
    ]
    minimum_allowance_c: Annotated[
        Difference, Meta(description="What hourly readings miss of the night minimum.")
    ]
    minimum_allowance_from: Annotated[
        str,
        Meta(
            description="What told it: daily minima, the readings, the usual value, or who asked.",
            pattern="^(daily-minima|readings|usual|asked)$",
        ),
    ]
    seed: int
    quality: Annotated[bool, Meta(description="Whether the record's quality was checked.")]
    understood: Annotated[
        tuple[str, ...], Meta(description="What names were taken for, in sentences.")
    ] = ()


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
