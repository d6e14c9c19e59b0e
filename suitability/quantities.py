"""
Quantities: what the numbers of a result are, in which unit, and to how many decimals they are told.

A field of a result says with these types what it holds; the JSON document, its schema, columns of
CSV and workbooks and cells of tables all read it there. A result rounds its numbers when it is
made, once, so that no surface rounds and none can differ.
"""

import math
from functools import cache
from inspect import get_annotations
from typing import Annotated, Any, get_args, get_origin

from msgspec import Meta, Struct
from msgspec.structs import force_setattr

from suitability.brief import brief

SCHEMA_VERSION = 2  # of all documents
SchemaVersion = Annotated[
    int,
    Meta(
        ge=SCHEMA_VERSION,
        le=SCHEMA_VERSION,
        description="Of the form of the document; docs/changes.md lists what each one changed.",
    ),
]


def _of(unit: str, decimals: int | None = None, **limits: Any) -> Meta:
    """What a quantity is measured in, rounded to, and within which limits it lies."""
    extra = {"unit": unit} if decimals is None else {"unit": unit, "decimals": decimals}
    return Meta(extra_json_schema={"unit": unit} if unit else None, extra=extra, **limits)


# Thresholds come from °F too (55.04 °F is 12.8 °C), so temperatures keep six decimals.
Celsius = Annotated[float, _of("°C", 6)]
MeanCelsius = Annotated[float, _of("°C", 3)]  # of many hours, days or nights
Difference = Annotated[float, _of("K", 3)]  # of two temperatures
GivenDifference = Annotated[float, _of("K", 6)]  # typed by a person, perhaps in °F
Gap = Annotated[float, _of("K", 3, ge=0)]  # how far apart, or how much warmer
Hours = Annotated[float, _of("h", 3)]
DegreeHours = Annotated[float, _of("°C·h", 3)]
Share = Annotated[float, _of("0 to 1", 6, ge=0, le=1)]
SUREST = 0.99  # the highest promise; and no chance of a new year is told to be higher
Promise = Annotated[float, _of("0 to 1", 6, ge=0.5, le=SUREST)]  # a share that may be asked for
Chance = Annotated[float, _of("0 to 1", 4, ge=0, le=SUREST)]  # that new years keep something
Probability = Annotated[float, _of("0 to 1", 4, ge=0, le=1)]  # beyond four decimals is noise
Count = Annotated[int, Meta(ge=0)]
NightsAYear = Annotated[float, _of("nights a year", 3, ge=0)]
Metres = Annotated[float, _of("m", 3)]
Millimetres = Annotated[float, _of("mm", 1, ge=0)]  # of rain
MillimetresApart = Annotated[float, _of("mm", 1)]
DaysAMonth = Annotated[float, _of("days", 1, ge=0, le=31)]
Kilometres = Annotated[float, _of("km", 3, ge=0)]
Degrees = Annotated[float, _of("°")]  # of latitude and longitude, as given
Watts = Annotated[float, _of("W", 3, ge=0)]
WattsPerKelvin = Annotated[float, _of("W/K", 3, gt=0)]
KilowattHours = Annotated[float, _of("kWh", 3, ge=0)]
Month = Annotated[int, Meta(ge=1, le=12)]
MonthDay = Annotated[
    str,
    Meta(
        pattern="^(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$",
        extra_json_schema={"unit": "MM-DD, standard time"},
        extra={"month_day": True},
    ),
]
_TWELVE = {"min_length": 12, "max_length": 12}
_NotBelow0 = Annotated[float, Meta(ge=0)]
_Part = Annotated[float, Meta(ge=0, le=1)]
TwelveHours = Annotated[tuple[_NotBelow0 | None, ...], _of("h", 3, **_TWELVE)]  # January first
TwelveDegreeHours = Annotated[tuple[_NotBelow0 | None, ...], _of("°C·h", 3, **_TWELVE)]
TwelveShares = Annotated[tuple[_Part | None, ...], _of("0 to 1", 6, **_TWELVE)]
TwelveDays = Annotated[tuple[Annotated[int, Meta(ge=0, le=31)], ...], _of("days", None, **_TWELVE)]
TwelveCounts = Annotated[tuple[Count, ...], Meta(**_TWELVE)]


class Result(Struct, frozen=True, kw_only=True, rename={"inn": "in"}):
    """
    A value of an answer: its numbers are finite and rounded as their quantity says, or None.

    Annotations of its classes are real objects, never texts, so that they can be read at run time
    without being compiled then.
    """

    def __repr__(self) -> str:
        """One line for an answer or a row of one, whose fields would fill screens."""
        return brief(self) or super().__repr__()

    def __post_init__(self) -> None:
        """Round once: what is told later is what is held."""
        for name, decimals in _rounded_fields(type(self)):
            value = getattr(self, name)
            if value is not None:
                # The value is not in anybody's hands yet, so that it may still be set.
                force_setattr(self, name, _rounded(value, decimals))


def _rounded(value: Any, decimals: int) -> Any:
    """A number, or those of a tuple; adding 0 makes 0 of -0."""
    if isinstance(value, tuple):
        return tuple(None if one is None else _rounded(one, decimals) for one in value)
    return round(value, decimals) + 0.0 if math.isfinite(value) else None


@cache
def _rounded_fields(kind: type[Struct]) -> tuple[tuple[str, int], ...]:
    """Fields that hold numbers to be rounded, and to how many decimals."""
    found = {}
    for part in reversed(kind.__mro__):
        for name, annotation in get_annotations(part).items():
            if isinstance(annotation, str):
                # Else its numbers would pass unrounded, and infinities too.
                msg = f"{part.__name__}.{name} is annotated by a text: no future annotations here"
                raise TypeError(msg)
            decimals = _extra(annotation, "decimals")
            if decimals is not None:
                found[name] = decimals
    return tuple(found.items())


def _extra(annotation: Any, key: str) -> Any:
    """What the metadata of a type, or of a part of a union of it with None, says under a key."""
    if get_origin(annotation) is Annotated:
        kind, *metadata = get_args(annotation)
        for meta in metadata:
            if isinstance(meta, Meta) and meta.extra and key in meta.extra:
                return meta.extra[key]
        return _extra(kind, key)
    found = (_extra(part, key) for part in get_args(annotation) if part is not type(None))
    return next((one for one in found if one is not None), None)


def unit_of(annotation: Any) -> str:
    """
    The unit of a field's type, or an empty text.

    Examples
    --------
    >>> unit_of(Celsius | None), unit_of(TwelveHours), unit_of(str)
    ('°C', 'h', '')
    """
    return _extra(annotation, "unit") or ""


def is_month_day(annotation: Any) -> bool:
    """
    Whether a field holds a day of the year, "MM-DD".

    Examples
    --------
    >>> is_month_day(MonthDay | None), is_month_day(Month)
    (True, False)
    """
    return _extra(annotation, "month_day") is not None
