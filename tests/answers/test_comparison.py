"""The sheet of a comparison: every number under its head, every verdict in full."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from suitability.advice.comparison import (
    Comparison,
    DecidedBy,
    Difference,
    Placement,
    Row,
    SpotOfPlace,
    Standing,
    Weather,
)
from suitability.advice.result import CarriedNights, Limiting, Period, RestFinding, SpotEnds
from suitability.advice.spot_years import Interval
from suitability.advice.terms import HeatWord, MonthlyHours, Season, Verdict
from suitability.answers import words
from suitability.answers.best_spot import headline, spot_labels
from suitability.answers.comparison import (
    comparison_sheet,
    difference_sentence,
    matrix_table,
    numbers_table,
    placements_table,
    spot_hours,
    verdict_matrix,
)
from suitability.answers.sheet import On, Sheet, Table, Text
from suitability.output.chart_matrix import FILLS, matrix_figure
from suitability.output.chart_spot_hours import spot_hours_figure
from suitability.output.page import charts_of, render_page
from suitability.output.terminal import render_terminal
from suitability.places import Place
from suitability.units import TemperatureUnit
from tests.output.examples import HOSTILE

C, F = TemperatureUnit.C, TemperatureUnit.F
PLACE = Place(name="Testing Cove", latitude=35.0, longitude=-22.0)
PERIOD = Period(start="2011-01-01T00:00Z", end="2020-12-31T23:00Z")
CREDIT = Weather(source="a gauge", licence="free", attribution="its keepers", period=PERIOD)
MONTHS = (700.0, 600.0, 500.0, 400.0, 300.0, 200.0, 100.0, 90.0, 80.0, 70.0, 60.0, 50.0)


def row(**changes: object) -> Row:
    """One group at one spot, every number another."""
    made = Row(
        place="Testing Cove",
        spot="porch",
        group="nobile",
        group_name="Nobile type",
        verdict=Verdict.SEASONAL,
        provisional=False,
        borderline=False,
        spot_ends=SpotEnds(low=Verdict.SEASONAL, high=Verdict.SEASONAL),
        season=Season(out="03-07", inn="11-02", days=240),
        comfort_c=17.0,
        comfort_season=Season(out="07-01", inn="09-25", days=86),
        years_usable=12,
        unsafe_nights=31.4,
        unsafe_nights_worst=57.0,
        worst_dose_c_h=173.0,
        hours_below=MonthlyHours(months=MONTHS, year=3150.0),
        heat_hours=22.0,
        rest=RestFinding(needed=True, met_years=9, partly_years=2, of_years=11),
        carried_nights=CarriedNights(typical=13, worst=45),
        moves=2,
        margin_c=1.0,
        light="darker",
        limiting=(Limiting(cause="dose", months=(1, 2)),),
    )
    return replace(made, **changes)


def found(*rows: Row, **changes: object) -> Comparison:
    made = Comparison(
        promise=0.9,
        places=(PLACE,),
        credits=(CREDIT,),
        results=rows or (row(),),
        differences=(),
    )
    return replace(made, **changes)


def placed(*rows: Row, **changes: object) -> Comparison:
    """A plant that would be better moved from the bench to the porch."""
    told = (
        *rows,
        row(plants=("old one",), numbers=(2,), best=True),
        row(
            plants=("old one",), numbers=(2,), best=False, spot="bench", unsafe_nights=40.0,
            hours_below=MonthlyHours(months=MONTHS, year=3550.0), stand_here=("old one",),
            season=Season(out="03-10", inn="10-26", days=230),
            rest=RestFinding(needed=True, met_years=11, partly_years=0, of_years=11),
        ),
    )  # fmt: skip
    made = Placement(
        group="nobile",
        group_name="Nobile type",
        plants=("old one",),
        numbers=(2,),
        caveat="",
        best=(SpotOfPlace(place="Testing Cove", spot="porch"),),
        against=SpotOfPlace(place="Testing Cove", spot="bench"),
        decided_by="season",
        reason="a season of 240 days against 230",
        told_apart=True,
        standing=(Standing(plant="old one", number=2, spot="bench", well=False),),
    )
    return found(*told, placements=(replace(made, **changes),))


def narrow(table: Table) -> list[list[str]]:
    """Its cells as a terminal shows them."""
    return [[cell.short or cell.text for cell in line] for line in table.rows]


WHY = (
    "a season of 240 days against 230 at bench; 9 fewer unsafe nights a year; 400 fewer hours "
    "below the floor a year; but its rest is met in 9/11 years against 11/11; too dark for it there"
)


def test_the_dates_of_a_plant_say_when_growth_begins() -> None:
    """With a sentence below, where any has such a day."""
    plain = placed()
    first, *others = plain.results
    late = replace(plain, results=(replace(first, grows_from="06-21"), *others))
    told, untold = matrix_table(late), matrix_table(plain)
    assert sum("grows from 21 Jun" in cell for line in narrow(told) for cell in line) == 1
    assert "does not grow yet" in told.notes[0]
    shown = [*untold.notes, *(cell for line in narrow(untold) for cell in line)]
    assert "grow" not in " ".join(shown)


def test_a_plant_has_its_best_spot_and_why() -> None:
    """What the order hangs on, what else speaks for it, what it costs, and between which dates."""
    assert narrow(placements_table(placed())) == [
        [
            "old one (2)",
            "bench",
            "porch: move it if it gets light there (7 Mar to 2 Nov)",
            WHY,
        ]
    ]
    assert narrow(matrix_table(placed())) == [
        ["old one (2)", "7 Mar to 2 Nov\nbest", "10 Mar to 26 Oct"]
    ]
    assert comparison_sheet(placed(), C).headline == (
        "Of 2 plants: porch is best for 2 (240 days against 230 days at bench; too dark there for "
        "2). Better moved to porch if it gets light there: old one from bench (7 Mar to 2 Nov)."
    )


@pytest.mark.parametrize(
    ("there", "here", "said"),
    [
        (HeatWord.EXPECT_DAMAGE, HeatWord.LITTLE, ", but expect heat damage there"),
        (HeatWord.EXPECT_DAMAGE, HeatWord.EXPECT_DAMAGE, ", but expect heat damage there"),
        (HeatWord.AT_TIMES, HeatWord.LITTLE, ", but heat harms it there at times"),
        (HeatWord.AT_TIMES, HeatWord.AT_TIMES, ""),
        (HeatWord.AT_TIMES, HeatWord.EXPECT_DAMAGE, ""),
        (HeatWord.IF_DRY, HeatWord.LITTLE, ""),
        (None, None, ""),
    ],
)
def test_nobody_is_moved_into_heat_without_a_word(
    there: HeatWord | None, here: HeatWord | None, said: str
) -> None:
    """Damage is always told, harm at times where there is less of it where the plant stands."""
    one = placed()
    porch, bench = one.results
    rows = (replace(porch, heat=there, light="fits"), replace(bench, heat=here))
    one = replace(one, results=rows)
    told = f"{said}: shade and air it" if said else ""
    assert narrow(placements_table(one))[0][2] == f"porch: move it{told} (7 Mar to 2 Nov)"
    assert headline(one).endswith(
        f"Better moved to porch{told}: old one from bench (7 Mar to 2 Nov)."
    )


def test_of_a_group_heat_at_its_best_spot_is_told() -> None:
    """Where the next spot has less of it; alone, and counted."""
    spots = (SpotOfPlace(place="Testing Cove", spot=spot) for spot in "ab")
    better, other = spots
    hot, mild = (
        at(spot, heat=heat, heat_hours=hours)
        for spot, heat, hours in (
            ("a", HeatWord.EXPECT_DAMAGE, 900.0),
            ("b", HeatWord.AT_TIMES, 80.0),
        )
    )
    told = difference(better=better, other=other, reason="")
    assert headline(found(hot, mild, differences=(told,))).startswith(
        "a is best for Nobile type: 240 days against 240 days at b; expect heat damage there."
    )
    second = [replace(one, group="second") for one in (hot, mild)]
    two = found(
        hot, mild, *second, differences=(told, replace(told, group="second", told_apart=True))
    )
    assert "; expect heat damage there for 2)" in headline(two)
    alike = found(hot, replace(mild, heat=HeatWord.EXPECT_DAMAGE), differences=(told,))
    assert "heat" not in headline(alike)
    by_heat = difference(better=better, other=other, decided_by="heat")
    cooler = found(replace(hot, heat_hours=80.0), replace(hot, spot="b"), differences=(by_heat,))
    assert ": 820 fewer hours a year too hot than at b." in headline(cooler)
    milder = found(replace(hot, heat=HeatWord.LITTLE), replace(mild), differences=(by_heat,))
    assert ": less heat than at b." in headline(milder)


def test_a_tie_asks_nobody_to_move() -> None:
    """Two spots that no difference tells apart."""
    both = tuple(SpotOfPlace(place="Testing Cove", spot=spot) for spot in ("porch", "bench"))
    stays = (Standing(plant="old one", number=2, spot="bench", well=True),)
    tie = placed(best=both, against=None, told_apart=False, standing=stays)
    tie = replace(tie, results=tuple(replace(one, best=True) for one in tie.results))
    ((_, _, best, why),) = narrow(placements_table(tie))
    assert best == "porch or bench"
    assert "no difference can be told with what is known of the spots" in why
    assert [cell.split("\n")[-1] for cell in narrow(matrix_table(tie))[0][1:]] == ["tie", "tie"]
    assert comparison_sheet(tie, C).headline == (
        "Of 2 plants: no spot is better than porch or bench for 2 (too dark there). No plant would "
        "be better moved."
    )


def test_beside_many_spots_letters_stand_for_what_weakens_a_verdict() -> None:
    """And are explained; beside few the words stand."""
    few = placed()
    first, second = few.results
    weak = (replace(first, borderline=True), replace(second, nearly_all_year=True))
    more = [replace(second, spot=f"spot {number}") for number in range(3)]
    many = replace(few, results=(*weak, *more))
    assert narrow(matrix_table(many))[0][1:4] == [
        "7 Mar to 2 Nov b\nbest", "10 Mar to 26 Oct n", "10 Mar to 26 Oct",
    ]  # fmt: skip
    assert "b: borderline; n: nearly all year." in matrix_table(many).notes[0]
    assert matrix_table(many).rows[0][1].text == "7 Mar to 2 Nov,\nborderline,\nbest"
    worded = replace(few, results=weak)
    assert narrow(matrix_table(worded))[0][1] == "7 Mar to 2 Nov\nborderline\nbest"
    assert "b: borderline" not in matrix_table(worded).notes[0]


def test_where_no_spot_is_fit_none_is_the_best() -> None:
    stays = (Standing(plant="old one", number=2, spot=None, well=None),)
    nowhere = placed(
        best=(), against=None, told_apart=None, reason="indoor-only at every spot", standing=stays
    )
    assert narrow(placements_table(nowhere))[0][1:] == [
        "not placed", "none", "indoor-only at every spot",
    ]  # fmt: skip
    assert comparison_sheet(nowhere, C).headline == "Of 2 plants: none is fit for 2."


def difference(**changes: object) -> Difference:
    made = Difference(
        group="nobile",
        better=SpotOfPlace(place="Testing Cove", spot="porch"),
        other=SpotOfPlace(place="Testing Cove", spot="hollow"),
        decided_by="season",
        reason="a season of 240 days against 90",
        season_days_difference=Interval(difference=140.0, low=110.0, high=170.0),
        unsafe_nights_difference=Interval(difference=-11.0, low=-19.0, high=-3.0),
        hours_below_difference=Interval(difference=-800.0, low=-1300.0, high=-450.0),
        years=10,
        years_shared=10,
        told_apart=True,
    )
    return replace(made, **changes)


def cells(table: Table, at: int = 0) -> dict[str, str]:
    """The cells of a row by the titles of their columns."""
    titles = [column.title for column in table.columns]
    assert len(set(titles)) == len(titles)
    return dict(zip(titles, (cell.text for cell in table.rows[at]), strict=True))


def flat(text: str) -> str:
    return " ".join(text.split())


def shown(comparison: Comparison, units: TemperatureUnit = C, width: int = 80) -> str:
    return render_terminal(comparison_sheet(comparison, units), width=width, colour=False)


def test_every_number_stands_under_its_head() -> None:
    """Every field has another value, so that no two could be exchanged."""
    one = found()
    assert cells(numbers_table(one.results, one, C, name="numbers")) == {
        "Spot": "porch",
        "Group": "nobile",
        "Verdict": "outdoor-seasonal, 240 days",
        "Comfortable days a year": "86",
        "Unsafe nights a year, median (worst)": "31 (57)",
        "Below the growth floor, h a year": "3150",
        "Dose, worst of 14 days, °C·h": "173",
        "Rest, years that met it": "9/11",
        "Heat above the ceiling, h a year": "22",
        "Carried nights a year, typical (worst)": "13 (45)",
        "Margin, °C": "+1.0",
        "Light": "too dark",
    }


def test_differences_are_turned_into_fahrenheit_as_differences() -> None:
    """A margin of 1 °C is 1.8 °F, not 33.8; a dose of 173 °C·h is 311 °F·h."""
    one = found()
    told = cells(numbers_table(one.results, one, F, name="numbers"))
    assert (told["Margin, °F"], told["Dose, worst of 14 days, °F·h"]) == ("+1.8", "311")
    assert "°C" not in shown(found(row(borderline=True)), F)


def test_what_is_not_known_is_a_question_mark_and_what_is_not_there_a_hyphen() -> None:
    """No night observed; no ceiling, no verdict, no rest needed."""
    bare = row(
        unsafe_nights=None,
        unsafe_nights_worst=None,
        hours_below=MonthlyHours(months=MONTHS, year=None),
        heat_hours=None,
        rest=RestFinding(needed=False),
        carried_nights=None,
        margin_c=None,
        light="not-said",
    )
    one = found(bare)
    told = list(cells(numbers_table(one.results, one, C, name="numbers")).values())
    assert told[4:] == ["? (?)", "?", "-", "-", "?", "173", "-", "-"]
    untold = found(row(rest=RestFinding(needed=None)))
    table = numbers_table(untold.results, untold, C, name="numbers")
    assert cells(table)["Rest, years that met it"] == "?"


def test_the_terminal_shows_the_same_cells_as_the_page() -> None:
    """
    One declaration: what a page says of a spot stands in the terminal's table of its group.

    What a grower needs no word for stands in the details.
    """
    one = found()
    brief = render_terminal(comparison_sheet(one, C), width=80, colour=False, details=False)
    (line,) = [line for line in brief.splitlines() if line.startswith("porch")]
    assert line.split() == "porch 240 days 86 31 (57) 3150 9/11 22 too dark".split()  # noqa: SIM905
    again, more = [line for line in shown(one).splitlines() if line.startswith("porch")]
    assert (again, more.split()) == (line, "porch 173 13 (45) +1.0".split())  # noqa: SIM905
    page = render_page(comparison_sheet(one, C))
    for text in cells(numbers_table(one.results, one, C, name="numbers")).values():
        assert f">{text}<" in page


def test_the_numbers_of_many_groups_stand_in_the_details() -> None:
    """One row a group and spot, the spots of a group together; without them the short answer."""
    rows = [row(group=f"g{n}", spot=spot) for spot in ("porch", "hollow") for n in range(5)]
    sheet = comparison_sheet(found(*rows), C)
    brief = render_terminal(sheet, width=80, colour=False, details=False)
    full = render_terminal(sheet, width=80, colour=False, details=True)
    assert "All spots and groups in numbers" not in brief
    numbers = full.split("All spots and groups in numbers")[1].splitlines()
    assert [line.split()[:2] for line in numbers if line.startswith(("porch", "hollow"))] == 2 * [
        [spot, f"g{n}"] for n in range(5) for spot in ("porch", "hollow")
    ]
    told = [line.split()[2:] for line in numbers if line.startswith("porch")]
    assert told[0] == ["86", "31", "(57)", "3150", "9/11", "22", "too", "dark"]
    assert told[5] == ["173", "13", "(45)", "+1.0"]


VERDICTS = (
    (Verdict.ALL_YEAR, "outdoor-all-year", "year", "outdoor-\nall-year"),
    (Verdict.SEASONAL, "240 days", "240 days", "240 days"),
    (Verdict.INDOOR, "indoor-only", "in", "indoor-only"),
    (Verdict.NONE, "no-verdict", "none", "no-verdict"),
)


@pytest.mark.parametrize(("verdict", "few", "letters", "narrow"), VERDICTS)
def test_verdicts_are_named_in_full_and_short_words_are_explained(
    verdict: Verdict, few: str, letters: str, narrow: str
) -> None:
    """In the matrix, in its narrow form, and in the numbers; each with the fill of its rank."""
    ends = SpotEnds(low=verdict, high=verdict)
    one = found(row(verdict=verdict, spot_ends=ends))
    cell = matrix_table(one).rows[0][1]
    assert (cell.text, cell.short, cell.mark) == (few, letters, verdict.value)
    number = numbers_table(one.results, one, C, name="numbers").rows[0][2]
    assert number.text.split(",")[0] == verdict.value
    assert number.short == narrow
    (drawn,) = matrix_figure(verdict_matrix(one))["data"]
    assert drawn["text"] == [[few]]
    assert drawn["z"] == [[list(FILLS).index(verdict)]]
    spots = [row(verdict=verdict, spot=f"spot {n}", spot_ends=ends) for n in range(4)]
    many = [replace(one, group=f"g{n}") for n in range(5) for one in spots]
    text = flat(shown(found(*many)))
    told = "Days: outdoor-seasonal" if verdict is Verdict.SEASONAL else f"{letters}: {few}"
    assert told in text


def test_a_range_that_decides_and_doubts_stand_beside_the_verdict() -> None:
    """A question mark, a letter or a word each; explained below."""
    ends = SpotEnds(low=Verdict.INDOOR, high=Verdict.SEASONAL)
    one = found(row(spot_ends=ends, borderline=True), row(spot="hollow", provisional=True))
    first, second = matrix_table(one).rows[0][1:]
    assert (first.text, first.short) == ("240 days ?,\nborderline", "240 days ? b")
    assert (second.text, second.short) == ("240 days,\nprovisional", "240 days p")
    told = cells(numbers_table(one.results, one, C, name="numbers"))["Verdict"]
    assert told == "outdoor-seasonal ?, 240 days,\nborderline"
    text = flat(shown(one))
    assert "Borderline: a spot 1.0 °C colder or warmer has another verdict." in text
    assert "Provisional, fewer than ten years on record are whole" in text
    assert "?: the range of what is known of the spot decides; measure it." in text
    assert "?: the range" not in shown(found())
    nearly = found(row(nearly_all_year=True))
    assert matrix_table(nearly).rows[0][1].text == "240 days,\nnearly all year"
    assert "Nearly all year: it may stay out if carried in" in flat(shown(nearly))
    assert "Nearly all year" not in text
    (cell, _), *_ = verdict_matrix(one).cells
    assert cell.lines == ("240 days ?", "borderline")
    assert cell.short == "240 ? b"
    assert cell.told == (
        "Nobile type",
        "porch: outdoor-seasonal, borderline",
        "31 unsafe nights a year",
        "3150 h a year below the growth floor",
        "86 comfortable days a year",
    )


def test_the_matrix_has_each_group_and_spot_in_its_place() -> None:
    """Rows in another order than the matrix are found again."""
    days = {("a", "porch"): 100, ("b", "porch"): 200, ("a", "hollow"): 110, ("b", "hollow"): 210}
    season = Season(out="03-07", inn="11-02", days=1)
    rows = [
        row(group=group, spot=spot, season=replace(season, days=number))
        for (group, spot), number in days.items()
    ]
    one = found(*rows)
    table = matrix_table(one)
    assert [column.title for column in table.columns] == ["Group", "porch", "hollow"]
    assert [[cell.text for cell in line] for line in table.rows] == [
        ["a", "100 days", "110 days"],
        ["b", "200 days", "210 days"],
    ]
    (drawn,) = matrix_figure(verdict_matrix(one))["data"]
    assert (drawn["x"], drawn["y"]) == (["porch", "hollow"], ["a", "b"])
    assert drawn["text"] == [["100 days", "110 days"], ["200 days", "210 days"]]
    assert drawn["customdata"] == [["100", "110"], ["200", "210"]]


def test_bars_are_the_hours_of_their_group_and_spot() -> None:
    """An unknown year has no bar, and says so."""
    hours = {("a", "porch"): 10.0, ("b", "porch"): 20.0, ("a", "hollow"): 30.0}
    rows = [
        row(group=group, spot=spot, hours_below=MonthlyHours(months=MONTHS, year=year))
        for (group, spot), year in {**hours, ("b", "hollow"): None}.items()
    ]
    figure = spot_hours_figure(spot_hours(found(*rows)))
    told = [(bars["name"], bars["y"], bars["x"], bars["text"]) for bars in figure["data"]]
    assert told == [
        ("a", ["porch", "hollow"], [10.0, 30.0], ["10", "30"]),
        ("b", ["porch", "hollow"], [20.0, 0.0], ["20", "?"]),
    ]
    charts = {one.name: one for one in charts_of(comparison_sheet(found(*rows), C).sections)}
    assert charts["hours"].title == (
        "Most hours below a growth floor: 30 h a year, a at hollow; fewest: 10 h, a at porch."
    )


def test_the_headline_says_which_spot_for_how_many_and_where_they_can_live() -> None:
    """Outdoors for a season or all year count; other verdicts do not."""
    rows = [
        row(group="a", light="fits"),
        row(group="b", light="fits", verdict=Verdict.ALL_YEAR),
        row(group="a", spot="hollow", verdict=Verdict.INDOOR, season=None),
        row(group="b", spot="hollow", season=Season(out="03-07", inn="10-03", days=210)),
    ]
    told = [difference(group=group, decided_by="verdict") for group in "ab"]
    assert comparison_sheet(found(*rows, differences=told), C).headline == (
        "Of 2 groups: porch is best for 2 (155 to 240 days longer than at hollow). 2 of 2 groups "
        "can live outdoors at porch, for a season or all year; 1 at hollow."
    )
    assert comparison_sheet(found(), C).headline == (
        "Nobile type: outdoor-seasonal at porch, 240 days."
    )


def at(spot: str, **changes: object) -> Row:
    """A row at a spot where the light fits."""
    return row(**{"spot": spot, "light": "fits", "spot_ends": None, **changes})


SHORTER = Season(out="04-01", inn="10-01", days=183)
ROOM = {"verdict": Verdict.ALL_YEAR, "season": Season(out="01-01", inn="01-01", days=365)}
RESTED = RestFinding(needed=True, met_years=11, partly_years=0, of_years=11)


@pytest.mark.parametrize(
    ("better", "other", "decided_by", "said"),
    [
        (at("a"), at("b", season=SHORTER), "season", "240 days against 183 days at b"),
        (at("a", **ROOM), at("b"), "verdict", "all year against 240 days at b"),
        (
            at("a", **ROOM),
            at("b", season=ROOM["season"]),
            "verdict",
            "all year against all year without a promise at b",
        ),
        (
            at("a", unsafe_nights=20.6),
            at("b"),
            "unsafe-nights",
            "11 fewer unsafe nights a year than at b",
        ),
        (
            at("a", rest=RESTED),
            at("b"),
            "rest",
            "its rest is met in 11 of 11 winters against 9 of 11 at b",
        ),
        (
            at("a", hours_below=MonthlyHours(months=MONTHS, year=3000.0)),
            at("b"),
            "hours-below",
            "150 fewer hours a year below the floor than at b",
        ),
    ],
)
def test_the_headline_says_by_how_much(
    better: Row, other: Row, decided_by: DecidedBy, said: str
) -> None:
    """In what decides the order, as the sentence below the numbers; a doubt is said."""
    told = difference(
        better=SpotOfPlace(place="Testing Cove", spot="a"),
        other=SpotOfPlace(place="Testing Cove", spot="b"),
        decided_by=decided_by,
    )
    assert headline(found(better, other, differences=(told,))) == (
        f"a is best for Nobile type: {said}."
    )
    unsure = replace(told, told_apart=False)
    doubted = headline(found(better, other, differences=(unsure,)))
    if better.verdict is other.verdict:
        assert doubted.startswith("No difference can be told for Nobile type between a and b: ")
    else:
        assert doubted.endswith("; with what is known of the spots that is not sure.")


def test_of_several_the_headline_says_what_decides_most_of_them() -> None:
    """Ranges of what is gained; ties and those that fit nowhere are counted."""
    spots = ("a", "b")
    season = Season(out="03-07", inn="11-02", days=240)
    days = {"one": (240, 200), "two": (230, 180), "tie": (200, 190), "rested": (240, 240)}
    rows = [
        at(spot, group=group, season=replace(season, days=number[spots.index(spot)]))
        for spot in spots
        for group, number in days.items()
    ]
    rows += [at(spot, group="none", verdict=Verdict.INDOOR, season=None) for spot in spots]
    ends = {
        "better": SpotOfPlace(place="Testing Cove", spot="a"),
        "other": SpotOfPlace(place="Testing Cove", spot="b"),
    }
    told = [
        difference(group=group, decided_by=by, told_apart=group != "tie", **ends)
        for group, by in {
            "one": "season",
            "two": "season",
            "tie": "season",
            "rested": "rest",
        }.items()
    ]
    assert headline(found(*rows, differences=tuple(told))).startswith(
        "Of 5 groups: a is best for 3 (mostly 40 to 50 days longer than at b), no spot is better "
        "than a or b for 1, none is fit for 1. 4 of 5 groups can live outdoors at a, for a season "
        "or all year as at every other spot outdoors."
    )


@pytest.mark.parametrize(
    ("other", "said"),
    [
        ((0, 0), "all year against no day at b"),
        ((0, 240), "all year against at most 240 days and none for 1 at b"),
        ((240, 240), "all year against 240 days at b"),
        ((180, 240), "all year against at most 240 days at b"),
        ((0, 365), "all year, as is promised for none of them at b"),
    ],
)
def test_of_several_all_year_is_held_against_the_most_of_the_others(
    other: tuple[int, int], said: str
) -> None:
    """A span from no day to nearly all would tell nothing."""
    pairs = [
        (at("a", group=group, **ROOM), at("b", group=group, **_for(days)))
        for group, days in zip(("one", "two"), other, strict=True)
    ]
    told = [
        difference(
            group=better.group,
            decided_by="verdict",
            better=SpotOfPlace(place="Testing Cove", spot="a"),
            other=SpotOfPlace(place="Testing Cove", spot="b"),
        )
        for better, _ in pairs
    ]
    rows = [one[side] for side in (0, 1) for one in pairs]
    assert f"({said})" in headline(found(*rows, differences=tuple(told)))


def test_a_headline_says_of_ties_what_the_order_below_says() -> None:
    """Groups that tie at other spots are told apart, and where it is too dark for whom."""
    spots = {name: SpotOfPlace(place="Testing Cove", spot=name) for name in "abc"}
    rows = [at(spot, group=group) for group in ("one", "two", "six") for spot in "abc"]
    told = [
        difference(group=group, better=spots[better], other=spots[other], told_apart=False)
        for group, better, other in (
            ("one", "a", "b"), ("one", "b", "c"), ("two", "a", "b"), ("six", "b", "c"),
            ("six", "c", "a"),
        )
    ]  # fmt: skip
    order = {("six", "b"): 1, ("six", "c"): 2, ("six", "a"): 3}
    rows = [
        replace(
            row,
            order=order.get((row.group, row.spot), "abc".index(row.spot) + 1),
            light="darker" if (row.group, row.spot) in {("one", "b"), ("six", "b")} else "fits",
        )
        for row in rows
    ]
    assert headline(found(*rows, differences=tuple(told))).startswith(
        "Of 3 groups: no spot is better than a or b for 2 (too dark at b for 1), no spot is better "
        "than b or c for 1 (too dark at b). "
    )
    third = [difference(group="two", better=spots["a"], other=spots["c"], told_apart=False)]
    moved = [replace(row, order={"b": 3, "c": 2}.get(row.spot, 1)) if row.group == "two" else row
             for row in rows]  # fmt: skip
    told = [one for one in told if one.group != "two"] + third
    assert headline(found(*moved, differences=tuple(told))).startswith(
        "Of 3 groups: several spots tie for 3. "
    )


def _for(days: int) -> dict[str, object]:
    """A verdict and its season."""
    if days == 0:
        return {"verdict": Verdict.INDOOR, "season": None}
    return {"season": Season(out="03-07", inn="11-02", days=days)}


def test_a_room_is_never_called_outdoors() -> None:
    """On a terminal of any width, on the page, and in what a workbook begins with."""
    room = at("den", indoors=True, **ROOM)
    never = at("cellar", indoors=True, verdict=Verdict.INDOOR, season=None)
    one = found(at("porch"), room, never)
    full = words.verdict_words(Verdict.ALL_YEAR, indoors=True)
    told = cells(numbers_table(one.results, one, C, name="numbers"), 1)
    assert flat(told["Verdict"]) == full
    matrix = matrix_table(one)
    assert [flat(cell.text) for cell in matrix.rows[0][1:]] == [
        "240 days",
        full,
        words.verdict_words(Verdict.INDOOR, indoors=True),
    ]
    assert [cell.short for cell in matrix.rows[0][1:]] == ["240 days", "stays", "no"]
    (drawn,) = matrix_figure(verdict_matrix(one))["data"]
    assert drawn["text"] == [["240 days", "can stay all year", "not here"]]
    assert f"stays: {full}; no: " in flat(" ".join(_notes(one)))
    for width in (80, 240):
        text = shown(one, width=width)
        assert text.count(Verdict.ALL_YEAR) == text.count(f"({Verdict.ALL_YEAR})")
    charts = {chart.name: chart for chart in charts_of(comparison_sheet(one, C).sections)}
    assert "den can stand in this room all year" in charts["seasons"].told
    assert "outdoors, or there in a room" in [key.text for key in charts["seasons"].key]
    assert "Rooms" in [fact.label for fact in comparison_sheet(one, C).about.rows]
    assert "Rooms" not in [fact.label for fact in comparison_sheet(found(), C).about.rows]
    assert headline(one) == ("Nobile type: outdoor-seasonal at porch, 240 days. Indoors: den.")


def test_the_room_stands_beside_the_best_spot_outdoors_of_a_plant() -> None:
    """With what it costs to leave it there; one plant is named and not counted."""
    one = placed(best_rooms=(SpotOfPlace(place="Testing Cove", spot="den"),))
    never = RestFinding(needed=True, met_years=0, partly_years=0, of_years=11)
    den = row(
        plants=("old one",), numbers=(2,), spot="den", indoors=True, best=True, rest=never, **ROOM
    )
    one = replace(one, results=(*one.results, den))
    ((_, _, best, why),) = narrow(placements_table(one))
    assert best == "porch: move it if it gets light there (7 Mar to 2 Nov); indoors den"
    assert why == f"{WHY}; hardly flowers if it stays in den"
    assert " Indoors: den. Better moved to porch if it gets light there: old one" in headline(one)
    assert narrow(matrix_table(one))[0][-1].endswith("best")


def _notes(one: Comparison) -> list[str]:
    """What stands beside the drawn matrix."""
    return [
        note
        for chart in charts_of(comparison_sheet(one, C).sections)
        if chart.name == "matrix"
        for note in chart.notes
    ]


def test_comfort_is_told_where_it_speaks_for_a_spot() -> None:
    """Days of the year in numbers; in the reason only of plants whose flowers hang on no rest."""
    plain = placed()
    cosy, cool = plain.results
    unrested = RestFinding(needed=False)
    rows = (replace(cosy, rest=unrested), replace(cool, rest=unrested, comfort_season=None))
    ((*_, why),) = narrow(placements_table(replace(plain, results=rows)))
    assert "86 more comfortable days a year" in why
    assert "comfortable" not in WHY
    assert cells(numbers_table(rows, plain, C, name="numbers"), 1)["Comfortable days a year"] == "0"
    unmarked = found(row(comfort_c=None, comfort_season=None))
    table = numbers_table(unmarked.results, unmarked, C, name="numbers")
    assert cells(table)["Comfortable days a year"] == "-"


def test_the_better_spot_comes_first_with_its_differences() -> None:
    """Better before other; nights with nights, hours with hours; lowest before highest."""
    labels = spot_labels(found(row(), row(spot="hollow")))
    assert difference_sentence(difference(), labels) == (
        "porch before hollow: a season of 240 days against 90; +140 days of season a year "
        "(+110 to +170); -11 unsafe nights a year (-19 to -3); -800 hours below the floor in "
        "months of growth (-1300 to -450)."
    )
    none = Interval(difference=0.2, low=-0.3, high=0.4)
    alike = difference(unsafe_nights_difference=none, told_apart=False)
    told = difference_sentence(alike, labels)
    assert "; as many unsafe nights a year; -800 hours" in told
    assert told.endswith("not to be told apart with what is known of them.")
    few = difference(
        season_days_difference=None, unsafe_nights_difference=None, hours_below_difference=None,
        told_apart=None,
    )  # fmt: skip
    assert difference_sentence(few, labels) == (
        "porch before hollow: a season of 240 days against 90; too few years tell how sure that is."
    )


def test_records_of_other_years_are_told_and_shared_years_counted() -> None:
    """Of places, not of spots of one: their record is the same."""
    far = SpotOfPlace(place="Far Cove", spot="porch")
    places = (PLACE, replace(PLACE, name="Far Cove"))
    later = replace(CREDIT, period=Period(start="2021-01-01T00:00Z", end="2024-12-31T23:00Z"))
    rows = (row(), row(place="Far Cove"))

    def sheet(shared: int) -> Sheet:
        apart = difference(other=far, years_shared=shared)
        one = found(*rows, places=places, credits=(CREDIT, later), differences=(apart,))
        return comparison_sheet(one, C)

    (note,) = sheet(4).notes
    assert note == (
        "Far Cove (2021 to 2024) and Testing Cove (2011 to 2020): their records hold other years. "
        "What differs may be the years and not the places, so that it must be more than "
        "twice as clear before it is said."
    )
    assert sheet(5).notes == ()
    (order,) = (part for part in sheet(5).sections if part.name == "order")
    assert "(-1300 to -450), in the 5 years that both know." in str(order.blocks)
    spots = found(row(), row(spot="hollow"), differences=(difference(years_shared=0),))
    assert comparison_sheet(spots, C).notes == ()


def test_the_order_of_spots_is_told_on_page_and_terminal() -> None:
    """Of every group on a page; below the table of its group on a terminal."""
    one = found(row(), row(spot="hollow"), differences=(difference(),))
    told = difference_sentence(difference(), spot_labels(one))
    assert told in flat(shown(one))
    (order,) = (part for part in comparison_sheet(one, C).sections if part.name == "order")
    assert order.on is On.PAGE
    assert order.blocks == (Text(sentences=(f"nobile: {told}",), listed=True),)


def test_several_places_are_named_and_each_is_given_its_credit() -> None:
    """On terminal, page and in what a workbook says at its beginning."""
    other = replace(PLACE, name="Far Cove", latitude=-10.0)
    credits_ = (
        CREDIT,
        Weather(source="a buoy", licence="bound", attribution="a crew", period=PERIOD),
    )
    rows = (row(), row(place="Far Cove"))
    one = found(*rows, places=(PLACE, other), credits=credits_)
    sheet = comparison_sheet(one, C)
    assert sheet.credit.split("\n") == [
        "Weather at Testing Cove, 2011 to 2020: a gauge; its keepers; free",
        "Weather at Far Cove, 2011 to 2020: a buoy; a crew; bound",
    ]
    about = [(fact.label, fact.text) for fact in sheet.about.rows]
    assert [label for label, _ in about] == ["Place", "Place", "Weather", "Weather", "Promise"]
    assert about[1][1].startswith("Far Cove, 10.00 S")
    assert about[3][1] == "2011 to 2020: a buoy; a crew; bound"
    assert sheet.closing == (words.CAUTIONS,)
    assert list(spot_labels(one).values()) == ["Testing Cove: porch", "Far Cove: porch"]
    assert "Weather at Far Cove, 2011 to 2020: a buoy; a crew; bound" in flat(shown(one))


def test_spots_of_long_names_that_begin_alike_stay_apart() -> None:
    """Their names are cut where columns are narrow, their numbers never mixed."""
    long = "the same beginning of a name, "
    indoors = row(spot=f"{long}two", verdict=Verdict.INDOOR, spot_ends=None)
    one = found(row(spot=f"{long}one"), indoors)
    first, second = spot_labels(one).values()
    assert first != second
    assert [cell.text for cell in matrix_table(one).rows[0][1:]] == ["240 days", "indoor-only"]


@pytest.mark.parametrize("width", [80, 104, 200, 240])
def test_no_line_is_wider_than_asked(width: int) -> None:
    """Few groups and many, few spots and many, every doubt at once."""
    ends = SpotEnds(low=Verdict.INDOOR, high=Verdict.SEASONAL)
    for groups in (1, 6):
        for spots in (1, 2, 4, 7):
            rows = [
                row(group=f"paphiopedilum-{g}", spot=f"frost hollow {s}", spot_ends=ends)
                for s in range(spots)
                for g in range(groups)
            ]
            rows[0] = replace(rows[0], borderline=True)
            text = shown(found(*rows), width=width)
            assert max(map(len, text.splitlines())) <= width


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_does_no_harm(text: str) -> None:
    """Neither on a terminal nor on a page."""
    one = found(
        row(spot=text, group=text, group_name=text),
        understood=(text,),
        credits=(Weather(source=text, licence=text, attribution=text, period=PERIOD),),
    )
    printed = shown(one)
    assert not set(printed) & set("\x00\x07\x1b\u202e\u2066\u200f\ud800")
    page = render_page(comparison_sheet(one, C))
    body = page.split("<body>")[1].split('<script type="application/json"')[0]
    for tag in ("<script", "<img", "<b>bold", "<a href='"):
        assert tag not in body
