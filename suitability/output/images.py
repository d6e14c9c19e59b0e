"""
Charts as pictures, drawn by a browser on this computer: PNG or SVG, without a network.

The package kaleido drives Chromium; neither is needed by anything else. The browser draws with the
plotting script that the pages hold, and loads nothing.
"""

from __future__ import annotations

import asyncio
import importlib.util
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from suitability.errors import OutputError
from suitability.output.page import PLOTLY_FILE

if TYPE_CHECKING:
    from collections.abc import Sequence

    from plotly.graph_objects import Figure

__all__ = ["NamedFigure", "check_drawing", "render_images"]

WIDTH_PX, HEIGHT_PX = 1100, 420  # the height where a figure does not say its own
SHARPNESS = 2.0  # pixels of a PNG for each of the figure's
LONGEST_S = 60.0  # of drawing one picture
HOW = "; install Chromium or Chrome, or name it in BROWSER_PATH. Pages and tables need neither."


class NamedFigure(Struct, frozen=True, kw_only=True):
    """A chart and the short name that goes into the name of its file."""

    name: str
    figure: Figure


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
    from kaleido import errors  # noqa: PLC0415  (only for pictures)

    try:
        return asyncio.run(_draw(figures, form))
    except errors.ChromeNotFoundError:
        raise OutputError(f"--figure: no browser was found to draw pictures{HOW}") from None
    except (
        errors.BrowserClosedError,
        errors.BrowserFailedError,
        errors.JavascriptError,
        errors.KaleidoError,
        asyncio.CancelledError,  # where the time ran out while the browser was closing
        OSError,  # TimeoutError and a channel that closed among them
    ) as reason:
        raise OutputError(
            f"--figure: the browser could not draw within {LONGEST_S:.0f} s "
            f"({type(reason).__name__}); try again, with fewer groups, or name another browser in "
            "BROWSER_PATH. Pages and tables need none."
        ) from reason


async def _draw(figures: Sequence[NamedFigure], form: str) -> list[tuple[str, bytes]]:
    """All pictures in one browser, one after another."""
    from kaleido import Kaleido  # noqa: PLC0415

    drawn = []
    async with asyncio.timeout(LONGEST_S * (1 + len(figures))):
        async with Kaleido(
            n=1, timeout=LONGEST_S, plotlyjs=str(PLOTLY_FILE), mathjax=False
        ) as browser:
            for named in figures:
                values = named.figure.to_dict()
                height = values["layout"].get("height") or HEIGHT_PX
                options = {"format": form, "width": WIDTH_PX, "height": height, "scale": 1.0}
                if form == "png":
                    options["scale"] = SHARPNESS
                drawn.append((named.name, await browser.calc_fig(values, opts=options)))
    return drawn
