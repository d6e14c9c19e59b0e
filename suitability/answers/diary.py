"""The sheets of a diary: where plants stand, and what notes say against the record's nights."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from suitability.advice.diary import Sign
from suitability.answers import words
from suitability.answers.head import sheet_of_places
from suitability.answers.sheet import Column, Facts, Level, Section, Sheet, Text, build_table
from suitability.brief import first_of
from suitability.spots.diary import What
from suitability.units import TemperatureUnit, show_difference, show_temperature

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date

    from suitability.advice.diary import (
        ColdSpell,
        DamageReviewed,
        DiaryNow,
        DiaryReview,
        PlantNow,
        PlantReview,
    )
    from suitability.spots.diary import Entry

NOWHERE = "not placed"
SPELLS_TOLD = 5
NAMED = 4  # plants that the headline names
UNTOLD = "Nothing can be told of these plants: the record has no night at a known spot of theirs"
RULES = (
    "These rules are reasoned, with no source: rot, roots, pests and sun leave marks like those of "
    "cold. Look at the plant before you follow them."
)
HOW = "`--apply` writes what is proposed into the collection file as shift_c."


def now_sheet(now: DiaryNow) -> Sheet:
    """Where each plant stands."""
    at = Counter[str | None]()
    for one in now.plants:
        at[one.spot] += one.number
    counts = ", ".join(
        f"{count} {NOWHERE if spot is None else f'at {words.clean(spot, 60)}'}"
        for spot, count in at.most_common()
    )
    columns: list[Column[PlantNow]] = [
        Column.of("Plant", _pots, wraps=True),
        Column.of("Stands at", lambda one: words.clean(one.spot or NOWHERE, 60), wraps=True),
        Column.of("Since", lambda one: _day(one.since)),
        Column.of("Next", _next, wraps=True),
        Column.of("Last noted", _last_noted, wraps=True),
    ]
    return Sheet(
        title=f"Where plants stand on {words.day(now.day)}",
        headline=f"On {words.day(now.day)}: {counts or 'no plants'}.",
        about=Facts(rows=()),
        notes=tuple(words.clean(note, 400) for note in now.notes),
        sections=(Section(name="plants", blocks=(build_table("plants", columns, now.plants),)),),
    )


def _pots(one: PlantNow) -> str:
    return words.clean(one.plant if one.number == 1 else f"{one.plant} ({one.number})", 60)


def _day(day: date | None) -> str:
    return "" if day is None else words.day(day)


def _next(one: PlantNow) -> str:
    return "" if one.next is None else entry_text(one.next)


def _last_noted(one: PlantNow) -> str:
    """Days of what is no move."""
    noted = (("damage", one.damage), ("flowers", one.flowering), ("repotted", one.repotting))
    return ", ".join(f"{what} {words.day(day)}" for what, day in noted if day is not None)


def entry_text(entry: Entry) -> str:
    """A note in a few words."""
    what = entry.what.value
    if entry.what is What.MOVE:
        number = "" if entry.number is None else f" {entry.number}"
        begins = "" if entry.leaving is None else f" from {entry.leaving}"
        what = f"move{number}{begins} to {entry.spot}"
    return words.clean(f"{words.day(entry.day)}: {what}", 100)


def review_sheet(review: DiaryReview, units: TemperatureUnit, *, applied: bool = False) -> Sheet:
    """
    What the notes say of each plant.

    Parameters
    ----------
    applied
        Whether what is proposed stands in the collection file already.
    """
    asked = [one for one in review.plants if one.proposed_c is not None]
    others = [one for one in review.plants if one.proposed_c is None]
    sections = [
        _evidence("proposed", "Another shift is proposed", asked, units),
        Section(
            name="damage",
            title="Damage and the nights before it",
            blocks=_other_damage(others, units),
        ),
        _evidence("kept", "No other shift is proposed", others, units, Level.DETAIL),
    ]
    named = "; ".join(
        f"{words.clean(one.plant, 60)} {shift_text(one.proposed_c or 0.0, units)}" for one in asked
    )
    headline = (
        f"Notes speak for another shift: {named}" if asked else "No note speaks for another shift"
    )
    if not any(one.nights_known for one in review.plants):
        headline = UNTOLD
    unjudged = [
        words.clean(one.plant, 60)
        for one in review.plants
        if any(damage.beyond_c is None for damage in one.damage)
    ]
    if unjudged and headline is not UNTOLD:
        headline += f"; what harmed {first_of(unjudged, NAMED)} cannot be told"
    return sheet_of_places(
        [review.place],
        [review.credit],
        title=f"Notes of {review.file} against the record",
        headline=f"{headline}.",
        sections=[section for section in sections if section.blocks],
        notes=review.notes,
        closing=(*((HOW,) if asked and not applied else ()), RULES),
    )


def _evidence(
    name: str,
    title: str,
    plants: Sequence[PlantReview],
    units: TemperatureUnit,
    level: Level = Level.BRIEF,
) -> Section:
    """What speaks for a proposal, or for none, plant by plant."""
    texts = tuple(
        Text(sentences=tuple(_plant_sentences(one, units)), listed=False) for one in plants
    )
    return Section(name=name, title=title, level=level, blocks=texts)


def _other_damage(plants: Sequence[PlantReview], units: TemperatureUnit) -> tuple[Text, ...]:
    """What is to be thought of damage that proposes nothing."""
    told = tuple(
        f"{words.clean(one.plant, 60)}: {said[0].lower()}{said[1:]}"
        for one in plants
        for damage in one.damage
        for said in [_damage_sentence(damage, units)]
    )
    return (Text(sentences=told, listed=True),) if told else ()


def _plant_sentences(one: PlantReview, units: TemperatureUnit) -> Iterator[str]:
    """One plant with its evidence."""
    now = "its group's own" if not one.shift_c else shift_text(one.shift_c, units)
    wanted = "stays" if one.proposed_c is None else shift_text(one.proposed_c, units)
    yield (
        f"{words.clean(one.plant, 60)} ({one.group}), watched "
        f"from {words.day(one.watched_from)} "
        f"to {words.day(one.watched_until)}, {one.nights_known} nights known. "
        f"Now: {now}; proposed: {wanted}."
    )
    for damage in one.damage if one.proposed_c is not None else ():
        yield _damage_sentence(damage, units)
    deepest = sorted(one.spells, key=lambda spell: -(spell.beyond_c or 0.0))[:SPELLS_TOLD]
    for spell in sorted(deepest, key=lambda spell: spell.first):
        yield _spell_sentence(spell, units)
    if len(one.spells) > SPELLS_TOLD:
        yield f"{len(one.spells) - SPELLS_TOLD} more cold spells went less far."
    if not (one.damage or one.spells):
        yield "No damage was noted and no night went beyond what harms it."


def shift_text(shift_c: float, units: TemperatureUnit) -> str:
    """How a plant differs from its group."""
    if not shift_c:
        return "as its group"
    word = "tenderer" if shift_c > 0 else "hardier"
    return f"{show_difference(abs(shift_c), units)} {word} than its group"


def _damage_sentence(one: DamageReviewed, units: TemperatureUnit) -> str:
    """A note of damage, the nights before it, and what that says."""
    said = f"Damage of {words.day(one.day)} ({words.clean(one.words, 120) or 'no words'}): "
    if one.sign is Sign.NOT_PLACED:
        return said + "it is not said where it stood in the 14 nights before it."
    if one.beyond_c is None or one.lowest_c is None or one.dose_c_h is None:
        return said + "the record does not hold the 14 nights before it."
    lowest, by = show_temperature(one.lowest_c, units), show_difference(abs(one.beyond_c), units)
    dose = one.dose_c_h * (1.0 if units is TemperatureUnit.C else 1.8)
    what = {
        Sign.EXPECTED: f"{by} beyond what harms it, so it was to be expected",
        Sign.TENDERER: f"{by} short of what harms it, so it is tenderer than it is taken to be",
        Sign.OTHER: f"{by} short of what harms it, so cold is hardly the cause",
    }[one.sign]
    noted = ""
    if one.lowest_noted_c is not None:
        noted = f" (noted: {show_temperature(one.lowest_noted_c, units)})"
    return (
        f"{said}lowest hour {lowest}{noted}, dose {dose:.0f} {units.symbol}·h in the 14 nights "
        f"before it; {what}."
    )


def _spell_sentence(one: ColdSpell, units: TemperatureUnit) -> str:
    """A cold spell and what it left."""
    days = words.day(one.first)
    if one.last != one.first:
        days += f" to {words.day(one.last)}"
    late = "no damage was noted" if one.counts else "too lately for damage to show"
    left = "damage was noted" if one.damage else late
    beyond = show_difference(one.beyond_c or 0.0, units)
    nights = f"{one.nights} night{'' if one.nights == 1 else 's'}"
    return (
        f"Cold of {days}: {nights} beyond what harms it, by up to {beyond}, lowest hour "
        f"{show_temperature(one.lowest_c, units)}; {left}."
    )
