"""Our seasons are about as long as those of plain methods that deliver the same share."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.climate.days import DAYS
from suitability.climate.seasons import find_longest
from tests.climate.plain import PLAIN

from .baselines import (
    LEVELS,
    days_by_share,
    lay_out_years,
    plain_stretches,
    quantile_dates,
    year_ends,
)
from .cases import Asked, daily_cases
from .sharpness import BASELINES, beside, compare, put_to
from .trials import PROMISES, outcome

pytestmark = pytest.mark.slow

# The bar of docs/calibration.md, 0.97 of the best baseline, is that of 24 stations. Here are six
# with 9 to 20 years: a median of 640 lengths of few distinct stations moves by some nights with any
# one of them (0.95 to 1.14 for other thirds of the groups), so that it has 3 % of slack. The mean
# is steadier (0.99 to 1.04), and is held to the bar itself.
MEDIAN_BAR, MEAN_BAR = 0.94, 0.97
SAME = 0.015  # delivered shares this near are called the same; years are few and levels coarse


def test_seasons_are_as_long_as_those_of_tuned_baselines(asked: list[Asked]) -> None:
    """At 90 and 95 %, every third group: no baseline that keeps as many years is clearly longer."""
    methods, stations = compare(asked[::3])
    assert stations.size > 500
    ours = methods["ours"].delivered(np.ones(stations.size, np.bool_))
    for place in (1, 2):
        for name in BASELINES:
            found = beside(methods["ours"], methods[name], place, stations, elsewhere=False)
            assert found.delivered == pytest.approx(ours[place], rel=0, abs=SAME), name
            assert found.median_ratio >= MEDIAN_BAR, (PROMISES[place], name)
            assert found.mean_ratio >= MEAN_BAR, (PROMISES[place], name)


def test_the_plain_stretch_here_is_that_of_the_program(asked: list[Asked]) -> None:
    """Counted by its own way here: the same length, and years that keep and fail it alike."""
    for case in asked[::17]:
        years = lay_out_years(case)
        left_out = int(np.flatnonzero(case.usable)[-1])
        counting = replace(case.past_years, counts=np.arange(case.usable.size) != left_out)
        columns, nights = plain_stretches(years, left_out)
        for level in (0, 25, 40, 50):
            found = find_longest(counting, PLAIN, float(LEVELS[level]))
            assert (found.nights if found else 0) == (nights[level] if nights[level] >= 14 else 0)
            if found is not None and found.nights < DAYS:
                start = (int(columns[level]) + case.past_years.cut) % DAYS
                assert start == found.start
                kept, failed = outcome(case.past_years, found.start, found.nights)
                _, was_kept, told = put_to(years, left_out, (columns, nights))
                assert was_kept[level] == kept[left_out]
                assert told[level] == (kept[left_out] or failed[left_out])


def test_baselines_by_hand() -> None:
    """Six equal years, cold but for days 100 to 249, the second also on days 120 and 240.

    With the last left out, all of the others are fine from day 121 to 239, more than three
    quarters of them from 100 to 249. Type 6 at a level of 0.75 of five years lies 0.75 x 6 = 4.5
    places up: halfway from day 100 to day 121, rounded up: 111; and so from 250 back to 240: 245.
    """
    minimum_c = np.zeros(6 * 365)
    for year in range(6):
        minimum_c[year * 365 + 100 : year * 365 + 250] = 20.0
    minimum_c[[365 + 120, 365 + 240]] = 0.0
    values = np.insert(minimum_c, [2 * 365 + 59], 0.0)  # 29 February 1972
    case = daily_cases("invented", 0, values)[0]
    years = lay_out_years(case)
    cut = case.past_years.cut
    left_out = int(np.flatnonzero(case.usable)[-1])
    level = {0.75: 25, 1.0: 50}
    for method in (plain_stretches, days_by_share):
        column, nights = method(years, left_out)
        for share, (first, length) in {0.75: (100, 150), 1.0: (121, 119)}.items():
            assert ((column[level[share]] + cut) % DAYS, nights[level[share]]) == (first, length)
    middle = (180 - cut) % DAYS
    ends = year_ends(years, middle)
    assert ends[2].sum() == 6
    column, nights = quantile_dates(ends, left_out, middle, "weibull")
    assert ((column[25] + cut) % DAYS, nights[25]) == (111, 245 - 111)
    assert ((column[50] + cut) % DAYS, nights[50]) == (121, 240 - 121)
