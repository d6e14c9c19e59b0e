"""Every year of a station left out in turn, as the calibration does."""

from __future__ import annotations

from suitability.weather.sources.files import read_file_record

from .contest import OURS, Contender, Goal, Run, Setting, Work
from .one_station import DATA


def _all_years(groups: int | None) -> Run:
    from tests.bench.cases import hourly_cases
    from tests.bench.trials import leave_one_out, try_seasons

    def run() -> int:
        record = read_file_record(DATA / "nashville.hourly", longitude=-86.689)
        cases = hourly_cases("nashville", record, (36.119, -86.689))[:groups]
        return sum(len(list(try_seasons(one, leave_one_out(one.usable)))) for one in cases)

    return run


def leaving_out(setting: Setting) -> tuple[Work, ...]:
    """The calibration of one station."""
    ours = "21 years left out, every group"
    groups = 1 if setting.quick else None
    return (
        Work(
            "calibration",
            "Calibration of one station",
            "Nashville: every distinct group, every year left out, three promises.",
            (Contender(ours, lambda: _all_years(groups), role=OURS),),
            (Goal("seconds", ours, 10.0, measure="seconds"),),
            rounds=1,
        ),
    )
