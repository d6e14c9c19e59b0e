"""One question: Python asks as the command does, with plain things and the same defaults."""

from __future__ import annotations

import inspect
import json
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import fields

import suitability
from suitability.advice.plant_state import PlantState
from suitability.advice.question import ask, ask_about, choose_subjects
from suitability.cli.main import main
from suitability.cli.options import Plants, Spots, Sure
from suitability.errors import CatalogueError, OptionError
from suitability.output.document import render_json
from suitability.places import Place, place_at
from suitability.spots.spot import OPEN_AIR, ROOFED, Spot
from suitability.weather.sources.files import read_file_record
from tests.conftest import DATA

if TYPE_CHECKING:
    from pathlib import Path

    from suitability.weather.record import Record

PLACES = {
    "dallas": (32.85, -96.85, 134.0),
    "guangzhou": (23.17, 113.33, 11.0),
    "lansing": (42.78, -84.58, 266.0),
    "los_angeles": (33.938, -118.389, 30.0),
    "manaus": (-3.05, -60.0, 67.0),
    "porto_alegre": (-30.05, -51.17, 41.0),
}


def opened(name: str) -> tuple[Record, Place, list[str]]:
    """A real record as Python reads it, its place, and the options that name both."""
    file, (latitude, longitude, elevation_m) = DATA / f"{name}.hourly", PLACES[name]
    record = read_file_record(file, longitude=longitude)
    at = f"{latitude},{longitude},{elevation_m}"
    place = place_at(latitude, longitude, elevation_m, year=2022, name=name)
    return record, place, ["--record", str(file), "--at", at]


