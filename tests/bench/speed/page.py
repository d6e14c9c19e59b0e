"""What was measured as a page: written by the command alone, never by hand."""

from __future__ import annotations

import os
import platform
from collections.abc import Sequence
from datetime import UTC, datetime
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from msgspec import Struct

from .contest import LIMIT, OURS, PEER, Judged, Outcome, Row

PACKAGES = (
    *("numpy", "pandas", "xarray", "flox", "xclim", "polars", "duckdb", "dask", "zarr", "scipy"),
    *("numba", "meteostat", "plotly", "typer", "msgspec"),
)
BUSY = 1.5  # other work at the start, above which times mislead
CONTENDERS = "| contender | rounds | median | least | x limit | x ours | MB |"
GROWTH = "| of ours | rounds | median | least | per {piece} | MB |"
GOALS = "| work | ratio | goal | measured | by least times | |"
HEAD = """# Performance

This page is written by `python -m tests.bench --write-page`, from the root of the repository; \
nothing on it is typed by hand.
The peers that a plain install has not come with `.venv/bin/python -m pip install ".[test,bench]"`.

That contenders come to equal results is asserted first: hours exactly, sums to rounding.
Then in every round each runs once in turn; those whose memory counts have a process of their own, \
in which the limit is timed beside them.
Times are those of the clock, or of the processors where these worked less: then the run had \
waited for other work on the machine.
*x limit* is in multiples of the quickest limit, *x ours* in multiples of ours, both of medians.
Who does a share of the work has its time scaled up, and the share told.
MB are the most memory beyond what was held before, of whole processes all of it.
Read the ratios, not the seconds.
"""
BUSY_WORDS = (
    "**The machine had other work, which shares its caches and memory: read the ratios with care, "
    "and the least times beside the medians.**"
)


class Surroundings(Struct, frozen=True, kw_only=True):
    """Where and when it was measured."""

    date: str
    machine: str
    versions: dict[str, str]
    load_before: float
    load_after: float = 0.0
    seconds: float = 0.0
    note: str = ""


class Report(Struct, frozen=True, kw_only=True):
    """A whole run."""

    surroundings: Surroundings
    outcomes: tuple[Outcome, ...]


def surroundings() -> Surroundings:
    """Of this machine, now."""
    cpu = Path("/proc/cpuinfo")
    names = [
        line.partition(":")[2].strip()
        for line in (cpu.read_text().splitlines() if cpu.exists() else [])
        if line.startswith("model name")
    ]
    memory_gb = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    name = names[0] if names else platform.processor()
    return Surroundings(
        date=f"{datetime.now(UTC):%Y-%m-%d %H:%M} UTC",
        machine=f"{name}, {os.cpu_count()} cores, {memory_gb:.0f} GB, {platform.system()}",
        versions={"Python": platform.python_version()}
        | {name: _version(name) for name in PACKAGES},
        load_before=os.getloadavg()[0],
    )


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "not installed"


def render_report(report: Report) -> str:
    """The whole page in Markdown."""
    return "\n".join(
        [
            *_head(report.surroundings),
            *_goals(report.outcomes),
            *_losses(report.outcomes),
            *(line for outcome in report.outcomes for line in render_outcome(outcome)),
            TAIL,
        ]
    )


def _head(where: Surroundings) -> list[str]:
    versions = ", ".join(f"{name} {number}" for name, number in where.versions.items())
    measured = (
        f"Measured {where.date} in {where.seconds / 60:.0f} minutes on {where.machine}; load "
        f"{where.load_before:.1f} before and {where.load_after:.1f} after."
    )
    told = [BUSY_WORDS] if where.load_before > BUSY else []
    told += [where.note] if where.note else []
    return [HEAD, measured, f"Versions: {versions}.", *told, ""]


def _goals(outcomes: Sequence[Outcome]) -> list[str]:
    judged = [goal for outcome in outcomes for goal in outcome.goals]
    missed = sum(goal.met is False for goal in judged)
    rows = [_goal(outcome, goal) for outcome in outcomes for goal in outcome.goals]
    said = f"{missed} of {len(judged)} are missed."
    return ["## Goals", "", said, "", GOALS, _rule(GOALS), *rows, ""]


def _goal(outcome: Outcome, goal: Judged) -> str:
    sign = "at least" if goal.at_least else "at most"
    met = {True: "met", False: "**missed**", None: "not measured"}[goal.met]
    measured, least = (
        "" if value is None else _number(value) for value in (goal.measured, goal.of_least)
    )
    bound = f"{sign} {_number(goal.bound)}"
    return f"| {outcome.title} | {goal.says} | {bound} | {measured} | {least} | {met} |"


def _losses(outcomes: Sequence[Outcome]) -> list[str]:
    """Where another takes less time."""
    lines = []
    for outcome in outcomes:
        ours = next((row for row in outcome.rows if row.role == OURS and row.seconds), None)
        for row in outcome.rows:
            if row.role == PEER and row.seconds and ours and row.cost() < ours.cost():
                ratio = _number(ours.cost() / row.cost())
                lines.append(f"- {outcome.title}: {row.name}; ours takes {ratio} times as long.")
    return ["## Where others are quicker", "", *(lines or ["Nowhere in this run."]), ""]


def render_outcome(outcome: Outcome) -> list[str]:
    """A heading, what is done, and a table."""
    grows = bool(outcome.piece)
    head = GROWTH.format(piece=outcome.piece) if grows else CONTENDERS
    ours = next((row for row in outcome.rows if row.role == OURS and row.seconds), None)
    rows = [_growth_row(row) if grows else _row(row, ours) for row in outcome.rows]
    said = outcome.data.replace(". ", ".\n")  # a sentence a line
    return [f"## {outcome.title}", "", said, "", head, _rule(head), *rows, ""]


def _row(row: Row, ours: Row | None) -> str:
    name = f"**{row.name}**" if row.role == OURS else row.name
    if row.missing:
        return f"| {name} | | not installed | | | | |"
    share = f", {row.share:.2g} of it" if row.share < 1.0 else ""
    limit = _number(row.cost()) if row.limit_s else ""
    beside = "" if ours is None or row.role == LIMIT else _number(row.cost() / ours.cost())
    return (
        f"| {name} | {len(row.seconds)}{share} | {_time(row.median)} | {_time(min(row.seconds))} "
        f"| {limit} | {beside} | {_mb(row)} |"
    )


def _growth_row(row: Row) -> str:
    each = _time(row.median / row.pieces) if row.pieces else ""
    return (
        f"| {row.name} | {len(row.seconds)} | {_time(row.median)} | {_time(min(row.seconds))} "
        f"| {each} | {_mb(row)} |"
    )


def _mb(row: Row) -> str:
    return "" if row.extra_mb is None or row.role == LIMIT else f"{row.extra_mb:,.3g}"


def _rule(head: str) -> str:
    return "|---" * (head.count("|") - 1) + "|"


def _number(value: float) -> str:
    return f"{value:,.0f}" if abs(value) >= 100 else f"{value:.3g}"


def _time(seconds: float) -> str:
    """In the unit that suits."""
    for unit, factor in (("s", 1.0), ("ms", 1e3), ("µs", 1e6)):
        if seconds * factor >= 1.0:
            return f"{_number(seconds * factor)} {unit}"
    return f"{seconds * 1e9:.2g} ns"


TAIL = """## Not measured

A cold disk, more than a thousand points in the peers, a thousand stations but in proportion, and \
other systems than this one.
"""
