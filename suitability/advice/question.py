"""
One question: a record with its place, the spots, groups and plants asked about, and how.

The command line and Python ask through the same two steps, with the same defaults. What is asked
about is chosen first, so that a slip in a name is told before a record is fetched.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from suitability.advice.cases import Rules
from suitability.advice.plant_state import PlantState, Subject, apply_state
from suitability.advice.preparing import CheckOptions
from suitability.errors import OptionError
from suitability.groups import Catalogue, Caution, Group, Needs, read_catalogue
from suitability.places import Place
from suitability.spots.collection import Collection
from suitability.spots.spot import OPEN_AIR, ROOFED, Spot
from suitability.weather.quality import check_quality
from suitability.weather.record import Record
from suitability.weather.sampling import find_allowance

__all__ = ["Question", "Subjects", "ask", "ask_about", "choose_subjects", "open_collection"]

LEAST_PROMISE, MOST_PROMISE = 0.5, 0.99
MOST_ALLOWANCE_C = 5.0  # K


class Subjects(Struct, frozen=True, kw_only=True):
    """
    What is asked about, before there is a record.

    Attributes
    ----------
    catalogue
        The groups that are known: ours, and the asker's own.
    groups
        Those asked about, each once; without a rest of its own where no name tells it.
    spots
        Growing positions, in the order in which they are answered.
    collection
        The grower's own place, spots and plants; None without a file.
    plants
        Those of the collection whose state moves their limits, each with its spot.
    by_name
        Whether the groups were asked for by name.
    caution
        Which end of each range of the groups is taken.
    state
        Of a single plant asked for by its group; None: nothing was said of it.
    label_c : (lowest, highest), °C
        The range on that plant's label; None without one.
    understood
        What names were taken for, in sentences.
    """

    catalogue: Catalogue
    groups: tuple[Group, ...]
    spots: tuple[Spot, ...]
    collection: Collection | None = None
    plants: tuple[tuple[Subject, Spot], ...] = ()
    by_name: bool = False
    caution: Caution = Caution.USUAL
    state: PlantState | None = None
    label_c: tuple[float, float] | None = None
    understood: tuple[str, ...] = ()

    @property
    def needs(self) -> tuple[Needs, ...]:
        """What each group needs at this caution, in the state that was told."""
        needs = (group.needs(self.caution) for group in self.groups)
        state = self.state
        if state is None:
            return tuple(needs)
        return tuple(apply_state(one, state)[0] for one in needs)


class Question(Struct, frozen=True, kw_only=True):
    """
    A question, ready to be answered by `check`, `moves`, `year`, `cards`, `report` and others.

    Attributes
    ----------
    record
        Hours of the place, after the checks of quality unless these were left out.
    place
        Where the record holds: degrees, m, and hours of standard time.
    subjects
        Spots, groups and plants asked about.
    options
        What is asked of the record: years, promise, allowance for night minima (K) and the rest.
    """

    record: Record
    place: Place
    subjects: Subjects
    options: CheckOptions

    @property
    def spots(self) -> tuple[Spot, ...]:
        """Growing positions asked about."""
        return self.subjects.spots

    @property
    def groups(self) -> tuple[Group, ...]:
        """Groups asked about."""
        return self.subjects.groups

    @property
    def needs(self) -> tuple[Needs, ...]:
        """What each group needs, °C and hours, in the order of `groups`."""
        return self.subjects.needs

    @property
    def standing(self) -> frozenset[tuple[str, str]] | None:
        """Spots with groups of which a plant stands there; None where no plants are asked about."""
        own = self.subjects.collection
        if own is None or not own.plants or self.subjects.by_name:
            return None
        named = {(plant.spot, plant.group_key) for plant in own.plants}
        return frozenset(
            (spot.name, group.key)
            for spot in self.spots
            for group in self.groups
            if {(spot.name, group.key), (None, group.key)} & named
        )

    def plants_needs(self) -> list[tuple[Subject, Spot, Needs]]:
        """Each plant whose state moves its limits, its spot, and what it needs in that state."""
        if not self.subjects.plants:
            return []
        # Only a collection has plants, and profiles are slow to load.
        from suitability.advice.profiling import needs_of_plant  # noqa: PLC0415

        return [
            (subject, spot, needs_of_plant(self.record, self.place, spot, subject, self.options))
            for subject, spot in self.subjects.plants
        ]


def ask(
    record: Record,
    place: Place,
    groups: str | Sequence[str] = (),
    *,
    spots: str | Spot | Sequence[str | Spot] = (),
    roof: bool = False,
    collection: Collection | Path | str | None = None,
    catalogue: Catalogue | None = None,
    caution: Caution | str = Caution.USUAL,
    state: PlantState | None = None,
    label_c: tuple[float, float] | None = None,
    promise: float = 0.9,
    years: tuple[int | None, int | None] = (None, None),
    quality: bool = True,
    minimum_allowance_c: float | None = None,
    seed: int = 20,
    worst: bool = False,
) -> Question:
    """
    A question about a place, with the defaults of the command line.

    Parameters
    ----------
    record
        Hourly readings of the place, such as `demo_record()` or `read_file_record(path)`.
    place
        Where they were taken, such as `demo_place()` or `place_at(latitude, longitude)`.
    groups
        Keys or names of groups as a grower writes them, hybrids too; none: all groups.
    spots
        Ready kinds such as "open-porch", spots of the collection by name, or `Spot` values; none:
        all spots of the collection, or the open air.
    roof
        Rain is kept off the pots in the open air.
    collection
        The grower's own place, spots and plants, or the file (TOML) that holds them.
    catalogue
        Groups that are known; None: those of the program.
    caution
        Which end of each range of the groups is taken: "low", "usual" or "high".
    state
        Of the plant that is asked about by its group; None: nothing is known of it.
    label_c : (lowest, highest), °C
        The range on that plant's label.
    promise : 0.5 to 0.99
        Probability with which a new year keeps what is promised.
    years : (first, last)
        Calendar years of standard time that are used; None at either end: the last 30.
    quality
        Whether impossible hours are taken out; a record that was checked already stays as it is.
    minimum_allowance_c : K, 0 to 5
        How much lower than the lowest reading a night is taken to have been; None: found from the
        station's daily minima or from the readings.
    seed
        Of the resampling of years.
    worst
        Whether the ten worst nights and fortnights are listed too.

    Raises
    ------
    OptionError
        A number is out of range, or a roof stands beside spots.
    CatalogueError
        A group or spot has no such name, or the collection's file is wrong; near names are offered.
    """
    subjects = choose_subjects(
        (groups,) if isinstance(groups, str) else groups,
        (spots,) if isinstance(spots, (str, Spot)) else spots,
        roof=roof,
        collection=collection,
        catalogue=catalogue,
        caution=caution,
        state=state,
        label_c=label_c,
    )
    return ask_about(
        subjects,
        record,
        place,
        promise=promise,
        years=years,
        quality=quality,
        minimum_allowance_c=minimum_allowance_c,
        seed=seed,
        worst=worst,
    )


def ask_about(
    subjects: Subjects,
    record: Record,
    place: Place,
    *,
    promise: float = 0.9,
    years: tuple[int | None, int | None] = (None, None),
    quality: bool = True,
    minimum_allowance_c: float | None = None,
    seed: int = 20,
    worst: bool = False,
) -> Question:
    """
    The same question of one place; for the parameters see `ask`.

    Parameters
    ----------
    subjects
        From `choose_subjects`; several places may share them.

    Raises
    ------
    OptionError
        A number is out of range.
    """
    _check_range("promise", promise, LEAST_PROMISE, MOST_PROMISE)
    if minimum_allowance_c is not None:
        _check_range("minimum_allowance_c", minimum_allowance_c, 0.0, MOST_ALLOWANCE_C)
    record = check_quality(record) if quality else record
    allowance_c, told_by = find_allowance(record, minimum_allowance_c)
    options = CheckOptions(
        rules=Rules(promise=promise),
        minimum_allowance_c=allowance_c,
        minimum_allowance_from=told_by.value,
        caution=subjects.caution.value,
        quality=quality,
        seed=seed,
        first_year=years[0],
        last_year=years[1],
        worst=worst,
        understood=subjects.understood,
    )
    return Question(record=record, place=place, subjects=subjects, options=options)


def choose_subjects(
    groups: Sequence[str] = (),
    spots: Sequence[str | Spot] = (),
    *,
    roof: bool = False,
    collection: Collection | Path | str | None = None,
    catalogue: Catalogue | None = None,
    caution: Caution | str = Caution.USUAL,
    state: PlantState | None = None,
    label_c: tuple[float, float] | None = None,
) -> Subjects:
    """
    What is asked about; for the parameters see `ask`.

    Raises
    ------
    OptionError
        A roof stands beside spots, or a state or label without a group.
    CatalogueError
        A name is none, or the collection's file is wrong.
    """
    if not groups and (state is not None or label_c is not None):
        raise OptionError("a state or a label tells of one plant: name its group.")
    known = read_catalogue() if catalogue is None else catalogue
    care = Caution(caution)
    chosen, understood = _groups_named(known, groups) if groups else (known.groups, ())
    own = (
        open_collection(Path(collection), known)
        if isinstance(collection, (str, Path))
        else collection
    )
    places = _choose_spots(own, spots, roof=roof)
    return Subjects(
        catalogue=known,
        groups=chosen,
        spots=places,
        collection=own,
        plants=_plants_in_state(own, known, chosen, places, care),
        by_name=bool(groups),
        caution=care,
        state=state,
        label_c=label_c,
        understood=understood,
    )


def open_collection(path: Path, catalogue: Catalogue) -> Collection:
    """
    The collection in a file, its plants led to their groups.

    Parameters
    ----------
    catalogue
        Of the groups that its plants may be of.

    Raises
    ------
    CatalogueError
        Something in the file is wrong.
    """
    # Slow to load, and few questions have a collection.
    from suitability.groups.naming import understand  # noqa: PLC0415
    from suitability.spots.reading import read_collection  # noqa: PLC0415

    return read_collection(path, find_group=lambda word: understand(catalogue, word).group.key)


def _groups_named(
    catalogue: Catalogue, words: Sequence[str]
) -> tuple[tuple[Group, ...], tuple[str, ...]]:
    """
    Each group once, and what words were taken for.

    Without a rest of its own if only plants whose rest no name tells are it.
    """
    # Slow to load, and a check of all groups understands no names.
    from suitability.groups.naming import understand  # noqa: PLC0415

    named = [understand(catalogue, word) for word in words]
    told: dict[Group, bool] = {}
    for one in named:
        told[one.group] = told.get(one.group, False) or one.rest_told
    groups = (group if known else replace(group, rest_told=False) for group, known in told.items())
    return tuple(groups), tuple(one.note for one in named if one.note)


def _choose_spots(
    collection: Collection | None, asked: Sequence[str | Spot], *, roof: bool
) -> tuple[Spot, ...]:
    """Those asked for; else those of the collection; else the open air."""
    if roof and (collection is not None or asked):
        raise OptionError(
            "roof: is for the open air alone; a spot of a collection or a ready kind says for "
            "itself whether rain is kept off."
        )
    if collection is not None:
        every = collection.find_spots(())
        found = (one if isinstance(one, Spot) else collection.find_spot(one) for one in asked)
        return tuple(dict.fromkeys(found)) or every
    if not asked:
        return (ROOFED if roof else OPEN_AIR,)
    from suitability.spots.kinds import read_kinds  # noqa: PLC0415  (slow to load)

    ready = read_kinds()
    found = (one if isinstance(one, Spot) else ready.find(one).spot for one in asked)
    return tuple(dict.fromkeys(found))


def _plants_in_state(
    collection: Collection | None,
    catalogue: Catalogue,
    groups: Sequence[Group],
    spots: Sequence[Spot],
    caution: Caution,
) -> tuple[tuple[Subject, Spot], ...]:
    """Plants whose state moves their limits, each with its spot; without one, at all asked."""
    if collection is None:
        return ()
    from suitability.groups.words import read_words  # noqa: PLC0415  (a file that few ask for)

    asked = {group.key: group for group in groups}
    by_name = {spot.name: spot for spot in spots}
    told = [plant for plant in collection.plants if plant.in_own_state]
    words = read_words(catalogue) if any(plant.damage for plant in told) else {}
    found: list[tuple[Subject, Spot]] = []
    for plant in told:
        if plant.group_key not in asked:
            continue
        subject = Subject(
            group=asked[plant.group_key],
            caution=caution,
            state=PlantState(
                first_winter=plant.first_winter, in_bud=plant.in_bud, shift_c=plant.shift_c
            ),
            damage=tuple((damage.day, damage.words) for damage in plant.damage),
            evergreen=words[plant.group_key].evergreen if plant.damage else None,
            name=plant.name,
        )
        own = by_name.get(plant.spot or "")
        here = spots if plant.spot is None else [] if own is None else [own]
        found += [(subject, spot) for spot in here]
    return tuple(found)


def _check_range(name: str, value: float, low: float, high: float) -> None:
    """Refuse what lies outside a range, or is no number."""
    if not low <= value <= high:
        raise OptionError(f"{name} {value:g}: expected a number from {low:g} to {high:g}.")
