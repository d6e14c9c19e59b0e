"""What would protect a group, as text."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from suitability.advice.cases import Rules
from suitability.advice.verdicts import Verdict
from suitability.answers import words
from suitability.units import TemperatureUnit, show_difference, show_temperature

if TYPE_CHECKING:
    from suitability.advice.protection import Heating, Lift, Measure, Protection

__all__ = ["render_protection"]

WIDTH = 80
NEEDED_YEARS = Rules().fewest_for_all_year


def render_protection(found: Protection, units: TemperatureUnit, *, width: int = WIDTH) -> str:
    """The whole answer as text."""
    lines = [words.INVENTED, ""] if found.place.invented else []
    lines += [
        (
            f"{words.clean(found.group_name, 60)} at the spot {words.clean(found.spot.name, 40)}, "
            f"{words.clean(found.place.name)}"
        ),
        (
            f"Unheated: {words.VERDICT_WORDS[found.verdict]}"
            f"{'; provisional' if found.provisional else ''}, "
            f"from {_plant_years(found.years_usable)}."
        ),
        *(words.clean(note, 400) for note in found.understood),
        *(() if found.reason is None else (words.clean(found.reason.text, 400),)),
        "",
    ]
    promise, years = f"{found.promise:.0%} of new years", found.years_usable
    lines.append(
        _goal(
            f"To live out all year in {promise}",
            found.to_live,
            units,
            years=years,
            reached=found.lives,
        )
    )
    grows = found.verdict is Verdict.ALL_YEAR
    lines.append(
        _goal(
            f"To grow or rest all year too, in {promise}",
            found.to_grow,
            units,
            years=years,
            reached=grows,
        )
    )
    if not (found.lives and grows):
        lines += ["", "Without electricity:"]
        lines += [f"- {_measure(measure)}" for measure in found.measures]
    elif any(
        {one.spot_ends.low, one.spot_ends.high} != {Verdict.ALL_YEAR} for one in found.measures
    ):
        lines += ["", "If you want more warmth all the same, without electricity:"]
        lines += [f"- {_measure(measure)}" for measure in found.measures]
    for name, heating in (
        ("live", found.heating),
        ("grow or rest all year too", found.heating_to_grow),
    ):
        if heating is not None:
            lines += ["", *_heating_lines(f"Heating so that it may {name}", heating, units)]
    if found.heating is None and found.heating_to_grow is None and _is_held(found):
        lines += [
            "",
            (
                "Say what the enclosure loses (--area with --covering or --u, --volume, "
                "--air-changes) to have watts and kilowatt-hours."
            ),
        ]
    lines += _outage_lines(found, units)
    cautions = found.cautions
    if cautions:
        lines += ["", "Cautions:", *(f"- {caution}" for caution in cautions)]
    else:
        lines.append("")
    lines.append("Nothing here is a promise that a plant survives; see docs/safety.md.")
    lines += ["", f"Weather: {words.credit_text(found.credit)}"]
    wrapped = []
    for line in lines:
        indent = "  " if line.startswith("- ") else ""
        wrapped += textwrap.wrap(line, width, subsequent_indent=indent) or [""]
    return "\n".join(wrapped)


def _is_held(found: Protection) -> bool:
    """Whether the answer names a minimum for a heater to hold."""
    return found.to_live.held_c is not None or found.to_grow.held_c is not None


def _ends(measure: Measure) -> set[Verdict]:
    """Its verdicts at the ends of what is known of the spot."""
    return {measure.spot_ends.low, measure.spot_ends.high}


def _plant_years(years: int) -> str:
    return f"{years} usable plant year{'' if years == 1 else 's'}"


def _goal(name: str, lift: Lift, units: TemperatureUnit, *, years: int, reached: bool) -> str:
    """What one goal takes, in a sentence, by so many usable plant years."""
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


def _measure(measure: Measure) -> str:
    short = words.SHORT_VERDICTS
    verdict = words.VERDICT_WORDS[measure.verdict]
    ends = ""
    if _ends(measure) != {measure.verdict}:
        low, high = short[measure.spot_ends.low], short[measure.spot_ends.high]
        ends = f" (from its colder to its warmer end: {low} to {high})"
    lives = "; enough to live, also at its colder end" if measure.lives else ""
    return f"{measure.name}: {verdict}{ends}{lives}"


def _heating_lines(name: str, heating: Heating, units: TemperatureUnit) -> list[str]:
    held = show_temperature(heating.held_c, units)
    lines = [
        f"{name}, held at {held}, loss {heating.loss_w_per_k:.1f} W/K:",
        f"- heater: {heating.watts:.0f} W for the coldest hour on record; choose one above that",
    ]
    if heating.kwh_typical is None or heating.kwh_bad_year is None:
        lines.append("- energy: not known; the record has fewer than three whole years")
        return lines
    cost = ""
    if heating.cost_typical is not None and heating.cost_bad_year is not None:
        cost = f" (cost {heating.cost_typical:.2f} and {heating.cost_bad_year:.2f})"
    lines.append(
        f"- energy: {heating.kwh_typical:.0f} kWh in a typical year, {heating.kwh_bad_year:.0f} "
        f"in one of ten{cost}, from {heating.years} years"
    )
    return lines


def _outage_lines(found: Protection, units: TemperatureUnit) -> list[str]:
    outage = found.outage
    if outage is None:
        return []
    lowest = show_temperature(outage.lowest_c, units)
    damping = found.spot.damping_hours
    how = f"time constant {damping:g} h" if damping else "no lag is known of the spot"
    limit = "dry limit" if found.spot.roofed else "wet limit"
    below = (
        f", {show_difference(outage.below_limit_c, units)} below the {limit}"
        if outage.below_limit_c > 0.0
        else f", above the {limit}"
    )
    return [
        "",
        (
            f"A power cut of {outage.hours} h at the worst hour on record would let it fall to "
            f"{lowest}{below} ({how})."
        ),
    ]
