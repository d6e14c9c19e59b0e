"""Options are declared once: what they are called, take and mean is the same in every command."""

import inspect
from collections.abc import Callable
from typing import Annotated, Any

import pytest
import typer
from msgspec import Struct
from msgspec.structs import fields
from typer.core import TyperOption

from suitability.cli import options
from suitability.cli.command import Command
from suitability.cli.laying import Only, Told, Without, lay_out
from suitability.cli.main import build_app

from .test_command import parameters

CLASSES = (
    options.Where,
    options.Spots,
    options.Plants,
    options.Sure,
    options.Fetched,
    options.Logger,
    options.Output,
)
OTHERWISE = {
    "--on",  # a day of every year; the one day of a diary or outlook
    "--name",  # of the one record that is imported; of each place that is compared
    "--out",  # a page; a grid of every cell
    "--place",  # one is asked about; several are compared
    "--seed",  # of the resampling of years; of waits between tries where years are fetched
    "--station",  # one record is answered from one; several are compared, or pruned at once
}


class Pair(Struct, frozen=True, kw_only=True):
    """Two options."""

    one: Annotated[str, typer.Option("--one", help="The first.")] = "a"
    two: Annotated[int, typer.Option("--two", help="The second.")] = 2


def command_of(function: Callable[..., None]) -> Any:
    """The command that typer makes of a function."""
    app = typer.Typer(add_completion=False)
    app.command(cls=Command)(lay_out(function))
    return typer.main.get_command(app)


def test_a_command_is_handed_the_filled_class() -> None:
    """Fields that are left out on the command line keep their defaults."""
    found: list[Any] = []

    def ask(name: str, *, pair: Pair, flag: bool = False) -> None:
        found.append((name, pair, flag))

    command_of(ask)(args=["x", "--two", "7", "--flag"], standalone_mode=False)
    assert found == [("x", Pair(one="a", two=7), True)]


@pytest.mark.parametrize("mark", [Only("one"), Without("two")])
def test_a_command_may_offer_fewer(mark: object) -> None:
    """What is not offered is no option, and has its default."""
    found: list[Pair] = []

    def ask(*, pair: Pair) -> None:
        found.append(pair)

    ask.__annotations__ |= {"pair": Annotated[Pair, mark, Told(one="Another.")]}
    command = command_of(ask)
    command(args=["--one", "b"], standalone_mode=False)
    assert found == [Pair(one="b")]
    with pytest.raises(typer.TyperException, match="No such option: --two"):
        command(args=["--two", "3"], standalone_mode=False)
    assert [one.help for one in command.params][:-1] == ["Another."]  # the last is --verbose
    assert inspect.signature(lay_out(ask)).parameters["one"].default == "a"


def test_no_option_is_declared_twice_in_the_classes() -> None:
    names = [field.name for kind in CLASSES for field in fields(kind)]
    assert len(names) == len(set(names))


def test_an_option_takes_the_same_kind_of_thing_in_every_command() -> None:
    """Type, form of its value and default; the words of help may say more of one command."""
    seen: dict[str, set[Any]] = {}
    for parameter in parameters(typer.main.get_command(build_app())):
        if isinstance(parameter, TyperOption):
            about = (parameter.type_descriptor.annotation, parameter.metavar, parameter.default)
            seen.setdefault(parameter.opts[-1], set()).add(repr(about))
    assert len(seen) > 40
    assert {name for name, about in seen.items() if len(about) > 1} == OTHERWISE
