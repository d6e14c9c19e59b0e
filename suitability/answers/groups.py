"""The sheets of `groups` and `groups show`: what each group needs, and on what evidence."""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.answers import words
from suitability.answers.sheet import (
    Column,
    Fact,
    Facts,
    Section,
    Sheet,
    Table,
    Text,
    build_table,
)
from suitability.brief import MONTHS
from suitability.groups.group import Confidence, RestNeed
from suitability.groups.listing import list_values
from suitability.units import TemperatureUnit, fahrenheit_from_celsius, temperatures_in

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from suitability.groups.group import Bloom, BroughtBy
    from suitability.groups.listing import GroupList, GroupTold, GroupValue
    from suitability.groups.words import Words

KEY_WIDEST = 18  # characters on a terminal
NAME_WIDEST = 26
DENSE = 90  # columns of a terminal below which every group needs the room between columns
LONGEST = 2000  # characters of a note or citation that are shown
NOTES_IN_C = (
    "Notes beside the values, and what sources disagree on, are as in the catalogue: their "
    "temperatures are in °C, differences too."
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
    "comfort_c": "comfort mark",
    "comfort_night_c": "good nights",
    "day_growth_c": "good days",
    "light_klx": "light",
    "shade_pct": "shade",
    "humidity_pct": "humidity",
    "rest.night_c": "rest: nights",
    "rest.partly_above_c": "rest: partly over",
    "rest.weeks": "rest: weeks",
    "rest.nights": "rest: nights/year",
    "rest.cool_hours": "rest: cool hours",
    "rest.cool_band_c": "rest: cool hour",
    "rest.day_below_c": "rest: days below",
    "rest.dry_nights": "dry nights in a row",
    "rest.autumn_night_c": "autumn nights",
    "rest.autumn_nights": "so many of them",
    "rest.dry_tolerates_c": "rest: stands dry",
}
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


def groups_sheet(listed: GroupList, units: TemperatureUnit) -> Sheet:
    """All groups, a line each, and what the signs mean."""
    section = Section(name="groups", blocks=(groups_table(listed, units),))
    return Sheet(title="Groups of plants", headline="", about=Facts(rows=()), sections=(section,))


def group_sheet(listed: GroupList, units: TemperatureUnit) -> Sheet:
    """
    Everything that the catalogue says of one group, sources numbered at the end.

    Parameters
    ----------
    listed
        With one group.
    """
    (group,) = listed.groups
    numbers: dict[str, int] = {}
    values = list_values(listed).values
    cited_by = [
        *(source for value in values for source in value.sources),
        *(listed.sources.get(source, source) for source in _flower_sources(group)),
    ]
    for source in cited_by:
        numbers.setdefault(source, len(numbers) + 1)
    sections = [
        Section(name="values", blocks=(values_table(values, numbers, units),)),
        Section(name="facts", blocks=(Facts(rows=group_facts(group, units)),)),
        Section(name="flowers", blocks=(Facts(rows=_flower_facts(group, numbers, listed)),)),
        Section(name="words", blocks=(Facts(rows=_word_facts(group.words, units)),)),
    ]
    names = _names(group, listed)
    if names:
        sections.insert(0, Section(name="names", blocks=(Facts(rows=names),)))
    disagreements = tuple(
        f"sources disagree, {item.point}: {item.one_side} - but {item.other_side}. Read here as: "
        f"{item.reading}"
        for item in group.words.disagreements
    )
    if disagreements:
        told = Text(sentences=disagreements)
        sections.append(Section(name="disagreements", blocks=(told,)))
    if units is not TemperatureUnit.C:
        sections.append(Section(name="units", blocks=(Text(sentences=(NOTES_IN_C,)),)))
    cited = tuple(
        Fact(f"[{number}]", words.clean(source, LONGEST)) for source, number in numbers.items()
    )
    sections.append(Section(name="sources", blocks=(Facts(rows=cited),)))
    name = words.clean(f"{group.key}: {group.name}", 120)
    return Sheet(title=name, headline=name, about=Facts(rows=()), sections=tuple(sections))


def _names(group: GroupTold, listed: GroupList) -> tuple[Fact, ...]:
    """What was asked for, and which names lead to the group."""
    plants = _plants(group.plants)
    told = (
        ("understood", listed.understood),
        ("also", ", ".join(group.aliases)),
        ("plants", f"{_counted(listed)}: {plants}" if plants else ""),
    )
    return tuple(Fact(label, words.clean(text, LONGEST)) for label, text in told if text)


