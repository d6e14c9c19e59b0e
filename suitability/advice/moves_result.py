"""
The result of planning moves: what its tables, pages and files show, and none of them computes.

It is the contract of `moves --json` too. Days of the year are "MM-DD" in standard time; what is not
known is None.
"""

from typing import Annotated

from msgspec import Meta

from suitability.advice.result import (
    CarriedNights,
    Reason,
    RecordSummary,
    Settings,
)
from suitability.advice.terms import Season, Verdict
from suitability.climate.days import DAYS, day_of_year
from suitability.places import Place
from suitability.quantities import (
    SCHEMA_VERSION,
    Celsius,
    Count,
    MonthDay,
    Probability,
    Promise,
    Result,
    SchemaVersion,
    Share,
)

__all__ = [
    "Decades",
    "Move",
    "MoveDate",
    "MovesResult",
    "ThresholdDates",
    "ThresholdLevel",
    "YearOutdoors",
]

UNSAFE = "hwdt"  # letters of the nights of past years; "t" is heat


class MoveDate(Result, frozen=True, kw_only=True):
    """One date of moving."""

    promised: Annotated[
        MonthDay, Meta(title="Promised", description="Of the promised season: both ends together.")
    ]
    typical: Annotated[MonthDay, Meta(title="Typical", description="Of half of the years.")]
    watch_from: Annotated[
        MonthDay | None,
        Meta(
            description="First of the days between promised and typical date, in the order of the "
            "year, on which the forecast decides; null where the two coincide."
        ),
    ]
    watch_to: Annotated[MonthDay | None, Meta(description="Last of them.")]
    earliest: Annotated[
        MonthDay,
        Meta(description="90 % interval of the promised date when the years are resampled."),
    ]
    latest: MonthDay
    holds_alone: Annotated[
        Probability,
        Meta(
            title="Alone",
            description="That a new year keeps this date alone, without the other.",
        ),
    ]


class YearOutdoors(Result, frozen=True, kw_only=True):
    """One past year: from when until when it would have been fine outdoors."""

    year: Annotated[
        int,
        Meta(
            description="That of the middle of the season; of mid-winter where the whole year is "
            "promised."
        ),
    ]
    out: MonthDay | None
    inn: MonthDay | None
    days: Annotated[
        Annotated[int, Meta(ge=0, le=365)] | None,
        Meta(description="365, from 01-01 to 01-01, for a year without an unsafe night."),
    ]
    kept: Annotated[
        bool | None,
        Meta(
            description="Null for a year that does not tell, and where there is no season to keep."
        ),
    ]
    first_day: Annotated[MonthDay, Meta(description="Of the first letter of `nights`.")]
    nights: Annotated[
        str,
        Meta(
            pattern="^[.hwdt?]{365}$",
            description="One letter a night: `.` fine, `h` hard, `w` hard only because the pot was "
            "wet, `d` dose, `t` heat, `?` unknown.",
        ),
    ]


class Decades(Result, frozen=True, kw_only=True):
    """The last ten years beside the earlier ones, and the trend of the season's length."""

    last_years: Count
    last_kept: Count
    earlier_years: Count
    earlier_kept: Count
    days_per_decade: Annotated[
        float | None,
        Meta(
            extra_json_schema={"unit": "days"},
            extra={"unit": "days", "decimals": 6},
            description="Theil-Sen slope of the length of the years' own seasons.",
        ),
    ]
    trend_p: Annotated[Probability | None, Meta(description="Mann-Kendall, two-sided.")]


class Move(Result, frozen=True, kw_only=True):
    """The moves of one group, or of one plant in its own state, at one spot."""

    spot: str
    group: str
    group_name: str
    plant: Annotated[
        str | None, Meta(description="Name of the plant that is judged in its own state.")
    ]
    verdict: Verdict
    reason: Reason | None
    provisional: bool
    promise: Promise
    model_based: bool
    season: Annotated[
        Season | None,
        Meta(description="Null where the verdict lets it out for none."),
    ]
    season_too_short: Annotated[
        Season | None,
        Meta(description="The longest season of a group that may not use it; else null."),
    ]
    typical_season: Annotated[Season | None, Meta(description="Of half of the years.")]
    survival_season: Season | None
    survival_seasons: tuple[Season, ...]
    out: Annotated[
        MoveDate | None,
        Meta(description="Null where nothing is moved: all year outdoors, or for no season."),
    ]
    inn: MoveDate | None
    chance: Annotated[
        Probability | None,
        Meta(description="That a new year keeps the whole season, by the calibrated method."),
    ]
    chance_5_years: Annotated[Probability | None, Meta(description="That all of five years do.")]
    chance_10_years: Annotated[Probability | None, Meta(description="That all of ten years do.")]
    years_usable: Count
    years_kept: Count
    years_counted: Count
    kept_low: Annotated[
        Probability | None,
        Meta(description="95 % Wilson interval of the share of years that kept it."),
    ]
    kept_high: Probability | None
    risk_not_excluded: Annotated[
        Probability | None,
        Meta(
            description="Yearly risk that so many years without a failure cannot exclude (95 %); "
            "null if some failed."
        ),
    ]
    carried_nights: CarriedNights | None
    decades: Decades | None
    by_year: tuple[YearOutdoors, ...]
    indoors: Annotated[
        bool,
        Meta(
            description='The spot is in a room: "out" is there, "in" is away, and nothing is '
            "carried out for warmth."
        ),
    ] = False

    def sets_no_date(self, date: MoveDate | None) -> bool:
        """Whether half of the years have no unsafe night on this side of the season."""
        return date is not None and bool(self.by_year) and date.typical == self.by_year[0].first_day

    def set_by_heat(self, date: MoveDate) -> bool:
        """
        Whether heat, not cold, sets one of its dates.

        It does if the first unsafe night beyond the date is one of heat in most of the past years
        that have such a night.
        """
        beyond: list[str] = []
        for year in self.by_year:
            column = (day_of_year(date.promised) - day_of_year(year.first_day)) % DAYS
            nights = year.nights[column:] if date is self.inn else year.nights[:column][::-1]
            beyond += next(([letter] for letter in nights if letter in UNSAFE), [])
        return 2 * beyond.count("t") > len(beyond)


class ThresholdLevel(Result, frozen=True, kw_only=True):
    """
    Dates of one probability; null where there is none.

    If it happens: of the winters that had such a day. In any year: of all winters.
    """

    probability: Annotated[
        Share,
        Meta(
            description="Of a day at or below the temperature on or after the date in spring, on "
            "or before it in autumn."
        ),
    ]
    spring_if_it_happens: MonthDay | None
    spring_in_any_year: MonthDay | None
    autumn_if_it_happens: MonthDay | None
    autumn_in_any_year: MonthDay | None


class ThresholdDates(Result, frozen=True, kw_only=True):
    """Last spring and first autumn dates of one temperature, at or below, at the open station."""

    threshold_c: Celsius
    seasons: Annotated[Count, Meta(description="Winters observed well enough.")]
    seasons_with_event: Count
    summers_without_gap: Annotated[
        Count,
        Meta(
            description="Summers in which less than four weeks lay between the last day of spring "
            "and the first of autumn, so that the dates hold no warm season between them."
        ),
    ]
    levels: tuple[ThresholdLevel, ...]


class MovesResult(Result, frozen=True, kw_only=True):
    """A place, its record, what was asked, the moves, and dates of temperatures asked for."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    place: Place
    record: RecordSummary
    settings: Settings
    results: tuple[Move, ...]
    thresholds: tuple[ThresholdDates, ...]
