"""
Commands whose options take plain words as they are, and whose help is grouped under headings.

Typer hands every option, typed or not, to pydantic, and importing that takes nearly as long as
importing numpy. Our options are texts, paths, numbers and flags, which need none of it.
"""

import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, get_args

import typer
from typer.core import TyperArgument, TyperCommand, TyperGroup, TyperOption

HEADINGS = (  # of help, in this order; what has none of them stands under the last
    "Where",
    "What",
    "How sure",
    "Weather",
    "Thermometer",
    "Enclosure",
    "Output",
    "Options",
)


def _whole(word: str) -> int:
    try:
        return int(word)
    except ValueError:
        raise typer.BadParameter(f"{word!r} is not a valid integer.") from None


def _number(word: str) -> float:
    try:
        return float(word)
    except ValueError:
        raise typer.BadParameter(f"{word!r} is not a valid number.") from None


def _path(word: str) -> Path:
    if os.access(word, os.F_OK) and not os.access(word, os.R_OK):
        raise typer.BadParameter(f"{word!r} is not readable.")
    return Path(word)


CONVERSIONS: dict[Any, Callable[[str], Any]] = {
    str: str,
    int: _whole,
    float: _number,
    Path: _path,
}


class PlainOption(TyperOption):
    """An option that takes words as they are typed."""

    def process_value(self, ctx: Any, value: Any) -> Any:
        """The value of its kind; None where nothing was typed and there is no default."""
        if _is_missing(self, value):
            return super().process_value(ctx, value)
        return _taken(self, ctx, value)


class PlainArgument(TyperArgument):
    """An argument that takes words as they are typed."""

    def process_value(self, ctx: Any, value: Any) -> Any:
        """The value of its kind; None where nothing was typed and there is no default."""
        if _is_missing(self, value):
            return super().process_value(ctx, value)
        return _taken(self, ctx, value)


def _is_missing(parameter: TyperOption | TyperArgument, value: Any) -> bool:
    """Whether something has to be typed and was not, which typer tells."""
    return parameter.required and not value


def _taken(parameter: TyperOption | TyperArgument, ctx: Any, value: Any) -> Any:
    """A value of the kind that a parameter is declared to have."""
    kind = parameter.type_descriptor.annotation
    kind = next(iter(get_args(kind)), kind)  # of the items, in a list
    convert = CONVERSIONS.get(kind)
    try:
        if convert is None or value is None:
            pass  # a flag, or nothing
        elif isinstance(value, str):
            value = convert(value)
        elif isinstance(value, (list, tuple)):
            value = [convert(word) for word in value]
    except typer.BadParameter as error:
        raise typer.BadParameter(error.message, ctx=ctx, param=parameter) from None
    return value if parameter.callback is None else parameter.callback(ctx, parameter, value)


def _plain(parameter: Any) -> Any:
    """A parameter that typer has made, as one of ours with all that was declared."""
    kind = PlainOption if isinstance(parameter, TyperOption) else PlainArgument
    own = kind.__new__(kind)
    vars(own).update(vars(parameter))
    return own


def _write_help(command: Any, ctx: Any, formatter: Any) -> None:
    """Arguments, then options under their headings."""
    found: dict[str, list[tuple[str, str]]] = {"Arguments": []}
    found |= {heading: [] for heading in HEADINGS}
    for parameter in command.get_params(ctx):
        row = parameter.get_help_record(ctx)
        if row is None:
            continue
        usual = "Arguments" if isinstance(parameter, TyperArgument) else HEADINGS[-1]
        found[getattr(parameter, "rich_help_panel", None) or usual].append(row)
    for heading, rows in found.items():
        if rows:
            with formatter.section(heading):
                formatter.write_dl(rows)


class Command(TyperCommand):
    """A command with plain parameters and help under headings."""

    def __init__(self, *args: Any, params: Sequence[Any] | None = None, **settings: Any) -> None:
        super().__init__(*args, params=[_plain(one) for one in params or ()], **settings)
        self.own_help: Any = None

    def get_help_option(self, ctx: Any) -> Any:
        """The option --help, one of ours too."""
        if self.own_help is None:
            self.own_help = _plain(super().get_help_option(ctx))
        return self.own_help

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Read what was typed; an option of one value that stands twice is refused.

        The parser would take the last of them, and drop a place or a date without a word. A word
        that belongs to no option is likely a group.
        """
        _, extra, typed = self.make_parser(ctx).parse_args(args=list(args))
        if extra and any("--group" in parameter.opts for parameter in self.get_params(ctx)):
            import shlex

            word = shlex.quote(" ".join(extra))
            ctx.fail(f"{word} belongs to no option; a group is asked of with --group {word}")
        for parameter in self.get_params(ctx):
            if not isinstance(parameter, TyperOption) or parameter.multiple or parameter.is_flag:
                continue
            if typed.count(parameter) > 1:
                ctx.fail(f"{parameter.opts[0]} stands more than once and takes one value.")
        return super().parse_args(ctx, args)

    def format_options(self, ctx: Any, formatter: Any) -> None:
        """Write the options under their headings."""
        _write_help(self, ctx, formatter)


class Group(TyperGroup):
    """A family of commands with plain parameters and help under headings."""

    def __init__(self, *args: Any, params: Sequence[Any] | None = None, **settings: Any) -> None:
        super().__init__(*args, params=[_plain(one) for one in params or ()], **settings)
        self.own_help: Any = None

    def get_help_option(self, ctx: Any) -> Any:
        """The option --help, one of ours too."""
        if self.own_help is None:
            self.own_help = _plain(super().get_help_option(ctx))
        return self.own_help

    def format_options(self, ctx: Any, formatter: Any) -> None:
        """Write the options under their headings, and the commands."""
        _write_help(self, ctx, formatter)
        self.format_commands(ctx, formatter)
