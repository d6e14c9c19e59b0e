"""Names, whole where there is room and counted where there is not, and the first sentence."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from suitability.advice.result import CarriedNights
from suitability.advice.terms import HeatWord, PromiseWorth, Season, Verdict
from suitability.answers import words
from suitability.units import TemperatureUnit
from tests.output import examples

from .card_examples import heat

if TYPE_CHECKING:
    from suitability.advice.plant_year import HeatCause
    from suitability.advice.result import Finding


C = TemperatureUnit.C


def of(*plants: str, numbers: tuple[int, ...] = (), **changes: object) -> Finding:
    """A row about plants."""
    row = examples.seasonal(**changes)
    return replace(row, plants=plants, numbers=numbers or (1,) * len(plants))


def test_a_group_has_its_key_or_its_name() -> None:
    row = examples.seasonal()
    assert words.short_name(row) == "phalaenanthe"
    assert words.full_name(row) == "Phalaenanthe and hybrids"


@pytest.mark.parametrize(
    ("row", "longest", "told"),
    [
        (of("white"), 60, "white"),
        (of("white", numbers=(3,)), 60, "white (3)"),
        (of("white", "red"), 60, "2 plants: white, red"),
        (of("white", "red", numbers=(3, 1)), 60, "4 plants: white (3), red"),
        (of("white", "red", "blue"), 22, "3 plants: white +2"),
        (of("white", "red", "blue"), 12, "white +2"),
        (of("a very long name indeed", "red"), 12, "a very l… +1"),
    ],
)
def test_plants_are_named_as_far_as_there_is_room(row: Finding, longest: int, told: str) -> None:
    assert words.short_name(row, longest) == words.full_name(row, longest) == told
    assert len(told) <= longest


def test_a_guess_is_starred_and_told_once() -> None:
    rows = [of("cross", caveat="hybrid of two"), of("white")]
    assert [words.who_cell(row).text for row in rows] == ["cross *", "white"]
    assert words.caveat_sentences([*rows, rows[0]]) == ["* cross: hybrid of two."]
    stated = [of("new one", in_state=True), of("other", in_state=True)]
    assert words.caveat_sentences([*stated, rows[1]]) == [
        "Judged in its own state, which may pass: new one, other."
    ]
    assert words.group_of(rows[0]) == "Phalaenanthe and hybrids (phalaenanthe); hybrid of two"
    assert words.group_of(examples.seasonal()) == ""


def test_the_room_of_a_group_that_rests_may_be_cool_for_its_rest() -> None:
    """Else the first sentence would keep it as warm all winter as it asks to be while it grows."""
    row = examples.seasonal(cool_rest=True)
    row = replace(row, thresholds=replace(row.thresholds, floor_c=15.0, rest_floor_c=8.0))
    told = words.answer(row, C, "Callista")
    assert "a room that stays above 15 °C at night, or 8 °C while it rests. " in told
    assert "while it rests" not in words.answer(replace(row, cool_rest=False), C, "Callista")


def test_titles_count_plants_and_not_rows() -> None:
    """A plant without a spot stands at several, and is then one of pairs."""
    assert words.counted([of("a", numbers=(3,)), of("b", spot="bench")]) == "4 plants"
    assert words.counted([of("a"), of("a", spot="bench")]) == "2 pairs of plant and spot"
    assert words.counted([examples.seasonal()]) == "1 group"
    two = [examples.seasonal(), examples.seasonal(spot="bench")]
    assert words.counted(two) == "2 pairs of group and spot"
    assert words.who([of("a")]) == "Plant"
    assert words.who(two) == "Group"


JULY_TO_SEPTEMBER = Season(out="07-03", inn="09-27", days=86)
WHOLE_YEAR = Season(out="01-01", inn="01-01", days=365)
MARKED = examples.thresholds(comfort_c=18.0)


def told(**changes: object) -> str:
    """What a grower is told first of a group out from 1 June to 8 October, 129 days."""
    return words.answer(examples.seasonal(thresholds=MARKED, **changes), C, "Hard-cane")


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        (
            {"comfort_season": JULY_TO_SEPTEMBER},
            "Truly comfortable only from 3 July to 27 September.",
        ),
        ({"comfort_season": None}, "Nowhere in the year truly comfortable."),
        (
            {"comfort_season": WHOLE_YEAR, "grows_from": "06-21"},
            "It survives, does not grow yet before 21 June.",
        ),
        (
            {"comfort_season": WHOLE_YEAR, "grows_from": "10-08"},  # the day of coming in
            "It survives, does not grow.",
        ),
        (
            {"comfort_season": WHOLE_YEAR, "heat": HeatWord.EXPECT_DAMAGE},
            "Expect heat damage.",
        ),
        (
            {
                "comfort_season": WHOLE_YEAR,
                "heat": HeatWord.EXPECT_DAMAGE,
                "warm_nights": 356.6,
            },
            "Expect heat damage: 357 nights a year are too warm for it.",
        ),
        (
            {"comfort_season": WHOLE_YEAR, "heat": HeatWord.IF_DRY},
            "Great heat does it no harm in air of about 50% humidity, dry air does.",
        ),
    ],
)
def test_the_headline_says_what_the_verdict_hides(
    changes: dict[str, object], sentence: str
) -> None:
    """Between the dates and the years that kept them, and nothing where nothing is hidden."""
    plain = told(comfort_season=WHOLE_YEAR)
    assert told(**changes) == plain.replace(" 10 of 11", f" {sentence} 10 of 11")


@pytest.mark.parametrize(
    ("cause", "told"),
    [
        ("hours", "52 h a year above 36 °C"),
        (None, "52 h a year above 36 °C"),
        ("run", "5 days in a row above 36 °C"),
        ("warm-nights", "11 nights a year stay above 24 °C"),
    ],
)
def test_heat_is_told_by_what_harms(cause: HeatCause | None, told: str) -> None:
    """Few hours are no reason where warm nights are it, be they few on the mean."""
    outlook = heat(cause=cause, warm_nights_mean=11.0)
    assert words.heat_told(outlook, C) == f"harms at times: {told}"


def test_two_weeks_more_than_the_comfortable_ones_need_no_word() -> None:
    """Nor do those of a plant whose flowers hang on cool nights, or of one that stays in."""
    near = Season(out="06-08", inn="10-01", days=115)
    assert "comfortable" not in told(comfort_season=near)
    assert "comfortable" in told(comfort_season=replace(near, days=114))
    assert "comfortable" not in told(comfort_season=JULY_TO_SEPTEMBER, cool_rest=True)
    indoor = examples.indoor(thresholds=MARKED, heat=HeatWord.EXPECT_DAMAGE)
    assert "comfortable" not in words.answer(indoor, C, "Hard-cane")
    assert words.minded(indoor) == []


def test_a_list_says_the_same_in_few_words() -> None:
    row = examples.seasonal(thresholds=MARKED, grows_from="06-21", heat=HeatWord.IF_DRY)
    assert words.minded(row) == ["grows from 21 Jun", "nowhere comfortable", "dry air in heat"]
    warm = replace(row, comfort_season=WHOLE_YEAR, grows_from="10-08", warm_nights=25.2)
    assert words.minded(warm) == ["does not grow", "25 nights too warm"]
    hot = replace(warm, grows_from=None, warm_nights=None, heat=HeatWord.EXPECT_DAMAGE)
    assert words.minded(hot) == ["expect heat damage"]
    assert words.growth_note([hot]) == []
    assert len(words.growth_note([hot, warm])) == 1


def test_the_comfortable_dates_stand_with_their_mark_or_the_rest_that_cool_nights_bring() -> None:
    row = examples.seasonal(thresholds=MARKED, comfort_season=JULY_TO_SEPTEMBER)
    assert words.comfort_rows(row, C) == [
        ("Comfortable", "from 3 July to 27 September, nights of 18.0 °C or more")
    ]
    assert "64.4 °F" in words.comfort_rows(row, TemperatureUnit.F)[0][1]
    resting = replace(row, cool_rest=True)
    assert words.comfort_rows(resting, C)[0][1].endswith("; cooler nights bring its rest")
    whole = replace(row, comfort_season=WHOLE_YEAR)
    assert words.comfort_rows(whole, C)[0][1].startswith("all year, ")
    cool = replace(whole, thresholds=replace(row.thresholds, comfort_c=10.0), cool_rest=False)
    assert words.comfort_rows(cool, C)[0][1] == "warm enough all year, nights of 10.0 °C or more"
    never = replace(row, comfort_season=None)
    assert words.comfort_rows(never, C)[0][1].startswith("nowhere in the year")
    assert words.comfort_rows(examples.seasonal(), C) == []  # no mark is known
    unjudged = examples.no_verdict(thresholds=MARKED)
    assert words.comfort_rows(unjudged, C) == []  # nor, perhaps, any night


def test_what_a_provisional_promise_may_be_worth_stands_where_that_is_said() -> None:
    """With the years of the one row, once below several, and nowhere if nothing is promised."""
    worth = PromiseWorth(promised=0.9, low=0.75, high=0.9818)
    few = examples.seasonal(provisional=True, promise_worth=worth, years_usable=5, years_counted=5)
    said = "provisional; from so few 90% may prove 75 to 98%."
    assert words.kept(few).endswith(f"kept these dates: {said}")
    indoors = examples.indoor(provisional=True)
    (below,) = words.mark_sentences([few, indoors], C)
    assert below.endswith("are whole; 90% may prove 75 to 98%.")
    assert "prove" not in words.mark_sentences([indoors], C)[0]
    assert "prove" not in words.kept(indoors)


@pytest.mark.parametrize(
    ("days", "told"),
    [
        (335, "Who cannot watch it: out from 2 August, in by 25 July. 10 of 11 past years kept"),
        (336, "Who cannot watch it needs a more sheltered spot: no dates help much."),
    ],
)
def test_few_days_indoors_are_no_help_and_are_not_told_as_dates(days: int, told: str) -> None:
    """
    Nearly all year at Porto Alegre: in from 25 July to 2 August, and the one cold night 11 July.

    Those eight days bring 88 % of new years to 90 %; at 30 days and more it is from 80 % down.
    """
    season = Season(out="08-02", inn="07-25", days=days)
    nights = CarriedNights(typical=0, worst=1)
    row = examples.seasonal(season=season, nearly_all_year=True, carried_nights=nights)
    assert told in words.answer(row, C, "Nobile")
    assert ("25 July" in words.answer(row, C, "Nobile")) is (days == 335)
    never = replace(row, carried_nights=CarriedNights(typical=0, worst=0))
    said = "if carried in, or covered, should a night come that is worse than all on record; "
    assert said in words.answer(never, C, "Nobile")


@pytest.mark.parametrize(
    ("headroom_c", "spot", "told"),
    [
        (0.5, "open-air", "it may stay out, by only 0.5 °C, in the record's open air. 10"),
        (0.9, "bench", "it may stay out, by only 0.9 °C. 10"),
        (1.0, "open-air", "it may stay out. 10"),
        (None, "open-air", "it may stay out. 10"),
    ],
)
def test_what_stays_out_by_less_than_a_garden_differs_says_so(
    headroom_c: float | None, spot: str, told: str
) -> None:
    """Nobile at Los Angeles: all year by half a degree, for a season on a patio a degree colder."""
    row = examples.seasonal(
        verdict=Verdict.ALL_YEAR, season=WHOLE_YEAR, headroom_c=headroom_c, spot=spot
    )
    assert told in words.answer(row, C, "Nobile")
