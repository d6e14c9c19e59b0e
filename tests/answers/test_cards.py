"""The sheet of cards: every line says its own fields, under its label."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from suitability.advice.card import cards
from suitability.advice.moves import Tonight
from suitability.advice.question import ask
from suitability.advice.terms import Rests, Season, Span, Verdict
from suitability.answers.cards import card_facts, cards_sheet
from suitability.answers.head import (
    ANIMALS,
    HARDENING,
    INDOOR_AIR,
    LIFTING,
    LOOK_IN,
    QUARANTINE,
    SPRAYING,
)
from suitability.answers.words import CAUTIONS
from suitability.groups import read_catalogue
from suitability.groups.group import Trigger
from suitability.units import TemperatureUnit

from .card_examples import card, heat, rest, result

if TYPE_CHECKING:
    from suitability.advice.card import Card
    from suitability.places import Place
    from suitability.weather.record import Record

    Extract = Callable[[str], tuple[Record, Place]]

C, F = TemperatureUnit.C, TemperatureUnit.F


def lines(of: Card, units: TemperatureUnit = C) -> list[tuple[str, str]]:
    """Labels and texts, in order."""
    return [(fact.label, fact.text) for fact in card_facts(of, units).rows]


def told(of: Card, units: TemperatureUnit = C) -> dict[str, str]:
    """Texts by their label, without the line that goes on with the verdict."""
    return {label: text for label, text in lines(of, units) if label}


def test_every_line_of_a_card_says_its_own_fields() -> None:
    """No two fields of the card have the same value, so that none can stand for another."""
    assert lines(card()) == [
        ("Group", "Made-up section (made-up)"),
        ("Also", "first alias, second alias"),
        ("Here", "outdoor-seasonal, by 15 usable years on record"),
        ("", "lives here for a season, nothing in its rest stands against flowers"),
        (
            "Survives",
            "single nights down to about 3 °C dry, 6 °C wet; below that expect lasting harm",
        ),
        ("Grows", "with nights from 16 °C, best 18 to 21 °C; in its rest from 13 °C"),
        ("Comfort", "from 2 July to 11 September, nights of 17.0 °C or more"),
        ("Out", "from 8 June to be on the careful side, 19 May typical"),
        ("In", "by 3 October to be on the careful side, 19 November typical"),
        (
            "Hard nights",
            "19 a year below its limit, left out all year; 35 in the worst; most in February",
        ),
        (
            "Tonight",
            "bring it in at a forecast low of 8 °C or less (dry: 5 °C)",
        ),
        ("Rest", "cool and bright, nights of 8 to 12 °C, 4 to 5 weeks, nearly dry"),
        (
            "Flowers",
            (
                "cool and dry enough outdoors in 7 of 12 years, partly in 3; complete by 11 "
                "December usually, 22 January at the latest; 8 nights are still wanting in a usual "
                "year"
            ),
        ),
        ("Bloom", "usually April to June (made-up one)"),
        (
            "Heat",
            "harms at times: 52 h a year above 36 °C; hot days in a row: 5 at most",
        ),
        ("Water", "growing: much water; resting: a sip"),
        ("Feed", "growing: weak feed; resting: none at all"),
        ("Light", "medium, 22 to 32 klx from memory, about 40 to 55% shade in full sun"),
        ("Air", "60 to 80% humidity; dries out here: 63 hot, dry hours a year"),
        ("Leaves", "evergreen"),
        ("First harm", "spots below about 10 °C"),
        ("Animals", ANIMALS),
    ]


@pytest.mark.parametrize(
    ("low", "high", "best"),
    [(12.0, 20.0, ", best 16 to 20 °C"), (17.0, 20.0, ", best 17 to 20 °C"), (12.0, 16.0, "")],
)
def test_the_best_nights_begin_no_lower_than_it_grows(low: float, high: float, best: str) -> None:
    """The catalogue's range may begin below the floor: such nights it only survives."""
    one = card(good_nights_c=Span(low=low, high=high), rest_floor_c=None, floor_c=16.0)
    assert told(one)["Grows"] == f"with nights from 16 °C{best}"


