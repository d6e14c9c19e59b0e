"""Whether a group flowers, what is missing where it does not, and when it blooms."""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.advice.terms import Flowers, Missing, Rests, Verdict
from suitability.answers import words
from suitability.brief import MONTHS
from suitability.groups.group import Mark, Trigger
from suitability.units import TemperatureUnit, show_not_above, show_not_below

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.card import Card
    from suitability.advice.flowering import BloomTime, LightWanted
    from suitability.advice.plant_year import RestOutlook
    from suitability.advice.result import Finding, RestFinding
    from suitability.advice.terms import Span

    Rest = RestFinding | RestOutlook

WANTED = {  # what flowers hang on
    Trigger.COLD: "cool nights",
    Trigger.DROUGHT: "dry weeks",
    Trigger.AUTUMN_NIGHTS: "cool nights in autumn",
}
ENOUGH = {
    Trigger.COLD: "cool enough",
    Trigger.DROUGHT: "dry for long enough",
    Trigger.AUTUMN_NIGHTS: "enough cool autumn nights",
}
TOO_SHORT = {
    Trigger.COLD: "its cool nights are too few",
    Trigger.DROUGHT: "its drought is too short",
    Trigger.AUTUMN_NIGHTS: "its cool autumn nights are too few",
}
CARRIED_IN = "it is carried in before"
NOT_THERE = "it is not there then"  # of a spot in a room
NO_REST = "need no rest"
NO_NIGHTS = {  # of flowers that hang on no nights
    Trigger.AFTER_BLOOM: "need no cold or drought; little water once they are over helps",
    Trigger.COLD: f"{NO_REST}; a cool one helps",
    Trigger.COOL_DAYS: "hang on cool days, which are not counted here",
    None: NO_REST,
}
NOT_PROMISED = "not promised: its rest is not known from its name"
IN_A_LIST = {  # beside "hardly flowers", "flowers shyly"
    Missing.COLD: "too warm",
    Missing.DRYNESS: "too wet",
    Missing.LENGTH: "too short",
}
SENTENCES = {
    Flowers.SHYLY: "Will flower shyly here",
    Flowers.HARDLY: "Will hardly flower here",
    Flowers.AFTER_COOL_ROOM: "Will hardly flower unless their room is cool in",
    Flowers.AFTER_DRY_REST: "Will hardly flower unless kept dry in their winter indoors",
}


def _season(rest: Rest) -> str:
    """When its cool nights are wanted."""
    return "autumn" if rest.trigger is Trigger.AUTUMN_NIGHTS else "winter"


def _of(rest: Rest, table: dict[Trigger, str]) -> str:
    """The words for its trigger; those for cold where none is told."""
    return table.get(rest.trigger or Trigger.COLD, table[Trigger.COLD])


def lack(rest: Rest) -> str:
    """What is missing for flowers: cold, dryness or length; empty where nothing is."""
    told = {
        Missing.COLD: "cold is missing",
        Missing.DRYNESS: "dryness is missing",
        Missing.LENGTH: _of(rest, TOO_SHORT),
    }
    return "" if rest.missing is None else told[rest.missing]


def lack_outdoors(rest: Rest, *, indoors: bool = False) -> str:
    """What is missing of a plant that winters elsewhere: not the cold, for it is away by then."""
    away = NOT_THERE if indoors else CARRIED_IN
    return lack(rest) if rest.missing in (None, Missing.DRYNESS) else away


def enough(rest: Rest, *, indoors: bool = False) -> str:
    """In how many years it was enough, and in how many partly."""
    where = "there" if indoors else "outdoors"
    how = _of(rest, ENOUGH)
    if rest.trigger is Trigger.DROUGHT and rest.room is not None and rest.room.low_c is not None:
        how = "dry and cool for long enough"
    elif rest.must_be_dry and rest.trigger is not Trigger.DROUGHT and not rest.if_kept_dry:
        how = "cool and dry enough"
    return f"{how} {where} {_years(rest)}"


def _years(rest: Rest) -> str:
    """How many years met it, and how many partly; a dry pot is no condition where none did."""
    told = f"in {rest.met_years} of {rest.of_years} years"
    if rest.partly_years:
        told += f", partly in {rest.partly_years}"
    some = rest.met_years or rest.partly_years
    return f"{told}, if kept dry" if rest.if_kept_dry and some else told


def names_a_room(rest: Rest, told: Flowers) -> bool:
    """Whether `in_short` says for how many nights in which room."""
    if told in (Flowers.AFTER_COOL_ROOM, Flowers.AFTER_DRY_REST):
        return True
    by_roof = rest.missing is Missing.DRYNESS and rest.trigger is not Trigger.DROUGHT
    return told in (Flowers.SHYLY, Flowers.HARDLY) and rest.room is not None and not by_roof


def _remedy(rest: Rest, units: TemperatureUnit) -> str:
    """What brings flowers whatever the weather; empty where nothing does."""
    if rest.missing is Missing.DRYNESS and rest.trigger is not Trigger.DROUGHT:
        return "a roof keeps it dry"
    room = rest.room
    return "" if room is None else f"{_room(rest, units)} bring them"


def _room(rest: Rest, units: TemperatureUnit) -> str:
    """So many nights in which room."""
    room = rest.room
    assert room is not None
    if room.low_c is None or room.high_c is None:
        return f"{room.nights} dry nights in a row, under a roof or indoors,"
    low, high = show_not_below(room.low_c, units), show_not_above(room.high_c, units)
    if rest.trigger is Trigger.AUTUMN_NIGHTS:
        return f"{room.nights} nights at {low} to {high} in late summer and autumn"
    dry = ", nearly dry" if rest.must_be_dry else ""
    return f"{room.nights} nights in a bright{dry} room at {low} to {high}"


