"""
Charts of moves: past years night by night, their dates as a table, and the odds of each date.

A row of past years is a year of 365 nights; it begins half a year before the middle of the season,
so that the season lies in the middle.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from suitability.answers import dates, words
from suitability.answers.check_charts import bars_key, bars_of, bars_told, season_row
from suitability.answers.sheet import Chart, Column, Key, Table, build_table
from suitability.answers.words import DAYS, MONTH_STARTS
from suitability.brief import MONTHS
from suitability.climate.days import day_of_year

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.moves import Move, MoveDate, YearOutdoors

CAUSES = {  # of the letters of a night, gravest first: the words of a chart, and of a table's head
    "h": ("hard night: below the limit", "Hard"),
    "w": ("hard because the pot was wet", "Wet"),
    "d": ("dose: cold added up over 14 nights", "Dose"),
    "t": ("heat: fourth day in a row", "Heat"),
    "?": ("not observed", "Not observed"),
}
OWN_DATES = ("out that the year itself allowed", "in that the year itself allowed")
KEPT_WORDS = {
    True: "kept the season",
    False: "did not keep the season",
    None: "does not tell of the season",
}
KEPT_SIGNS = {True: "✓", False: "✗", None: words.UNKNOWN}
KEPT_CELLS = {True: "yes", False: "no", None: words.UNKNOWN}
NOT_THERE = "-"


class KeptYear(Struct, frozen=True, kw_only=True):
    """
    A row of the chart.

    Attributes
    ----------
    label, sign
        The year, and a sign for whether it kept the season.
    nights
        A letter for each night: `.` fine, else a cause.
    span
        Columns of the first day out and of the day in that the year itself allowed; None if it
        allowed none or does not tell.
    told
        That in words.
    """

    label: str
    sign: str
    nights: str
    span: tuple[int, int] | None
    told: str


class Stretch(Struct, frozen=True, kw_only=True):
    """The season, as columns; `promised` unless it is too short to be used."""

    start: int
    stop: int
    promised: bool


class MarkedDay(Struct, frozen=True, kw_only=True):
    """A day told below the rows; `typical` of one that half of the years set."""

    column: int
    text: str
    typical: bool


class PastYears(Struct, frozen=True, kw_only=True):
    """
    What the chart draws.

    Attributes
    ----------
    first
        Day of the year of the first column, 0 to 364.
    causes
        Words of each letter of an unsafe night, gravest first.
    own_dates
        What the ends are that a year itself allowed: out, in.
    one_night, nights
        What is said of one unsafe night, and of several in a row: `{first}`, `{last}` and
        `{count}` stand for days and their number.
    finding
        A sentence where no night is marked; else empty.
    """

    first: int
    years: tuple[KeptYear, ...]
    season: Stretch | None
    days: tuple[MarkedDay, ...]
    causes: tuple[tuple[str, str], ...]
    own_dates: tuple[str, str]
    months: tuple[str, ...]
    title_across: str
    one_night: str
    nights: str
    finding: str


KEY = (
    *(
        Key(sign=sign, text=CAUSES[letter][0])
        for letter, sign in zip(CAUSES, ("hard", "wet", "dose", "heat", "unseen"), strict=True)
    ),
    Key(sign="season", text="promised season; dashed: too short to use"),
    Key(sign="half", text="typical date, of half of the years"),
    Key(sign="▷ ◁", text="out and in that the year itself allowed"),
    Key(sign="✓ ✗ ?", text="kept the season, did not, does not tell"),
)
SEASONS_NOTE = "Promised dates; whether a group grows while it is out is drawn by check and year."
NOTE = (
    "A night is marked by its gravest cause. A dose counts only from the 14th night outdoors, so "
    "that its marks may reach into the first 13 nights of a season that was kept."
)


def seasons_chart(moves: Sequence[tuple[str, Move]], title: str) -> Chart:
    """The promised season of each group, under its label; no two labels are the same."""
    spec = bars_of(
        (
            season_row(
                label, words.full_name(move), move.verdict, move.season, indoors=move.indoors
            )
            for label, move in moves
        ),
        (move.indoors for _, move in moves),
    )
    return Chart(
        name="seasons",
        title=title,
        spec=spec,
        key=bars_key(spec),
        notes=(SEASONS_NOTE,),
        told=bars_told((label, move.verdict, move.season, move.indoors) for label, move in moves),
    )


def past_years_chart(move: Move, name: str, title: str) -> Chart:
    """
    The chart of one group.

    Parameters
    ----------
    move
        With at least one year.
    name
        Of the chart, the only one of it in its sheet.
    """
    return Chart(name=name, title=title, spec=past_years(move), key=KEY, notes=(NOTE,))


def past_years(move: Move) -> PastYears:
    """
    What is drawn of one group.

    Parameters
    ----------
    move
        With at least one year.
    """
    first_day = move.by_year[0].first_day
    return PastYears(
        first=day_of_year(first_day),
        years=tuple(map(_year, move.by_year)),
        season=_season(move, first_day),
        days=tuple(_days(move, first_day)),
        causes=tuple((letter, told) for letter, (told, _) in CAUSES.items()),
        own_dates=OWN_DATES,
        months=MONTHS,
        title_across="night of the year, standard time",
        one_night="night of {first}",
        nights="nights of {first} to {last} ({count})",
        finding=_finding(move),
    )


def column_of(month_day: str, first_day: str) -> int:
    """
    Days from the first day of a row to a day of the year, 0 to 364.

    Examples
    --------
    >>> column_of("02-10", "02-05"), column_of("02-04", "02-05")
    (5, 364)
    """
    return (day_of_year(month_day) - day_of_year(first_day)) % DAYS


def _year(year: YearOutdoors) -> KeptYear:
    """One row."""
    return KeptYear(
        label=dates.year_label(year.year, year.first_day),
        sign=KEPT_SIGNS[year.kept],
        nights=year.nights,
        span=_own_span(year),
        told=_year_in_words(year),
    )


def _own_span(year: YearOutdoors) -> tuple[int, int] | None:
    """Columns of the first day out and the day in that the year itself allowed."""
    if year.out is None or year.inn is None or not year.days:
        return None
    start = 0 if year.days >= DAYS else column_of(year.out, year.first_day)
    return start, start + year.days


def _year_in_words(year: YearOutdoors) -> str:
    """What a year itself allowed, and what became of the season in it."""
    kept = KEPT_WORDS[year.kept]
    if year.out is None or year.inn is None or not year.days:
        return kept
    if year.days >= DAYS:
        return f"no unsafe night at all; {kept}"
    out, inn = words.day_month(year.out), words.day_month(year.inn)
    return f"by itself from {out} to {inn}, {year.days} days; {kept}"


def _season(move: Move, first_day: str) -> Stretch | None:
    """The season of a move, or the one that is too short."""
    season = move.season or move.season_too_short
    if season is None:
        return None
    start = 0 if season.days >= DAYS else column_of(season.out, first_day)
    return Stretch(start=start, stop=start + season.days, promised=move.season is not None)


def _days(move: Move, first_day: str) -> list[MarkedDay]:
    """The dates of the season, and the typical ones where half of the years set one."""
    days = []
    season = move.season or move.season_too_short
    if season is not None and season.days < DAYS:
        start = column_of(season.out, first_day)
        for which, column, date in (
            ("out", start, season.out),
            ("in", start + season.days, season.inn),
        ):
            text = f"{which} {words.day_month(date, short=True)}"
            days.append(MarkedDay(column=column, text=text, typical=False))
    for moved in (move.out, move.inn):
        if moved is not None and not move.sets_no_date(moved):
            column = column_of(moved.typical, first_day)
            text = f"typical {dates.typical_date(moved, move)}"
            days.append(MarkedDay(column=column, text=text, typical=True))
    return days


def _finding(move: Move) -> str:
    """A sentence where no mark would stand: an empty chart could be a broken one."""
    if any(set(year.nights) & set("hwdt") for year in move.by_year):
        return ""
    known = sum(len(year.nights) - year.nights.count("?") for year in move.by_year)
    if known == 1:
        return "The only night known is not unsafe"
    return f"No unsafe night among the {known:,} known"


def years_table(move: Move, name: str) -> Table:
    """
    The numbers of the chart: each year's dates, and its nights by cause.

    Parameters
    ----------
    move
        With at least one year.
    """
    first = words.day_month(move.by_year[0].first_day)
    columns: list[Column[YearOutdoors]] = [
        Column.of("Year", lambda year: dates.year_label(year.year, year.first_day)),
        Column.field("Kept", "kept", KEPT_CELLS.__getitem__),
        Column.of("Out", lambda year: _own_date(year, year.out, whole="all year")),
        Column.of("In", lambda year: _own_date(year, year.inn, whole=NOT_THERE)),
        Column.field("Days", "days", lambda days: words.UNKNOWN if days is None else str(days)),
        *(_nights_of(letter, title) for letter, (_, title) in CAUSES.items()),
    ]
    return build_table(
        name,
        columns,
        move.by_year,
        title=f"Years from {first} on: dates that each allowed, unsafe nights by cause",
        stacked=False,
    )


def _own_date(year: YearOutdoors, date: str | None, *, whole: str) -> str:
    """A date that a year itself allowed; `whole` where it allowed all of it."""
    if date is None or year.days is None:
        return words.UNKNOWN
    if year.days == 0:
        return NOT_THERE
    return whole if year.days >= DAYS else words.day_month(date, short=True)


def _nights_of(letter: str, title: str) -> Column[YearOutdoors]:
    """How many nights have a cause."""
    return Column.field(title, "nights", lambda nights: str(nights.count(letter)), number=True)


NAMES = {
    "past": "what a past year allowed",
    "watch": "watch the forecast",
    "interval": "90 % interval of the promised date",
    "typical": "typical: of half of the years",
    "promised": "promised",
}


class ToldDay(Struct, frozen=True, kw_only=True):
    """A day as its column, 0 to 364, with what is said of it."""

    column: int
    told: str


class ToldSpan(Struct, frozen=True, kw_only=True):
    """Days from one column to another, with what is said of them."""

    start: int
    stop: int
    told: str


class DateRow(Struct, frozen=True, kw_only=True):
    """
    One date of moving.

    Attributes
    ----------
    past
        What each past year by itself allowed.
    watch, typical
        None where there is none.
    """

    label: str
    past: tuple[ToldDay, ...]
    watch: ToldSpan | None
    interval: ToldSpan
    typical: ToldDay | None
    promised: ToldDay


class MovingDates(Struct, frozen=True, kw_only=True):
    """
    What is drawn: dates down, days across from the first day of a row of past years.

    Attributes
    ----------
    starts
        The columns on which months begin, January first.
    past, watch, interval, typical, promised
        Their names in a legend.
    """

    rows: tuple[DateRow, ...]
    starts: tuple[int, ...]
    months: tuple[str, ...]
    past: str
    watch: str
    interval: str
    typical: str
    promised: str
    title_across: str


def dates_title(move: Move) -> str:
    """The promised dates, and those of half of the years."""
    out, inn = move.out, move.inn
    if out is None or inn is None:
        return "No dates of moving."
    typical = [dates.typical_date(date, move, short=False) for date in (out, inn)]
    not_yet = f" At first it {words.no_growth_yet(move)}." if words.no_growth_yet(move) else ""
    return (
        f"Out from {words.day_month(out.promised)}, in by {words.day_month(inn.promised)}; half of "
        f"the years allow {typical[0]} and {typical[1]}.{not_yet}"
    )


def moving_dates_chart(move: Move, name: str, title: str) -> Chart:
    """
    The dates with what is known of them, over the dates that past years allowed.

    Parameters
    ----------
    move
        With at least one year and one date.
    """
    first = column_of(move.by_year[0].first_day, "01-01")
    return Chart(
        name=name,
        title=title,
        spec=MovingDates(
            rows=tuple(
                _row(date, label, move)
                for date, label in ((move.out, "out"), (move.inn, "in"))
                if date is not None
            ),
            starts=tuple((start - first) % DAYS for start in MONTH_STARTS),
            months=MONTHS,
            title_across="day of the year, standard time",
            **NAMES,
        ),
    )


def _row(date: MoveDate, label: str, move: Move) -> DateRow:
    """One date."""
    first_day = move.by_year[0].first_day

    def day(month_day: str, name: str) -> ToldDay:
        told = f"{label}, {name}: {words.day_month(month_day, short=True)}"
        return ToldDay(column=column_of(month_day, first_day), told=told)

    def span(start: str, stop: str, name: str) -> ToldSpan:
        told = f"{label}, {name}: {words.day_month(start)} to {words.day_month(stop)}"
        return ToldSpan(
            start=column_of(start, first_day), stop=column_of(stop, first_day), told=told
        )

    unlimited = move.sets_no_date(date)  # half of the years set none: a day would mislead
    watched = date.watch_from is not None and date.watch_to is not None and not unlimited
    return DateRow(
        label=label,
        past=tuple(
            ToldDay(
                column=column_of(at, first_day),
                told=(
                    f"{dates.year_label(year.year, first_day)} by itself: {label} "
                    f"{words.day_month(at, short=True)}"
                ),
            )
            for year in move.by_year
            for at in [year.out if label == "out" else year.inn]
            if at is not None and year.days is not None and year.days < DAYS
        ),
        watch=span(date.watch_from or "", date.watch_to or "", NAMES["watch"]) if watched else None,
        interval=span(date.earliest, date.latest, NAMES["interval"]),
        typical=None if unlimited else day(date.typical, NAMES["typical"]),
        promised=day(date.promised, NAMES["promised"]),
    )
