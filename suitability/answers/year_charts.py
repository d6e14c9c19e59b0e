"""
The charts of a year: the weeks of each group, over where it stands, and the place's own year.

Days of the year are 0 to 364 from 1 January; a stretch may cross New Year.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from suitability.advice.growth_year import Phase
from suitability.advice.terms import Verdict
from suitability.answers import phases, words
from suitability.answers.check_charts import (
    IN_A_ROOM,
    STATES,
    out_words,
    pieces_of,
    state_words,
    states_of_days,
)
from suitability.answers.sheet import Chart, Key
from suitability.brief import MONTHS
from suitability.climate.days import day_of_year
from suitability.units import TemperatureUnit, fahrenheit_from_celsius

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from suitability.advice.growth_year import (
        CourseWeek,
        GrowthYear,
        GrowthYearResult,
        PhaseRun,
        SpotCourse,
    )
    from suitability.answers.check_charts import Piece

NOT_KNOWN = "no calendar"
ACROSS = "day of the year, standard time"


class WeekStretch(Struct, frozen=True, kw_only=True):
    """
    A stretch of one row.

    Attributes
    ----------
    row
        Counts from 0, the first on top.
    start
        Day of the year on which it begins.
    days
        1 to 365; beyond 31 December it goes on at 1 January.
    texts
        What may be written on it, the longest first: the first that fits is.
    told
        What is said of it: lines.
    """

    row: int
    start: int
    days: int
    texts: tuple[str, ...]
    told: tuple[str, ...]


class WeekTrack(Struct, frozen=True, kw_only=True):
    """
    All stretches of one kind.

    Attributes
    ----------
    look
        A phase, a state of where plants stand, or "unknown".
    name
        In a legend.
    """

    look: str
    name: str
    stretches: tuple[WeekStretch, ...]


class Weeks(Struct, frozen=True, kw_only=True):
    """
    What the chart of all groups draws.

    Attributes
    ----------
    rows
        The label of each group.
    phases, places
        Only those that occur.
    unknown
        Groups without a calendar; None if all have one.
    months
        Their names.
    """

    rows: tuple[str, ...]
    phases: tuple[WeekTrack, ...]
    places: tuple[WeekTrack, ...]
    unknown: WeekTrack | None
    months: tuple[str, ...]
    title_across: str


class CourseLine(Struct, frozen=True, kw_only=True):
    """
    A line of the place's own year.

    Attributes
    ----------
    look
        `day`, `night` or `length`.
    name
        In a legend.
    unit
        Of its values.
    values
        Of each week; None where it was not observed.
    told
        What is said of each week.
    """

    look: str
    name: str
    unit: str
    values: tuple[float | None, ...]
    told: tuple[str, ...]


class Course(Struct, frozen=True, kw_only=True):
    """
    What the chart of the place's own year draws.

    Attributes
    ----------
    middles
        Days from 1 January to the middle of each week.
    temperatures
        Lines on the scale at the left.
    length
        The length of the day, in h, on the scale at the right.
    """

    middles: tuple[float, ...]
    temperatures: tuple[CourseLine, ...]
    length: CourseLine
    months: tuple[str, ...]
    title_across: str
    title_left: str
    title_right: str


# The weeks of each group -------------------------------------------------------------------------

COMING_IN_DAYS = 7  # up to the day on which it is carried in
COMING_IN = "moving in: the last week"


def weeks_chart(result: GrowthYearResult, title: str) -> Chart:
    """The chart of all groups of all spots."""
    return Chart(
        name="weeks",
        title=title,
        spec=weeks(result),
        key=phases_key(result.results),
        told=_weeks_told(result, title),
    )


def _weeks_told(result: GrowthYearResult, title: str) -> str:
    """When each group grows, in words."""
    said: dict[str, list[str]] = {}
    for year in result.results:
        grows = " and ".join(phases.phase_dates(year, Phase.GROWING)) or "at no time"
        when = f"in growth {grows}" if year.runs else NOT_KNOWN
        said.setdefault(when, []).append(phases.year_label(year, result, longest=20))
    told = "; ".join(f"{', '.join(names)}: {when}" for when, names in said.items())
    return f"{title} {told}."


def phases_key(years: Sequence[GrowthYear]) -> tuple[Key, ...]:
    """What the fills and hatches of phases and places mean."""
    keys = [Key(sign=phase.value, text=phase.value) for phase in Phase]
    if any(not year.runs for year in years):
        keys.append(Key(sign="unknown", text=f"{NOT_KNOWN}: too little is known"))
    told = state_words(year.indoors for year in years)
    standing = dict.fromkeys(track.look for track in standing_tracks(years))
    return (
        *keys,
        *(Key(sign=f"strip-{state}", text=f"below: {told[state]}") for state in standing),
    )


def weeks(result: GrowthYearResult) -> Weeks:
    """What is drawn of all groups."""
    years = result.results
    unknown = tuple(
        WeekStretch(
            row=row,
            start=0,
            days=words.DAYS,
            texts=(NOT_KNOWN,),
            told=(_name(year), phases.withheld(year)),
        )
        for row, year in enumerate(years)
        if not year.runs
    )
    return Weeks(
        rows=words.distinct(phases.year_label(year, result, longest=20) for year in years),
        phases=phase_tracks(years),
        places=standing_tracks(years),
        unknown=WeekTrack(look="unknown", name=NOT_KNOWN, stretches=unknown) if unknown else None,
        months=MONTHS,
        title_across=ACROSS,
    )


def phase_tracks(years: Sequence[GrowthYear], *, named: bool = True) -> tuple[WeekTrack, ...]:
    """
    The weeks of each phase that occurs.

    Without names neither the group is told nor its water and feed, which stand beside the chart of
    one group.
    """
    tracks = [
        WeekTrack(
            look=phase.value,
            name=phase.value,
            stretches=tuple(
                _stretch(row, run, _run_texts(run), _run_told(year, run, named=named))
                for row, year in enumerate(years)
                for run in year.runs
                if run.phase is phase
            ),
        )
        for phase in (Phase.GROWING, Phase.WAKING, Phase.SLOWING, Phase.RESTING)  # dark to light
    ]
    return _occurring(tracks)


def standing_tracks(years: Sequence[GrowthYear]) -> tuple[WeekTrack, ...]:
    """
    Where the plants of each group stand by days, and whether they grow there, as check draws it.

    The week before one is carried in lies on top.
    """
    stretches: dict[str, list[WeekStretch]] = {state: [] for state in STATES}
    coming_in = []
    for row, year in enumerate(years):
        if not year.runs:
            continue
        for piece in _pieces(year):
            stretches[piece.state].append(_days(row, piece.start, piece.days, piece.told))
        season = year.season
        if year.verdict is Verdict.SEASONAL and season is not None and season.days < words.DAYS:
            start = (day_of_year(season.inn) - COMING_IN_DAYS + 1) % words.DAYS
            told = (_name(year), f"moving in: the week up to {words.day_month(season.inn)}")
            coming_in.append(_days(row, start, COMING_IN_DAYS, told))
    tracks = [
        WeekTrack(look=state, name=STATES[state], stretches=tuple(some))
        for state, some in stretches.items()
    ]
    tracks.append(WeekTrack(look="moving", name=COMING_IN, stretches=tuple(coming_in)))
    return _occurring(tracks)


def _pieces(year: GrowthYear) -> tuple[Piece, ...]:
    """The days of a year by where the plant stands."""
    states = states_of_days(
        year.verdict,
        year.season,
        survival=year.survival_season,
        growing=year.growing_seasons,
    )
    when = out_words(year.verdict, year.season, indoors=year.indoors)
    told = IN_A_ROOM if year.indoors else STATES
    return pieces_of(states, lambda state: (_name(year), told[state], when))


def _days(row: int, start: int, days: int, told: tuple[str, ...]) -> WeekStretch:
    return WeekStretch(row=row, start=start, days=days, texts=(), told=told)


def _occurring(tracks: Iterable[WeekTrack]) -> tuple[WeekTrack, ...]:
    return tuple(track for track in tracks if track.stretches)


def _stretch(row: int, run: PhaseRun, texts: tuple[str, ...], told: tuple[str, ...]) -> WeekStretch:
    """Whole weeks as days; the last week of the year has one more."""
    last_of_year = run.first_week + run.weeks > 52
    return WeekStretch(
        row=row,
        start=7 * (run.first_week - 1),
        days=7 * run.weeks + last_of_year,
        texts=texts,
        told=told,
    )


def _run_texts(run: PhaseRun) -> tuple[str, ...]:
    """Phase and dates, as long as there is room: at least the day on which it begins."""
    dates, first = phases.run_dates(run), words.day_month(run.first_day, short=True)
    return (f"{run.phase.value} {dates}", dates, first, first.replace(" ", "\n"))


def _run_told(year: GrowthYear, run: PhaseRun, *, named: bool) -> tuple[str, ...]:
    """One run in words."""
    when = phases.run_dates(run, short=False)
    if not named:
        return run.phase.value, when
    cared = (("water", run.water), ("feed", run.feed))
    return (
        f"{_name(year)}: {run.phase.value}",
        when,
        *(f"{what}: {words.clean(text, 90)}" for what, text in cared),
    )


def _name(year: GrowthYear) -> str:
    return words.full_name(year, 80)


# The place's own year ----------------------------------------------------------------------------

_COURSE_NOTE = (
    "Solid: mean night minimum. Dashed: mean day maximum. Dotted, right scale: length of the day."
)


def course_chart(own: SpotCourse, name: str, title: str, units: TemperatureUnit) -> Chart:
    """
    The chart of the year of one spot.

    Parameters
    ----------
    name
        Of the chart, the only one of it in its sheet.
    """
    return Chart(name=name, title=title, spec=course(own, units), notes=(_COURSE_NOTE,))


def course(own: SpotCourse, units: TemperatureUnit) -> Course:
    """What is drawn of the year of one spot."""
    day = tuple(_in_unit(week.day_c, units) for week in own.weeks)
    night = tuple(_in_unit(week.night_c, units) for week in own.weeks)
    length = tuple(round(week.day_length_h, 2) for week in own.weeks)
    return Course(
        middles=tuple(7 * (week.week - 1) + week.days / 2 for week in own.weeks),
        temperatures=(
            _line("day", "day maximum", units.symbol, day, own.weeks),
            _line("night", "night minimum", units.symbol, night, own.weeks),
        ),
        length=_line("length", "day length", "h", length, own.weeks),
        months=MONTHS,
        title_across=ACROSS,
        title_left=f"temperature, {units.symbol}",
        title_right="day length, h",
    )


def _line(
    look: str,
    name: str,
    unit: str,
    values: tuple[float | None, ...],
    weeks_of: Sequence[CourseWeek],
) -> CourseLine:
    """A line with what is said of each week."""
    told = tuple(
        f"week {week.week}, {name}: {words.UNKNOWN if value is None else value:} {unit}"
        for week, value in zip(weeks_of, values, strict=True)
    )
    return CourseLine(look=look, name=name, unit=unit, values=values, told=told)


def _in_unit(value_c: float | None, units: TemperatureUnit) -> float | None:
    """A temperature in the reader's unit, to a tenth."""
    if value_c is None:
        return None
    return round(value_c if units is TemperatureUnit.C else fahrenheit_from_celsius(value_c), 1)
