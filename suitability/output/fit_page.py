"""The page of `spots fit --chart`: log against the fitted spot, nights, and residuals by hour."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

from suitability.answers import words
from suitability.output.charts import lay_out
from suitability.output.embedding import ASSETS
from suitability.output.fit_words import fit_rows, fit_title
from suitability.output.frame import render_credit, render_document, render_head, render_section
from suitability.output.look import INK, LINE, QUIET, STATES
from suitability.output.page_tables import html_table
from suitability.units import TemperatureUnit, fahrenheit_from_celsius

if TYPE_CHECKING:
    from collections.abc import Sequence

    from plotly.graph_objects import Figure

    from suitability.advice.calibration import Calibration

__all__ = ["draw_hours_of_log", "draw_nights", "draw_residuals", "lay_out_plain", "render_fit_page"]

LOG_COLOUR, MODEL_COLOUR = STATES["outdoors"].fill, "#b4541a"
HEIGHT_PX = 420
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def draw_hours_of_log(fit: Calibration, units: TemperatureUnit) -> Figure:
    """Log and fitted spot hour by hour, standard time."""
    from plotly.graph_objects import Figure, Scatter  # noqa: PLC0415  (heavy, only for charts)

    hours = _moments(fit)
    figure = Figure()
    for name, values, colour, dash in (
        ("thermometer", [log for _, log, _ in hours], LOG_COLOUR, "solid"),
        ("fitted spot", [model for _, _, model in hours], MODEL_COLOUR, "dot"),
    ):
        figure.add_trace(
            Scatter(
                name=name,
                x=[one[0] for one in hours],
                y=[_shown(value, units) for value in values],
                mode="lines",
                line={"color": colour, "dash": dash, "width": 1.6},
                hovertemplate=f"%{{x}}<br>{name}: %{{y:.1f}} {units.symbol}<extra></extra>",
            )
        )
    lay_out_plain(figure, f"temperature, {units.symbol}", "date, standard time", dates=True)
    return figure


def draw_nights(fit: Calibration, units: TemperatureUnit) -> Figure:
    """Night minima: the thermometer's less the station's, by date and kind of night."""
    from plotly.graph_objects import Figure, Scatter  # noqa: PLC0415  (heavy, only for charts)

    figure = Figure()
    for name, clear, symbol, colour in (
        ("clear and calm night", True, "circle", LOG_COLOUR),
        ("other night", False, "square-open", MODEL_COLOUR),
    ):
        nights = [night for night in fit.by_night if night.clear is clear]
        figure.add_trace(
            Scatter(
                name=name,
                x=[night.evening.isoformat() for night in nights],
                y=[_apart(night.log_c - night.outside_c, units) for night in nights],
                mode="markers",
                marker={"symbol": symbol, "size": 9, "color": colour},
                hovertemplate=f"%{{x}}<br>{name}: %{{y:+.1f}} {units.symbol}<extra></extra>",
            )
        )
    lay_out_plain(
        figure,
        f"thermometer less station, night minimum, {units.symbol}",
        "evening of the night",
        dates=True,
    )
    return figure


def draw_residuals(fit: Calibration, units: TemperatureUnit) -> Figure:
    """Log less fitted spot by hour of the day: median, and the middle four fifths."""
    from plotly.graph_objects import Figure, Scatter  # noqa: PLC0415  (heavy, only for charts)

    hours = [one.hour for one in fit.by_hour]
    low, median, high = (
        [_apart(getattr(one, part), units) for one in fit.by_hour]
        for part in ("low_c", "median_c", "high_c")
    )
    figure = Figure()
    figure.add_trace(
        Scatter(
            name="middle four fifths",
            x=[*hours, *hours[::-1]],
            y=[*high, *low[::-1]],
            fill="toself",
            fillcolor="rgba(29,92,99,0.18)",
            line={"width": 0},
            hoverinfo="skip",
        )
    )
    figure.add_trace(
        Scatter(
            name="median",
            x=hours,
            y=median,
            mode="lines+markers",
            line={"color": LOG_COLOUR, "width": 2},
            hovertemplate=f"%{{x}}:00: %{{y:+.1f}} {units.symbol}<extra></extra>",
        )
    )
    lay_out_plain(
        figure,
        f"thermometer less fitted spot, {units.symbol}",
        "hour of the day, standard time",
        dates=False,
    )
    return figure


def lay_out_plain(figure: Figure, upright: str, along: str, *, dates: bool) -> None:
    """Two plain axes; those of charts with rows do not fit."""
    lay_out(figure, "", [])
    figure.update_layout(
        title=None,
        height=HEIGHT_PX,
        margin={"l": 56, "r": 8, "t": 28, "b": 64},
        legend={"orientation": "h", "x": 0, "y": 1, "yref": "paper", "yanchor": "bottom"},
    )
    figure.update_xaxes(
        title={"text": along},
        type="date" if dates else "linear",
        gridcolor=LINE,
        linecolor=QUIET,
        **({} if dates else {"dtick": 3, "range": [-0.5, 23.5]}),
    )
    figure.update_yaxes(
        title={"text": upright},
        type="linear",
        categoryorder=None,
        categoryarray=None,
        autorange=True,
        gridcolor=LINE,
        zeroline=True,
        zerolinecolor=INK,
    )


def _shown(value_c: float | None, units: TemperatureUnit) -> float | None:
    if value_c is None or units is TemperatureUnit.C:
        return value_c
    return round(float(fahrenheit_from_celsius(value_c)), 2)


def _apart(value_c: float, units: TemperatureUnit) -> float:
    return round(value_c * (1.0 if units is TemperatureUnit.C else 1.8), 2)


def render_fit_page(fit: Calibration, units: TemperatureUnit) -> str:
    """One self-contained page; the same log and record, the same bytes."""
    measured = fit.spot.measured
    assert measured is not None
    sections = [
        (
            "nights",
            "What each night added to the station's minimum",
            draw_nights(fit, units),
            _night_table(fit, units),
        )
    ]
    if fit.hourly:
        sections += [
            (
                "hours",
                "The thermometer and the fitted spot, hour by hour",
                draw_hours_of_log(fit, units),
                _log_table(fit, units),
            ),
            (
                "residuals",
                "What is left over, by hour of the day",
                draw_residuals(fit, units),
                _hour_table(fit, units),
            ),
        ]
    head = [
        ("Place", words.clean(fit.place.name)),
        ("Nights", f"{fit.levels.nights}, {measured.first} to {measured.last}"),
        ("Error", fit_title(fit)),
        *(("Careful", warning) for warning in fit.warnings),
    ]
    credit = render_credit(fit.credit.source, fit.credit.attribution, fit.credit.licence)
    table = html_table(
        "What the spot adds to the open air",
        ("Of", "Measured, with 90 % interval", "Number", "Before"),
        fit_rows(fit, units),
        numbers_from=9,
    )
    data: list[dict[str, Any]] = [
        {"id": name, "figure": figure.to_dict()} for name, _, figure, _ in sections
    ]
    return render_document(
        title=f"What the spot {words.clean(fit.spot.name, 40)} adds",
        head=render_head(head) + table,
        body="\n".join(
            render_section(name, heading, "", rows) for name, heading, _, rows in sections
        ),
        footer=f"<p>{_SEASON}</p>{credit}",
        data=data,
        script=(ASSETS / "page.js").read_text(encoding="utf-8"),
    )


_SEASON = (
    "The numbers hold for the season in which the thermometer hung there. Heating outdoors or in "
    "damp only on a fixed, weather-rated, residual-current-protected supply."
)


def _log_table(fit: Calibration, units: TemperatureUnit) -> str:
    """Every hour, folded away until it is asked for."""

    def cell(value_c: float | None) -> str:
        shown = _shown(value_c, units)
        return words.UNKNOWN if shown is None else f"{shown:.1f}"

    rows = [(moment, cell(log), cell(model)) for moment, log, model in _moments(fit)]
    table = html_table(
        f"Hours, {units.symbol}",
        ("Hour, standard time", "Thermometer", "Fitted spot"),
        rows,
        numbers_from=1,
    )
    return f"<details><summary>The hours as a table</summary>{table}</details>"


def _moments(fit: Calibration) -> list[tuple[str, float | None, float | None]]:
    """Standard time as written, log and model of every hour."""
    offset = timedelta(hours=fit.place.utc_offset_hours)
    return [
        (
            (EPOCH + timedelta(hours=one.hour) + offset).strftime("%Y-%m-%d %H:%M"),
            one.log_c,
            one.model_c,
        )
        for one in fit.hours
    ]


def _night_table(fit: Calibration, units: TemperatureUnit) -> str:
    rows: list[Sequence[str]] = [
        (
            night.evening.isoformat(),
            "clear and calm" if night.clear else "other",
            *(
                f"{_shown(value, units):.1f}"
                for value in (night.outside_c, night.log_c, night.model_c)
            ),
        )
        for night in fit.by_night
    ]
    return html_table(
        f"Night minima, {units.symbol}",
        ("Evening", "Kind", "Station", "Thermometer", "Fitted spot"),
        rows,
        numbers_from=2,
    )


def _hour_table(fit: Calibration, units: TemperatureUnit) -> str:
    rows: list[Sequence[str]] = [
        (
            f"{one.hour:02d}:00",
            *(f"{_apart(value, units):+.1f}" for value in (one.low_c, one.median_c, one.high_c)),
            str(one.number),
        )
        for one in fit.by_hour
    ]
    return html_table(
        f"Thermometer less fitted spot, {units.symbol}",
        ("Hour", "One in ten below", "Median", "One in ten above", "Hours"),
        rows,
        numbers_from=1,
    )
