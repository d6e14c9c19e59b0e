"""
A diary held against the nights that its plants stood through.

Damage that a plant's thresholds do not explain says that it is tenderer than they are, by what the
deepest of the 14 nights before it lacked. Cold spells beyond the thresholds that left no note of
damage say that it is hardier, cautiously: by half of what three of them went beyond. These rules
are reasoned and have no source; nothing is changed unless it is asked for.
"""

import math
from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from enum import StrEnum
from typing import Annotated

import numpy as np
from msgspec import Meta

from suitability.advice.question import Question
from suitability.advice.result import Credit
from suitability.advice.stays import (
    Endured,
    Stays,
    Where,
    endure,
    needs_in_state,
    spots_by_night,
    worst_of,
)
from suitability.climate.cold import DOSE_NIGHTS
from suitability.errors import CatalogueError
from suitability.groups.group import Needs
from suitability.places import Place
from suitability.quantities import (
    SCHEMA_VERSION,
    Celsius,
    Count,
    DegreeHours,
    Difference,
    GivenDifference,
    Result,
    SchemaVersion,
)
from suitability.spots.collection import Collection
from suitability.spots.diary import Diary, Entry, What, lots_of, pots_by_spot
from suitability.spots.plants import LARGEST_SHIFT_C, Plant
from suitability.weather.record import datetime_of_hour

SHOWS_WITHIN_DAYS = DOSE_NIGHTS  # after a cold night in which its damage is seen; reasoned
FEWEST_SPELLS = 3  # without damage, before a plant is taken to be hardier; reasoned
HARDIER_SHARE = 0.5  # of what they went beyond; reasoned
MOST_HARDIER_C = 1.5  # K; reasoned
MOST_UNKNOWN = 3  # of the 14 nights before damage


class PlantNow(Result, frozen=True, kw_only=True):
    """Where one plant stands, and what was last noted of it."""

    plant: str
    number: Annotated[int, Meta(ge=1)] = 1
    spot: Annotated[str | None, Meta(description="Null: not placed yet.")]
    since: Annotated[
        date | None, Meta(description="Of the move that led there; null: as the file has it.")
    ]
    next: Annotated[Entry | None, Meta(description="The first note that lies ahead.")]
    damage: Annotated[date | None, Meta(description="Last noted.")]
    flowering: Annotated[date | None, Meta(description="Last noted.")]
    repotting: Annotated[date | None, Meta(description="Last noted.")]


class DiaryNow(Result, frozen=True, kw_only=True):
    """Where each plant of a collection stands on a day: `diary now`."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    file: Annotated[str, Meta(description="Name of the diary.")]
    day: date
    plants: tuple[PlantNow, ...]
    notes: Annotated[tuple[str, ...], Meta(description="Rows and plants left out, in sentences.")]


def tell_now(collection: Collection, diary: Diary, day: date) -> DiaryNow:
    """Where each plant stands on the evening of a day, what was last noted and what is next."""
    return DiaryNow(
        file=diary.path.name,
        day=day,
        plants=tuple(one for plant in collection.plants for one in _plant_now(plant, diary, day)),
        notes=(*collection.left_out, *diary.left_out),
    )


def _plant_now(plant: Plant, diary: Diary, day: date) -> Iterator[PlantNow]:
    """A plant once for each spot at which some of its pots stand."""
    entries = diary.of(plant.name)
    past = [entry for entry in entries if entry.day <= day]
    ahead = entries[len(past) :]
    since: dict[str | None, date] = {}
    for lot in lots_of(plant, diary):
        first, spot = lot.stay_on(day)
        since[spot] = max(first, since.get(spot, first))

    def last(what: What) -> date | None:
        return next((entry.day for entry in reversed(past) if entry.what is what), None)

    for here in pots_by_spot(plant, diary, day):
        first = since[here.spot]
        yield PlantNow(
            plant=plant.name,
            number=here.number,
            spot=here.spot,
            since=None if first == date.min else first,
            next=next((one for one in ahead if one.leaving in (None, here.spot)), None),
            damage=last(What.DAMAGE),
            flowering=last(What.FLOWERING),
            repotting=last(What.REPOTTING),
        )


# Review -----------------------------------------------------------------------------------------


class Sign(StrEnum):
    """What a note of damage says of its plant."""

    EXPECTED = "expected"  # the thresholds explain it
    TENDERER = "tenderer"  # they would, were it tenderer by 3 °C or less
    OTHER = "other-cause"  # no cold by which a plant of its group is harmed
    UNKNOWN = "unknown"  # the record does not hold the nights before
    NOT_PLACED = "not-placed"  # nobody says where it stood on them


Beyond = Annotated[
    Difference | None,
    Meta(
        description="How far the deepest night went beyond what the plant is taken to stand; "
        "below 0: by how much it stayed short of that. Null where it is not known."
    ),
]


class DamageReviewed(Result, frozen=True, kw_only=True, rename={"day": "date"}):
    """One note of damage beside the 14 nights before it, where the plant stood on them."""

    day: date
    words: str
    lowest_noted_c: Annotated[Celsius | None, Meta(description="By the grower.")]
    lowest_c: Annotated[Celsius | None, Meta(description="Lowest hour of those nights.")]
    dose_c_h: Annotated[DegreeHours | None, Meta(description="Highest dose of 14 nights.")]
    beyond_c: Beyond
    sign: Sign


class ColdSpell(Result, frozen=True, kw_only=True):
    """
    Nights beyond what the plant is taken to stand, fewer than 14 nights apart.

    A night that adds nothing to a dose is none of them. The nights after which notes do not go on
    long enough are a spell of their own.
    """

    first: date
    last: date
    nights: Annotated[Count, Meta(description="That went beyond it.")]
    lowest_c: Celsius
    beyond_c: Beyond
    damage: Annotated[bool, Meta(description="Noted during it or within 14 days of it.")]
    counts: Annotated[bool, Meta(description="Notes go on long enough for damage to show.")]


class PlantReview(Result, frozen=True, kw_only=True):
    """One plant with what its notes say of it."""

    plant: str
    group: Annotated[str, Meta(description="Key of its group.")]
    watched_from: Annotated[date, Meta(description="Of its first note.")]
    watched_until: Annotated[date, Meta(description="Of the last note of any plant.")]
    nights_known: Annotated[Count, Meta(description="Between them, where it stood.")]
    damage: tuple[DamageReviewed, ...]
    spells: tuple[ColdSpell, ...]
    shift_c: Annotated[GivenDifference, Meta(description="As the collection has it.")]
    proposed_c: Annotated[
        GivenDifference | None,
        Meta(description="To take its place, -3 to 3: above 0 tenderer than its group; or null."),
    ]


class DiaryReview(Result, frozen=True, kw_only=True):
    """A diary held against a record: `diary review`."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    file: Annotated[str, Meta(description="Name of the diary.")]
    place: Place
    credit: Credit
    plants: Annotated[tuple[PlantReview, ...], Meta(description="Those with a note.")]
    notes: Annotated[tuple[str, ...], Meta(description="Rows and plants left out, in sentences.")]


