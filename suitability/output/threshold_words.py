"""The words of threshold dates: last spring and first autumn days of a temperature."""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.output import words
from suitability.output.moves_words import ALONE
from suitability.units import TemperatureUnit, show_temperature

if TYPE_CHECKING:
    from suitability.advice.moves_result import ThresholdDates, ThresholdLevel

__all__ = ["level_cells", "threshold_notes", "threshold_title", "threshold_winters"]

NO_DATE = "-"


def threshold_title(dates: ThresholdDates, units: TemperatureUnit) -> str:
    """What a table of threshold dates holds."""
    return f"Days of {show_temperature(dates.threshold_c, units)} or colder, at the station"


def level_cells(level: ThresholdLevel) -> tuple[str, str, str, str, str]:
    """Probability, spring and autumn dates of one level."""

    def shown(month_day: str | None) -> str:
        return NO_DATE if month_day is None else words.day_month(month_day, short=True)

    return (
        f"{level.probability:.0%}",
        shown(level.spring_if_it_happens),
        shown(level.spring_in_any_year),
        shown(level.autumn_if_it_happens),
        shown(level.autumn_in_any_year),
    )


def threshold_notes() -> list[str]:
    """How the dates of a temperature are read."""
    chance = (
        "Chance: of such a day on or after the date in spring, on or before it in autumn; so 10% "
        "is the cautious date of both."
    )
    conventions = (
        "If it happens at all: only winters that had such a day, as published tables print it. In "
        f"any year: all winters, for decisions; {NO_DATE} where too few have such a day."
    )
    return [
        chance,
        conventions,
        f"These are {ALONE}.",
        "Lowest hourly readings, no allowance taken off: true minima are a little lower.",
    ]


def threshold_winters(dates: ThresholdDates) -> str:
    """How many winters had such a day."""
    if not dates.seasons:
        return "No winter was observed well enough to tell."
    winters = f"{dates.seasons} winter{'s' if dates.seasons != 1 else ''}"
    if not dates.seasons_with_event:
        return f"None of {winters} had such a day: there are no dates."
    said = f"{dates.seasons_with_event} of {winters} had such a day."
    if not dates.summers_without_gap:
        return said
    number = dates.summers_without_gap
    return (
        f"{said} In {number} summer{'s' if number != 1 else ''} less than four weeks lay between "
        "the last of spring and the first of autumn: do not take the time between the two dates "
        "for a warm season."
    )
