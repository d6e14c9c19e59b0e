"""Lines, marks and bands over time, hours of a day or months: what such a chart shows."""

from __future__ import annotations

from enum import StrEnum

from msgspec import Struct


class Role(StrEnum):
    """What a curve is of; a surface draws each in its own way."""

    STATION = "station"
    SPOT = "spot"  # several stand beside each other
    THERMOMETER = "thermometer"
    FITTED = "fitted"
    CLEAR_NIGHTS = "clear-nights"
    OTHER_NIGHTS = "other-nights"
    MEDIAN = "median"


class Along(StrEnum):
    """What a chart goes along."""

    DATES = "dates"
    HOURS = "hours"  # of a day
    MONTHS = "months"


class Band(Struct, frozen=True, kw_only=True):
    """A range around a curve, at its own points; `name` is what it is called."""

    name: str
    low: tuple[float | None, ...]
    high: tuple[float | None, ...]


class Curve(Struct, frozen=True, kw_only=True):
    """
    One curve.

    Attributes
    ----------
    x
        Dates and moments as "YYYY-MM-DD" or "YYYY-MM-DD HH:MM", hours of a day, or months as
        they are to be read.
    y
        In the unit of the chart; None where nothing is known.
    """

    name: str
    role: Role
    x: tuple[str | int, ...]
    y: tuple[float | None, ...]
    band: Band | None = None


class Curves(Struct, frozen=True, kw_only=True):
    """
    What the chart draws.

    Attributes
    ----------
    upright, along
        What its axes are, with the unit.
    unit
        Of every value.
    signed
        Whether values are differences, told with their sign.
    """

    curves: tuple[Curve, ...]
    upright: str
    along: str
    scale: Along
    unit: str
    signed: bool = False
