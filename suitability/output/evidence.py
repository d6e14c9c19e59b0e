"""
The picture of the evidence: past years down, days across, unsafe nights marked by cause.

The days begin half a year before the middle of the season, so that it lies in the middle. Causes
differ in colour and in where their mark stands within the row of the year, for a single night is
too narrow to be hatched: a hard night fills it, a wet one its upper half, a dose its lower half,
heat a line in its middle. Nights travel packed; the page's script unpacks and draws them. Layouts
and traces are plain values: a page holds dozens of them, and plotly's own types are slow to make.
"""

from __future__ import annotations

import html
import re
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from suitability.advice.terms import Verdict
from suitability.output import moves_words, words
from suitability.output.look import FONT, INK, LINE, STATES
from suitability.output.year import DAYS, MONTH_STARTS

if TYPE_CHECKING:
    from plotly.graph_objects import Figure

    from suitability.advice.moves_result import Move, YearOutdoors

__all__ = [
    "BAND",
    "HATCH",
    "MARKS",
    "Mark",
    "column_of",
    "draw_frame",
    "evidence_data",
    "frame_layout",
    "frame_traces",
    "own_span",
    "pack_nights",
]

ROW_PX, HEAD_PX, FOOT_PX = 17, 46, 42
LABEL_PX, CHARACTER_PX = 12, 7  # left of the rows: around a label, and for each of its characters
SHORTEST_NAMED = 14  # days of a month within the row that carry its name
BAND, HATCH = "#d9e8e6", "#98a29e"


class Mark(Struct, frozen=True, kw_only=True):
    """
    How a cause is drawn: its fill, and the share of the row that it takes from its top, 0 to 1.

    `hatch` is a pattern of the plotting script; only the nights not observed, which come in long
    runs, have one.
    """

    style: str
    fill: str
    top: float
    bottom: float
    hatch: str = ""


MARKS = {
    "h": Mark(style="hard", fill="#16243f", top=0.0, bottom=1.0),
    "w": Mark(style="wet", fill="#2f74b5", top=0.0, bottom=0.5),
    "d": Mark(style="dose", fill="#c47a17", top=0.5, bottom=1.0),
    "t": Mark(style="heat", fill="#a3271b", top=0.34, bottom=0.66),
    "?": Mark(style="unseen", fill="#ffffff", top=0.0, bottom=1.0, hatch="x"),
}
RUN = re.compile(r"(.)\1*", re.DOTALL)  # of the same letter
ROW = 0.86  # of the distance of two rows is filled


def pack_nights(nights: str) -> str:
    """
    Letters of nights as runs: how many, then the letter.

    Examples
    --------
    >>> pack_nights("..hhh?")
    '2.3h1?'
    """
    return RUN.sub(lambda run: f"{len(run[0])}{run[1]}", nights)


def column_of(month_day: str, first_day: str) -> int:
    """
    Days from the first day of a row to a day of the year, 0 to 364.

    Examples
    --------
    >>> column_of("02-10", "02-05"), column_of("02-04", "02-05")
    (5, 364)
    """
    return (_day_of_year(month_day) - _day_of_year(first_day)) % DAYS


def _day_of_year(month_day: str) -> int:
    month, number = (int(part) for part in month_day.split("-"))
    return MONTH_STARTS[month - 1] + number - 1


def evidence_data(move: Move) -> dict[str, Any]:
    """
    What the page's script draws for one group: the layout, and its years with packed nights.

    The traces are those of every group's `draw_frame`, and empty: the page holds them once.
    """
    return {
        "layout": frame_layout(move),
        "first": _day_of_year(move.by_year[0].first_day),
        "years": [
            {
                "label": moves_words.year_label(year.year, year.first_day),
                "runs": pack_nights(year.nights),
                "span": own_span(year),
                "kept": year.kept,
            }
            for year in move.by_year
        ],
    }


