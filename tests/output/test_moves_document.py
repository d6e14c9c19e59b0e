"""The JSON document of moves."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from suitability.output.document import render_json

from . import examples, moves_examples
from .closed import check_closed, objects_in

SCHEMA = json.loads(
    (Path(__file__).parents[2] / "docs" / "schema" / "moves.json").read_text("utf-8")
)
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)


def document_of(*moves: Any, **changes: Any) -> dict[str, Any]:
    document: dict[str, Any] = json.loads(render_json(moves_examples.result(*moves, **changes)))
    return document


def test_every_verdict_follows_the_schema() -> None:
    """Moving, staying, indoors, and no verdict, with and without thresholds."""
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    for changes in (
        {},
        {"thresholds": ()},
        {"record": examples.record(station=examples.station())},
    ):
        VALIDATOR.validate(document_of(**changes))


@pytest.mark.slow
def test_the_schema_refuses_missing_and_unknown_keys_everywhere() -> None:
    """Whatever object loses or gains a key, the schema sees it."""
    whole = document_of(record=examples.record(station=examples.station()))
    check_closed(whole, SCHEMA, free="season_days", kinds=15)


def test_every_object_of_the_schema_is_closed() -> None:
    """No key is optional, none is free but the numbers of a reason."""
    for one in objects_in(SCHEMA):
        if one.get("type") == "object" and "properties" in one:
            assert one["additionalProperties"] is False
            assert one["required"] == list(one["properties"])


def test_the_key_of_the_day_in_is_in() -> None:
    """Python's name for it stays inside."""
    (move,) = document_of(moves_examples.moving())["results"]
    assert move["in"]["promised"] == "10-03"
    assert move["season"] == {"out": "06-08", "in": "10-03", "days": 117}
    assert move["by_year"][1]["in"] == "11-21"
    assert not [one for one in objects_in(move) if "inn" in one]


def test_what_is_not_known_is_null() -> None:
    """A group without a verdict has every key, and null where there is nothing to say."""
    move = document_of(moves_examples.unjudged())["results"][0]
    empty = {key for key, value in move.items() if value is None}
    assert empty == {
        "season", "typical_season", "survival_season", "out", "in", "chance", "chance_5_years",
        "chance_10_years", "kept_low", "kept_high", "risk_not_excluded", "carried_nights",
        "decades", "season_too_short", "comfort_season", "grows_from", "heat", "warm_nights",
        "promise_worth", "headroom_c", "tonight_nights",
    }  # fmt: skip
    assert move["years_kept"] == 0
    assert move["survival_seasons"] == []


def test_a_number_that_is_not_finite_becomes_null() -> None:
    """Never NaN, which is no JSON."""
    document = document_of(moves_examples.moving(chance=float("nan")))
    assert document["results"][0]["chance"] is None


def test_place_record_and_settings_are_those_of_check() -> None:
    """One description of them, whichever command is asked."""
    moves, check = document_of(), json.loads(render_json(examples.result()))
    for key in ("place", "record", "settings"):
        assert moves[key] == check[key]


def test_nights_are_365_letters_and_dates_month_and_day() -> None:
    """Each year from its first day on."""
    for move in document_of()["results"]:
        for year in move["by_year"]:
            assert len(year["nights"]) == 365
            assert set(year["nights"]) <= set(".hwdt?")


@pytest.mark.parametrize("text", examples.HOSTILE)
def test_hostile_names_stay_text(text: str) -> None:
    """They are given as they were read, and the document stays one line of ASCII."""
    rendered = render_json(moves_examples.hostile_result(text))
    assert "\n" not in rendered
    assert rendered.isascii()
    assert json.loads(rendered)["results"][0]["group_name"] == text
