"""Commands take plain words themselves, say what is wrong with one, and group their help."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any, get_args

import pytest
import typer
from typer.core import TyperGroup, TyperOption

from suitability.cli.command import CONVERSIONS, HEADINGS, Command
from suitability.cli.main import COMMANDS, FAMILIES, build_app, main

if TYPE_CHECKING:
    from collections.abc import Iterator


def taken(*arguments: str) -> dict[str, Any]:
    """What a small program with one option or argument of each kind is given."""
    found: dict[str, Any] = {}
    small = typer.Typer()

    @small.command(cls=Command)
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


def test_numbers_are_converted_and_refused() -> None:
    found = taken("here", "--share", " 8e-1", "--seed", "7")
    assert (found["share"], found["seed"]) == (0.8, 7)
    with pytest.raises(typer.BadParameter, match=r"'7\.5' is not a valid integer"):
        taken("here", "--seed", "7.5")
    assert isinstance(found["seed"], int)
    with pytest.raises(typer.BadParameter, match="'much' is not a valid number"):
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


def test_every_parameter_of_ours_is_of_a_kind_that_is_converted_as_declared() -> None:
    """No condition is declared that our own conversion would pass over."""
    number = 0
    for parameter in parameters(typer.main.get_command(build_app())):
        annotation = parameter.type_descriptor.annotation
        assert {bool, *CONVERSIONS} & {annotation, *get_args(annotation)}, parameter
        info = parameter.type_descriptor.parameter_info
        assert (info.parser, info.min, info.max) == (None, None, None), parameter
        assert not any((info.exists, info.resolve_path, info.allow_dash)), parameter
        assert (info.file_okay, info.dir_okay, info.writable) == (True, True, False), parameter
        assert (info.path_type, info.formats) == (None, None), parameter
        number += 1
    assert number > 20


def test_every_option_stands_under_a_heading() -> None:
    """What is declared without one is only the help, the version and the set-up of the shell."""
    bare = set()
    for parameter in parameters(typer.main.get_command(build_app())):
        if isinstance(parameter, TyperOption) and parameter.rich_help_panel not in HEADINGS:
            bare.update(parameter.opts)
    assert bare == {"--version", "--show-completion"}


@pytest.mark.parametrize("words", [[], ["spots"], ["weather"]])
def test_a_name_alone_shows_its_help(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main(words)
    assert left.value.code == 0
    assert "Commands:" in capsys.readouterr().out


@pytest.mark.parametrize("words", [["-h"], ["check", "-h"], ["spots", "fit", "-h"]])
def test_the_short_form_of_help_works_everywhere(
    words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    """It fits a terminal of 80 columns."""
    with pytest.raises(SystemExit) as left:
        main(words)
    assert left.value.code == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("Usage: suitability")
    assert max(map(len, lines)) <= 80


@pytest.mark.parametrize(
    ("typed", "offered"),
    [(("check", "--group"), "--groups"), (("spots", "fit", "x", "--units"), "--unit")],
)
def test_a_name_that_was_an_option_is_none_and_the_near_one_is_offered(
    typed: tuple[str, ...], offered: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """`--groups` and `--unit` have other names now."""
    with pytest.raises(SystemExit) as left:
        main([*typed[:-1], offered, "c"])
    assert left.value.code == 2
    told = capsys.readouterr().err
    assert f"No such option: {offered}" in told
    assert typed[-1] in told


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


def test_commands_without_their_options_are_listed_the_same() -> None:
    """The program's own help, for which no options of commands are read."""
    whole, bare = (
        program.get_help(program.make_context("suitability", [], resilient_parsing=True))
        for program in (typer.main.get_command(build_app(bare=one)) for one in (False, True))
    )
    assert bare == whole


def mistyped(words: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    """The one sentence with which what was typed is refused."""
    with pytest.raises(SystemExit) as left:
        main(words)
    assert left.value.code == 2
    (told,) = capsys.readouterr().err.splitlines()
    return told


@pytest.mark.parametrize(
    "words",
    [
        ["check", "--place", "A", "--place", "B"],
        ["moves", "--place", "A", "--place=B"],
        ["compare", "--collection", "a.toml", "--collection", "b.toml"],
        ["moves", "--demo", "--promise", "0.9", "--promise", "0.5"],
    ],
)
def test_an_option_of_one_value_stands_once(
    words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    """The last would be taken, and the first dropped without a word."""
    assert mistyped(words, capsys).endswith("stands more than once and takes one value.")


@pytest.mark.parametrize("words", [["check", "Den.", "nobile"], ["moves", "--json", "Den. nobile"]])
def test_a_word_without_its_option_is_taken_for_a_group(
    words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    """And refused with the option that would say it."""
    assert mistyped(words, capsys).endswith(
        "belongs to no option; a group is asked of with --group 'Den. nobile'"
    )


def test_options_that_may_be_repeated_and_flags_still_may(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Two groups are two groups; a flag twice says the same as once."""
    asked = ["check", "--demo", "--json", "--json"]
    with pytest.raises(SystemExit) as left:
        main([*asked, "--group", "nobile", "--group", "latouria"])
    assert left.value.code == 0
    results = json.loads(capsys.readouterr().out)["results"]
    assert [found["group"] for found in results] == ["nobile", "latouria"]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("check --demo --at 33.9 -118.4 30", "A position is one word: --at 33.9,-118.4,30."),
        ("check --demo --spot patio", "open-bench (open bench or lawn), open-porch"),
        ("check", "A collection lies here: --collection collection.toml."),
        (
            "check --collection misspelt.toml",
            'spot 1, nmae: found an unknown field; right would be "name"',
        ),
    ],
)
def test_what_a_stranger_types_is_answered_with_what_would_be_right(
    typed: str,
    said: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    (tmp_path / "collection.toml").touch()
    (tmp_path / "misspelt.toml").write_text('[[spot]]\nnmae = "porch"\n', "utf-8")
    monkeypatch.chdir(tmp_path)
    with pytest.raises(SystemExit):
        main(typed.split())
    assert said in capsys.readouterr().err
