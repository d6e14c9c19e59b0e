"""
Whether a group survives, whether its rest stands against its flowers, and both in one line.

Light, feed, age and pests are not asked.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.advice.terms import Flowers, Rests, Survives
from suitability.advice.verdicts import Decision, Verdict

if TYPE_CHECKING:
    from suitability.advice.cases import Case
    from suitability.advice.plant_year import RestOutlook
    from suitability.advice.result import RestFinding
    from suitability.groups.group import Needs

__all__ = ["MOST_YEARS", "flowers_of", "line_of", "rests_of", "survives_of"]

MOST_YEARS = 0.5  # more than this share of years is "most"; reasoned


def survives_of(case: Case, decision: Decision) -> Survives:
    """By unsafe nights alone, whether the group grows or not."""
    if decision.verdict is Verdict.NONE:
        return Survives.UNKNOWN
    if decision.lives_all_year:
        return Survives.ALL_YEAR
    safe = decision.survival_season
    long_enough = safe is not None and safe.nights >= case.rules.shortest_season
    return Survives.IN_SEASON if long_enough else Survives.INDOORS


def rests_of(verdict: Verdict, rest: RestFinding | RestOutlook | None, needs: Needs) -> Rests:
    """What more than half of the years did; nothing where no name tells what rest is wanted."""
    if not needs.rest_told:
        return Rests.NOT_TOLD
    if not needs.rest_needed:
        return Rests.NOT_NEEDED
    if verdict is Verdict.NONE or rest is None or rest.met_years is None or not rest.of_years:
        return Rests.UNKNOWN
    if rest.met_years > MOST_YEARS * rest.of_years:
        return Rests.MET
    some = rest.met_years + (rest.partly_years or 0)
    return Rests.PARTLY if some > MOST_YEARS * rest.of_years else Rests.HARDLY


def flowers_of(verdict: Verdict, rest: RestFinding | RestOutlook | None, rests: Rests) -> Flowers:
    """Who comes in for the winter can be given in a room what the nights out do not bring."""
    plain = {
        Rests.NOT_NEEDED: Flowers.CAN,
        Rests.MET: Flowers.CAN,
        Rests.NOT_TOLD: Flowers.UNKNOWN,
        Rests.UNKNOWN: Flowers.UNKNOWN,
    }
    if rests in plain:
        return plain[rests]
    comes_in = verdict is not Verdict.ALL_YEAR
    room = None if rest is None else rest.room
    if comes_in and rest is not None and room is not None:
        indoors = rest.nights_indoors
        if indoors is not None and indoors >= room.nights:
            return Flowers.AFTER_COOL_ROOM
    return Flowers.SHYLY if rests is Rests.PARTLY else Flowers.HARDLY


def line_of(survives: Survives, verdict: Verdict, flowers: Flowers) -> str:
    """Life and flowers in one line."""
    lives = {
        Verdict.ALL_YEAR: "lives here",
        Verdict.SEASONAL: "lives here for a season",
        Verdict.INDOOR: "survives outdoors, does not grow"
        if survives is Survives.ALL_YEAR
        else "lives indoors only",
    }
    flowering = {
        Flowers.CAN: "nothing in its rest stands against flowers",
        Flowers.SHYLY: "will flower shyly",
        Flowers.AFTER_COOL_ROOM: "will hardly flower without a cool room in winter",
        Flowers.HARDLY: "will hardly flower",
        Flowers.UNKNOWN: "whether it flowers cannot be said",
    }
    if verdict is Verdict.NONE:
        return "cannot be said: too little of the record is known"
    return f"{lives[verdict]}, {flowering[flowers]}"
