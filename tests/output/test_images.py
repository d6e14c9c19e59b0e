"""Charts as pictures: what is drawn, with which title and credit, and by a real browser."""

from __future__ import annotations

import importlib.util
import shutil
import struct
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

import pytest
from plotly.graph_objects import Figure

from suitability.answers.check import check_sheet
from suitability.answers.moves import moves_sheet
from suitability.answers.moves_charts import past_years
from suitability.answers.report import report_sheet
from suitability.answers.trials import trial_control
from suitability.answers.year import year_sheet
from suitability.errors import OutputError
from suitability.output import images
from suitability.output.chart_past_years import past_years_figure
from suitability.output.figures import sheet_figures
from suitability.output.images import NamedFigure, check_drawing, render_images
from suitability.output.report import render_report
from suitability.units import TemperatureUnit

from . import examples, moves_examples, report_examples, weeks_examples

if TYPE_CHECKING:
    from suitability.advice.result import CheckResult

pytestmark = pytest.mark.slow


def check_figures(result: CheckResult) -> tuple[NamedFigure, ...]:
    return sheet_figures(check_sheet(result, TemperatureUnit.C))


def everything() -> list[NamedFigure]:
    return [
        *check_figures(examples.result()),
        *sheet_figures(moves_sheet(moves_examples.result(), TemperatureUnit.C)),
        *sheet_figures(year_sheet(weeks_examples.result(), 47, TemperatureUnit.C)),
    ]


def test_every_chart_has_a_name_a_title_and_the_credit() -> None:
    """The licence asks that a picture names its source wherever it goes."""
    figures = everything()
    assert [one.name for one in figures] == [
        "year", "hours", "seasons", "past-years-1", "past-years-2", "past-years-3", "past-years-4",
        "weeks", "place-1",
    ]  # fmt: skip
    for one in figures:
        layout = Figure(one.figure).layout
        title = layout.title
        assert len(title.text) > 10
        assert "Nobody; CC0" in title.subtitle.text
        assert layout.paper_bgcolor == "#ffffff"


def test_a_report_draws_every_chart_of_its_page() -> None:
    """As many pictures as the page has places for charts, each with its name, title and credit."""
    result = report_examples.few(two_spots=True)
    sheet = report_sheet(result, TemperatureUnit.C)
    figures = sheet_figures(sheet)
    page = render_report(sheet, trial_control(result, TemperatureUnit.C))
    assert len({one.name for one in figures}) == len(figures) == page.count('<div class="chart')
    assert [one.name for one in figures[:8]] == [
        "year", "hours", "weeks-1", "hours-1", "nights-1", "dates-1", "past-years-1", "heat-1",
    ]  # fmt: skip
    assert figures[-1].name == "coverage"
    for one in figures:
        layout = Figure(one.figure).layout
        assert "NOAA National" in layout.title.subtitle.text
        named = [trace.name for trace in Figure(one.figure).data if trace.showlegend is not False]
        assert len(set(named)) == len(named)
        if one.name[-1].isdigit():
            finding = result.check.results[int(one.name.split("-")[-1]) - 1]
            assert layout.title.text.startswith(finding.group_name)
            assert layout.showlegend
    nights = sheet_figures(report_sheet(result, TemperatureUnit.F))[4]
    assert "night minimum, °F" in str(nights.figure["layout"])


def test_the_evidence_marks_each_night_of_its_cause() -> None:
    """The nights of the bars are those of the letters."""
    move = moves_examples.moving()
    figure = Figure(past_years_figure(past_years(move)))
    for trace in figure.data[:5]:
        assert sum(trace.x) == sum(year.nights.count(trace.meta) for year in move.by_year)
        for row, base, nights in zip(trace.y, trace.base, trace.x, strict=True):
            assert move.by_year[row].nights[base : base + nights] == trace.meta * nights
    out, inn = figure.data[5:]
    assert (out.name, inn.name) == past_years(move).own_dates
    assert list(out.y) == [1, 2]
    assert list(inn.y) == [1, 2]
    staying = past_years_figure(past_years(moves_examples.staying()))
    assert not staying["data"][5]["x"]


@pytest.mark.parametrize("text", examples.HOSTILE)
def test_hostile_text_adds_no_markup(text: str) -> None:
    """Titles and credits are escaped: plotly reads markup in them."""
    for one in (
        *check_figures(examples.hostile_result(text)),
        *sheet_figures(moves_sheet(moves_examples.hostile_result(text), TemperatureUnit.C)),
        *sheet_figures(year_sheet(weeks_examples.hostile_result(text), 47, TemperatureUnit.C)),
        *sheet_figures(
            report_sheet(report_examples.named(report_examples.few(), [text]), TemperatureUnit.C)
        ),
    ):
        title = one.figure["layout"]["title"]
        for shown in (title["text"], title["subtitle"]["text"]):
            bare = shown.replace("<br>", "")
            assert "<" not in bare
            assert len(bare) < 2000


def test_a_missing_package_is_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    """It says what is missing and what does without."""
    found = importlib.util.find_spec

    def hidden(name: str) -> object:
        return None if name == "kaleido" else found(name)

    monkeypatch.setattr(importlib.util, "find_spec", hidden)
    with pytest.raises(OutputError, match="need the package kaleido") as told:
        check_drawing()
    assert "\n" not in str(told.value)


@pytest.mark.usefixtures("browser")
def test_a_browser_that_is_not_there_is_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    """BROWSER_PATH leads nowhere."""
    monkeypatch.setenv("BROWSER_PATH", "nowhere/chromium")
    with pytest.raises(OutputError, match="nowhere/chromium does not exist"):
        check_drawing()


@pytest.mark.usefixtures("browser")
def test_a_browser_that_does_not_answer_is_one_sentence(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A program that ends at once, in the browser's place."""
    monkeypatch.setenv("BROWSER_PATH", shutil.which("true") or "")
    monkeypatch.setattr(images, "LONGEST_S", 5.0)
    with pytest.raises(OutputError, match="could not draw within 5 s"):
        render_images(check_figures(examples.result()), "png")


@pytest.mark.usefixtures("browser")
def test_a_browser_that_takes_too_long_is_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    """The real one, with no time to draw."""
    monkeypatch.setattr(images, "LONGEST_S", 0.01)
    monkeypatch.setattr(images, "ENDING_S", 2.0)
    with pytest.raises(OutputError, match="could not draw within 0 s"):
        render_images(check_figures(examples.result()), "png")


@pytest.mark.usefixtures("browser")
def test_the_real_browser_draws_png_and_svg() -> None:
    """Each figure, at its size; the SVG holds the title."""
    figures = [everything()[0], everything()[3], everything()[-1]]
    pictures = render_images(figures, "png")
    assert [name for name, _ in pictures] == ["year", "past-years-1", "place-1"]
    for (_, data), one in zip(pictures, figures, strict=True):
        assert data.startswith(b"\x89PNG\r\n\x1a\n")
        width, height = struct.unpack(">II", data[16:24])
        assert (width, height) == (2200, 2 * one.figure["layout"]["height"])
        assert len(data) > 20_000  # an empty plot of this size has less
    ((_, drawn),) = render_images(figures[:1], "svg")
    shown = "".join(ET.fromstring(drawn).itertext())  # noqa: S314  (drawn by ourselves)
    assert "nobile would be happiest: out all year" in shown
    assert "Weather: A made-up file" in shown