def in_short(
    rest: Rest | None,
    flowers: Flowers,
    verdict: Verdict,
    units: TemperatureUnit,
    *,
    indoors: bool = False,
) -> str:
    """
    Whether it flowers, what is missing, and what would bring it; to follow the word "flowers".

    Parameters
    ----------
    rest
        None where its own is not told.
    indoors
        Whether the spot is in a room.
    """
    if rest is None or not rest.needed:
        return _no_rest(rest)
    if not rest.of_years:
        told = f"hang on {_of(rest, WANTED)}"
        return f"{told}; no year was observed well enough to say whether they come"
    brings = _remedy(rest, units)
    if verdict is Verdict.INDOOR and not indoors:
        told = f"hang on {_of(rest, WANTED)}, and it spends none outdoors"
        return f"{told}; {brings}" if brings else told
    counts = enough(rest, indoors=indoors)
    if flowers is Flowers.CAN:
        return f"{counts}, if there while it rests" if verdict is Verdict.INDOOR else counts
    if flowers in (Flowers.AFTER_COOL_ROOM, Flowers.AFTER_DRY_REST):
        after = f"after {_room(rest, units).removesuffix(',')}"
        why, where = lack_outdoors(rest, indoors=indoors), "there" if indoors else "outdoors"
        why = f"; {why}: {where} enough in {rest.met_years} of {rest.of_years} years"
        return f"{after}, not in this room" if verdict is Verdict.INDOOR else after + why
    told = f"{_and_lack('shyly,' if flowers is Flowers.SHYLY else 'hardly,', rest)}: {counts}"
    return f"{told}; {brings}" if brings else told


def _and_lack(how: str, rest: Rest) -> str:
    """How it flowers, and what is missing where that is known."""
    return f"{how} {lack(rest)}" if lack(rest) else how.removesuffix(",")


def _no_rest(rest: Rest | None) -> str:
    """Of flowers that hang on no nights, or on what no name tells."""
    if rest is None or rest.needed is None:
        return NOT_PROMISED
    return NO_NIGHTS.get(rest.trigger, NO_REST)


def by_no_nights(rests: Rests, rest: Rest | None) -> str:
    """Of a card's flowers that hang on no nights; empty where its rest has nothing to add."""
    if rests is Rests.NOT_NEEDED:
        helped = rest is not None and rest.trigger is not None
        return _no_rest(rest) if helped else ""
    return {
        Rests.AFTER_BLOOM: NO_NIGHTS[Trigger.AFTER_BLOOM],
        Rests.COOL_DAYS: NO_NIGHTS[Trigger.COOL_DAYS],
    }.get(rests, "")


def flowers_mark(one: Finding) -> str:
    """The same in two or three words, for a list; empty where nothing stands against flowers."""
    why = "" if one.rest.missing is None else f": {IN_A_LIST[one.rest.missing]}"
    return {
        Flowers.SHYLY: f"flowers shyly{why}",
        Flowers.HARDLY: f"hardly flowers{why}",
        Flowers.AFTER_COOL_ROOM: f"cool {_season(one.rest)} room",
        Flowers.AFTER_DRY_REST: "dry winter indoors",
    }.get(one.flowers, "")


def sentences(findings: Sequence[Finding]) -> list[str]:
    """Which groups flower shyly or hardly, and for want of what."""
    told = []
    for flowers, sentence in SENTENCES.items():
        by_lack: dict[tuple[str, str], list[str]] = {}
        winters_in = flowers in (Flowers.AFTER_COOL_ROOM, Flowers.AFTER_DRY_REST)
        for one in findings:
            if one.flowers is flowers:
                season = f" {_season(one.rest)}" if flowers is Flowers.AFTER_COOL_ROOM else ""
                away = lack_outdoors(one.rest, indoors=one.indoors) if winters_in else ""
                by_lack.setdefault((season, away or lack(one.rest)), []).append(
                    words.short_name(one)
                )
        told += [
            f"{sentence}{season}{f' ({why})' if why else ''}: {', '.join(names)}."
            for (season, why), names in by_lack.items()
        ]
    return told


def bloom_text(bloom: BloomTime | None) -> str:
    """When it usually blooms, and of which plants that is told; empty where no source says so."""
    if bloom is None:
        return ""
    first, last = (MONTHS[month - 1] for month in (bloom.first_month, bloom.last_month))
    told = f"usually {first}" if first == last else f"usually {first} to {last}"
    told += f" ({words.clean(bloom.told_of)})" if bloom.told_of else ""
    return told + _mark(bloom.mark)


def light_text(light: LightWanted | Card | None) -> str:
    """Light class with its numbers, and whether they are from memory."""
    if light is None or light.light_klx is None:
        return "" if light is None else light.light_class or ""
    parts = [light.light_class or "", f"{numbers(light.light_klx)} klx{_mark(light.light_mark)}"]
    if light.shade_pct is not None:
        parts.append(f"about {numbers(light.shade_pct, 0)}% shade in full sun")
    return ", ".join(part for part in parts if part)


def numbers(span: Span, decimals: int = 1) -> str:
    """A range of plain numbers."""
    low, high = (f"{round(number, decimals):g}" for number in (span.low, span.high))
    return low if low == high else f"{low} to {high}"


def _mark(mark: Mark | None) -> str:
    """What has not been checked says so."""
    return " from memory" if mark is Mark.MEMORY else ""
