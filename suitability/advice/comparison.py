"""
Comparison: which spot, at one place or several, suits which group, and whether that can be told.

The order of spots for a group is that of their verdicts, then of the days of their seasons, then of
unsafe nights a year, then of years that met its rest, then of hours below the floor. Beside each
pair that follows one another stands the difference in unsafe nights and in hours a year with its
90 % interval: the scatter of years, paired where the years are the same, and the range of what is
known of each spot.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from suitability.advice import robustness, verdicts
from suitability.advice.at_spots import records_at_spots
from suitability.advice.checking import carried_of, season_of
from suitability.advice.preparing import build_cases, lay_out_spots, years_asked
from suitability.advice.reasons import limiting_causes
from suitability.advice.resting import find_rest, lay_out_resting
from suitability.advice.result import Credit, SpotEnds
from suitability.advice.verdicts import Verdict
from suitability.climate.cold import trailing_sum
from suitability.climate.days import gather, local_hour
from suitability.climate.fitting import student_95
from suitability.climate.observing import plant_years
from suitability.climate.states import unsafe_nights
from suitability.spots.spot import LIGHT_CLASSES, End, Spot

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from suitability.advice.preparing import CheckOptions
    from suitability.advice.result import CarriedNights, Limiting, RestFinding, Season
    from suitability.advice.verdicts import Case, Decision
    from suitability.climate.states import SpotNights
    from suitability.groups.group import Needs
    from suitability.places import Place
    from suitability.weather.record import Record

__all__ = [
    "Comparison",
    "Difference",
    "Row",
    "Site",
    "compare_sites",
    "light_of",
    "order_of",
]

FloatArray = NDArray[np.float64]

YEAR_HOURS = 8766.0
FEWEST_PAIRS = 5  # years from which the scatter of a difference is told


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """A place with its record, the spots asked about there, and what is asked of the record."""

    record: Record
    place: Place
    spots: tuple[Spot, ...]
    options: CheckOptions


@dataclass(frozen=True, slots=True, kw_only=True)
class _Years:
    """By plant year, cut at mid-summer: unsafe nights, hours below the floor; nan if unknown."""

    first: int
    cut: int
    unsafe: FloatArray
    hours: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """
    One group at one spot of one place.

    Attributes
    ----------
    place, spot, group, group_name
    verdict, ends
        At the usual numbers of the spot; at both ends of its range, None without one.
    season
    years_usable
    unsafe_nights, unsafe_nights_worst
        A year, in the median and in the worst of the usable years; None without any.
    worst_dose_c_h
        Heaviest cold of 14 nights on record.
    hours_below, heat_hours
        A year on the mean: below the growth floor, above the ceiling (None without a ceiling).
    rest
    carried
    moves
        How often a year one plant is carried by its season: 2, or 0.
    margin_c
    light
        `fits`, `darker`, `brighter` than the group wants, or `not-said`.
    limiting
    """

    place: str
    spot: str
    group: str
    group_name: str
    verdict: Verdict
    ends: SpotEnds | None
    season: Season | None
    years_usable: int
    unsafe_nights: float | None
    unsafe_nights_worst: float | None
    worst_dose_c_h: float
    hours_below: float | None
    heat_hours: float | None
    rest: RestFinding
    carried: CarriedNights | None
    moves: int
    margin_c: float | None
    light: str
    limiting: tuple[Limiting, ...]

    @property
    def days(self) -> int:
        """Days of the season outdoors; 0 where the verdict allows none."""
        return 0 if self.season is None else self.season.days


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """
    One spot less another, for one group, with 90 % intervals; None where too few years tell.

    `told_apart` is None where neither difference could be formed.
    """

    group: str
    better: tuple[str, str]
    other: tuple[str, str]
    reason: str
    unsafe_nights: tuple[float, float, float] | None
    hours_below: tuple[float, float, float] | None
    years: int
    told_apart: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """
    Rows by place, spot and group as asked for, and neighbours in each group's order.

    `credits` has one for each place.
    """

    places: tuple[Place, ...]
    credits: tuple[Credit, ...]
    promise: float
    rows: tuple[Row, ...]
    differences: tuple[Difference, ...]


def compare_sites(
    sites: Sequence[Site], groups: Sequence[Needs], light_classes: Mapping[str, str | None]
) -> Comparison:
    """
    All groups at all spots of all places.

    Parameters
    ----------
    sites
        At least one; records after the checks of quality.
    groups
    light_classes
        Group key to the light it wants.

    Raises
    ------
    RecordError
        Nothing of a record lies in the years asked for.
    """
    rows: list[Row] = []
    years: dict[tuple[str, str, str], dict[End, _Years]] = {}
    for site in sites:
        _compare_site(site, groups, light_classes, rows, years)
    differences = []
    for needs in groups:
        ordered = order_of([row for row in rows if row.group == needs.key])
        for better, other in pairwise(ordered):
            differences.append(_difference(better, other, years))
    return Comparison(
        places=tuple(site.place for site in sites),
        credits=tuple(Credit.of(site.record) for site in sites),
        promise=sites[0].options.rules.promise,
        rows=tuple(rows),
        differences=tuple(differences),
    )


def _key(row: Row) -> tuple[str, str, str]:
    return row.place, row.spot, row.group


def _compare_site(
    site: Site,
    groups: Sequence[Needs],
    light_classes: Mapping[str, str | None],
    rows: list[Row],
    years: dict[tuple[str, str, str], dict[End, _Years]],
) -> None:
    """Add the rows and the years of one place; one spot at a time, for its nights fill memory."""
    used = years_asked(site.record, site.place, site.options)
    start = local_hour(used.start_hour, site.place.utc_offset_hours)
    at_ends = {end: records_at_spots(used, site.place, site.spots, end) for end in End}
    for number, spot in enumerate(site.spots):
        records = {end: at_spots[number] for end, at_spots in at_ends.items()}
        grades: dict[End, list[Verdict]] = {}
        told: dict[End, list[_Years]] = {}
        for end in (End.LOW, End.HIGH) if spot.has_range else ():
            cases = _cases(site, used, spot, groups, records[end])
            grades[end] = [verdicts.grade(case) for case in cases]
            hours_by_year = _hours_by_year(cases[0].nights)
            told[end] = [
                _years(case, hours_by_year(needs.floor_c))
                for case, needs in zip(cases, groups, strict=True)
            ]
        cases = _cases(site, used, spot, groups, records[End.USUAL])
        hours_by_year = _hours_by_year(cases[0].nights)
        worst_dose = _worst_doses(cases[0].nights)
        heat_hours = _heat_hours(records[End.USUAL])
        period = lay_out_resting(cases[0].nights, used.prcp_mm, start, roofed=spot.roofed)
        for at, (needs, case, carried) in enumerate(
            zip(groups, cases, carried_of(cases), strict=True)
        ):
            here = {end: by_group[at] for end, by_group in told.items()}
            here[End.USUAL] = _years(case, hours_by_year(needs.floor_c))
            years[site.place.name, spot.name, needs.key] = here
            decision = verdicts.decide(case)
            rain_unknown = used.prcp_mm is None and not spot.roofed
            rows.append(
                _row(
                    needs,
                    case,
                    decision,
                    here[End.USUAL],
                    place=site.place.name,
                    spot=spot.name,
                    ends=SpotEnds(low=grades[End.LOW][at], high=grades[End.HIGH][at])
                    if grades
                    else None,
                    carried=carried,
                    rest=find_rest(needs, decision, period, rain_unknown=rain_unknown),
                    worst_dose_c_h=worst_dose(needs.chill_base_c),
                    heat_hours=heat_hours(needs.ceiling_c),
                    light=light_of(spot.light, light_classes.get(needs.key)),
                )
            )


def _cases(
    site: Site, used: Record, spot: Spot, groups: Sequence[Needs], at_spot: Record
) -> list[Case]:
    """All groups at one end of a spot, ready to be judged as it is and warmer."""
    (nights,) = lay_out_spots(
        used, site.place, [spot], groups, site.options, at_spots=[at_spot], colder_c=0.0
    )
    return build_cases(nights, groups, site.options.rules)


def _row(
    needs: Needs,
    case: Case,
    decision: Decision,
    years: _Years,
    *,
    place: str,
    spot: str,
    ends: SpotEnds | None,
    carried: CarriedNights | None,
    rest: RestFinding,
    worst_dose_c_h: float,
    heat_hours: float | None,
    light: str,
) -> Row:
    verdict = decision.verdict
    outdoors = verdict in (Verdict.ALL_YEAR, Verdict.SEASONAL)
    known = years.unsafe[~np.isnan(years.unsafe)]
    hours = years.hours[~np.isnan(years.hours)]
    return Row(
        place=place,
        spot=spot,
        group=needs.key,
        group_name=needs.name,
        verdict=verdict,
        ends=ends,
        season=season_of(decision.season) if outdoors else None,
        years_usable=decision.years_usable,
        unsafe_nights=float(np.median(known)) if known.size else None,
        unsafe_nights_worst=float(known.max()) if known.size else None,
        worst_dose_c_h=worst_dose_c_h,
        hours_below=float(hours.mean()) if hours.size else None,
        heat_hours=heat_hours,
        rest=rest,
        carried=carried if outdoors else None,
        moves=2 if verdict is Verdict.SEASONAL else 0,
        margin_c=robustness.find_margin(case, verdict),
        light=light,
        limiting=limiting_causes(case, decision),
    )


def _hours_by_year(nights: SpotNights) -> Callable[[float], FloatArray]:
    """Hours below a floor in each plant year; remembers what it was asked."""

    @cache
    def hours_by_year(floor_c: float) -> FloatArray:
        below = np.nan_to_num(gather(nights.axis, nights.cold.hours_below(floor_c)))
        hours: FloatArray = plant_years(below, nights.summer, outside=0.0).sum(axis=1)
        return hours

    return hours_by_year


def _years(case: Case, hours: FloatArray) -> _Years:
    """Unsafe nights and hours below the floor of each plant year, cut at mid-summer."""
    nights = case.nights
    usable = case.observed.summer_usable
    unsafe = plant_years(unsafe_nights(case.lack), nights.summer, outside=False).sum(axis=1)
    return _Years(
        first=nights.axis.first_year,
        cut=nights.summer,
        unsafe=np.where(usable, unsafe, np.nan),
        hours=np.where(usable, hours, np.nan),
    )


def _worst_doses(nights: SpotNights) -> Callable[[float], float]:
    """Heaviest cold of 14 nights on record below a chill base; remembers what it was asked."""

    @cache
    def worst_dose(chill_base_c: float) -> float:
        return float(trailing_sum(nights.dose.degree_hours_below(chill_base_c)).max())

    return worst_dose


def _heat_hours(at_spot: Record) -> Callable[[float | None], float | None]:
    """Observed hours above a ceiling, a year of 8,766 h; None without a ceiling or an hour."""
    temp_c = at_spot.temp_c[at_spot.counted & ~np.isnan(at_spot.temp_c)]

    @cache
    def heat_hours(ceiling_c: float | None) -> float | None:
        if ceiling_c is None or not temp_c.size:
            return None
        share = np.count_nonzero(temp_c > ceiling_c + 1e-9) / temp_c.size
        return float(share * YEAR_HOURS)

    return heat_hours


def light_of(spot_light: str | None, group_light: str | None) -> str:
    """
    How the light of a spot suits a group.

    Examples
    --------
    >>> light_of("low", "bright"), light_of("bright", "bright"), light_of(None, "bright")
    ('darker', 'fits', 'not-said')
    """
    if spot_light is None or group_light is None:
        return "not-said"
    apart = LIGHT_CLASSES.index(spot_light) - LIGHT_CLASSES.index(group_light)
    return "fits" if apart == 0 else "brighter" if apart > 0 else "darker"


def order_of(rows: Sequence[Row]) -> list[Row]:
    """The rows of one group, the best spot first; equal ones as they stood."""

    def key(row: Row) -> tuple[float, float, float, float, float]:
        unsafe = math.inf if row.unsafe_nights is None else row.unsafe_nights
        hours = math.inf if row.hours_below is None else row.hours_below
        return -row.verdict.rank, -row.days, unsafe, -_rest_share(row), hours

    return sorted(rows, key=key)


def _rest_share(row: Row) -> float:
    """Share of years that met a rest on which flowers hang; 1 where none is needed."""
    rest = row.rest
    if not rest.needed or not rest.of_years:
        return 0.0 if rest.needed else 1.0
    return (rest.met_years or 0) / rest.of_years


def _difference(
    better: Row, other: Row, years: Mapping[tuple[str, str, str], Mapping[End, _Years]]
) -> Difference:
    """How far the better of two rows is from the other, and whether that can be told."""
    first, second = years[_key(better)], years[_key(other)]
    unsafe, pairs = _interval(first, second, "unsafe")
    hours, _ = _interval(first, second, "hours")
    found = [one for one in (unsafe, hours) if one is not None]
    told = any(low > 0.0 or high < 0.0 for _, low, high in found) if found else None
    return Difference(
        group=better.group,
        better=(better.place, better.spot),
        other=(other.place, other.spot),
        reason=_reason(better, other),
        unsafe_nights=unsafe,
        hours_below=hours,
        years=pairs,
        told_apart=told,
    )


def _interval(
    first: Mapping[End, _Years], second: Mapping[End, _Years], what: str
) -> tuple[tuple[float, float, float] | None, int]:
    """Mean difference a year with its 90 % interval, and the number of years or pairs."""
    by_year = _paired(first[End.USUAL], second[End.USUAL], what)
    if by_year is not None and by_year.size >= FEWEST_PAIRS:
        difference = float(by_year.mean())
        number = by_year.size
        scatter = float(by_year.std(ddof=1)) / math.sqrt(number)
    else:  # other years: each mean has its own scatter
        one, two = (_known(years[End.USUAL], what) for years in (first, second))
        number = min(one.size, two.size)
        if number < FEWEST_PAIRS:
            return None, number
        difference = float(one.mean() - two.mean())
        scatter = math.sqrt(one.var(ddof=1) / one.size + two.var(ddof=1) / two.size)
    by_chance = student_95(number - 1.0) * scatter
    ranges = [_half_range(years, what) for years in (first, second)]
    half = math.hypot(by_chance, *ranges)
    return (difference, difference - half, difference + half), number


def _known(years: _Years, what: str) -> FloatArray:
    values: FloatArray = getattr(years, what)
    return values[~np.isnan(values)]


def _paired(first: _Years, second: _Years, what: str) -> FloatArray | None:
    """Differences of the years that both tell; None if they share none."""
    if first.cut != second.cut:  # years that begin on different days are not the same
        return None
    one, two = getattr(first, what), getattr(second, what)
    start = max(first.first, second.first)
    stop = min(first.first + one.size, second.first + two.size)
    if stop <= start:
        return None
    both: FloatArray = (
        one[start - first.first : stop - first.first]
        - (two[start - second.first : stop - second.first])
    )
    return both[~np.isnan(both)]


def _half_range(by_end: Mapping[End, _Years], what: str) -> float:
    """Half of how far the ends of what is known of a spot differ, a year on the mean."""
    if End.LOW not in by_end:
        return 0.0
    low, high = (_known(by_end[end], what) for end in (End.LOW, End.HIGH))
    if not low.size or not high.size:
        return 0.0
    return abs(float(low.mean() - high.mean())) / 2.0


def _reason(better: Row, other: Row) -> str:
    """What the order hangs on, in words."""
    words = {
        Verdict.ALL_YEAR: "all year",
        Verdict.SEASONAL: "a season",
        Verdict.INDOOR: "indoors only",
        Verdict.NONE: "no verdict",
    }
    if better.verdict is not other.verdict:
        return f"{words[better.verdict]} against {words[other.verdict]}"
    if better.days != other.days:
        return f"a season of {better.days} days against {other.days}"
    if better.unsafe_nights != other.unsafe_nights:
        return (
            f"{_number(better.unsafe_nights)} unsafe nights a year against "
            f"{_number(other.unsafe_nights)}"
        )
    if _rest_share(better) != _rest_share(other):
        return f"its rest is met in {_rest(better)} years against {_rest(other)}"
    if better.hours_below != other.hours_below:
        return (
            f"{_number(better.hours_below)} hours a year below the floor against "
            f"{_number(other.hours_below)}"
        )
    return "alike in all that is compared"


def _rest(row: Row) -> str:
    return f"{row.rest.met_years or 0} of {row.rest.of_years or 0}"


def _number(value: float | None) -> str:
    return "unknown" if value is None else f"{value:.0f}"
