"""
Moves: on which dates a group goes out and comes in again, and how sure that is.

The promised dates are the ends of the season. Beside them stand the dates of a typical year: out
when the last unsafe night of spring is past in half of the years, in when half have had the first
one of autumn. The weeks between are for watching: the plant may go or stay, by the forecast.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from suitability.advice import verdicts
from suitability.advice.checking import carried_of, leans_on_model, season_of
from suitability.advice.preparing import (
    CheckOptions,
    build_cases,
    lay_out_spots,
    settings_of,
    summarise_record,
    years_asked,
)
from suitability.advice.reasons import explain
from suitability.advice.result import (
    CarriedNights,
    Reason,
    RecordSummary,
    Season,
    Settings,
)
from suitability.advice.verdicts import Case, Decision, Verdict
from suitability.climate import chance
from suitability.climate.dates import date_odds, event_dates
from suitability.climate.days import (
    DAYS,
    daily_minimum,
    fold_axis,
    fold_highest,
    local_hour,
    month_day,
    turn,
)
from suitability.climate.observing import plant_years, usable_years
from suitability.climate.trend import mann_kendall, theil_sen
from suitability.climate.witnesses import (
    Stretch,
    free_weight,
    promised_share,
    share_and_error,
    witness_weights,
)
from suitability.weather.record import fill_short_gaps

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.groups.group import Needs
    from suitability.places import Place
    from suitability.spots.spot import Spot
    from suitability.weather.record import Record

__all__ = [
    "Decades",
    "Move",
    "MoveDate",
    "MovesResult",
    "ThresholdDates",
    "ThresholdLevel",
    "YearOutdoors",
    "plan_moves",
]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

HALF_YEAR = 182
LEVELS = (0.1, 0.5, 0.9)  # of threshold dates, as published tables give them
LAST_YEARS = 10
Z_90 = 1.645  # standard errors on either side of a 90 % interval
SURE = 0.995  # probability beyond which an end of a season needs no more caution
FARTHEST_DAYS = 64  # by which an end is moved when its interval is looked for


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveDate:
    """
    One date of moving, "MM-DD".

    Attributes
    ----------
    promised, typical
        Of the promised season, and of half of the years.
    watch_from, watch_to
        The days between them, in the order of the year; None where they coincide.
    earliest, latest
        90 % interval of the promised date when the years are resampled.
    holds_alone
        Probability that a new year keeps this date alone, without the other.
    """

    promised: str
    typical: str
    watch_from: str | None
    watch_to: str | None
    earliest: str
    latest: str
    holds_alone: float


@dataclass(frozen=True, slots=True, kw_only=True)
class YearOutdoors:
    """
    One past year: from when until when it would have been fine outdoors.

    `year` is that of the middle of the season (of mid-winter where the whole year is promised).
    Without an unsafe night the year is whole: 01-01, 01-01, 365. `kept` is None for a year that
    does not tell, and where there is no season to keep.

    `nights` has one letter for each night from `first_day` ("MM-DD") on: `.` fine, `h` hard, `w`
    hard only because the pot was wet, `d` dose, `t` heat, `?` unknown.
    """

    year: int
    out: str | None
    inn: str | None
    days: int | None
    kept: bool | None
    first_day: str
    nights: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Decades:
    """The last ten years beside the earlier ones, and the trend of the season's length."""

    last_years: int
    last_kept: int
    earlier_years: int
    earlier_kept: int
    days_per_decade: float | None
    trend_p: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """
    The moves of one group at one spot.

    Attributes
    ----------
    season, out, inn
        None where the verdict gives no dates: outdoors all year, or too short a season.
    chance
        Probability that a new year keeps the whole season, by the calibrated method.
    chance_5_years, chance_10_years
        That all of so many years keep it.
    years_kept, years_counted, kept_low, kept_high
        Past years, and the 95 % Wilson interval of their share.
    risk_not_excluded
        Yearly risk that so many years without a failure cannot exclude (95 %); None if some failed.
    """

    spot: str
    group: str
    group_name: str
    verdict: Verdict
    reason: Reason | None
    provisional: bool
    model_based: bool
    season: Season | None
    typical_season: Season | None
    safe_season: Season | None
    safe_seasons: tuple[Season, ...]
    out: MoveDate | None
    inn: MoveDate | None
    chance: float | None
    chance_5_years: float | None
    chance_10_years: float | None
    years_usable: int
    years_kept: int
    years_counted: int
    kept_low: float | None
    kept_high: float | None
    risk_not_excluded: float | None
    carried_nights: CarriedNights | None
    decades: Decades | None
    by_year: tuple[YearOutdoors, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ThresholdLevel:
    """
    Dates of one probability, "MM-DD"; None where there is none.

    `probability` is that of a day at or below the temperature on or after the date in spring, on
    or before it in autumn.
    """

    probability: float
    spring_if_it_happens: str | None
    spring_in_any_year: str | None
    autumn_if_it_happens: str | None
    autumn_in_any_year: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ThresholdDates:
    """Last spring and first autumn dates of one temperature, at or below, at the open station."""

    threshold_c: float
    seasons: int
    seasons_with_event: int
    levels: tuple[ThresholdLevel, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MovesResult:
    """A place, its record, what was asked, the moves, and dates of temperatures asked for."""

    place: Place
    record: RecordSummary
    settings: Settings
    moves: tuple[Move, ...]
    thresholds: tuple[ThresholdDates, ...]


def plan_moves(
    record: Record,
    place: Place,
    spots: Sequence[Spot],
    groups: Sequence[Needs],
    options: CheckOptions,
    *,
    thresholds_c: Sequence[float] = (),
) -> MovesResult:
    """
    The moves of each group at each spot.

    Parameters
    ----------
    record
        After the checks of quality.
    thresholds_c : °C
        Temperatures whose last spring and first autumn dates are asked for.

    Raises
    ------
    RecordError
        Nothing of the record lies in the years asked for.
    """
    used = years_asked(record, place, options)
    moves: list[Move] = []
    laid_out = lay_out_spots(used, place, spots, groups, options)
    for spot, nights in zip(spots, laid_out, strict=True):
        cases = build_cases(nights, groups, options.rules)
        for needs, case, carried in zip(groups, cases, carried_of(cases), strict=True):
            moves.append(_move(spot, needs, case, carried))
    first_day, minimum_c = daily_minimum(
        fill_short_gaps(used).temp_c, local_hour(used.start_hour, place.utc_offset_hours)
    )
    cut = laid_out[0].summer
    return MovesResult(
        place=place,
        record=summarise_record(used),
        settings=settings_of(options),
        moves=tuple(moves),
        thresholds=tuple(_threshold(first_day, minimum_c, cut, at) for at in thresholds_c),
    )


def _move(spot: Spot, needs: Needs, case: Case, carried: CarriedNights | None) -> Move:
    """The moves of one group."""
    decision = verdicts.decide(case)
    judged = decision.verdict is not Verdict.NONE
    counted = decision.years_kept + decision.years_failed
    season = decision.season if judged else None
    whole = season is not None and season.nights == DAYS  # of too few years to be all year
    dated = decision.verdict is Verdict.SEASONAL and not whole
    sure = _chance(case, decision, season)
    past = _past_years(case, season, all_year=decision.verdict is Verdict.ALL_YEAR)
    low, high = chance.wilson_interval(decision.years_kept, counted)
    dates = (
        _dates(case, season, past, decision.floor_days) if dated and season else (None, None, None)
    )
    return Move(
        spot=spot.name,
        group=needs.key,
        group_name=needs.name,
        verdict=decision.verdict,
        reason=explain(case, decision),
        provisional=judged and decision.years_usable < case.rules.fewest_for_sure,
        model_based=judged and leans_on_model(decision, case.rules),
        season=season_of(season),
        typical_season=dates[2],
        safe_season=season_of(decision.safe_season),
        safe_seasons=tuple(filter(None, map(season_of, decision.safe_seasons))),
        out=dates[0],
        inn=dates[1],
        chance=sure,
        chance_5_years=None if sure is None else chance.odds_over_years(sure, 5),
        chance_10_years=None if sure is None else chance.odds_over_years(sure, 10),
        years_usable=decision.years_usable,
        years_kept=decision.years_kept,
        years_counted=counted,
        kept_low=low if counted else None,
        kept_high=high if counted else None,
        risk_not_excluded=chance.excluded_rate(counted)
        if counted and not decision.years_failed
        else None,
        carried_nights=carried if judged else None,
        decades=_decades(past) if season is not None else None,
        by_year=tuple(past.told(case)),
    )


def _chance(case: Case, decision: Decision, season: Stretch | None) -> float | None:
    """Probability that a new year keeps the season."""
    if season is None:
        return None
    if decision.verdict is Verdict.ALL_YEAR:
        return verdicts.all_year_chance(case)
    return float(promised_share(case.witnesses, season.nights, case.kernel)[season.start])


@dataclass(frozen=True, slots=True, kw_only=True)
class _PastYears:
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
            found.append(_between(self.cut, out, inn) if told else None)
        return found


def _between(cut: int, out: int, inn: int) -> Season:
    """A season from columns of a row; the whole year is 01-01, 01-01, 365."""
    if inn - out == DAYS:
        return Season(out=month_day(0), inn=month_day(0), days=DAYS)
    return Season(out=month_day(cut + out), inn=month_day(cut + inn), days=max(0, inn - out))


def _past_years(case: Case, season: Stretch | None, *, all_year: bool) -> _PastYears:
    """What each past year was like around the season, or around mid-summer without one."""
    nights, lack = case.nights, case.lack
    middle = season.start + season.nights // 2 if season else nights.summer
    cut = nights.summer if all_year else (middle - HALF_YEAR) % DAYS
    heat = np.zeros_like(nights.unknown) if lack.heat_room_c is None else lack.heat_room_c < 0.0
    at_once = plant_years((lack.hard_c > 0.0) | heat, cut, outside=False)
    dose = plant_years(lack.dose_c > 0.0, cut, outside=False)
    column = np.arange(DAYS)
    spring = column < HALF_YEAR
    last = np.where(at_once & spring, column + 1, 0).max(axis=1)
    # The dose starts at the day of moving out: a night unsafe by it forbids only earlier starts.
    last_dose = np.where(dose & spring, column - 12, 0).max(axis=1)
    out = np.minimum(np.maximum(last, last_dose), HALF_YEAR)
    inn = np.where((at_once | dose) & ~spring, column, DAYS).min(axis=1)
    kept, counted = _whole_years_kept(case) if all_year else _kept(case, season, cut, out.size)
    start = -((DAYS - cut) % DAYS)
    return _PastYears(
        cut=cut,
        winter_inside=all_year,
        year=nights.axis.first_year + (start + DAYS * np.arange(out.size) + HALF_YEAR) // DAYS,
        out=out,
        inn=inn,
        usable=usable_years(plant_years(nights.unknown, cut, outside=True)),
        kept=kept,
        counted=counted,
        letters=_letters(case, heat, cut),
    )


def _whole_years_kept(case: Case) -> tuple[BoolArray, BoolArray]:
    """The same of the verdict's own plant years, mid-summer to mid-summer."""
    free = free_weight(case.yearly_lack, case.yearly_room, 0.0, 0.0) > 0.0
    return free & case.observed.summer_usable, ~free | case.observed.summer_usable


def _kept(case: Case, season: Stretch | None, cut: int, rows: int) -> tuple[BoolArray, BoolArray]:
    """Rows that kept the season, and rows that tell, counted plainly as the verdict does."""
    if season is None:
        return np.zeros(rows, np.bool_), np.zeros(rows, np.bool_)
    good, bad = witness_weights(case.witnesses, season.nights, 0.0, 0.0)
    since = case.witnesses.cut
    column = (season.start - since) % DAYS
    ours = HALF_YEAR - season.nights // 2 - (-cut) % DAYS  # position of the start in our first row
    ahead = (ours - (column - (-since) % DAYS)) // DAYS  # rows by which the witnesses' are ahead
    row = np.arange(rows) + ahead
    there = (row >= 0) & (row < good.shape[0])
    at = np.where(there, row, 0)
    kept, failed = good[at, column] > 0.0, bad[at, column] > 0.0
    return there & kept, there & (kept | failed)


def _letters(case: Case, heat: BoolArray, cut: int) -> NDArray[np.uint8]:
    """One letter for each night, by its gravest cause, (row, 365)."""
    lack, unknown = case.lack, case.nights.unknown
    letters = np.full(unknown.size, ord("."), np.uint8)
    for flags, letter in (
        (unknown, "?"),
        (heat, "t"),
        (lack.dose_c > 0.0, "d"),
        (lack.wet_c > 0.0, "w"),
        (lack.dry_c > 0.0, "h"),
    ):
        letters[flags] = ord(letter)
    return plant_years(letters, cut, ord("?"))


def _dates(
    case: Case, season: Stretch, past: _PastYears, growing: BoolArray
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
    typical = _between(past.cut, typical_out, typical_in)
    return (
        _move_date(case, past.cut, _Edge(day=first, sign=1), typical_out),
        _move_date(case, past.cut, _Edge(day=first + season.nights, sign=-1), typical_in),
        typical,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Edge:
    """One end of a season: its column, and the direction (1, -1) in which it becomes safer."""

    day: int
    sign: int

    def stretch(self, cut: int, safer_days: int) -> Stretch | None:
        """The nights from this end, moved by so many days, to the middle of the season."""
        day = self.day + self.sign * safer_days
        nights = (HALF_YEAR - day) * self.sign
        if not 1 <= nights <= HALF_YEAR:
            return None
        return Stretch(start=(cut + (day if self.sign > 0 else HALF_YEAR)) % DAYS, nights=nights)


def _move_date(case: Case, cut: int, edge: _Edge, typical: int) -> MoveDate:
    """One end of a season, with the interval in which it lies when the years are resampled."""
    here = edge.stretch(cut, 0)
    alone, error = (
        share_and_error(case.witnesses, here, case.kernel) if here is not None else (0.0, 0.0)
    )
    bold = _shift_to(case, cut, edge, alone - Z_90 * error, bold=True)
    cautious = _shift_to(case, cut, edge, min(alone + Z_90 * error, SURE), bold=False)
    limits = sorted((edge.day - edge.sign * bold, edge.day + edge.sign * cautious))
    watch = sorted((edge.day, typical)) if edge.day != typical else None
    return MoveDate(
        promised=month_day(cut + edge.day),
        typical=month_day(cut + typical),
        watch_from=None if watch is None else month_day(cut + watch[0]),
        watch_to=None if watch is None else month_day(cut + watch[1]),
        earliest=month_day(cut + limits[0]),
        latest=month_day(cut + limits[1]),
        holds_alone=alone,
    )


def _shift_to(case: Case, cut: int, edge: _Edge, level: float, *, bold: bool) -> int:
    """
    Days by which an end may move: bolder while it keeps a level, or safer until it reaches it.

    Found by halving, since the probability rises with every day of caution; at most 64.
    """
    low, high = 0 if bold else -1, FARTHEST_DAYS  # bold: low keeps the level; safer: high does
    while high - low > 1:
        middle = (low + high) // 2
        moved = edge.stretch(cut, -middle if bold else middle)
        if moved is None:
            high = middle
            continue
        share, _ = share_and_error(case.witnesses, moved, case.kernel)
        if bold == (share >= level):
            low = middle
        else:
            high = middle
    return low if bold else high if level > 0.0 else 0


def _decades(past: _PastYears) -> Decades:
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


def _threshold(
    first_day: int, minimum_c: FloatArray, cut: int, threshold_c: float
) -> ThresholdDates:
    """Dates of one temperature at the published levels."""
    axis = fold_axis(first_day, minimum_c.size)
    folded = -fold_highest(axis, np.where(np.isnan(minimum_c), -np.inf, -minimum_c))
    folded[np.isinf(folded)] = np.nan
    dates = event_dates(folded, cut, np.array([threshold_c]))

    def day(column: float | None) -> str | None:
        return None if column is None else month_day(cut + round(column))

    levels = []
    for level in LEVELS:
        spring = date_odds(dates.last[0], dates.observed, level, spring=True)
        autumn = date_odds(dates.first[0], dates.observed, level, spring=False)
        levels.append(
            ThresholdLevel(
                probability=level,
                spring_if_it_happens=day(spring.if_it_happens),
                spring_in_any_year=day(spring.in_any_year),
                autumn_if_it_happens=day(autumn.if_it_happens),
                autumn_in_any_year=day(autumn.in_any_year),
            )
        )
    return ThresholdDates(
        threshold_c=threshold_c,
        seasons=int(dates.observed.sum()),
        seasons_with_event=int((~np.isnan(dates.last[0])).sum()),
        levels=tuple(levels),
    )
