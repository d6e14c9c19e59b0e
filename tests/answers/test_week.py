"""The sheet of a week: each number is that of its day, its hour and its spot."""

from __future__ import annotations

from datetime import date
from itertools import pairwise

import pytest

from suitability.advice.result import Credit
from suitability.advice.week import SpotWeek, Week
from suitability.answers import words
from suitability.answers.curves import Role
from suitability.answers.week import days_table, headline, hours_table, week_curves, week_sheet
from suitability.output.chart_curves import curves_figure
from suitability.output.drawing import draw_figure
from suitability.output.look import SERIES, band
from suitability.output.page import render_page
from suitability.output.terminal import render_terminal
from suitability.places import Place
from suitability.units import TemperatureUnit
from tests.output.examples import HOSTILE

C, F = TemperatureUnit.C, TemperatureUnit.F
HOURS = 168
STATION = tuple(10.0 + hour / 10.0 for hour in range(HOURS))  # 10.0 to 26.7


def week(*spots: SpotWeek, name: str = "porch") -> Week:
    """A station that warms by a tenth an hour, and a spot with a gap of a day."""
    gap = tuple(None if hour < 24 else 50.0 + hour / 10.0 for hour in range(HOURS))
    spot = SpotWeek(
        name=name,
        temp_c=gap,
        low_c=tuple(value - 2.0 for value in STATION),
        high_c=tuple(value + 3.0 for value in STATION),
    )
    return Week(
        place=Place(name="Testing Cove", latitude=35.0, longitude=-22.0),
        credit=Credit(source="a gauge", licence="free", attribution="its keepers"),
        first_day=date(2024, 2, 28),
        station_c=STATION,
        spots=spots or (spot,),
    )


def test_a_day_has_the_lowest_and_the_highest_of_its_hours() -> None:
    """Station and spot in their own columns; a day of which nothing is known."""
    table = days_table(week(), C)
    assert [column.title for column in table.columns] == ["Day", "Station", "porch"]
    rows = [[cell.text for cell in row] for row in table.rows]
    assert rows[0] == ["28 February 2024", "10.0 to 12.3", "?"]
    assert rows[1] == ["29 February 2024", "12.4 to 14.7", "52.4 to 54.7"]
    assert len(rows) == 7
    assert rows[6][0] == "5 March 2024"


def test_an_hour_has_the_temperatures_of_station_and_spot() -> None:
    """Standard time as written; in °F where asked for."""
    rows = [[cell.text for cell in row] for row in hours_table(week(), C).rows]
    assert len(rows) == HOURS
    assert rows[0] == ["2024-02-28 00:00", "10.0", "?"]
    assert rows[25] == ["2024-02-29 01:00", "12.5", "52.5"]
    table = hours_table(week(), F)
    assert [cell.text for cell in table.rows[25]] == ["2024-02-29 01:00", "54.5", "126.5"]
    assert table.title == "The hours as a table, °F"


def test_the_headline_names_the_lowest_hour_of_each() -> None:
    """Also where a spot bears the name of the station, and where nothing is known."""
    told = "Lowest hour of the week: 10.0 °C at the station, 52.4 °C at Station."
    assert headline(week(name="Station"), C) == told
    nothing = SpotWeek(name="attic", temp_c=(None,) * HOURS)
    assert headline(week(nothing), F) == (
        "Lowest hour of the week: 50.0 °F at the station, ? at attic."
    )


def test_the_chart_draws_each_line_and_the_band_of_its_spot() -> None:
    """The station broad below all, then low and high edges, then the spot."""
    spec = week_curves(week(), C)
    assert [curve.role for curve in spec.curves] == [Role.STATION, Role.SPOT]
    station, low, high, spot = curves_figure(spec)["data"]
    assert (low["y"][30], high["y"][30], spot["y"][30], station["y"][30]) == (11, 16, 53, 13)
    assert (spot["name"], station["name"]) == ("porch", "station")
    assert (low.get("fill", ""), high["fill"]) == ("", "tonexty")
    (drawn,) = [one for one in draw_figure(spec)["data"] if "fill" in one]
    assert (drawn["showlegend"], drawn["fillcolor"]) == (False, band(SERIES[0]))
    assert spot["y"][0] is None
    assert spot["x"][25] == "2024-02-29 01:00"
    layout = curves_figure(week_curves(week(), F))["layout"]
    assert layout["yaxis"]["title"]["text"] == "temperature, °F"
    assert curves_figure(week_curves(week(), F))["data"][0]["y"][30] == 55.4


def test_lines_that_coincide_are_all_seen() -> None:
    """Spots as warm as the station: each later line is narrower, and has a dash of its own."""
    spots = [SpotWeek(name=f"spot {n}", temp_c=STATION) for n in range(4)]
    lines = [one["line"] for one in curves_figure(week_curves(week(*spots), C))["data"]]
    widths = [line["width"] for line in lines]
    assert all(before > after for before, after in pairwise(widths))
    assert len({line["dash"] for line in lines[1:]}) == 4


def test_many_spots_lose_no_digit_on_a_narrow_terminal() -> None:
    """Cells are broken at blanks, never cut."""
    spots = [SpotWeek(name=f"spot number {n}", temp_c=STATION) for n in range(7)]
    text = render_terminal(week_sheet(week(*spots), C), width=80, colour=False)
    assert max(map(len, text.splitlines())) <= 80
    assert "…" not in text
    assert text.count("26.7") == 8


def test_credit_and_cautions_stand_on_terminal_and_page() -> None:
    """And the week that was asked for."""
    sheet = week_sheet(week(), C)
    text = " ".join(render_terminal(sheet, width=80, colour=False).split())
    page = render_page(sheet)
    for told in ("Weather: a gauge; its keepers; free", words.CAUTIONS):
        assert told in text
        assert told in page
    assert ("Week", "from 28 February 2024") in [
        (fact.label, fact.text) for fact in sheet.about.rows
    ]


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_names_do_no_harm(text: str) -> None:
    """Neither on a terminal nor on a page nor in its chart."""
    sheet = week_sheet(week(name=text), C)
    printed = render_terminal(sheet, width=80, colour=False)
    assert not set(printed) & set("\x00\x07\x1b\u202e\u2066\u200f\ud800")
    body = render_page(sheet).split("<body>")[1].split('<script type="application/json"')[0]
    assert not any(tag in body for tag in ("<script", "<img", "<b>bold"))
    for trace in draw_figure(week_curves(week(name=text), C))["data"]:
        assert "<b>" not in trace["name"]
        assert "<script" not in trace["name"]
