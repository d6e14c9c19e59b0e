"""
What a page holds in itself: style, scripts, their data, and the policy that allows no others.

The plotting script is shipped with the program (see assets/README.md) and allowed by its hash in
the page's Content-Security-Policy; so are the page's own few lines of script and style. Nothing
else may run or load.
"""

from __future__ import annotations

import base64
import hashlib
import json
import re
import zlib
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path

from suitability.output.look import DARK, FONT, GROUND, INK, LINE, QUIET, STATES

ASSETS = Path(__file__).parent / "assets"
PLOTLY_FILE = ASSETS / "plotly-cartesian-4.1.1.min.js"
DARK_MARK = "#7fd0d8"  # of links and of what has the focus
EMPTY_STYLE = ""  # plotly adds one empty style element and fills it rule by rule


def asset(name: str) -> str:
    """The text of a file among the assets."""
    return (ASSETS / name).read_text(encoding="utf-8")


def shared_script() -> str:
    """What the script of every page does beside drawing its charts, and what these share."""
    drawing = asset("drawing.js").replace("@DARK@", json_in_html(DARK))
    return (
        asset("page.js")
        + asset("unpack.js")
        + drawing.replace("@GROUND@", GROUND).replace("@INK@", INK)
    )


@lru_cache(maxsize=4)  # every page of a run carries the same plotting script
def pack(text: str) -> str:
    """A text as base64 of its zlib stream."""
    return base64.b64encode(zlib.compress(text.encode("utf-8"), 9)).decode("ascii")


def page_policy(scripts: Sequence[str], style: str) -> str:
    """The page's own policy: its scripts and styles by their hashes, nothing else."""
    allowed = " ".join(map(_hash, scripts)) or "'none'"
    return (
        f"default-src 'none'; script-src {allowed}; "
        f"style-src {_hash(style)} {_hash(EMPTY_STYLE)}; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    """A text as a policy names it."""
    digest = hashlib.sha256(text.encode("utf-8")).digest()
    return f"'sha256-{base64.b64encode(digest).decode('ascii')}'"


def json_in_html(data: object) -> str:
    """JSON that no part of can end the script element around it."""
    text = json.dumps(data, allow_nan=False, separators=(",", ":"), sort_keys=True)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def page_style(more: str) -> str:
    """The page's style and what is added to it, by day and on a dark screen."""
    by_day = _fill_colours(asset("page.css") + more)
    return by_day + _dark_style(by_day)


def _dark_style(by_day: str) -> str:
    """Colours where the reader's screen is dark: the page's own, and those of its keys."""
    roots = {
        "ink": DARK[INK],
        "quiet": DARK[QUIET],
        "line": DARK[LINE],
        "ground": DARK[GROUND],
        "paper": DARK["#ffffff"],
        "mark": DARK_MARK,
    }
    variables = " ".join(f"--{name}: {value};" for name, value in roots.items())
    swatches = re.sub(
        "#[0-9a-f]{3,6}",
        lambda found: DARK.get("#ffffff" if found[0] == "#fff" else found[0], found[0]),
        "\n".join(re.findall(r"\.swatch[^{]*\{[^}]*\}", by_day)),
    )
    return (
        "@media screen and (prefers-color-scheme: dark) {\n"
        f":root {{ color-scheme: dark; {variables} }}\n{swatches}\n}}\n"
    )


def _fill_colours(text: str) -> str:
    """A style with the colours of the common look in the place of their names."""
    for name, value in (("INK", INK), ("QUIET", QUIET), ("LINE", LINE), ("GROUND", GROUND)):
        text = text.replace(f"@{name}@", value)
    for state, look in STATES.items():
        text = text.replace(f"@{state}@", look.fill).replace(f"@{state}-hatch@", look.hatch_colour)
    return text.replace("@FONT@", FONT)