def test_temperatures_follow_the_unit() -> None:
    """Each line with a temperature: 3 °C is 37.4 °F, 5 °C is 41; floors up, ceilings down."""
    said = told(card(), F)
    assert said["Survives"].startswith("single nights down to about 38 °F dry, 43 °F wet")
    assert said["Grows"] == "with nights from 61 °F, best 65 to 69 °F; in its rest from 56 °F"
    assert said["Comfort"].endswith("nights of 62.6 °F or more")
    assert said["Tonight"].endswith("of 47 °F or less (dry: 41 °F)")
    assert "nights of 46 to 54 °F" in said["Rest"]
    assert "above 96 °F" in said["Heat"]
    assert said["First harm"] == "spots below about 50 °F"


def test_comfort_is_told_where_a_mark_is_known() -> None:
    """Cooler nights of a group that rests do good; no verdict, no comfort."""
    said = [
        told(card(**changes)).get("Comfort")
        for changes in (
            {"cool_rest": True},
            {"comfort_season": None},
            {"comfort_c": None},
            {"verdict": Verdict.NONE},
        )
    ]
    assert said == [
        "from 2 July to 11 September; cooler nights bring its rest",
        "nowhere in the year: no mean night reaches 17.0 °C",
        None,
        None,
    ]


@pytest.mark.parametrize(
    ("field", "said"),
    [
        ("borderline", "; borderline"),
        ("model_based", "; model-based"),
        ("provisional", "; provisional"),
        ("low_confidence_limit", "; its limit is of low confidence"),
    ],
)
def test_each_mark_stands_beside_the_verdict_that_has_it(field: str, said: str) -> None:
    marked = told(replace(card(), **{field: True}))["Here"]
    assert marked == f"outdoor-seasonal, by 15 usable years on record{said}"


def test_what_marks_mean_stands_once_below_all_cards() -> None:
    """And only of those that occur; cautions end the sheet."""
    sheet = cards_sheet(result(card(borderline=True), card(provisional=True)), C)
    assert sheet.closing == (
        "Borderline: a spot 1.0 °C colder or warmer has another verdict.",
        "Provisional: the record has fewer than ten usable years.",
        "Said of cold.",
        "Said of pets.",
        HARDENING,
        LOOK_IN,
        INDOOR_AIR,
        QUARANTINE,
        LIFTING,
        SPRAYING,
        "Said of trade.",
        CAUTIONS,
    )


def test_each_card_is_a_section_under_the_name_of_its_plant_and_spot() -> None:
    sheet = cards_sheet(result(card(), card(group_name="Another", plants=(), spot="porch")), C)
    assert [section.title for section in sheet.sections] == [
        "own plant - east wall",
        "Another - porch",
    ]
    assert sheet.sections[0].blocks == (card_facts(card(), C),)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"verdict": Verdict.ALL_YEAR}, "nights that would rather be indoors: 22 a year, 45 in"),
        ({"verdict": Verdict.INDOOR, "out": None, "inn": None}, "stays indoors"),
        (
            {
                "verdict": Verdict.SEASONAL,
                "season": Season(out="01-01", inn="01-01", days=365),
                "out": None,
                "inn": None,
            },
            "nothing on record asks it in, yet the verdict is only outdoor-seasonal",
        ),
    ],
)
def test_a_card_without_dates_says_where_the_plant_stays(
    changes: dict[str, object], said: str
) -> None:
    """One that nothing asks in is not said to stay indoors."""
    known = told(card(**changes))
    assert said in known["Moves"]
    assert not {"Out", "In"} & known.keys()


def test_a_card_says_when_growth_begins_beside_the_first_day_out() -> None:
    late = told(card(grows_from="06-21"))
    assert late["Out"].endswith("; survives, does not grow yet before 21 June")
    assert late["In"] == told(card())["In"]


def test_a_card_has_no_dates_where_they_spare_a_plant_little() -> None:
    nearly = card(nearly_all_year=True)
    assert {"Stays out", "Out", "In"} <= told(nearly).keys()
    assert told(nearly)["Stays out"].endswith("the forecast says which. Or:")
    short = told(replace(nearly, season=Season(out="08-02", inn="07-25", days=357)))
    assert short["Stays out"].endswith("; no dates help much")
    assert not {"Out", "In"} & short.keys()


def test_any_day_stands_on_the_side_that_has_it() -> None:
    out, inn = told(card(out_any_day=True)), told(card(in_any_day=True))
    assert out["Out"] == "from 8 June to be on the careful side, any day typical"
    assert out["In"] == told(card())["In"]
    assert inn["In"] == "by 3 October to be on the careful side, any day typical"
    assert inn["Out"] == told(card())["Out"]


