"""The evidence of one group drawn whole, for pictures; on the page its script fills the nights."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from suitability.output import moves_words
from suitability.output.evidence import MARKS, draw_frame, own_span
from suitability.output.year import DAYS

if TYPE_CHECKING:
    from plotly.graph_objects import Figure

    from suitability.advice.moves_result import Move

__all__ = ["draw_evidence"]

FEET = {"triangle-right": 0, "triangle-left": 1}  # which end of a year's own season


def draw_evidence(move: Move) -> Figure:
    """
    Past years down, nights across, unsafe ones marked by cause, with a legend.

    Parameters
    ----------
    move
        With at least one year.
    """
    figure = draw_frame(move)
    for trace in figure.data:
        if trace.meta in MARKS:
            bars = [
                (row, start, nights)
                for row, year in enumerate(move.by_year)
                for letter, start, nights in _runs(year.nights)
                if letter == trace.meta
            ]
            trace.update(
                y=[row for row, _, _ in bars],
                base=[start for _, start, _ in bars],
                x=[nights for _, _, nights in bars],
                showlegend=bool(bars),
            )
        else:
            end = FEET[trace.meta]
            feet = [
                (row, span[end])
                for row, year in enumerate(move.by_year)
                if (span := own_span(year)) is not None and span[end] != DAYS * end
            ]
            trace.update(
                y=[row for row, _ in feet],
                x=[column for _, column in feet],
                name=moves_words.OWN_DATES[end],
                showlegend=bool(feet),
            )
    figure.update_layout(showlegend=True)
    return figure


def _runs(nights: str) -> list[tuple[str, int, int]]:
    """Letter, first column and length of each run of nights."""
    runs, start = [], 0
    for letter, run in groupby(nights):
        length = len(list(run))
        runs.append((letter, start, length))
        start += length
    return runs
