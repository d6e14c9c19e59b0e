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
from suitability.advice.measuring import measured_notes
from suitability.advice.plant_state import PlantState, Subject
from suitability.advice.preparing import CheckOptions, LaidOut, lay_out
from suitability.brief import first_of
from suitability.errors import CatalogueError, OptionError
from suitability.groups import Catalogue, Caution, Group, Needs, read_catalogue
from suitability.places import Place
from suitability.spots.collection import Collection
from suitability.spots.plants import FoundGroup
from suitability.spots.spot import OPEN_AIR, ROOFED, Spot
from suitability.weather.quality import check_quality
from suitability.weather.record import Record
from suitability.weather.sampling import find_allowance

LEAST_PROMISE, MOST_PROMISE = 0.5, 0.99
MOST_ALLOWANCE_C = 5.0  # K


class Subjects(Struct, frozen=True, kw_only=True):
    """
    What is asked about, before there is a record.

    Attributes
    ----------
    catalogue
        The groups that are known: ours, and the asker's own.
    asked
        Who is asked about: groups, each once, or the plants of the collection, those that are
        judged alike together.
    spots
        Growing positions, in the order in which they are answered.
    collection
        The grower's own place, spots and plants; None without a file.
    in_full
        Whether each is also told in full: groups asked for by name, and plants.
    caution
        Which end of each range of the groups is taken.
    label_c : (lowest, highest), °C
        The range on the label of a single plant asked for by its group; None without one.
    understood
        What names were taken for, in sentences.
    notes
        What of the collection is left out, and when its spots were measured, in sentences.
    placing
        Which of its plants have no spot, or where none stands: a plan places them all.
    """

    catalogue: Catalogue
    asked: tuple[Subject, ...]
    spots: tuple[Spot, ...]
    collection: Collection | None = None
    in_full: bool = False
    caution: Caution = Caution.USUAL
    label_c: tuple[float, float] | None = None
    understood: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    placing: tuple[str, ...] = ()

    def by_spot(self) -> list[tuple[Spot, tuple[Subject, ...]]]:
        """
        Who is asked about at each spot where anyone is: the one list that every question goes by.

        Raises
        ------
        CatalogueError
            No plant stands at any spot that is asked about.
        """
        found = []
        for spot in self.spots:
            here = tuple(filter(None, (subject.at(spot.name) for subject in self.asked)))
            if here:
                found.append((spot, here))
        if not found:
            named = ", ".join(f'"{spot.name}"' for spot in self.spots)
            raise CatalogueError(
                f"no plant of the collection stands at {named}; name groups, or ask for all groups "
                "(--group, --all-groups)."
            )
        return found


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

    def __repr__(self) -> str:
        """One line: where, what of, at which spots, and how surely it is to hold."""
        named = [
            ", ".join(plant.name for plant in subject.plants) or subject.group.key
            for subject in self.subjects.asked
        ]
        spots = ", ".join(spot.name for spot in self.spots)
        promise = self.options.rules.promise
        who = first_of(named, 3)
        return f"<Question {self.place.name}: {who} at {spots}, promise {promise:g}>"

    @property
    def spots(self) -> tuple[Spot, ...]:
        """Growing positions asked about."""
        return self.subjects.spots

    @property
    def groups(self) -> dict[str, Group]:
        """Groups asked about, by their keys."""
        return {subject.group.key: subject.group for subject in self.subjects.asked}

    def lay_out(self, *, in_full: bool = False) -> LaidOut:
        """
        Each spot with what is asked there, each case decided once; without spots where nothing is.

        Parameters
        ----------
        in_full
            Whether profiles will be asked for too.

        Raises
        ------
        CatalogueError
            No plant stands at any spot that is asked about.
        RecordError
            Nothing of the record lies in the years asked for.
        """
        by_spot = self.subjects.by_spot()
        every = [subject for _, some in by_spot for subject in some]
        spots = [spot for spot, _ in by_spot]
        damaged = any(subject.damage for subject in every)
        also = [subject.needs()[0] for subject in every]
        if in_full or damaged:  # profiles are slow to load, and few questions ask for them
            from suitability.advice.profiling import needs_at, profile_needs  # noqa: PLC0415

            also += profile_needs(every if in_full else [one for one in every if one.damage])
        bare = lay_out(self.record, self.place, spots, (), self.options, also=also)

        def needs(subject: Subject, spot: Spot) -> Needs:
            if subject.damage:
                return needs_at(subject, bare.at(spot).judged)
            return subject.needs()[0]

        return bare.asking((spot, [needs(one, spot) for one in some]) for spot, some in by_spot)


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
    all_groups: bool = False,
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
        Keys or names of groups as a grower writes them, hybrids too; none: the plants of the
        collection, or all groups without any.
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
    all_groups
        All groups at all spots, whatever plants the collection has.
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
        A number is out of range, a roof stands beside spots, or groups beside all of them.
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
        all_groups=all_groups,
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
        rules=Rules(promise=promise, cautious=subjects.caution is Caution.HIGH),
        minimum_allowance_c=allowance_c,
        minimum_allowance_from=told_by.value,
        caution=subjects.caution.value,
        quality=quality,
        seed=seed,
        first_year=years[0],
        last_year=years[1],
        worst=worst,
        understood=subjects.understood,
        notes=(*subjects.notes, *subjects.placing),
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
    all_groups: bool = False,
) -> Subjects:
    """
    What is asked about; for the parameters see `ask`.

    Raises
    ------
    OptionError
        A roof stands beside spots, a state or label without a group, groups beside all of them.
    CatalogueError
        A name is none, the collection's file is wrong, or none of its plants can be judged.
    """
    if not groups and (state is not None or label_c is not None):
        raise OptionError("a state or a label tells of one plant: name its group.")
    if groups and all_groups:
        raise OptionError("all groups are asked for, and some by name: leave one of the two out.")
    known = read_catalogue() if catalogue is None else catalogue
    care = Caution(caution)
    own = (
        open_collection(Path(collection), known)
        if isinstance(collection, (str, Path))
        else collection
    )
    places = _choose_spots(own, spots, roof=roof)
    by_plants = own is not None and not (groups or all_groups) and own.has_plants
    understood: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    placing: tuple[str, ...] = ()
    if groups:
        asked, understood = groups_named(known, groups, care, state or PlantState())
    elif by_plants and own is not None:
        asked, notes = _plants_asked(own, known, care), own.left_out
        placing = _placing_notes(own, places)
    else:
        asked = tuple(Subject(group=group, caution=care) for group in known.groups)
    return Subjects(
        catalogue=known,
        asked=asked,
        spots=places,
        collection=own,
        in_full=bool(groups) or by_plants,
        caution=care,
        label_c=label_c,
        understood=understood,
        notes=(*notes, *measured_notes(places)),
        placing=placing,
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

    def find_group(word: str) -> FoundGroup:
        try:
            found = understand(catalogue, word)
        except CatalogueError as reason:
            return FoundGroup(refused=str(reason))
        return FoundGroup(key=found.group.key, caveat=found.caveat, rest_told=found.rest_told)

    return read_collection(path, find_group=find_group)


def groups_named(
    catalogue: Catalogue, words: Sequence[str], caution: Caution, state: PlantState
) -> tuple[tuple[Subject, ...], tuple[str, ...]]:
    """
    Each group once, and what words were taken for.

    Without a rest of its own, and with a caveat, if only plants of which no name tells more are it.
    """
    # Slow to load, and a check of all groups understands no names.
    from suitability.groups.naming import understand  # noqa: PLC0415

    named = [understand(catalogue, word) for word in words]
    found: dict[str, Subject] = {}
    for one in named:
        before = found.get(one.group.key)
        told = one.rest_told or (before is not None and before.group.rest_told)
        sure = before is not None and not before.caveat
        found[one.group.key] = Subject(
            group=replace(one.group, rest_told=told),
            caution=caution,
            state=state,
            caveat="" if sure else one.caveat,
        )
    return tuple(found.values()), tuple(one.note for one in named if one.note)


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

    ready, bare = read_kinds(), {spot.name: spot for spot in (OPEN_AIR, ROOFED)}
    found = (
        one if isinstance(one, Spot) else bare.get(one) or ready.find(one).spot for one in asked
    )
    return tuple(dict.fromkeys(found))


def _plants_asked(
    collection: Collection, catalogue: Catalogue, caution: Caution
) -> tuple[Subject, ...]:
    """
    The plants of a collection, those of one group in one state together, in the order of the file.

    Raises
    ------
    CatalogueError
        None of its plants can be judged.
    """
    from suitability.groups.words import read_words  # noqa: PLC0415  (a file that few ask for)

    if not collection.plants:
        raise CatalogueError(" ".join(collection.left_out))
    words = read_words(catalogue) if any(plant.damage for plant in collection.plants) else {}
    found: dict[object, Subject] = {}
    for plant in collection.plants:
        group = replace(catalogue.find(plant.group_key or ""), rest_told=plant.rest_told)
        alone = Subject(
            group=group,
            caution=caution,
            state=PlantState(
                first_winter=plant.first_winter, in_bud=plant.in_bud, shift_c=plant.shift_c
            ),
            damage=tuple((damage.day, damage.words) for damage in plant.damage),
            evergreen=words[group.key].evergreen if plant.damage else None,
            caveat=plant.caveat,
        )
        # Damage is looked up in the nights of the spot where it was done.
        alike = alone, plant.spot if plant.damage else None
        same = found.get(alike, alone)
        found[alike] = replace(same, plants=(*same.plants, plant))
    return tuple(found.values())


def _placing_notes(collection: Collection, spots: Sequence[Spot]) -> tuple[str, ...]:
    """Which plants have no spot, or at which spots none stands."""
    loose = [plant.name for plant in collection.plants if plant.spot is None]
    if loose:
        return (f"Not placed yet, so judged at every spot: {', '.join(loose)}.",)
    bare = [spot.name for spot in spots if not collection.plants_at(spot.name)]
    return (f"No plant stands at {', '.join(bare)}.",) if bare else ()


def _check_range(name: str, value: float, low: float, high: float) -> None:
    """Refuse what lies outside a range, or is no number."""
    if not low <= value <= high:
        raise OptionError(f"{name} {value:g}: expected a number from {low:g} to {high:g}.")
