"""
Moves: dates out and in, how sure they are, past years around them, dates of a temperature.

The types are the contract of `moves --json` too.
Days of the year are "MM-DD" in standard time; what is not known is None.
"""

import math
from collections.abc import Sequence
from typing import Annotated, Any

import numpy as np
from msgspec import Meta, Struct
from numpy.typing import NDArray

from suitability.advice.cases import HALF_YEAR, Case, all_year_chance, dates_by_year
from suitability.advice.checking import carried_of, verdict_told
from suitability.advice.comfort import comfort_at
from suitability.advice.preparing import (
    LaidOut,
    LaidSpot,
    lay_out_spots,
    settings_of,
    summarise_record,
)
from suitability.advice.question import Question
from suitability.advice.resting import lay_out_resting
from suitability.advice.result import (
    CarriedNights,
    Limiting,
    Reason,
    RecordSummary,
    Settings,
    Thresholds,
)
from suitability.advice.terms import (
    ComfortSeason,
    CoolRest,
    GrowsFrom,
    HeatOut,
    IfProvisional,
    NearlyAllYear,
    RestsThere,
    Season,
    Steady,
    Verdict,
    WarmNights,
    Whose,
    dates_help,
)
from suitability.advice.verdicts import Decision, season_of
from suitability.advice.what_if import find_headroom
from suitability.climate import chance, seasons
from suitability.climate.chance import mann_kendall, theil_sen
from suitability.climate.cold import WET_WEIGHT
from suitability.climate.dates import EventDates, date_odds, event_dates
from suitability.climate.days import (
    DAYS,
    daily_minimum,
    day_of_year,
    fold_axis,
    fold_highest,
    local_hour,
    month_day,
    turn,
)
from suitability.climate.exposure import EPSILON_C
from suitability.climate.observing import plant_years, usable_years
from suitability.climate.past_years import (
    Kernel,
    PastYears,
    Stretch,
    free_weight,
    share_of,
    year_weights,
)
from suitability.climate.rest import RestPeriod
from suitability.groups.group import Needs
from suitability.places import Place
from suitability.quantities import (
    SCHEMA_VERSION,
    SUREST,
    Celsius,
    Chance,
    Count,
    Difference,
    MonthDay,
    NightsAYear,
    Probability,
    Promise,
    Result,
    SchemaVersion,
    Share,
)
from suitability.spots.spot import OPEN_AIR
from suitability.weather.record import fill_short_gaps

