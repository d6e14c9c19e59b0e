"""The sheet of a check: every cell and sentence says its own field, in the reader's unit."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from suitability.advice.plant_state import PlantState, StateChange
from suitability.advice.plant_year import DryAir, HeatOutlook, RestOutlook, RoomAnswer
from suitability.advice.profile import (
    BudRisk,
    CautionVerdict,
    FailureCause,
    FirstFailure,
    FirstWinter,
    HourRange,
    NotedDamage,
    Profile,
    Remedies,
    RoofRest,
)
from suitability.advice.result import (
    CarriedNights,
    Limiting,
    RestFinding,
    SpotEnds,
    WorstFortnight,
    WorstNight,
)
from suitability.advice.terms import (
    Flowers,
    Grows,
    HeatWord,
    Missing,
    MonthlyHours,
    Rain,
    RestRoom,
    Rests,
    Season,
    Survives,
    Verdict,
)
from suitability.answers import words
from suitability.answers.check import (
    bad_hours_table,
    check_sheet,
    fortnights_table,
    hours_table,
    nights_table,
    verdicts_table,
)
from suitability.answers.check_charts import hours_map, year_bars
from suitability.answers.profile import brief_facts, group_facts, months_table
from suitability.answers.sheet import Level, On, Table
from suitability.brief import MONTHS
from suitability.groups.group import Trigger
from suitability.output.page import render_page
from suitability.output.terminal import render_terminal
from suitability.spots.spot import Offset, Room, Spot
from suitability.units import TemperatureUnit
from tests.output import examples

if TYPE_CHECKING:
    from collections.abc import Iterator

    from suitability.advice.result import Finding
    from suitability.answers.sheet import Facts, Section, Sheet

C, F = TemperatureUnit.C, TemperatureUnit.F
SHORT_MONTHS = [name[:3] for name in MONTHS]


def from_(first: int) -> tuple[float, ...]:
    """Twelve numbers that occur nowhere else."""
    return tuple(float(first + month) for month in range(12))


def distinct(**changes: object) -> Finding:
    """A finding of which no two fields have the same value."""
    made = examples.seasonal(
        borderline=True,
        verdict_colder=Verdict.INDOOR,
        verdict_warmer=Verdict.ALL_YEAR,
        dry_verdict=Verdict.NONE,
        spot_ends=SpotEnds(low=Verdict.INDOOR, high=Verdict.SEASONAL),
        years_usable=14,
        years_kept=10,
        years_counted=11,
        hours_below=MonthlyHours.of(from_(101)),
        hours_below_median=from_(121),
        hours_below_bad=from_(141),
        degree_hours_below=from_(161),
        years_of_month=tuple(range(181, 193)),
        hours_below_rest=MonthlyHours.of(from_(201)),
        hours_below_rest_bad=from_(221),
        degree_hours_below_rest=from_(241),
        hours_below_comfort=MonthlyHours.of(from_(261)),
        comfort_season=Season(out="07-03", inn="09-27", days=86),
        grows_from="06-11",
        heat=HeatWord.EXPECT_DAMAGE,
        growing_days=tuple(range(18, 30)),
        unsafe_share=tuple(month / 100 for month in range(31, 43)),
        season=Season(out="06-01", inn="10-08", days=129),
        survival_season=Season(out="05-20", inn="10-20", days=153),
        survival_seasons=(
            Season(out="05-20", inn="10-20", days=153),
            Season(out="02-02", inn="03-03", days=29),
        ),
        carried_nights=CarriedNights(typical=3, worst=19),
        margin_c=3.1,
        headroom_c=1.4,
        rest=RestFinding(
            needed=True,
            met_years=6,
            partly_years=2,
            of_years=13,
            usual_date="11-05",
            latest_date="12-06",
            room=RestRoom(low_c=7.0, high_c=16.0, nights=43),
        ),
        limiting=(
            Limiting(cause="wet-cold", months=(1, 2, 3)),
            Limiting(cause="dose", months=(4, 5)),
            Limiting(cause="heat", months=(7,)),
        ),
        worst_nights=(
            WorstNight(evening=date(2017, 1, 8), minimum_c=2.5, below_limit_c=3.3),
            WorstNight(evening=date(2018, 2, 9), minimum_c=6.0, below_limit_c=0.0),
        ),
        worst_fortnights=(
            WorstFortnight(last_evening=date(2016, 3, 14), dose_c_h=1234.5, lowest_c=4.5),
        ),
    )
    return replace(made, **changes)


def cells(table: Table, row: int = 0) -> dict[str, str]:
    """What a row says under each head."""
    heads = [column.title for column in table.columns]
    assert len(set(heads)) == len(heads)
    return dict(zip(heads, (cell.text for cell in table.rows[row]), strict=True))


def short_cells(table: Table, row: int = 0) -> dict[str, str]:
    """What a row says under each head on a terminal."""
    return {
        column.title: cell.short or cell.text
        for column, cell in zip(table.columns, table.rows[row], strict=True)
        if column.on is not On.PAGE
    }


def monthly(first: int) -> dict[str, str]:
    """Cells of twelve numbers."""
    return dict(zip(SHORT_MONTHS, (str(first + month) for month in range(12)), strict=True))


def facts(block: Facts) -> dict[str, str]:
    """Texts by label."""
    told: dict[str, str] = {}
    label = ""
    for fact in block.rows:
        label = fact.label or f"{label}, more"
        assert label not in told
        told[label] = fact.text
    return told


# Tables ------------------------------------------------------------------------------------------


def test_each_column_of_the_verdicts_says_its_field() -> None:
    """Margin is no headroom, kept are not the usable years."""
    # 101 + 102 + … + 112 = 1278
    assert cells(verdicts_table([distinct()], C)) == {
        "Group": "Phalaenanthe and hybrids",
        "Verdict": "outdoor-seasonal,\nborderline,\nspot decides",
        "Out to in": "1 Jun to 8 Oct",
        "Days": "129",
        "Good days": "115",
        "Comfortable": "3 Jul to 27 Sep",
        "Hours below comfort": "3198",  # 261 + 262 + … + 272
        "Mind": "grows from 11 Jun, expect heat damage",
        "Most h below": "112 Dec",
        "h a year": "1278",
        "Kept": "10 of 11",
        "Margin": "+3.1 °C",
        "Limited by": "nights too cold for a wet pot (Jan to Mar), cold that adds up over a "
        "fortnight (Apr to May) +1",
    }
    assert short_cells(verdicts_table([distinct()], C)) == {
        "Group": "phalaenanthe",
        "Verdict": "outdoor-seasonal\nborderline\nspot decides",
        "Out to in": "1 Jun to 8 Oct",
        "Days": "129",
        "Good days": "115",
        "Comfortable": "3 Jul to 27 Sep",
        "Hours below comfort": "3198",
        "Mind": "grows from 11 Jun, expect heat damage",
        "Most h below": "112 Dec",
        "h a year": "1278",
        "Kept": "10/11",
        "Margin": "+3.1",
        "Limited by": "wet, dose +1",
    }


def test_differences_of_the_verdicts_are_no_temperatures() -> None:
    """3.1 °C are 5.6 °F; a spot 1 °C colder is one 1.8 °F colder."""
    table = verdicts_table([distinct()], F)
    assert cells(table)["Margin"] == "+5.6 °F"
    assert short_cells(table)["Margin"] == "+5.6"
    notes = " ".join(table.notes)
    assert "warming in °F that would raise the verdict" in notes
    assert "Borderline: a spot 1.8 °F colder or warmer has another verdict." in notes


def test_a_verdict_without_a_season_has_no_dates_and_none_is_known_without_a_verdict() -> None:
    """`-` and 0 say that there is none, `?` that it is not known, on every surface."""
    indoors, unknown = examples.indoor(margin_c=None), examples.no_verdict(provisional=True)
    table = verdicts_table([indoors, unknown, examples.all_year(headroom_c=None)], C)
    asked = ("Verdict", "Out to in", "Days", "Kept", "Margin")
    found = [[cells(table, row)[name] for name in (*asked, "Limited by")] for row in range(3)]
    wet_and_floor = (
        "nights too cool for it to grow (Oct to May), "  # 8 months
        "nights too cold for a wet pot (Nov to Mar)"  # 5 months
    )
    assert found == [
        ["indoor-only", "-", "0", "-", "-", wet_and_floor],
        ["no-verdict,\nprovisional", "?", "?", "?", "-", "?"],
        [
            "outdoor-all-year,\nprovisional,\nborderline",
            *("all year", "365", "11 of 11", "-", "nothing"),
        ],
    ]
    assert [row[1].mark for row in table.rows] == ["indoor-only", "no-verdict", "outdoor-all-year"]


def test_what_weakens_all_is_said_once_and_what_weakens_some_in_their_rows() -> None:
    """Provisional and model-based stand in a note alone where every row has them."""
    weak, strong = distinct(provisional=True), distinct(model_based=False, borderline=False)
    indoors = examples.indoor(provisional=True)  # promises nothing
    alike = verdicts_table([weak, replace(weak, group="other"), indoors], C)
    assert "provisional" not in alike.rows[0][1].text
    assert "All verdicts are provisional" in " ".join(alike.notes)
    assert "All promises are model-based: the years alone cannot" in " ".join(alike.notes)
    mixed = verdicts_table([weak, strong, indoors], C)
    assert [row[1].short.split("\n") for row in mixed.rows] == [
        ["outdoor-seasonal", "provisional", "model-based", "borderline", "spot decides"],
        ["outdoor-seasonal", "spot decides"],
        ["indoor-only", "provisional"],
    ]
    assert "Provisional, fewer than ten years on record are whole" in " ".join(mixed.notes)
    assert "Model-based: the years alone cannot" in " ".join(mixed.notes)
    assert "odel-based" not in " ".join(verdicts_table([strong], C).notes)


@pytest.mark.parametrize(("units", "floor"), [(C, "15.0"), (F, "59.0")])
def test_hours_are_those_below_the_growth_floor(units: TemperatureUnit, floor: str) -> None:
    """Mean and bad year, each in its own table; no median, no degree-hours, no rest floor."""
    mean, bad = hours_table([distinct()], units), bad_hours_table([distinct()], units)
    head = {"Group": "Phalaenanthe and hybrids", "Floor": f"{floor} {units.symbol}"}
    assert cells(mean) == head | monthly(101) | {"Year": "1278"}
    assert cells(bad) == head | monthly(141)
    assert short_cells(mean)["Floor"] == floor
    assert mean.notes[0].startswith(f"Floor in {units.symbol}.")
    assert bad.on is On.PAGE
    assert mean.on is On.ALL


def test_months_not_observed_are_question_marks_and_have_no_sum() -> None:
    """And a note says what the sign means, only where it stands."""
    table = hours_table([examples.seasonal()], C)
    assert list(cells(table).values())[2:] == [
        *("400", "350", "300", "150", "40", "<1", "0", "0", "5", "60", "200", "?", "?")
    ]
    assert "?: not observed well enough." in table.notes[0]
    assert "?" not in hours_table([distinct()], C).notes[0]


@pytest.mark.parametrize(
    ("units", "growth", "rest"), [(C, "15.0 °C", "13.0 °C"), (F, "59.0 °F", "55.4 °F")]
)
def test_each_line_of_the_months_says_its_field(
    units: TemperatureUnit, growth: str, rest: str
) -> None:
    """Both floors, mean and bad; days of growth; unsafe nights in per cent."""
    table = months_table(distinct(), units, "months")
    lines = {row[0].text: [cell.text for cell in row[2:]] for row in table.rows}
    expected = {  # 201 + … + 212 = 2478
        f"Hours below the growth floor, {growth}, mean year": (101, "1278"),
        f"Hours below the growth floor, {growth}, bad year (one in ten)": (141, ""),
        f"Hours below the rest floor, {rest}, mean year": (201, "2478"),
        f"Hours below the rest floor, {rest}, bad year (one in ten)": (221, ""),
        "Days on which it grows or rests": (18, ""),
        "Unsafe nights, %": (31, ""),
    }
    assert lines == {
        name: [*monthly(first).values(), year] for name, (first, year) in expected.items()
    }
    assert [f"{row[0].short} {row[1].text}" for row in table.rows] == [
        f"h below {growth} growth",
        "  one year in ten bad year",
        f"h below {rest} rest",
        "  one year in ten bad year",
        "days it grows or rests",
        "unsafe nights %",
    ]


def test_without_a_verdict_the_months_hold_no_answer() -> None:
    """Bad years, days of growth and unsafe nights would read as one."""
    table = months_table(examples.no_verdict(), C, "months")
    assert [row[0].short for row in table.rows] == ["h below 10.0 °C"]


def test_worst_nights_and_fortnights_in_both_units() -> None:
    """A reading is a temperature, how far it was below a limit a difference, a dose an area."""
    one = distinct()
    assert cells(nights_table(one, C)) == {
        "Night of": "8 January 2017",
        "Lowest reading": "2.5 °C",
        "Below the limit by": "3.3 °C",
    }
    assert cells(nights_table(one, C), 1)["Below the limit by"] == "not below"
    assert cells(fortnights_table(one, C)) == {
        "14 nights up to that of": "14 March 2016",
        "Dose": "1234 °C·h",
        "Lowest reading": "4.5 °C",
    }
    # 2.5 x 1.8 + 32 = 36.5; 3.3 x 1.8 = 5.94; 1234.5 x 1.8 = 2222.1; 4.5 x 1.8 + 32 = 40.1
    assert list(cells(nights_table(one, F)).values()) == ["8 January 2017", "36.5 °F", "5.9 °F"]
    assert list(cells(fortnights_table(one, F)).values())[1:] == ["2222 °F·h", "40.1 °F"]
    # The chill base is 12 °C (53.6 °F), the dose limit 60 °C·h (108 °F·h).
    assert fortnights_table(one, C).notes == (
        "Dose: degree-hours below 12.0 °C; more than 60 °C·h is unsafe.",
    )
    assert fortnights_table(one, F).notes == (
        "Dose: degree-hours below 53.6 °F; more than 108 °F·h is unsafe.",
    )


# One group in full -------------------------------------------------------------------------------


def test_each_fact_of_a_finding_says_its_field() -> None:
    """Thresholds, seasons, robustness and rest, each under its own label."""
    assert facts(group_facts(distinct(), C)) == {
        "Verdict": "outdoor-seasonal",
        "Why": "0 % of 11 plant years stayed free of unsafe nights.",
        "Season": "1 June to 8 October (129 days): outdoors; survives, does not grow yet before 11 "
        "June",
        "Survival season": "20 May to 20 October (153 days): free of nights that harm",
        "Move out": "from 1 June, the first two weeks are for hardening",
        "Carry in": "on 8 October: its night is not spent out",
        "In between": "outside the season, in the survival season: survives, does not grow",
        "Separate ones": "20 May to 20 October; 2 February to 3 March",
        "Promise": "kept by 10 of 11 years; 90% of new years are to keep it. Model-based: 11 "
        "years alone cannot carry such a promise.",
        "Carried nights": "typically 3 a year, 19 in the worst year, for cold, were it left out "
        "all year",
        "Margin": "3.1 °C warmer would raise the verdict",
        "Headroom": "a spot up to 1.4 °C colder would still have some season of 70 days, with "
        "other dates",
        "Borderline": "1.0 °C colder: indoor-only; 1.0 °C warmer: outdoor-all-year",
        "With rain kept off": "no-verdict",
        "Stability": "the same in 98% of resamples of the years",
        "Limited by": "nights too cold for a wet pot (Jan to Mar), cold that adds up over a "
        "fortnight (Apr to May), days hotter than it stands (Jul)",
        "Thresholds": "limit 5.0 °C dry and 8.0 °C wet, chill base 12.0 °C, dose 60 °C·h in 14 "
        "days, ceiling 36.0 °C",
        "Flowers": "cool enough outdoors in 6 of 13 years, partly in 2; complete by 5 November in "
        "a usual year, by 6 December in the latest",
    }


def test_facts_in_fahrenheit_tell_temperatures_and_differences_apart() -> None:
    """One degree Celsius colder is 1.8 °F colder, never 33.8."""
    told = facts(group_facts(distinct(), F))
    assert told["Margin"] == "5.6 °F warmer would raise the verdict"
    assert told["Headroom"].startswith("a spot up to 2.5 °F colder")
    assert told["Borderline"].startswith("1.8 °F colder: ")
    assert told["Thresholds"] == (
        "limit 41.0 °F dry and 46.4 °F wet, chill base 53.6 °F, dose 108 °F·h in 14 days, "
        "ceiling 96.8 °F"
    )
    hardly = facts(group_facts(distinct(flowers=Flowers.HARDLY), F))
    assert "in a bright room at 45 °F to 60 °F bring them" in hardly["Flowers"]
    assert not [label for label, text in told.items() if "°C" in text]


def test_verdicts_of_all_kinds_in_full() -> None:
    """All year, indoors and without a verdict say less, and nothing that is not so."""
    staying = facts(group_facts(examples.all_year(), C))
    assert staying["Verdict"] == "outdoor-all-year; provisional, from 11 usable years"
    assert staying["Headroom"] == "a spot up to 0.4 °C colder would still be outdoor-all-year"
    assert "Move out" not in staying
    inside = facts(group_facts(examples.indoor(), C))
    assert inside["Verdict"] == "indoor-only; its limit is of low confidence"
    assert inside["Season"] == "none that is long enough to use"
    assert inside["Not borderline"] == "the same 1.0 °C colder and warmer"
    assert not {"Promise", "Move out", "Carry in"} & set(inside)
    assert set(facts(group_facts(examples.no_verdict(), C))) == {"Verdict", "Why", "Thresholds"}


def profile(**changes: object) -> Profile:
    """A profile of which no two numbers are the same."""
    made = Profile(
        spot="open-air",
        group="phalaenanthe",
        group_name="Phalaenanthe and hybrids",
        survives=Survives.IN_SEASON,
        grows=Grows.HARDLY,
        rests=Rests.PARTLY,
        flowers=Flowers.SHYLY,
        line="lives here for a season",
        rest=RestOutlook(
            needed=True,
            trigger=Trigger.COLD,
            met_years=7,
            partly_years=3,
            of_years=11,
            missing=Missing.DRYNESS,
            usual_date="11-05",
            latest_date="12-06",
            rain=Rain.KNOWN,
            must_be_dry=True,
            by_year=(),
            nights_indoors=31,
            room=RestRoom(low_c=8.0, high_c=13.0, nights=42),
            rooms=(
                RoomAnswer(room_c=8.0, nights=42, state="met"),
                RoomAnswer(room_c=13.0, nights=44, state="partly"),
                RoomAnswer(room_c=18.0, nights=None, state="not"),
            ),
            left_usual=14,
            left_most=25,
        ),
        heat=HeatOutlook(
            word=HeatWord.AT_TIMES,
            ceiling_c=36.0,
            warm_night_c=22.0,
            hours_mean=51.0,
            hours_bad=73.0,
            hours_by_month=from_(261),
            longest_run=6,
            usual_run=4,
            warm_nights_mean=17.0,
            harmful_years=2,
            of_years=12,
            spent_out=True,
        ),
        dry_air=DryAir(hours_mean=81.0, hours_bad=92.0, deficit_hours_mean=103.0, warned=True),
        fails_first=FirstFailure(
            failing_years=9,
            of_years=12,
            causes=(FailureCause(cause="dose", years=5), FailureCause(cause="wet-cold", years=4)),
            usual_date="11-16",
            earliest_date="10-09",
            spare_c=None,
        ),
        fails_in_heat=FirstFailure(
            failing_years=0,
            of_years=10,
            causes=(),
            usual_date=None,
            earliest_date=None,
            spare_c=1.7,
        ),
        ranges=(
            HourRange(
                kind="label",
                low_c=10.0,
                high_c=30.0,
                hours_colder=511.0,
                hours_within=522.0,
                hours_warmer=533.0,
            ),
            HourRange(
                kind="lives",
                low_c=5.0,
                high_c=None,
                hours_colder=544.0,
                hours_within=555.0,
                hours_warmer=566.0,
            ),
            HourRange(
                kind="grows",
                low_c=15.0,
                high_c=32.0,
                hours_colder=877.0,
                hours_within=588.0,
                hours_warmer=599.0,
            ),
        ),
        remedies=Remedies(
            shelter_c=1.0,
            shelter_verdict=Verdict.SEASONAL,
            all_year_c=5.8,
            cooling_c=2.2,
            cooling_verdict=Verdict.INDOOR,
            roof_verdict=Verdict.ALL_YEAR,
            roof_rest=RoofRest(
                rests=Rests.MET,
                flowers=Flowers.CAN,
                met_years=8,
                partly_years=1,
                of_years=11,
            ),
            hold_c=11.9,
            hold_growing_c=14.5,
        ),
        by_caution=(
            CautionVerdict(
                caution="low",
                verdict=Verdict.SEASONAL,
                season=Season(out="05-19", inn="11-26", days=191),
            ),
            CautionVerdict(caution="usual", verdict=Verdict.ALL_YEAR, season=None),
            CautionVerdict(caution="high", verdict=Verdict.INDOOR, season=None),
        ),
        first_winter=None,
        state=PlantState(first_winter=True),
        changes=(
            StateChange(field="limit_c", causes=("first-winter",), group_c=5.5, plant_c=8.5),
            StateChange(field="limit_wet_c", causes=("damage",), group_c=8.2, plant_c=9.2),
            StateChange(
                field="chill_base_c", causes=("first-winter", "shift"), group_c=12.5, plant_c=14.2
            ),
        ),
        damage=(
            NotedDamage(
                day=date(2015, 2, 3),
                words="leaves shed",
                lowest_c=3.4,
                dose_c_h=77.0,
                expected=True,
            ),
        ),
        buds=BudRisk(cold_nights=7.0, jumps=2.0),
    )
    return replace(made, **changes)


def test_each_fact_of_a_profile_says_its_field() -> None:
    """Before buying: met are not the partly years, colder hours not the warmer ones."""
    told = facts(group_facts(distinct(), C, profile()))
    expected = {
        "In short": "lives here for a season",
        "Survives": "for a season outdoors",
        "Grows": "hardly, outdoors",
        "Rests": "only partly, in most years: cool and dry enough outdoors in 7 of 11 years, "
        "partly in 3; complete by 5 November in a usual year, 6 December in the latest; 14 nights "
        "are still wanting in a usual year, 25 at most; in a bright, dry room at 8 °C it meets it "
        "in 42 nights, at 13 °C partly, at 18 °C not",
        "Flowers": "shyly, dryness is missing",
        "Its dry limit": "8.5 °C instead of 5.5 °C, for its first winter",
        "Its wet limit": "9.2 °C instead of 8.2 °C, for damage noted",
        "Its chill base": "14.2 °C instead of 12.5 °C, for its first winter and what you know of "
        "it",
        "Damage noted": "3 February 2015, leaves shed: the fortnight before it went down to "
        "3.4 °C, dose 77 °C·h; its group's thresholds tell of harm there",
        "Fails first": "left out all year, in 9 of 12 winters: cold that had added up over a "
        "fortnight in 5, a cold night in a wet pot in 4; usually on 16 November, earliest on 9 "
        "October",
        "In heat": "nothing, left out all year, in 10 years; the worst of their nights would have "
        "failed 1.7 °C warmer",
        "Buds": "7 nights a year out below its chill base, 2 over 8 °C from the night before: "
        "either may blast them, and so may a move, dry air or fumes",
        "Its label": "10.0 °C and 30.0 °C: 511 h a year are colder, 533 h warmer",
        "Lives between": "5.0 °C and up: 544 h a year are colder, 566 h warmer",
        "Grows between": "15.0 °C and 32.0 °C: 877 h a year are colder, 599 h warmer",
        # 877 - 511 = 366
        "Grows between, more": "366 h a year are fine by the label and below the 15.0 °C at which "
        "the group stops growing",
        "Heat": "harms at times: 51 h a year above 36.0 °C, 73 in a bad year; hot days in a row: "
        "6 at most; 17 nights a year stay above 22.0 °C",
        "Heat, more": "hours on days spent out of the 12 years observed well enough; those of the "
        "ranges are of a whole mean year, from all that was observed",
        "Dry air": "81 h a year warmer than 30 °C and drier than 30%, 103 h with a vapour deficit "
        "over 2 kPa: it dries out, so water and mist the air",
        "Shelter": "1.0 °C warmer: outdoor-seasonal",
        "Shelter, more": "5.8 °C warmer: outdoor-all-year",
        "Roof": "with rain kept off: outdoor-all-year; its rest would be met in 8 of 11 years "
        "instead of 7, and nothing in it would stand against flowers",
        "Cooler spot": "2.2 °C colder: indoor-only",
        "By caution": "low: outdoor-seasonal, 19 May to 26 Nov; usual: outdoor-all-year; high: "
        "indoor-only",
    }
    assert {label: told[label] for label in expected} == expected
    assert told["Heating"].startswith(
        "at 11.9 °C all night none of its cold thresholds is passed, at 14.5 °C it grows; "
    )
    # What the profile has told is not told again.
    assert not {"Margin", "With rain kept off", "Rest"} & set(told)


@pytest.mark.parametrize(
    ("verdict", "season", "said"),
    [
        (Verdict.SEASONAL, ("06-20", "09-30", 102), "outdoor-seasonal, 20 June to 30 September"),
        (Verdict.INDOOR, None, "its first winter: indoor-only"),
        (Verdict.SEASONAL, None, "the same in its first winter"),  # None: that of the group
    ],
)
def test_a_bought_plant_is_told_beside_the_established_one(
    verdict: Verdict, season: tuple[str, str, int] | None, said: str
) -> None:
    """In the short answer and in full; shortly where nothing differs."""
    finding = distinct()
    own = None if season is None else Season(out=season[0], inn=season[1], days=season[2])
    if verdict is Verdict.SEASONAL and own is None:
        own = finding.season
    bought = profile(first_winter=FirstWinter(verdict=verdict, season=own))
    for told in (brief_facts(finding, C, bought), group_facts(finding, C, bought)):
        assert facts(told)["Newly bought"].endswith(said)
    gaps = profile(first_winter=FirstWinter(verdict=verdict, season=own, only_gaps=True))
    hidden = facts(brief_facts(finding, C, gaps))["Newly bought"]
    assert ("for gaps in the record alone" in hidden) is (own != finding.season)
    assert "Newly bought" not in facts(brief_facts(finding, C, profile()))


def test_a_profile_in_fahrenheit_lifts_by_differences() -> None:
    """1 °C of shelter is 1.8 °F; 77 °C·h are 139 °F·h (138.6); rooms are whole degrees."""
    told = facts(group_facts(distinct(), F, profile()))
    assert told["Shelter"] == "1.8 °F warmer: outdoor-seasonal"
    assert told["Shelter, more"] == "10.4 °F warmer: outdoor-all-year"
    assert told["Cooler spot"] == "4.0 °F colder: indoor-only"
    assert "would have failed 3.1 °F warmer" in told["In heat"]
    assert "2 over 14 °F from the night before" in told["Buds"]
    assert "went down to 38.1 °F, dose 139 °F·h" in told["Damage noted"]
    assert "in a bright, dry room at 46 °F it meets it in 42 nights" in told["Rests"]
    assert told["Its dry limit"] == "47.3 °F instead of 41.9 °F, for its first winter"
    assert told["Heating"].startswith("at 53.4 °F all night")
    assert not [label for label, text in told.items() if "°C" in text]


def test_a_profile_goes_to_its_own_group_spot_and_plant() -> None:
    """The same group at two spots, and a plant of it beside it, each in its own words."""
    found = [
        distinct(),
        distinct(spot="porch"),
        distinct(spot="porch", plants=("Old Tom",), numbers=(1,)),
    ]
    profiles = (
        profile(spot="porch", plants=("Old Tom",), line="that plant"),
        profile(spot="porch", line="on the porch"),
        profile(line="outside"),
    )
    sheet = check_sheet(examples.result(*found, profiles=profiles), C)
    groups = next(section for section in sheet.sections if section.name == "groups")
    assert [(part.title, facts(part.blocks[0])["In short"]) for part in groups.parts] == [  # type: ignore[arg-type]  # facts come first
        ("Phalaenanthe and hybrids, open-air", "outside"),
        ("Phalaenanthe and hybrids, porch", "on the porch"),
        ("Old Tom, porch", "that plant"),
    ]
    assert groups.parts[2].label == "Old Tom, porch: outdoor-seasonal"


# Charts ------------------------------------------------------------------------------------------


def test_the_pieces_of_a_year_tell_their_own_dates() -> None:
    """Out, in, days and years of the season; beyond it the survival season."""
    (row,) = year_bars(examples.result(distinct())).rows
    told = {piece.state: piece.told for piece in row.pieces}
    name = "Phalaenanthe and hybrids: outdoor-seasonal"
    season = (
        "out from 1 June, carried in on 8 October: 129 days",
        "survives, does not grow yet before 11 June",
        "kept by 10 of 11 years",
    )
    assert told == {
        "indoors": (name, "indoors"),
        "survives": (
            name,
            "would survive, not grow",
            "free of nights that harm: 20 May to 20 October",
        ),
        "moving": (name, "moving out: two weeks", *season),
        "outdoors": (name, "outdoors", *season),
    }


@pytest.mark.parametrize(("units", "floor"), [(C, "15.0 °C"), (F, "59.0 °F")])
def test_each_month_of_the_hours_tells_its_own_numbers(units: TemperatureUnit, floor: str) -> None:
    """Mean, bad year and years of each month."""
    (row,) = hours_map(examples.result(distinct()), units).rows
    assert [cell.hours for cell in row.months] == list(from_(101))
    assert [cell.text for cell in row.months] == list(monthly(101).values())
    assert row.months[11].told == (
        "Phalaenanthe and hybrids, December",
        f"112 h below {floor} in a mean year",
        "152 h in a bad year (one in ten)",
        "from 192 years",
    )


# The sheet ---------------------------------------------------------------------------------------


def walked(sections: tuple[Section, ...]) -> Iterator[Section]:
    for section in sections:
        yield section
        yield from walked(section.parts)


def tables_of(sheet: Sheet, here: On) -> Iterator[Table]:
    """The tables that a surface shows."""

    def shown(sections: tuple[Section, ...]) -> Iterator[Table]:
        for section in sections:
            if section.on in (On.ALL, here):
                for block in section.blocks:
                    if isinstance(block, Table) and block.on in (On.ALL, here):
                        yield block
                yield from shown(section.parts)

    yield from shown(sheet.sections)


def test_what_is_asked_first_is_brief_and_the_rest_is_detail() -> None:
    """Verdicts, hours and cautions for everyone; what the words mean and all else on demand."""
    sheet = check_sheet(examples.result(distinct(), examples.all_year()), C, worst=True)
    levels = {section.name: section.level for section in sheet.sections}
    assert [name for name, level in levels.items() if level is Level.SHORT] == [
        "short-outdoor-all-year-1", "short-outdoor-seasonal-1", "short-hours", "short-notes",
    ]  # fmt: skip
    assert [name for name, level in levels.items() if level is Level.DETAIL] == [
        "verdicts", "by-month", "group-1", "group-2", "groups", "worst",
    ]  # fmt: skip
    brief = render_terminal(sheet, width=80, colour=False, details=False)
    assert "Thresholds" not in brief
    assert "Margin" not in brief
    assert words.CAUTIONS in " ".join(brief.split())
    names = [one.name for one in tables_of(sheet, On.PAGE)]
    assert len(set(names)) == len(names)


def test_worst_nights_stand_only_where_they_were_asked_for() -> None:
    """With the names of their groups, and a sentence where there are none."""
    result = examples.result(distinct(), examples.no_verdict())
    assert not [one for one in check_sheet(result, C).sections if one.name.startswith("worst")]
    sheet = check_sheet(result, C, worst=True)
    worst = next(section for section in sheet.sections if section.name == "worst")
    titles = [block.title for block in worst.parts[0].blocks if isinstance(block, Table)]
    assert titles == [
        "Phalaenanthe and hybrids: coldest nights on record",
        "Phalaenanthe and hybrids: heaviest cold over 14 nights",
    ]
    text = render_terminal(sheet, width=80, colour=False)
    assert "Masdevallia: no nights are listed." in text
    assert "8 January 2017" in text


@pytest.mark.parametrize("units", [C, F])
def test_terminal_and_page_show_the_cells_of_the_same_tables(units: TemperatureUnit) -> None:
    """Every cell that both show is on both, and one surface has no table of its own."""
    result = examples.result(
        distinct(), distinct(spot="porch"), examples.no_verdict(), profiles=(profile(),)
    )
    sheet = check_sheet(result, units, worst=True)
    page = render_page(sheet)
    sheet = replace(
        sheet, sections=tuple(one for one in sheet.sections if one.level is not Level.SHORT)
    )
    text = render_terminal(sheet, width=120, colour=False).split()
    names = {here: {one.name for one in tables_of(sheet, here)} for here in (On.TERMINAL, On.PAGE)}
    assert names[On.TERMINAL] < names[On.PAGE]
    assert {name.partition("-hours")[0] for name in names[On.PAGE] - names[On.TERMINAL]} == {"bad"}
    for table in tables_of(sheet, On.TERMINAL):
        for row in table.rows:
            for column, cell in zip(table.columns, row, strict=True):
                for word in (cell.short or cell.text).split():
                    assert word in text or column.from_width
                if column.on is On.ALL:
                    assert cell.text.replace("<", "&lt;") in page


def sure(value: float) -> Offset:
    return Offset(low=value, usual=value, high=value)


def test_several_spots_are_told_apart_and_what_they_add_stands_below_their_verdicts() -> None:
    """Verdicts of all spots come first; a room says how to read them."""
    spots = (
        Spot(
            name="porch",
            kind="open-porch",
            clear_night_c=sure(1.5),
            other_night_c=sure(0.5),
            day_c=sure(-1.0),
        ),
        Spot(
            name="sill",
            room=Room(temp_c=20.0, glass_u_w_m2k=5.8, near_glass=sure(0.5)),
        ),
    )
    found = (distinct(spot="porch"), distinct(spot="sill", indoors=True))
    sheet = check_sheet(examples.result(*found, spots=spots), F)
    titles = [section.title for section in sheet.sections if section.on is On.ALL]
    assert titles == [
        "Verdicts at the spot porch",
        "Verdicts at the spot sill",
        "Hours below the growth floor in a mean month at the spot porch",
        "Hours below the growth floor in a mean month at the spot sill",
    ]
    porch, sill = (table for table in tables_of(sheet, On.ALL) if "verdicts" in table.name)
    # 1.5 K are 2.7 °F, 0.5 K 0.9 °F, 1 K 1.8 °F
    assert porch.notes[-1] == (
        "Against the open air: +2.7 °F on clear and calm nights, +0.9 °F on other nights, -1.8 °F "
        "by day (from the ready kind open-porch; not measured)."
    )
    assert sill.notes[-1].startswith("Indoors, in a room of 68.0 °F all year: read")
    assert sheet.headline == (
        "At Testing Cove, Phalaenanthe and hybrids, porch: outdoor-seasonal, 1 June to 8 October "
        "(grows from 11 Jun, expect heat damage); Phalaenanthe and hybrids, sill: can stand in "
        "this room for a season (outdoor-seasonal), 1 June to 8 October (grows from 11 Jun, expect "
        "heat damage)."
    )


def test_of_a_spot_in_a_room_nothing_is_left_out_nor_outdoors() -> None:
    told = facts(brief_facts(distinct(indoors=True), C, profile()))
    assert told["Fails first"].startswith("left there all year, in 9 of 12 winters: ")
    assert "outdoors" not in told["Flowers"]


def test_no_verdict_beside_one_says_why() -> None:
    """Enough years gave the one: what the other hangs on was not observed."""
    edge = distinct(borderline=True, verdict_warmer=Verdict.NONE)
    why = "no-verdict, for nights that nobody measured would decide"
    told = facts(brief_facts(edge, C, profile()))["Borderline"]
    assert f"1.0 °C warmer: {why}; name yours with --spot" in told
    assert why in facts(group_facts(edge, C, profile()))["Borderline"]
    bought = profile(first_winter=FirstWinter(verdict=Verdict.NONE, season=None))
    assert facts(brief_facts(edge, C, bought))["Newly bought"] == f"its first winter: {why}"


def test_worst_nights_of_few_groups_stand_in_short() -> None:
    """Whoever asks for them of one group sees them at once; of many among the details."""
    one = check_sheet(examples.result(distinct()), C, worst=True)
    told = render_terminal(one, width=80, colour=False, details=False)
    assert "coldest nights on record" in told
    many = check_sheet(examples.result(*[distinct()] * 4), C, worst=True)
    told = render_terminal(many, width=80, colour=False, details=False)
    assert "coldest nights on record" not in told


def test_a_roof_is_told_in_short_where_it_is_another_answer() -> None:
    """By its verdict, nights that one can be carried in for, or a rest; else not at all."""
    remedies = profile().remedies
    assert remedies is not None

    def roof(**changes: object) -> str | None:
        looked = profile(remedies=replace(remedies, **changes))
        return facts(brief_facts(distinct(), C, looked, rain_known=known)).get("Roof")

    known = True
    assert roof() == "kept dry: outdoor-all-year, its rest met in 8 of 11 years"
    seasonal = {"roof_verdict": Verdict.SEASONAL, "roof_rest": None}
    assert roof(**seasonal) is None
    assert roof(roof_verdict=None) is None
    assert roof(roof_verdict=Verdict.NONE) is None
    nearly = "kept dry: outdoor-seasonal, nearly all year"
    assert roof(**seasonal, roof_nearly_all_year=True) == nearly
    known = False
    unknown = " (no rain on record: open counts wet)"
    assert roof(**seasonal, roof_nearly_all_year=True) == nearly + unknown


@pytest.mark.parametrize("missing", list(Missing))
def test_what_winters_in_a_room_does_not_want_for_the_cold_it_is_spared(missing: Missing) -> None:
    """At Reno cold is not what callista lacks: it is indoors by then."""
    rest = RestFinding(
        needed=True,
        trigger=Trigger.COLD,
        met_years=1,
        partly_years=0,
        of_years=9,
        missing=missing,
        room=RestRoom(low_c=8.0, high_c=15.0, nights=40),
    )
    finding = distinct(flowers=Flowers.AFTER_COOL_ROOM, rest=rest)
    why = "dryness is missing" if missing is Missing.DRYNESS else "it is carried in before"
    assert facts(brief_facts(finding, C, None))["Flowers"] == (
        f"after 40 nights in a bright room at 8 °C to 15 °C; {why}: outdoors enough in 1 of 9 years"
    )
    assert f"cool in winter ({why}): phalaenanthe." in " ".join(verdicts_table([finding], C).notes)


def test_the_season_of_a_cool_room_is_that_of_the_nights_that_bring_flowers() -> None:
    """Autumn for groups of autumn nights, winter for the others, each in its own sentence."""
    rest = RestFinding(needed=True, missing=Missing.COLD)
    rows = [
        examples.seasonal(
            group=group, flowers=Flowers.AFTER_COOL_ROOM, rest=replace(rest, trigger=trigger)
        )
        for group, trigger in (
            ("boat", Trigger.AUTUMN_NIGHTS), ("soft", Trigger.COLD), ("ship", Trigger.AUTUMN_NIGHTS)
        )
    ]  # fmt: skip
    notes = verdicts_table(rows, C).notes
    told = "Will hardly flower unless their room is cool in {} (it is carried in before): {}."
    assert told.format("autumn", "boat, ship") in notes
    assert told.format("winter", "soft") in notes


def test_who_hardly_flowers_and_where_the_spot_decides_is_said_below() -> None:
    """Each group in the sentence that is its own."""
    notes = verdicts_table(
        [
            distinct(flowers=Flowers.AFTER_COOL_ROOM),
            examples.all_year(
                flowers=Flowers.HARDLY,
                rest=RestFinding(needed=True, trigger=Trigger.COLD, missing=Missing.COLD),
            ),
            examples.no_verdict(group="one"),
            examples.no_verdict(group="two"),
            examples.no_verdict(group="three"),
        ],
        C,
    ).notes
    for sentence in (
        "Will hardly flower here (cold is missing): nobile.",
        "Will hardly flower unless their room is cool in winter: phalaenanthe.",
        (
            "Spot decides, from its colder to its warmer end: phalaenanthe indoor-only to "
            "outdoor-seasonal. Measure it."
        ),
        "No verdict for one, two and 1 more: Only 0 usable plant years, 3 are needed.",
    ):
        assert sentence in notes
