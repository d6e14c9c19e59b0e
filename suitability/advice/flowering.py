"""When a group blooms, and the light that it wants: of the catalogue, and of no record."""

from typing import Annotated

from msgspec import Meta

from suitability.advice.terms import Span
from suitability.groups.group import Group, Mark, Value
from suitability.quantities import Month, Result

NEAR_EQUATOR = 10.0  # degrees of latitude; reasoned


class BloomTime(Result, frozen=True, kw_only=True):
    """The months of its flowers, by the half of the world of the place."""

    first_month: Month
    last_month: Annotated[Month, Meta(description="Before the first: across New Year.")]
    told_of: Annotated[str, Meta(description="Of which plants; empty for the group.")]
    mark: Annotated[Mark, Meta(description="Where it comes from.")]


class LightWanted(Result, frozen=True, kw_only=True):
    """The light that a group wants."""

    light_class: str | None
    light_klx: Annotated[Span | None, Meta(description="klx")]
    shade_pct: Annotated[Span | None, Meta(description="Per cent, under full summer sun.")]
    light_mark: Annotated[Mark | None, Meta(description="Where light_klx comes from.")]


def bloom_at(group: Group, latitude: float) -> BloomTime | None:
    """
    When a group blooms at a latitude; None where no source tells.

    None too for a group that only stands in for a plant, and near the equator, where half a year
    earlier or later means nothing.

    Parameters
    ----------
    latitude : degrees north
    """
    bloom = group.bloom if group.rest_told else None
    if bloom is None or abs(latitude) < NEAR_EQUATOR:
        return None
    first, last = bloom.months_at(latitude)
    return BloomTime(first_month=first, last_month=last, told_of=bloom.told_of, mark=bloom.mark)


def light_of(group: Group) -> LightWanted:
    """The light that a group wants, with its mark."""
    return LightWanted(
        light_class=group.light_class,
        light_klx=span_of(group.light_klx),
        shade_pct=span_of(group.shade_pct),
        light_mark=None if group.light_klx is None else group.light_klx.mark,
    )


def span_of(value: Value | None) -> Span | None:
    """The range of a value."""
    return None if value is None else Span(low=value.low, high=value.high)
