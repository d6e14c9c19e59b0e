"""The sheet of protection: what would let a group stay out all year, and what heating takes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.advice.cases import Rules
from suitability.answers import words
from suitability.answers.head import sheet_of_places
from suitability.answers.sheet import Section, Text
from suitability.units import TemperatureUnit, show_difference, show_temperature

if TYPE_CHECKING:
    from collections.abc import Iterator

    from suitability.advice.protection import Heating, Lift, Measure, Outage, Protection
    from suitability.answers.sheet import Sheet
    from suitability.spots.heating import Loss
    from suitability.spots.spot import Heater

NEEDED_YEARS = Rules().fewest_for_all_year
NO_PROMISE = "Nothing here is a promise that a plant survives; see docs/safety.md."
SAY_THE_LOSS = (
    "Say what the enclosure loses (--area with --covering or --u, --volume, --air-changes) to have "
    "watts and kilowatt-hours."
)


def protection_sheet(found: Protection, units: TemperatureUnit) -> Sheet:
    """What protection says."""
    who = f"{words.clean(found.group_name, 60)}, {words.clean(found.spot.name, 40)}"
    asked = [("Promise", f"what {found.promise:.0%} of new years keep")]
    return sheet_of_places(
        [found.place],
        [found.credit],
        title=f"What would protect {who}, {words.clean(found.place.name)}",
        headline=headline(found, who, units),
        notes=found.understood,
        sections=_sections(found, units),
        asked=asked,
        closing=(NO_PROMISE,),
    )


def headline(found: Protection, who: str, units: TemperatureUnit) -> str:
    """What it takes, in one line; a heater that is too weak for it comes first."""
    if found.lives_for_sure and found.grows_for_sure:
        return f"{who}: nothing is needed."
    grows_only = found.lives_for_sure
    lift = found.to_grow if grows_only else found.to_live
    heating = found.heating_to_grow if grows_only else found.heating
    goal = "to grow too" if grows_only else "to live"
    if lift.held_c is None:
        if lift.lift_c is None:
            return f"{who}: {_no_answer(found.years_usable)}"
        warmer = show_difference(lift.lift_c, units)
        return f"{who}: every hour {warmer} warmer {goal}."
    held = show_temperature(lift.held_c, units)
    if heating is None:
        return f"{who}: hold {held} {goal}."
    watts = words.whole_span((heating.watts, heating.watts_high))
    given = found.spot.heater
    if given is None or heating.heater == "enough":
        return f"{who}: hold {held} {goal}, {watts} W."
    weak = "too weak" if heating.heater == "too weak" else "perhaps too weak"
    return f"{who}: the heater of {given.watts:.0f} W is {weak}; {held} takes {watts} W."


def _unheated(found: Protection) -> str:
    """The spot as it is, and what weakens that."""
    few = " (provisional)" if found.provisional else ""
    told = (
        f"At {words.clean(found.place.name)} it is unheated {found.verdict}{few}, from "
        f"{_plant_years(found.years_usable)}."
    )
    if found.lives and not found.lives_for_sure:
        told += " At the spot's colder end it does not live out all year."
    return told


def _sections(found: Protection, units: TemperatureUnit) -> Iterator[Section]:
    """What each goal takes, measures, heating, a power cut, and what to beware of."""
    beside = words.unseen_sentence(found.unseen_nights) if found.unseen_nights else ""
    beside = beside if found.reason is None else words.clean(found.reason.text, 400)
    first = Text(sentences=tuple(filter(None, (_unheated(found), beside))))
    yield Section(name="unheated", blocks=(first,))
    answers = {(one.lift_c, one.held_c) for one in (found.to_live, found.to_grow)}
    if not (found.lives_for_sure and found.grows_for_sure) and answers != {(None, None)}:
        goals = (_to_live(found, units), _to_grow(found, units))
        yield Section(name="goals", blocks=(Text(sentences=goals),))
    yield from _measures(found)
    told_of = [("live", found.heating), ("grow or rest all year too", found.heating_to_grow)]
    if found.heating == found.heating_to_grow:
        told_of = [("live, and grow or rest all year too", found.heating)]
    for number, (goal, heating) in enumerate(told_of, start=1):
        if heating is not None:
            title = (
                f"Heating so that it may {goal}, held at {show_temperature(heating.held_c, units)}:"
            )
            told = Text(sentences=heating_sentences(heating, found.spot.heater), listed=True)
            yield Section(name=f"heating-{number}", title=title, blocks=(told,))
    if found.loss is not None and (found.heating or found.heating_to_grow) is not None:
        yield Section(name="loss", blocks=(Text(sentences=loss_sentences(found.loss)),))
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
        reached=found.lives_for_sure,
    )


def _to_grow(found: Protection, units: TemperatureUnit) -> str:
    return goal_sentence(
        f"To grow or rest all year too, in {found.promise:.0%} of new years",
        found.to_grow,
        units,
        years=found.years_usable,
        reached=found.grows_for_sure,
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
        return f"{name}: {_no_answer(years)}"
    parts = []
    if lift.lift_c is not None:
        parts.append(f"every hour {show_difference(lift.lift_c, units)} warmer")
    if lift.held_c is not None:
        parts.append(f"a held minimum of {show_temperature(lift.held_c, units)}")
    return f"{name}: {', or '.join(parts)}."


def _no_answer(years: int) -> str:
    """Why nothing is said of what it takes."""
    if years < NEEDED_YEARS:
        return (
            f"cannot be said. The record holds {_plant_years(years)}, {NEEDED_YEARS} are needed to "
            "speak of a whole year."
        )
    return "no warmth that was tried is enough (heat may be what harms it)."


def _measures(found: Protection) -> Iterator[Section]:
    """Measures without electricity, where any goal is open at the colder end of the spot."""
    if found.lives_for_sure and found.grows_for_sure:
        return
    told = Text(sentences=tuple(map(measure_sentence, found.measures)), listed=True)
    yield Section(name="measures", title="Without electricity:", blocks=(told,))


def measure_sentence(measure: Measure) -> str:
    """A measure, the verdict with it, and whether it is enough at the colder end too."""
    ends = measure.spot_ends
    told = ""
    if {ends.low, ends.high} != {measure.verdict}:
        told = f" (from its colder to its warmer end: {ends.low} to {ends.high})"
    lives = "; enough to live, also at its colder end" if measure.lives else ""
    return f"{measure.name}: {measure.verdict}{told}{lives}"


def heating_sentences(heating: Heating, given: Heater | None = None) -> tuple[str, ...]:
    """The heater, beside the one that is there, and energy and cost of a year."""
    watts = words.whole_span((heating.watts, heating.watts_high))
    heater = f"heater: {watts} W for the coldest hour on record; choose one of the higher number"
    if given is not None and heating.heater is not None:
        enough = {"enough": "enough", "perhaps": "enough only at the usual numbers"}
        word = enough.get(heating.heater, "too weak")
        heater = f"heater: {watts} W for the coldest hour on record; {given.watts:.0f} W is {word}"
    typical, bad = heating.kwh_typical, heating.kwh_bad_year
    if typical is None or bad is None:
        return heater, "energy: not known; the record has fewer than three whole years"
    usual = words.whole_span((typical, heating.kwh_typical_high or typical))
    most, cost = words.whole_span((bad, heating.kwh_bad_year_high or bad)), ""
    if heating.cost_typical is not None and heating.cost_bad_year_high is not None:
        cost = f"; cost {heating.cost_typical:.2f} to {heating.cost_bad_year_high:.2f}"
    return heater, (
        f"energy: {usual} kWh in the median year, {most} in a bad one (one in ten){cost}, from "
        f"{heating.years} years"
    )


def loss_sentences(loss: Loss) -> tuple[str, ...]:
    """What the ends of the ranges are, and what was assumed."""
    ends = (
        f"Lower numbers: the usual of everything. Higher: the spot's colder end, and a loss of "
        f"{loss.high_w_per_k:.1f} instead of {loss.w_per_k:.1f} W/K."
        if loss.high_w_per_k > loss.w_per_k
        else f"Lower numbers: the spot as it usually is. Higher: its colder end. Loss: "
        f"{loss.w_per_k:.1f} W/K."
    )
    if loss.volume_m3 is None:
        return (ends, "The loss is as given; the air that leaks must be in it.")
    said = [
        text
        for assumed, text in (
            (loss.volume_assumed, f"{loss.volume_m3:.1f} m³ of air, the most such a cover holds"),
            (loss.air_changes_assumed, "changed once an hour, twice on the safe side"),
        )
        if assumed
    ]
    return (ends, f"Assumed, since not said: {', '.join(said)}.") if said else (ends,)


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
