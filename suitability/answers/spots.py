"""What a spot adds to the open air, and what its range means, in sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.answers import words
from suitability.units import TemperatureUnit, bare, show_difference, show_temperature

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.comparison import Row
    from suitability.advice.result import CheckResult, Finding
    from suitability.spots.spot import Offset


def spot_decides(finding: Finding | Row) -> bool:
    """Whether the ends of what is known of the spot give another verdict."""
    ends = finding.spot_ends
    return ends is not None and {ends.low, ends.high} != {finding.verdict}


def spot_sentences(result: CheckResult, name: str, units: TemperatureUnit) -> list[str]:
    """What one spot of a result adds to the open air; nothing for a spot as outside."""
    spot = next((spot for spot in result.spots if spot.name == name), None)
    if spot is None or spot.is_as_outside:
        return []
    if spot.room is not None:
        room = show_temperature(spot.room.temp_c, units)
        return [f"Indoors, in a room of {room} all year: {words.READ_IN_A_ROOM}"]
    clear, other, day = (signed_range(offset, units) for offset in spot.offsets_c)
    parts = [f"{clear} on clear and calm nights, {other} on other nights, {day} by day"]
    if spot.damping_hours:
        parts.append(f"following with a time constant of {spot.damping_hours:g} h")
    if spot.held_minimum_c is not None:
        parts.append(f"held at {show_temperature(spot.held_minimum_c, units)} or more")
    where = f"from the ready kind {spot.kind}; not measured" if spot.kind else "your own numbers"
    if spot.measured:
        where = f"measured on {sum(log.nights for log in spot.measured)} nights"
    return [f"Against the open air: {'; '.join(parts)} ({where})."]


def range_sentences(findings: Sequence[Finding]) -> list[str]:
    """At which groups the range of the spot decides."""
    split = [finding for finding in findings if spot_decides(finding)]
    if not split:
        return []
    named = "; ".join(
        f"{words.short_name(finding, 40)} {words.VERDICT_WORDS[finding.spot_ends.low]} to "
        f"{words.VERDICT_WORDS[finding.spot_ends.high]}"
        for finding in split
        if finding.spot_ends is not None
    )
    return [f"Spot decides, from its colder to its warmer end: {named}. Measure it."]


def signed_range(offset: Offset, units: TemperatureUnit) -> str:
    """An offset with its sign and range."""
    usual = f"{_signed(offset.usual, units)} {units.symbol}"
    return usual if offset.is_sure else f"{usual} ({signed_ends(offset, units)})"


def signed_ends(offset: Offset, units: TemperatureUnit) -> str:
    """The ends of an offset's range, with their signs."""
    return f"{_signed(offset.low, units)} to {_signed(offset.high, units)}"


def _signed(value_c: float, units: TemperatureUnit) -> str:
    return f"{'-' if value_c < 0 else '+'}{bare(show_difference(abs(value_c), units), units)}"
