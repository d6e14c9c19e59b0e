"""
Moisture of the air: vapour pressure, its deficit, and hours of dry air.

Saturation is over water at every temperature, also below 0 °C, where it is some 5 % more at -5 °C
than over ice: FAO-56 (Allen et al. 1998, *Crop evapotranspiration*, FAO Irrigation and Drainage
Paper 56), equation 11. Formulas of other handbooks differ by up to 0.4 % between 0 and 40 °C.
The deficit of a mean is not the mean of the deficits: ask hour by hour, then average.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from suitability.climate.exposure import EPSILON_C

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

PRESSURE_AT_ZERO_KPA, FACTOR, OFFSET_C = 0.6108, 17.27, 237.3  # FAO-56 eq. 11
DRY_ABOVE_C, DRY_BELOW_PCT = 30.0, 30.0  # air that dries plants out; reasoned


def saturation_pressure_kpa(temp_c: FloatArray) -> FloatArray:
    """
    Vapour pressure of saturated air over water, kPa: FAO-56 equation 11.

    Parameters
    ----------
    temp_c : any shape, °C

    Examples
    --------
    >>> saturation_pressure_kpa(np.array([0.0, 20.0])).round(4).tolist()
    [0.6108, 2.3383]
    """
    pressure: FloatArray = PRESSURE_AT_ZERO_KPA * np.exp(FACTOR * temp_c / (temp_c + OFFSET_C))
    return pressure


def vapour_pressure_kpa(temp_c: FloatArray, rhum_pct: FloatArray) -> FloatArray:
    """
    Actual vapour pressure, kPa.

    Parameters
    ----------
    temp_c : any shape, °C
    rhum_pct : same shape, %
        Relative humidity; nan where unknown.
    """
    return saturation_pressure_kpa(temp_c) * rhum_pct / 100.0


def humidity_when_warmed(
    temp_c: FloatArray, rhum_pct: FloatArray, warmed_c: FloatArray
) -> FloatArray:
    """
    Relative humidity of the same air at another temperature, %; 100 where it would be dew.

    Parameters
    ----------
    temp_c, rhum_pct, warmed_c : same shape
        nan where unknown.

    Examples
    --------
    >>> humidity_when_warmed(np.array([10.0]), np.array([80.0]), np.array([20.0])).round(1).tolist()
    [42.0]
    """
    pressure = vapour_pressure_kpa(temp_c, rhum_pct)
    humidity: FloatArray = np.minimum(100.0 * pressure / saturation_pressure_kpa(warmed_c), 100.0)
    return humidity


def vapour_deficit_kpa(temp_c: FloatArray, rhum_pct: FloatArray) -> FloatArray:
    """
    What the air lacks to saturation (VPD), kPa: how hard it draws water from leaves.

    Parameters
    ----------
    temp_c : any shape, °C
    rhum_pct : same shape, %

    Examples
    --------
    >>> round(vapour_deficit_kpa(np.array([25.0]), np.array([50.0])).item(), 3)
    1.584
    """
    return saturation_pressure_kpa(temp_c) - vapour_pressure_kpa(temp_c, rhum_pct)


def dry_air(temp_c: FloatArray, rhum_pct: FloatArray) -> BoolArray:
    """
    Hours of air so warm and dry that thin-leaved plants dry out: above 30 °C, under 30 %.

    Parameters
    ----------
    temp_c, rhum_pct : same shape, °C and %
        An hour without either is not dry: read the count beside the hours that have both.
    """
    warm: BoolArray = temp_c > DRY_ABOVE_C + EPSILON_C
    return warm & (rhum_pct < DRY_BELOW_PCT - EPSILON_C)
