"""The sheet of moves: when plants go out and come in, how sure that is, and every past year."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from suitability.advice.terms import Verdict, dates_help
from suitability.answers import dates, words
from suitability.answers.ahead import ahead_section, case_of, next_sentence
from suitability.answers.head import make_sheet
from suitability.answers.moves_charts import past_years_chart, seasons_chart, years_table
from suitability.answers.sheet import (
    Cell,
    Column,
    Fact,
    Facts,
    Level,
    On,
    Section,
    Table,
    Text,
    build_table,
)
from suitability.units import TemperatureUnit, show_temperature

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from suitability.advice.moves import (
        Move,
        MoveDate,
        MovesResult,
        ThresholdDates,
        ThresholdLevel,
    )
    from suitability.advice.terms import Season
    from suitability.answers.ahead import Case
    from suitability.answers.sheet import Block, Sheet

    Dated = tuple[Move, str, MoveDate]  # of a group, "out" or "in", and its date

WIDEST = 120  # from which one more column has room
WHOLE = 160  # from which all columns of a page have
NO_DATE = "-"
HEAT_NOTE = "In, before the heat (*): hot days set this date, not a cold night."
COMFORT_NOTE = "Comfortable: while nights of the mean year are not below its comfort mark."
OPEN_WET = "not on record, so an open pot counts as wet; roofs: see `check`"
NEARLY = "nearly all year, but for a few nights that the forecast names"
REASON_LABELS = {
    Verdict.SEASONAL: "Not all year",
    Verdict.INDOOR: "Why",
}
NO_YEAR = "No night of the record was observed: there is no year to draw."


def moves_sheet(result: MovesResult, units: TemperatureUnit, *, day: str | None = None) -> Sheet:
    """
    What moves say.

    Parameters
    ----------
    day
        From which a terminal tells the next moves of several groups, such as "11-30"; none given:
        it does not tell them. A page tells them from the reader's own day on.
    """
    spots = list(dict.fromkeys(move.spot for move in result.results))
    sections = [
        section
        for number, spot in enumerate(spots, start=1)
        for section in _spot_sections(result, spot, f"-{number}" if len(spots) > 1 else "", units)
    ]
    return make_sheet(
        result,
        units,
        title=f"When to move plants at {result.place.name}",
        headline=dates.moves_title(result, units),
        judged=result.results,
        sections=[
            *_lead(result, units),
            *_in_short(result, units, day),
            *sections,
            _years(result, units),
            *_thresholds(result, units),
        ],
    )


# In short ----------------------------------------------------------------------------------------


def _in_short(result: MovesResult, units: TemperatureUnit, day: str | None) -> Iterator[Section]:
    """The answer on a terminal: one group by itself; of several the next moves, then a row each."""
    moves = result.results
    rain = words.on_unknown_rain(moves, rain_known=result.record.rain_known)
    if len(moves) == 1:
        facts = _one_in_short(moves[0], units)
        open_wet = [Fact("Rain", OPEN_WET)] if rain else []
        yield _short("short", replace(facts, rows=(*facts.rows, *open_wet)))
        return
    moving = [move for move in moves if move.has_dates]
    staying = [move for move in moves if move not in moving]
    upcoming = "" if day is None else next_sentence(_as_moved(result), day)
    if upcoming:
        yield _short("next", Text(sentences=(upcoming,)))
    if moving:
        yield _short("short", _short_table(moving, result))
    if staying:
        yield _short("short-staying", _staying_in_short(staying, result))
    told = [*words.caveat_sentences(moves), *words.in_too_few_years(moves)]
    if moving:
        told += filter(None, (dates.in_a_room(moving), *words.growth_note(moving)))
        told.append(_read_so(moving))
    told += rain
    if told:
        yield _short("short-notes", Text(sentences=tuple(told)))


def _short(name: str, block: Block) -> Section:
    return Section(name=name, level=Level.SHORT, blocks=(block,), on=On.TERMINAL)


def _as_moved(result: MovesResult) -> Iterator[Case]:
    """Whose next moves are told: plants by name, groups with their spot where there are several."""
    for move in result.results:
        yield case_of(_named(move, result), move)


def _named(move: Move, result: MovesResult) -> str:
    """A plant by name, a group with its spot where there are several."""
    return words.short_name(move, 40) if move.plants else dates.move_label(move, result)


def _one_in_short(move: Move, units: TemperatureUnit) -> Facts:
    """Dates with what half of the years allow, and how sure they are."""
    rows = [Fact("Group", words.group_of(move))] if move.plants else []
    dated = dates_help(move)
    if dated and move.out is not None:
        told = f"from {words.day_month(move.out.promised)}"
        rows.append(Fact("Out", f"{told}; {_half('from', move.out, move)}"))
    if dated and move.inn is not None:
        told = f"by {words.day_month(move.inn.promised)}, {dates.carry_in(move)}"
        rows.append(Fact("In", f"{told}; {_half('by', move.inn, move)}"))
    rows += _tonight(move, units)
    rows += [Fact(*row) for row in words.comfort_rows(move, units)]
    promised = dated and move.verdict in (Verdict.SEASONAL, Verdict.ALL_YEAR)
    if promised and move.chance is not None and not move.steady:
        new, five = dates.percent(move.chance), dates.percent(move.chance_5_years)
        kept = f"{dates.kept(move)} past years kept it"
        rows.append(Fact("How sure", f"{kept}; a new one with {new}, five with {five}"))
        if risk := dates.not_excluded(move, short=True):
            rows.append(Fact("Not excluded", risk))
    if told := dates.carried_in(move):
        rows.append(Fact("Carried in", told))
    if move.reason is not None and move.verdict in REASON_LABELS:
        rows.append(Fact(REASON_LABELS[move.verdict], words.why(move)))
    return Facts(rows=tuple(rows))


def _half(by: str, date: MoveDate, move: Move) -> str:
    """The date of half of the years, or that they ask for none."""
    if move.sets_no_date(date):
        return "half of the years ask for no date"
    return f"in half of the years {by} {dates.typical_date(date, move, short=False)}"


def _short_table(moves: Sequence[Move], result: MovesResult) -> Table:
    """One row a group: its dates, those of half of the years, and the years that kept them."""
    several = len({move.spot for move in result.results}) > 1
    columns: list[Column[Move]] = [
        words.who_column(moves),
        *([words.spot_column()] if several else []),
        Column.of("Out", lambda move: _promised(move.out), number=True),
        Column.of("In", lambda move: _promised(move.inn, early=move), number=True),
        Column.of("Half out", lambda move: _typical(move.out, move), number=True),
        Column.of("Half in", lambda move: _typical(move.inn, move), number=True),
        Column.field("Comfortable", "comfort_season", _comfortable),
        Column.of("Kept", lambda move: f"{move.years_kept}/{move.years_counted}"),
    ]
    notes = tuple(filter(None, (_minds(moves, result),)))
    return build_table("short", columns, moves, notes=notes, dense_below=words.WIDE)


def _read_so(moving: Sequence[Move]) -> str:
    """The heads of the short table explained."""
    note = (
        "In: before sunset of that day. Half out, half in: what half of the years allow; between "
        "the dates go by the forecast. Kept: past years that kept both dates, of those that tell. "
        f"{COMFORT_NOTE}"
    )
    if any(move.inn is not None and move.set_by_heat(move.inn) for move in moving):
        note += f" {HEAT_NOTE}"
    if any(move.nearly_all_year for move in moving):
        note += (
            " Nearly all year: may stay out if carried in, or covered, on a few nights that the "
            "forecast names."
        )
    return note


def _minds(moves: Sequence[Move], result: MovesResult) -> str:
    """What to mind of whom, in a sentence; the table has no room for it."""
    by_mark: dict[str, list[str]] = {}
    for move in moves:
        for mark in _marks(move):
            by_mark.setdefault(mark, []).append(_named(move, result))
    told = "; ".join(f"{mark}: {', '.join(names)}" for mark, names in by_mark.items())
    return f"Mind. {told[0].upper()}{told[1:]}." if told else ""


def _comfortable(season: Season | None) -> str:
    """Dates of the comfortable nights, for a narrow cell."""
    return NO_DATE if season is None else words.season(season, short=True)


def _marks(move: Move) -> list[str]:
    """What a plant meets outdoors beside its dates, and that few nights ask it in."""
    return [*words.minded(move), *(["nearly all year"] if move.nearly_all_year else [])]


def _promised(date: MoveDate | None, *, early: Move | None = None) -> str:
    """A promised date; one that heat sets is marked."""
    if date is None:
        return NO_DATE
    heat = early is not None and early.set_by_heat(date)
    return words.day_month(date.promised, short=True) + ("*" if heat else "")


def _typical(date: MoveDate | None, move: Move) -> str:
    return NO_DATE if date is None else dates.typical_date(date, move)


def _staying_in_short(moves: Sequence[Move], result: MovesResult) -> Text:
    """Who is not moved, by verdict."""
    by_verdict: dict[str, list[str]] = {}
    for move in sorted(moves, key=lambda move: -move.verdict.rank):
        told = words.verdict_words(move.verdict, indoors=move.indoors)
        if move.nearly_all_year:
            told = NEARLY
        minds = [*words.minded(move), *(["nothing asks it in"] * words.is_never_asked_in(move))]
        minded = f" ({', '.join(minds)})" if minds else ""
        by_verdict.setdefault(told, []).append(_named(move, result) + minded)
    return Text(
        sentences=tuple(
            f"{told[0].upper()}{told[1:]}: {', '.join(some)}." for told, some in by_verdict.items()
        )
    )


def _lead(result: MovesResult, units: TemperatureUnit) -> list[Section]:
    """What a page shows first: the next moves, and the seasons drawn; nothing without a verdict."""
    if all(move.verdict is Verdict.NONE for move in result.results):
        return []
    labels = words.distinct(dates.move_label(move, result, longest=20) for move in result.results)
    moved = list(zip(labels, result.results, strict=True))
    chart = seasons_chart(moved, dates.moves_title(result, units))
    return [
        ahead_section([case_of(label, one) for label, one in moved]),
        Section(
            name="through-the-year",
            title="Through the year",
            lead=True,
            blocks=(chart,),
            on=On.PAGE,
        ),
    ]


# At one spot -------------------------------------------------------------------------------------


def _spot_sections(
    result: MovesResult, spot: str, ending: str, units: TemperatureUnit
) -> list[Section]:
    """Dates, how sure they are, then and now, few groups in full, and who is not moved."""
    moves = [move for move in result.results if move.spot == spot]
    moving = [move for move in moves if move.out is not None and move.inn is not None]
    where = words.at_spot(spot, result.results)
    parts: list[tuple[str, str, Level, On, list[Block]]] = []
    if moving:
        promise = result.settings.promise
        parts += [
            ("dates", f"When to move{where}", Level.DETAIL, On.ALL, [dates_table(moving)]),
            ("odds", f"How sure it is{where}", Level.DETAIL, On.ALL, [odds_table(moving, promise)]),
            ("then", f"Then and now{where}", Level.DETAIL, On.ALL, [then_and_now_table(moving)]),
        ]
    if len(moves) <= words.DETAILED:  # a page tells it of every group, beside its years
        parts += [
            (f"full-{number}", name, Level.DETAIL, On.TERMINAL, [_in_full(move, result, units)])
            for number, move in enumerate(moving, start=1)
            for name in [dates.move_label(move, result, key=False)]
        ]
    staying = [move for move in moves if move not in moving]
    if staying:
        told = _not_moved(staying, result.settings.promise)
        parts.append(("staying", f"Not moved{where}", Level.DETAIL, On.ALL, [told]))
    caveats = tuple(words.caveat_sentences(moves))
    if caveats:
        parts[-1][-1].append(Text(sentences=caveats))
    if dates.in_a_room(moves):
        parts[-1][-1].append(Text(sentences=(dates.in_a_room(moves),)))
    return [
        Section(name=name + ending, title=title, level=level, on=on, blocks=tuple(blocks))
        for name, title, level, on, blocks in parts
    ]


def dates_table(moves: Sequence[Move]) -> Table:
    """Two rows a group: the dates of going out and coming in."""
    rows = _dated(moves)
    columns: list[Column[Dated]] = [
        words.who_column(rows, lambda row: row[0], repeats=True),
        *_date_columns(),
    ]
    note = (
        "Out: first day out, its first two weeks for hardening. In: day of carrying in, before "
        "sunset. Promised: out and in together hold as often as asked for. 90% interval: of the "
        "promised date, were the years drawn anew. Typical: of half of the years. Watch weeks: "
        f"between the two, go by the forecast. Alone: {dates.ALONE}."
    )
    if any(_before_heat(row) for row in rows):
        note += f" {HEAT_NOTE}"
    if any(move.sets_no_date(date) for move, _, date in rows):
        note += (
            f" {dates.ANY_DAY.capitalize()}: half of the years set no date on this side of the "
            "season."
        )
    return build_table("dates", columns, rows, notes=(note,), dense_below=words.WIDE)


def own_dates_table(move: Move) -> Table:
    """The same of one group, where its name stands above."""
    return build_table(
        "dates", _date_columns(), _dated([move]), title="Dates of moving", stacked=False
    )


def _dated(moves: Sequence[Move]) -> list[Dated]:
    """The dates of groups that have them."""
    return [
        (move, which, date)
        for move in moves
        for which, date in (("out", move.out), ("in", move.inn))
        if date is not None
    ]


def _date_columns() -> list[Column[Dated]]:
    """What is known of one date."""
    return [
        Column.of("Way", _way_cell, short=" "),
        Column.of(
            "Promised", lambda row: words.day_month(row[2].promised, short=True), number=True
        ),
        Column.of("90% interval", lambda row: dates.interval(row[2])),
        Column.of("Typical", lambda row: dates.typical_date(row[2], row[0]), number=True),
        Column.of("Watch weeks", lambda row: dates.watch(row[2], row[0])),
        Column.of("Alone", lambda row: dates.percent(row[2].holds_alone), number=True),
    ]


def _before_heat(row: Dated) -> bool:
    """Whether it is carried in on that date because of heat."""
    return row[1] == "in" and row[0].set_by_heat(row[2])


def _way_cell(row: Dated) -> Cell:
    """Out or in; a date in that heat sets is marked."""
    return Cell("in, before the heat", short="in*") if _before_heat(row) else Cell(row[1])


def odds_table(moves: Sequence[Move], promise: float) -> Table:
    """One row a group: length, chances, past years, carried nights."""
    columns: list[Column[Move]] = [
        words.who_column(moves),
        Column.of("Days", lambda move: str(move.season.days if move.season else 0), number=True),
        Column.field("New year", "chance", dates.percent, short="New\nyear", number=True),
        Column.field("5 years", "chance_5_years", dates.percent, short="5\nyears", number=True),
        Column.field("10 years", "chance_10_years", dates.percent, short="10\nyears", number=True),
        Column.of("Kept", dates.kept),
        Column.of("95% range", dates.kept_range, number=True),
        Column.field(
            "Risk",
            "risk_not_excluded",
            lambda risk: NO_DATE if risk is None else f"{risk:.0%}",
            number=True,
        ),
        Column.of("Carried", dates.carried, number=True),
        Column.field("Comfortable", "comfort_season", _comfortable, from_width=WHOLE),
        Column.of("Mind", lambda move: ", ".join(_marks(move)), wraps=True, from_width=WHOLE),
        Column.field(
            "Survival season",
            "survival_season",
            lambda season: words.season(season, short=True),
            from_width=WIDEST,
        ),
    ]
    note = (
        f"New year: chance that one keeps the whole season ({promise:.0%} asked for); 5 and 10 "
        "years: that all of them do. Kept: past years that kept it, of those that tell; 95% range: "
        "Wilson interval of their share. Risk: what no failure in those years cannot exclude. "
        "Carried: nights a year carried in for cold, typical/worst, were it out all year. "
        f"{COMFORT_NOTE}"
    )
    unexcluded = dict.fromkeys(filter(None, map(dates.not_excluded, moves)))
    return build_table("odds", columns, moves, notes=(note, *unexcluded), dense_below=words.WIDE)


def then_and_now_table(moves: Sequence[Move]) -> Table:
    """One row a group: the last ten years beside the earlier ones, the trend, the doubts."""
    unknown = words.UNKNOWN
    columns: list[Column[Move]] = [
        words.who_column(moves),
        Column.of(
            "Last ten", lambda move: dates.last_years(move.decades) if move.decades else unknown
        ),
        Column.of(
            "Earlier", lambda move: dates.earlier_years(move.decades) if move.decades else unknown
        ),
        Column.of(
            "Days a decade",
            lambda move: dates.days_a_decade(move.decades) if move.decades else unknown,
            short="Days a\ndecade",
            number=True,
        ),
        Column.of("Trend", lambda move: dates.trend(move.decades)[0] if move.decades else unknown),
        Column.of(
            "p",
            lambda move: dates.trend(move.decades)[1] if move.decades else unknown,
            number=True,
        ),
        Column.of("Doubts", dates.doubts),
    ]
    note = (
        "Last ten, earlier: years that kept the season. Days a decade: drift of the length of the "
        "years' own seasons; p: how often chance alone drifts as much."
    )
    if any(move.model_based for move in moves):
        note += " Model: the years alone, without a model of years like them, cannot carry it."
    if any(move.provisional for move in moves):
        note += f" Provisional: fewer than ten usable years{words.worth(moves)}."
    return build_table("then-and-now", columns, moves, notes=(note,), dense_below=words.WIDE)


def _not_moved(moves: Sequence[Move], promise: float) -> Facts:
    """One entry a group that is not moved, with its reason; the same reason is said once."""
    rows = []
    said = ""
    for move in moves:
        text = dates.not_moved(move, promise)
        same = text == said and move.verdict is Verdict.NONE
        name = words.who_cell(move)
        rows.append(Fact(name.text, "the same" if same else text, short=name.short))
        said = text
    return Facts(rows=tuple(rows))


def _tonight(move: Move, units: TemperatureUnit) -> list[Fact]:
    """The forecast that brings in a plant that is out."""
    told = dates.bring_in(move, units)
    return [Fact("Tonight", told)] if told else []


def _in_full(move: Move, result: MovesResult, units: TemperatureUnit) -> Facts:
    """Labels and sentences about one group, as far as its verdict has them."""
    rows = [
        Fact(label, _date_in_full(date, move))
        for label, date in (("Out", move.out), ("In", move.inn))
        if date is not None
    ]
    rows += _tonight(move, units)
    typical, carried = move.typical_season, move.carried_nights
    seasonal = move.verdict is Verdict.SEASONAL
    if words.no_growth_yet(move):
        rows.append(Fact("At first", words.no_growth_yet(move)))
    rows += [Fact(*row) for row in words.comfort_rows(move, units)]
    if move.season is not None and typical is not None:
        rows.append(Fact("Length", f"{move.season.days} days; typically {typical.days}"))
    if move.survival_season is not None and move.survival_season != move.season:
        means = "survives, but grows only in the season" if seasonal else "free of nights that harm"
        rows.append(Fact("Survival season", f"{words.season(move.survival_season)}: {means}"))
    if seasonal or move.verdict is Verdict.ALL_YEAR:
        rows += _promise_in_full(move, result.settings.promise)
    if carried is not None:
        text = (
            f"were it left out all year: typically {carried.typical} a year, {carried.worst} in "
            "the worst year"
        )
        rows.append(Fact("Carried nights", text))
    if seasonal and move.reason is not None:
        rows.append(Fact("Not all year", words.clean(move.reason.text, 400)))
    return Facts(rows=tuple(rows))


def _date_in_full(date: MoveDate, move: Move) -> str:
    """One date with all that stands beside it."""
    heat = f", {dates.carry_in(move)}" if date is move.inn and move.set_by_heat(date) else ""
    return (
        f"{words.day_month(date.promised)}{heat}; typically "
        f"{dates.typical_date(date, move, short=False)}; watch "
        f"{dates.watch(date, move, short=False)}; 90% interval "
        f"{dates.interval(date, short=False)}; holds alone in "
        f"{dates.percent(date.holds_alone)} ({dates.ALONE})"
    )


def _promise_in_full(move: Move, promise: float) -> Iterable[Fact]:
    """What is promised and what it rests on; a group in no table has its decades here."""
    told = (
        f"{promise:.0%} asked for; {dates.percent(move.chance)} of new years are expected to keep "
        f"it, all of 5 years with {dates.percent(move.chance_5_years)}, all of 10 with "
        f"{dates.percent(move.chance_10_years)}"
    )
    yield Fact("Promise", told)
    yield Fact("Past years", f"kept by {dates.kept(move)} (95%: {dates.kept_range(move)})")
    if dates.not_excluded(move):
        yield Fact("Not excluded", dates.not_excluded(move))
    if move.out is None:
        if move.decades is not None:
            last, earlier = dates.last_years(move.decades), dates.earlier_years(move.decades)
            yield Fact("Then and now", f"kept by {last} last years, and by {earlier} before")
        yield Fact("Doubts", dates.doubts(move))


# Every past year ---------------------------------------------------------------------------------


def _years(result: MovesResult, units: TemperatureUnit) -> Section:
    """One part a group: its chart, what is said of it in full, and its years in numbers."""
    return Section(
        name="years",
        title="Year by year",
        level=Level.DETAIL,
        parts=tuple(
            _years_of(move, number, result, units)
            for number, move in enumerate(result.results, start=1)
        ),
        on=On.PAGE,
    )


def _years_of(move: Move, number: int, result: MovesResult, units: TemperatureUnit) -> Section:
    """The past years of one group, numbered in the order of the result."""
    title = dates.evidence_title(move, result, units)
    blocks: list[Block] = [Text(sentences=(NO_YEAR,))]
    if move.by_year:
        blocks = [
            past_years_chart(move, f"past-years-{number}", title),
            years_table(move, f"years-{number}"),
        ]
    facts = _in_full(move, result, units)
    if facts.rows:
        blocks.append(facts)
    verdict = words.verdict_words(move.verdict, indoors=move.indoors)
    return Section(
        name=f"group-{number}",
        title=title,
        label=f"{dates.move_label(move, result, key=False)}: {verdict}",
        level=Level.DETAIL,
        folded=len(result.results) > 1,
        blocks=tuple(blocks),
        on=On.PAGE,
    )


# Temperatures asked for --------------------------------------------------------------------------


def _thresholds(result: MovesResult, units: TemperatureUnit) -> list[Section]:
    """Last spring and first autumn dates of the temperatures asked for."""
    sections: list[Section] = []
    for number, asked in enumerate(result.thresholds, start=1):
        blocks: list[Block] = [Text(sentences=(_winters(asked),))]
        if asked.seasons_with_event:
            blocks = [threshold_table(asked)]
        if number == len(result.thresholds):
            blocks.append(Text(sentences=(THRESHOLD_NOTE,)))
        temperature = show_temperature(asked.threshold_c, units)
        sections.append(
            Section(
                name=f"threshold-{number}",
                title=f"Days of {temperature} or colder, at the station",
                blocks=tuple(blocks),
            )
        )
    return sections


THRESHOLD_NOTE = (
    "Chance: of such a day on or after the date in spring, on or before it in autumn; so 10% is "
    "the cautious date of both. If it happens at all: only winters that had such a day, as "
    "published tables print it. In any year: all winters, for decisions; "
    f"{NO_DATE} where too few have such a day. These are {dates.ALONE}. Lowest hourly readings, "
    "no allowance taken off: true minima are a little lower."
)


def threshold_table(asked: ThresholdDates) -> Table:
    """One row a probability, with dates of spring and autumn in both conventions."""
    columns: list[Column[ThresholdLevel]] = [
        Column.field("Chance", "probability", lambda share: f"{share:.0%}", number=True)
    ]
    for season, key in (("Last in spring", "spring"), ("First in autumn", "autumn")):
        for when, short, ending in (
            ("if at all", f"{season}:\nif at all", "if_it_happens"),
            ("in any year", "\nin any year", "in_any_year"),
        ):
            title, path = f"{season}, {when}", f"{key}_{ending}"
            columns.append(Column.field(title, path, _threshold_date, short=short, number=True))
    return build_table("threshold", columns, asked.levels, notes=(_winters(asked),))


def _threshold_date(month_day: str | None) -> str:
    return NO_DATE if month_day is None else words.day_month(month_day, short=True)


def _winters(asked: ThresholdDates) -> str:
    """How many winters had such a day."""
    if not asked.seasons:
        return "No winter was observed well enough to tell."
    winters = f"{asked.seasons} winter{'s' if asked.seasons != 1 else ''}"
    if not asked.seasons_with_event:
        return f"None of {winters} had such a day: there are no dates."
    said = f"{asked.seasons_with_event} of {winters} had such a day."
    if not asked.summers_without_gap:
        return said
    number = asked.summers_without_gap
    return (
        f"{said} In {number} summer{'s' if number != 1 else ''} less than four weeks lay between "
        "the last of spring and the first of autumn: do not take the time between the two dates "
        "for a warm season."
    )
