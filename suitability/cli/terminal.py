"""What the terminal can show, and how commands speak to it."""

import os
import shutil
import sys
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from msgspec import Struct

    from suitability.answers.sheet import Sheet

__all__ = ["print_json", "print_sheet", "say", "terminal_colour", "terminal_width"]

PIPED_WIDTH = 80


def terminal_width() -> int:
    """Columns of the terminal, 80 where output goes to a file or another program."""
    if not _is_terminal():
        return PIPED_WIDTH
    return max(PIPED_WIDTH, shutil.get_terminal_size((PIPED_WIDTH, 24)).columns)


def terminal_colour() -> bool:
    """Whether colour may be used; it never carries meaning alone."""
    return _is_terminal() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def _is_terminal() -> bool:
    """Whether a person reads standard output; it may also have been closed."""
    return sys.stdout is not None and sys.stdout.isatty()


def print_json(result: "Struct") -> None:
    """The JSON document of a result on standard output."""
    from suitability.output.document import render_json

    typer.echo(render_json(result))


def print_sheet(sheet: "Sheet") -> None:
    """A sheet on standard output, as wide as the terminal."""
    from suitability.output.terminal import render_terminal

    typer.echo(render_terminal(sheet, width=terminal_width(), colour=terminal_colour()))


def say(*sentences: str) -> None:
    """What is to be told, on standard error."""
    for sentence in sentences:
        if sentence:
            typer.echo(f"suitability: {sentence}", err=True)