TONIGHT_ABOVE_WET_C = 2.0  # K over the wet limit; reasoned: a forecast is seldom nearer
NEARLY_SPENT = 0.75  # of the dose; reasoned
# Of a night for each degree that its low lies below the chill base. Eight real places with all
# groups: median 5.4, nine in ten under 7.5.
HOURS_A_DEGREE = 8.0
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
        Meta(
            description="Nine of ten draws of the years anew, the season chosen anew from each, "
            "have the date from here to latest; looked for up to 64 days away."
        ),
    ]
    latest: MonthDay
    holds_alone: Annotated[
        Chance,
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


class Tonight(Result, frozen=True, kw_only=True):
    """When a plant that stands outdoors comes in for the night."""

    low_c: Annotated[
        Celsius,
        Meta(
            description="Where the low forecast for the spot is at or below this: the wet limit "
            "and two degrees (reasoned)."
        ),
    ]
    dry_low_c: Annotated[
        Celsius | None,
        Meta(description="The same by the dry limit, for a pot that a roof keeps dry; else null."),
    ] = None
    chill_base_c: Annotated[
        Celsius | None,
        Meta(
            description="Below this too, if it is in bud or the cold of a fortnight has nearly "
            "used up its dose; null where low_c says as much."
        ),
    ] = None
    lows_short_c: Annotated[
        Difference | None,
        Meta(
            description="How far, added up, the last 14 lows have then fallen below chill_base_c: "
            "three quarters of the dose, a degree taken as 8 h, or 12 in a pot that may be wet "
            "(reasoned)."
        ),
    ] = None


TonightNights = Annotated[
    NightsAYear | None,
    Meta(
        description="Nights a year, were it left out all year, whose low is at or below that of "
        "`tonight` (its dry one under a roof): more than are carried, since the rule leaves two "
        "degrees for a forecast's error. Null without a usable year."
    ),
]


class Move(Whose, frozen=True, kw_only=True):
    """The moves of one group at one spot, or of plants of it there."""

    verdict: Verdict
    reason: Reason | None
    provisional: bool
    promise_worth: IfProvisional = None
    promise: Promise
    model_based: bool
    limiting: tuple[Limiting, ...]
    thresholds: Thresholds
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
    comfort_season: ComfortSeason = None
    grows_from: GrowsFrom = None
    cool_rest: CoolRest = False
    heat: HeatOut = None
    warm_nights: WarmNights = None
    out: Annotated[
        MoveDate | None,
        Meta(description="Null where nothing is moved: all year outdoors, or for no season."),
    ]
    inn: MoveDate | None
    chance: Annotated[
        Chance | None,
        Meta(
            description="That a new year keeps the whole season, by the calibrated method; never "
            "told higher than may be promised."
        ),
    ]
    chance_5_years: Annotated[Chance | None, Meta(description="That all of five years do.")]
    chance_10_years: Annotated[Chance | None, Meta(description="That all of ten years do.")]
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
    nearly_all_year: NearlyAllYear = False
    headroom_c: Annotated[
        Difference | None,
        Meta(description="Most cooling of the spot that all year stands; null where it is not."),
    ] = None
    decades: Decades | None
    by_year: tuple[YearOutdoors, ...]
    tonight: Tonight | None = None
    tonight_nights: TonightNights = None
    indoors: Annotated[
        bool,
        Meta(
            description='The spot is in a room: "out" is there, "in" is away, and nothing is '
            "carried out for warmth."
        ),
    ] = False
    steady: Steady = False
    rests_there: RestsThere = False

    @property
    def has_dates(self) -> bool:
        """Whether it is moved by dates, and these spare it much."""
        return self.out is not None and self.inn is not None and dates_help(self)

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


FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

LAST_YEARS = 10


class SeasonYears(Struct, frozen=True, kw_only=True):
    """
    Past years cut half a year away from the middle of the season; at mid-summer if it is whole.

    Attributes
    ----------
    cut
        Day of the folded year at which rows begin; column 182 is the middle of the season, or
        mid-winter where the season is the whole year.
    year : (row)
        Calendar year of column 182.
    winter_inside
        Whether rows run from mid-summer to mid-summer, because the whole year is promised.
    out, inn : (row), d
        Columns of the first day fine until the middle, and of the first unsafe night after it.
    usable : (row)
        Rows observed well enough.
    kept, counted : (row)
        Rows that kept the season, and rows that speak for or against it: as the verdict counts.
    letters : (row, 365)
        One byte a night.
    """

    cut: int
    winter_inside: bool
    year: NDArray[np.int64]
    out: NDArray[np.int64]
    inn: NDArray[np.int64]
    usable: BoolArray
    kept: BoolArray
    counted: BoolArray
    letters: NDArray[np.uint8]

    def told(self, case: Case) -> list[YearOutdoors]:
        """Each year that has a known night."""
        judged = case.observed.winter_usable.sum() >= case.rules.fewest_years
        return [
            YearOutdoors(
                year=int(self.year[row]),
                out=None if dates is None else dates.out,
                inn=None if dates is None else dates.inn,
                days=None if dates is None else dates.days,
                kept=bool(self.kept[row]) if self.counted[row] and judged else None,
                first_day=month_day(self.cut),
                nights=self.letters[row].tobytes().decode("ascii"),
            )
            for row, dates in enumerate(self._dates())
            if (self.letters[row] != ord("?")).any()
        ]

    def _dates(self) -> list[Season | None]:
        """Out and in of each year observed well enough; with winter in the middle only if whole."""
        found: list[Season | None] = []
        for out, inn, usable in zip(
            self.out.tolist(), self.inn.tolist(), self.usable.tolist(), strict=True
        ):
            told = usable and (not self.winter_inside or inn - out == DAYS)
            found.append(season_between(self.cut, out, inn) if told else None)
        return found


def season_between(cut: int, out: int, inn: int) -> Season:
    """A season from columns of a row; the whole year is 01-01, 01-01, 365."""
    if inn - out == DAYS:
        return Season(out=month_day(0), inn=month_day(0), days=DAYS)
    return Season(out=month_day(cut + out), inn=month_day(cut + inn), days=max(0, inn - out))


def season_years(case: Case, season: Stretch | None, *, all_year: bool) -> SeasonYears:
    """What each past year was like around the season, or around mid-summer without one."""
    nights = case.nights
    middle = season.start + season.nights // 2 if season else nights.summer
    cut = nights.summer if all_year else (middle - HALF_YEAR) % DAYS
    out, inn = dates_by_year(case, cut)
    kept, counted = _whole_years_kept(case) if all_year else _kept(case, season, cut, out.size)
    start = -((DAYS - cut) % DAYS)
    return SeasonYears(
        cut=cut,
        winter_inside=all_year,
        year=nights.axis.first_year + (start + DAYS * np.arange(out.size) + HALF_YEAR) // DAYS,
        out=out,
        inn=inn,
        usable=usable_years(plant_years(nights.unknown, cut, outside=True)),
        kept=kept,
        counted=counted,
        letters=_letters(case, cut),
    )


def _whole_years_kept(case: Case) -> tuple[BoolArray, BoolArray]:
    """The same of the verdict's own plant years, mid-summer to mid-summer."""
    free = free_weight(case.yearly_shortfall, case.yearly_room, 0.0, 0.0) > 0.0
    return free & case.observed.summer_usable, ~free | case.observed.summer_usable


def _kept(case: Case, season: Stretch | None, cut: int, rows: int) -> tuple[BoolArray, BoolArray]:
    """Rows that kept the season, and rows that tell, counted plainly as the verdict does."""
    if season is None:
        return np.zeros(rows, np.bool_), np.zeros(rows, np.bool_)
    good, bad = year_weights(case.past_years, season.nights, 0.0, 0.0)
    since = case.past_years.cut
    column = (season.start - since) % DAYS
    ours = HALF_YEAR - season.nights // 2 - (-cut) % DAYS  # position of the start in our first row
    ahead = (ours - (column - (-since) % DAYS)) // DAYS  # rows by which theirs are ahead
    row = np.arange(rows) + ahead
    there = (row >= 0) & (row < good.shape[0])
    at = np.where(there, row, 0)
    kept, failed = good[at, column] > 0.0, bad[at, column] > 0.0
    return there & kept, there & (kept | failed)


def _letters(case: Case, cut: int) -> NDArray[np.uint8]:
    """One letter for each night, by its gravest cause, (row, 365)."""
    shortfall, unknown = case.shortfall, case.nights.unknown
    room = shortfall.heat_room_c
    letters = np.full(unknown.size, ord("."), np.uint8)
    for flags, letter in (
        (unknown, "?"),
        (np.zeros_like(unknown) if room is None else room < 0.0, "t"),
        (shortfall.dose_c > 0.0, "d"),
        (shortfall.wet_c > 0.0, "w"),
        (shortfall.dry_c > 0.0, "h"),
    ):
        letters[flags] = ord(letter)
    return plant_years(letters, cut, ord("?"))


def say_decades(past: SeasonYears) -> Decades:
    """The last ten years that tell beside the earlier ones, and the trend of the length."""
    kept, year = past.kept[past.counted], past.year[past.usable].astype(np.float64)
    days = (past.inn - past.out)[past.usable].astype(np.float64)
    drifts = not past.winter_inside and days.size >= LAST_YEARS
    enough = drifts and bool(np.ptp(days) > 0)
    slope = theil_sen(year, days) if enough else None
    return Decades(
        last_years=int(kept[-LAST_YEARS:].size),
        last_kept=int(kept[-LAST_YEARS:].sum()),
        earlier_years=int(kept[:-LAST_YEARS].size),
        earlier_kept=int(kept[:-LAST_YEARS].sum()),
        days_per_decade=None if slope is None else round(10.0 * slope, 3),
        trend_p=mann_kendall(days).p_value if enough else None,
    )


LEVELS = (0.1, 0.5, 0.9)  # as published tables give them
SHORTEST_GAP = 28  # days between last and first; fewer are no warm season


def find_threshold_dates(
    first_day: int, minimum_c: FloatArray, cut: int, thresholds_c: Sequence[float]
) -> tuple[ThresholdDates, ...]:
    """
    Dates of each temperature at the published levels.

    Parameters
    ----------
    first_day : d
        Of the minima, since 1970-01-01.
    minimum_c : (day), °C
    cut
        Day of the folded year that parts autumn from spring.
    thresholds_c : °C
    """
    if not thresholds_c:
        return ()
    axis = fold_axis(first_day, minimum_c.size)
    folded = -fold_highest(axis, np.where(np.isnan(minimum_c), -np.inf, -minimum_c))
    folded[np.isinf(folded)] = np.nan
    dates = event_dates(folded, cut, np.array(thresholds_c))
    return tuple(_dates_of(dates, cut, row, at) for row, at in enumerate(thresholds_c))


def _dates_of(dates: EventDates, cut: int, row: int, threshold_c: float) -> ThresholdDates:
    """Those of one temperature."""

    def day(column: float | None) -> str | None:
        return None if column is None else month_day(cut + round(column))

    levels = []
    for level in LEVELS:
        spring = date_odds(dates.last[row], dates.observed, level, spring=True)
        autumn = date_odds(dates.first[row], dates.observed, level, spring=False)
        levels.append(
            ThresholdLevel(
                probability=level,
                spring_if_it_happens=day(spring.if_it_happens),
                spring_in_any_year=day(spring.in_any_year),
                autumn_if_it_happens=day(autumn.if_it_happens),
                autumn_in_any_year=day(autumn.in_any_year),
            )
        )
    # nan where one of the two is not known
    between = dates.first[row, 1:] + DAYS - dates.last[row, :-1] - 1.0
    return ThresholdDates(
        threshold_c=threshold_c,
        seasons=int(dates.observed.sum()),
        seasons_with_event=int((~np.isnan(dates.last[row])).sum()),
        summers_without_gap=int((between < SHORTEST_GAP).sum()),
        levels=tuple(levels),
    )


DRAWS = 200  # of the years, for the intervals of dates


def tonight_of(needs: Needs, *, roofed: bool) -> Tonight:
    """When a plant outdoors comes in for the night, by the forecast and a thermometer's lows."""
    low_c = needs.limit_wet_c + TONIGHT_ABOVE_WET_C
    dry_low_c = needs.limit_c + TONIGHT_ABOVE_WET_C if roofed else None
    if needs.chill_base_c <= low_c:
        return Tonight(low_c=low_c, dry_low_c=dry_low_c)
    spent_c = NEARLY_SPENT * needs.dose_limit_c_h / HOURS_A_DEGREE
    return Tonight(
        low_c=low_c,
        dry_low_c=dry_low_c,
        chill_base_c=needs.chill_base_c,
        lows_short_c=spent_c if roofed else spent_c / WET_WEIGHT,
    )


def moves(question: Question, *, thresholds_c: Sequence[float] = ()) -> MovesResult:
    """
    When each group, or plant, goes out and comes in at each spot, and how sure that is.

    Parameters
    ----------
    question
        From `ask`.
    thresholds_c : °C
        Temperatures whose last dates of spring and first of autumn are told too.

    Raises
    ------
    RecordError
        Nothing of the record lies in the years asked for.
    """
    return plan_moves(question.lay_out(), thresholds_c=thresholds_c)


def plan_moves(laid_out: LaidOut, *, thresholds_c: Sequence[float] = ()) -> MovesResult:
    """The moves of each group at each spot; for `thresholds_c` see `moves`."""
    place, options, used = laid_out.place, laid_out.options, laid_out.used
    moves: list[Move] = []
    for laid in laid_out.spots:
        beside = zip(carried_of(laid.cases), comfort_at(laid, place), strict=True)
        start = local_hour(used.start_hour, place.utc_offset_hours)
        resting = lay_out_resting(laid.nights, used.prcp_mm, start, roofed=laid.spot.roofed)
        moves += [
            _move(laid, at, *told, resting=resting, seed=options.seed)
            for at, told in enumerate(beside)
        ]
    first_day, minimum_c = daily_minimum(
        fill_short_gaps(used).temp_c, local_hour(used.start_hour, place.utc_offset_hours)
    )
    cut = 0
    if thresholds_c:  # of the station in the open, whatever the spots
        outside = (laid.nights for laid in laid_out.spots if laid.spot.is_as_outside)
        nights = next(outside, None)  # a roof changes no hour
        if nights is None:
            (nights,) = lay_out_spots(
                used, place, (OPEN_AIR,), laid_out.spots[0].needs[:1], options
            )
        cut = nights.summer
    return MovesResult(
        place=place,
        record=summarise_record(used),
        settings=settings_of(options),
        results=tuple(moves),
        thresholds=find_threshold_dates(first_day, minimum_c, cut, thresholds_c),
    )


def _move(
    laid: LaidSpot,
    at: int,
    carried: CarriedNights | None,
    comfort: dict[str, Any],
    *,
    resting: RestPeriod,
    seed: int,
) -> Move:
    """The moves of one group at its spot."""
    spot, needs = laid.spot, laid.needs[at]
    case, decision = laid.cases[at], laid.decisions[at]
    judged = decision.verdict is not Verdict.NONE
    indoor = decision.verdict is Verdict.INDOOR
    counted = decision.years_kept + decision.years_failed
    season = decision.season if judged else None
    whole = season is not None and season.nights == DAYS  # of too few years to be all year
    dated = decision.verdict is Verdict.SEASONAL and not whole
    sure = _chance(case, decision, season)
    past = season_years(case, season, all_year=decision.verdict is Verdict.ALL_YEAR)
    low, high = chance.wilson_interval(decision.years_kept, counted)
    dates = (
        _dates(case, season, past, decision.floor_days, seed)
        if dated and season
        else (None, None, None)
    )
    return Move(
        **verdict_told(laid, at, carried, resting),
        **comfort,
        season=None if indoor else season_of(season),
        season_too_short=season_of(season) if indoor else None,
        typical_season=dates[2],
        out=dates[0],
        inn=dates[1],
        chance=sure,
        chance_5_years=None if sure is None else chance.odds_over_years(sure, 5),
        chance_10_years=None if sure is None else chance.odds_over_years(sure, 10),
        kept_low=low if counted else None,
        kept_high=high if counted else None,
        risk_not_excluded=chance.excluded_rate(counted)
        if counted and not decision.years_failed
        else None,
        headroom_c=find_headroom(case, decision.verdict)
        if decision.verdict is Verdict.ALL_YEAR
        else None,
        decades=say_decades(past) if season is not None else None,
        by_year=tuple(past.told(case)),
        tonight=tonight_of(needs, roofed=spot.roofed),
        tonight_nights=_tonight_nights(case, tonight_of(needs, roofed=spot.roofed)),
    )


def _tonight_nights(case: Case, rule: Tonight) -> float | None:
    """Nights of the mean year that the rule brings in; None without a usable year."""
    usable, nights = case.observed.summer_usable, case.nights
    if not usable.any():
        return None
    low_c = rule.low_c if rule.dry_low_c is None else rule.dry_low_c
    cold = plant_years(nights.minimum_c <= low_c + EPSILON_C, nights.summer, outside=False)
    return float(cold.sum(axis=1)[usable].mean())


def _chance(case: Case, decision: Decision, season: Stretch | None) -> float | None:
    """Probability that a new year keeps the season, told no higher than may be promised."""
    if season is None:
        return None
    if decision.verdict is Verdict.ALL_YEAR:
        return min(all_year_chance(case), SUREST)
    return min(share_of(case.past_years, season, case.kernel), SUREST)


def _dates(
    case: Case, season: Stretch, past: SeasonYears, growing: BoolArray, seed: int
) -> tuple[MoveDate | None, MoveDate | None, Season | None]:
    """Out and in with their typical dates, watch weeks and intervals."""
    if not past.usable.any():
        return None, None, None
    first = HALF_YEAR - season.nights // 2
    out, inn = past.out[past.usable], past.inn[past.usable]
    grows = turn(growing, -past.cut)
    before, after = np.flatnonzero(~grows[:HALF_YEAR]), np.flatnonzero(~grows[HALF_YEAR:])
    earliest = int(before[-1]) + 1 if before.size else 0  # first day on which it grows, to the end
    latest = HALF_YEAR + int(after[0]) if after.size else DAYS
    typical_out = max(earliest, math.ceil(np.quantile(out, 0.5, method="median_unbiased")))
    typical_in = min(latest, math.floor(np.quantile(inn, 0.5, method="median_unbiased")))
    later = nine_of_ten(
        case.past_years,
        case.kernel,
        case.rules.promise,
        season,
        case.observed.winter_usable,
        longest=seasons.run_from(growing),
        seed=seed,
    )
    day, stop = first, first + season.nights
    middle = (past.cut + HALF_YEAR) % DAYS
    to_middle = Stretch(start=season.start, nights=HALF_YEAR - day)
    from_middle = Stretch(start=middle, nights=stop - HALF_YEAR)
    return (
        _move_date(case, past.cut, day, typical_out, alone=to_middle, later=later[0]),
        _move_date(case, past.cut, stop, typical_in, alone=from_middle, later=later[1]),
        season_between(past.cut, typical_out, typical_in),
    )


def nine_of_ten(
    past_years: PastYears,
    kernel: Kernel,
    promise: float,
    season: Stretch,
    usable: BoolArray,
    *,
    longest: NDArray[np.int64],
    seed: int,
) -> tuple[tuple[int, int], tuple[int, int]]:
    """
    Between how many days later out, and in, would lie in nine of ten draws of the years anew.

    Parameters
    ----------
    usable : (plant year)
        Years that are drawn; all others stay, since only what failed in them counts.
    longest, seed
        As `resampled_ends` and `resample_weights` ask.
    """
    weights = np.ones((DRAWS, usable.size))
    weights[:, usable] = chance.resample_weights(int(usable.sum()), DRAWS, seed)
    ends = seasons.resampled_ends(
        past_years, kernel, promise, season, longest=longest, weights=weights
    )
    low, high = np.quantile(np.stack(ends), [0.05, 0.95], axis=1)
    least = np.minimum(np.floor(low), 0).astype(np.int64).tolist()
    most = np.maximum(np.ceil(high), 0).astype(np.int64).tolist()
    return (least[0], most[0]), (least[1], most[1])


def _move_date(
    case: Case, cut: int, day: int, typical: int, *, alone: Stretch, later: tuple[int, int]
) -> MoveDate:
    """
    One end of a season.

    Parameters
    ----------
    day, typical
        Columns of a row.
    alone
        From this end to the middle of the season.
    later
        Days between which the date would lie later, were the years drawn anew.
    """
    watch = sorted((day, typical)) if day != typical else None
    return MoveDate(
        promised=month_day(cut + day),
        typical=month_day(cut + typical),
        watch_from=None if watch is None else month_day(cut + watch[0]),
        watch_to=None if watch is None else month_day(cut + watch[1]),
        earliest=month_day(cut + day + later[0]),
        latest=month_day(cut + day + later[1]),
        holds_alone=min(share_of(case.past_years, alone, case.kernel), SUREST),
    )