def answered(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """The JSON of a command."""
    with pytest.raises(SystemExit) as left:
        main([*arguments, "--json"])
    assert left.value.code == 0
    return capsys.readouterr().out.strip()


def same(command: str, python: str) -> bool:
    """Whether two documents are equal but for the name of the place, which a file gives itself."""
    one, other = json.loads(command), json.loads(python)
    for document in (one, other):
        document["place"]["name"] = ""
    return bool(one == other)


@pytest.mark.slow
@pytest.mark.parametrize("name", sorted(PLACES))
def test_python_and_the_command_give_equal_json(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """As the README asks: the night allowance is found from the readings in both."""
    record, place, where = opened(name)
    result = suitability.check(suitability.ask(record, place))
    assert result.settings.minimum_allowance_from == "readings"
    assert same(answered(capsys, "check", *where), render_json(result))
    asked = suitability.ask(record, place, ["soft-cane", "nobile x bigibbum"], roof=True)
    shown = answered(
        capsys, "check", *where, "--group", "soft-cane", "--group", "nobile x bigibbum", "--roof"
    )
    assert same(shown, render_json(suitability.check(asked)))


def test_moves_and_weeks_are_those_of_the_commands(capsys: pytest.CaptureFixture[str]) -> None:
    record, place, where = opened("porto_alegre")
    question = suitability.ask(record, place, "nobile", spots="open-porch", promise=0.8)
    typed = [*where, "--group", "nobile", "--spot", "open-porch", "--promise", "0.8"]
    found = suitability.moves(question, thresholds_c=[5.0])
    assert same(answered(capsys, "moves", *typed, "--threshold", "5"), render_json(found))
    weeks = suitability.year(question, room_c=12.0)
    assert same(answered(capsys, "year", *typed, "--room", "12"), render_json(weeks))


def test_defaults_are_those_of_the_command() -> None:
    """Whatever is left out means the same."""
    python = {
        name: one.default for name, one in inspect.signature(ask).parameters.items() if one.default
    }
    typed = {field.name: field.default for kind in (Sure, Plants, Spots) for field in fields(kind)}
    assert python["promise"] == typed["promise"]
    assert python["seed"] == typed["seed"]
    assert python["caution"] == typed["caution"]
    assert (python["quality"], typed["quality"]) == (True, "on")
    assert (python["years"], typed["years"]) == ((None, None), None)
    several = {name: one.default for name, one in inspect.signature(ask_about).parameters.items()}
    assert {name: several[name] for name in several if name in python} == {
        name: python[name] for name in several if name in python
    }


def test_spots_are_named_or_given() -> None:
    """A ready kind, a value of one's own, or the open air."""
    own = Spot(name="ledge", roofed=True)
    assert choose_subjects().spots == (OPEN_AIR,)
    assert choose_subjects(roof=True).spots == (ROOFED,)
    found = choose_subjects(spots=["open-porch", own, "open-porch"]).spots
    assert [one.name for one in found] == ["open-porch", "ledge"]


def test_the_open_air_stands_beside_ready_kinds() -> None:
    """By the names that answers have for it."""
    assert choose_subjects(("nobile",), ("open-air", "roofed", "room")).spots[:2] == (
        OPEN_AIR,
        ROOFED,
    )


def test_a_collection_file_brings_its_spots_and_plants(tmp_path: Path) -> None:
    file = tmp_path / "own.toml"
    file.write_text(
        '[[spot]]\nname = "porch"\n[[spot]]\nname = "shelf"\n'
        '[[plant]]\nname = "new"\ngroup = "nobile"\nspot = "porch"\nfirst_winter = true\n'
    )
    subjects = choose_subjects(collection=str(file))
    assert [one.name for one in subjects.spots] == ["porch", "shelf"]
    ((spot, (subject,)),) = subjects.by_spot()
    assert (spot.name, [plant.name for plant in subject.plants]) == ("porch", ["new"])
    assert subject.state == PlantState(first_winter=True)
    assert (subjects.notes, subjects.placing) == ((), ("No plant stands at shelf.",))
    with pytest.raises(CatalogueError, match='no plant of the collection stands at "shelf"'):
        choose_subjects(collection=file, spots=["shelf"]).by_spot()
    every = choose_subjects(collection=file, all_groups=True)
    assert [len(some) for _, some in every.by_spot()] == [len(every.catalogue.groups)] * 2
    named = choose_subjects(["nobile"], collection=file)
    assert [len(some) for _, some in named.by_spot()] == [1, 1]


@pytest.mark.parametrize(
    ("asked", "error", "said"),
    [
        ({"groups": "zzz"}, CatalogueError, "zzz"),
        ({"spots": "zzz"}, CatalogueError, "zzz"),
        ({"spots": "open-porch", "roof": True}, OptionError, "open air alone"),
        ({"promise": 1.0}, OptionError, "0.5 to 0.99"),
        ({"promise": float("nan")}, OptionError, "0.5 to 0.99"),
        ({"minimum_allowance_c": 6.0}, OptionError, "0 to 5"),
        ({"groups": "nobile", "all_groups": True}, OptionError, "leave one"),
        ({"state": PlantState(in_bud=True)}, OptionError, "name its group"),
        ({"label_c": (10.0, 30.0)}, OptionError, "name its group"),
    ],
)
def test_what_cannot_be_asked_is_said_in_one_sentence(
    asked: dict[str, object], error: type[Exception], said: str
) -> None:
    question = suitability.demo_record(), suitability.demo_place()
    with pytest.raises(error, match=said):
        ask(*question, **asked)  # type: ignore[arg-type]  # wrong on purpose


def test_protection_is_asked_of_one_group_at_one_spot() -> None:
    question = suitability.ask(suitability.demo_record(), suitability.demo_place())
    with pytest.raises(OptionError, match="one group at one spot"):
        suitability.protect(question)


@pytest.mark.slow
def test_cards_a_report_and_a_comparison_answer_the_same_question() -> None:
    """One question, laid out by each; verdicts agree."""
    demo = suitability.demo_record(), suitability.demo_place()
    question = suitability.ask(*demo, "phalaenanthe", spots=["open-porch", "frost-hollow"])
    verdicts = [one.verdict for one in suitability.check(question).results]
    report = suitability.report(question, on="03-10")
    assert [one.verdict for one in report.check.results] == verdicts
    assert [card.verdict for card in suitability.cards(question).cards] == verdicts
    compared = suitability.compare([question, question])
    assert [one.verdict for one in compared.results[:2]] == verdicts
    assert [one.name for one in compared.places] == [demo[1].name, f"{demo[1].name} (2)"]
