"""The chart of the year: groups down, days across, states by fill and hatch, dates on the bars."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from suitability.answers.check_charts import DatedBar, Piece, YearBars
from suitability.answers.words import DAYS
from suitability.output.chart_kind import Kind
from suitability.output.chart_layout import pattern
from suitability.output.chart_rows import day_notes, days_axis, on_page, rows_layout, told
from suitability.output.look import GROUND, INK, STATES

PICTURE_PX, LETTER_PX, BESIDE_PX = 900, 6.6, 8  # of the days of a picture; of dates; to their bar


def year_figure(spec: YearBars) -> dict[str, Any]:
    """The figure, a legend of its states below it."""
    figure = _figure(spec)
    notes = [_dates_note(row.label, row.dates) for row in spec.rows]
    figure["layout"]["annotations"] += notes
    return figure


def _figure(spec: YearBars) -> dict[str, Any]:
    """Bars without their dates."""
    labels = [row.label for row in spec.rows]
    by_state: dict[str, list[tuple[str, Piece]]] = {state: [] for state, _ in spec.states}
    for label, row in zip(labels, spec.rows, strict=True):
        for piece in row.pieces:
            by_state[piece.state].append((label, piece))
    layout = rows_layout(labels) | {
        "barmode": "overlay",
        "bargap": 0.28,
        "annotations": day_notes(spec.months),
    }
    layout["xaxis"] |= days_axis(spec.title_across)
    data = [_bars(state, text, by_state[state]) for state, text in spec.states if by_state[state]]
    return {"data": data, "layout": layout}


def _page_figure(spec: YearBars) -> dict[str, Any]:
    """The figure on a page, which has a key of its own; its script knows the width for dates."""
    figure = _figure(spec)
    dates = [
        {
            "row": row.label,
            "start": row.dates.start,
            "days": row.dates.days,
            "outer": list(row.dates.outer),
            "texts": list(row.dates.texts),
        }
        for row in spec.rows
    ]
    on_page(figure["layout"], {"today": 0, "dates": dates})
    return figure


def _dates_note(label: str, dates: DatedBar) -> dict[str, Any]:
    """Dates on their bar in a picture, or beside a bar that is too short, where there is room."""
    text = dates.texts[0]
    needed = (LETTER_PX * len(text) + BESIDE_PX) * DAYS / PICTURE_PX
    x, anchor, shift = dates.start + dates.days / 2, "center", 0
    if needed > dates.days:
        first, stop = dates.outer[0], sum(dates.outer)
        right = stop + needed <= DAYS
        x, anchor = (stop, "left") if right else (first, "right")
        shift = BESIDE_PX // 2 if right else -BESIDE_PX // 2
    return {
        "x": x,
        "y": label,
        "xanchor": anchor,
        "xshift": shift,
        "text": text,
        "showarrow": False,
        "bgcolor": GROUND,
        "borderpad": 1,
        "font": {"size": 11, "color": INK},
    }


def _bars(state: str, name: str, drawn: Sequence[tuple[str, Piece]]) -> dict[str, Any]:
    """The pieces of one state."""
    look = STATES[state]
    hatch = pattern(look.fill, look.hatch, look.hatch_colour, 0.35)
    return {
        "type": "bar",
        "name": name,
        "orientation": "h",
        "y": [label for label, _ in drawn],
        "x": [piece.days for _, piece in drawn],
        "base": [piece.start for _, piece in drawn],
        "hovertext": [told(piece.told) for _, piece in drawn],
        "hovertemplate": "%{hovertext}<extra></extra>",
        "marker": {"color": look.fill, "pattern": hatch, "line": {"color": INK, "width": 0.6}},
    }


KIND = Kind(name="year-bars", spec=YearBars, figure=year_figure, data=_page_figure)
