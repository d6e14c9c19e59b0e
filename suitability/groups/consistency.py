"""Contradictions between the values of one group, which no single field shows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.groups.group import RestNeed

if TYPE_CHECKING:
    from suitability.groups.group import Group, Rest, Value

__all__ = ["find_contradiction"]

Contradiction = tuple[str, str, str]  # field, what was found, what would be right

# lower field, higher field, which of the two is blamed, and why
ORDERS = (
    ("limit_c", "limit_wet_c", "limit_wet_c", "a wet plant stands no more than a dry one"),
    ("limit_c", "floor_c", "limit_c", "a plant does not grow where one night harms it"),
    ("limit_wet_c", "floor_c", "limit_wet_c", "a plant does not grow where one night harms it"),
    ("chill_base_c", "floor_c", "chill_base_c", "a plant does not grow while it takes chill"),
    ("rest_floor_c", "floor_c", "rest_floor_c", "the rest is cooler than growth"),
    ("limit_c", "rest_floor_c", "rest_floor_c", "one routine night of the rest must not harm"),
    ("floor_c", "warm_night_c", "warm_night_c", "a night cannot be too cold and too warm"),
    ("floor_c", "ceiling_c", "ceiling_c", "heat harms above the floor, not below it"),
    ("warm_night_c", "ceiling_c", "warm_night_c", "nights are judged more strictly than days"),
)
ENDS = ("best", "low", "high")


def find_contradiction(group: Group, *, wet_limit_given: bool = True) -> Contradiction | None:
    """
    The first contradiction as field, what was found and what would be right; None if there is none.

    Two values that must stand in an order are compared best with best, low with low and high with
    high, as `Caution` moves them; equal is in order. A wet limit that was not given (but derived
    from the dry one) is not held to the floor.
    """
    for lower, higher, blamed, why in ORDERS:
        if lower == "limit_wet_c" and not wet_limit_given:
            continue
        found = _out_of_order(getattr(group, lower), getattr(group, higher))
        if found:
            end, below, above = found
            other = higher if blamed == lower else lower
            value, bound = (below, above) if blamed == lower else (above, below)
            side = "at most" if blamed == lower else "at least"
            right = f"{side} {bound:g}, the {end} value of {other}: {why}"
            return blamed, f"{value:g} as {end} value", right
    if group.heat_limited and group.ceiling_c is None:
        return "ceiling_c", "nothing", "a ceiling, because heat_limited is true"
    return _rest_contradiction(group.rest) if group.rest else None


def _out_of_order(lower: Value | None, higher: Value | None) -> tuple[str, float, float] | None:
    if lower is None or higher is None:
        return None
    for end in ENDS:
        below: float = getattr(lower, end)
        above: float = getattr(higher, end)
        if below > above:
            return end, below, above
    return None


def _rest_contradiction(rest: Rest) -> Contradiction | None:
    if rest.needed is RestNeed.YES:
        lacking = _needed_rest_lacks(rest)
        if lacking:
            return lacking
    if (rest.cool_hours is None) is not (rest.cool_band_c is None):
        absent = "rest.cool_band_c" if rest.cool_band_c is None else "rest.cool_hours"
        return absent, "nothing", "cool_hours and cool_band_c together, or neither"
    partly, night = rest.partly_above_c, rest.night_c
    if partly is not None and not (night is not None and night.low <= partly.best <= night.high):
        return "rest.partly_above_c", f"{partly.best:g}", "a temperature inside the band of night_c"
    return None


def _needed_rest_lacks(rest: Rest) -> Contradiction | None:
    because = "because the rest is needed"
    night = rest.night_c
    if night is None:
        return "rest.night_c", "nothing", f"the band of nights, {because}"
    if night.low == night.high:
        found = f"low and high both {night.low:g}"
        return "rest.night_c", found, f"a band with low below high, {because}"
    if rest.weeks is None and rest.nights is None:
        return "rest.weeks", "nothing", f"weeks or nights, {because}"
    return None
