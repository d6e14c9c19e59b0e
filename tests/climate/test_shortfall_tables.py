"""Tables that groups share against the nights of each group alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from suitability.climate.shortfall_tables import SpotTables
from suitability.climate.states import lacking_warmth, without_wet
from tests.climate.plain import own_tables

if TYPE_CHECKING:
    from suitability.climate.states import Thresholds
    from tests.climate.conftest import LayOut
    from tests.conftest import Hourly

DOSE_LIMITS = (60.0, 80.0)


@pytest.mark.slow
@settings(max_examples=20)
@given(
    seed=st.integers(0, 2**32 - 1),
    rain=st.sampled_from(["none known", "some", "roofed"]),
    decimals=st.sampled_from([1, 2]),
    data=st.data(),
)
def test_shared_tables_say_what_each_group_lacks(
    *,
    hourly: Hourly,
    lay_out: LayOut,
    mild: Thresholds,
    seed: int,
    rain: str,
    decimals: int,
    data: st.DataObject,
) -> None:
    """To the last bit: wet and dry pots, several limits, heat, and hours that were missed."""
    generator = np.random.default_rng(seed)
    record = hourly(years=2, mean_c=16.0, year_c=8.0, day_c=4.0)
    temp_c = (record.temp_c + generator.normal(0.0, 2.0, record.temp_c.size)).round(decimals)
    temp_c[generator.random(temp_c.size) < 0.001] = np.nan
    prcp_mm = np.where(generator.random(temp_c.size) < 0.005, 3.0, 0.0)
    record = replace(record, temp_c=temp_c, prcp_mm=prcp_mm if rain == "some" else None)
    nights = lay_out(record, roofed=rain == "roofed", dose_limits=DOSE_LIMITS, allowance_c=0.3)
    tables = SpotTables(nights)
    for limit, wet, base, dose, ceiling in (
        (5.0, 8.0, 12.0, 60.0, None),
        (4.0, 4.0, 13.5, 80.0, 27.0),
        (9.1, 7.7, 11.0, 60.0, 30.0),
    ):
        limits = replace(
            mild, limit_c=limit, limit_wet_c=wet, chill_base_c=base, dose_limit_c_h=dose,
            ceiling_c=ceiling,
        )  # fmt: skip
        shortfall = lacking_warmth(nights, limits)
        length = data.draw(st.integers(1, 365))
        for shared, own in (
            (tables.of(limits), own_tables(shortfall, nights.winter)),
            (
                tables.of(limits, dry=True),
                own_tables(without_wet(shortfall, nights, limits), nights.winter),
            ),
        ):
            for one, other in ((shared.at_once, own.at_once), (shared.dose, own.dose)):
                for first in (0, 13):
                    for starts in (slice(0, 365), np.arange(100, 400, 7)):
                        np.testing.assert_array_equal(
                            one.of(first, length, starts), other.of(first, length, starts)
                        )
            assert (shared.room is None) == (own.room is None) == (ceiling is None)
            if shared.room is not None and own.room is not None:
                np.testing.assert_array_equal(
                    shared.room.of(0, length, slice(0, 365)), own.room.of(0, length, slice(0, 365))
                )


def test_heat_that_is_known_is_no_more_than_heat_that_may_have_been(
    hourly: Hourly, lay_out: LayOut, mild: Thresholds
) -> None:
    """A day of a hot run whose hours are missing: it may have been the fourth hot one."""
    record = hourly(years=1, mean_c=31.0, day_c=2.0)
    temp_c = record.temp_c.copy()
    temp_c[100 * 24 : 102 * 24] = np.nan
    nights = lay_out(replace(record, temp_c=temp_c))
    tables, limits = SpotTables(nights), replace(mild, ceiling_c=30.0)
    may_be, known = tables.room(limits), tables.room(limits, known_heat=True)
    assert may_be is not None
    assert known is not None
    starts = np.arange(nights.axis.night_of.size)
    assert (known.of(0, 1, starts) <= may_be.of(0, 1, starts)).all()
    assert (known.of(0, 1, starts) < may_be.of(0, 1, starts)).any()


def test_nothing_is_known_of_nowhere(hourly: Hourly, lay_out: LayOut, mild: Thresholds) -> None:
    tables = SpotTables(lay_out(hourly(years=1))).of(replace(mild, ceiling_c=30.0)).by_heat_alone()
    for table in (tables.at_once, tables.dose):
        assert table.of(0, 70, slice(0, 365)).max() == -np.inf
    assert tables.room is not None
    assert tables.room.of(0, 70, slice(0, 365)).max() == pytest.approx(18.0 - 30.0, abs=1e-6)