def review_diary(question: Question, diary: Diary) -> DiaryReview:
    """
    What the notes of each plant say of it.

    Parameters
    ----------
    question
        About all spots of a collection and its plants.

    Raises
    ------
    CatalogueError
        The diary has no row that can be used.
    """
    if not diary.entries:
        raise CatalogueError(
            " ".join(diary.left_out)
            or f"{diary.path.name}: nothing is noted yet; `suitability diary add` adds a note."
        )
    first = min(entry.day for entry in diary.entries) - timedelta(days=DOSE_NIGHTS + 1)
    held = datetime_of_hour(question.record.stop_hour).date() - timedelta(days=2)
    first = min(first, held)  # one night at least, however late the notes
    stays = Stays.of(question.record, question.place, question.spots, first)
    own = question.subjects.collection
    allowance_c = question.options.minimum_allowance_c
    reviews = [
        _review(plant, diary, stays, needs, allowance_c)
        for subject in question.subjects.asked
        for needs in [needs_in_state(question, subject)]
        for plant in subject.plants
        if diary.of(plant.name)
    ]
    return DiaryReview(
        file=diary.path.name,
        place=question.place,
        credit=Credit.of(question.record),
        plants=tuple(reviews),
        notes=(*(own.left_out if own else ()), *diary.left_out),
    )


def _review(
    plant: Plant, diary: Diary, stays: Stays, needs: Needs, allowance_c: float
) -> PlantReview:
    """
    One plant: a first note of damage looks back on 14 nights, each of them with its dose.

    Of pots that stood apart each night counts as it was for those that it harmed most.
    """
    entries = diary.of(plant.name)
    begins = min(stays.index_of(entries[0].day) - 2 * DOSE_NIGHTS, stays.nights - 1)
    stays = stays.from_night(max(0, begins))
    lots = [spots_by_night(lot, stays) for lot in lots_of(plant, diary)]
    nights = worst_of(
        [endure(stays.lay_out(where, [needs], allowance_c), needs) for where in set(lots)]
    )
    where = tuple(None if None in spots else spots[0] for spots in zip(*lots, strict=True))
    harmed = [entry for entry in entries if entry.what is What.DAMAGE]
    damage = tuple(_look_back(entry, needs, nights, stays, where) for entry in harmed)
    watched = stays.index_of(entries[0].day)
    until = stays.index_of(diary.entries[-1].day)  # whoever notes nothing any more sees nothing
    spells = tuple(
        _spells(nights, slice(max(0, watched), until), stays, [entry.day for entry in harmed])
    )
    return PlantReview(
        plant=plant.name,
        group=needs.key,
        watched_from=entries[0].day,
        watched_until=diary.entries[-1].day,
        nights_known=int((~nights.unknown[max(0, watched) : max(0, until)]).sum()),
        damage=damage,
        spells=spells,
        shift_c=plant.shift_c,
        proposed_c=_propose(plant.shift_c, damage, spells),
    )


