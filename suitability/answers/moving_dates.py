"""The dates of moving one group: what is promised, usual, to be watched, and what years allowed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from suitability.answers import dates, words
from suitability.answers.past_years import column_of
from suitability.answers.sheet import Chart
from suitability.answers.words import DAYS, MONTH_STARTS

if TYPE_CHECKING:
    from suitability.advice.moves import Move, MoveDate

__all__ = ["DateRow", "MovingDates", "ToldDay", "ToldSpan", "dates_title", "moving_dates_chart"]

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
    return (
        f"Out from {words.day_month(out.promised)}, in by {words.day_month(inn.promised)}; half of "
        f"the years allow {typical[0]} and {typical[1]}."
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
            months=words.MONTHS,
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
