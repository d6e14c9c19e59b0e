"""
A room has no seasons of its own: what it does for a rest is dated by the winter of the place.

The collections are invented; the weather is that of real records.
"""

from __future__ import annotations

import re
from datetime import date
from html import unescape
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

import suitability
from suitability.advice.coming_nights import look_ahead
from suitability.advice.growth_year import Note, Phase, SetBy
from suitability.advice.terms import Flowers, Verdict
from suitability.answers.cards import cards_sheet
from suitability.answers.check import check_sheet
from suitability.answers.comparison import comparison_sheet
from suitability.answers.moves import moves_sheet
from suitability.answers.report import report_sheet
from suitability.answers.trials import trial_control
from suitability.answers.year import year_sheet
from suitability.output.report import render_report
from suitability.output.terminal import render_terminal
from suitability.units import TemperatureUnit
from tests.conftest import open_extract

if TYPE_CHECKING:
    from pathlib import Path

    from suitability.advice.question import Question

pytestmark = pytest.mark.slow

DAY = date(2027, 2, 10)
C = TemperatureUnit.C
WINDOW = 'kind = "window-sill"\nroom_c = 18\nglazing = "single"'
COOL, WARM = 'kind = "room"\nroom_c = 11', 'kind = "room"\nroom_c = 20'


def ask(folder: Path, place: str, room: str, *groups: str) -> Question:
    """Plants of some groups in one room, with no other spot to go to."""
    plants = [f'[[plant]]\nname = "{one}"\ngroup = "{one}"\nspot = "room"\n' for one in groups]
    file = folder / "own.toml"
    file.write_text("".join([f'[[spot]]\nname = "room"\n{room}\n', *plants]), encoding="utf-8")
    return suitability.ask(*open_extract(place), collection=file)


def shown(question: Question, *, details: bool = False) -> dict[str, str]:
    """What each answer prints, in one line."""
    sheets = {
        "check": check_sheet(suitability.check(question), C),
        "moves": moves_sheet(suitability.moves(question), C),
        "year": year_sheet(suitability.year(question), 10, C),
        "cards": cards_sheet(suitability.cards(question), C),
        "compare": comparison_sheet(suitability.compare([question]), C),
    }
    printed = {
        name: render_terminal(sheet, width=240, colour=False, details=details)
        for name, sheet in sheets.items()
    }
    return {name: " ".join(text.split()) for name, text in printed.items()}


def page_of(question: Question) -> str:
    """What the report of it says, without what is folded away."""
    found = suitability.report(question, on="03-10")
    page = render_report(report_sheet(found, C), trial_control(found, C))
    markup = re.compile(r"<(script|style|details)\b.*?</\1>|<[^>]*>", re.DOTALL)
    return " ".join(unescape(markup.sub(" ", page)).split())


def rests_told(question: Question) -> dict[str, set[tuple[int, int]]]:
    """Years that met the rest, of how many, by plant: as every answer tells them."""
    told: dict[str, set[tuple[int, int]]] = {}
    rows: list[Any] = [
        *suitability.check(question).results,
        *suitability.year(question).results,
        *suitability.cards(question).cards,
        *suitability.compare([question]).results,
    ]
    for row in rows:
        told.setdefault(row.plants[0], set()).add((row.rest.met_years, row.rest.of_years))
    for row in suitability.plan(question, DAY).plants:
        assert row.rest_met_years is not None
        assert row.rest_of_years is not None
        told[row.plant].add((row.rest_met_years, row.rest_of_years))
    return told


@pytest.mark.parametrize("place", ["dallas", "lansing", "porto_alegre"])
def test_every_answer_tells_the_same_years_of_rest_in_a_cool_room(
    tmp_path: Path, place: str
) -> None:
    """11 °C lies in the bands of both: each year that tells met the rest."""
    question = ask(tmp_path, place, COOL, "cymbidium", "kingianum")
    for years in rests_told(question).values():
        ((met, of),) = years
        assert met == of > 0


@pytest.mark.parametrize("place", ["dallas", "lansing"])
def test_every_answer_tells_the_same_years_of_rest_at_a_window(tmp_path: Path, place: str) -> None:
    """Where the weather reaches the plant: not every year is alike."""
    room = 'kind = "window-sill"\nroom_c = 16\nglazing = "single"'
    for years in rests_told(ask(tmp_path, place, room, "kingianum")).values():
        assert len(years) == 1