def _look_back(
    entry: Entry, needs: Needs, nights: Endured, stays: Stays, where: Where
) -> DamageReviewed:
    """The 14 nights before a note of damage."""
    evening = stays.index_of(entry.day)
    before = slice(max(0, evening - DOSE_NIGHTS), max(0, evening))
    beyond, sign = None, Sign.UNKNOWN
    held = DOSE_NIGHTS <= evening <= stays.nights
    if held and where[before].count(None) > MOST_UNKNOWN:
        sign = Sign.NOT_PLACED
    elif held and int(nights.unknown[before].sum()) <= MOST_UNKNOWN:
        beyond = float(nights.cold_c[before].max())
        if entry.lowest_c is not None:  # what hung beside the plant knows better
            coldest = evening - DOSE_NIGHTS + int(np.nanargmin(nights.lowest_c[before]))
            limit_c = needs.limit_wet_c if nights.wet[coldest] else needs.limit_c
            dose_c = float(nights.dose_c[before].max())
            beyond = max(limit_c - entry.lowest_c, dose_c)
        tenderer = Sign.TENDERER if beyond > -LARGEST_SHIFT_C else Sign.OTHER
        sign = Sign.EXPECTED if beyond > 0.0 else tenderer
    return DamageReviewed(
        day=entry.day,
        words=entry.words,
        lowest_noted_c=entry.lowest_c,
        lowest_c=float(np.nanmin(nights.lowest_c[before])) if beyond is not None else None,
        dose_c_h=float(nights.dose_c_h[before].max()) if beyond is not None else None,
        beyond_c=beyond,
        sign=sign,
    )


def _spells(
    nights: Endured, watched: slice, stays: Stays, harmed: Sequence[date]
) -> list[ColdSpell]:
    """Cold spells while a plant is watched."""
    beyond_c = np.maximum(np.maximum(nights.dry_c, nights.wet_c), nights.added_dose_c)
    unsafe = watched.start + np.flatnonzero(beyond_c[watched] > 0.0)
    if watched.stop <= watched.start or not unsafe.size:
        return []
    late = unsafe + SHOWS_WITHIN_DAYS >= min(watched.stop, stays.nights)
    apart = (np.diff(unsafe) >= DOSE_NIGHTS) | np.diff(late)
    shows = timedelta(days=SHOWS_WITHIN_DAYS)
    spells = []
    for some in np.split(np.arange(unsafe.size), np.flatnonzero(apart) + 1):
        first, last = (stays.evening(int(unsafe[one])) for one in (some[0], some[-1]))
        spells.append(
            ColdSpell(
                first=first,
                last=last,
                nights=some.size,
                lowest_c=float(np.nanmin(nights.lowest_c[unsafe[some]])),
                beyond_c=float(beyond_c[unsafe[some]].max()),
                # Whoever has just noted damage does not note the same leaves again.
                damage=any(first - shows <= day <= last + shows for day in harmed),
                counts=not late[some[0]],
            )
        )
    return spells


def _propose(
    shift_c: float, damage: Sequence[DamageReviewed], spells: Sequence[ColdSpell]
) -> float | None:
    """
    The shift that fits what was noted; None where that gives no reason for another.

    It is told from what the plant would be taken to stand without any shift of its own, so that
    once it is applied the same notes propose nothing more.
    """
    lacked = [shift_c - (one.beyond_c or 0.0) for one in damage if one.sign is Sign.TENDERER]
    explained = [(one.beyond_c or 0.0) - shift_c for one in damage if one.sign is Sign.EXPECTED]
    stood = sorted(
        ((one.beyond_c or 0.0) - shift_c for one in spells if one.counts and not one.damage),
        reverse=True,
    )
    if lacked:
        proposed = math.ceil(max(lacked) * 10.0 + 1e-6) / 10.0
    elif len(stood) >= FEWEST_SPELLS:
        least = min(HARDIER_SHARE * stood[FEWEST_SPELLS - 1], MOST_HARDIER_C, *explained)
        proposed = min(shift_c, -math.floor(least * 10.0) / 10.0)
    else:
        return None
    proposed = max(-LARGEST_SHIFT_C, min(LARGEST_SHIFT_C, proposed)) + 0.0
    return None if math.isclose(proposed, shift_c, abs_tol=0.05) else proposed
