"""
What every answer says beside its own: place, record and what was asked; cautions; credit.

Cautions stand wherever heating, lifting, spraying, animals or trade come up.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import asdict, replace

from suitability.answers import words
from suitability.answers.sheet import Fact, Facts, On, Section, Sheet
from suitability.brief import years_of as local_years
from suitability.units import TemperatureUnit, show_difference, show_temperature

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from typing import TypeAlias

    from suitability.advice.card import CardResult
    from suitability.advice.growth_year import GrowthYearResult
    from suitability.advice.moves import MovesResult
    from suitability.advice.plan_result import PlanResult
    from suitability.advice.report import ReportResult
    from suitability.advice.result import CheckResult, Credit, Period, PlaceZones, RecordSummary
    from suitability.advice.terms import Whose
    from suitability.places import Place
    from suitability.weather.record import Record, Station

    # Each has a place, a record and settings.
    Answer: TypeAlias = (
        CardResult | CheckResult | GrowthYearResult | MovesResult | PlanResult | ReportResult
    )

ABOUT = "What this rests on"
MORE = "More: --details tells all that is known of it, and what each word means."
ANIMALS = (
    "Not known to be toxic to cats and dogs, yet chewing may upset a stomach; sprays, slug bait "
    "and feed are the hazard."
)
HEATING = (
    "Heat outdoors or in the damp only from a fixed, weather-rated supply with residual-current "
    "protection, fitted by a licensed electrician to the local code; no flame in a room or closed "
    "porch, elsewhere only with a flue or large vents and a carbon-monoxide alarm."
)
LIFTING = (
    "Wet pots are heavy: no ladder alone, no leaning over a parapet; secure what hangs over people "
    "and keep to what a balcony may bear."
)
SPRAYING = (
    "Sprays, slug bait and feed: keep to the label, away from people, animals and food; wash hands "
    "after old potting mix."
)

# Moving days: common practice, no source.
HARDENING = "Two weeks of hardening: shade and shelter first, then lighter by steps."
LOOK_IN = "Look for slugs, scale and mealy bugs, in the mix too, before moving in."
INDOOR_AIR = "Indoors keep air moving, and plants off radiators: heated rooms are dry."
QUARANTINE = (
    "Keep a new plant apart from the others for about four weeks, and look it over for pests each "
    "week."
)

TOLD_BY = {
    "daily-minima": ", as the station's daily minima show",
    "readings": ", as its readings tell of themselves",
    "usual": ", as is usual",
}


def head_rows(result: Answer, units: TemperatureUnit) -> list[tuple[str, str]]:
    """Labels and texts, in order; every text is one line, free of control characters."""
    record = result.record
    rows = [
        ("Place", place_text(result.place)),
        ("Record", f"{words.moment(record.period.start)} to {words.moment(record.period.end)}"),
        ("Coverage", _coverage(record)),
        (
            "Station",
            "none: the record is a file" if record.station is None else _station(record.station),
        ),
        ("Source", words.clean(record.source)),
        ("Licence", words.clean(record.licence)),
        ("Attribution", words.clean(record.attribution)),
        (
            "Rain",
            "known" if record.rain_known else "not known: every pot without a roof counts as wet",
        ),
        ("Quality", _quality(result)),
        ("Asked for", _asked(result, units)),
    ]
    zones = getattr(result, "zones", None)
    if zones is not None:
        rows.append(("Zones", _zones(zones, units)))
    if result.place.invented and record.station is None:
        rows[3] = ("Station", "none: the record is invented")
    rows += [("Note", words.clean(note, 400)) for note in record.notes]
    return [(label, text or "not said") for label, text in rows]


def make_sheet(
    result: Answer,
    units: TemperatureUnit,
    *,
    title: str,
    headline: str,
    judged: Sequence[Whose],
    sections: Iterable[Section],
    closing: Sequence[str] = (),
) -> Sheet:
    """
    The sheet of an answer, with what all answers say of place and record, and the cautions.

    Parameters
    ----------
    title
        As it was read; cleaned here.
    judged
        Its groups or plants: that nights were seen by nobody is told once for all of them.
    closing
        Further cautions, before the one that every answer ends with.
    """
    told = (words.unseen_note(judged), *result.settings.understood, *result.settings.notes)
    return Sheet(
        title=words.clean(title, 120),
        headline=headline,
        about=Facts(title=ABOUT, rows=tuple(Fact(*row) for row in head_rows(result, units))),
        sections=tuple(sections),
        notes=tuple(words.clean(note, 400) for note in filter(None, told)),
        closing=(*closing, words.CAUTIONS),
        basis=basis(result.record, result.place),
        more=MORE,
        credit=weather_credit(
            # that it is invented stands above
            replace(result.record, source="") if result.place.invented else result.record
        ),
        invented=words.INVENTED if result.place.invented else "",
    )


def sheet_of_places(
    places: Sequence[Place],
    credits_: Sequence[Credit | RecordSummary],
    *,
    title: str,
    sections: Iterable[Section],
    headline: str = "",
    notes: Iterable[str] = (),
    asked: Iterable[tuple[str, str]] = (),
    closing: Sequence[str] = (),
    years: Sequence[str] = (),
) -> Sheet:
    """
    The sheet of an answer that tells of its places and whose weather it is, but of no record.

    A terminal begins at once with the answer, and says the credit at its end.

    Parameters
    ----------
    places, credits_
        At least one, and the weather of each.
    title
        As it was read; cleaned here.
    notes
        What must be known beside the answer; cleaned here.
    asked
        Labels and texts of what was asked for.
    notes
        What must be known before it is read; cleaned here.
    closing
        Further cautions, before the one that every answer ends with.
    years
        Of the weather of each place; none: they are not told.
    """
    several = len(places) > 1
    told = [words.credit_text(credit) or "source not said" for credit in credits_]
    rows = [("Place", place_text(place)) for place in places]
    dated = [f"{of}: {text}" for of, text in zip(years, told, strict=True)] if years else told
    rows += [("Weather", text) for text in dated]
    rows += [(label, text) for label, text in asked]
    return Sheet(
        title=words.clean(title, 120),
        headline=headline,
        notes=tuple(words.clean(note, 400) for note in notes),
        about=Facts(title=ABOUT, rows=tuple(Fact(*row) for row in rows), on=On.PAGE),
        sections=tuple(sections),
        closing=(*closing, words.CAUTIONS),
        credit="\n".join(
            f"Weather{f' at {words.clean(place.name, 60)}' if several else ''}"
            f"{',' if years else ':'} {text}"
            for place, text in zip(places, dated, strict=True)
        ),
        invented=words.INVENTED if any(place.invented for place in places) else "",
    )


def basis(record: RecordSummary, place: Place) -> str:
    """
    The record in a sentence: where it was measured, which years, and how much of them.

    Empty for an invented place, of which it is said otherwise.
    """
    if place.invented:
        return ""
    station, years = record.station, years_of(record.period, place)
    where = "a file" if station is None else words.clean(station.name, 60)
    if station is not None and station.distance_km is not None:
        where += f", {station.distance_km:.0f} km away"
    return f"Rests on {where}, {years}, {_share(record.coverage)} of the readings there."


def years_of(period: Period, place: Place) -> str:
    """The calendar years of a period, local standard time."""
    return local_years(period.start, period.end, place.utc_offset_hours)


def weather_credit(record: RecordSummary | Record) -> str:
    """Source, attribution and licence of the weather, as they must be said where it is shown."""
    return f"Weather: {words.credit_text(record) or 'source not said'}"


def place_text(place: Place) -> str:
    """Name, position, height and standard time."""
    latitude = f"{abs(place.latitude):.2f} {'N' if place.latitude >= 0 else 'S'}"
    longitude = f"{abs(place.longitude):.2f} {'E' if place.longitude >= 0 else 'W'}"
    height = "height not known" if place.elevation_m is None else f"{place.elevation_m:.0f} m"
    offset = f"standard time UTC{place.utc_offset_hours:+g} h"
    zone = f" ({words.clean(place.zone, 60)})" if place.zone else ""
    return f"{words.clean(place.name)}, {latitude} {longitude}, {height}, {offset}{zone}"


def _coverage(record: RecordSummary) -> str:
    """Hours with a value, and where they come from."""
    thin = record.step_hours > 1  # the hours between its readings are not missing
    origins = ", ".join(
        f"{count:,} {name}"
        for name, count in asdict(record.origin).items()
        if count and not (thin and name == "missing")
    )
    step = "" if record.step_hours == 1 else f", one reading every {record.step_hours} hours"
    return f"{_share(record.coverage)} of the readings, {record.hours_valid:,} h{step} ({origins})"


def _share(share: float) -> str:
    """A share in per cent, 100% only where nothing is missing and 0% only where all is."""
    shown = f"{share:.1%}"
    if share < 1.0 and shown == "100.0%":
        return "over 99.9%"
    if share > 0.0 and shown == "0.0%":
        return "under 0.1%"
    return shown


def _station(station: Station) -> str:
    """The station, and how far from the place it stands."""
    text = f"{words.clean(station.name)} ({words.clean(station.identifier, 40)})"
    if station.distance_km is not None:
        text += f", {station.distance_km:.0f} km away"
    if station.height_difference_m is not None:
        where = "higher" if station.height_difference_m > 0 else "lower"
        text += f", {abs(station.height_difference_m):.0f} m {where}"
    return text


def _zones(zones: PlaceZones, units: TemperatureUnit) -> str:
    """Hardiness and heat zone, for comparing with labels."""
    parts = []
    if zones.hardiness is not None and zones.lowest_c is not None:
        lowest = show_temperature(zones.lowest_c, units)
        years = f"{zones.winters} winter{'' if zones.winters == 1 else 's'}"
        parts.append(f"hardiness {zones.hardiness} (coldest night {lowest} on the mean of {years})")
    if zones.heat is not None and zones.hot_days is not None:
        hot = show_temperature(30.0, units, 0)
        parts.append(f"heat {zones.heat} ({zones.hot_days:.0f} days a year above {hot})")
    return "; ".join(parts) or "not enough of the record is known"


def _quality(result: Answer) -> str:
    """What the checks of quality found."""
    if not result.settings.quality:
        return "not checked, as asked"
    found = [
        f"{words.clean(flag.name, 60)} {flag.hours:,} h ({'taken out' if flag.removed else 'kept'})"
        for flag in result.record.flags
    ]
    return ", ".join(found) or "checked, nothing found"


def _asked(result: Answer, units: TemperatureUnit) -> str:
    """The promise and the caution."""
    settings = result.settings
    lowered = show_difference(settings.minimum_allowance_c, units)
    told_by = TOLD_BY.get(settings.minimum_allowance_from, "")
    caution = words.clean(settings.caution)
    return (
        f"what {settings.promise:.0%} of new years keep; caution {caution}; "
        f"night minima taken {lowered} lower than read{told_by}"
    )
