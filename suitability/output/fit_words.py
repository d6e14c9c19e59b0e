"""What a calibration found, as text and as the JSON document of docs/schema/fit.json."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from suitability.answers import words
from suitability.output.spot_words import signed_range
from suitability.units import TemperatureUnit, show_difference

if TYPE_CHECKING:
    from suitability.advice.calibration import Calibration

__all__ = ["fit_rows", "fit_title", "render_fit"]

SCHEMA_VERSION = 1
WIDTH = 80


def fit_title(fit: Calibration) -> str:
    """What was found, in a sentence."""
    levels = fit.levels
    return (
        f"{words.clean(fit.spot.name, 40)}: night minima to {levels.night_error_c:.1f} °C in "
        f"nights that had no part in it; the station as it is misses them by "
        f"{levels.night_error_before_c:.1f} °C."
    )


def fit_rows(fit: Calibration, units: TemperatureUnit) -> list[tuple[str, str, str, str]]:
    """For each offset: what it is of, its value with 90 % interval, number, value before."""
    levels, spot, before = fit.levels, fit.spot, fit.before
    return [
        (
            name,
            signed_range(now, units),
            "not measured" if level is None else str(level.number),
            signed_range(was, units),
        )
        for name, level, now, was in (
            ("clear and calm nights", levels.clear_night, spot.offsets_c[0], before.offsets_c[0]),
            ("other nights", levels.other_night, spot.offsets_c[1], before.offsets_c[1]),
            ("days", levels.day, spot.offsets_c[2], before.offsets_c[2]),
        )
    ]


def render_fit(fit: Calibration, units: TemperatureUnit) -> str:
    """The whole answer as text, 80 columns."""
    levels, measured = fit.levels, fit.spot.measured
    assert measured is not None
    name = words.clean(fit.spot.name, 40)
    lines = [
        (
            f"{name} at {words.clean(fit.place.name)}: {levels.nights} nights compared, "
            f"{measured.first} to {measured.last}"
        ),
        "",
        f"{'added to the open air':<24}{'measured (90% interval)':<30}{'number':<14}before",
    ]
    lines += [
        f"{of:<24}{now:<30}{number:<14}{was}" for of, now, number, was in fit_rows(fit, units)
    ]
    lines += ["", *_error_lines(fit, units)]
    for warning in fit.warnings:
        lines += textwrap.wrap(f"Careful: {warning}", WIDTH)
    season = (
        "The numbers hold for the season in which the thermometer hung there; leaves, sun and wind "
        "change with the year. Measure again in another season."
    )
    lines += textwrap.wrap(season, WIDTH)
    lines += textwrap.wrap(f"Weather: {words.credit_text(fit.credit)}", WIDTH)
    return "\n".join(line.rstrip() for line in lines)


def _error_lines(fit: Calibration, units: TemperatureUnit) -> list[str]:
    """How far the fit may be off, in nights that had no part in it."""
    levels = fit.levels
    lines = [
        (
            f"Night minima miss by {show_difference(levels.night_error_c, units)} in nights left "
            "out of the fit; the station as it is, by "
            f"{show_difference(levels.night_error_before_c, units)}."
        )
    ]
    if fit.hour_error_c is not None:
        lines.append(
            f"All hours of nights left out miss by {show_difference(fit.hour_error_c, units)}."
        )
    if levels.day_error_c is not None:
        lines.append(
            f"Day maxima miss by {show_difference(levels.day_error_c, units)} in days left out."
        )
    if fit.hourly:
        hours = fit.spot.damping_hours
        lines.append(
            f"It follows the air outside with a time constant of {hours:g} h."
            if hours
            else "It follows the air outside without a lag that could be told from none."
        )
    if fit.half_width_at_21_c is not None:
        half = show_difference(fit.half_width_at_21_c, units)
        lines.append(f"Twenty-one nights would give each night offset to {half} either way.")
    return [part for line in lines for part in textwrap.wrap(line, WIDTH)]
