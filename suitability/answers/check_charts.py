"""Charts of check: the year of each group as a bar, and hours below the floor month by month."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from suitability.advice.verdicts import Verdict
from suitability.answers import words
from suitability.answers.sheet import Chart, Key
from suitability.answers.words import DAYS
from suitability.climate.days import day_of_year
from suitability.units import TemperatureUnit, show_temperature

if TYPE_CHECKING:
    from suitability.advice.result import CheckResult, Finding
    from suitability.advice.terms import Season

__all__ = [
    "NOTE",
    "STATES",
    "HoursMap",
    "HoursRow",
    "MonthCell",
    "Piece",
    "YearBars",
    "YearRow",
    "hours_chart",
    "hours_map",
    "hours_title",
    "row_labels",
    "year_bars",
    "year_chart",
    "year_pieces",
    "year_title",
]

STATES = {  # where a plant stands, in words
    "outdoors": "outdoors",
    "moving": "moving out: two weeks of hardening",
    "survives": "would survive outdoors, does not grow",
    "indoors": "indoors",
    "unknown": "no verdict: too little is known",
}
HARDENING_DAYS = 14
LABELLED_DAYS = 70  # a stretch at least so long has its dates written on it
NAMED = 3  # groups that a headline names before it counts them
LABEL_LONGEST = 20  # characters of a name beside its row


class Piece(Struct, frozen=True, kw_only=True):
    """
    A stretch of one group's year within 1 January to 31 December: first day and days.

    Attributes
    ----------
    state
        One of `STATES`.
    text
        What is written on it; often nothing.
    told
        Lines that tell of it in full.
    """

    state: str
    start: int
    days: int
    text: str
    told: tuple[str, ...]


class YearRow(Struct, frozen=True, kw_only=True):
    """The year of one group; no two labels of a chart are the same."""

    label: str
    pieces: tuple[Piece, ...]


class YearBars(Struct, frozen=True, kw_only=True):
    """
    What the chart draws: rows from the top, and the words of each state.

    Attributes
    ----------
    states
        Each state that a piece may have, and its words, in the order of a key.
    """

    rows: tuple[YearRow, ...]
    states: tuple[tuple[str, str], ...]
    months: tuple[str, ...]
    title_across: str


def year_chart(result: CheckResult, units: TemperatureUnit) -> Chart:
    """The year of each group: the fortnight from the first day out is that of moving."""
    judged = all(finding.verdict is not Verdict.NONE for finding in result.results)
    key = tuple(
        Key(sign=state, text=text)
        for state, text in STATES.items()
        if not (judged and state == "unknown")
    )
    return Chart(name="year", title=year_title(result, units), spec=year_bars(result), key=key)


def year_title(result: CheckResult, units: TemperatureUnit) -> str:
    """What is found, in a sentence; of one group all that a grower is told first."""
    place = words.clean(result.place.name, 80)
    rooms = {spot.name for spot in result.spots if spot.room is not None}
    if len(result.results) == 1:
        finding = result.results[0]
        name = f"{words.full_name(finding)} {words.at_place(finding, result.place.name)}"
        return words.answer(finding, units, name, indoors=finding.spot in rooms)
    if len(result.results) <= NAMED:
        each = "; ".join(_in_short(finding, result, rooms) for finding in result.results)
        return f"At {place}, {each}."
    counts = words.counted_verdicts(
        [one.verdict for one in result.results],
        [one.spot in rooms for one in result.results],
        [words.weight(one) for one in result.results],
    )
    return f"Of {words.counted(result.results)} at {place}: {counts}."


def _in_short(finding: Finding, result: CheckResult, rooms: set[str]) -> str:
    """One of a few: its verdict, and its dates."""
    name = words.finding_label(finding, result, key=False)
    verdict = words.verdict_words(finding.verdict, indoors=finding.spot in rooms)
    when = f", {words.season_of(finding)}" if finding.verdict is Verdict.SEASONAL else ""
    when += f" ({', '.join(words.minded(finding))})" if words.minded(finding) else ""
    return f"{name}: {verdict}{when}"


def row_labels(result: CheckResult) -> tuple[str, ...]:
    """One label a finding, all different."""
    return words.distinct(
        words.finding_label(finding, result, longest=LABEL_LONGEST) for finding in result.results
    )


def year_bars(result: CheckResult) -> YearBars:
    """What is drawn."""
    return YearBars(
        rows=tuple(
            YearRow(label=label, pieces=year_pieces(finding))
            for label, finding in zip(row_labels(result), result.results, strict=True)
        ),
        states=tuple(STATES.items()),
        months=words.MONTHS,
        title_across="day of the year, standard time",
    )


def year_pieces(finding: Finding) -> tuple[Piece, ...]:
    """The year of one group in pieces that do not overlap and fill it, in order of days."""
    state_of = _states_of_days(finding)
    pieces = []
    start = 0
    for at in range(1, DAYS + 1):
        if at == DAYS or state_of[at] != state_of[start]:
            pieces.append(_piece(finding, state_of[start], start, at - start))
            start = at
    return tuple(pieces)


def _states_of_days(finding: Finding) -> list[str]:
    """The state of each day of the year."""
    if finding.verdict is Verdict.NONE:
        return ["unknown"] * DAYS
    states = ["indoors"] * DAYS
    if finding.verdict is Verdict.ALL_YEAR:
        return ["outdoors"] * DAYS
    _paint(states, finding.survival_season, "survives")
    if finding.verdict is Verdict.SEASONAL and finding.season is not None:
        _paint(states, finding.season, "outdoors")
        if finding.season.days < DAYS:
            for later in range(min(HARDENING_DAYS, finding.season.days)):
                states[(day_of_year(finding.season.out) + later) % DAYS] = "moving"
    return states


def _paint(states: list[str], season: Season | None, state: str) -> None:
    """Give the days of a season a state."""
    if season is not None:
        first = day_of_year(season.out)
        for later in range(min(season.days, DAYS)):
            states[(first + later) % DAYS] = state


def _piece(finding: Finding, state: str, start: int, days: int) -> Piece:
    """A piece with its words."""
    text = ""
    if state == "outdoors" and days >= LABELLED_DAYS:
        all_year = finding.verdict is Verdict.ALL_YEAR
        text = "all year" if all_year else words.season_of(finding, short=True)
    elif state in {"indoors", "unknown"} and days >= DAYS:
        text = STATES[state]
    return Piece(state=state, start=start, days=days, text=text, told=_told(finding, state))


def _told(finding: Finding, state: str) -> tuple[str, ...]:
    """What is told of a piece in full."""
    name = words.full_name(finding)
    lines = [f"{name}: {words.VERDICT_WORDS[finding.verdict]}", STATES[state]]
    if state in {"outdoors", "moving"} and finding.season is not None:
        if finding.season.days >= DAYS:
            lines.append(words.season_of(finding))
        else:
            out, inn = words.day_month(finding.season.out), words.day_month(finding.season.inn)
            lines.append(f"out from {out}, carried in on {inn}: {finding.season.days} days")
            lines += filter(None, [words.no_growth_yet(finding)])
        lines.append(f"kept by {finding.years_kept} of {finding.years_counted} years")
    if state == "survives":
        lines.append(f"free of nights that harm: {words.season(finding.survival_season)}")
    return tuple(lines)


MONTH_HOURS = 744  # of the longest month: the end of the scale
QUARTER_HOURS = MONTH_HOURS // 4
NOTE = (
    "Each number: hours of a mean month that are colder than the group's growth floor. The darker, "
    f"the more hours; from half of the month on, dark. {words.UNKNOWN}: not observed well enough."
)


class MonthCell(Struct, frozen=True, kw_only=True):
    """One month of one group: its hours (None: not known), as written, and lines that tell all."""

    hours: float | None
    text: str
    told: tuple[str, ...]


class HoursRow(Struct, frozen=True, kw_only=True):
    """Twelve months of one group; no two labels of a chart are the same."""

    label: str
    months: tuple[MonthCell, ...]


class HoursMap(Struct, frozen=True, kw_only=True):
    """
    What the chart draws: rows from the top, months across.

    Attributes
    ----------
    marks
        Numbers of the scale, h, and their words; the last one is its end.
    """

    rows: tuple[HoursRow, ...]
    months: tuple[str, ...]
    title_across: str
    scale_title: str
    marks: tuple[tuple[int, str], ...]


def hours_chart(result: CheckResult, units: TemperatureUnit) -> Chart:
    """Hours below the floors in a mean month, with the bad year told beside them."""
    return Chart(
        name="hours", title=hours_title(result), spec=hours_map(result, units), notes=(NOTE,)
    )


def hours_title(result: CheckResult) -> str:
    """What is found, in a sentence: the month with most hours below the floors."""
    totals = []
    for month in range(12):
        known = [one.hours_below.months[month] for one in result.results]
        values = [value for value in known if value is not None]
        if values:
            totals.append((max(values), -month))
    if not totals:
        return "Hours below the growth floor: no month was observed well enough."
    most, month = max(totals)
    if most == 0.0:
        return "No group spends an hour below its growth floor in a mean year."
    return (
        f"{words.MONTHS[-month]} has the most hours below a growth floor: up to "
        f"{words.hours(most)} h in a mean year."
    )


def hours_map(result: CheckResult, units: TemperatureUnit) -> HoursMap:
    """What is drawn."""
    return HoursMap(
        rows=tuple(
            HoursRow(label=label, months=_months(finding, units))
            for label, finding in zip(row_labels(result), result.results, strict=True)
        ),
        months=words.MONTHS,
        title_across="month, standard time",
        scale_title=f"hours a month below the floor; {MONTH_HOURS} h: all of it",
        marks=tuple((hours, f"{hours} h") for hours in range(0, MONTH_HOURS + 1, QUARTER_HOURS)),
    )


def _months(finding: Finding, units: TemperatureUnit) -> tuple[MonthCell, ...]:
    """The months of one group."""
    name = words.full_name(finding)
    floor = show_temperature(finding.thresholds.floor_c, units)
    cells = []
    for month, mean, bad, years in zip(
        words.MONTHS,
        finding.hours_below.months,
        finding.hours_below_bad,
        finding.years_of_month,
        strict=True,
    ):
        told = (
            (f"{name}, {month}: not observed well enough",)
            if mean is None
            else (
                f"{name}, {month}",
                f"{words.hours(mean)} h below {floor} in a mean year",
                f"{words.hours(bad)} h in a bad year (one in ten)",
                f"from {years} years",
            )
        )
        cells.append(MonthCell(hours=mean, text=words.hours(mean), told=told))
    return tuple(cells)
