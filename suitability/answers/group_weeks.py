"""The year of one group: what it does by weeks, over where it stands by days."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from suitability.advice.growth_year import Phase
from suitability.advice.verdicts import Verdict
from suitability.answers import phases, words
from suitability.answers.sheet import Chart, Table, build_table
from suitability.answers.words import DAYS
from suitability.answers.year import care_columns
from suitability.answers.year_bars import STATES, year_pieces
from suitability.answers.year_charts import ACROSS, WeekStretch, WeekTrack, phase_tracks
from suitability.climate.days import day_of_year

if TYPE_CHECKING:
    from suitability.advice.growth_year import GrowthYear
    from suitability.advice.result import Finding

__all__ = ["GroupWeeks", "care_table", "group_weeks_chart", "weeks_heading"]

COMING_IN_DAYS = 7  # up to the day on which it is carried in
COMING_IN = "moving in: the last week"


class GroupWeeks(Struct, frozen=True, kw_only=True):
    """What is drawn: phases by weeks, and where the plant stands by days, each in one row."""

    phases: tuple[WeekTrack, ...]
    standing: tuple[WeekTrack, ...]
    months: tuple[str, ...]
    title_across: str


def weeks_heading(year: GrowthYear, finding: Finding) -> str:
    """Where it stands, and when it grows and rests."""
    if not year.runs:
        return f"No calendar of its year: {phases.withheld(year)}"
    parts = [_stands(year, finding)]
    for phase, verb in ((Phase.GROWING, "grows"), (Phase.RESTING, "rests")):
        runs = [run for run in year.runs if run.phase is phase]
        if runs:
            told = " and ".join(phases.run_dates(run, short=False) for run in runs)
            parts.append(f"{verb} {told}")
    return "; ".join(parts) + "."


def _stands(year: GrowthYear, finding: Finding) -> str:
    """Where it stands through the year, by its verdict."""
    out, inn = ("In this room", "Not in this room") if year.indoors else ("Outdoors", "Indoors")
    if finding.verdict is Verdict.ALL_YEAR:
        return f"{out} all year"
    if finding.verdict is not Verdict.SEASONAL:
        return f"{inn} all year"
    if finding.season is not None and finding.season.days >= DAYS:
        return f"{out}: {words.nothing_asks_in(finding.verdict)}"
    return f"{out} {words.season(finding.season)}"


def group_weeks_chart(year: GrowthYear, finding: Finding, name: str, title: str) -> Chart:
    """The chart of one group that has a calendar."""
    return Chart(
        name=name,
        title=title,
        spec=GroupWeeks(
            phases=phase_tracks((year,), named=False),
            standing=_standing(finding),
            months=words.MONTHS,
            title_across=ACROSS,
        ),
    )


def _standing(finding: Finding) -> tuple[WeekTrack, ...]:
    """Where it stands by days; the week before it is carried in lies on top."""
    stretches: dict[str, list[WeekStretch]] = {}
    for piece in year_pieces(finding):
        stretch = WeekStretch(row=0, start=piece.start, days=piece.days, text="", told=piece.told)
        stretches.setdefault(piece.state, []).append(stretch)
    tracks = [
        WeekTrack(look=state, name=STATES[state], stretches=tuple(some))
        for state, some in stretches.items()
    ]
    season = finding.season
    if finding.verdict is Verdict.SEASONAL and season is not None and season.days < DAYS:
        coming_in = WeekStretch(
            row=0,
            start=(day_of_year(season.inn) - COMING_IN_DAYS + 1) % DAYS,
            days=COMING_IN_DAYS,
            text="",
            told=(f"moving in: the week up to {words.day_month(season.inn)}",),
        )
        tracks.append(WeekTrack(look="moving", name=COMING_IN, stretches=(coming_in,)))
    return tuple(tracks)


def care_table(year: GrowthYear) -> Table:
    """Water and feed of each phase, a row each."""
    return build_table("care", care_columns(), year.runs, title="Water and feed")
