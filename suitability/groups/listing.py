"""
Groups as text, as rows and as plain data, for the command line and for files.

Nothing is computed here: the numbers are those of the catalogue, in the unit asked for.
"""

from __future__ import annotations

import csv
import io
import textwrap
from collections.abc import Iterator, Mapping

from msgspec import to_builtins

from suitability.groups.group import Caution, Confidence, Group, Needs, RestNeed, Value
from suitability.groups.reading import Catalogue
from suitability.groups.validation import REST_VALUES, VALUES
from suitability.groups.words import Words
from suitability.units import TemperatureUnit, fahrenheit_from_celsius, temperatures_in

__all__ = ["CSV_HEADER", "describe_groups", "render_csv", "render_group", "render_list"]

WIDTH = 80  # columns
NOTES_IN_C = (
    "Notes beside the values, and what sources disagree on, are as in the catalogue: their "
    "temperatures are in °C, differences too."
)
SCHEMA_VERSION = 1
CSV_HEADER = (
    *("key", "name", "field", "unit", "used", "best", "low", "high"),
    *("mark", "confidence", "sources", "note"),
)
LABELS = {
    "floor_c": "floor (growth)",
    "rest_floor_c": "rest floor",
    "chill_base_c": "chill base",
    "dose_limit_c_h": "dose in 14 days",
    "limit_c": "limit, dry",
    "limit_wet_c": "limit, wet",
    "ceiling_c": "ceiling",
    "warm_night_c": "warm-night limit",
    "comfort_night_c": "good nights",
    "day_growth_c": "good days",
    "light_klx": "light",
    "shade_pct": "shade",
    "humidity_pct": "humidity",
    "night_c": "rest: nights",
    "partly_above_c": "rest: partly over",
    "weeks": "rest: weeks",
    "nights": "rest: nights/year",
    "cool_hours": "rest: cool hours",
    "cool_band_c": "rest: cool hour",
    "day_below_c": "rest: days below",
    "dry_tolerates_c": "rest: stands dry",
}
NEEDS_FIELDS = frozenset(Needs.__struct_fields__)
DEGREE_HOURS = "dose_limit_c_h"
WORDS_SHOWN = (
    ("leaves", "leaves"),
    ("rhythm", "growth"),
    ("water_growth", "water in growth"),
    ("feed_growth", "feed in growth"),
    ("water_rest", "water in rest"),
    ("feed_rest", "feed in rest"),
    ("origin", "origin"),
    ("altitude", "altitude"),
    ("first_signs", "first signs of harm"),
    ("notes", "notes"),
    ("pets", "pets"),
)


def render_list(
    catalogue: Catalogue,
    caution: Caution = Caution.USUAL,
    unit: TemperatureUnit = TemperatureUnit.C,
) -> str:
    """A table of all groups, one line each, 80 columns, with what its signs mean below it."""
    head = f"{'key':<19}{'name':<24}{'floor':>6}{'limit':>7}{'wet':>6}{'ceiling':>8}  rest"
    lines = [head, "-" * WIDTH]
    lines += [_list_line(group, caution, unit) for group in catalogue.groups]
    lines.append("")
    lines += textwrap.wrap(
        f"Degrees {unit.symbol}, caution {caution.value}. floor: coldest night in which it keeps "
        "growing. limit: one night below it is likely to harm, dry; wet: the same for a wet pot. "
        "rest: band of night minima, in brackets where it helps but flowers do not need it. "
        "?: low confidence. !: heat above the ceiling excludes the group. "
        "`suitability groups show KEY` shows ranges, marks and sources.",
        WIDTH,
    )
    return "\n".join(lines)


def render_group(
    group: Group,
    words: Words,
    catalogue: Catalogue,
    caution: Caution = Caution.USUAL,
    unit: TemperatureUnit = TemperatureUnit.C,
) -> str:
    """Everything the catalogue says of one group, 80 columns, sources numbered at the end."""
    numbers: dict[str, int] = {}
    lines = textwrap.wrap(f"{group.key}: {group.name}", WIDTH)
    if group.aliases:
        lines += _paragraph("also", ", ".join(group.aliases))
    lines += ["", f"{'':<20}{'used':>7}{'best':>7}{'low':>7}{'high':>7}  {'mark':<11}confidence"]
    lines.append("-" * WIDTH)
    for field, value in _values_of(group):
        lines += _value_lines(field, value, _used(group, field, value, caution), unit, numbers)
    lines += ["", *_facts(group, unit), "", *_word_lines(words, unit)]
    if unit is not TemperatureUnit.C:
        lines += ["", *_hanging("", NOTES_IN_C)]
    lines += [""]
    lines += [
        line
        for source, number in numbers.items()
        for line in _hanging(f"[{number}] ", catalogue.citation(source))
    ]
    return "\n".join(line.rstrip() for line in lines)


def render_csv(
    groups: tuple[Group, ...], catalogue: Catalogue, caution: Caution = Caution.USUAL
) -> str:
    """CSV of one row a value, header first, temperatures in °C; sources in full."""
    buffer = io.StringIO()
    writer = csv.writer(buffer, lineterminator="\n")
    writer.writerow(CSV_HEADER)
    for group in groups:
        writer.writerows(_csv_row(group, *named, catalogue, caution) for named in _values_of(group))
    return buffer.getvalue()


def describe_groups(
    groups: tuple[Group, ...],
    words: Mapping[str, Words],
    catalogue: Catalogue,
    caution: Caution = Caution.USUAL,
) -> dict[str, object]:
    """Plain data for one JSON document; every key always present, None where there is nothing."""
    return {
        "schema_version": SCHEMA_VERSION,
        "caution": caution.value,
        "groups": [
            {
                **to_builtins(group),
                "light_class": group.light_class,
                "needs": to_builtins(group.needs(caution)),
                "words": to_builtins(words[group.key]),
            }
            for group in groups
        ],
        "sources": dict(catalogue.sources),
    }


