"""
The chart of weeks: phases of each group over where it stands.

Months run along the top, groups down the side; each row has its phase above and, as a strip below,
where the plant stands.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from msgspec import Struct

from suitability.answers.words import DAYS, MONTH_STARTS
from suitability.answers.year_charts import Weeks
from suitability.output.chart_kind import Kind
from suitability.output.chart_rows import PAGE_MARGIN, month_notes, rows_layout, told
from suitability.output.look import INK, PHASES, STATES

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.answers.year_charts import WeekStretch, WeekTrack

__all__ = ["KIND", "LOOKS", "STRIP_HEIGHT", "STRIP_TOP", "phase_traces", "weeks_figure"]

LABELLED_DAYS = 42  # a stretch at least so long has its word written on it
PHASE_TOP, PHASE_HEIGHT = -0.38, 0.52  # of a row, which reaches from -0.5 to 0.5
STRIP_TOP, STRIP_HEIGHT = 0.16, 0.2
LOOKS = PHASES | {
    "indoors": STATES["indoors"],
    "moving-out": STATES["moving"],
    "outdoors": STATES["outdoors"],
    "moving-in": STATES["moving"],
    "unknown": STATES["unknown"],
}


class Bar(Struct, frozen=True, kw_only=True):
    """A piece of one row within 1 January to 31 December."""

    row: str
    start: int
    days: int
    text: str
    hover: str


def weeks_figure(spec: Weeks) -> dict[str, Any]:
    """The figure, its traces named for a legend."""
    labels = _labels(spec.rows)
    layout = rows_layout(labels)
    layout |= {
        "barmode": "overlay",
        "uniformtext": {"mode": "hide", "minsize": 9},
        "annotations": month_notes([start + 15 for start in MONTH_STARTS], spec.months),
    }
    layout["xaxis"] |= {
        "range": [0, DAYS],
        "tickvals": [*MONTH_STARTS, DAYS],
        "ticktext": [""] * 13,
        "title": {"text": spec.title_across, "standoff": 4},
    }
    traces = phase_traces(spec.phases, labels)
    traces += [_trace(track, labels, STRIP_TOP, STRIP_HEIGHT) for track in spec.places]
    if spec.unknown is not None:
        traces.append(_trace(spec.unknown, labels, PHASE_TOP, PHASE_HEIGHT + STRIP_HEIGHT))
    return {"data": traces, "layout": layout}


def _page_figure(spec: Weeks) -> dict[str, Any]:
    """On a page, which has its own key."""
    figure = weeks_figure(spec)
    margin = figure["layout"]["margin"] | PAGE_MARGIN
    return {**figure, "layout": figure["layout"] | {"showlegend": False, "margin": margin}}


def phase_traces(tracks: Sequence[WeekTrack], labels: Sequence[str]) -> list[dict[str, Any]]:
    """
    The bars of phases alone.

    Parameters
    ----------
    labels
        Of the rows, all different, as the plotting script reads them.
    """
    return [_trace(track, labels, PHASE_TOP, PHASE_HEIGHT) for track in tracks]


def _trace(track: WeekTrack, labels: Sequence[str], top: float, height: float) -> dict[str, Any]:
    """The bars of one phase or place."""
    look = LOOKS[track.look]
    bars = [bar for stretch in track.stretches for bar in _bars(stretch, labels)]
    pattern = {
        "shape": look.hatch,
        "fgcolor": look.hatch_colour,
        "bgcolor": look.fill,
        "size": 6,
        "solidity": 0.2,
    }
    return {
        "type": "bar",
        "name": track.name,
        "orientation": "h",
        "y": [bar.row for bar in bars],
        "x": [bar.days for bar in bars],
        "base": [bar.start for bar in bars],
        "offset": top,
        "width": height,
        "text": [bar.text for bar in bars],
        "textposition": "inside",
        "insidetextanchor": "middle",
        "insidetextfont": {"color": look.text, "size": 12},
        "textangle": 0,
        "constraintext": "none",
        "cliponaxis": True,
        "hovertext": [bar.hover for bar in bars],
        "hovertemplate": "%{hovertext}<extra></extra>",
        "marker": {"color": look.fill, "pattern": pattern, "line": {"color": INK, "width": 0.6}},
    }


def _bars(stretch: WeekStretch, labels: Sequence[str]) -> list[Bar]:
    """One bar, or two where it crosses New Year; the longer one has the text."""
    pieces = [(stretch.start, min(stretch.days, DAYS - stretch.start))]
    if stretch.start + stretch.days > DAYS:
        pieces.append((0, stretch.start + stretch.days - DAYS))
    longest = max(length for _, length in pieces)
    return [
        Bar(
            row=labels[stretch.row],
            start=start,
            days=length,
            text=stretch.text if length == longest and length >= LABELLED_DAYS else "",
            hover=told(stretch.told),
        )
        for start, length in pieces
    ]


def _labels(rows: Sequence[str]) -> list[str]:
    """The labels made all different: the plotting script takes equal ones for one row."""
    labels: list[str] = []
    for row in rows:
        label = row
        while label in labels:
            label += " "
        labels.append(label)
    return labels


KIND = Kind(
    name="weeks",
    spec=Weeks,
    figure=weeks_figure,
    data=_page_figure,
    style="weeks.css",
    colours={
        name: colour
        for phase, look in (PHASES | STATES).items()
        for name, colour in ((phase, look.fill), (f"{phase}-hatch", look.hatch_colour))
    },
)
