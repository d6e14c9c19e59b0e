"""Promises hold on years left out: the compact form of docs/calibration.md, on records in tests."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from suitability.climate.chance import without_model
from suitability.climate.witnesses import PLAIN
from suitability.weather.sources.files import read_file_record

if TYPE_CHECKING:
    from types import ModuleType

DATA = Path(__file__).parent.parent / "data"
STATIONS = {
    "los_angeles": (33.938, -118.389),
    "porto_alegre": (-30.05, -51.17),
    "nashville": (36.119, -86.689),
    "dallas": (32.898, -97.019),
    "reno": (39.484, -119.771),
    "st_louis": (38.753, -90.374),
}
BAR = 0.03  # delivered may lie so far under what was promised


def load_calibration() -> ModuleType:
    """The benchmark beside this file, which is a script and no package."""
    path = Path(__file__).with_name("calibration.py")
    specification = importlib.util.spec_from_file_location("calibration", path)
    assert specification is not None
    assert specification.loader is not None
    module = importlib.util.module_from_spec(specification)
    sys.modules["calibration"] = module
    specification.loader.exec_module(module)
    return module


calibration: Any = load_calibration()


@pytest.fixture(scope="module")
def asked() -> list[Any]:
    """Every distinct group of the catalogue at six stations."""
    return [
        case
        for name, position in STATIONS.items()
        for case in calibration.hourly_cases(
            name, read_file_record(DATA / f"{name}.hourly", longitude=position[1]), position
        )
    ]


def test_promises_are_kept_by_years_left_out(asked: list[Any]) -> None:
    """Seasons promised at 80, 90 and 95 % are kept by about that share of unseen years."""
    trials = [
        trial
        for case in asked
        for trial in calibration.try_seasons(case, calibration.leave_one_out(case.usable))
    ]
    for promise in calibration.PROMISES:
        share, _, high, number = calibration.delivered(trials, promise)
        assert number > 1000
        assert share >= promise - BAR
        assert high >= promise


def test_the_plain_best_stretch_breaks_its_promise(asked: list[Any]) -> None:
    """Without the kernel the same years keep clearly fewer promises: the test can fail."""
    trials = [
        trial
        for case in asked
        for trial in calibration.try_seasons(
            case,
            calibration.leave_one_out(case.usable),
            kernel=lambda _years: PLAIN,
            promises=(0.9,),
        )
    ]
    share, _, high, _ = calibration.delivered(trials, 0.9)
    assert share < 0.9 - BAR
    assert high < 0.9


def test_the_past_keeps_its_promise_in_the_last_five_years(asked: list[Any]) -> None:
    """What the earlier years promise, the last five keep."""
    trials = [
        trial
        for case in asked
        for trial in calibration.try_seasons(case, calibration.past_and_last(case.usable))
    ]
    for promise in calibration.PROMISES:
        share, _, _, number = calibration.delivered(trials, promise)
        assert number > 300
        assert share >= promise - BAR


def test_whole_years_promised_are_kept(asked: list[Any]) -> None:
    """What is promised all year at 90 % is kept by at least 90 % of the years left out."""
    found = [pair for case in asked for pair in calibration.try_whole_years(case)]
    kept = np.array([was_kept for chance, was_kept in found if chance >= 0.9])
    assert kept.size > 50
    assert kept.mean() >= 0.9


def test_all_years_kept_carry_n_minus_1_over_n_plus_1() -> None:
    """The distribution-free rule on exchangeable years: two free ends, n years, one new year."""
    generator = np.random.default_rng(7)
    years = 9
    ends = generator.normal(size=(20000, years + 1, 2))
    starts, stops = ends[:, :, 0], ends[:, :, 1]
    kept = (starts[:, -1] <= starts[:, :-1].max(axis=1)) & (
        stops[:, -1] >= stops[:, :-1].min(axis=1)
    )
    # Independent ends fail together now and then, so that the bound is nearly met from above.
    assert without_model(years) == pytest.approx(0.8)
    assert 0.8 <= kept.mean() <= 0.8 + 1.0 / (years + 1) ** 2 + 0.01
