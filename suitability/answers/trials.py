"""Trials of a report: the verdicts at a warmer or colder spot, for a table and for a control."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from msgspec import Struct

from suitability.advice.terms import Verdict
from suitability.answers import words
from suitability.answers.sheet import Column, Table, TableColumn, build_table
from suitability.answers.words import DAYS
from suitability.units import TemperatureUnit, show_difference

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.advice.report import ReportResult, Trial

SAME = "same"


class TrialRow(Struct, frozen=True, kw_only=True):
    """What is said of one group in one trial; empty where there is nothing to say."""

    verdict: str
    out: str
    inn: str
    days: str
    against_now: str


class TrialControl(Struct, frozen=True, kw_only=True):
    """
    What a reader may try, and every answer: the control only shows another one.

    Attributes
    ----------
    steps
        How much warmer or colder the spot is, in words.
    promises
        Shares of new years, in words.
    asked
        Step and promise of the verdicts as they are.
    texts
        Cells of a row of the table, after its name, each combination once.
    rows : (group and spot), (step), (promise)
        Which of the texts each has.
    summaries : (step), (promise)
        What the trial finds, in a sentence.
    """

    steps: tuple[str, ...]
    promises: tuple[str, ...]
    asked: tuple[int, int]
    texts: tuple[tuple[str, ...], ...]
    rows: tuple[tuple[tuple[int, ...], ...], ...]
    summaries: tuple[tuple[str, ...], ...]


def _asked(result: ReportResult) -> tuple[int, int]:
    """Step and promise of the verdicts as they are."""
    trials = result.trials
    return trials.warmer_c.index(0.0), trials.promises.index(result.settings.promise)


def _columns() -> list[tuple[TableColumn, Callable[[TrialRow], str]]]:
    """Heads of the table after its name, and their cells."""
    return [
        (TableColumn(title="Verdict"), lambda row: row.verdict),
        (TableColumn(title="Out"), lambda row: row.out),
        (TableColumn(title="In"), lambda row: row.inn),
        (TableColumn(title="Days"), lambda row: row.days),
        (TableColumn(title="Against now"), lambda row: row.against_now),
    ]


def trials_table(result: ReportResult) -> Table:
    """The verdicts as they are, a row for each group and spot; a control changes their cells."""
    step, at = _asked(result)
    rows = [
        (
            words.finding_label(finding, result.check, key=False),
            _told(of_group[step][at], of_group[step][at], indoors=move.indoors),
        )
        for finding, move, of_group in zip(
            result.check.results, result.moves.results, result.trials.rows, strict=True
        )
    ]

    def cell_of(told: Callable[[TrialRow], str]) -> Callable[[tuple[str, TrialRow]], str]:
        return lambda row: told(row[1])

    columns: list[Column[tuple[str, TrialRow]]] = [
        Column.of(words.who(result.check.results), lambda row: row[0]),
        *(Column(head=head, cell=cell_of(told)) for head, told in _columns()),
    ]
    return build_table("trials", columns, rows, title="Verdicts at the spot tried", folded=True)


def trial_control(result: ReportResult, units: TemperatureUnit) -> TrialControl:
    """
    All trials in words.

    Parameters
    ----------
    units
        In which warming is shown.
    """
    trials = result.trials
    step, at = _asked(result)
    told = [cell for _, cell in _columns()]
    texts: dict[tuple[str, ...], int] = {}
    rows = tuple(
        tuple(
            tuple(
                texts.setdefault(
                    tuple(
                        cell(_told(trial, of_group[step][at], indoors=move.indoors))
                        for cell in told
                    ),
                    len(texts),
                )
                for trial in by_promise
            )
            for by_promise in of_group
        )
        for of_group, move in zip(trials.rows, result.moves.results, strict=True)
    )
    return TrialControl(
        steps=tuple(_step(warmer, units) for warmer in trials.warmer_c),
        promises=tuple(f"{share:.0%}" for share in trials.promises),
        asked=(step, at),
        texts=tuple(texts),
        rows=rows,
        summaries=tuple(
            tuple(_summary(result, warmer, share, units) for share in range(len(trials.promises)))
            for warmer in range(len(trials.warmer_c))
        ),
    )


def _step(warmer_c: float, units: TemperatureUnit) -> str:
    """How much warmer or colder, in words."""
    if warmer_c == 0.0:
        return "as it is"
    shown = show_difference(abs(warmer_c), units, 0 if units is TemperatureUnit.C else 1)
    return f"{shown} {'warmer' if warmer_c > 0 else 'colder'}"


@lru_cache(maxsize=1024)  # many trials of a group are the same
def _told(trial: Trial, usual: Trial, *, indoors: bool) -> TrialRow:
    """Verdict, dates, days, and what is other than now."""
    days, before = _days(trial), _days(usual)
    dated = trial.verdict is Verdict.SEASONAL and 0 < days < DAYS and trial.season is not None
    change = SAME
    if trial.verdict is not usual.verdict:
        change = f"now {words.verdict_words(usual.verdict, indoors=indoors)}"
    elif days != before:
        change = f"{days - before:+d} days"
    return TrialRow(
        verdict=words.verdict_words(trial.verdict, indoors=indoors),
        out=words.day_month(trial.season.out) if dated and trial.season else "",
        inn=words.day_month(trial.season.inn) if dated and trial.season else "",
        days=str(days) if days else "",
        against_now=change,
    )


def _days(trial: Trial) -> int:
    """Days of the season; one that is too short to be used is none."""
    if trial.season is None or trial.verdict in {Verdict.INDOOR, Verdict.NONE}:
        return 0
    return trial.season.days


def _summary(result: ReportResult, step: int, at: int, units: TemperatureUnit) -> str:
    """What a trial finds, in a sentence."""
    trials = result.trials
    told = words.counted_verdicts(
        [row[step][at].verdict for row in trials.rows],
        [move.indoors for move in result.moves.results],
        [words.weight(move) for move in result.moves.results],
    )
    spot = f"Spot {_step(trials.warmer_c[step], units)}"
    return f"{spot}, kept by {trials.promises[at]:.0%} of new years: {told}."
