"""What the charts of a report share: type, ground and size, axes and keys, as plain values."""

from __future__ import annotations

from typing import Any

from suitability.answers import words
from suitability.output.look import FONT, INK, LINE
from suitability.output.year import DAYS, MONTH_STARTS
from suitability.units import TemperatureUnit, fahrenheit_from_celsius

__all__ = [
    "AXIS",
    "CLEAR",
    "HOVER",
    "Figure",
    "chart_layout",
    "days_axis",
    "legend_above",
    "months_axis",
    "shown_value",
]

Figure = dict[str, Any]

CLEAR = "rgba(0,0,0,0)"
AXIS: dict[str, Any] = {
    "fixedrange": True,
    "zeroline": False,
    "ticks": "",
    "ticklabeloverflow": "allow",  # the browser need not measure each label: they have their room
}
HOVER = "%{hovertext}<extra></extra>"


def chart_layout(height: int, margin: dict[str, int]) -> Figure:
    """Type, ground and size."""
    return {
        "font": {"family": FONT, "size": 13, "color": INK},
        "paper_bgcolor": CLEAR,
        "plot_bgcolor": CLEAR,
        "height": height,
        "margin": margin | {"autoexpand": False},  # else everything is drawn once more for it
        "showlegend": False,
        "dragmode": False,
        "hoverlabel": {
            "align": "left",
            "bgcolor": "#ffffff",
            "bordercolor": INK,
            "font": {"family": FONT, "size": 13, "color": INK},
        },
    }


def legend_above() -> dict[str, Any]:
    """A key below the chart that does nothing when it is clicked."""
    return {
        "orientation": "h",
        "x": 0,
        "y": 0,
        "yref": "container",
        "yanchor": "bottom",
        "itemclick": False,
        "itemdoubleclick": False,
        "font": {"size": 12},
    }


def days_axis(title: str, first: int = 0) -> dict[str, Any]:
    """Days from one of the year on, the names of the months along the top."""
    starts = [(start - first) % DAYS for start in MONTH_STARTS]
    return {
        **AXIS,
        "side": "top",
        "range": [0, DAYS],
        "showgrid": False,
        "minor": {"tickvals": sorted(starts), "showgrid": True, "gridcolor": LINE, "ticks": ""},
        "tickvals": [(start + 15) % DAYS for start in starts],
        "ticktext": [month[:3] for month in words.MONTHS],
        "tickangle": 0,
        "title": {"text": title, "standoff": 4, "font": {"size": 12}},
    }


def months_axis() -> dict[str, Any]:
    """One column a month, their names along the top."""
    return {
        **AXIS,
        "side": "top",
        "range": [-0.5, 11.5],
        "showgrid": False,
        "tickvals": list(range(12)),
        "ticktext": [month[:3] for month in words.MONTHS],
        "tickangle": 0,
        "title": {"text": "month, standard time", "standoff": 4, "font": {"size": 12}},
    }


def shown_value(value_c: float, units: TemperatureUnit) -> float:
    """A temperature in the reader's unit, to a tenth."""
    return round(value_c if units is TemperatureUnit.C else fahrenheit_from_celsius(value_c), 1)
