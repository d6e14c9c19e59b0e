"""
The sheet of moves says what the result says, each value under its own head.

Every field of these cases has a value that no other has, so that no two can change places unseen.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from msgspec.structs import replace

from suitability.advice.moves import (
    Decades,
    MoveDate,
    ThresholdDates,
    ThresholdLevel,
    YearOutdoors,
)
from suitability.advice.result import CarriedNights
from suitability.advice.terms import Season, Verdict
from suitability.answers.moves import (
    dates_table,
    moves_sheet,
    odds_table,
    then_and_now_table,
    threshold_table,
)
from suitability.answers.moves_charts import past_years, years_table
from suitability.answers.sheet import Chart, Facts, On, Section, Table
from suitability.units import TemperatureUnit

from . import examples, moves_examples

if TYPE_CHECKING:
    from collections.abc import Iterator

    from suitability.advice.moves import Move
    from suitability.answers.sheet import Block, Sheet

C, F = TemperatureUnit.C, TemperatureUnit.F


def a_date(month: int, holds_alone: float) -> MoveDate:
    """Six days of a month, in an order of their own."""
    days = [f"{month:02d}-{number:02d}" for number in (9, 4, 5, 8, 7, 12)]
    promised, typical, watch_from, watch_to, earliest, latest = days
    return MoveDate(
        promised=promised,
        typical=typical,
        watch_from=watch_from,
        watch_to=watch_to,
        earliest=earliest,
        latest=latest,
        holds_alone=holds_alone,
    )


def telling(**changes: object) -> Move:
    """A moving group in which every field has another value."""
    made = moves_examples.moving(
        season=Season(out="06-09", inn="10-09", days=122),
        typical_season=Season(out="05-01", inn="11-03", days=186),
        survival_season=Season(out="05-21", inn="10-22", days=154),
        survival_seasons=(Season(out="05-23", inn="10-24", days=155),),
        out=a_date(6, 0.941),
        inn=a_date(10, 0.964),
        chance=0.905,
        chance_5_years=0.612,
        chance_10_years=0.373,
        years_usable=19,
        years_kept=14,
        years_counted=17,
        kept_low=0.59,
        kept_high=0.97,
        risk_not_excluded=0.2384,
        carried_nights=CarriedNights(typical=13, worst=45),
        decades=Decades(
            last_years=9,
            last_kept=8,
            earlier_years=7,
            earlier_kept=6,
            days_per_decade=-22.9,
            trend_p=0.03,
        ),
        provisional=True,
        model_based=False,
    )
    return replace(made, **changes)


def by_head(table: Table, number: int = 0) -> dict[str, str]:
    """The long texts of a row under the titles of its columns."""
    titles = [column.title for column in table.columns]
    assert len(set(titles)) == len(titles)
    return dict(zip(titles, (cell.text for cell in table.rows[number]), strict=True))


def blocks_of(sections: tuple[Section, ...]) -> Iterator[tuple[Section, Block]]:
    for section in sections:
        yield from ((section, block) for block in section.blocks)
        yield from blocks_of(section.parts)


def facts_of(sheet: Sheet, name: str) -> dict[str, str]:
    """Labels and texts of the facts of one section."""
    (facts,) = (
        block
        for section, block in blocks_of(sheet.sections)
        if section.name == name and isinstance(block, Facts)
    )
    return {fact.label: fact.text for fact in facts.rows}


def sheet_of(*moves: Move, units: TemperatureUnit = C, **changes: Any) -> Sheet:
    return moves_sheet(moves_examples.result(*moves, **changes), units)


# Tables ------------------------------------------------------------------------------------------


def test_dates() -> None:
    """Two rows: out, then in."""
    table = dates_table([telling()])
    assert by_head(table) == {
        "Group": "Phalaenanthe and hybrids",
        "Way": "out",
        "Promised": "9 Jun",
        "90% interval": "7 Jun to 12 Jun",
        "Typical": "4 Jun",
        "Watch weeks": "5 Jun to 8 Jun",
        "Alone": "94%",
    }
    assert by_head(table, 1) == {
        "Group": "Phalaenanthe and hybrids",
        "Way": "in",
        "Promised": "9 Oct",
        "90% interval": "7 Oct to 12 Oct",
        "Typical": "4 Oct",
        "Watch weeks": "5 Oct to 8 Oct",
        "Alone": "96%",
    }
    assert table.rows[0][0].short == "phalaenanthe"


def test_odds() -> None:
    """Length, chances, past years, risk and carried nights."""
    told = telling(comfort_season=Season(out="07-03", inn="09-27", days=86), grows_from="06-21")
    assert by_head(odds_table([told], 0.93)) == {
        "Group": "Phalaenanthe and hybrids",
        "Days": "122",
        "New year": "90%",
        "5 years": "61%",
        "10 years": "37%",
        "Kept": "14 of 17",
        "95% range": "59-97%",
        "Risk": "24%",
        "Carried": "13/45",
        "Comfortable": "3 Jul to 27 Sep",
        "Mind": "grows from 21 Jun",
        "Survival season": "21 May to 22 Oct",
    }
    assert "(93% asked for)" in odds_table([telling()], 0.93).notes[0]


def test_then_and_now() -> None:
    """Last ten years, those before, drift and doubts."""
    assert by_head(then_and_now_table([telling()])) == {
        "Group": "Phalaenanthe and hybrids",
        "Last ten": "8 of 9",
        "Earlier": "6 of 7",
        "Days a decade": "-23",
        "Trend": "shorter",
        "p": "0.03",
        "Doubts": "provisional",
    }
    unknown = by_head(then_and_now_table([telling(decades=None, model_based=True)]))
    assert list(unknown.values())[1:] == ["?"] * 5 + ["provisional, model"]


def test_thresholds() -> None:
    """Both conventions on both sides."""
    level = ThresholdLevel(
        probability=0.1,
        spring_if_it_happens="03-11",
        spring_in_any_year="03-12",
        autumn_if_it_happens="11-13",
        autumn_in_any_year="11-14",
    )
    asked = ThresholdDates(
        threshold_c=5.0, seasons=12, seasons_with_event=11, summers_without_gap=2, levels=(level,)
    )
    table = threshold_table(asked)
    assert by_head(table) == {
        "Chance": "10%",
        "Last in spring, if at all": "11 Mar",
        "Last in spring, in any year": "12 Mar",
        "First in autumn, if at all": "13 Nov",
        "First in autumn, in any year": "14 Nov",
    }
    assert table.notes[0].startswith("11 of 12 winters had such a day. In 2 summers less than")
    never = replace(
        level,
        spring_if_it_happens=None,
        spring_in_any_year=None,
        autumn_if_it_happens=None,
        autumn_in_any_year=None,
    )
    empty = threshold_table(replace(asked, levels=(never,)))
    assert list(by_head(empty).values())[1:] == ["-"] * 4


NIGHTS = "h" + 2 * "w" + 3 * "d" + 4 * "t" + 5 * "?" + 350 * "."


def a_year(**changes: object) -> YearOutdoors:
    made = YearOutdoors(
        year=2013, out="05-24", inn="11-21", days=181, kept=True, first_day="02-04", nights=NIGHTS
    )
    return replace(made, **changes)


def test_years_in_numbers() -> None:
    """Dates, days, and one to five nights of each cause."""
    table = years_table(telling(by_year=(a_year(),)), "years")
    assert by_head(table) == {
        "Year": "2013", "Kept": "yes", "Out": "24 May", "In": "21 Nov", "Days": "181",
        "Hard": "1", "Wet": "2", "Dose": "3", "Heat": "4", "Not observed": "5",
    }  # fmt: skip
    assert "Years from 4 February on" in table.title


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"kept": False}, ["no", "24 May", "21 Nov", "181"]),
        ({"kept": None, "out": None, "inn": None, "days": None}, ["?", "?", "?", "?"]),
        ({"out": "01-01", "inn": "01-01", "days": 365}, ["yes", "all year", "-", "365"]),
        ({"out": "08-05", "inn": "08-05", "days": 0}, ["yes", "-", "-", "0"]),
    ],
    ids=["failed", "does not tell", "whole", "never"],
)
def test_years_that_are_not_plain(changes: dict[str, object], told: list[str]) -> None:
    """What is not known is a question mark, what does not exist a hyphen."""
    table = years_table(telling(by_year=(a_year(**changes),)), "years")
    assert [cell.text for cell in table.rows[0]][1:5] == told


# Facts -------------------------------------------------------------------------------------------


def test_a_moving_group_in_full() -> None:
    """The same on both surfaces."""
    sheet = sheet_of(telling())
    told = facts_of(sheet, "full-1")
    assert told == facts_of(sheet, "group-1")
    assert told == {
        "Out": "9 June; typically 4 June; watch 5 June to 8 June; 90% interval 7 June to 12 June; "
        "holds alone in 94% (odds of that one date alone, not of the whole season)",
        "In": "9 October; typically 4 October; watch 5 October to 8 October; 90% interval "
        "7 October to 12 October; holds alone in 96% (odds of that one date alone, not of the "
        "whole season)",
        "Tonight": "bring it in at a forecast low of 10 °C or less",
        "Length": "122 days; typically 186",
        "Survival season": "21 May to 22 October: survives, but grows only in the season",
        "Promise": "90% asked for; 90% of new years are expected to keep it, all of 5 years with "
        "61%, all of 10 with 37%",
        "Past years": "kept by 14 of 17 (95%: 59-97%)",
        "Not excluded": "17 years without a failure cannot exclude a yearly risk of up to 24%, "
        "about one year in 4 (with 95% confidence).",
        "Carried nights": "were it left out all year: typically 13 a year, 45 in the worst year",
        "Not all year": "15 nights on record would likely have done lasting harm.",
    }


def test_a_staying_group_in_full() -> None:
    """It stands in no table, so that its decades and doubts stand here."""
    staying = telling(
        verdict=Verdict.ALL_YEAR, out=None, inn=None, typical_season=None, reason=None
    )
    told = facts_of(sheet_of(staying), "group-1")
    assert told["Then and now"] == "kept by 8 of 9 last years, and by 6 of 7 before"
    assert told["Doubts"] == "provisional"
    assert told["Promise"].startswith("90% asked for; 90% of new years")
    assert not {"Out", "In", "Length", "Not all year"} & set(told)
    assert facts_of(sheet_of(staying), "staying") == {
        "Phalaenanthe and hybrids": "outdoor-all-year: 14 of 17 plant years kept it, and 90% of "
        "new ones are expected to (90% asked for)."
    }


def test_the_forecast_that_brings_it_in_is_said_of_a_plant_that_is_out() -> None:
    """In short and in full, once each; of none that stays indoors, or stands in a room."""
    told = "bring it in at a forecast low of 10 °C or less"
    out = sheet_of(telling())
    assert facts_of(out, "short")["Tonight"] == facts_of(out, "full-1")["Tonight"] == told
    assert facts_of(out, "group-1")["Tonight"] == told
    kept_in = {"verdict": Verdict.INDOOR, "season": None, "out": None, "inn": None}
    for changes in (kept_in, {"indoors": True}, {"tonight": None}):
        sheet = sheet_of(telling(**changes))
        assert "Tonight" not in facts_of(sheet, "short") | facts_of(sheet, "group-1")


def test_nights_at_the_lows_of_tonight_stand_beside_those_that_are_carried() -> None:
    """With the dates that a side lacks; of what stays out beside the forecast itself."""
    move = moves_examples.moving(tonight_nights=21.4)
    told = facts_of(sheet_of(move), "short")
    assert told["Carried in"] == (
        "left out all year, on about 13 nights a year, 45 in the worst; at the lows of Tonight on "
        "about 21, not all harm"
    )
    assert told["Out"] == "from 8 June; in half of the years from 19 May"
    assert told["How sure"] == "10 of 11 past years kept it; a new one with 90%, five with 61%"
    assert "Such lows" not in told["Tonight"]
    assert move.out is not None
    free = replace(move.out, typical=move.by_year[0].first_day)
    any_day = facts_of(sheet_of(replace(move, out=free)), "short")
    assert any_day["Out"] == "from 8 June; half of the years ask for no date"
    nearly = facts_of(sheet_of(replace(move, nearly_all_year=True)), "short")
    assert "Carried in" not in nearly
    assert nearly["Tonight"].endswith(". Such lows come on about 21 nights a year; not all harm")


@pytest.mark.parametrize("verdict", list(Verdict))
def test_verdicts_are_named_as_they_are_everywhere(verdict: Verdict) -> None:
    """In the headline, the title of the years, the list, and where a group is not moved."""
    moving = verdict is Verdict.SEASONAL
    dates = {} if moving else {"out": None, "inn": None}
    sheet = sheet_of(telling(verdict=verdict, **dates))
    assert sheet.headline.startswith(f"Phalaenanthe and hybrids at Testing Cove: {verdict}")
    (years,) = (section for section in sheet.sections if section.name == "years")
    assert years.parts[0].label == f"Phalaenanthe and hybrids: {verdict}"
    assert f": {verdict}" in years.parts[0].title
    if not moving:
        assert facts_of(sheet, "staying")["Phalaenanthe and hybrids"].startswith(verdict)


def test_differences_and_temperatures_in_fahrenheit() -> None:
    """A difference of 1 °C is 1.8 °F, a temperature of 1 °C is 33.8 °F."""
    settings = replace(examples.settings(), minimum_allowance_c=1.0)
    asked = tuple(replace(one, threshold_c=1.0) for one in moves_examples.thresholds()[:1])
    sheet = sheet_of(telling(), units=F, settings=settings, thresholds=asked)
    about = {fact.label: fact.text for fact in sheet.about.rows}
    assert "night minima taken 1.8 °F lower" in about["Asked for"]
    assert [section.title for section in sheet.sections if "threshold" in section.name] == [
        "Days of 33.8 °F or colder, at the station"
    ]
    assert "°C" not in str(sheet)


# Chart -------------------------------------------------------------------------------------------


def test_what_the_chart_draws() -> None:
    """Columns count from 4 February, which is day 34 of the year."""
    move = telling(by_year=(a_year(), a_year(year=2014, kept=False, days=180)))
    spec = past_years(move)
    assert spec.first == 34
    assert (spec.season.start, spec.season.stop, spec.season.promised) == (125, 247, True)  # type: ignore[union-attr]  # it has one
    assert [(day.column, day.text, day.typical) for day in spec.days] == [
        (125, "out 9 Jun", False),
        (247, "in 9 Oct", False),
        (120, "typical 4 Jun", True),
        (242, "typical 4 Oct", True),
    ]
    first, second = spec.years
    assert (first.label, first.sign, first.nights, first.span) == ("2013", "✓", NIGHTS, (109, 290))
    assert first.told == "by itself from 24 May to 21 November, 181 days; kept the season"
    assert (second.label, second.sign, second.span) == ("2014", "✗", (109, 289))
    assert second.told.endswith("180 days; did not keep the season")
    assert [letter for letter, _ in spec.causes] == list("hwdt?")
    assert spec.own_dates == (
        "out that the year itself allowed",
        "in that the year itself allowed",
    )


def test_every_group_with_a_year_has_a_chart_with_its_finding() -> None:
    """Named in the order of the result; names of sections, charts and tables do not clash."""
    result = moves_examples.result()
    sheet = moves_sheet(result, C)
    found = list(blocks_of(sheet.sections))
    charts = [(section, block) for section, block in found if isinstance(block, Chart)]
    names = [f"past-years-{number}" for number in range(1, 5)]
    assert [chart.name for _, chart in charts] == ["seasons", *names]
    assert charts[0][1].title == sheet.headline
    assert all(chart.title == section.title for section, chart in charts[1:])
    assert all(section.on is On.PAGE for section, _ in charts)
    names = [section.name for section, _ in found] + [chart.name for _, chart in charts]
    assert len({*names}) == len({section.name for section, _ in found}) + len(charts)


def test_spots_have_sections_of_their_own() -> None:
    """In the order of the result, each with its name in its titles."""
    sheet = sheet_of(telling(), telling(spot="porch"), thresholds=())
    assert [section.name for section in sheet.sections] == [
        "next-moves", "through-the-year",
        "short", "short-notes",
        "dates-1", "odds-1", "then-1", "full-1-1",
        "dates-2", "odds-2", "then-2", "full-1-2", "years",
    ]  # fmt: skip
    assert sheet.sections[8].title == "When to move at the spot porch"
    assert [part.label for part in sheet.sections[-1].parts] == [
        "Phalaenanthe and hybrids, open-air: outdoor-seasonal",
        "Phalaenanthe and hybrids, porch: outdoor-seasonal",
    ]
