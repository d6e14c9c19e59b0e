"""What commands are asked: their parameters read into one value, by name."""

from __future__ import annotations

from dataclasses import fields
from importlib import import_module
from typing import Any, get_type_hints

import pytest

from suitability.cli.asking import Wishes, wishes_of

COMMANDS = ("check", "moves", "year", "cards", "report", "compare")
NEEDED = {
    "demo": True, "place": None, "at": None, "record": None, "group": ["nobile"], "groups": None,
    "collection": None, "spot": None, "promise": 0.8, "years": None, "caution": "usual",
    "utc_offset": None, "units": "c", "offline": False,
}  # fmt: skip


def test_parameters_are_read_by_their_names() -> None:
    """What is no wish is left alone, what is not asked has its usual value, `instead` wins."""
    typed: dict[str, Any] = {**NEEDED, "out": "cards.html", "seed": 7}
    wishes = wishes_of(typed, chart="cards.html", group=["callista"])
    assert (wishes.demo, wishes.promise, wishes.seed) == (True, 0.8, 7)
    assert (wishes.chart, wishes.group) == ("cards.html", ["callista"])
    assert (wishes.quality, wishes.roof, wishes.csv) == ("on", False, None)
    assert "seed" in typed


def test_an_option_of_every_command_cannot_be_forgotten() -> None:
    """A command without it fails when it is first called, and is not answered by a default."""
    for name in NEEDED:
        with pytest.raises(TypeError, match=name):
            wishes_of({key: value for key, value in NEEDED.items() if key != name})


@pytest.mark.parametrize("command", COMMANDS)
def test_a_parameter_named_like_a_wish_is_that_wish(command: str) -> None:
    """The same type, and the same default where the wish has one: nothing is read amiss by name."""
    function = getattr(import_module(f"suitability.cli.{command}"), command)
    types, wished = get_type_hints(function), get_type_hints(Wishes)
    shared = types.keys() & wished.keys()
    assert shared >= NEEDED.keys()
    assert {name: types[name] for name in shared} == {name: wished[name] for name in shared}
    defaults = {field.name: field.default for field in fields(Wishes)}
    for name in shared - NEEDED.keys():
        assert function.__kwdefaults__[name] == defaults[name], name
