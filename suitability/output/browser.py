"""
The process of its own in which a browser draws; `images` starts it, and it imports nothing of ours.

The browser driver leaves threads and a browser behind where Ctrl-C finds it at work. Here nothing
of that reaches the process that asked: this one stands outside the terminal's reach, and ends with
its browser as soon as its standard input does, however the asker came to its end.
"""

from __future__ import annotations

import asyncio
import json
import os
import signal
import sys
import threading
from contextlib import suppress
from pathlib import Path
from typing import Any

ASKED, REASON = "asked.json", "reason.txt"  # in the folder that both processes share


def draw(folder: Path) -> None:
    """
    Draw what the folder asks for.

    Parameters
    ----------
    folder
        Holds `asked.json`: `plotly`, the path of the plotting script; `longest_s`, seconds for one
        picture; `pictures`, each with `figure` and `options` (format, width, height, scale). What
        is drawn is put beside it as `0`, `1` and so on, and `reason.txt` names the error that
        stopped the browser, or nothing.
    """
    asked = json.loads((folder / ASKED).read_text(encoding="utf-8"))
    browsers: list[Any] = []
    threading.Thread(target=_end_with_asker, args=(browsers,), daemon=True).start()
    from kaleido import errors  # noqa: PLC0415  (the asker may end while it is imported)

    reason = ""
    try:
        pictures = asyncio.run(_draw(asked, browsers))
    except (
        errors.BrowserClosedError,
        errors.BrowserFailedError,
        errors.ChromeNotFoundError,
        errors.JavascriptError,
        errors.KaleidoError,
        asyncio.CancelledError,  # where the time ran out while the browser was closing
        OSError,  # TimeoutError and a channel that closed among them
    ) as stopped:
        reason = type(stopped).__name__
    else:
        for number, picture in enumerate(pictures):
            (folder / str(number)).write_bytes(picture)
    (folder / REASON).write_text(reason, encoding="utf-8")


def _end_with_asker(browsers: list[Any]) -> None:
    """Wait for the end of standard input, then end the browser and this process at once."""
    while os.read(0, 1):
        pass
    for browser in browsers:
        started = getattr(browser, "subprocess", None)  # a group of its own; None before it starts
        if started is not None:
            with suppress(OSError):
                _kill(started.pid)
    os._exit(1)  # a browser that is just starting finds its pipe closed, and ends


def _kill(leader: int) -> None:
    """End a process at once, with its group where the system has such."""
    if sys.platform == "win32":
        os.kill(leader, signal.SIGTERM)
    else:
        os.killpg(leader, signal.SIGKILL)


async def _draw(asked: dict[str, Any], browsers: list[Any]) -> list[bytes]:
    """All pictures in one browser, one after another."""
    from kaleido import Kaleido  # noqa: PLC0415

    pictures, longest_s = asked["pictures"], asked["longest_s"]
    async with asyncio.timeout(longest_s * (1 + len(pictures))):
        browsers.append(Kaleido(n=1, timeout=longest_s, plotlyjs=asked["plotly"], mathjax=False))
        async with browsers[0] as browser:
            return [
                await browser.calc_fig(picture["figure"], opts=picture["options"])
                for picture in pictures
            ]


if __name__ == "__main__":
    draw(Path(sys.argv[1]))
