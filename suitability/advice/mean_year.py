"""
Hours below floors and comfort marks in the mean year of a spot: one count for every answer.

A month counts in the years in which it was observed well enough; the year is the sum of its twelve
months, so that it does not hang on where plant years are cut.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.advice.result import MonthOfYear
from suitability.advice.terms import MonthlyHours
from suitability.climate.exposure import (
    MonthlyExposure,
    MonthlyNormals,
    monthly_exposure,
    monthly_normals,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.groups.group import Needs
    from suitability.weather.record import Record
    from suitability.weather.sources.typical import TypicalYear

FloatArray = NDArray[np.float64]

RAW_DECIMALS = 6  # of raw counts: thousands of numbers, rounded at once


class Normals(Struct, frozen=True, kw_only=True):
    """The climatological year below one threshold, as findings hold it."""

    hours: MonthlyHours
    median_hours: tuple[float | None, ...]
    bad_hours: tuple[float | None, ...]
    degree_hours: tuple[float | None, ...]
    years: tuple[int, ...]


class MeanYear(Struct, frozen=True, kw_only=True):
    """
    Counts at one spot by threshold, °C.

    `normals` have the climatological year below floors and comfort marks; `by_month` has the months
    as they were, below growth floors.
    """

    normals: dict[float, Normals]
    by_month: dict[float, tuple[MonthOfYear, ...]]


def count_hours(record: Record, local_start: int, groups: Sequence[Needs]) -> MeanYear:
    """
    Observed hours below all floors and comfort marks of the groups, in one pass.

    Parameters
    ----------
    record
        At the spot; hours that were filled do not count.
    local_start : h
        Its first hour in standard time.
    """
    growth = {needs.floor_c for needs in groups}
    floors = sorted({floor for needs in groups for floor in _floors(needs)})
    exposure = monthly_exposure(record.temp_c, record.counted, local_start, np.array(floors))
    normals = monthly_normals(exposure, record.step_hours)
    return MeanYear(
        normals={floor: _normals_of(normals, row) for row, floor in enumerate(floors)},
        by_month={
            floor: _months_of(exposure, row) for row, floor in enumerate(floors) if floor in growth
        },
    )


def count_typical_hours(
    typical: TypicalYear, floors_c: Sequence[float]
) -> dict[float, MonthlyHours]:
    """
    Hours below each floor in the months of a typical year, which are no more than ordinary.

    Parameters
    ----------
    floors_c : °C
    """
    start_hour, floors = typical.start_hour, np.array(floors_c, np.float64)
    exposure = monthly_exposure(typical.temp_c, None, start_hour, floors)
    return {
        floor_c: MonthlyHours.of(_numbers(row))
        for floor_c, row in zip(floors_c, exposure.hours_below, strict=True)
    }


def _floors(needs: Needs) -> tuple[float, ...]:
    """Thresholds whose hours are counted by month: both floors, and the comfort mark."""
    marks = needs.floor_c, needs.rest_floor_c, needs.comfort_c
    return tuple(mark for mark in marks if mark is not None)


def _normals_of(normals: MonthlyNormals, row: int) -> Normals:
    """The climatological year below one floor."""
    return Normals(
        hours=MonthlyHours.of(_numbers(normals.mean_hours[row])),
        median_hours=_numbers(normals.median_hours[row]),
        bad_hours=_numbers(normals.bad_hours[row]),
        degree_hours=_numbers(normals.mean_degree_hours[row]),
        years=tuple(normals.years.tolist()),
    )


def _months_of(exposure: MonthlyExposure, row: int) -> tuple[MonthOfYear, ...]:
    """Raw counts below one floor."""
    first = exposure.first_year * 12 + exposure.first_month - 1
    rows = zip(
        _numbers(np.round(exposure.hours_below[row], RAW_DECIMALS)),
        _numbers(np.round(exposure.degree_hours_below[row], RAW_DECIMALS)),
        exposure.hours_valid.tolist(),
        strict=True,
    )
    return tuple(
        MonthOfYear(
            year=(first + number) // 12,
            month=(first + number) % 12 + 1,
            hours_valid=int(valid),
            hours_below=hours,
            degree_hours_below=degree_hours,
        )
        for number, (hours, degree_hours, valid) in enumerate(rows)
    )


def _numbers(values: FloatArray) -> tuple[float | None, ...]:
    """Plain numbers, None for nan."""
    return tuple(None if value != value else value for value in values.tolist())  # noqa: PLR0124
