"""What the terminal can show."""

import os
import shutil
import sys

__all__ = ["terminal_colour", "terminal_width"]

PIPED_WIDTH = 80


def terminal_width() -> int:
    """Columns of the terminal, 80 where output goes to a file or another program."""
    if not sys.stdout.isatty():
        return PIPED_WIDTH
    return max(PIPED_WIDTH, shutil.get_terminal_size((PIPED_WIDTH, 24)).columns)


def terminal_colour() -> bool:
    """Whether colour may be used; it never carries meaning alone."""
    return (
        sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
    )
