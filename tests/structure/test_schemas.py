"""The schemas in docs are those of the result types, and the types can be read at run time."""

from __future__ import annotations

import json
import re
from importlib import import_module
from inspect import get_annotations
from typing import Any, get_args, get_type_hints

import jsonschema
import pytest
from msgspec import Struct

from suitability.output.schemas import DOCUMENTS, render_reference, render_schema

from .sources import ROOT

SCHEMAS = ROOT / "docs" / "schema"


def root_of(name: str) -> type[Struct]:
    """The type whose value a document is."""
    module, kind = DOCUMENTS[name].split(":")
    found: type[Struct] = getattr(import_module(module), kind)
    return found


def structs_in(annotation: Any) -> set[type[Struct]]:
    """Structs that a type is made of, itself among them."""
    if isinstance(annotation, type) and issubclass(annotation, Struct):
        hints = get_type_hints(annotation, include_extras=True)
        return {annotation}.union(*(structs_in(hint) for hint in hints.values()))
    return set().union(*(structs_in(part) for part in get_args(annotation)))


def test_every_schema_has_its_document() -> None:
    """No schema without a type, and none is missing."""
    assert {path.stem for path in SCHEMAS.glob("*.json")} == set(DOCUMENTS)


@pytest.mark.parametrize("name", DOCUMENTS)
def test_the_schema_is_that_of_the_type(name: str) -> None:
    """`python -m suitability.output.schemas docs` writes them anew."""
    text = render_schema(name)
    assert (SCHEMAS / f"{name}.json").read_text("utf-8") == text
    jsonschema.Draft202012Validator.check_schema(json.loads(text))


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_type_of_a_result_resolves(name: str) -> None:
    """Its root has a version first, and nothing is hidden from a reader at run time."""
    root = root_of(name)
    assert root.__struct_fields__[0] == "schema_version"
    for kind in structs_in(root):
        assert not any(isinstance(one, str) for one in get_annotations(kind).values()), kind


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_object_is_closed(name: str) -> None:
    """All keys are there and no others, but where numbers stand by names that are free."""
    schema = json.loads(render_schema(name))
    for part in [schema, *schema.get("$defs", {}).values()]:
        if "properties" in part:
            assert part["additionalProperties"] is False
            assert part["required"] == list(part["properties"])


def test_the_page_of_all_keys_is_that_of_the_types() -> None:
    """Written by the program, so that no key is explained in two places."""
    page = (ROOT / "docs" / "fields.md").read_text("utf-8")
    assert page == render_reference()
    commands = re.findall(r"^\| \[.*?\| `(suitability(?: [a-z]+)+)", page, re.MULTILINE)
    assert len(commands) == len(DOCUMENTS)
    there = (ROOT / "docs" / "commands.md").read_text("utf-8")
    assert [one for one in commands if f"\n## `{one}`\n" not in there] == []
