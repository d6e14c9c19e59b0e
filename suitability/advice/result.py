"""
The result of a check: what every table, chart and file shows, and none of them computes.

It is the contract of `check --json` too: the document is this type encoded, docs/schema/check.json
is made from it. Temperatures are in °C; days of the year are "MM-DD" in the place's standard time.
What is not known is None.
"""

from datetime import date
from typing import Annotated, Literal

from msgspec import Meta, Struct, field

from suitability.advice.profile import Profile
from suitability.advice.terms import (
    ComfortMark,
    ComfortSeason,
    CoolRest,
    FirstMissing,
    Flowers,
    GrowsFrom,
    HeatOut,
    IfProvisional,
    InARoom,
    MonthlyHours,
    NearlyAllYear,
    RestRoom,
    RestsThere,
    Season,
    Steady,
    Verdict,
    WarmNights,
    Whose,
)
from suitability.groups.group import HeatSigns, Trigger
from suitability.places import Place
from suitability.quantities import (
    SCHEMA_VERSION,
    Celsius,
    Count,
    DegreeHours,
    Difference,
    Gap,
    MeanCelsius,
    Month,
    MonthDay,
    Promise,
    Result,
    SchemaVersion,
    Share,
    TwelveCounts,
    TwelveDays,
    TwelveDegreeHours,
    TwelveHours,
    TwelveShares,
)
from suitability.spots.spot import Spot
from suitability.weather.record import FlagCount, OriginHours, Record, Station, datetime_of_hour

Cause = Literal["hard-night", "wet-cold", "dose", "heat", "floor", "missing-nights"]
DaysAYear = Annotated[int, Meta(ge=0, le=365, extra_json_schema={"unit": "days a year"})]
RawHours = Annotated[float, Meta(ge=0, le=744, extra_json_schema={"unit": "h"})]
RawDegreeHours = Annotated[float, Meta(ge=0, extra_json_schema={"unit": "°C·h"})]


class Reason(Result, frozen=True, kw_only=True):
    """Why a verdict is what it is, in words and numbers."""

    code: Annotated[str, Meta(description="Stable, for programs.")]
    text: Annotated[str, Meta(title="Why")]
    numbers: Annotated[dict[str, float], Meta(description="The numbers of the text by name.")] = (
        field(default_factory=dict)
    )


class Period(Result, frozen=True, kw_only=True):
    """First and last hour, ISO 8601, UTC."""

    start: str
    end: str

    @classmethod
    def of(cls, record: Record) -> "Period":
        """The period of a record."""
        start, end = map(datetime_of_hour, (record.start_hour, record.stop_hour - 1))
        return cls(start=f"{start:%Y-%m-%dT%H:%MZ}", end=f"{end:%Y-%m-%dT%H:%MZ}")


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
        Cause,
        Meta(
            description="`wet-cold`: only the wet limit fails; `floor`: survives, does not grow; "
            "`missing-nights`: not observed."
        ),
    ]
    months: tuple[Month, ...]


class MonthOfYear(Struct, frozen=True, kw_only=True, gc=False):
    """
    Raw counts of one month of one year; None where the month has no valid hour.

    Numbers are rounded where thousands of them are made, and not one by one.
    """

    year: int
    month: Month
    hours_valid: Annotated[int, Meta(ge=0, le=744, description="Hours observed in this month.")]
    hours_below: RawHours | None
    degree_hours_below: RawDegreeHours | None


