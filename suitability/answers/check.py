"""The sheet of a check: verdicts, hours below the floors, each group in full, worst nights."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from suitability.advice.terms import Verdict, dates_help
from suitability.answers import flowers, words
from suitability.answers.ahead import ahead_section, case_of
from suitability.answers.check_charts import hours_chart, row_labels, verdict_counts, year_chart
from suitability.answers.head import make_sheet
from suitability.answers.profile import brief_facts, group_facts, months_table
from suitability.answers.ranking import GOOD_DAYS_NOTE, ORDER_NOTE, best_first, is_ranked
from suitability.answers.sheet import (
    Cell,
    Column,
    Level,
    On,
    Section,
    Table,
    Text,
    build_table,
    month_columns,
)
from suitability.answers.spots import range_sentences, spot_decides, spot_sentences
from suitability.brief import MONTHS, first_of
from suitability.units import TemperatureUnit, bare, show_difference, show_temperature

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from suitability.advice.result import CheckResult, Finding, WorstFortnight, WorstNight
    from suitability.advice.terms import MonthlyHours
    from suitability.answers.sheet import Block, Sheet

WIDEST = 132  # from which hours, and the months of what limits, have room
WHOLE = 180  # from which a terminal has all columns of a page
LONGEST_REASON = 400  # characters
VERDICT_HEADS = {
    Verdict.ALL_YEAR: "may stay out",
    Verdict.SEASONAL: "out from the first day, in by the second",
    Verdict.INDOOR: "no season outdoors is long and sure enough",
    Verdict.NONE: "too little is known",
}
HEADS_IN_A_ROOM = {
    Verdict.SEASONAL: "there from the first day, away by the second",
    Verdict.INDOOR: "no season there is long and sure enough",
    Verdict.NONE: VERDICT_HEADS[Verdict.NONE],
}
KEPT_NOTE = "Kept: past years that kept it, of those that tell."
COOL_NOTE = "Cool h: hours a year below its comfort mark."


def check_sheet(result: CheckResult, units: TemperatureUnit, *, worst: bool = False) -> Sheet:
    """
    What a check says.

    Parameters
    ----------
    worst
        Whether the worst nights and fortnights were asked for.
    """
    year, hours = year_chart(result, units), hours_chart(result, units)
    at_spots = _by_spot(result)
    moved = [
        case_of(label, one) for label, one in zip(row_labels(result), result.results, strict=True)
    ]
    sections = [
        *_in_short(result, at_spots, units),
        ahead_section(moved),
        Section(
            name="through-the-year",
            title="Through the year",
            lead=True,
            blocks=(year,),
            on=On.PAGE,
        ),
        *(_verdicts(spot, result, units) for spot in at_spots),
        Section(
            name="hours-below",
            title=hours.title,
            label="Hours below the floor",
            blocks=(hours,),
            on=On.PAGE,
        ),
        *(_hours(spot, units) for spot in at_spots),
        *_in_full(result, at_spots, units),
    ]
    if worst:
        parts = [
            _worst_of(one, number, result, units) for number, one in enumerate(result.results, 1)
        ]
        sections += _told_apart("worst", "Worst nights and fortnights", parts, parts)
    return make_sheet(
        result,
        units,
        title=f"What can live at {result.place.name}",
        headline=year.title,
        judged=result.results,
        sections=sections,
    )


class _AtSpot(Struct, frozen=True, kw_only=True):
    """
    The groups at one spot.

    `here` and `where`, at the beginning and the end of a title, and the `ending` of a name tell it
    from other spots.
    """

    spot: str
    findings: tuple[Finding, ...]
    where: str
    ending: str

    @property
    def here(self) -> str:
        told = self.where.strip()
        return f"{told[0].upper()}{told[1:]}, " if told else ""


def _by_spot(result: CheckResult) -> list[_AtSpot]:
    """The findings of each spot in the order of the result, its groups best first."""
    ordered = best_first(result.results)
    spots = list(dict.fromkeys(finding.spot for finding in ordered))
    several = len(spots) > 1
    return [
        _AtSpot(
            spot=spot,
            findings=tuple(finding for finding in ordered if finding.spot == spot),
            where=words.at_spot(spot, result.results),
            ending=f"-{number}" if several else "",
        )
        for number, spot in enumerate(spots, start=1)
    ]


# In short ----------------------------------------------------------------------------------------


def _in_short(
    result: CheckResult, at_spots: Sequence[_AtSpot], units: TemperatureUnit
) -> Iterator[Section]:
    """The answer on a terminal: one group by itself, several under their verdicts."""
    if len(result.results) == 1:
        (finding,) = result.results
        profile = result.profiles[0] if result.profiles else None
        rain = result.record.rain_known
        yield _short("short", "", [brief_facts(finding, units, profile, rain_known=rain)])
        marks = _marks_table(finding, units)
        about = [*range_sentences([finding]), *spot_sentences(result, finding.spot, units)]
        yield _short("short-hours", "", [replace(marks, notes=(*marks.notes, *about))])
        return
    several, findings = len(at_spots) > 1, best_first(result.results)
    for number, indoors in enumerate((False, True), start=1):
        there = [one for one in findings if one.indoors is indoors]
        for verdict in Verdict:
            some = [one for one in there if one.verdict is verdict]
            if some:
                name = f"short-{verdict}-{number}"
                table = _short_table(some, verdict, units, name, several=several)
                yield _short(name, _verdict_head(verdict, some, indoors=indoors), [table])
    hours = _floors_table(result.results, units, several=several)
    yield _short("short-hours", _hours_title(units), [hours])
    told = [*range_sentences(result.results)]
    for at in at_spots:
        if not at.findings[0].indoors:
            told += [
                f"{at.here}{one[0].lower()}{one[1:]}" if several else one
                for one in spot_sentences(result, at.spot, units)
            ]
    told += words.caveat_sentences(result.results)
    told += words.mark_sentences(result.results, units)
    told += words.in_too_few_years(findings)
    told += words.on_unknown_rain(findings, rain_known=result.record.rain_known)
    heads = [ORDER_NOTE] if is_ranked(findings) else []
    heads += [
        *words.growth_note(findings),
        *([KEPT_NOTE] if words.on_years(findings) else []),
        COOL_NOTE,
    ]
    yield _short("short-notes", "", [Text(sentences=(*told, " ".join(heads)))])


def _verdict_head(verdict: Verdict, findings: Sequence[Finding], *, indoors: bool) -> str:
    """A verdict, how many have it, and what it asks for."""
    meant = (HEADS_IN_A_ROOM if indoors else VERDICT_HEADS).get(verdict)
    told = ", ".join(filter(None, (str(sum(map(words.weight, findings))), meant)))
    return f"{words.verdict_words(verdict, indoors=indoors)}: {told}"


def _hours_title(units: TemperatureUnit) -> str:
    return f"Hours of a mean month below the floor ({units.symbol}), too cool to grow"


def _short(name: str, title: str, blocks: Sequence[Block]) -> Section:
    return Section(name=name, title=title, level=Level.SHORT, blocks=tuple(blocks), on=On.TERMINAL)


def _short_table(
    findings: Sequence[Finding],
    verdict: Verdict,
    units: TemperatureUnit,
    name: str,
    *,
    several: bool,
) -> Table:
    """Groups of one verdict: the floor, the dates if it has any, and what to mind."""
    columns: list[Column[Finding]] = [words.who_column(findings)]
    columns += [words.spot_column()] if several else []
    columns.append(_floor_column(units))
    if verdict is Verdict.SEASONAL:
        columns.append(Column.of("Out to in", _season_dates))
        columns += [] if several else [Column.of("Days", _days, number=True)]
    if any(map(_is_out, findings)):
        columns.append(Column.of("Kept", _kept_cell))
    if verdict is Verdict.INDOOR:
        columns.append(Column.of("Why", words.first_cause, widest=36))
    if verdict is Verdict.NONE:
        columns.append(Column.of("Why", _no_verdict, wraps=True))
    columns.append(Column.of("Cool h", _cool_hours, number=True))
    narrow = several or verdict is Verdict.INDOOR
    columns.append(Column.of("Mind", _mind, wraps=True, widest=14 if narrow else 26))
    return build_table(name, columns, findings, dense_below=words.WIDE)


def _no_verdict(finding: Finding) -> str:
    return "" if finding.reason is None else words.clean(finding.reason.text, LONGEST_REASON)


def _mind(finding: Finding) -> str:
    """What weakens a verdict or goes beyond it, in few words."""
    marks = {
        "nearly all year": finding.nearly_all_year and dates_help(finding),  # else its dates say so
        flowers.flowers_mark(finding): bool(flowers.flowers_mark(finding)),
        "rest not known": not finding.rest.told,
        "borderline": finding.borderline,
        "spot decides": spot_decides(finding),
    }
    told = (mark for mark, holds in marks.items() if holds)
    return ", ".join((*words.minded(finding), *told))


def _floors_table(findings: Sequence[Finding], units: TemperatureUnit, *, several: bool) -> Table:
    """Hours of a mean month below each growth floor; groups of one floor and spot share a row."""
    spots = list(dict.fromkeys(one.spot for one in findings))
    by_floor = {(spots.index(one.spot), -one.thresholds.floor_c): one for one in findings}
    return build_table(
        "short-hours",
        [*([words.spot_column()] if several else []), _floor_column(units), *_hour_columns()],
        [by_floor[key] for key in sorted(by_floor)],
        dense_below=words.WIDE,
        stacked=False,
    )


class _Mark(Struct, frozen=True, kw_only=True):
    """A temperature that a group asks for, and the hours below it."""

    name: str
    hours: MonthlyHours


def _marks_table(finding: Finding, units: TemperatureUnit) -> Table:
    """Hours of a mean month below the floor of one group, and below its comfort mark."""
    used, cool = finding.thresholds, finding.hours_below_comfort
    rows = [_Mark(name=f"{show_temperature(used.floor_c, units)} floor", hours=finding.hours_below)]
    if used.comfort_c is not None and cool is not None:
        rows.append(_Mark(name=f"{show_temperature(used.comfort_c, units)} comfort", hours=cool))
    columns: list[Column[_Mark]] = [
        Column.field("Hours below", "name", str, number=True),
        *month_columns(lambda mark, at: words.hours(mark.hours.months[at])),
        Column.field("Year", "hours.year", words.hours, number=True),
    ]
    return build_table("short-hours", columns, rows, dense_below=words.WIDE, stacked=False)


# Verdicts ----------------------------------------------------------------------------------------


def _verdicts(at: _AtSpot, result: CheckResult, units: TemperatureUnit) -> Section:
    """The verdicts at one spot, and what it adds to the open air."""
    table = verdicts_table(at.findings, units, name=f"verdicts{at.ending}")
    about = spot_sentences(result, at.spot, units)
    return Section(
        name=f"verdicts{at.ending}",
        title=f"Verdicts{at.where}",
        level=Level.DETAIL,
        blocks=(replace(table, notes=(*table.notes, *about)),),
    )


def verdicts_table(
    findings: Sequence[Finding], units: TemperatureUnit, *, name: str = "verdicts"
) -> Table:
    """
    One row a group: verdict, season, years, margin, what limits it.

    Parameters
    ----------
    name
        Of the table, the only one of it in its sheet.
    """
    # What all of them share is said once, below.
    marked = not all(finding.provisional for finding in findings)
    in_model = not _all_model_based(findings)
    columns: list[Column[Finding]] = [
        words.who_column(findings),
        Column.of(
            "Verdict",
            lambda finding: _verdict_cell(finding, provisional=marked, model_based=in_model),
        ),
        Column.of("Out to in", _season_dates),
        Column.of("Days", _days, number=True),
        Column.of("Good days", _good_days, number=True, from_width=WHOLE),
        Column.of("Comfortable", _comfortable, from_width=WHOLE),
        Column.of(
            "Hours below comfort", _cool_hours, short="Cool h", number=True, from_width=WHOLE
        ),
        Column.of("Mind", lambda one: ", ".join(words.minded(one)), wraps=True, from_width=WHOLE),
        Column.of("Most h below", _worst_month, number=True, from_width=WIDEST, on=On.TERMINAL),
        Column.field(
            "h a year",
            "hours_below.year",
            words.hours,
            number=True,
            from_width=WIDEST,
            on=On.TERMINAL,
        ),
        Column.of("Kept", _kept_cell),
        Column.field("Margin", "margin_c", lambda margin_c: _margin(margin_c, units), number=True),
        Column.of("Limited by", _limits, short="Limited", wraps=True, long_from=WIDEST),
    ]
    return build_table(
        name,
        columns,
        findings,
        short_key=_short_key(findings),
        notes=tuple(_below_verdicts(findings, units)),
        dense_below=words.WIDE,
    )


def _verdict_cell(finding: Finding, *, provisional: bool, model_based: bool) -> Cell:
    """The verdict, with what weakens it."""
    marks = {
        "provisional": provisional and finding.provisional,
        "model-based": model_based and finding.model_based and _is_out(finding),
        "borderline": finding.borderline,
        "spot decides": spot_decides(finding),
    }
    told = words.verdict_cell(finding.verdict, indoors=finding.indoors)
    marked = [mark for mark, holds in marks.items() if holds]
    return Cell(
        ",\n".join([told.text, *marked]), short="\n".join([told.short, *marked]), mark=told.mark
    )


def _is_out(finding: Finding) -> bool:
    """Whether past years promise something: of a room whose nights hang on no weather none does."""
    return finding.verdict in (Verdict.ALL_YEAR, Verdict.SEASONAL) and not finding.steady


def _all_model_based(findings: Iterable[Finding]) -> bool:
    """Whether no promise rests on the years alone; False without a promise."""
    return {finding.model_based for finding in findings if _is_out(finding)} == {True}


def _season_dates(finding: Finding) -> str:
    """Dates of the season where the verdict allows one."""
    if finding.verdict is Verdict.NONE:
        return words.UNKNOWN
    return words.NONE if finding.verdict is Verdict.INDOOR else words.season_of(finding, short=True)


def _days(finding: Finding) -> str:
    """Length of the season where the verdict allows one."""
    if finding.verdict is Verdict.NONE:
        return words.UNKNOWN
    if finding.verdict is Verdict.INDOOR or finding.season is None:
        return "0"
    return str(finding.season.days)


def _good_days(finding: Finding) -> str:
    """Days that count for its rank; unknown without a verdict."""
    known = finding.verdict is not Verdict.NONE
    return str(finding.ranking.good_days) if known else words.UNKNOWN


def _comfortable(finding: Finding) -> str:
    """When its nights are truly comfortable, out or not."""
    season = finding.comfort_season
    if finding.verdict is Verdict.NONE:
        return words.UNKNOWN
    return words.NONE if season is None else words.season(season, short=True)


def _cool_hours(finding: Finding) -> str:
    """Hours of a mean year below its comfort mark."""
    cool = finding.hours_below_comfort
    return words.NONE if cool is None else words.hours(cool.year)


def _kept_cell(finding: Finding) -> Cell:
    """Years that kept the season, of those that speak for it; none of a room without weather."""
    if finding.verdict is Verdict.NONE:
        return Cell(words.UNKNOWN)
    if finding.verdict is Verdict.INDOOR or finding.steady:
        return Cell(words.NONE)  # there is no season that could be kept
    kept, counted = finding.years_kept, finding.years_counted
    return Cell(f"{kept} of {counted}", short=f"{kept}/{counted}")


def _margin(margin_c: float | None, units: TemperatureUnit) -> Cell:
    """Least warming that raises the verdict; its unit stands below."""
    if margin_c is None:
        return Cell(words.NONE)
    text = f"+{show_difference(margin_c, units)}"
    return Cell(text, short=bare(text, units))


def _limits(finding: Finding) -> Cell:
    """What limits the group."""
    if finding.verdict is Verdict.NONE:
        return Cell(words.UNKNOWN)  # the reason is said below
    return Cell(words.causes(finding, 2), short=words.short_causes(finding) or words.NONE)


def _worst_month(finding: Finding) -> str:
    """The month with most hours below the floor."""
    known = [
        (hours, month)
        for hours, month in zip(finding.hours_below.months, MONTHS, strict=True)
        if hours is not None
    ]
    if not known:
        return words.UNKNOWN
    hours, month = max(known, key=lambda pair: pair[0])
    return f"{words.hours(hours)} {month[:3]}"


def _short_key(findings: Sequence[Finding]) -> str:
    """The short words for what limits."""
    if not any(finding.limiting for finding in findings):
        return ""
    return f"Limited by (most months first): {words.cause_key(findings)}."


def _below_verdicts(findings: Sequence[Finding], units: TemperatureUnit) -> list[str]:
    """Sentences that explain the table just above."""
    out_to_in = (
        "Out to in: first day out; day of carrying in, its night not spent out. Kept: years "
        f"that kept it, of those that tell. Margin: warming in {units.symbol} that would raise the "
        "verdict."
    )
    sentences = [*words.caveat_sentences(findings), out_to_in]
    if is_ranked(findings):
        sentences += [f"{verdict_counts(findings)}. {GOOD_DAYS_NOTE}"]
    sentences += words.mark_sentences(findings, units)
    if any(finding.model_based and _is_out(finding) for finding in findings):
        which = "All promises are model-based" if _all_model_based(findings) else "Model-based"
        sentences.append(f"{which}: the years alone cannot carry the promise.")
    sentences += flowers.sentences(findings)
    sentences += range_sentences(findings)
    by_text: dict[str, list[str]] = {}
    for finding in findings:
        if finding.verdict is Verdict.NONE and finding.reason is not None:
            by_text.setdefault(finding.reason.text, []).append(words.short_name(finding))
    for text, groups in by_text.items():
        told = words.clean(text, LONGEST_REASON)
        sentences.append(f"No verdict for {first_of(groups, 2)}: {told}")
    return sentences


# Hours below the floor ---------------------------------------------------------------------------


def _hours(at: _AtSpot, units: TemperatureUnit) -> Section:
    """Hours below the growth floor at one spot; a page has the bad year too."""
    return Section(
        name=f"by-month{at.ending}",
        title=f"Hours below the growth floor in a mean month{at.where}",
        label=f"Hours by month{at.where}",
        level=Level.DETAIL,
        blocks=(
            hours_table(at.findings, units, name=f"hours{at.ending}"),
            bad_hours_table(at.findings, units, name=f"bad-hours{at.ending}"),
        ),
    )


def hours_table(
    findings: Sequence[Finding], units: TemperatureUnit, *, name: str = "hours"
) -> Table:
    """
    Months across, groups down: hours of the mean year.

    Parameters
    ----------
    name
        Of the table, the only one of it in its sheet.
    """
    unknown = any(hours is None for finding in findings for hours in finding.hours_below.months)
    note = f" {words.UNKNOWN}: not observed well enough." if unknown else ""
    columns: list[Column[Finding]] = [
        words.who_column(findings),
        _floor_column(units),
        *_hour_columns(),
    ]
    return build_table(
        name,
        columns,
        findings,
        notes=(f"Floor in {units.symbol}. Hours exactly at the floor do not count.{note}",),
        dense_below=words.WIDE,
        stacked=False,
    )


def _hour_columns() -> list[Column[Finding]]:
    """Hours below the floor in each month of the mean year, and in all of it."""
    return [
        *month_columns(lambda finding, at: words.hours(finding.hours_below.months[at])),
        Column.field("Year", "hours_below.year", words.hours, number=True),
    ]


def bad_hours_table(
    findings: Sequence[Finding], units: TemperatureUnit, *, name: str = "bad-hours"
) -> Table:
    """
    The same in the bad year of each month, for pages.

    Parameters
    ----------
    name
        Of the table, the only one of it in its sheet.
    """
    columns: list[Column[Finding]] = [
        words.who_column(findings),
        _floor_column(units),
        *month_columns(lambda finding, at: words.hours(finding.hours_below_bad[at])),
    ]
    return build_table(
        name,
        columns,
        findings,
        title="In a bad month, one year in ten",
        notes=("Bad months do not add up to a year.",),
        dense_below=words.WIDE,
        stacked=False,
        on=On.PAGE,
    )


def _floor_column(units: TemperatureUnit) -> Column[Finding]:
    """The growth floor; its unit stands below."""

    def cell(floor_c: float) -> Cell:
        return Cell(
            show_temperature(floor_c, units), short=bare(show_temperature(floor_c, units), units)
        )

    return Column.field("Floor", "thresholds.floor_c", cell, number=True)


# Groups in full ----------------------------------------------------------------------------------


def _in_full(
    result: CheckResult, at_spots: Sequence[_AtSpot], units: TemperatureUnit
) -> list[Section]:
    """Every group in full on a page, and on a terminal those of a spot that has few."""
    profiles = {(one.spot, one.group, one.plants): one for one in result.profiles}
    one = words.who(result.results)
    few: list[Section] = []
    parts: list[Section] = []
    for at in at_spots:
        for finding in at.findings:
            number = len(parts) + 1
            profile = profiles.get((finding.spot, finding.group, finding.plants))
            verdict = words.verdict_words(finding.verdict, indoors=finding.indoors)
            part = Section(
                name=f"group-{number}",
                title=f"{words.full_name(finding)}, {words.clean(finding.spot, 40)}",
                label=f"{words.finding_label(finding, result, key=False)}: {verdict}",
                level=Level.DETAIL,
                blocks=(
                    group_facts(finding, units, profile),
                    months_table(finding, units, f"months-{number}"),
                ),
            )
            parts.append(part)
            if len(at.findings) <= words.DETAILED:
                few.append(part)
    return _told_apart("groups", f"{one} by {one.lower()}", parts, few)


def _told_apart(
    name: str,
    title: str,
    parts: Sequence[Section],
    on_terminal: Iterable[Section],
) -> list[Section]:
    """Parts that a page folds, and those given, which a terminal shows after each other."""
    page = Section(
        name=name,
        title=title,
        level=Level.DETAIL,
        parts=tuple(replace(part, folded=len(parts) > 1) for part in parts),
        on=On.PAGE,
    )
    return [*(replace(part, on=On.TERMINAL) for part in on_terminal), page]


# Worst nights ------------------------------------------------------------------------------------


def _worst_of(
    finding: Finding, number: int, result: CheckResult, units: TemperatureUnit
) -> Section:
    """The coldest nights and the heaviest fortnights of one group."""
    label = words.finding_label(finding, result, key=False)
    blocks: list[Block] = [
        replace(table, title=f"{label}: {table.title}")
        for table in (
            nights_table(finding, units, name=f"worst-nights-{number}"),
            fortnights_table(finding, units, name=f"worst-fortnights-{number}"),
        )
        if table.rows
    ]
    return Section(
        name=f"worst-{number}",
        label=label,
        level=Level.BRIEF if len(result.results) <= words.DETAILED else Level.DETAIL,
        blocks=tuple(blocks) or (Text(sentences=(f"{label}: no nights are listed.",)),),
    )


def nights_table(finding: Finding, units: TemperatureUnit, *, name: str = "worst-nights") -> Table:
    """
    The coldest nights on record.

    Parameters
    ----------
    name
        Of the table, the only one of it in its sheet.
    """
    columns: list[Column[WorstNight]] = [
        Column.field("Night of", "evening", words.day),
        Column.field(
            "Lowest reading",
            "minimum_c",
            lambda lowest_c: show_temperature(lowest_c, units),
            number=True,
        ),
        Column.field(
            "Below the limit by",
            "below_limit_c",
            lambda below_c: show_difference(below_c, units) if below_c else "not below",
            number=True,
        ),
    ]
    return build_table(
        name,
        columns,
        finding.worst_nights,
        title="coldest nights on record",
        notes=("Below the limit: with the allowance for what hourly readings miss.",),
    )


def fortnights_table(
    finding: Finding, units: TemperatureUnit, *, name: str = "worst-fortnights"
) -> Table:
    """
    The heaviest doses of cold on record.

    Parameters
    ----------
    name
        Of the table, the only one of it in its sheet.
    """

    def dose(dose_c_h: float) -> str:
        return f"{show_difference(dose_c_h, units, 0)}·h"

    columns: list[Column[WorstFortnight]] = [
        Column.field("14 nights up to that of", "last_evening", words.day),
        Column.field("Dose", "dose_c_h", dose, number=True),
        Column.field(
            "Lowest reading",
            "lowest_c",
            lambda lowest_c: show_temperature(lowest_c, units),
            number=True,
        ),
    ]
    base = show_temperature(finding.thresholds.chill_base_c, units)
    limit = dose(finding.thresholds.dose_limit_c_h)
    return build_table(
        name,
        columns,
        finding.worst_fortnights,
        title="heaviest cold over 14 nights",
        notes=(f"Dose: degree-hours below {base}; more than {limit} is unsafe.",),
    )
