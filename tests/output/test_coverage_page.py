"""The calendar of coverage: what stands in it, and a page that needs nothing else."""

from __future__ import annotations

import html
import re
from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace
from plotly.graph_objects import Figure
from typer.testing import CliRunner

from suitability.advice.report import MonthsObserved
from suitability.answers.coverage import (
    ObservedYear,
    coverage_sheet,
    coverage_title,
    months_covered,
    observed_years,
)
from suitability.cli.weather import weather_app
from suitability.output.drawing import draw_figure
from suitability.output.page import render_page
from suitability.weather.coverage import Coverage
from suitability.weather.record import Origin
from tests.conftest import open_extract

DATA = Path(__file__).parent.parent / "data"
FULL = (744, 672, 744, 720, 744, 720, 744, 744, 720, 744, 720, 744)
SECOND = (0, 448, 743, 3, *FULL[4:])
WHOLE = (True,) * 12
PARTLY = (False, False, True, False, *WHOLE[4:])


def calendar() -> tuple[ObservedYear, ...]:
    """One whole year, and one with a gap, a month of two thirds, and a month nearly whole."""
    return observed_years(
        MonthsObserved(
            first_year=2021,
            observed=(FULL, SECOND),
            full=(FULL, FULL),
            usable=(WHOLE, PARTLY),
            complete=(WHOLE, PARTLY),
        )
    )


def drawn(years: tuple[ObservedYear, ...]) -> Figure:
    """The calendar as the plotting library reads it."""
    return Figure(draw_figure(months_covered(years)))


def page_of(name: str) -> str:
    """The page of the same calendar as that of a stored record."""
    record = replace(
        open_extract("porto_alegre")[0],
        source="file <porch.csv>",
        licence="two <years>",
    )
    coverage = Coverage(
        first_year=2021,
        expected=np.array((FULL, FULL)),
        full=np.array((FULL, FULL)),
        by_origin={
            origin: np.array((FULL, SECOND)) * (origin is Origin.OBSERVED) for origin in Origin
        },
        wmo_complete=np.array((WHOLE, PARTLY)),
        counts_usable=np.array((WHOLE, PARTLY)),
    )
    return render_page(coverage_sheet(name, record, coverage, None, offset_hours=-3.0))


def test_shares_stand_in_the_months_and_brackets_mean_too_few() -> None:
    """Colour is not alone: the number is there, bracketed below 90 %, and empty is none."""
    (trace,) = drawn(calendar()).data
    assert list(trace.y) == ["2021", "2022"]
    assert list(trace.text[0]) == ["100"] * 12
    assert list(trace.text[1][:5]) == ["", "(67)", "99", "(1)", "100"]
    assert trace.z[1][0] == 0
    assert trace.z[1][1] == pytest.approx(100 * 448 / 672, abs=1e-3)
    assert "448 of 672 h observed" in trace.hovertext[1][1]
    assert "may not be counted" in trace.hovertext[1][1]
    assert (trace.zmin, trace.zmax) == (0, 100)


def test_dark_begins_where_months_may_be_counted() -> None:
    """The leap of the scale is at 90 %."""
    (trace,) = drawn(calendar()).data
    at = [step for step, _ in trace.colorscale]
    assert at.count(0.9) == 2


def test_the_title_states_the_finding() -> None:
    """Months for counts, and months by the rule of the WMO."""
    assert coverage_title("shade", calendar()) == (
        "shade, 2021 to 2022: 21 of 24 months are observed well enough to count hours, and 21 to "
        "form monthly values (WMO-No. 1203)."
    )


def test_years_run_down_and_months_across() -> None:
    """The first year stands on top; the axis says what months are."""
    layout = drawn(calendar()).layout
    assert layout.yaxis.autorange == "reversed"
    assert layout.xaxis.title.text == "month, standard time"
    assert [note.text for note in layout.annotations] == [
        "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
    ]  # fmt: skip


def test_the_page_is_whole_and_escapes_what_it_shows() -> None:
    """Nothing is loaded from elsewhere; texts of files are texts; same input, same bytes."""
    page = page_of("<script>alert(1)</script>")
    assert page == page_of("<script>alert(1)</script>")
    assert "<script>alert(1)" not in page
    assert "two &lt;years&gt;" in page
    assert "file &lt;porch.csv&gt;" in page
    assert re.findall(r"<(?:script|link|img|iframe)[^>]*(?:src|href)=", page) == []
    assert "default-src 'none'" in html.unescape(page)
    table = page[page.index("<table") : page.index("</table>")]
    assert ">(67)<" in table
    assert ">21" not in table
    assert ">9 of 12<" in table


def test_an_invented_record_of_no_hour_is_drawn_empty() -> None:
    """Nothing observed: no cell, and 0 of 12 months."""
    empty = observed_years(
        MonthsObserved(
            first_year=2021,
            observed=((0,) * 12,),
            full=(FULL,),
            usable=((False,) * 12,),
            complete=((False,) * 12,),
        )
    )
    (trace,) = drawn(empty).data
    assert set(trace.text[0]) == {""}
    assert "0 of 12 months" in coverage_title("shade", empty)


def test_show_writes_the_page_of_a_stored_record(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The text goes on to standard output; a folder that is not there is told before any work."""
    monkeypatch.setenv("SUITABILITY_HOME", str(tmp_path / "home"))
    source = [str(DATA / "porto_alegre.hourly"), "--at", "-30.05,-51.17"]
    assert CliRunner().invoke(weather_app, ["import", *source]).exit_code == 0
    target = tmp_path / "calendar.html"
    done = CliRunner().invoke(weather_app, ["show", "porto_alegre", "--chart", str(target)])
    assert done.exit_code == 0, done.output
    assert "JFMAMJJASOND" in done.stdout
    page = target.read_text(encoding="utf-8")
    assert "<title>What was observed: porto_alegre</title>" in page
    assert "of standard time, UTC-3 h" in page
    wrong = str(tmp_path / "none" / "calendar.html")
    failed = CliRunner().invoke(weather_app, ["show", "porto_alegre", "--chart", wrong])
    assert failed.exit_code != 0
    assert "does not exist" in str(failed.exception)
