"""Head and end of the text of questions that are not brought through a sheet yet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.answers import words
from suitability.answers.head import head_rows

if TYPE_CHECKING:
    from rich.console import Console

    from suitability.answers.head import Answer
    from suitability.units import TemperatureUnit

__all__ = ["print_closing", "print_head"]


def print_head(console: Console, result: Answer, units: TemperatureUnit) -> None:
    """Place and record."""
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    if result.place.invented:
        console.print(Text(words.INVENTED, style="bold yellow"))
    grid = Table.grid(padding=(0, 2, 0, 0))
    grid.add_column(style="dim", no_wrap=True)
    grid.add_column(overflow="fold")
    for label, text in head_rows(result, units):
        grid.add_row(label, Text(text))
    console.print(grid)
    console.print()


def print_closing(console: Console, result: Answer) -> None:
    """What the answer is worth."""
    from rich.text import Text  # noqa: PLC0415

    console.print(Text(words.CAUTIONS))
    if result.place.invented:
        console.print(Text(words.INVENTED, style="bold yellow"))