def test_a_rest_that_no_name_tells_is_not_made_up() -> None:
    """Neither its floor nor its water and feed are said then."""
    known = told(card(rests=Rests.NOT_TOLD, rest=None))
    assert known["Rest"].startswith("not known from its name")
    assert known["Grows"] == "with nights from 16 °C, best 18 to 21 °C"
    assert (known["Water"], known["Feed"]) == ("growing: much water", "growing: weak feed")
    assert "Rest here" not in known


def test_a_card_in_a_room_says_there_and_away() -> None:
    known = told(card(indoors=True))
    assert known["Here"].startswith("can stand in this room for a season (outdoor-seasonal), by")
    assert known["There"].startswith("from 8 June")
    assert known["Away"].startswith("by 3 October")
    assert known["Hard nights"].startswith("19 a year below its limit, left there all year")
    assert known["Flowers"].startswith("cool and dry enough there in 7")
    assert "Tonight" not in known


def test_a_card_of_a_plant_that_stays_indoors_has_no_forecast() -> None:
    """Nothing brings in what is not out."""
    assert "Tonight" not in told(card(verdict=Verdict.INDOOR, season=None, out=None, inn=None))


def test_heat_and_rest_without_numbers_say_what_is_known() -> None:
    assert told(card(heat=heat(hours_mean=None)))["Heat"] == "harms above 36 °C"
    assert told(card(heat=heat(longest_run=0)))["Heat"].endswith("52 h a year above 36 °C")
    bare = told(card(rest=rest(usual_date=None, left_usual=None, partly_years=0)))
    assert bare["Flowers"] == "cool and dry enough outdoors in 7 of 12 years"


@pytest.mark.parametrize("units", [C, F])
def test_no_card_of_the_catalogue_says_its_rest_twice(
    extract: Extract, units: TemperatureUnit
) -> None:
    """Kind, nights, weeks and dryness are composed: no clause of them stands in another."""
    made = cards(ask(*extract("los_angeles"), [group.key for group in read_catalogue().groups]))
    for one in made.cards:
        clauses = re.split(r"[,;] ", told(one, units).get("Rest", "").replace("nights of ", ""))
        for at, clause in enumerate(clauses):
            before = ", ".join(clauses[:at])
            assert not re.search(rf"(?<!\w){re.escape(clause)}(?!\w)", before), (one.group, clauses)
    by_group = {one.group: told(one, C)["Rest"] for one in made.cards if one.rest_words}
    assert by_group["phalaenopsis"] == ("none at night; days below 26 °C for 4 to 6 weeks, not dry")
    assert by_group["zygopetalum"] == "no strict rest; likes nights near 10 °C, stays moist"


def test_tonight_follows_the_dose_and_buds_too() -> None:
    """12 °C is the chill base, 5.6 °C what the lows of a fortnight may lack; in °F 54 and 10."""
    rule = Tonight(low_c=8.0, dry_low_c=5.0, chill_base_c=12.0, lows_short_c=5.625)
    assert told(card(tonight=rule))["Tonight"] == (
        "bring it in at a forecast low of 8 °C or less (dry: 5 °C); below 12 °C if in "
        "bud, or once the degrees below that add up to 6 °C over 14 nights"
    )
    assert told(card(tonight=rule), F)["Tonight"].endswith(
        "below 54 °F if in bud, or once the degrees below that add up to 10 °F over 14 nights"
    )


def test_flowers_that_hang_on_no_nights_are_told_by_what_helps_them() -> None:
    """A cool rest, a rest after bloom, cool days; nothing where the rest says all."""
    helped = rest(needed=False, trigger=Trigger.COLD)
    told: dict[str, dict[str, object]] = {
        "need no rest; a cool one helps": {"rests": Rests.NOT_NEEDED, "rest": helped},
        "need no cold or drought; little water once they are over helps": {
            "rests": Rests.AFTER_BLOOM
        },
        "hang on cool days, which are not counted here": {"rests": Rests.COOL_DAYS},
        "": {"rests": Rests.NOT_NEEDED},
    }
    for words, changes in told.items():
        facts = card_facts(card(**{"rest": None, **changes}), C).rows
        assert "".join(fact.text for fact in facts if fact.label == "Flowers") == words
