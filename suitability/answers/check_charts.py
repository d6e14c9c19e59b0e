"""Charts of check: the year of each group as a bar, and hours below the floor month by month."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from suitability.advice.growth_runs import HARDENING_DAYS
from suitability.advice.terms import Verdict
from suitability.answers import words
from suitability.answers.ranking import best_first, happiest
from suitability.answers.sheet import Chart, Key
from suitability.answers.words import DAYS
from suitability.brief import MONTHS
from suitability.climate.days import day_of_year
from suitability.units import TemperatureUnit, show_temperature

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from suitability.advice.result import CheckResult, Finding
    from suitability.advice.terms import Season

STATES = {  # where a plant stands, in words
    "outdoors": "outdoors",
    "slowed": "outdoors, not growing",
    "moving": "moving out: two weeks",
    "survives": "would survive, not grow",
    "indoors": "indoors",
    "unknown": "no verdict: too little is known",
}
IN_A_ROOM = STATES | {
    "outdoors": "there",
    "slowed": "there, not growing",
    "moving": "moved there: two weeks",
    "survives": "would survive there, not grow",
    "indoors": "not there",
}
NAMED = 3  # groups that a headline names before it counts them
LABEL_LONGEST = 20  # characters of a name beside its row


class Piece(Struct, frozen=True, kw_only=True):
    """
    A stretch of one group's year within 1 January to 31 December: first day and days.

    Attributes
    ----------
    state
        One of `STATES`.
    told
        Lines that tell of it in full.
    """

    state: str
    start: int
    days: int
    told: tuple[str, ...]


class DatedBar(Struct, frozen=True, kw_only=True):
    """
    What is written on a bar, or beside it where it is too short.

    Attributes
    ----------
    start, days
        First day and days of the bar; of one that crosses New Year those of its longer part.
    outer
        First day and days of the bar with what belongs to it on either side.
    texts
        Its dates, the longest form first.
    """

    start: int
    days: int
    outer: tuple[int, int]
    texts: tuple[str, ...]


class YearRow(Struct, frozen=True, kw_only=True):
    """The year of one group; no two labels of a chart are the same."""

    label: str
    pieces: tuple[Piece, ...]
    dates: DatedBar


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
    spec = year_bars(result)
    return Chart(
        name="year",
        title=year_title(result, units),
        spec=spec,
        key=bars_key(spec),
        told=bars_told(
            (label, finding.verdict, finding.season, finding.indoors)
            for label, finding in zip(row_labels(result), result.results, strict=True)
        ),
    )


def bars_key(spec: YearBars) -> tuple[Key, ...]:
    """The states that occur, explained."""
    drawn = {piece.state for row in spec.rows for piece in row.pieces}
    return tuple(Key(sign=state, text=text) for state, text in spec.states if state in drawn)


def bars_told(cases: Iterable[tuple[str, Verdict, Season | None, bool]]) -> str:
    """
    What the bars find, in a sentence for those who do not see them.

    Parameters
    ----------
    cases
        Name, verdict, season, and whether the spot is in a room.
    """
    said: dict[str, list[str]] = {}
    for name, verdict, season, indoors in cases:
        said.setdefault(_stays(verdict, season, indoors=indoors), []).append(name.strip())
    return "; ".join(f"{', '.join(names)} {how}" for how, names in said.items()) + "."


def _stays(verdict: Verdict, season: Season | None, *, indoors: bool) -> str:
    """How long, as the end of a sentence."""
    if verdict is Verdict.SEASONAL and season is not None:
        if season.days >= DAYS:
            return "out, as nothing asks in"
        where = "there" if indoors else "out"
        return f"{where} from {words.day_month(season.out)} to {words.day_month(season.inn)}"
    if indoors and verdict is not Verdict.NONE:
        return words.verdict_words(verdict, indoors=True)
    return {
        Verdict.ALL_YEAR: "can stay out all year",
        Verdict.NONE: "without a verdict",
    }.get(verdict, "indoors all year")


def year_title(result: CheckResult, units: TemperatureUnit) -> str:
    """What is found, in a sentence; of one group all that a grower is told first."""
    place = words.clean(result.place.name, 80)
    if len(result.results) == 1:
        finding = result.results[0]
        name = f"{words.full_name(finding)} {words.at_place(finding, result.place.name)}"
        return words.answer(finding, units, name)
    if len(result.results) <= NAMED:
        each = "; ".join(_in_short(finding, result) for finding in result.results)
        return f"At {place}, {each}."
    of_all, best = f"Of {words.counted(result.results)} at {place}", happiest(result)
    return f"{of_all}, {best}." if best else f"{of_all}: {verdict_counts(result.results)}."


def verdict_counts(findings: Sequence[Finding]) -> str:
    """How often each verdict occurs."""
    return words.counted_verdicts(
        [one.verdict for one in findings],
        [one.indoors for one in findings],
        [words.weight(one) for one in findings],
    )


def _in_short(finding: Finding, result: CheckResult) -> str:
    """One of a few: its verdict, and its dates."""
    name = words.finding_label(finding, result, key=False)
    verdict = words.verdict_words(finding.verdict, indoors=finding.indoors)
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
    result = replace(result, results=tuple(best_first(result.results)))
    return bars_of(
        (
            YearRow(label=label, pieces=year_pieces(finding), dates=_dates(finding))
            for label, finding in zip(row_labels(result), result.results, strict=True)
        ),
        (finding.indoors for finding in result.results),
    )


def state_words(indoors: Iterable[bool]) -> dict[str, str]:
    """The states in the words of their key; `indoors` says of each row whether it is in a room."""
    rooms = set(indoors)
    if rooms != {True, False}:
        return IN_A_ROOM if True in rooms else STATES
    return STATES | {"outdoors": f"{STATES['outdoors']}, or {IN_A_ROOM['outdoors']} in a room"}


def bars_of(rows: Iterable[YearRow], indoors: Iterable[bool]) -> YearBars:
    """
    Rows of any answer as bars of one year.

    Parameters
    ----------
    indoors
        Of each row, whether its spot is in a room.
    """
    return YearBars(
        rows=tuple(rows),
        states=tuple(state_words(indoors).items()),
        months=MONTHS,
        title_across="day of the year, standard time",
    )


def year_pieces(finding: Finding) -> tuple[Piece, ...]:
    """The year of one group in pieces that do not overlap and fill it, in order of days."""
    states = states_of_days(
        finding.verdict,
        finding.season,
        survival=finding.survival_season,
        growing=finding.growing_seasons,
    )
    return pieces_of(states, lambda state: _told(finding, state))


def season_row(
    label: str, name: str, verdict: Verdict, season: Season | None, *, indoors: bool = False
) -> YearRow:
    """
    The row of an answer that tells no more than the season.

    Parameters
    ----------
    name
        Begins what is told of a piece.
    indoors
        Whether the spot is in a room.
    """
    states = IN_A_ROOM if indoors else STATES
    told = (
        f"{name}: {words.verdict_words(verdict, indoors=indoors)}",
        out_words(verdict, season, indoors=indoors),
    )
    return YearRow(
        label=label,
        pieces=pieces_of(states_of_days(verdict, season), lambda state: (*told, states[state])),
        dates=dates_of(verdict, season),
    )


def out_words(verdict: Verdict, season: Season | None, *, indoors: bool = False) -> str:
    """When a plant is out, or there in a room; "all year" only where the verdict says it."""
    where = IN_A_ROOM["outdoors"] if indoors else "out"
    if verdict is Verdict.SEASONAL and season is not None and season.days >= DAYS:
        return f"{where}: {words.nothing_asks_in(verdict)}"
    return f"{where}: {words.season(season)}"


def states_of_days(
    verdict: Verdict,
    season: Season | None,
    *,
    survival: Season | None = None,
    growing: tuple[Season, ...] | None = None,
) -> list[str]:
    """
    The state of each day of the year.

    Parameters
    ----------
    season
        Outdoors by the verdict.
    survival
        Free of nights that harm.
    growing
        Days out on which it grows, as results tell them; None: not told.
    """
    if verdict is Verdict.NONE:
        return ["unknown"] * DAYS
    states = ["indoors"] * DAYS
    out = "outdoors" if growing is None else "slowed"
    if verdict is Verdict.ALL_YEAR:
        states = [out] * DAYS
    else:
        _paint(states, survival, "survives")
    seasonal = verdict is Verdict.SEASONAL and season is not None
    if seasonal:
        _paint(states, season, out)
    if seasonal or verdict is Verdict.ALL_YEAR:
        for stretch in growing or ():  # of one that is nearly all year out, beyond its dates too
            _paint(states, stretch, "outdoors", over=out)
    if seasonal and season is not None and season.days < DAYS:
        _paint(states, replace(season, days=min(HARDENING_DAYS, season.days)), "moving")
    return states


def _paint(states: list[str], season: Season | None, state: str, *, over: str = "") -> None:
    """Give the days of a season a state; `over`: only those that have this one."""
    first, days = (0, 0) if season is None else (day_of_year(season.out), min(season.days, DAYS))
    for day in range(first, first + days):
        if not over or states[day % DAYS] == over:
            states[day % DAYS] = state


def pieces_of(states: Sequence[str], told: Callable[[str], tuple[str, ...]]) -> tuple[Piece, ...]:
    """Days of one state in a row, with what is told of each."""
    pieces = []
    start = 0
    for at in range(1, DAYS + 1):
        if at == DAYS or states[at] != states[start]:
            state = states[start]
            pieces.append(Piece(state=state, start=start, days=at - start, told=told(state)))
            start = at
    return tuple(pieces)


def _dates(finding: Finding) -> DatedBar:
    return dates_of(finding.verdict, finding.season, finding.survival_season)


def dates_of(verdict: Verdict, season: Season | None, survival: Season | None = None) -> DatedBar:
    """The dates of the bar of one row; of a bar that crosses New Year at its longer part."""
    shown = season if verdict is Verdict.SEASONAL else survival
    if verdict in (Verdict.NONE, Verdict.ALL_YEAR) or shown is None or shown.days >= DAYS:
        whole = {
            Verdict.ALL_YEAR: "all year",
            Verdict.NONE: STATES["unknown"],
            Verdict.SEASONAL: "nothing asks it in",
        }.get(verdict, STATES["indoors" if shown is None else "survives"])
        return DatedBar(start=0, days=DAYS, outer=(0, DAYS), texts=(whole,))
    text = words.season(shown, short=True)
    start, days = _longer_part(shown)
    around = (start, days) if survival is None else _longer_part(survival)
    holds = around[0] <= start and start + days <= sum(around)
    return DatedBar(
        start=start,
        days=days,
        outer=around if holds else (start, days),
        texts=(text, text.replace(" to ", "-")),
    )


def _longer_part(season: Season) -> tuple[int, int]:
    """First day and days of the longer part within a calendar year."""
    start = day_of_year(season.out)
    before = min(season.days, DAYS - start)
    after = season.days - before
    return (start, before) if before >= after else (0, after)


def _told(finding: Finding, state: str) -> tuple[str, ...]:
    """What is told of a piece in full."""
    indoors = finding.indoors
    verdict = words.verdict_words(finding.verdict, indoors=indoors)
    lines = [f"{words.full_name(finding)}: {verdict}", (IN_A_ROOM if indoors else STATES)[state]]
    if state in {"outdoors", "slowed", "moving"} and finding.season is not None:
        if finding.season.days >= DAYS:
            lines.append(words.season_of(finding))
        else:
            out, inn = words.day_month(finding.season.out), words.day_month(finding.season.inn)
            out = f"there from {out}, taken away" if indoors else f"out from {out}, carried in"
            lines.append(f"{out} on {inn}: {finding.season.days} days")
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
    years = (
        f"{label.strip()} {words.hours(finding.hours_below.year)} h"
        for label, finding in zip(row_labels(result), result.results, strict=True)
    )
    title = hours_title(result)
    return Chart(
        name="hours",
        title=title,
        spec=hours_map(result, units),
        notes=(NOTE,),
        told=f"{title} In a mean year: {', '.join(years)}.",
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
        f"{MONTHS[-month]} has the most hours below a growth floor: up to "
        f"{words.hours(most)} h in a mean year."
    )


def hours_map(result: CheckResult, units: TemperatureUnit) -> HoursMap:
    """What is drawn."""
    return HoursMap(
        rows=tuple(
            HoursRow(label=label, months=_months(finding, units))
            for label, finding in zip(row_labels(result), result.results, strict=True)
        ),
        months=MONTHS,
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
        MONTHS,
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