class RestFinding(Result, frozen=True, kw_only=True):
    """Whether what brings flowers comes on the nights that a plant spends out."""

    needed: Annotated[
        bool | None,
        Meta(
            description="Flowers hang on it; all else is null where they do not, and where there "
            "is no verdict. Null for a plant whose own rest no name tells."
        ),
    ]
    trigger: Annotated[
        Trigger | None,
        Meta(description="What the flowers hang on first; null where on nothing that is known."),
    ] = None
    met_years: Count | None = None
    partly_years: Annotated[
        Count | None, Meta(description="Too little of it, or without what only helps.")
    ] = None
    of_years: Annotated[Count | None, Meta(description="Years observed well enough.")] = None
    missing: FirstMissing = None
    usual_date: Annotated[
        MonthDay | None,
        Meta(
            description="Day on which it is complete in the median of the years that met it: not "
            "before it may the plant come in. Null if none met it."
        ),
    ] = None
    latest_date: Annotated[MonthDay | None, Meta(description="The same in the latest year.")] = None
    must_be_dry: Annotated[bool, Meta(description="Rain on the pot takes or lessens flowers.")] = (
        False
    )
    if_kept_dry: Annotated[
        bool,
        Meta(
            description="Rain would take or lessen the flowers and is not on record, or a drought "
            "brings them and rain is kept off: the years hold for a pot that is kept dry."
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


class WorstNight(Result, frozen=True, kw_only=True):
    """One of the coldest nights on record, dated by its evening."""

    evening: date
    minimum_c: Annotated[Celsius, Meta(description="Lowest hourly reading.")]
    below_limit_c: Annotated[
        Difference,
        Meta(
            description="How far the night, with the allowance for what hourly readings miss, was "
            "below the limit that applied; 0 if it was not.",
        ),
    ]


class WorstFortnight(Result, frozen=True, kw_only=True):
    """One of the heaviest doses on record: 14 nights up to `last_evening`."""

    last_evening: date
    dose_c_h: DegreeHours
    lowest_c: Celsius


class Thresholds(Result, frozen=True, kw_only=True):
    """The thresholds that decided."""

    floor_c: Annotated[Celsius, Meta(title="Floor", description="Growth floor.")]
    rest_floor_c: Celsius | None
    chill_base_c: Annotated[Celsius, Meta(description="Below it cold adds up to a dose.")]
    dose_limit_c_h: Annotated[DegreeHours, Meta(description="Of 14 days.")]
    limit_c: Annotated[Celsius, Meta(description="One night below it harms a dry plant.")]
    limit_wet_c: Annotated[Celsius, Meta(description="The same in a wet pot.")]
    ceiling_c: Annotated[Celsius | None, Meta(description="Above it heat harms.")]
    heat_signs: HeatSigns = ""
    low_confidence_limit: bool
    comfort_c: ComfortMark = None


class Ranking(Result, frozen=True, kw_only=True):
    """
    How well the place suits a group, beside the others that were asked about at its spot.

    The verdict goes first, then the good days, then the fewer degrees of `warmer_c`; all reasoned.
    """

    rank: Annotated[
        int, Meta(ge=1, title="Rank", description="1 is the best; equal ones share a rank.")
    ]
    good_days: Annotated[
        DaysAYear,
        Meta(
            title="Good days",
            description="Half of the days out and half of those at ease, times both shares.",
        ),
    ]
    days_out: DaysAYear
    days_at_ease: Annotated[
        DaysAYear,
        Meta(
            description="Days out on which nights of the mean year are at the comfort mark or "
            "above, and those in the period of a rest that flowers hang on."
        ),
    ]
    flower_share: Annotated[
        Share,
        Meta(
            description="1 if nothing in its rest stands against flowers, 0.75 shyly or after a "
            "cool room, 0.5 if not known, 0.25 hardly."
        ),
    ]
    heat_share: Annotated[
        Share,
        Meta(
            description="1 if heat does little, 0.75 if it harms at times or in dry air, 0.5 if "
            "not known, 0.25 if damage is to be expected."
        ),
    ]
    warmer_c: Annotated[
        Gap, Meta(description="How far nights out lie above the comfort mark, on average.")
    ]


class Finding(Whose, frozen=True, kw_only=True):
    """The answer for one group at one spot, or for plants of it there."""

    indoors: InARoom = False
    steady: Steady = False
    rests_there: RestsThere = False
    verdict: Annotated[Verdict, Meta(title="Verdict")]
    reason: Annotated[
        Reason | None,
        Meta(description='Null for "outdoor all year", unless that rests on what nobody saw.'),
    ]
    provisional: Annotated[bool, Meta(description="From fewer than ten usable years.")]
    promise_worth: IfProvisional = None
    borderline: Annotated[
        bool, Meta(description="A spot 1 °C colder or warmer has another verdict.")
    ]
    verdict_colder: Annotated[Verdict, Meta(description="Of a spot 1 °C colder.")]
    verdict_warmer: Annotated[Verdict, Meta(description="Of a spot 1 °C warmer.")]
    dry_verdict: Annotated[
        Verdict | None,
        Meta(
            description="If rain were kept off; null where rain makes no difference or is kept off."
        ),
    ]
    spot_ends: Annotated[SpotEnds | None, Meta(description="Null for a spot without a range.")] = (
        None
    )
    promise: Annotated[Promise, Meta(title="Promise", description="The probability promised.")]
    model_based: Annotated[
        bool,
        Meta(description="The years alone, without a model of years like them, cannot carry it."),
    ]
    years_usable: Annotated[Count, Meta(description="Plant years observed well enough.")]
    years_kept: Annotated[Count, Meta(description="Of those counted, that kept the season.")]
    years_counted: Annotated[Count, Meta(description="Years that speak for the season.")]
    hours_below: Annotated[
        MonthlyHours,
        Meta(description="Hours below the growth floor in the mean year, from full months."),
    ]
    hours_below_median: Annotated[TwelveHours, Meta(description="In the median of each month.")]
    hours_below_bad: Annotated[
        TwelveHours,
        Meta(
            description="Reached by each month in one year of ten: bad months do not add up to a "
            "year."
        ),
    ]
    degree_hours_below: TwelveDegreeHours
    years_of_month: Annotated[
        TwelveCounts, Meta(description="Years that stand behind each month of the hours below.")
    ]
    hours_below_rest: Annotated[
        MonthlyHours | None, Meta(description="Below the rest floor; null for a group without one.")
    ]
    hours_below_rest_bad: TwelveHours | None
    degree_hours_below_rest: TwelveDegreeHours | None
    hours_below_comfort: Annotated[
        MonthlyHours | None,
        Meta(description="Below the comfort mark; null for a group without one."),
    ] = None
    by_month: Annotated[
        tuple[MonthOfYear, ...], Meta(description="Raw counts below the growth floor.")
    ]
    season: Annotated[
        Season | None,
        Meta(
            description="Outdoors and growing or resting; null where the verdict lets it out for "
            "none."
        ),
    ]
    survival_season: Annotated[
        Season | None,
        Meta(
            title="Survival season",
            description="Free of nights that harm, whether it grows or not; whatever the verdict.",
        ),
    ]
    comfort_season: ComfortSeason = None
    grows_from: GrowsFrom = None
    cool_rest: CoolRest = False
    heat: HeatOut = None
    warm_nights: WarmNights = None
    survival_seasons: Annotated[tuple[Season, ...], Meta(description="All of them.")]
    growing_days: Annotated[
        TwelveDays, Meta(description="Days of each month on which the group grows or rests.")
    ]
    unsafe_share: Annotated[
        TwelveShares, Meta(description="Share of each month's nights that were unsafe.")
    ]
    carried_nights: CarriedNights | None
    nearly_all_year: NearlyAllYear = False
    margin_c: Annotated[
        Difference | None,
        Meta(title="Margin", description="Least warming that would raise the verdict."),
    ]
    headroom_c: Annotated[
        Difference | None,
        Meta(title="Headroom", description="Most cooling of the spot that the verdict stands."),
    ]
    rest: RestFinding
    limiting: tuple[Limiting, ...]
    stability: Annotated[
        Share | None,
        Meta(description="Share of resamples of the years that give the same verdict."),
    ]
    flowers: Annotated[Flowers, Meta(description="Whether its rest stands against flowers.")]
    line: Annotated[str, Meta(description="Life and flowers in one line.")]
    ranking: Ranking
    thresholds: Thresholds
    growing_seasons: Annotated[
        tuple[Season, ...] | None,
        Meta(
            description="Days out in weeks of growth, as in year; on its other days out it is "
            "slowed down, rests or wakes. Null without a calendar."
        ),
    ] = None
    worst_nights: tuple[WorstNight, ...] = ()
    worst_fortnights: tuple[WorstFortnight, ...] = ()


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
    notes: Annotated[
        tuple[str, ...],
        Meta(
            description="What of the collection was left out, and spots where no plant stands, in "
            "sentences."
        ),
    ] = ()


class PlaceZones(Result, frozen=True, kw_only=True):
    """The published zones of a place in the open air; null where nothing tells."""

    hardiness: Annotated[
        Annotated[str, Meta(pattern="^(1[0-3]|[1-9])[ab]$")] | None,
        Meta(description="Half zone of plant hardiness."),
    ]
    lowest_c: Annotated[
        MeanCelsius | None, Meta(description="Mean of each winter's coldest night.")
    ]
    winters: Count
    heat: Annotated[Annotated[int, Meta(ge=1, le=12)] | None, Meta(description="Heat zone.")]
    hot_days: Annotated[
        float | None, Meta(extra={"decimals": 3}, description="Mean yearly days above 30 °C.")
    ]
    years: Count


class CheckResult(Result, frozen=True, kw_only=True):
    """A place, its record, what was asked, the spots, and a finding for each spot and group."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    place: Place
    record: RecordSummary
    settings: Settings
    zones: PlaceZones | None = None
    spots: tuple[Spot, ...] = ()
    results: tuple[Finding, ...]
    profiles: Annotated[
        tuple[Profile, ...],
        Meta(description="Groups asked for by name, and plants of the collection, in full."),
    ] = ()
