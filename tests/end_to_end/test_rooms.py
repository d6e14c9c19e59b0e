"""
A room has no seasons of its own: what it does for a rest is dated by the winter of the place.

The collections are invented; the weather is that of real records.
"""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

import pytest

import suitability
from suitability.advice.growth_year import Note, Phase, SetBy
from suitability.advice.terms import Flowers
from tests.conftest import open_extract

if TYPE_CHECKING:
    from pathlib import Path

    from suitability.advice.question import Question

pytestmark = pytest.mark.slow

DAY = date(2027, 2, 10)


def ask(folder: Path, place: str, room: str, *groups: str) -> Question:
    """Plants of some groups in one room, with no other spot to go to."""
    plants = [f'[[plant]]\nname = "{one}"\ngroup = "{one}"\nspot = "room"\n' for one in groups]
    file = folder / "own.toml"
    file.write_text("".join([f'[[spot]]\nname = "room"\n{room}\n', *plants]), encoding="utf-8")
    return suitability.ask(*open_extract(place), collection=file)


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
    question = ask(tmp_path, place, 'kind = "room"\nroom_c = 11', "cymbidium", "kingianum")
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
    question = ask(tmp_path, place, 'kind = "room"\nroom_c = 11', "cymbidium")
    (found,) = suitability.check(question).results
    assert found.rest.usual_date is not None
    assert found.rest.usual_date[:2] in months
    assert found.rest.latest_date == found.rest.usual_date  # its nights are the same every year


def test_a_plant_rests_in_a_cool_room_through_the_short_days(tmp_path: Path) -> None:
    """No weather dates it, and nothing is to be given that its nights bring."""
    question = ask(tmp_path, "dallas", 'kind = "room"\nroom_c = 11', "cymbidium", "kingianum")
    for year in suitability.year(question).results:
        resting = {week.week for week in year.weeks if week.phase is Phase.RESTING}
        assert {46, 50, 2} <= resting
        assert not {20, 30, 40} & resting
        assert not {Note.NO_WINTER, Note.REST_NOT_BROUGHT, Note.FEW_YEARS} & {*year.notes}
        assert {change.set_by for change in year.changes} == {SetBy.ROOM}


def test_a_warm_room_brings_no_rest(tmp_path: Path) -> None:
    """20 °C is warmer than the band: said so, and not that the place has no winter."""
    question = ask(tmp_path, "dallas", 'kind = "room"\nroom_c = 20', "kingianum")
    (year,) = suitability.year(question).results
    assert year.flowers is Flowers.HARDLY
    assert Note.REST_NOT_BROUGHT in year.notes
    assert Note.NO_WINTER not in year.notes


def test_a_room_cooler_than_every_night_outside_is_cooled_and_believed(tmp_path: Path) -> None:
    """Manaus, whose nights are above 20 °C: rested, on no day of the year in particular."""
    question = ask(tmp_path, "manaus", 'kind = "room"\nroom_c = 11', "cymbidium", "kingianum")
    for years in rests_told(question).values():
        ((met, of),) = years
        assert met == of > 0
    for found in suitability.check(question).results:
        assert found.rest.usual_date is None
    for year in suitability.year(question).results:
        assert Note.NO_WINTER in year.notes
        assert Note.REST_NOT_BROUGHT not in year.notes
