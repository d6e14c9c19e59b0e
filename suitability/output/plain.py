"""Text tables without decoration: plain hyphens, no markup, the same through a pipe."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table


def open_console(width: int, *, colour: bool) -> Console:
    """A console that writes into a string, whatever the terminal around."""
    from rich.console import Console  # noqa: PLC0415  (only where tables are drawn)

    return Console(
        file=io.StringIO(),
        width=width,
        force_terminal=colour,
        color_system="standard" if colour else None,
        no_color=not colour,
        legacy_windows=False,
        highlight=False,
        markup=False,
        emoji=False,
        _environ={},
    )


def printed_text(console: Console) -> str:
    """What was printed, without blanks at line ends."""
    assert isinstance(console.file, io.StringIO)
    lines = console.file.getvalue().split("\n")
    return "\n".join(line.rstrip() for line in lines).strip("\n")


def plain_table(title: str, gap: int = 2) -> Table:
    """An empty table ruled with plain hyphens, its columns `gap` blanks apart."""
    from rich.box import Box  # noqa: PLC0415
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    plain = Box("    \n    \n -- \n    \n    \n    \n    \n    \n", ascii=True)
    return Table(
        title=Text(title) if title else None,
        title_justify="left",
        title_style="bold",
        box=plain,
        padding=(0, gap - 1, 0, 0),
        show_edge=False,
        pad_edge=False,
        header_style="",
    )
