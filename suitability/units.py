"""
Units at the door: Celsius inside, Fahrenheit only where a person reads or types it.

Differences and temperatures convert differently, so each has a function of its own.
"""

from __future__ import annotations

import math
import re
from enum import StrEnum
from typing import TYPE_CHECKING, overload

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

DECIMALS_KEPT = 6  # of a converted Fahrenheit value, so that 55.04 °F is 12.8 °C and not 12.7999…

# A temperature or two of them in a sentence; not a difference, which converts otherwise.
TEMPERATURES = re.compile(
    r"(?<!by )(?<!\d or )(?<!\d and )(?<!\d, )(?<![\d./\u2013-])"
    r"(-?\d+(?:\.\d+)?)(?: to (-?\d+(?:\.\d+)?))? °C(?!\w)"
    r"(?! (?:above|below|colder|cooler|higher|less|lower|more|warmer))"
)


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


def shown_value(temp_c: float, unit: TemperatureUnit) -> float:
    """
    The number of a temperature in the reader's unit, for charts and columns.

    Examples
    --------
    >>> shown_value(100.0, TemperatureUnit.F)
    212.0
    """
    return temp_c if unit is TemperatureUnit.C else fahrenheit_from_celsius(temp_c)


def shown_apart(delta_c: float, unit: TemperatureUnit) -> float:
    """
    The number of a difference of temperatures in the reader's unit.

    Examples
    --------
    >>> shown_apart(100.0, TemperatureUnit.F)
    180.0
    """
    return delta_c if unit is TemperatureUnit.C else delta_c * 1.8


def show_temperature(temp_c: float, unit: TemperatureUnit, decimals: int = 1) -> str:
    """
    A temperature in words, in the reader's unit.

    Examples
    --------
    >>> show_temperature(15.0, TemperatureUnit.F, 0)
    '59 °F'
    >>> show_temperature(-17.777778, TemperatureUnit.F)
    '0.0 °F'
    """
    value = shown_value(temp_c, unit)
    return f"{round(value, decimals) + 0.0:.{decimals}f} {unit.symbol}"  # no minus before 0


def show_not_below(temp_c: float, unit: TemperatureUnit) -> str:
    """
    The whole degree at or above a temperature: a floor or limit must not be told too low.

    Examples
    --------
    >>> show_not_below(4.5, TemperatureUnit.C), show_not_below(10.0, TemperatureUnit.F)
    ('5 °C', '50 °F')
    >>> show_not_below(4.0, TemperatureUnit.F)
    '40 °F'
    """
    value = shown_value(temp_c, unit)
    return f"{math.ceil(round(value, DECIMALS_KEPT))} {unit.symbol}"


def show_not_above(temp_c: float, unit: TemperatureUnit) -> str:
    """
    The whole degree at or below a temperature: a ceiling must not be told too high.

    Examples
    --------
    >>> show_not_above(17.5, TemperatureUnit.C), show_not_above(36.0, TemperatureUnit.F)
    ('17 °C', '96 °F')
    >>> show_not_above(35.0, TemperatureUnit.F)
    '95 °F'
    """
    value = shown_value(temp_c, unit)
    return f"{math.floor(round(value, DECIMALS_KEPT))} {unit.symbol}"


def show_difference(delta_c: float, unit: TemperatureUnit, decimals: int = 1) -> str:
    """
    A difference of temperatures in words, in the reader's unit.

    Examples
    --------
    >>> show_difference(5.0, TemperatureUnit.F)
    '9.0 °F'
    """
    value = shown_apart(delta_c, unit)
    return f"{value:.{decimals}f} {unit.symbol}"


def bare(text: str, unit: TemperatureUnit) -> str:
    """
    A temperature or difference in words without its unit, which is said elsewhere.

    Examples
    --------
    >>> bare("9.0 °F", TemperatureUnit.F)
    '9.0'
    """
    return text.removesuffix(f" {unit.symbol}")


def temperatures_in(text: str, unit: TemperatureUnit) -> str:
    """
    A sentence of the catalogue with its temperatures in the reader's unit, whole °F.

    Differences ("2 °C colder") and what cannot be turned as a whole ("10, 12 or 15 °C") stay.

    Examples
    --------
    >>> temperatures_in("buds blast below about 12 °C", TemperatureUnit.F)
    'buds blast below about 54 °F'
    >>> temperatures_in("nights of 10 to 16 °C; 2 °C colder harms", TemperatureUnit.F)
    'nights of 50 to 61 °F; 2 °C colder harms'
    >>> temperatures_in("10 or 12 °C, 10-12 °C, -3 °C", TemperatureUnit.F)
    '10 or 12 °C, 10-12 °C, 27 °F'
    """
    if unit is TemperatureUnit.C:
        return text

    def shown(found: re.Match[str]) -> str:
        temps = [float(group) for group in found.groups() if group is not None]
        return f"{' to '.join(str(round(fahrenheit_from_celsius(temp))) for temp in temps)} °F"

    return TEMPERATURES.sub(shown, text)
