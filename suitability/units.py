"""
Units at the door: Celsius inside, Fahrenheit only where a person reads or types it.

Differences and temperatures convert differently, so each has a function of its own.
"""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, overload

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = [
    "TemperatureUnit",
    "celsius_from_fahrenheit",
    "fahrenheit_from_celsius",
    "show_difference",
    "show_temperature",
]

DECIMALS_KEPT = 6  # of a converted Fahrenheit value, so that 55.04 °F is 12.8 °C and not 12.7999…


class TemperatureUnit(StrEnum):
    """The unit a person reads; the program computes in °C."""

    C = "c"
    F = "f"

    @property
    def symbol(self) -> str:
        """The unit sign, with its degree mark."""
        return "°C" if self is TemperatureUnit.C else "°F"


@overload
def celsius_from_fahrenheit(temp_f: float) -> float: ...
@overload
def celsius_from_fahrenheit(temp_f: NDArray[np.float64]) -> NDArray[np.float64]: ...
def celsius_from_fahrenheit(
    temp_f: float | NDArray[np.float64],
) -> float | NDArray[np.float64]:
    """
    Temperature in °C of one in °F, kept to six decimals.

    Rounding matters: an hour of exactly 55.04 °F stands at 12.8 °C, and without it
    would count as colder.

    Examples
    --------
    >>> celsius_from_fahrenheit(55.04)
    12.8
    """
    celsius = (temp_f - 32.0) / 1.8
    return round(celsius, DECIMALS_KEPT) if isinstance(celsius, float) else celsius.round(6)


def fahrenheit_from_celsius(temp_c: float) -> float:
    """
    Temperature in °F of one in °C.

    Examples
    --------
    >>> fahrenheit_from_celsius(100.0)
    212.0
    """
    return temp_c * 1.8 + 32.0


def show_temperature(temp_c: float, unit: TemperatureUnit, decimals: int = 1) -> str:
    """
    A temperature in words, in the reader's unit.

    Examples
    --------
    >>> show_temperature(15.0, TemperatureUnit.F, 0)
    '59 °F'
    """
    value = temp_c if unit is TemperatureUnit.C else fahrenheit_from_celsius(temp_c)
    return f"{value:.{decimals}f} {unit.symbol}"


def show_difference(delta_c: float, unit: TemperatureUnit, decimals: int = 1) -> str:
    """
    A difference of temperatures in words, in the reader's unit.

    Examples
    --------
    >>> show_difference(5.0, TemperatureUnit.F)
    '9.0 °F'
    """
    value = delta_c if unit is TemperatureUnit.C else delta_c * 1.8
    return f"{value:.{decimals}f} {unit.symbol}"
