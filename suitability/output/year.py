"""Where a report and the weeks, not brought through a sheet yet, look for the pieces of a year."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from suitability.answers import words, year_bars
from suitability.answers.words import DAYS, MONTH_STARTS

if TYPE_CHECKING:
    from suitability.advice.result import Finding

__all__ = ["DAYS", "MONTH_STARTS", "Piece", "year_pieces"]


class Piece(Struct, frozen=True, kw_only=True):
    """A stretch of one group's year, its words escaped for a chart."""

    state: str
    start: int
    days: int
    hover: str


def year_pieces(finding: Finding) -> list[Piece]:
    """The pieces of `answers.year_bars`."""
    return [
        Piece(
            state=one.state,
            start=one.start,
            days=one.days,
            hover="<br>".join(map(words.chart_text, one.told)),
        )
        for one in year_bars.year_pieces(finding)
    ]
