"""
How soon the page of a report is drawn, against plotly's own page of the same figures.

Run as `python tests/bench/page_speed.py`; needs chromium with its driver. Each figure is the median
over rounds in which both pages open in turn. Goal: the report's charts in view are drawn within 0.7
of the time that plotly's page takes, and all of them, drawn at once, in no more than that page.
"""

from __future__ import annotations

import base64
import json
import re
import statistics
import sys
import tempfile
import time
import zlib
from pathlib import Path
from typing import TYPE_CHECKING, Any

sys.path.insert(0, str(Path(__file__).parents[2]))

from plotly.graph_objects import Figure
from plotly.io import to_html
from selenium import webdriver
from selenium.webdriver.chrome.service import Service

from suitability.output.evidence import frame_traces
from suitability.output.report_page import render_report_page
from suitability.units import TemperatureUnit
from tests.output.report_examples import reported

if TYPE_CHECKING:
    from selenium.webdriver import Chrome

ROUNDS = 3
PATIENCE_S = 60.0
SEEN = (
    "const year = document.getElementById('year'); if (!year) { return null; }"
    "if (!window.seen) { window.seen = true; year.scrollIntoView(); }"
    "return year.querySelector('.main-svg') && performance.now()"
)


def opened(value: Any, parts: list[Any]) -> Any:
    """Plain values with their repeated parts put in."""
    if isinstance(value, list):
        return [opened(inner, parts) for inner in value]
    if not isinstance(value, dict):
        return value
    if set(value) == {"$"}:
        return opened(parts[value["$"]], parts)
    drawn = opened(parts[value["$"]], parts) if "$" in value else {}
    return {**drawn, **{k: opened(inner, parts) for k, inner in value.items() if k != "$"}}


def plotly_page(page: str) -> str:
    """The same figures as plotly writes them; evidence with its axes, but without its nights."""
    held = re.search(r'id="figures">([^<]*)</script>', page)
    assert held is not None
    data = json.loads(zlib.decompress(base64.b64decode(held[1])))
    parts: list[str] = []
    for chart in opened(data["charts"], data["parts"]):
        figure = chart.get("figure") or {
            "data": frame_traces(),
            "layout": chart["group"]["layout"],
        }
        script = True if not parts else False  # noqa: SIM210  (plotly's option takes both)
        parts.append(to_html(Figure(figure), full_html=False, include_plotlyjs=script))
    return f"<!doctype html><meta charset=utf-8><body>{''.join(parts)}</body>"


def until(browser: Chrome, file: Path, script: str) -> float:
    """Milliseconds from the opening of a page until a script finds what it waits for."""
    browser.get(file.as_uri())
    stop = time.monotonic() + PATIENCE_S
    while time.monotonic() < stop:
        found = browser.execute_script(script)
        if found:
            return float(found)
        time.sleep(0.02)
    raise TimeoutError(f"{file.name} was not drawn within {PATIENCE_S:.0f} s")


def main() -> None:
    """Print both ratios."""
    ours = render_report_page(reported("los_angeles"), TemperatureUnit.C)
    theirs = plotly_page(ours)
    options = webdriver.ChromeOptions()
    options.binary_location = "/usr/bin/chromium"
    for argument in (
        "--headless=new",
        "--no-sandbox",
        "--disable-dev-shm-usage",
        "--window-size=1280,1000",
    ):
        options.add_argument(argument)
    browser = webdriver.Chrome(options=options, service=Service("/usr/bin/chromedriver"))
    spent: dict[str, list[float]] = {"in view": [], "all": [], "plotly": []}
    ready = (
        "const all = [...document.querySelectorAll('.plotly-graph-div')];"
        "return document.readyState === 'complete' && all.every(one => one.querySelector("
        "'.main-svg')) && performance.now()"
    )
    with tempfile.TemporaryDirectory() as folder:
        mine, other = Path(folder, "mine.html"), Path(folder, "other.html")
        mine.write_text(ours, encoding="utf-8")
        other.write_text(theirs, encoding="utf-8")
        for _ in range(ROUNDS):
            seen = until(
                browser,
                mine,
                "return document.querySelector('#year .main-svg') && performance.now()",
            )
            rest = browser.execute_script(
                "const start = performance.now(); window.dispatchEvent(new Event('beforeprint'));"
                "return performance.now() - start"
            )
            spent["in view"].append(seen)
            spent["all"].append(seen + rest)
            spent["plotly"].append(until(browser, other, ready))
    browser.quit()
    middle = {name: statistics.median(values) for name, values in spent.items()}
    print(f"bytes: report {len(ours.encode()):,}, plotly's page {len(theirs.encode()):,}")
    for name in ("in view", "all"):
        print(
            f"{name}: {middle[name]:.0f} ms, {middle[name] / middle['plotly']:.2f} of plotly's page"
        )


if __name__ == "__main__":
    main()
