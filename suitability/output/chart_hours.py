"""The chart of hours below the floors: groups down, months across, the darker the more hours."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from suitability.answers.check_charts import HoursMap
from suitability.output.chart_kind import Kind
from suitability.output.chart_layout import row_px
from suitability.output.chart_rows import month_notes, months_axis, on_page, rows_layout, told
from suitability.output.look import HOURS_SCALE

SCALE_PX = 30  # below the rows, under the title of their months


def hours_figure(spec: HoursMap) -> dict[str, Any]:
    """The figure, its scale below it."""
    labels = [row.label for row in spec.rows]
    heat = {
        "type": "heatmap",
        "x": list(range(len(spec.months))),
        "y": labels,
        "z": [[cell.hours for cell in row.months] for row in spec.rows],
        "text": [[cell.text for cell in row.months] for row in spec.rows],
        "texttemplate": "%{text}",
        "textfont": {"size": 12},
        "hovertext": [[told(cell.told) for cell in row.months] for row in spec.rows],
        "hovertemplate": "%{hovertext}<extra></extra>",
        "hoverongaps": True,
        "colorscale": [list(step) for step in HOURS_SCALE],
        "zmin": 0,
        "zmax": spec.marks[-1][0],
        "xgap": 1,
        "ygap": 1,
        "colorbar": {
            "title": {"text": spec.scale_title, "side": "bottom"},
            "orientation": "h",
            "y": -SCALE_PX / (row_px(labels) * max(len(labels), 1)),  # of the height of the rows
            "yanchor": "top",
            "thickness": 10,
            "len": 1.0,
            "tickvals": [hours for hours, _ in spec.marks],
            "ticktext": [text for _, text in spec.marks],
        },
    }
    layout = rows_layout(labels)
    layout["xaxis"] |= months_axis(spec.title_across)
    layout["yaxis"] |= {"showgrid": False}
    months = month_notes(range(len(spec.months)), spec.months)
    return {"data": [heat], "layout": layout | {"annotations": [*_unknown(spec, labels), *months]}}


def _page_figure(spec: HoursMap) -> dict[str, Any]:
    """The figure on a page, where a sentence tells of its scale."""
    figure = hours_figure(spec)
    heat, layout = figure["data"][0], figure["layout"]
    del heat["colorbar"]
    heat["showscale"] = False
    on_page(layout, {})
    return figure


def _unknown(spec: HoursMap, labels: Sequence[str]) -> list[dict[str, Any]]:
    """The text of each cell without a value, which the scale leaves empty."""
    return [
        {"x": month, "y": label, "text": cell.text, "showarrow": False}
        for label, row in zip(labels, spec.rows, strict=True)
        for month, cell in enumerate(row.months)
        if cell.hours is None
    ]


KIND = Kind(name="hours-map", spec=HoursMap, figure=hours_figure, data=_page_figure)
