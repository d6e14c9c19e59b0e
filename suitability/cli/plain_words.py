"""
Words of the command line that need no conversion are spared it.

Typer hands every option, typed or not, to pydantic, and importing that takes nearly as long as
importing numpy. An option that was left out, a text and a path need none of it; numbers, and what
is to be refused, still go that way, so that every message stays as it is.
"""

import os
from pathlib import Path
from typing import Any, get_args

import typer
from typer.core import TyperArgument, TyperGroup, TyperOption

__all__ = ["spare_conversion"]


def spare_conversion(command: Any) -> None:
    """Let a command and all below it take plain words as they are."""
    for parameter in command.get_params(typer.Context(command)):
        _spare(parameter)
    if isinstance(command, TyperGroup):
        for below in command.commands.values():
            spare_conversion(below)


def _spare(parameter: TyperArgument | TyperOption) -> None:
    """Let one parameter take plain words as they are."""
    convert = parameter.process_value
    annotation = parameter.type_descriptor.annotation
    kind = next(iter(get_args(annotation)), annotation)  # of the items, in a list

    def process(ctx: Any, value: Any) -> Any:
        if parameter.required and not value:
            return convert(ctx, value)
        if value is None:
            return parameter.callback(ctx, parameter, None) if parameter.callback else None
        if parameter.callback is not None:
            return convert(ctx, value)
        source = ctx.get_parameter_source(parameter.name)
        if kind is str or (source is not None and source.name == "DEFAULT"):
            return value
        words = [value] if isinstance(value, str) else value
        if kind is Path and all(map(_may_be_read, words)):
            return Path(value) if isinstance(value, str) else [Path(word) for word in words]
        return convert(ctx, value)

    parameter.process_value = process  # type: ignore[method-assign]  # of this parameter alone


def _may_be_read(word: str) -> bool:
    """Whether a path is free, or there and readable: others are refused by typer."""
    return not os.access(word, os.F_OK) or os.access(word, os.R_OK)