@pytest.mark.parametrize(
    ("place", "months"),
    [("dallas", {"10", "11"}), ("lansing", {"09"}), ("porto_alegre", {"05", "06", "07"})],
)
def test_autumn_nights_of_a_room_come_in_the_autumn_of_the_place(
    tmp_path: Path, place: str, months: set[str]
) -> None:
    """Once the nights outside are as cool as the room: it is not believed to be so in August."""
    question = ask(tmp_path, place, COOL, "cymbidium")
    (found,) = suitability.check(question).results
    assert found.rest.usual_date is not None
    assert found.rest.usual_date[:2] in months
    assert found.rest.latest_date == found.rest.usual_date  # its nights are the same every year


def test_a_plant_rests_in_a_cool_room_through_the_short_days(tmp_path: Path) -> None:
    """No weather dates it, and nothing is to be given that its nights bring."""
    question = ask(tmp_path, "dallas", COOL, "cymbidium", "kingianum")
    for year in suitability.year(question).results:
        resting = {week.week for week in year.weeks if week.phase is Phase.RESTING}
        assert {46, 50, 2} <= resting
        assert not {20, 30, 40} & resting
        assert not {Note.NO_WINTER, Note.REST_NOT_BROUGHT, Note.FEW_YEARS} & {*year.notes}
        assert {change.set_by for change in year.changes} == {SetBy.ROOM}


def test_a_warm_room_brings_no_rest(tmp_path: Path) -> None:
    """20 °C is warmer than the band: said so, and not that the place has no winter."""
    question = ask(tmp_path, "dallas", WARM, "kingianum")
    (year,) = suitability.year(question).results
    assert year.flowers is Flowers.HARDLY
    assert Note.REST_NOT_BROUGHT in year.notes
    assert Note.NO_WINTER not in year.notes


def test_a_room_cooler_than_every_night_outside_is_cooled_and_believed(tmp_path: Path) -> None:
    """Manaus, whose nights are above 20 °C: rested, on no day of the year in particular."""
    question = ask(tmp_path, "manaus", COOL, "cymbidium", "kingianum")
    for years in rests_told(question).values():
        ((met, of),) = years
        assert met == of > 0
    for found in suitability.check(question).results:
        assert found.rest.usual_date is None
    for year in suitability.year(question).results:
        assert Note.NO_WINTER in year.notes
        assert Note.REST_NOT_BROUGHT not in year.notes


def test_a_room_too_cool_to_grow_in_says_that_it_serves_while_a_plant_rests(tmp_path: Path) -> None:
    """11 °C: nobile grows from 13 and rests down to 5, callista from 15 and down to 8."""
    needed = "All year it needs a room that stays above {} °C at night, or {} °C while it rests"
    for group, floors in (("nobile", (13, 5)), ("callista", (15, 8))):
        question = ask(tmp_path, "dallas", COOL, group)
        (found,) = suitability.check(question).results
        (move,) = suitability.moves(question).results
        assert found.verdict is Verdict.INDOOR
        assert found.rests_there
        assert move.rests_there
        assert found.flowers is Flowers.CAN
        text = shown(question)
        for name in ("check", "moves"):
            assert f"{needed.format(*floors)}; this one does while it rests." in text[name]
        for name in ("check", "year", "cards"):
            assert "if there while it rests" in text[name]
        assert "survives here, does not grow" in text["cards"]


@pytest.mark.parametrize(("room_c", "group"), [(4, "nobile"), (6, "callista"), (11, "cattleya")])
def test_a_room_too_cool_for_a_rest_does_not(tmp_path: Path, room_c: int, group: str) -> None:
    """Colder than the nights of the rest, than its rest floor, or of one that needs none."""
    question = ask(tmp_path, "dallas", f'kind = "room"\nroom_c = {room_c}', group)
    (found,) = suitability.check(question).results
    assert found.verdict is Verdict.INDOOR
    assert not found.rests_there
    assert "this one does" not in " ".join(shown(question).values())


@pytest.mark.parametrize("details", [False, True])
@pytest.mark.parametrize("room_c", [4, 11, 16, 20])
def test_nobody_is_carried_into_a_house_from_a_room(
    tmp_path: Path, *, room_c: int, details: bool
) -> None:
    """Nor does its verdict make a room indoors "in a room"."""
    groups = ("nobile", "callista", "cymbidium", "kingianum", "phalaenanthe")
    for kind in ("room", "window-sill"):
        room = f'kind = "{kind}"\nroom_c = {room_c}'
        for text in shown(ask(tmp_path, "lansing", room, *groups), details=details).values():
            for wrong in ("carried in before", "outdoors enough", "indoor-only in a room"):
                assert wrong not in text


