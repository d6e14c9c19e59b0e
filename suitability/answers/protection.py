"""The sheet of protection: what would let a group stay out all year, and what heating takes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.advice.cases import Rules
from suitability.advice.verdicts import Verdict
from suitability.answers import words
from suitability.answers.head import sheet_of_places
from suitability.answers.sheet import Section, Text
from suitability.units import TemperatureUnit, show_difference, show_temperature

if TYPE_CHECKING:
    from collections.abc import Iterator

    from suitability.advice.protection import Heating, Lift, Measure, Outage, Protection
    from suitability.answers.sheet import Sheet

__all__ = [
    "goal_sentence",
    "heating_sentences",
    "measure_sentence",
    "outage_sentence",
    "protection_sheet",
]

NEEDED_YEARS = Rules().fewest_for_all_year
NO_PROMISE = "Nothing here is a promise that a plant survives; see docs/safety.md."
SAY_THE_LOSS = (
    "Say what the enclosure loses (--area with --covering or --u, --volume, --air-changes) to have "
    "watts and kilowatt-hours."
)


def protection_sheet(found: Protection, units: TemperatureUnit) -> Sheet:
    """
    What protection says.

    Parameters
    ----------
    units
        In which temperatures are shown.
    """
    where = (
        f"{words.clean(found.group_name, 60)} at the spot {words.clean(found.spot.name, 40)}, "
        f"{words.clean(found.place.name)}"
    )
    asked = [("Promise", f"what {found.promise:.0%} of new years keep")]
    return sheet_of_places(
        [found.place],
        [found.credit],
        title=f"What would protect {where}",
        headline=_headline(found, where, units),
        notes=found.understood,
        sections=_sections(found, units),
        asked=asked,
        closing=(NO_PROMISE,),
    )


def _headline(found: Protection, where: str, units: TemperatureUnit) -> str:
    """What it is without, and what it needs to live, in a sentence."""
    few = " (provisional)" if found.provisional else ""
    years = _plant_years(found.years_usable)
    return f"{where}: unheated {found.verdict}{few}, from {years}. {_to_live(found, units)}"


def _sections(found: Protection, units: TemperatureUnit) -> Iterator[Section]:
    """What each goal takes, measures, heating, a power cut, and what to beware of."""
    if found.unseen_nights:
        seen = words.unseen_sentence(found.unseen_nights)
        seen = seen if found.reason is None else words.clean(found.reason.text, 400)
        yield Section(name="unheated", blocks=(Text(sentences=(seen,)),))
    yield Section(name="goals", blocks=(Text(sentences=(_to_grow(found, units),)),))
    yield from _measures(found)
    for number, (goal, heating) in enumerate(
        (("live", found.heating), ("grow or rest all year too", found.heating_to_grow)), start=1
    ):
        if heating is not None:
            title = (
                f"Heating so that it may {goal}, held at "
                f"{show_temperature(heating.held_c, units)}, loss {heating.loss_w_per_k:.1f} W/K:"
            )
            told = Text(sentences=heating_sentences(heating), listed=True)
            yield Section(name=f"heating-{number}", title=title, blocks=(told,))
    held = (found.to_live.held_c, found.to_grow.held_c)
    if found.heating is None and found.heating_to_grow is None and held != (None, None):
        yield Section(name="loss", blocks=(Text(sentences=(SAY_THE_LOSS,)),))
    if found.outage is not None:
        told = Text(sentences=(outage_sentence(found.outage, found, units),))
        yield Section(name="power-cut", blocks=(told,))
    if found.cautions:
        listed = Text(sentences=found.cautions, listed=True)
        yield Section(name="cautions", title="Cautions:", blocks=(listed,))


def _to_live(found: Protection, units: TemperatureUnit) -> str:
    return goal_sentence(
        f"To live out all year in {found.promise:.0%} of new years",
        found.to_live,
        units,
        years=found.years_usable,
        reached=found.lives,
    )


def _to_grow(found: Protection, units: TemperatureUnit) -> str:
    return goal_sentence(
        f"To grow or rest all year too, in {found.promise:.0%} of new years",
        found.to_grow,
        units,
        years=found.years_usable,
        reached=found.verdict is Verdict.ALL_YEAR,
    )


def goal_sentence(
    name: str, lift: Lift, units: TemperatureUnit, *, years: int, reached: bool
) -> str:
    """
    What one goal takes.

    Parameters
    ----------
    years
        Usable plant years that it rests on.
    reached
        Whether nothing is needed.
    """
    if reached:
        return f"{name}: nothing is needed."
    if lift.lift_c is None and lift.held_c is None:
        if years < NEEDED_YEARS:
            return (
                f"{name}: cannot be said. The record holds {_plant_years(years)}, {NEEDED_YEARS} "
                "are needed to speak of a whole year."
            )
        return f"{name}: no warmth that was tried is enough (heat may be what harms it)."
    parts = []
    if lift.lift_c is not None:
        parts.append(f"every hour {show_difference(lift.lift_c, units)} warmer")
    if lift.held_c is not None:
        parts.append(f"a held minimum of {show_temperature(lift.held_c, units)}")
    return f"{name}: {', or '.join(parts)}."


def _measures(found: Protection) -> Iterator[Section]:
    """Measures without electricity, where any goal is open or the spot's range leaves doubt."""
    if not (found.lives and found.verdict is Verdict.ALL_YEAR):
        title = "Without electricity:"
    elif any(
        {one.spot_ends.low, one.spot_ends.high} != {Verdict.ALL_YEAR} for one in found.measures
    ):
        title = "If you want more warmth all the same, without electricity:"
    else:
        return
    told = Text(sentences=tuple(map(measure_sentence, found.measures)), listed=True)
    yield Section(name="measures", title=title, blocks=(told,))


