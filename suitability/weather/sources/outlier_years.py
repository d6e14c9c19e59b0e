"""Years of a station whose file is in another unit or of another station, told by the others."""

from __future__ import annotations

from statistics import median
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["find_outlier_years"]

FARTHEST_C = 8.0  # median difference from the other years' months; in practice 1 to 3 °C


def find_outlier_years(
    month_medians_c: Mapping[int, tuple[float | None, ...]], farthest_c: float = FARTHEST_C
) -> dict[int, float]:
    """
    Years whose months lie far from those of the others, and by how much, °C.

    The year farthest from the median of all is taken out, and again, until all that are left agree;
    of two years that disagree, neither can be believed.

    Parameters
    ----------
    month_medians_c
        Twelve medians of each year, None where a month has too few hours.
    farthest_c
        Median difference over the months that is still believed.

    Examples
    --------
    >>> find_outlier_years({2001: (5.0,) * 12, 2002: (5.5,) * 12, 2003: (41.0,) * 12})
    {2003: 35.5}
    """
    left = {
        year: medians
        for year, medians in month_medians_c.items()
        if any(value is not None for value in medians)
    }
    outlier_years: dict[int, float] = {}
    while len(left) > 1:
        far = {year: _distance_c(medians, left) for year, medians in left.items()}
        worst = max(abs(off_c) for off_c in far.values())
        if worst <= farthest_c / (2 if len(left) == 2 else 1):
            break
        for year, off_c in far.items():
            if abs(off_c) >= worst - 1e-9:
                outlier_years[year] = off_c
                del left[year]
    return outlier_years


def _distance_c(
    medians: tuple[float | None, ...], others: Mapping[int, tuple[float | None, ...]]
) -> float:
    """Median difference of a year's months from the median of all years' same months, °C."""
    differences = []
    for month, own in enumerate(medians):
        same = [other[month] for other in others.values() if other[month : month + 1]]
        given = [value for value in same if value is not None]
        if own is not None and given:
            differences.append(own - median(given))
    return median(differences) if differences else 0.0
