"""`suitability spots week`: seven days at the station and at spots."""

from __future__ import annotations

import html
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from suitability.advice.preparing import records_at_spots
from suitability.spots.kinds import read_kinds
from suitability.weather.record import hour_of_datetime
from suitability.weather.sources.demo import demo_place, demo_record
from suitability.weather.sources.files import read_file_record
from tests.output.drawn import drawn_on

from .running import refused, running

DATA = Path(__file__).parents[1] / "data"
PORCH = ("--demo", "--spot", "open-porch")


run = running("spots", "week")


def test_days_and_hours_are_those_of_the_record_and_of_the_spot(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """8 January 2024 from midnight of UTC-1: 01:00 UTC. Text, page and record agree."""
    target = tmp_path / "week.html"
    code, out, err = run(capsys, "2024-01-08", *PORCH, "--chart", str(target))
    assert code == 0, err
    record = demo_record()
    (there,) = records_at_spots(record, demo_place(), [read_kinds().by_key["open-porch"].spot])
    first = hour_of_datetime(datetime(2024, 1, 8, 1, tzinfo=UTC)) - record.start_hour
    day = record.temp_c[first : first + 24]
    line = next(line for line in out.splitlines() if line.startswith("8 January 2024"))
    assert f"{np.nanmin(day):.1f} to {np.nanmax(day):.1f}" in line
    text = target.read_text("utf-8")
    figure = drawn_on(text)["week"]
    of_week = record.temp_c[first : first + 168]
    lowest = f"{np.nanmin(of_week):.1f} °C at the station, "
    lowest += f"{np.nanmin(there.temp_c[first : first + 168]):.1f} °C at open-porch."
    assert f"Lowest hour of the week: {lowest}" in text
    assert f"Lowest hour of the week: {lowest}" in " ".join(out.split())
    by_name = {trace["name"]: trace for trace in figure["data"]}
    drawn = [np.nan if value is None else value for value in by_name["open-porch"]["y"]]
    np.testing.assert_allclose(drawn, there.temp_c[first : first + 168], atol=0.051)
    assert by_name["station"]["x"][0] == "2024-01-08 00:00"
    assert figure["layout"]["yaxis"]["title"]["text"] == "temperature, °C"
    low, high = (trace["y"] for trace in figure["data"][1:3])
    pairs = [(a, b) for a, b in zip(low, high, strict=True) if a is not None and b is not None]
    assert all(a <= b for a, b in pairs)


def test_whose_weather_it_is_is_said(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Attribution and licence of the record, in text and page; 80 columns."""
    asked = ("--record", str(DATA / "los_angeles.hourly"), "--at", "33.938,-118.389,30")
    target = tmp_path / "week.html"
    code, out, err = run(capsys, "2014-01-06", *asked, "--chart", str(target))
    assert code == 0, err
    record = read_file_record(DATA / "los_angeles.hourly", longitude=None)
    flat = " ".join(out.split())
    for text in (record.source, record.attribution, record.licence):
        assert text
        assert text in flat
        assert html.escape(text) in target.read_text("utf-8")
    assert max(map(len, out.splitlines())) <= 80


def test_a_page_is_no_pdf(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """The ending says what would be right; nothing is written."""
    target = tmp_path / "week.pdf"
    code, out, err = run(capsys, "2024-01-08", *PORCH, "--chart", str(target))
    assert (code, out) == (2, "")
    assert f"--chart {target}: name a file that ends in .html or .htm." in err
    assert not target.exists()


@pytest.mark.parametrize(
    ("day", "code", "words"),
    [
        ("8.1.2024", 2, "DATE 8.1.2024: expected a date YYYY-MM-DD"),
        ("1990-01-01", 1, "The record has no hours between"),
        ("2024-12-29", 1, "only part of the week"),
    ],
)
def test_mistakes_are_told_in_one_sentence(
    capsys: pytest.CaptureFixture[str], day: str, code: int, words: str
) -> None:
    """No day, and days that the record does not hold."""
    refused(run(capsys, day, *PORCH), code, words)