def _csv_row(
    group: Group, field: str, value: Value, catalogue: Catalogue, caution: Caution
) -> tuple[str, ...]:
    amounts = (_used(group, field, value, caution), value.best, value.low, value.high)
    return (
        group.key,
        group.name,
        f"rest.{field}" if field in REST_VALUES else field,
        _unit_word(field, TemperatureUnit.C),
        *(f"{amount:g}" for amount in amounts),
        value.mark.value,
        value.confidence.value,
        "; ".join(catalogue.citation(source) for source in value.sources),
        value.note,
    )


def _list_line(group: Group, caution: Caution, unit: TemperatureUnit) -> str:
    needs = group.needs(caution)
    doubt = "?" if needs.low_confidence_limit else " "
    wet_doubt = "?" if group.limit_wet_c.confidence is Confidence.LOW else " "
    heat = "!" if needs.heat_limited else " "
    ceiling = "-" if needs.ceiling_c is None else _degrees(needs.ceiling_c, unit)
    floor, limit, wet = (
        _degrees(temp_c, unit) for temp_c in (needs.floor_c, needs.limit_c, needs.limit_wet_c)
    )
    return (
        f"{_cut(group.key, 18):<19}{_cut(group.name, 23):<24}{floor:>6}{limit:>6}{doubt}"
        f"{wet:>5}{wet_doubt}{ceiling:>7}{heat}  {_rest_words(group, unit)}"
    ).rstrip()


def _rest_words(group: Group, unit: TemperatureUnit) -> str:
    rest = group.rest
    if rest is None or rest.needed is RestNeed.NO or rest.night_c is None:
        return "no"
    low, high = rest.night_c.low, rest.night_c.high
    band = f"{_degrees(low, unit, 0)}-{_degrees(high, unit, 0)}"
    return band if rest.needed is RestNeed.YES else f"({band})"


def _values_of(group: Group) -> Iterator[tuple[str, Value]]:
    for holder, names in ((group, VALUES), (group.rest, REST_VALUES)):
        for field in names:
            value = getattr(holder, field, None)
            if isinstance(value, Value):
                yield field, value


def _used(group: Group, field: str, value: Value, caution: Caution) -> float:
    if field not in NEEDS_FIELDS:
        return value.best
    used: float = getattr(group.needs(caution), field)
    return used


def _value_lines(
    field: str, value: Value, used: float, unit: TemperatureUnit, numbers: dict[str, int]
) -> list[str]:
    cells = "".join(
        f"{_amount(field, amount, unit):>7}" for amount in (used, value.best, value.low, value.high)
    )
    cited = [numbers.setdefault(source, len(numbers) + 1) for source in value.sources]
    line = f"{LABELS[field]:<20}{cells}  {value.mark.value:<11}{value.confidence.value}"
    refs = _unit_word(field, unit) + " " + "".join(f"[{number}]" for number in cited)
    text = f"{refs} {value.note}" if value.note else refs
    return [line, *_hanging("    ", text)]


def _facts(group: Group, unit: TemperatureUnit) -> list[str]:
    lines = _paragraph(
        "growing month",
        f"at most {group.floor_hours_limit:g} hours a month below the floor that applies",
    )
    if group.rest_floor_c is None:
        lines += _paragraph("rest floor", "none, the growth floor counts all year")
    heat = "excludes the group" if group.heat_limited else "harms, but does not exclude the group"
    if group.ceiling_c is not None:
        lines += _paragraph(
            "heat", f"above {_degrees(group.ceiling_c.best, unit)} {unit.symbol} it {heat}"
        )
    if group.light_class is not None:
        lines += _paragraph("light class", group.light_class)
    if group.rest is not None:
        rest = group.rest
        lines += _paragraph("rest", temperatures_in(f"{rest.needed.value}; {rest.kind}", unit))
        lines += _paragraph("rest, water", temperatures_in(rest.dry, unit))
        lines += _paragraph("rest brings flowers", temperatures_in(rest.trigger_words, unit))
    return lines


def _word_lines(words: Words, unit: TemperatureUnit) -> list[str]:
    lines = [
        line
        for field, label in WORDS_SHOWN
        for line in _paragraph(label, temperatures_in(getattr(words, field), unit))
    ]
    for item in words.disagreements:
        lines += _paragraph(
            f"sources disagree, {item.point}",
            f"{item.one_side} - but {item.other_side}. Read here as: {item.reading}",
        )
    return lines


def _paragraph(label: str, text: str) -> list[str]:
    return _hanging(f"{label}: ", text) if text else []


def _hanging(label: str, text: str) -> list[str]:
    return textwrap.wrap(
        text, WIDTH, initial_indent=label, subsequent_indent="    ", break_long_words=False
    )


def _degrees(temp_c: float, unit: TemperatureUnit, decimals: int = 1) -> str:
    temp = temp_c if unit is TemperatureUnit.C else fahrenheit_from_celsius(temp_c)
    rounded = round(temp, decimals)
    return f"{rounded:g}"


def _amount(field: str, amount: float, unit: TemperatureUnit) -> str:
    if field == DEGREE_HOURS:
        return f"{amount if unit is TemperatureUnit.C else amount * 1.8:g}"
    return _degrees(amount, unit) if field.endswith("_c") else f"{amount:g}"


def _unit_word(field: str, unit: TemperatureUnit) -> str:
    spans = {**VALUES, **REST_VALUES}
    return spans[field].unit.replace("°C", unit.symbol)


def _cut(text: str, width: int) -> str:
    return text if len(text) <= width else text[: width - 1] + "…"