def _plants(names: Sequence[str]) -> str:
    """Plants by their genera, each genus said once."""
    genera: dict[str, list[str]] = {}
    for name in names:
        genus, _, rest = name.partition(" ")
        genera.setdefault(genus, []).append(rest)
    return "; ".join(f"{genus} {', '.join(some)}" for genus, some in genera.items())


def _counted(listed: GroupList) -> str:
    """How many names of plants there are of each mark."""
    marks = (f"{count} {mark}" for mark, count in listed.plants_by_mark.items())
    return f"{sum(listed.plants_by_mark.values())} ({', '.join(marks)})"


# All groups -------------------------------------------------------------------------------------


def groups_table(listed: GroupList, units: TemperatureUnit) -> Table:
    """One row a group."""

    def number(title: str, cell: Callable[[GroupTold], str]) -> Column[GroupTold]:
        return Column.of(f"{title}, {units.symbol}", cell, short=title.lower(), number=True)

    columns: list[Column[GroupTold]] = [
        Column.of("Key", lambda one: words.clean(one.key, 80), short="key", widest=KEY_WIDEST),
        Column.of("Name", lambda one: words.clean(one.name, 80), short="name", widest=NAME_WIDEST),
        number("Floor", lambda one: _degrees(one.used.floor_c, units)),
        number("Limit", lambda one: _limit(one, units)),
        number("Wet", lambda one: _wet_limit(one, units)),
        number("Ceiling", lambda one: _ceiling(one, units)),
        Column.of(f"Rest, {units.symbol}", lambda one: _rest(one, units), short="rest"),
    ]
    note = (
        f"Degrees {units.symbol}, caution {listed.caution}. floor: coldest night in which it keeps "
        "growing. limit: one night below it is likely to harm, dry; wet: the same for a wet pot. "
        "rest: band of night minima, in brackets where it helps but flowers do not need it. "
        "?: low confidence. !: heat above the ceiling excludes the group. "
        "`suitability groups show KEY` shows ranges, marks and sources."
    )
    notes = [note]
    if listed.plants_by_mark:
        notes.append(f"Names of plants that lead to them, by mark: {_counted(listed)}.")
    return build_table("groups", columns, listed.groups, notes=notes, dense_below=DENSE)


def _limit(group: GroupTold, units: TemperatureUnit) -> str:
    """The dry limit, with its doubt."""
    doubt = "?" if group.used.low_confidence_limit else ""
    return f"{_degrees(group.used.limit_c, units)}{doubt}"


def _wet_limit(group: GroupTold, units: TemperatureUnit) -> str:
    """The limit of a wet pot, with its doubt."""
    doubt = "?" if group.limit_wet_c.confidence is Confidence.LOW else ""
    return f"{_degrees(group.used.limit_wet_c, units)}{doubt}"


def _ceiling(group: GroupTold, units: TemperatureUnit) -> str:
    """The ceiling, and whether heat excludes the group."""
    if group.used.ceiling_c is None:
        return "-"
    return f"{_degrees(group.used.ceiling_c, units)}{'!' if group.used.heat_limited else ''}"


def _rest(group: GroupTold, units: TemperatureUnit) -> str:
    """The band of nights of the rest, in whole degrees."""
    rest = group.rest
    if rest is None or rest.needed is RestNeed.NO or rest.night_c is None:
        return "no"
    low, high = rest.night_c.low, rest.night_c.high
    band = f"{_degrees(low, units, 0)}-{_degrees(high, units, 0)}"
    return band if rest.needed is RestNeed.YES else f"({band})"


# One group --------------------------------------------------------------------------------------


