"""The sheet of `doctor`: what was found on this computer, and what to do next."""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.answers import words
from suitability.answers.sheet import Fact, Facts, Section, Sheet

if TYPE_CHECKING:
    from suitability.weather.health import Health, Stored

LONGEST = 600  # characters of a folder, a reason or a fault
FIRST = "try `suitability check --demo`, then"
PLACE = '`suitability check --place "Town, Country"`'


def doctor_sheet(found: Health) -> Sheet:
    """All that was found, on one screen."""
    rows = (
        Fact("Program", f"suitability {found.version}, Python {found.python}, {found.system}"),
        Fact("Packages", ", ".join(f"{name} {word}" for name, word in found.packages.items())),
        Fact("Store", words.clean(found.folder, LONGEST)),
        Fact("Stored", _say_stored(found.stored)),
        *(Fact("Amiss", words.clean(fault, LONGEST)) for fault in found.stored.faults),
        Fact("Service", _say_service(found)),
        Fact(
            "Pictures",
            words.clean(found.no_pictures, LONGEST)
            or "a browser that draws them is there (--figure).",
        ),
        Fact("Next", _say_next(found)),
    )
    return Sheet(
        title="Set-up",
        headline=_say_all(found),
        about=Facts(rows=()),
        sections=(Section(name="found", blocks=(Facts(rows=rows),)),),
    )


def _say_all(found: Health) -> str:
    """The answer in a sentence."""
    if found.stored.faults:
        return "The program works, but not all that is stored can be read."
    return {
        "answers": "All is in order: the program works and the weather service answers.",
        "silent": "The program works, but the weather service does not answer now: use files, "
        "the demo, or what is stored.",
        "not-asked": "The program works; the weather service was not asked.",
    }[found.service]


def _say_stored(stored: Stored) -> str:
    """The contents of the store in a sentence."""
    parts = []
    if stored.stations:
        stations = words.number_of(stored.stations, "station")
        parts.append(f"{stations} with {words.number_of(stored.years, 'year')}")
    if stored.imported:
        parts.append(f"imported: {', '.join(words.clean(name) for name in stored.imported)}")
    if stored.station_list:
        parts.append(f"the list of stations of {stored.station_list[:10]}")
    return ("; ".join(parts) or "nothing yet") + "."


def _say_service(found: Health) -> str:
    """Whether it answers."""
    return {
        "answers": "answers.",
        "silent": f"does not answer: {words.clean(found.service_reason, LONGEST)}.",
        "not-asked": "not asked (--offline).",
    }[found.service]


def _say_next(found: Health) -> str:
    """What to do."""
    if found.stored.faults:
        return "do what stands there; `suitability weather check` then reads the store through."
    if found.service == "answers":
        return f"{FIRST} {PLACE}."
    if found.stored.stations:
        return f"{FIRST} {PLACE} with --offline; `suitability weather list` shows what is stored."
    return f"{FIRST} a file of your own (--record), or {PLACE} once the network is up."
