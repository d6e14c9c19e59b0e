"""
Speed side by side with what a user would pick instead, in one command.

    python -m tests.bench [--only W1,W5] [--json FILE] [--write-page] [--quick]

Takes under ten minutes on two cores that have nothing else to do.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
import warnings
from pathlib import Path

from msgspec import json
from msgspec.structs import replace

from .speed.contest import Setting, hold
from .speed.page import BUSY, Report, render_outcome, render_report, surroundings
from .speed.works import GROUPS, works_of

PAGE = Path(__file__).parents[2] / "docs" / "performance.md"


def measure(groups: list[str], *, quick: bool = False, file: Path | None = None) -> Report:
    """All works of some groups, printed and kept in a file as they are done."""
    where, start = surroundings(), time.monotonic()
    if where.load_before > BUSY:
        print(f"The load is {where.load_before:.1f}: other work on the machine misleads.\n")
    report = Report(surroundings=where, outcomes=())
    with tempfile.TemporaryDirectory() as folder:
        setting = Setting(folder=Path(folder), quick=quick)
        for group in groups:
            for work in works_of(group, setting):
                outcome = hold(work, setting)
                print("\n".join(render_outcome(outcome)), flush=True)
                seconds, load = time.monotonic() - start, os.getloadavg()[0]
                report = Report(
                    surroundings=replace(where, load_after=load, seconds=seconds),
                    outcomes=(*report.outcomes, outcome),
                )
                if file:
                    file.write_bytes(json.format(json.encode(report)))
            works_of.cache_clear()
    return report


def main() -> None:
    """Measure, print, and write what was asked for."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument("--only", metavar="GROUP,...", help=f"of {', '.join(GROUPS)}")
    parser.add_argument("--json", metavar="FILE", type=Path, help="all times, for programs")
    parser.add_argument("--write-page", action="store_true", help="docs/performance.md")
    parser.add_argument("--quick", action="store_true", help="tiny sizes, in seconds: no figures")
    asked = parser.parse_args()
    groups = asked.only.split(",") if asked.only else list(GROUPS)
    if unknown := [group for group in groups if group not in GROUPS]:
        parser.error(f"--only {','.join(unknown)}: choose of {', '.join(GROUPS)}.")
    if asked.write_page and (asked.only or asked.quick):
        parser.error("--write-page: holds a whole run; leave out --only and --quick.")
    warnings.simplefilter("ignore")  # of the libraries, about themselves
    report = measure(groups, quick=asked.quick, file=asked.json)
    if asked.write_page:
        PAGE.write_text(render_report(report), encoding="utf-8")
    missed = [goal.says for one in report.outcomes for goal in one.goals if goal.met is False]
    print(f"{report.surroundings.seconds:.0f} s; {len(missed)} goals missed", file=sys.stderr)


if __name__ == "__main__":
    main()