def values_table(
    values: Sequence[GroupValue], numbers: dict[str, int], units: TemperatureUnit
) -> Table:
    """
    One row a value, and under it its unit, sources and note.

    Parameters
    ----------
    numbers
        Of each source.
    """

    def evidence(value: GroupValue) -> tuple[str, ...]:
        cited = "".join(f"[{numbers[source]}]" for source in value.sources)
        unit = value.unit.replace("°C", units.symbol)
        return (words.clean(f"{unit} {cited} {value.note}", LONGEST),)

    def amount(title: str, cell: Callable[[GroupValue], float]) -> Column[GroupValue]:
        return Column.of(
            title,
            lambda value: _amount(value.field, cell(value), units),
            short=title.lower(),
            number=True,
        )

    columns: list[Column[GroupValue]] = [
        Column.of("Value", lambda value: LABELS[value.field], short=" "),
        amount("Used", lambda value: value.used),
        amount("Best", lambda value: value.best),
        amount("Low", lambda value: value.low),
        amount("High", lambda value: value.high),
        Column.of("Mark", lambda value: value.mark.value, short="mark"),
        Column.of("Confidence", lambda value: value.confidence.value, short="confidence"),
    ]
    return build_table("values", columns, values, below=evidence)


def group_facts(group: GroupTold, units: TemperatureUnit) -> tuple[Fact, ...]:
    """What the values alone do not say: how floor, heat, light and rest are to be read."""
    told = ((label, words.clean(text, LONGEST)) for label, text in _group_facts(group, units))
    return tuple(Fact(label, text) for label, text in told if text)


def _group_facts(group: GroupTold, units: TemperatureUnit) -> Iterator[tuple[str, str]]:
    hours = f"{group.floor_hours_limit:g} hours a month"
    yield "growing month", f"at most {hours} below the floor that applies"
    if group.rest_floor_c is None:
        yield "rest floor", "none, the growth floor counts all year"
    if group.ceiling_c is not None:
        signs = f" ({group.heat_signs})" if group.heat_signs else ""
        heat = f"harms{signs}, but does not exclude the group"
        if group.heat_limited:
            heat = "excludes the group"
        elif group.heat_hardy:
            heat = "does not trouble it in air of about 50% humidity (common practice, no source)"
        yield "heat", f"above {_degrees(group.ceiling_c.best, units)} {units.symbol} it {heat}"
    if group.light is not None:
        yield "light class", group.light
    rest = group.rest
    if rest is not None:
        yield "rest", temperatures_in(f"{rest.needed.value}; {rest.kind}", units)
        yield "rest, water", temperatures_in(rest.dry, units)
        yield "rest brings flowers", temperatures_in(rest.trigger_words, units)


def _flower_sources(group: GroupTold) -> Iterator[str]:
    """Ids of the sources of what brings its flowers, and of when they come."""
    for one in () if group.rest is None else group.rest.triggers:
        yield from one.sources
    if group.bloom is not None:
        yield from group.bloom.sources


def _flower_facts(group: GroupTold, numbers: dict[str, int], listed: GroupList) -> tuple[Fact, ...]:
    """What brings its flowers and when they come, with the evidence; none where nothing is told."""

    def evidence(one: BroughtBy | Bloom) -> str:
        cited = "".join(f"[{numbers[listed.sources.get(key, key)]}]" for key in one.sources)
        note = f" {one.note}" if one.note else ""
        return words.clean(f"{one.mark.value}, {one.confidence.value} {cited}{note}", LONGEST)

    facts = [
        Fact(f"flowers by {one.what.value}", f"{one.weight.value}; {evidence(one)}")
        for one in (() if group.rest is None else group.rest.triggers)
    ]
    if group.bloom is not None:
        bloom = group.bloom
        first, last = (MONTHS[month - 1] for month in (bloom.first_month, bloom.last_month))
        of = f" ({words.clean(bloom.told_of)})" if bloom.told_of else ""
        facts.append(Fact("bloom, in the north", f"{first} to {last}{of}; {evidence(bloom)}"))
    return tuple(facts)


def _word_facts(told: Words, units: TemperatureUnit) -> tuple[Fact, ...]:
    """Habit, water, feed and origin, as far as they are known."""
    return tuple(
        Fact(label, words.clean(temperatures_in(getattr(told, field), units), LONGEST))
        for field, label in WORDS_SHOWN
        if getattr(told, field)
    )


def _degrees(temp_c: float, units: TemperatureUnit, decimals: int = 1) -> str:
    """A temperature without its unit."""
    temp = temp_c if units is TemperatureUnit.C else fahrenheit_from_celsius(temp_c)
    return f"{round(temp, decimals):g}"


def _amount(field: str, amount: float, units: TemperatureUnit) -> str:
    """A value without its unit."""
    if field == DEGREE_HOURS:
        return f"{amount if units is TemperatureUnit.C else amount * 1.8:g}"
    return _degrees(amount, units) if field.endswith("_c") else f"{amount:g}"
