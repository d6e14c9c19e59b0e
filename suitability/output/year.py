"""The year of a group in pieces: indoors, moving out, outdoors, or where it would only survive."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from suitability.advice.verdicts import Verdict
from suitability.answers import words
from suitability.answers.words import DAYS, MONTH_STARTS
from suitability.output.look import STATES

if TYPE_CHECKING:
    from suitability.advice.result import Finding
    from suitability.advice.terms import Season

__all__ = ["DAYS", "MONTH_STARTS", "Piece", "year_pieces"]

HARDENING_DAYS = 14
LABELLED_DAYS = 70  # a stretch at least so long has its dates written on it


class Piece(Struct, frozen=True, kw_only=True):
    """A stretch of one group's year within 1 January to 31 December: first day and days."""

    state: str
    start: int
    days: int
    text: str
    hover: str


def year_pieces(finding: Finding) -> list[Piece]:
    """The year of one group in pieces that do not overlap and fill it, in order of days."""
    state_of = _states_of_days(finding)
    pieces = []
    start = 0
    for at in range(1, DAYS + 1):
        if at == DAYS or state_of[at] != state_of[start]:
            pieces.append(_piece(finding, state_of[start], start, at - start))
            start = at
    return pieces


def _states_of_days(finding: Finding) -> list[str]:
    """The state of each day of the year."""
    if finding.verdict is Verdict.NONE:
        return ["unknown"] * DAYS
    states = ["indoors"] * DAYS
    if finding.verdict is Verdict.ALL_YEAR:
        return ["outdoors"] * DAYS
    _paint(states, finding.survival_season, "survives")
    if finding.verdict is Verdict.SEASONAL and finding.season is not None:
        _paint(states, finding.season, "outdoors")
        if finding.season.days < DAYS:
            for later in range(min(HARDENING_DAYS, finding.season.days)):
                states[(_day_of_year(finding.season.out) + later) % DAYS] = "moving"
    return states


def _paint(states: list[str], season: Season | None, state: str) -> None:
    """Give the days of a season a state."""
    if season is not None:
        first = _day_of_year(season.out)
        for later in range(min(season.days, DAYS)):
            states[(first + later) % DAYS] = state


def _day_of_year(month_day: str) -> int:
    """Days since 1 January, 0 to 364; 29 February counts as the 28th."""
    month, number = (int(part) for part in month_day.split("-"))
    if (month, number) == (2, 29):
        number = 28
    return MONTH_STARTS[month - 1] + number - 1


def _piece(finding: Finding, state: str, start: int, days: int) -> Piece:
    """A piece with its words."""
    season = words.season(finding.season, short=True)
    text = ""
    if state == "outdoors" and days >= LABELLED_DAYS:
        text = "all year" if finding.verdict is Verdict.ALL_YEAR else season
    elif state in {"indoors", "unknown"} and days >= DAYS:
        text = STATES[state].word
    return Piece(state=state, start=start, days=days, text=text, hover=_year_hover(finding, state))


def _year_hover(finding: Finding, state: str) -> str:
    """What the pointer over a piece tells."""
    name = words.chart_text(words.clean(finding.group_name, 80))
    verdict = words.VERDICT_WORDS[finding.verdict]
    lines = [f"{name}: {verdict}", STATES[state].word]
    if state in {"outdoors", "moving"} and finding.season is not None:
        if finding.season.days >= DAYS:
            lines.append("all year")
        else:
            out, inn = words.day_month(finding.season.out), words.day_month(finding.season.inn)
            lines.append(f"out from {out}, carried in on {inn}: {finding.season.days} days")
        lines.append(f"kept by {finding.years_kept} of {finding.years_counted} years")
    if state == "survives":
        lines.append(f"free of nights that harm: {words.season(finding.survival_season)}")
    return "<br>".join(lines)
