"""
Charts as pictures, drawn by a browser on this computer: PNG or SVG, without a network.

The package kaleido drives Chromium; neither is needed by anything else. The browser draws with the
plotting script that the pages hold, and loads nothing. Both run in a process of their own
(`browser`), which this one can end at any moment.
"""

from __future__ import annotations

import importlib.util
import json
import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from msgspec import Struct

from suitability.errors import OutputError
from suitability.output import browser
from suitability.output.embedding import PLOTLY_FILE

WIDTH_PX, HEIGHT_PX = 1100, 420  # the height where a figure does not say its own
SHARPNESS = 2.0  # pixels of a PNG for each of the figure's
LONGEST_S = 60.0  # of drawing one picture
ENDING_S = 10.0  # in which the drawing process must be gone
HOW = "; install Chromium or Chrome, or name it in BROWSER_PATH. Pages and tables need neither."


class NamedFigure(Struct, frozen=True, kw_only=True):
    """A chart as plain values, and the short name that goes into the name of its file."""

    name: str
    figure: dict[str, Any]


def check_drawing() -> None:
    """
    Nothing if pictures can be expected to be drawn; called before a long computation.

    Raises
    ------
    OutputError
        The package or the browser is missing.
    """
    if importlib.util.find_spec("kaleido") is None:
        raise OutputError(
            "--figure: pictures need the package kaleido, which is not installed; install "
            "suitability with its extra 'figures'. Pages and tables do not need it."
        )
    from choreographer.browsers.chromium import Chromium  # noqa: PLC0415  (only for pictures)

    found = Chromium.find_browser(skip_local=False)
    if found is None:
        raise OutputError(f"--figure: no browser was found to draw pictures{HOW}")
    if not Path(found).is_file():
        raise OutputError(f"--figure: the browser {found} does not exist{HOW}")


def render_images(figures: Sequence[NamedFigure], form: str) -> list[tuple[str, bytes]]:
    """
    Each figure's name and its picture.

    Parameters
    ----------
    form
        "png" or "svg".

    Raises
    ------
    OutputError
        The package or the browser is missing, or the browser fails or takes too long.
    """
    check_drawing()
    from plotly.utils import PlotlyJSONEncoder  # noqa: PLC0415  (heavy, only for pictures)

    asked = {
        "plotly": str(PLOTLY_FILE),
        "longest_s": LONGEST_S,
        "pictures": [_asked(named, form) for named in figures],
    }
    with TemporaryDirectory(prefix="suitability-", ignore_cleanup_errors=True) as name:
        folder = Path(name)
        words = json.dumps(asked, cls=PlotlyJSONEncoder)
        (folder / browser.ASKED).write_text(words, encoding="utf-8")
        reason = _let_draw(folder, LONGEST_S * (1 + len(figures)) + ENDING_S)
        if reason == "ChromeNotFoundError":
            raise OutputError(f"--figure: no browser was found to draw pictures{HOW}")
        if reason:
            raise OutputError(
                f"--figure: the browser could not draw within {LONGEST_S:.0f} s ({reason}); try "
                "again, with fewer groups, or name another browser in BROWSER_PATH. Pages and "
                "tables need none."
            )
        return [
            (named.name, (folder / str(number)).read_bytes())
            for number, named in enumerate(figures)
        ]


def _asked(named: NamedFigure, form: str) -> dict[str, Any]:
    """One figure and how it is to be drawn."""
    values = named.figure
    options = {
        "format": form,
        "width": WIDTH_PX,
        "height": values["layout"].get("height") or HEIGHT_PX,
        "scale": SHARPNESS if form == "png" else 1.0,
    }
    return {"figure": values, "options": options}


def _let_draw(folder: Path, patience_s: float) -> str:
    """
    Have a process of its own draw what the folder asks for.

    It begins a session, so that Ctrl-C reaches this process alone, and it ends with its browser
    when its standard input is closed here.

    Returns
    -------
    str
        Name of what stopped the browser; empty if nothing did.
    """
    said = folder / "said.txt"
    with said.open("wb") as errors:
        process = subprocess.Popen(  # noqa: S603
            [sys.executable, "-P", browser.__file__, str(folder)],
            stdin=subprocess.PIPE,
            stdout=subprocess.DEVNULL,
            stderr=errors,
            env=os.environ | {"TMPDIR": str(folder)},  # so that what it leaves goes with the folder
            start_new_session=True,
        )
    try:
        code = process.wait(patience_s)
    except subprocess.TimeoutExpired:
        return "TimeoutError"
    finally:
        _end(process)
    if code < 0:
        return f"ended by signal {-code}"
    if code > 0:  # a mistake of ours: its traceback is told
        raise RuntimeError(said.read_text(encoding="utf-8", errors="replace"))
    return (folder / browser.REASON).read_text(encoding="utf-8")


def _end(process: subprocess.Popen[bytes]) -> None:
    """Let the drawing process end, if it has not; with force if it tarries."""
    assert process.stdin is not None
    process.stdin.close()
    try:
        process.wait(ENDING_S)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