def own_span(year: YearOutdoors) -> list[int] | None:
    """Columns of the first day out and the day in that the year itself allowed."""
    if year.out is None or year.inn is None or not year.days:
        return None
    start = 0 if year.days >= DAYS else column_of(year.out, year.first_day)
    return [start, start + year.days]


def draw_frame(move: Move) -> Figure:
    """
    Axes, season, typical dates and empty traces for the nights of one group.

    Parameters
    ----------
    move
        With at least one year.
    """
    from plotly.graph_objects import Figure  # noqa: PLC0415  (heavy, only for charts)

    return Figure(data=frame_traces(), layout={"template": "none", **frame_layout(move)})


def frame_traces() -> list[dict[str, Any]]:
    """The empty traces of every group: one a cause, and the ends that a year itself allowed."""
    traces: list[dict[str, Any]] = [
        {
            "type": "bar",
            "name": moves_words.CAUSES[letter],
            "meta": letter,
            "orientation": "h",
            "offset": ROW * (mark.top - 0.5),
            "width": ROW * (mark.bottom - mark.top),
            "marker": {
                "color": mark.fill,
                "line": {"width": 0},
                "pattern": {
                    "shape": mark.hatch,
                    "fgcolor": HATCH,
                    "bgcolor": mark.fill,
                    "size": 5,
                },
            },
            "hovertemplate": "%{hovertext}<extra></extra>",
        }
        for letter, mark in MARKS.items()
    ]
    traces += [
        {
            "type": "scatter",
            "name": "what the year itself allowed",
            "meta": symbol,
            "mode": "markers",
            "cliponaxis": False,
            "marker": {
                "symbol": symbol,
                "size": 7,
                "color": "#ffffff",
                "line": {"color": INK, "width": 1},
            },
            "hovertemplate": "%{hovertext}<extra></extra>",
        }
        for symbol in ("triangle-right", "triangle-left")
    ]
    return traces


def frame_layout(move: Move) -> dict[str, Any]:
    """
    Axes, season and typical dates of one group.

    Parameters
    ----------
    move
        With at least one year.
    """
    layout = _axes(move)
    shapes, notes = _season_marks(move)
    if not any(set(year.nights) & set("hwdt") for year in move.by_year):
        notes.append(_nothing_unsafe(move))
    return layout | {
        name: some for name, some in (("shapes", shapes), ("annotations", notes)) if some
    }


def _nothing_unsafe(move: Move) -> dict[str, Any]:
    """A sentence where no mark would stand: an empty chart could be a broken one."""
    known = sum(len(year.nights) - year.nights.count("?") for year in move.by_year)
    many = f"No unsafe night among the {known:,} known"
    said = many if known != 1 else "The only night known is not unsafe"
    return {
        "x": 0.5,
        "y": 0.5,
        "xref": "paper",
        "yref": "paper",
        "showarrow": False,
        "bgcolor": "#ffffff",
        "bordercolor": INK,
        "borderpad": 6,
        "font": {"size": 14, "color": INK},
        "text": said,
    }


