"""What travels compressed comes out of the page's own script as it went in."""

from __future__ import annotations

import base64
import random
import zlib
from typing import TYPE_CHECKING

import pytest

from suitability.output.embedding import PLOTLY_FILE, asset

if TYPE_CHECKING:
    from selenium.webdriver import Chrome

pytestmark = pytest.mark.slow

TEXTS = {
    "nothing": "",
    "one letter": "a",
    "the same again and again": "abc" * 1000,
    "letters of several bytes": "é✓ ☃ °C" * 50,
    "nothing that repeats": "".join(random.Random(1).choices("0123456789abcdef", k=200_000)),  # noqa: S311  (no secret)
    "the plotting script": PLOTLY_FILE.read_text("utf-8"),
}


@pytest.mark.parametrize("level", [0, 1, 9])  # stored, with usual codes, with codes of its own
@pytest.mark.parametrize("name", TEXTS)
def test_a_zlib_stream_comes_out_as_it_went_in(name: str, level: int, chromium: Chrome) -> None:
    """Python's zlib packs, the script unpacks (RFC 1950 and 1951)."""
    packed = base64.b64encode(zlib.compress(TEXTS[name].encode(), level)).decode("ascii")
    script = f"{asset('unpack.js')}; return unpack(arguments[0]) === arguments[1]"
    chromium.get("about:blank")
    assert chromium.execute_script(script, packed, TEXTS[name]) is True
