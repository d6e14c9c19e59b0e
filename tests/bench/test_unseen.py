"""What looks better for nights that nobody saw says so, and little says so for nothing."""

from __future__ import annotations

import numpy as np
import pytest

from suitability.climate.unseen import find_missed

from .unseen import DATA, SPOTS, answers, by_lot, losses, open_record, what_improved

MILD = ("los_angeles", "porto_alegre", "guangzhou")  # where the coldest nights decide most
KINDS = {"nights, noon to noon": 1, "afternoons": 1, "coldest for their date": 10}
NAMES = sorted(path.stem for path in DATA.glob("*.hourly"))


@pytest.mark.parametrize(
    "name",
    [pytest.param(name, marks=() if name == "los_angeles" else pytest.mark.slow) for name in NAMES],
)
def test_what_looks_better_for_lost_nights_or_days_is_marked(name: str) -> None:
    """
    The coldest nights and the hottest days, from one to 3 % of all: every answer under a roof.

    There no rain covers for the cold. Frosts lost outside winter are told from ten of them on. All
    ways of losing them, in the open too, are measured for docs/calibration.md.
    """
    record, place = open_record(DATA / f"{name}.hourly")
    spot = SPOTS[1]
    before = answers(record, place, spot)
    better = name not in MILD  # there it is asked whether anything is
    for kind, number, lost in losses(
        record, round(place.utc_offset_hours), few=(1, 10), shares=(0.01, 0.03)
    ):
        if kind not in KINDS or number < KINDS[kind]:
            continue
        for group, after in answers(lost, place, spot).items():
            if after.marked and better:
                continue
            found = list(what_improved(before[group], after))
            better = better or bool(found)
            assert after.marked or not found, f"{kind} {number}, {group}: {', '.join(found)}"
    assert better


@pytest.mark.slow
def test_records_as_they_are_and_losses_by_lot_are_hardly_marked() -> None:
    """On 5 % of verdicts at most, each of the two."""
    whole, lots = [], []
    for name in NAMES:
        record, place = open_record(DATA / f"{name}.hourly")
        for spot in SPOTS:
            whole += [one.marked for one in answers(record, place, spot).values()]
            lot = by_lot(record, round(place.utc_offset_hours), 1)
            lots += [one.marked for one in answers(lot, place, spot).values()]
    assert np.mean(whole) <= 0.05
    assert np.mean(lots) <= 0.05


@pytest.mark.parametrize("gaps", [1, 2, 5, 20, 110])
def test_gaps_by_lot_are_told_in_seven_records_of_a_hundred_at_most(gaps: int) -> None:
    """
    Cold alone, on nights that are alike but for a season: 500 losses of so many each.

    One in twenty for the cold of the record and one in fifty for that of its season.
    """
    random = np.random.default_rng(gaps)
    nights = 3650
    year = 10.0 * np.cos(2.0 * np.pi * np.arange(nights) / 365.0)
    temp_c = np.repeat((year + random.normal(0.0, 3.0, nights))[:, None], 24, axis=1)
    told = 0
    for _ in range(500):
        lost = temp_c.copy()
        lost[1 + random.permutation(nights - 2)[:gaps]] = np.nan
        told += bool(find_missed(lost).cold.any())
    assert told / 500 <= 0.07 + 3.0 * np.sqrt(0.07 * 0.93 / 500)
