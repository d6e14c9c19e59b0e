"""Words that need no conversion are spared it; all else is told as before."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, get_args

import pytest
import typer
from typer.core import TyperGroup

from suitability.cli.main import COMMANDS, FAMILIES, build_app, main
from suitability.cli.plain_words import spare_conversion

if TYPE_CHECKING:
    from collections.abc import Iterator


def taken(*arguments: str) -> dict[str, Any]:
    """What a small program with one option or argument of each kind is given."""
    found: dict[str, Any] = {}
    small = typer.Typer()

    @small.command()
    def one(  # noqa: PLR0917  (one of each kind)
        word: str,
        text: str | None = None,
        texts: list[str] | None = None,
        file: Path | None = None,
        files: list[Path] | None = None,
        share: float = 0.9,
        seed: int = 20,
        flag: bool = False,  # noqa: FBT001, FBT002  (typer's way)
    ) -> None:
        found.update({name: value for name, value in locals().items() if name != "found"})

    command = typer.main.get_command(small)
    spare_conversion(command)
    command(args=list(arguments), standalone_mode=False)
    return found


def test_what_is_left_out_keeps_its_default() -> None:
    assert taken("here") == {
        "word": "here",
        "text": None,
        "texts": None,
        "file": None,
        "files": None,
        "share": 0.9,
        "seed": 20,
        "flag": False,
    }


def test_texts_and_paths_arrive_as_typer_would_give_them() -> None:
    found = taken(
        *("here", "--text", " 12 ", "--texts", "a", "--texts", "", "--flag"),
        *("--file", "no/such.csv", "--files", __file__, "--files", "b"),
    )
    assert (found["text"], found["texts"], found["flag"]) == (" 12 ", ["a", ""], True)
    assert found["file"] == Path("no/such.csv")
    assert found["files"] == [Path(__file__), Path("b")]


def test_numbers_are_converted_and_refused_by_typer() -> None:
    found = taken("here", "--share", " 8e-1", "--seed", "7")
    assert (found["share"], found["seed"]) == (0.8, 7)
    assert isinstance(found["seed"], int)
    with pytest.raises(typer.BadParameter, match="valid number"):
        taken("here", "--share", "much")


def test_a_missing_argument_is_told() -> None:
    with pytest.raises(typer.TyperException, match="word"):
        taken()


def test_a_path_that_may_not_be_read_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("os.access", lambda _, asked: asked == 0)  # there, but closed
    with pytest.raises(typer.BadParameter, match="not readable"):
        taken("here", "--file", __file__)


def parameters(command: Any) -> Iterator[Any]:
    """All parameters of a command and of those below it."""
    yield from command.params
    if isinstance(command, TyperGroup):
        for below in command.commands.values():
            yield from parameters(below)


def test_no_text_or_path_of_ours_is_declared_with_conditions_that_would_be_skipped() -> None:
    number = 0
    for parameter in parameters(typer.main.get_command(build_app())):
        annotation = parameter.type_descriptor.annotation
        if {str, Path} & {annotation, *get_args(annotation)}:
            number += 1
            info = parameter.type_descriptor.parameter_info
            assert info.parser is None, parameter
            assert not any((info.exists, info.resolve_path, info.allow_dash)), parameter
            assert (info.file_okay, info.dir_okay, info.writable) == (True, True, False), parameter
            assert (info.path_type, info.formats) == (None, None), parameter
    assert number > 20


def test_an_option_out_of_range_is_told_as_before(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(["check", "--demo", "--seed", "x"])
    assert stopped.value.code == 2
    assert "'--seed'" in capsys.readouterr().err


def test_a_command_that_is_asked_for_is_loaded_alone(capsys: pytest.CaptureFixture[str]) -> None:
    """Its help is the same as with all of them; help and unknown words know every command."""
    every = typer.main.get_command(build_app())
    assert isinstance(every, TyperGroup)
    assert set(every.commands) == {*COMMANDS, *FAMILIES}
    for name in every.commands:
        alone = typer.main.get_command(build_app(name))
        assert isinstance(alone, TyperGroup)
        assert set(alone.commands) == {name}
        assert alone.commands[name].help == every.commands[name].help
    with pytest.raises(SystemExit) as left:
        main(["chek", "--demo"])
    assert left.value.code == 2
    assert "chek" in capsys.readouterr().err
