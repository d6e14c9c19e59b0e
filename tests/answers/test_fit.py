"""The sheet of a fit: offsets, errors and hours each in their place."""

from __future__ import annotations

from datetime import date

import pytest
from msgspec.structs import replace

from suitability.advice.calibration import (
    Calibration,
    FittedNight,
    FittedOffsets,
    HourResidual,
    LoggedHour,
)
from suitability.advice.measuring import Elsewhere
from suitability.advice.result import Credit
from suitability.answers import words
from suitability.answers.fit import (
    added_table,
    error_sentences,
    fit_sheet,
    hour_curves,
    hours_table,
    night_curves,
    nights_table,
    residual_curves,
    residuals_table,
)
from suitability.answers.head import HEATING
from suitability.answers.sheet import Table
from suitability.output.chart_curves import curves_figure
from suitability.output.page import render_page
from suitability.output.terminal import render_terminal
from suitability.places import Place
from suitability.spots.spot import Measured, MeasuredOffset, Offset, Spot
from suitability.units import TemperatureUnit

C, F = TemperatureUnit.C, TemperatureUnit.F


def offset(usual: float) -> Offset:
    return Offset(low=usual - 0.4, usual=usual, high=usual + 0.3)


def sure(usual: float) -> Offset:
    return Offset(low=usual, usual=usual, high=usual)


def level(usual: float, number: int) -> MeasuredOffset:
    return MeasuredOffset(
        low=usual - 0.4, usual=usual, high=usual + 0.3, number=number, scatter_c=0.5
    )


def fit(**changes: object) -> Calibration:
    """Every number another."""
    measured = Measured(
        first=date(2024, 3, 2),
        last=date(2024, 3, 25),
        clear_night=level(2.0, 11),
        other_night=level(1.0, 12),
        day=level(-1.5, 20),
        night_error_c=0.6,
    )
    spot = Spot(
        name="porch",
        clear_night_c=offset(2.0),
        other_night_c=offset(1.0),
        day_c=offset(-1.5),
        damping_hours=2.5,
        measured=(measured,),
    )
    before = Spot(name="porch", clear_night_c=sure(3.0), other_night_c=sure(0.5), day_c=sure(-4.0))
    made = Calibration(
        place=Place(name="Testing Cove", latitude=35.0, longitude=-22.0, utc_offset_hours=-1.0),
        spot=spot,
        before=before,
        hourly=True,
        levels=FittedOffsets(
            nights=23,
            clear_night=level(2.0, 11),
            other_night=level(1.0, 12),
            day=level(-1.5, 20),
            night_error_c=0.6,
            night_error_before_c=1.9,
            day_error_c=1.2,
        ),
        elsewhere=Elsewhere(
            clear_night=Offset(low=0.5, usual=2.0, high=3.5),
            other_night=Offset(low=-0.4, usual=1.0, high=2.4),
            day=None,
        ),
        hour_error_c=0.8,
        half_width_at_21_c=0.5,
        by_night=(
            FittedNight(
                evening=date(2024, 3, 2), clear=True, outside_c=5.0, log_c=7.5, model_c=7.0
            ),
            FittedNight(
                evening=date(2024, 3, 3), clear=False, outside_c=8.0, log_c=8.2, model_c=9.0
            ),
        ),
        by_hour=(HourResidual(hour=4, median_c=0.2, low_c=-0.7, high_c=1.1, number=21),),
        hours=(
            LoggedHour(hour=474_829, log_c=7.5, model_c=7.0),
            LoggedHour(hour=474_830, log_c=None, model_c=6.0),
        ),
        warnings=("The clock may be wrong.",),
        credit=Credit(source="a gauge", licence="free", attribution="its keepers"),
    )
    return replace(made, **changes)


def rows_of(table: Table) -> list[list[str]]:
    heads = [column.title for column in table.columns]
    return [heads, *([cell.text for cell in row] for row in table.rows)]


def test_each_offset_stands_beside_its_number_and_what_it_was() -> None:
    """Clear nights, other nights, days: measured, number, far from the log, before."""
    assert rows_of(added_table(fit(), C)) == [
        ["Added to the open air", "Measured (90% interval)", "Nights", "Other months", "Before"],
        ["clear and calm nights", "+2.0 °C (+1.6 to +2.3)", "11", "+0.5 to +3.5", "+3.0 °C"],
        ["other nights", "+1.0 °C (+0.6 to +1.3)", "12", "-0.4 to +2.4", "+0.5 °C"],
        ["days", "-1.5 °C (-1.9 to -1.2)", "20", "-", "-4.0 °C"],
    ]
    few = fit(levels=replace(fit().levels, other_night=None))
    assert [row[1:3] for row in rows_of(added_table(few, C))[1:]] == [
        ["+2.0 °C (+1.6 to +2.3)", "11"],
        ["not measured", "0"],
        ["-1.5 °C (-1.9 to -1.2)", "20"],
    ]
    assert rows_of(added_table(fit(), F))[2][1:] == [
        *("+1.8 °F (+1.1 to +2.3)", "12", "-0.7 to +4.3", "+0.9 °F"),
    ]


def test_the_offsets_have_room_in_eighty_columns() -> None:
    """What was before has a range too, as that of a ready kind; nothing is cut."""
    ranged = replace(fit().before, clear_night_c=Offset(low=-1.0, usual=0.5, high=2.0))
    text = render_terminal(fit_sheet(fit(before=ranged), C), width=80, colour=False)
    assert "…" not in text
    (line,) = (line for line in text.splitlines() if line.startswith("clear and calm"))
    told = ["+2.0 (+1.6 to +2.3)", "11", "+0.5 to +3.5", "+0.5 (-1.0 to +2.0)"]
    assert line.split()[3:] == " ".join(told).split()
    assert "In °C, with the 90% interval" in text


