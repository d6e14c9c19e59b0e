"""The program as tests of commands run it: in this process."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import jsonschema
import pytest

from suitability.cli.main import main

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["LOS_ANGELES", "keeps_schema", "one_sentence", "refused", "running"]

SCHEMAS = Path(__file__).parents[2] / "docs" / "schema"
LOS_ANGELES = (
    "--record",
    str(Path(__file__).parents[1] / "data" / "los_angeles.hourly"),
    *("--at", "33.938,-118.389,30"),
)


def running(*command: str) -> Callable[..., tuple[int, str, str]]:
    """A runner of one command: exit code, standard output and standard error of its arguments."""

    def run(capsys: pytest.CaptureFixture[str], *arguments: object) -> tuple[int, str, str]:
        with pytest.raises(SystemExit) as left:
            main([*command, *map(str, arguments)])
        shown = capsys.readouterr()
        code = left.value.code
        return (code if isinstance(code, int) else 1), shown.out, shown.err

    return run


def one_sentence(error: str) -> str:
    """The message of a mistake, which must be a single line without a traceback."""
    (line,) = error.strip().splitlines()
    assert line.startswith("suitability: ")
    return line


def refused(shown: tuple[int, str, str], code: int, told: str) -> None:
    """Nothing, if a run ended with this code, and said so much in one sentence and no more."""
    left, out, error = shown
    assert (left, out) == (code, ""), error
    assert told in one_sentence(error)


def keeps_schema(document: object, name: str) -> None:
    """Nothing, if a document keeps the schema of this name; `tests/structure` checks the schema."""
    _validator(name).validate(document)


@cache
def _validator(name: str) -> jsonschema.Draft202012Validator:
    schema = json.loads((SCHEMAS / f"{name}.json").read_text("utf-8"))
    checker = jsonschema.Draft202012Validator.FORMAT_CHECKER
    return jsonschema.Draft202012Validator(schema, format_checker=checker)