def measure_sentence(measure: Measure) -> str:
    """A measure, the verdict with it, and whether it is enough at the colder end too."""
    ends = measure.spot_ends
    told = ""
    if {ends.low, ends.high} != {measure.verdict}:
        told = f" (from its colder to its warmer end: {ends.low} to {ends.high})"
    lives = "; enough to live, also at its colder end" if measure.lives else ""
    return f"{measure.name}: {measure.verdict}{told}{lives}"


def heating_sentences(heating: Heating) -> tuple[str, str]:
    """The heater, and energy and cost of a year."""
    heater = f"heater: {heating.watts:.0f} W for the coldest hour on record; choose one above that"
    if heating.kwh_typical is None or heating.kwh_bad_year is None:
        return heater, "energy: not known; the record has fewer than three whole years"
    cost = ""
    if heating.cost_typical is not None and heating.cost_bad_year is not None:
        cost = f" (cost {heating.cost_typical:.2f} and {heating.cost_bad_year:.2f})"
    return heater, (
        f"energy: {heating.kwh_typical:.0f} kWh in a typical year, {heating.kwh_bad_year:.0f} "
        f"in one of ten{cost}, from {heating.years} years"
    )


def outage_sentence(outage: Outage, found: Protection, units: TemperatureUnit) -> str:
    """How far a power cut lets it fall, beside the limit that is in force at the spot."""
    damping = found.spot.damping_hours
    how = f"time constant {damping:g} h" if damping else "no lag is known of the spot"
    limit = "dry limit" if found.spot.roofed else "wet limit"
    below = (
        f"{show_difference(outage.below_limit_c, units)} below the {limit}"
        if outage.below_limit_c > 0.0
        else f"above the {limit}"
    )
    return (
        f"A power cut of {outage.hours} h at the worst hour on record would let it fall to "
        f"{show_temperature(outage.lowest_c, units)}, {below} ({how})."
    )


def _plant_years(years: int) -> str:
    return f"{years} usable plant year{'' if years == 1 else 's'}"
