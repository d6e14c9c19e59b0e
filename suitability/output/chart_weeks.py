"""
The chart of weeks: phases of each group over where it stands.

Months run along the top, groups down the side; each row has its phase above and, as a strip below,
where the plant stands.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from msgspec import Struct

from suitability.answers.words import DAYS
from suitability.answers.year_charts import Weeks, WeekStretch, WeekTrack
from suitability.output.chart_kind import Kind
from suitability.output.chart_layout import pattern, row_px
from suitability.output.chart_rows import day_notes, days_axis, on_page, rows_layout, told
from suitability.output.look import INK, PHASES, STATES

PHONE_ROW_PX = 40  # of a phone, where dates stand in two lines
WORDED_ROW_PX = 18  # at least, for its words
PICTURE_PX, LETTER_PX = 900, 6.8  # of the days of a picture, and of a letter
PHASE_TOP, PHASE_HEIGHT = -0.47, 0.64  # of a row, which reaches from -0.5 to 0.5
STRIP_TOP, STRIP_HEIGHT = 0.19, 0.26
LOOKS = PHASES | STATES

BREAK = "<br>"


class Bar(Struct, frozen=True, kw_only=True):
    """A piece of one row within 1 January to 31 December."""

    row: str
    start: int
    days: int
    texts: tuple[str, ...]
    hover: str

    @property
    def text(self) -> str:
        """What a picture has room for."""
        room = self.days * PICTURE_PX / DAYS
        fitting = (one for one in self.texts if LETTER_PX * _longest(one) <= room)
        return next(fitting, "")


def weeks_figure(spec: Weeks) -> dict[str, Any]:
    """The figure, its traces named for a legend."""
    labels = _labels(spec.rows)
    layout = rows_layout(labels)
    layout["height"] += max(0, WORDED_ROW_PX - row_px(labels)) * len(labels)
    layout |= {"barmode": "overlay", "annotations": day_notes(spec.months)}
    layout["xaxis"] |= days_axis(spec.title_across)
    traces = phase_traces(spec.phases, labels)
    traces += strip_traces(spec.places, labels)
    if spec.unknown is not None:
        traces.append(_trace(spec.unknown, labels, PHASE_TOP, PHASE_HEIGHT + STRIP_HEIGHT))
    return {"data": traces, "layout": layout}


def _page_figure(spec: Weeks) -> dict[str, Any]:
    """On a page, which has its own key."""
    figure = weeks_figure(spec)
    on_page(figure["layout"], {"today": 0, "phone": PHONE_ROW_PX})
    return figure


def phase_traces(tracks: Sequence[WeekTrack], labels: Sequence[str]) -> list[dict[str, Any]]:
    """
    The bars of phases alone.

    Parameters
    ----------
    labels
        Of the rows, all different, as the plotting script reads them.
    """
    return [_trace(track, labels, PHASE_TOP, PHASE_HEIGHT) for track in tracks]


def strip_traces(tracks: Sequence[WeekTrack], labels: Sequence[str]) -> list[dict[str, Any]]:
    """The bars of where plants stand, below the phases; parameters likewise."""
    return [_trace(track, labels, STRIP_TOP, STRIP_HEIGHT) for track in tracks]


def _trace(track: WeekTrack, labels: Sequence[str], top: float, height: float) -> dict[str, Any]:
    """The bars of one phase or place."""
    look = LOOKS[track.look]
    bars = [bar for stretch in track.stretches for bar in _bars(stretch, labels)]
    hatch = pattern(look.fill, look.hatch, look.hatch_colour, 0.2)
    words: dict[str, Any] = {}
    if any(bar.texts for bar in bars):
        words = {
            "text": [bar.text for bar in bars],
            "textposition": "inside",
            "insidetextanchor": "middle",
            "insidetextfont": {"color": look.text, "size": 12},
            "textangle": 0,
            "constraintext": "none",
            "customdata": [list(bar.texts) for bar in bars],
        }
    return words | {
        "type": "bar",
        "name": track.name,
        "orientation": "h",
        "y": [bar.row for bar in bars],
        "x": [bar.days for bar in bars],
        "base": [bar.start for bar in bars],
        "offset": top,
        "width": height,
        "cliponaxis": True,
        "hovertext": [bar.hover for bar in bars],
        "hovertemplate": "%{hovertext}<extra></extra>",
        "marker": {"color": look.fill, "pattern": hatch, "line": {"color": INK, "width": 0.6}},
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
            texts=tuple(map(_broken, stretch.texts)) if length == longest else (),
            hover=told(stretch.told),
        )
        for start, length in pieces
    ]


def _broken(text: str) -> str:
    """A text with its lines as the plotting script reads them."""
    return text.replace("\n", BREAK)


def _longest(text: str) -> int:
    """Letters of the longest line."""
    return max(map(len, text.split(BREAK)))


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