def _axes(move: Move) -> dict[str, Any]:
    """Axes: months along the top, years down the side with what became of the season."""
    first_day, rows = move.by_year[0].first_day, len(move.by_year)
    axis: dict[str, Any] = {
        "fixedrange": True,
        "zeroline": False,
        "ticks": "",
        "ticklabeloverflow": "allow",  # the browser need not measure each label
    }
    signs = {True: "✓", False: "✗", None: words.UNKNOWN}
    labels = [
        f"{moves_words.year_label(year.year, year.first_day)} {signs[year.kept]}"
        for year in move.by_year
    ]
    starts = [(start - _day_of_year(first_day)) % DAYS for start in MONTH_STARTS]
    named = [piece for piece in _month_pieces(starts) if piece[1] - piece[0] >= SHORTEST_NAMED]
    return {
        "barmode": "overlay",
        "font": {"family": FONT, "size": 12, "color": INK},
        "paper_bgcolor": "rgba(0,0,0,0)",
        "plot_bgcolor": "#ffffff",
        "height": HEAD_PX + FOOT_PX + ROW_PX * max(rows, 3),
        # Measured here, not by the browser, which would draw everything once more for it.
        "margin": {
            "l": LABEL_PX + CHARACTER_PX * max(map(len, labels)),
            "r": 8,
            "t": HEAD_PX,
            "b": FOOT_PX,
            "autoexpand": False,
        },
        "showlegend": False,
        "hoverlabel": {"align": "left", "font": {"family": FONT, "size": 13}},
        "dragmode": False,
        "xaxis": {
            **axis,
            "side": "top",
            "range": [0, DAYS],
            "showgrid": False,
            "minor": {
                "tickvals": sorted(starts),
                "showgrid": True,
                "gridcolor": LINE,
                "ticks": "",
            },
            "tickvals": [(start + stop) / 2 for start, stop, _ in named],
            "ticktext": [name[:3] for _, _, name in named],
            "tickangle": 0,
            "title": {
                "text": "night of the year, standard time",
                "standoff": 4,
                "font": {"size": 12},
            },
        },
        "yaxis": {
            **axis,
            "range": [rows - 0.5, -0.5],
            "showgrid": False,
            "tickvals": list(range(rows)),
            "ticktext": labels,
            "title": {"text": ""},
        },
    }


def _month_pieces(starts: list[int]) -> list[tuple[int, int, str]]:
    """First and last column of each month within the row; one month may be in two pieces."""
    order = sorted(zip(starts, words.MONTHS, strict=True))
    pieces = [
        (start, stop, name)
        for (start, name), stop in zip(
            order, [start for start, _ in order[1:]] + [DAYS], strict=True
        )
    ]
    if order[0][0] > 0:
        pieces.insert(0, (0, order[0][0], order[-1][1]))
    return pieces


def _season_marks(move: Move) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """The promised season as a band with its dates, typical dates as dotted lines."""
    season, first_day = move.season or move.season_too_short, move.by_year[0].first_day
    if season is None:
        return [], []
    shapes: list[dict[str, Any]] = []
    notes: list[dict[str, Any]] = []
    start = 0 if season.days >= DAYS else column_of(season.out, first_day)
    stop, promised = start + season.days, move.verdict is not Verdict.INDOOR
    edge = STATES["outdoors"].fill
    box = {"type": "rect", "x0": start, "x1": stop, "y0": 0, "y1": 1, "yref": "paper"}
    if promised:
        shapes.append({**box, "fillcolor": BAND, "line": {"width": 0}, "layer": "below"})
    line = {"color": edge, "width": 2.5, "dash": "solid" if promised else "dash"}
    shapes.append({**box, "line": line, "layer": "above"})
    if season.days < DAYS:
        notes.append(_date_below(start, f"out {words.day_month(season.out, short=True)}", 3))
        notes.append(_date_below(stop, f"in {words.day_month(season.inn, short=True)}", 3))
    for date in (move.out, move.inn):
        if date is not None and moves_words.typical_date(date, move) != moves_words.ANY_DAY:
            column = column_of(date.typical, first_day)
            shapes.append(
                {
                    **box,
                    "type": "line",
                    "x0": column,
                    "x1": column,
                    "layer": "above",
                    "line": {"color": edge, "width": 2, "dash": "dot"},
                }
            )
            told = moves_words.typical_date(date, move)
            notes.append(_date_below(column, f"typical {told}", 18))
    return shapes, notes


def _date_below(column: int, text: str, below_px: int) -> dict[str, Any]:
    """A date below the plot."""
    return {
        "x": column,
        "y": 0,
        "yref": "paper",
        "yanchor": "top",
        "yshift": -below_px,
        "text": html.escape(text),
        "showarrow": False,
        "font": {"size": 12, "color": INK},
    }
