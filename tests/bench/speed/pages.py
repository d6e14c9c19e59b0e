"""
How soon the page of a report is drawn, against plotly's own page of the same figures.

Times are those that the page's own thread works from its opening on, scripts read and data unpacked
included, so that other work on the machine does not count. Plotly's pages have neither words nor
tables. One has our figures as they are, the other its own defaults of layout, without what we set
to spare the browser work.
"""

from __future__ import annotations

import atexit
import base64
import json
import re
import time
import zlib
from functools import cache
from typing import TYPE_CHECKING, Any

from tests.output.drawn import opened

from .contest import OURS, Contender, Goal, Run, Setting, Spent, Work

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from selenium.webdriver import Chrome

    from suitability.advice.report import ReportResult

PATIENCE_S = 120.0
# What is near the window is drawn; told that everything is near, the page draws all at once.
ALL_NEAR = """
if (location.pathname.endsWith("all.html")) {
  window.IntersectionObserver = class {
    constructor(told) { this.told = told; this.places = []; }
    observe(target) {
      if (this.places.push({ target, isIntersecting: true }) === 1) {
        setTimeout(() => { this.told(this.places); window.done = true; });
      }
    }
    unobserve() {}
  };
}
"""
IN_VIEW = "return document.querySelector('#year .main-svg') "
DONE = "return window.done"


def as_plotly_lays_out(value: Any) -> Any:
    """A figure without what we set to spare the browser work: plotly's own defaults instead."""
    if isinstance(value, dict):
        spared = ("autoexpand", "ticklabeloverflow")
        return {k: as_plotly_lays_out(inner) for k, inner in value.items() if k not in spared}
    return [as_plotly_lays_out(inner) for inner in value] if isinstance(value, list) else value


def as_it_is(value: Any) -> Any:
    """The figure as it is."""
    return value


def plotly_page(page: str, result: ReportResult, laid_out: Callable[[Any], Any]) -> str:
    """The same charts as plotly writes them, past years with their nights."""
    from plotly.graph_objects import Figure
    from plotly.io import to_html

    from suitability.answers.moves_charts import past_years
    from suitability.output.chart_past_years import past_years_figure

    held = re.search(r'id="figures">([^<]*)</script>', page)
    assert held is not None
    data = json.loads(zlib.decompress(base64.b64decode(held[1])))
    parts: list[str] = []
    for chart in opened(data["charts"], data["parts"]):
        if chart["kind"] != "past-years":
            figure = Figure(laid_out(chart["data"]))
        else:
            move = result.moves.results[int(chart["id"].removeprefix("past-years-")) - 1]
            drawn = Figure(past_years_figure(past_years(move)))
            drawn.update_layout(showlegend=False)
            figure = Figure(laid_out(drawn.to_dict()))
        script = True if not parts else False  # noqa: SIM210  (plotly's option takes both)
        parts.append(to_html(figure, full_html=False, include_plotlyjs=script))
    ending = "<script>window.done = true</script>"
    return f"<!doctype html><meta charset=utf-8><body>{''.join(parts)}{ending}</body>"


def until(browser: Chrome, file: Path, script: str) -> float:
    """Seconds that a page has worked until a script finds what it waits for."""
    browser.get(file.as_uri())
    stop = time.monotonic() + PATIENCE_S
    while time.monotonic() < stop:
        if browser.execute_script(script):
            metrics = browser.execute_cdp_cmd("Performance.getMetrics", {})["metrics"]
            return float(next(m["value"] for m in metrics if m["name"] == "TaskDuration"))
        time.sleep(0.05)
    raise TimeoutError(f"{file.name} was not drawn within {PATIENCE_S:.0f} s")


@cache
def browser_of() -> Chrome:
    """A real browser, that tells what its pages have worked."""
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

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
    atexit.register(browser.quit)
    browser.execute_cdp_cmd("Performance.enable", {"timeDomain": "threadTicks"})
    browser.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": ALL_NEAR})
    return browser


@cache
def written(folder: Path) -> None:
    """The report of the whole catalogue, twice, and plotly's pages of its charts."""
    from suitability.answers.report import report_sheet
    from suitability.answers.trials import trial_control
    from suitability.output.report import render_report
    from suitability.units import TemperatureUnit
    from tests.output.report_examples import reported

    result = reported("los_angeles")
    ours = render_report(
        report_sheet(result, TemperatureUnit.C), trial_control(result, TemperatureUnit.C)
    )
    pages = {
        "mine": ours,
        "all": ours,
        "plotly": plotly_page(ours, result, as_it_is),
        "defaults": plotly_page(ours, result, as_plotly_lays_out),
    }
    for name, page in pages.items():
        (folder / f"{name}.html").write_text(page, encoding="utf-8")


def pages(setting: Setting) -> tuple[Work, ...]:
    """W6: the report of the whole catalogue, opened."""

    def opening(name: str, script: str) -> Callable[[], Run]:
        def prepare() -> Run:
            written(setting.folder)
            file, browser = setting.folder / f"{name}.html", browser_of()

            def run() -> Spent:
                seconds = until(browser, file, script)
                if name == "all":
                    empty = browser.execute_script(
                        "return document.querySelectorAll('.chart:not(:has(.main-svg))').length"
                    )
                    assert empty == 0, f"{empty} charts were not drawn"
                return Spent(seconds, file.stat().st_size / 1e6)

            return run

        return prepare

    needs = "selenium plotly chromium chromedriver"
    mine, every = "the report, first chart in view", "the report, all charts drawn at once"
    plotly, defaults = "plotly's page of the same charts", "the same, plotly's defaults of layout"
    return (
        Work(
            "W6",
            "W6 The page of a report",
            "Los Angeles, the whole catalogue; what the page's thread works until it is drawn in "
            "headless Chromium. MB: of the file.",
            (
                Contender(mine, opening("mine", IN_VIEW), role=OURS, needs=needs),
                Contender(every, opening("all", DONE), role=OURS, needs=needs),
                Contender(plotly, opening("plotly", DONE), needs=needs),
                Contender(defaults, opening("defaults", DONE), needs=needs),
            ),
            (
                Goal("MB of the page", mine, 1.0, measure="MB"),
                Goal("seconds to the first chart", mine, 0.5, measure="seconds"),
                Goal("first chart / plotly's page", mine, 0.1, plotly),
                Goal("all charts / plotly's page", every, 0.7, plotly),
            ),
            setting.of(2, 1),
        ),
    )