def test_comfort_all_year_has_no_cooler_nights(tmp_path: Path) -> None:
    """Of a card that says beside it that cold is missing."""
    text = shown(ask(tmp_path, "dallas", WARM, "kingianum"))
    assert "Comfort all year Hard nights" in text["cards"]
    assert "will hardly flower: cold is missing" in text["cards"]
    assert "cooler nights bring its rest" not in " ".join(text.values())


def test_why_a_plant_cannot_stand_in_a_room_is_no_season_of_past_years(tmp_path: Path) -> None:
    """Its nights are too cool, this year and every year; what fails first has no date."""
    text = shown(ask(tmp_path, "dallas", COOL, "phalaenanthe"))
    for name in ("check", "moves"):
        assert "longest outdoor season" not in text[name]
        assert "cold that adds up over a fortnight (all year), nights too cool" in text[name]
    assert "left there all year: cold that had added up over a fortnight Why" in text["check"]


WEATHER = ("past years", "a new one", "yearly risk", "usable year", "odel-based", "rovisional")


@pytest.mark.parametrize("groups", [("nobile",), ("nobile", "kingianum")])
def test_no_past_year_speaks_of_a_room_that_no_weather_reaches(
    tmp_path: Path, groups: tuple[str, ...]
) -> None:
    """Of a window they do: the weather reaches the plant there. Data have them of both."""
    for folder in ("a", "b"):
        (tmp_path / folder).mkdir()
    steady = ask(tmp_path / "a", "dallas", WARM, *groups)
    told = shown(steady) | {"report": page_of(steady)}
    for name in ("check", "moves", "cards", "report"):
        assert [word for word in WEATHER if word in told[name]] == []
    window = ask(tmp_path / "b", "dallas", 'kind = "window-sill"\nroom_c = 20', *groups)
    told = shown(window) | {"report": page_of(window)}
    for name in ("check", "cards", "report"):
        assert [word for word in WEATHER if word in told[name]]
    for question, is_steady in ((steady, True), (window, False)):
        rows: list[Any] = [*suitability.check(question).results]
        rows += suitability.moves(question).results
        for row in rows:
            assert row.steady is is_steady
            assert row.years_counted


def test_of_rooms_and_windows_those_are_named_that_few_years_make_doubtful(tmp_path: Path) -> None:
    """Nine whole years at the window; the room is the same in any."""
    file = tmp_path / "own.toml"
    spots = {"window": WINDOW, "room": WARM}
    file.write_text(
        "".join(
            f'[[spot]]\nname = "{name}"\n{told}\n'
            f'[[plant]]\nname = "at the {name}"\ngroup = "nobile"\nspot = "{name}"\n'
            for name, told in spots.items()
        ),
        encoding="utf-8",
    )
    text = shown(suitability.ask(*open_extract("dallas"), collection=file))
    assert "Provisional, fewer than ten years on record are whole" in text["check"]
    assert text["check"].count("at the window.") == 1
    assert "All verdicts are provisional" not in text["check"]


def test_at_a_cool_window_the_nights_date_the_rest(tmp_path: Path) -> None:
    """Dallas behind single glass, 18 °C: not the same day every year, as in a room."""
    (year,) = suitability.year(ask(tmp_path, "dallas", WINDOW, "kingianum")).results
    assert Phase.RESTING in {week.phase for week in year.weeks}
    assert SetBy.NIGHTS in {change.set_by for change in year.changes}


@pytest.mark.parametrize(("day", "met"), [("2021-09-20", False), ("2021-11-10", True)])
def test_nights_ahead_count_the_rest_of_a_room_as_other_answers(
    tmp_path: Path, day: str, *, met: bool
) -> None:
    """Dallas: cool autumn nights of a room at 11 °C are complete by 4 November."""
    question = ask(tmp_path, "dallas", COOL, "cymbidium")
    (found,) = suitability.check(question).results
    assert found.rest.usual_date == "11-04"
    now = int(np.datetime64(day, "h").astype(np.int64))
    (plant,) = look_ahead(question, now, forecast=None).plants
    assert plant.rest is not None
    assert plant.rest.met is met
    assert (plant.rest.nights == 0) is not met
