"""The sheet of a report: every cell, title and mark says its own field, and all sheets agree."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from msgspec.structs import replace

from suitability.advice.growth_year import Phase
from suitability.advice.report import (
    Direction,
    MonthsObserved,
    NextChange,
    NextMove,
    NightCourse,
    ReportResult,
    Trial,
    Trials,
)
from suitability.advice.terms import HeatWord, MonthlyHours, Season, Verdict
from suitability.answers import words
from suitability.answers.cards import card_facts
from suitability.answers.check import check_sheet, verdicts_table
from suitability.answers.coverage import (
    coverage_table,
    coverage_title,
    months_covered,
    observed_years,
)
from suitability.answers.moves import dates_table, own_dates_table
from suitability.answers.moves_charts import dates_title, moving_dates_chart
from suitability.answers.ranking import best_first
from suitability.answers.report import changes_table, moves_table, report_sheet, spots_table
from suitability.answers.report_charts import (
    care_table,
    group_weeks_chart,
    heat_chart,
    heat_title,
    hours_by_month,
    months_chart,
    months_title,
    nights_chart,
    nights_table,
    nights_title,
    weeks_heading,
)
from suitability.answers.report_group import group_section, rest_table
from suitability.answers.sheet import Table
from suitability.answers.trials import trial_control, trials_table
from suitability.answers.year_charts import COMING_IN
from suitability.brief import MONTHS
from suitability.output.page import charts_of
from suitability.units import TemperatureUnit
from tests.output import examples, moves_examples, report_examples, weeks_examples

from . import card_examples

if TYPE_CHECKING:
    from suitability.advice.result import Finding
    from suitability.answers.sheet import Chart, Section, Sheet

C, F = TemperatureUnit.C, TemperatureUnit.F
SHORT = [name[:3] for name in MONTHS]
WHOLE = Season(out="01-01", inn="01-01", days=365)


def spec_of(chart: Chart) -> Any:
    """What a chart draws."""
    return chart.spec


def from_(first: int) -> tuple[float, ...]:
    """Twelve numbers that occur nowhere else."""
    return tuple(float(first + month) for month in range(12))


def texts(table: Table) -> list[dict[str, str]]:
    """The rows of a table, each cell under its head."""
    heads = [column.title for column in table.columns]
    assert len(set(heads)) == len(heads)
    return [dict(zip(heads, (cell.text for cell in row), strict=True)) for row in table.rows]


def finding(**changes: object) -> Finding:
    """A finding whose hours all differ."""
    made = examples.seasonal(
        season=Season(out="06-08", inn="10-03", days=117),
        hours_below=MonthlyHours.of(from_(101)),
        hours_below_median=from_(121),
        hours_below_bad=from_(141),
        degree_hours_below=from_(161),
        years_of_month=tuple(range(181, 193)),
        hours_below_rest=MonthlyHours.of(from_(201)),
        hours_below_rest_bad=from_(221),
        degree_hours_below_rest=from_(241),
    )
    return replace(made, **changes)


def course(spot: str = "open-air") -> NightCourse:
    """Nights whose four courses differ on each day: lowest 1 to 365 tenths, others above it."""
    return NightCourse(
        spot=spot,
        lowest_c=tuple(round(day / 10, 1) for day in range(1, 366)),
        low_c=tuple(round(40 + day / 10, 1) for day in range(1, 366)),
        middle_c=tuple(round(80 + day / 10, 1) for day in range(1, 366)),
        high_c=(None, *(round(120 + day / 10, 1) for day in range(2, 366))),
    )


def trials() -> Trials:
    """Three groups: a season that grows with warming, a verdict that turns, one that stays."""

    def seasonal(days: int) -> Trial:
        return Trial(verdict=Verdict.SEASONAL, season=Season(out="06-08", inn="10-03", days=days))

    indoor = Trial(verdict=Verdict.INDOOR, season=Season(out="07-01", inn="08-09", days=39))
    all_year = Trial(verdict=Verdict.ALL_YEAR, season=WHOLE)
    return Trials(
        warmer_c=(-1.0, 0.0, 1.0),
        promises=(0.8, 0.9),
        rows=(
            (
                (seasonal(111), seasonal(101)),
                (seasonal(121), seasonal(117)),
                (seasonal(141), seasonal(131)),
            ),
            ((indoor, indoor), (all_year, all_year), (all_year, all_year)),
            ((indoor, indoor), (indoor, indoor), (indoor, indoor)),
        ),
    )


def made(**changes: object) -> ReportResult:
    """One group that moves, one that stays out, one that stays in."""
    full, part = (744, 672, 744, 720) * 3, (0, 448, 743, 3) * 3
    result = ReportResult(
        on="03-10",
        check=examples.result(finding(), examples.all_year(), examples.indoor()),
        moves=moves_examples.result(
            moves_examples.moving(), moves_examples.staying(), moves_examples.indoor()
        ),
        growth=weeks_examples.result(
            weeks_examples.moving(), weeks_examples.resting(), weeks_examples.unjudged()
        ),
        cards=card_examples.result(
            card_examples.card(),
            card_examples.card(heat=None, dry_air=None, rest=None),
            card_examples.card(heat=None),
        ),
        coverage=MonthsObserved(
            first_year=2021,
            observed=(full, part),
            full=(full, full),
            usable=((True,) * 12, (False, False, True, False) * 3),
            complete=((True,) * 12, (False, True, True, False) * 3),
        ),
        courses=(course(),),
        trials=trials(),
        next_moves=(
            NextMove(number=0, direction=Direction.OUT, day="06-08", in_days=90, watching=True),
            NextMove(number=0, direction=Direction.IN, day="10-03", in_days=0, watching=False),
        ),
        next_changes=(
            NextChange(numbers=(1, 0), phase=Phase.WAKING, day="03-15", in_days=5),
            NextChange(numbers=(2,), phase=Phase.RESTING, day="04-02", in_days=23),
        ),
    )
    return replace(result, **changes)


# What comes next, trials, spots -------------------------------------------------------------------


def test_the_next_moves_say_what_when_and_which_weeks_to_watch() -> None:
    result = made()
    assert texts(moves_table(result, result.next_moves)) == [
        {
            "Group": "Phalaenanthe and hybrids",
            "What": "move out, harden two weeks",
            "Promised": "8 June",
            "In days": "90",
            "Watch the forecast": "now: 19 May to 8 Jun",
        },
        {
            "Group": "Phalaenanthe and hybrids",
            "What": "carry in before sunset",
            "Promised": "3 October",
            "In days": "today",
            "Watch the forecast": "3 Oct to 19 Nov",
        },
    ]


def test_the_next_move_out_says_when_growth_begins() -> None:
    result = made()
    first, *others = result.moves.results
    late = (replace(first, grows_from="06-21"), *others)
    out, inn = texts(
        moves_table(replace(result, moves=replace(result.moves, results=late)), result.next_moves)
    )
    assert out["What"] == ("move out, harden two weeks; survives, does not grow yet before 21 June")
    assert inn["What"] == "carry in before sunset"


def test_the_next_changes_say_what_begins_and_for_whom() -> None:
    assert texts(changes_table(made())) == [
        {
            "Usually on": "15 March",
            "In days": "5",
            "What": "wakes: water with the new roots, then feed",
            "Groups": "Nobile type (soft-cane); Phalaenanthe and hybrids",
        },
        {
            "Usually on": "2 April",
            "In days": "23",
            "What": "begins its rest: rest water, no feed",
            "Groups": "Paphiopedilum, mottled leaf (warm)",
        },
    ]


def test_without_dates_ahead_that_is_said() -> None:
    section = section_of(report_sheet(made(next_moves=(), next_changes=()), C), "next")
    said = " ".join(told_in(section))
    assert "No group has a date of moving." in said
    assert "No change of water or feed within the next twelve weeks." in said


def test_the_table_of_trials_has_the_verdicts_as_they_are() -> None:
    """A season that is too short to be used has neither dates nor days."""
    assert texts(trials_table(made())) == [
        {
            "Group": "Phalaenanthe and hybrids",
            "Verdict": "outdoor-seasonal",
            "Out": "8 June",
            "In": "3 October",
            "Days": "117",
            "Against now": "same",
        },
        {
            "Group": "Nobile type (soft-cane)",
            "Verdict": "outdoor-all-year",
            "Out": "",
            "In": "",
            "Days": "365",
            "Against now": "same",
        },
        {
            "Group": "Paphiopedilum, mottled leaf (warm)",
            "Verdict": "indoor-only",
            "Out": "",
            "In": "",
            "Days": "",
            "Against now": "same",
        },
    ]


def test_the_control_holds_every_trial() -> None:
    """Each against the verdict as it is: 101 days are 16 fewer than 117, 131 are 14 more."""
    control = trial_control(made(), C)
    assert control.steps == ("1 °C colder", "as it is", "1 °C warmer")
    assert control.promises == ("80%", "90%")
    assert control.asked == (1, 1)
    cells = [[[control.texts[at] for at in step] for step in row] for row in control.rows]
    assert cells[0][0][1] == ("outdoor-seasonal", "8 June", "3 October", "101", "-16 days")
    assert cells[0][2][1] == ("outdoor-seasonal", "8 June", "3 October", "131", "+14 days")
    assert cells[0][2][0] == ("outdoor-seasonal", "8 June", "3 October", "141", "+24 days")
    assert cells[1][0][1] == ("indoor-only", "", "", "", "now outdoor-all-year")
    assert cells[2][0][0] == ("indoor-only", "", "", "", "same")
    assert control.summaries[0][0] == (
        "Spot 1 °C colder, kept by 80% of new years: 1 outdoor-seasonal, 2 indoor-only."
    )
    assert control.summaries[1][1] == (
        "Spot as it is, kept by 90% of new years: 1 outdoor-all-year, 1 outdoor-seasonal, 1 "
        "indoor-only."
    )
    assert trial_control(made(), F).steps[2] == "1.8 °F warmer"


def test_the_control_begins_with_the_table() -> None:
    result = made()
    control = trial_control(result, C)
    step, at = control.asked
    begun = [control.texts[row[step][at]] for row in control.rows]
    assert begun == [tuple(cell.text for cell in row[1:]) for row in trials_table(result).rows]


def test_spots_stand_side_by_side() -> None:
    """Each verdict under the spot it is of, the season with its dates and days."""
    there = examples.all_year(
        group="phalaenanthe", group_name="Phalaenanthe and hybrids", spot="porch"
    )
    move = moves_examples.moving
    result = made(
        check=examples.result(finding(), there),
        moves=moves_examples.result(move(), move(spot="porch", verdict=Verdict.ALL_YEAR)),
    )
    assert texts(spots_table(result)) == [
        {
            "Group": "Phalaenanthe and hybrids",
            "open-air": "outdoor-seasonal, 8 Jun to 3 Oct (117 days)",
            "porch": "outdoor-all-year",
        }
    ]


# One group ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("units", "floor", "rest", "ceiling"),
    [(C, "15.0 °C", "13.0 °C", "36.0 °C"), (F, "59.0 °F", "55.4 °F", "96.8 °F")],
)
def test_hours_by_month_stand_in_the_line_of_their_threshold(
    units: TemperatureUnit, floor: str, rest: str, ceiling: str
) -> None:
    table = hours_by_month(finding(), card_examples.heat(), units)
    rows = {row.pop("Hours a month"): row for row in texts(table)}
    assert rows == {
        f"below {floor}, mean year": months(101),
        f"below {floor}, bad year": months(141),
        f"below rest floor {rest}, mean year": months(201),
        f"above {ceiling}, mean year": months(301),
        "years behind the hours below": months(181),
    }


def months(first: int) -> dict[str, str]:
    """Twelve cells under their months."""
    return {name: str(first + at) for at, name in enumerate(SHORT)}


def test_the_charts_of_months_draw_the_lines_of_the_table() -> None:
    series = spec_of(months_chart(finding(), "hours", "", C)).series
    assert [(one.look, one.name, one.hours) for one in series] == [
        ("mean", "mean year, below 15.0 °C", from_(101)),
        ("bad", "bad year (one in ten), below 15.0 °C", from_(141)),
        ("rest", "mean year, below the rest floor of 13.0 °C", from_(201)),
    ]
    (hot,) = spec_of(heat_chart(card_examples.heat(), "heat", "", C)).series
    assert (hot.look, hot.name, hot.hours) == ("heat", "mean year, above 36.0 °C", from_(301))


def test_titles_of_hours_and_heat_state_their_numbers() -> None:
    assert months_title(finding(), C) == (
        "December has the most hours below its floor of 15.0 °C: 112 h in a mean year, 152 h in a "
        "bad one."
    )
    hot = card_examples.heat()
    assert heat_title(hot, C) == "Above 36.0 °C: 52 h a year on the days spent out."
    there = replace(hot, spent_out=False, word=HeatWord.LITTLE)
    assert heat_title(there, F) == "Above 96.8 °F: 52 h a year were it out all year."


def test_nights_stand_under_their_course() -> None:
    """1 January is the first day of each course, 31 December the last; one is not known."""
    rows = texts(nights_table(course(), C, "Night minima"))
    assert len(rows) == 365
    assert rows[0] == {
        "Day": "1 Jan",
        "Lowest on record": "0.1",
        "One of ten below": "40.1",
        "Usual": "80.1",
        "One of ten above": "?",
    }
    assert rows[-1] == {
        "Day": "31 Dec",
        "Lowest on record": "36.5",
        "One of ten below": "76.5",
        "Usual": "116.5",
        "One of ten above": "156.5",
    }
    assert texts(nights_table(course(), F, "Night minima"))[-1]["Lowest on record"] == "97.7"


def test_the_chart_of_nights_draws_courses_thresholds_and_season() -> None:
    """Its season from 8 June, day 158, for 117 days; levels as they are named."""
    spec = spec_of(nights_chart(course(), finding(), "nights", "", C))
    drawn = course()
    assert (spec.lowest.name, spec.lowest.values) == ("lowest on record", drawn.lowest_c)
    assert (spec.low.name, spec.low.values) == ("eight of ten nights", drawn.low_c)
    assert (spec.middle.name, spec.middle.values) == ("usual night minimum", drawn.middle_c)
    assert spec.high.values == drawn.high_c
    assert spec.season == (158, 117)
    assert [(level.look, level.value, level.text) for level in spec.levels] == [
        ("floor", 15.0, "floor 15 °C"),
        ("rest", 13.0, "rest floor 13 °C"),
        ("chill", 12.0, "chill base 12 °C"),
        ("wet", 8.0, "wet limit 8 °C"),
        ("dry", 5.0, "dry limit 5 °C"),
    ]
    levels = spec_of(nights_chart(course(), finding(), "", "", F)).levels
    assert [level.value for level in levels] == [59.0, 55.4, 53.6, 46.4, 41.0]


def test_the_title_of_nights_counts_days_below_the_floor() -> None:
    cold = replace(course(), middle_c=(10.0,) * 100 + (20.0,) * 265)
    assert nights_title(cold, finding(), C) == (
        "The usual night is below its floor of 15.0 °C on 100 days of the year; the coldest on "
        "record, 0.1 °C, is 4.9 °C below its dry limit of 5.0 °C."
    )


def test_dates_of_moving_stand_in_the_row_of_their_way() -> None:
    """The same cells as in the table of moves, without the name."""
    move = moves_examples.moving()
    rows = texts(own_dates_table(move))
    assert rows == [
        {
            "Way": "out",
            "Promised": "8 Jun",
            "90% interval": "4 Jun to 20 Jun",
            "Typical": "19 May",
            "Watch weeks": "19 May to 8 Jun",
            "Alone": "94%",
        },
        {
            "Way": "in",
            "Promised": "3 Oct",
            "90% interval": "29 Sep to 5 Oct",
            "Typical": "19 Nov",
            "Watch weeks": "3 Oct to 19 Nov",
            "Alone": "96%",
        },
    ]
    assert [row | {"Group": move.group_name} for row in rows] == texts(dates_table([move]))
    assert dates_title(move) == (
        "Out from 8 June, in by 3 October; half of the years allow 19 May and 19 November."
    )


def test_the_chart_of_dates_draws_each_date_where_it_lies() -> None:
    """Columns count from 4 February, day 34: 8 June is day 158, column 124."""
    spec = spec_of(moving_dates_chart(moves_examples.moving(), "dates", ""))
    out, inn = spec.rows
    assert (out.label, inn.label) == ("out", "in")
    assert (out.promised.column, out.promised.told) == (124, "out, promised: 8 Jun")
    assert out.typical is not None
    assert (out.typical.column, out.typical.told) == (
        104,
        "out, typical: of half of the years: 19 May",
    )
    assert (out.interval.start, out.interval.stop) == (120, 136)
    assert out.watch is not None
    assert (out.watch.start, out.watch.stop) == (104, 124)
    assert [day.told for day in out.past] == [
        "2013 by itself: out 24 May",
        "2014 by itself: out 16 Jul",
    ]
    assert [day.told for day in inn.past] == [
        "2013 by itself: in 21 Nov",
        "2014 by itself: in 21 Nov",
    ]
    assert inn.promised.told == "in, promised: 3 Oct"


def test_care_stands_under_what_it_is() -> None:
    run = weeks_examples.run(Phase.WAKING, 6, 8, {"water": "W.", "feed": "F.", "look_for": "L."})
    year = replace(weeks_examples.moving(), runs=(run,))
    assert texts(care_table(year)) == [
        {
            "Does": "waking",
            "When": "5 Feb-1 Apr",
            "Water": "W.",
            "Feed": "F.",
            "Look for": "L.",
        }
    ]


def test_the_strip_of_a_group_shows_the_days_of_its_season() -> None:
    """Out from 4 June, day 154, two weeks of hardening; the last week up to 5 October, day 277."""
    spec = spec_of(group_weeks_chart(weeks_examples.moving(), "weeks", ""))
    stretches = [
        (track.look, track.name, stretch.start, stretch.days)
        for track in spec.standing
        for stretch in track.stretches
    ]
    assert ("moving", "moving out: two weeks", 154, 14) in stretches
    assert ("outdoors", "outdoors", 168, 109) in stretches
    assert ("moving", COMING_IN, 271, 7) in stretches
    assert sum(days for *_, name, _, days in stretches if name != COMING_IN) == 365
    assert {track.look for track in spec.phases} == {"growing", "slowing"}


def test_the_heading_of_a_year_goes_by_the_verdict() -> None:
    """A whole season is all year only where the verdict is."""
    year = weeks_examples.moving()
    assert weeks_heading(year, finding()).startswith("Outdoors 8 June to 3 October; grows ")
    assert weeks_heading(year, examples.all_year()).startswith("Outdoors all year; ")
    assert weeks_heading(year, examples.indoor()).startswith("Indoors all year; ")
    assert weeks_heading(year, finding(season=WHOLE)).startswith(
        "Outdoors: nothing on record asks it in, yet the verdict is only outdoor-seasonal; "
    )


def test_the_rest_of_each_winter_stands_under_its_head() -> None:
    head = ("From", "Rest", "Met on", "Nights that count", "Missing")
    assert texts(rest_table(card_examples.rest())) == [
        dict(zip(head, cells, strict=True))
        for cells in (
            ("2013", "met", "5 Dec", "41", ""),
            ("2014", "partly", "", "17", "dryness"),
            ("2015", "not met", "", "6", "cold"),
        )
    ]


def test_the_section_of_a_group_holds_its_own_parts_in_order() -> None:
    """Facts are those of its card, but for what its charts tell better."""
    result = made()
    section = group_section(0, result, C)
    assert section.title == "Phalaenanthe and hybrids: outdoor-seasonal"
    blocks: Any = section.blocks
    lead, facts = blocks
    (told,) = lead.sentences
    assert told == (
        "Lives here for a season, nothing in its rest stands against flowers. 0 % of 11 plant "
        "years stayed free of unsafe nights. Kept by 10 of 11 years; 90% of new years are to keep "
        "it. Model-based: 11 years alone cannot carry such a promise."
    )
    left_out = {"", "Animals", "Heat", "Water", "Feed"}
    own = card_facts(result.cards.cards[0], C).rows
    assert facts.rows == tuple(fact for fact in own if fact.label not in left_out)
    assert [part.name for part in section.parts] == [
        "weeks-of-1", "hours-of-1", "nights-of-1", "dates-of-1", "years-of-1", "heat-of-1", "rest",
    ]  # fmt: skip
    assert [part.title for part in section.parts][-3:] == [
        "10 of 11 past years kept the season; 90% of new years are expected to.",
        "Above 36.0 °C: 52 h a year on the days spent out.",
        "What flowers hang on: cool and dry enough outdoors in 7 of 12 years, partly in 3.",
    ]
    beside: Any = section.parts[-2].blocks[1]
    heat = beside.sentences[0]
    assert heat.startswith("Heat: harms at times: 52 h a year above 36.0 °C, 87 in a bad year;")
    assert "hot days in a row: 5 at most; 14 nights a year stay above 24.0 °C." in heat
    assert "Dry air: 63 h a year warmer than 30 °C and drier than 30%, 71 h with a vapour" in heat


def test_every_chart_names_its_group_where_it_stands_alone() -> None:
    sheet = report_sheet(made(), C)
    for chart in charts_of([section_of(sheet, "groups").parts[0]]):
        assert chart.title.startswith("Phalaenanthe and hybrids: ")
        assert chart.name.endswith("-1")
    names = [chart.name for chart in charts_of(sheet.sections)]
    assert len(set(names)) == len(names)


# Coverage, and the whole --------------------------------------------------------------------------


def test_coverage_stands_in_its_month_and_sums() -> None:
    """First year whole; in the second (0, 448, 743, 3) hours three times over, 3582 in all."""
    years = observed_years(made().coverage)
    first, second = texts(coverage_table(years))
    assert first == {
        "Year": "2021",
        **dict.fromkeys(SHORT, "100"),
        "Hours observed": "8,640",
        "Months for counts": "12 of 12",
        "Months by WMO": "12 of 12",
    }
    assert second == {
        "Year": "2022",
        **dict(zip(SHORT, ("0", "(67)", "99", "(1)") * 3, strict=True)),
        "Hours observed": "3,582",
        "Months for counts": "3 of 12",
        "Months by WMO": "6 of 12",
    }
    assert coverage_title("shade", years) == (
        "shade, 2021 to 2022: 15 of 24 months are observed well enough to count hours, and 18 to "
        "form monthly values (WMO-No. 1203)."
    )
    spec = months_covered(years)
    assert spec.cells[1][:4] == ("", "(67)", "99", "(1)")
    assert spec.told[1][1] == (
        "February 2022",
        "448 of 672 h observed",
        "hours may not be counted",
        "monthly value by WMO-No. 1203: yes",
    )


def section_of(sheet: Sheet, name: str) -> Section:
    """A section of the sheet."""
    return next(section for section in sheet.sections if section.name == name)


def told_in(section: Section) -> list[str]:
    """All sentences of a section and those within it."""
    own = [text for block in section.blocks for text in getattr(block, "sentences", ())]
    return [*own, *(text for part in section.parts for text in told_in(part))]


def test_sections_come_in_the_order_of_questions() -> None:
    """And none that has nothing to say: there is one spot only."""
    sheet = report_sheet(made(), C)
    assert [section.name for section in sheet.sections] == [
        "next-moves", "years-drawn", "verdicts", "next", "hours-drawn", "try", "keys", "groups",
        "nights", "record", "method", "cautions",
    ]  # fmt: skip
    assert section_of(sheet, "next-moves").title == "Next moves, from 10 March on"
    assert [section.name for section in sheet.sections if section.lead] == [
        "next-moves",
        "years-drawn",
    ]


def test_a_plant_has_the_same_verdict_dates_and_marks_on_every_sheet() -> None:
    """On the report, in check, among moves, and on its card; at each of two spots."""
    result = report_examples.few(two_spots=True)
    sheet = report_sheet(result, C)
    check = check_sheet(result.check, C)
    ordered = best_first(result.check.results)
    verdicts = [
        row
        for spot in dict.fromkeys(one.spot for one in ordered)
        for row in texts(verdicts_table([one for one in ordered if one.spot == spot], C))
    ]
    in_report = [
        row
        for block in section_of(sheet, "verdicts").blocks
        if isinstance(block, Table)
        for row in texts(block)
    ]
    assert in_report == verdicts
    assert sheet.headline == check.headline
    groups = section_of(sheet, "groups").parts
    for found, row in zip(ordered, verdicts, strict=True):
        number = result.check.results.index(found)
        move = result.moves.results[number]
        card = {fact.label: fact.text for fact in card_facts(result.cards.cards[number], C).rows}
        verdict = row["Verdict"].split(",")[0]
        assert verdict == found.verdict == move.verdict
        assert card["Here"].startswith(verdict)
        assert groups[number].title.endswith(f": {verdict}")
        for mark in ("provisional", "borderline", "model_based"):
            assert getattr(result.cards.cards[number], mark) == getattr(found, mark) or (
                mark == "model_based" and found.verdict is Verdict.INDOOR
            )
        if move.out is None or move.inn is None:
            assert not {"Out", "In"} & card.keys()
            continue
        assert row["Days"] == str(found.season.days if found.season else 0)
        out, inn = move.out.promised, move.inn.promised
        short = [words.day_month(day, short=True) for day in (out, inn)]
        assert row["Out to in"] == " to ".join(short)
        assert [one["Promised"] for one in texts(own_dates_table(move))] == short
        assert card["Out"].startswith(f"from {words.day_month(out)}")
        assert card["In"].startswith(f"by {words.day_month(inn)}")
        trial = texts(trials_table(result))[number]
        assert (trial["Out"], trial["In"]) == (words.day_month(out), words.day_month(inn))
        assert trial["Days"] == row["Days"]
