"""
The winter rest against trials of flower induction in nobile types.

Yen et al. 2008, *HortScience* (abstract): three weeks at 13 °C saturate the cooling need; 18 °C
gives fewer flowers than 10 to 15 °C. Lin 2011, MSc thesis, Texas A&M (abstract): at 10 °C two
hybrids took two weeks, one at least four. The plants stood in rooms of constant temperature.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.advice.resting import rest_need_of
from suitability.climate.days import daily_minimum
from suitability.climate.heat import longest_run
from suitability.climate.rest import in_band, judge_rest, lay_out_rest
from suitability.climate.rest_need import RestNeed, RestState, room_state
from suitability.climate.states import lay_out_nights, wet_hours
from suitability.groups import read_catalogue

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.conftest import Hourly
    from tests.published.conftest import Series


def nobile() -> RestNeed:
    """What the catalogue's nobile type needs."""
    need = rest_need_of(read_catalogue().find("nobile").needs())
    assert need is not None
    return need


def need_of_weeks(weeks: int) -> RestNeed:
    """The same for a hybrid whose trial names so many weeks: its nights and its cool hours."""
    nights = 7.0 * weeks
    return replace(nobile(), nights=nights, cool_hours=24.0 * nights, cool_hours_partly=None)


# days, °C, what is needed, state
TRIALS = [
    (21, 13.0, nobile(), RestState.MET),
    (21, 15.0, nobile(), RestState.MET),
    (21, 10.0, nobile(), RestState.MET),
    (21, 18.0, nobile(), RestState.NOT),
    (49, 18.0, nobile(), RestState.NOT),
    (14, 10.0, need_of_weeks(2), RestState.MET),
    (14, 10.0, need_of_weeks(4), RestState.NOT),
    (28, 10.0, need_of_weeks(4), RestState.MET),
]
NAMES = [f"{days}d-{temp_c:.0f}C-{need.nights:.0f}n" for days, temp_c, need, _ in TRIALS]


@pytest.mark.parametrize(("days", "temp_c", "need", "state"), TRIALS, ids=NAMES)
def test_a_trial_in_a_room(days: int, temp_c: float, need: RestNeed, state: RestState) -> None:
    assert room_state(need, temp_c, days) is state


@pytest.mark.parametrize(("days", "temp_c", "need", "state"), TRIALS, ids=NAMES)
def test_a_trial_as_a_stretch_of_an_hourly_record(
    hourly: Hourly, days: int, temp_c: float, need: RestNeed, state: RestState
) -> None:
    """The same constant temperature from noon of 1 December on, in an otherwise warm record."""
    record = hourly(start="2001-01-01T12", years=2, mean_c=28.0, year_c=4.0)
    temp = record.temp_c.copy()
    first = 334 * 24  # 1 December 12:00
    temp[first : first + days * 24] = temp_c
    nights = lay_out_nights(
        temp,
        wet_hours(None, temp.size, roofed=True),
        record.start_hour,
        minimum_allowance_c=0.6,
        highest_c=30.0,
        dose_limits_c_h=frozenset({120.0}),
    )
    years = judge_rest(lay_out_rest(nights, None), need, np.ones(365, np.bool_))
    assert years.state[years.counts].tolist() == [int(state)]


@pytest.mark.parametrize(("low_c", "days", "run"), [(0.0, 794, 86), (5.0, 553, 47)])
def test_days_in_a_band_of_an_open_series(
    series: Callable[[str], Series], low_c: float, days: int, run: int
) -> None:
    """
    Of 980 daily minima 794 lie in 0 to 13 °C, in runs of up to 86; in 5 to 13 °C 553 and 47.

    The sample of eemeter 4.1.1 (Apache-2.0), counted with pandas; both ends are in the band. Its
    last day has 13 hours: too few for a minimum of ours, so its lowest hour is put in.
    """
    start, temp_c = series("uk")
    _, minimum_c = daily_minimum(temp_c, start)
    assert np.isnan(minimum_c).nonzero()[0].tolist() == [979]
    minimum_c[-1] = temp_c[-13:].min()
    inside = in_band(minimum_c, low_c, 13.0)
    assert int(inside.sum()) == days
    assert longest_run(inside[None, :]).tolist() == [run]