def test_several_logs_stand_beside_what_they_say_together() -> None:
    """The log's own +2.0 and all logs' +1.7, each in its column."""
    spot = fit().spot
    pooled = replace(spot, clear_night_c=offset(1.7), measured=(*spot.measured, *spot.measured))
    heads, clear, *_ = rows_of(added_table(fit(spot=pooled), C))
    assert heads[1:] == ["This log", "All logs", "Other months"]
    assert clear[1:] == ["+2.0 °C (+1.6 to +2.3)", "+1.3 to +2.0", "+0.5 to +3.5"]


def test_each_error_is_told_of_what_it_is() -> None:
    """0.6 fitted, 1.9 as it is, 0.8 hours, 1.2 days, 0.5 after 21 nights."""
    assert error_sentences(fit(), C) == (
        (
            "Night minima miss by 0.6 °C in nights left out of the fit; the station as it is, by "
            "1.9 °C."
        ),
        "All hours of nights left out miss by 0.8 °C.",
        "Day maxima miss by 1.2 °C in days left out.",
        "It follows the air outside with a time constant of 2.5 h.",
    )
    short = fit(levels=replace(fit().levels, nights=20))
    assert error_sentences(short, C)[4] == (
        "Twenty-one nights would give each night offset to 0.5 °C either way."
    )
    extremes = fit(
        hourly=False,
        hour_error_c=None,
        half_width_at_21_c=None,
        levels=replace(fit().levels, day_error_c=None),
    )
    assert len(error_sentences(extremes, C)) == 1
    quick = fit(spot=replace(fit().spot, damping_hours=0.0))
    assert "without a lag" in error_sentences(quick, C)[3]


def test_an_error_of_one_degree_is_a_difference() -> None:
    """1.9 °C off is 3.4 °F off, not 35.4."""
    assert "by 3.4 °F." in error_sentences(fit(), F)[0]


def test_nights_hours_and_residuals_stand_under_their_heads() -> None:
    """Station, thermometer and fitted spot; low, median and high."""
    assert rows_of(nights_table(fit(), C)) == [
        ["Evening", "Kind", "Station", "Thermometer", "Fitted spot"],
        ["2024-03-02", "clear and calm", "5.0", "7.5", "7.0"],
        ["2024-03-03", "other", "8.0", "8.2", "9.0"],
    ]
    assert rows_of(hours_table(fit(), C)) == [
        ["Hour, standard time", "Thermometer", "Fitted spot"],
        ["2024-03-02 12:00", "7.5", "7.0"],
        ["2024-03-02 13:00", "?", "6.0"],
    ]
    assert rows_of(residuals_table(fit(), C)) == [
        ["Hour", "One in ten below", "Median", "One in ten above", "Hours"],
        ["04:00", "-0.7", "+0.2", "+1.1", "21"],
    ]
    assert rows_of(residuals_table(fit(), F))[1] == ["04:00", "-1.3", "+0.4", "+2.0", "21"]
    assert rows_of(nights_table(fit(), F))[1][2:] == ["41.0", "45.5", "44.6"]


def test_charts_draw_what_the_tables_hold() -> None:
    """Nights less the station by kind; log and model; median within its band."""
    clear, other = curves_figure(night_curves(fit(), C))["data"]
    assert (clear["name"], clear["x"], clear["y"]) == (
        "clear and calm night",
        ["2024-03-02"],
        [2.5],
    )
    assert (other["name"], other["y"]) == ("other night", [0.2])
    assert clear["marker"]["symbol"] != other["marker"]["symbol"]
    log, model = curves_figure(hour_curves(fit(), C))["data"]
    assert (log["name"], log["y"], model["name"], model["y"]) == (
        *("thermometer", [7.5, None]),
        *("fitted spot", [7.0, 6.0]),
    )
    low, high, median = curves_figure(residual_curves(fit(), C))["data"]
    assert (low["y"], median["y"], high["y"]) == ([-0.7], [0.2], [1.1])
    assert (median["x"], high["name"]) == ([4], "middle four fifths")
    assert "%{y:+.1f} °C" in median["hovertemplate"]
    assert "%{y:.1f} °F" in curves_figure(hour_curves(fit(), F))["data"][0]["hovertemplate"]


@pytest.mark.parametrize("units", [C, F])
def test_terminal_and_page_say_the_same(units: TemperatureUnit) -> None:
    """Cells, errors, warnings, season, heating and credit; in one unit only."""
    sheet = fit_sheet(fit(), units)
    text = " ".join(render_terminal(sheet, width=120, colour=False).split())
    page = render_page(sheet)
    told = [
        "porch at Testing Cove: 23 nights compared, 2024-03-02 to 2024-03-03",
        *error_sentences(fit(), units),
        "Careful: The clock may be wrong.",
        "Weather: a gauge; its keepers; free",
        "Measure again in another season",
        words.CAUTIONS,
    ]
    told += [cell.text for row in added_table(fit(), units).rows for cell in row]
    for sentence in told:
        assert sentence in text
        assert sentence in page
    assert HEATING not in page  # a thermometer heats nothing
    heated = fit_sheet(fit(spot=replace(fit().spot, held_minimum_c=8.0)), units)
    assert HEATING in heated.closing
    other = "°F" if units is C else "°C"
    assert other not in text
    assert other not in page.split("<main")[1].split("<script")[0]


def test_minima_and_maxima_alone_have_no_hours_to_draw() -> None:
    """Only the nights are drawn."""
    sheet = fit_sheet(fit(hourly=False, hours=(), by_hour=()), C)
    assert [section.name for section in sheet.sections] == ["added", "drawn-nights"]
    assert len(fit_sheet(fit(), C).sections) == 4
