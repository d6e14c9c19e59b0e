"""Growing spots: a position at a place and how it differs from the open air."""

from __future__ import annotations

from suitability.frozen import frozen

__all__ = ["OPEN_AIR", "ROOFED", "Spot"]


@frozen
class Spot:
    """
    A growing spot.

    Attributes
    ----------
    name
    roofed
        Rain is kept off the pot.
    """

    name: str
    roofed: bool = False


OPEN_AIR = Spot(name="open-air")
ROOFED = Spot(name="roofed", roofed=True)
