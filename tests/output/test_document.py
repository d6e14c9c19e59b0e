"""The JSON document of `check --json`."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import Struct
from msgspec.structs import replace

from suitability.output.document import render_json
from suitability.weather.record import Origin

from . import examples

DOCS = Path(__file__).parents[2] / "docs"
SCHEMA: dict[str, Any] = json.loads((DOCS / "schema" / "check.json").read_text("utf-8"))


class Anything(Struct):
    """A result without a contract."""

    values: dict[str, object]


def check_against_schema(document: object) -> None:
    checker = jsonschema.Draft202012Validator.FORMAT_CHECKER
    jsonschema.Draft202012Validator(SCHEMA, format_checker=checker).validate(document)


def document_of(result: Struct) -> dict[str, Any]:
    """What a program reads."""
    document: dict[str, Any] = json.loads(render_json(result))
    return document


def objects_of(schema: Any) -> list[dict[str, Any]]:
    """Every object description in a schema."""
    found = []
    if isinstance(schema, dict):
        if isinstance(schema.get("properties"), dict):
            found.append(schema)
        for value in schema.values():
            found += objects_of(value)
    elif isinstance(schema, list):
        for value in schema:
            found += objects_of(value)
    return found


def test_schema_is_a_valid_one() -> None:
    """The schema itself keeps the rules of draft 2020-12."""
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


def test_documents_keep_the_schema() -> None:
    """A result with every verdict, a station and without findings keep the schema."""
    for result in (
        examples.result(),
        examples.result(record=examples.record(station=examples.station())),
        replace(examples.result(), results=()),
    ):
        check_against_schema(document_of(result))


def test_schema_allows_no_missing_or_further_key() -> None:
    """Every object names all its keys as required and forbids others."""
    described = objects_of(SCHEMA)
    assert len(described) > 10
    for one in described:
        assert one["additionalProperties"] is False
        assert sorted(one["required"]) == sorted(one["properties"])


@pytest.mark.parametrize("key", ["margin_c", "verdict", "by_month", "survival_season"])
def test_schema_refuses_a_result_without_a_key(key: str) -> None:
    """The schema notices a key that is left out."""
    document = document_of(examples.result())
    del document["results"][0][key]
    with pytest.raises(jsonschema.ValidationError):
        check_against_schema(document)


def test_schema_refuses_eleven_months_and_a_wrong_date() -> None:
    """The schema notices a short year and a day that no month has."""
    document = document_of(examples.result())
    document["results"][0]["hours_below"]["months"].pop()
    with pytest.raises(jsonschema.ValidationError):
        check_against_schema(document)
    document = document_of(examples.result())
    document["results"][1]["season"]["out"] = "13-01"
    with pytest.raises(jsonschema.ValidationError):
        check_against_schema(document)


def test_unknown_is_null_and_never_zero() -> None:
    """What was not observed stays null."""
    judged, unjudged = document_of(examples.result(examples.seasonal(), examples.no_verdict()))[
        "results"
    ]
    assert judged["hours_below"]["months"][11] is None
    assert judged["by_month"][1]["hours_below"] is None
    assert judged["by_month"][1]["hours_valid"] == 0
    assert unjudged["season"] is None
    assert unjudged["hours_below"] == {"months": [None] * 12, "year": None}
    assert unjudged["hours_below_rest"] is None


def test_not_a_number_becomes_null() -> None:
    """Even a nan that slipped into a result leaves as null."""
    finding = examples.seasonal(margin_c=float("nan"), headroom_c=float("inf"), stability=-0.0)
    document = document_of(examples.result(finding))["results"][0]
    assert document["margin_c"] is None
    assert document["headroom_c"] is None
    assert str(document["stability"]) == "0.0"


def test_raw_counts_keep_six_decimals() -> None:
    """Raw rows are exact as far as anyone compares them; climatology keeps three decimals."""
    document = document_of(examples.result(examples.seasonal()))["results"][0]
    assert document["by_month"][0]["hours_below"] == 400.123457
    assert document["hours_below"]["months"][0] == 400.04


def test_season_uses_the_word_in() -> None:
    """The day of carrying in stands under "in"."""
    document = document_of(examples.result(examples.seasonal()))["results"][0]
    assert document["season"] == {"out": "06-01", "in": "10-08", "days": 129}
    assert document["survival_seasons"] == [document["survival_season"]]


def test_every_origin_is_counted() -> None:
    """Origins without hours are 0, for they were counted."""
    origin = document_of(examples.result())["record"]["origin"]
    assert list(origin) == [one.name.lower() for one in Origin]
    assert origin["observed"] == 104_706
    assert origin["model"] == 0


def test_reason_numbers_keep_their_names() -> None:
    """A reason's numbers are an object by name."""
    reason = document_of(examples.result(examples.seasonal()))["results"][0]["reason"]
    assert reason["numbers"] == {"all_year_share": 0.0, "years_usable": 11.0}


def test_text_is_one_ascii_line_and_the_same_twice() -> None:
    """One document on one line, byte for byte the same for the same result."""
    first = render_json(examples.result(place=examples.place(name="Ångström")))
    again = render_json(examples.result(place=examples.place(name="Ångström")))
    assert first == again
    assert first.isascii()
    assert "\n" not in first
    assert json.loads(first)["place"]["name"] == "Ångström"


@pytest.mark.parametrize("text", examples.HOSTILE)
def test_hostile_text_passes_unchanged(text: str) -> None:
    """JSON carries any text as it is, escaped."""
    document = document_of(examples.hostile_result(text))
    check_against_schema(document)
    assert document["place"]["name"] == text
    assert document["results"][0]["group"] == text
    assert document["record"]["notes"] == [text]


@given(
    st.one_of(st.none(), st.floats(width=32)),
    st.lists(st.one_of(st.none(), st.floats(min_value=0, max_value=744)), min_size=12, max_size=12),
)
def test_any_numbers_make_a_document(margin: float | None, hours: list[float | None]) -> None:
    """No number in a result can break the document."""
    finding = examples.seasonal(margin_c=margin, **examples.below(tuple(hours)))
    document = document_of(examples.result(finding))
    check_against_schema(document)
    for shown, given_hours in zip(
        document["results"][0]["hours_below"]["months"], hours, strict=True
    ):
        assert (shown is None) == (given_hours is None)


@given(
    st.dictionaries(
        st.text(),
        st.one_of(st.floats(allow_nan=False, allow_infinity=False), st.text(), st.none()),
    )
)
def test_a_document_reads_back_as_it_was_and_is_plain(values: dict[str, object]) -> None:
    """Any number and any character, written with ASCII alone."""
    text = render_json(Anything(values=values))
    assert text.isascii()
    assert "\n" not in text
    assert json.loads(text)["values"] == values


def test_what_is_no_number_is_found_by_the_tests() -> None:
    with pytest.raises(ValueError, match="not JSON compliant"):
        render_json(Anything(values={"hours": float("nan")}))
