"""
How soon the page of a report is drawn, against plotly's own page of the same figures.

Run as `python tests/bench/page_speed.py`; needs chromium with its driver. Times are those that the
page's own thread works from its opening on, scripts read and data unpacked included, so that other
work on the machine does not count; each figure is the median over rounds in which all pages open
in turn. Goals, as shares of the time that plotly's page of the same figures takes: the chart in
view within 0.1, and all charts, drawn at once, within 0.7. Plotly's pages have neither words nor
tables. One has our figures as they are, the other its own defaults of layout, without what we set
to spare the browser work.
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

from suitability.answers.moves_charts import past_years
from suitability.answers.report import report_sheet
from suitability.answers.trials import trial_control
from suitability.output.chart_past_years import past_years_figure
from suitability.output.report import render_report
from suitability.units import TemperatureUnit
from tests.output.report_examples import reported

if TYPE_CHECKING:
    from collections.abc import Callable

    from selenium.webdriver import Chrome

    from suitability.advice.report import ReportResult

ROUNDS = 7
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
    """Milliseconds that a page has worked until a script finds what it waits for."""
    browser.get(file.as_uri())
    stop = time.monotonic() + PATIENCE_S
    while time.monotonic() < stop:
        if browser.execute_script(script):
            metrics = browser.execute_cdp_cmd("Performance.getMetrics", {})["metrics"]
            return 1000 * float(next(m["value"] for m in metrics if m["name"] == "TaskDuration"))
        time.sleep(0.05)
    raise TimeoutError(f"{file.name} was not drawn within {PATIENCE_S:.0f} s")


def main() -> None:
    """Print the ratios."""
    result = reported("los_angeles")
    sheet = report_sheet(result, TemperatureUnit.C)
    ours = render_report(sheet, trial_control(result, TemperatureUnit.C))
    theirs = plotly_page(ours, result, as_it_is)
    usual = plotly_page(ours, result, as_plotly_lays_out)
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
    browser.execute_cdp_cmd("Performance.enable", {"timeDomain": "threadTicks"})
    spent: dict[str, list[float]] = {"in view": [], "all": [], "plotly": [], "defaults": []}
    with tempfile.TemporaryDirectory() as folder:
        mine, every, other, plain = (
            Path(folder, f"{name}.html") for name in ("mine", "all", "other", "plain")
        )
        for file, page in ((mine, ours), (every, ours), (other, theirs), (plain, usual)):
            file.write_text(page, encoding="utf-8")
        browser.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": ALL_NEAR})
        for _ in range(ROUNDS):
            spent["in view"].append(until(browser, mine, IN_VIEW))
            spent["all"].append(until(browser, every, DONE))
            empty = browser.execute_script(
                "return document.querySelectorAll('.chart:not(:has(.main-svg))').length"
            )
            assert empty == 0, f"{empty} charts were not drawn"
            spent["plotly"].append(until(browser, other, DONE))
            spent["defaults"].append(until(browser, plain, DONE))
    browser.quit()
    middle = {name: statistics.median(values) for name, values in spent.items()}
    print(f"bytes: report {len(ours.encode()):,}, plotly's page {len(theirs.encode()):,}")
    print({name: [round(value) for value in values] for name, values in spent.items()})
    for name in ("in view", "all"):
        print(
            f"{name}: {middle[name]:.0f} ms, {middle[name] / middle['plotly']:.2f} of plotly's "
            f"page, {middle[name] / middle['defaults']:.2f} of that with its defaults of layout"
        )


if __name__ == "__main__":
    main()
