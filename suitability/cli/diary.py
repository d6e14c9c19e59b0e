"""`suitability diary`: what happened to plants, noted, and held against their nights."""

from collections import Counter
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from msgspec.structs import replace

from suitability.cli import options
from suitability.cli.asking import read_question, write_answer
from suitability.cli.command import Group
from suitability.cli.dated import read_day
from suitability.cli.laying import Only, command
from suitability.cli.options import Fetched, Output, Plants, Spots, Sure, Where
from suitability.cli.spots import USUAL_FILE, Listed
from suitability.cli.terminal import say
from suitability.errors import CatalogueError, OptionError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.diary import DiaryReview
    from suitability.answers.sheet import Sheet
    from suitability.spots.collection import Collection
    from suitability.spots.diary import Diary, Entry, Lot
    from suitability.spots.plants import Plant

diary_app = typer.Typer(
    name="diary",
    cls=Group,
    help="What happened to your plants: noted beside the collection, and held against its nights.",
    no_args_is_help=True,
)

COLDEST_C, WARMEST_C = -40.0, 30.0  # °C, that damage may be noted of


@command(diary_app, "add")
def add(
    what: Annotated[
        str, typer.Argument(metavar="WHAT", help="damage, flowering, move or repotting.")
    ],
    plant: Annotated[
        list[str], typer.Argument(metavar="PLANT", help="Its name; several may be named.")
    ],
    *,
    spots: Listed,
    plants: Annotated[Plants, Only("groups_file")],
    day: Annotated[
        str | None,
        options.plant_option("--date", metavar="DATE", help="When; default today. May lie ahead."),
    ] = None,
    to: Annotated[
        str | None, options.plant_option("--to", metavar="SPOT", help="Where a move leads.")
    ] = None,
    number: Annotated[
        int | None,
        options.plant_option(
            "--number", metavar="N", help="Of several pots, how many move; default all."
        ),
    ] = None,
    leaving: Annotated[
        str | None,
        options.plant_option("--leaving", metavar="SPOT", help="Which spot they leave."),
    ] = None,
    words: Annotated[
        str, options.plant_option("--words", metavar="TEXT", help="What you saw or did.")
    ] = "",
    lowest: Annotated[
        float | None,
        options.plant_option("--lowest", metavar="T", help="Of the night that did the damage."),
    ] = None,
    output: Annotated[Output, Only("units")],
) -> None:
    """Add a note for each plant named; none is added where one of them is wrong."""
    from suitability.fields import Where as Named
    from suitability.output.writing import write_text
    from suitability.spots.diary import Entry, What, check_entry, with_entries

    kind = What(options.parse_choice("WHAT", what, [one.value for one in What]))
    on = date.today() if day is None else read_day("--date", day)  # noqa: DTZ011  the grower's day
    if on > date.today() and kind in (What.DAMAGE, What.FLOWERING):  # noqa: DTZ011
        raise OptionError(f"--date {on}: {kind} is noted once it is seen; this day lies ahead.")
    names = [*dict.fromkeys(plant)]
    if number is not None and len(names) > 1:
        raise OptionError(f"--number {number}: it is asked of one plant; name each by itself.")
    lowest_c = None
    if lowest is not None:
        lowest_c = options.in_celsius("--lowest", lowest, output.units, COLDEST_C, WARMEST_C)
    own, diary = _open(spots, plants)
    one = Entry(
        day=on,
        plant="",
        what=kind,
        words=words,
        lowest_c=lowest_c,
        spot=to,
        number=number,
        leaving=leaving,
    )
    asked = Named("diary add")
    entries = [check_entry(replace(one, plant=name), own, asked) for name in names]
    told = _told_after(own, diary, entries)
    path = diary.path
    text = path.read_bytes().decode("utf-8-sig") if path.exists() else ""
    write_text(path, with_entries(text, entries, path.name))
    led = "" if to is None else f" to {entries[0].spot}"
    say(f"Noted in {path}: {on}, {kind}{led}: {', '.join(entry.plant for entry in entries)}")
    for sentence in told:
        say(sentence)


def _told_after(own: "Collection", diary: "Diary", entries: "Sequence[Entry]") -> list[str]:
    """What is to be known of new moves: whose pots stand apart then, and what they supersede."""
    told = []
    for entry in entries:
        if entry.spot is None:
            continue
        plant = next(plant for plant in own.plants if plant.name == entry.plant)
        at = Counter[str]()
        for lot in _lots_after(plant, diary, entry):
            at[lot.stay_on(entry.day)[1] or "no spot"] += lot.number
        if len(at) > 1:
            spots = ", ".join(f"{number} at {spot}" for spot, number in at.items())
            told.append(f"{entry.plant} on the evening of {entry.day}: {spots}.")
        others = [one for one in diary.of(entry.plant) if one.day == entry.day and one.spot]
        if others and entry.takes_all:
            told.append(f"{entry.plant}: this takes the place of its other move of {entry.day}.")
    return told


def _lots_after(plant: "Plant", diary: "Diary", entry: "Entry") -> "tuple[Lot, ...]":
    """The lots of a plant with one move more; refused where it fits not, or a later one then."""
    from suitability.spots.diary import lots_of

    so_far = [one for one in diary.of(plant.name) if one.day <= entry.day] + [entry]
    lots_of(plant, replace(diary, entries=tuple(so_far)), "diary add")
    later = [one for one in diary.of(plant.name) if one.day > entry.day]
    try:
        return lots_of(plant, replace(diary, entries=(*so_far, *later)), "diary add")
    except CatalogueError as reason:
        told = f"with this move a later one of the diary would no longer fit: {reason}"
        raise CatalogueError(told) from reason


@command(diary_app, "now")
def now(
    *,
    spots: Listed,
    plants: Annotated[Plants, Only("groups_file")],
    on: Annotated[
        str | None,
        options.output_option("--on", metavar="DATE", help="The day that is told; default today."),
    ] = None,
    output: Annotated[Output, Only("json")],
) -> None:
    """Say where each plant stands, what was last noted of it, and what is noted ahead."""
    from suitability.advice.diary import tell_now

    day = date.today() if on is None else read_day("--on", on)  # noqa: DTZ011  the grower's day
    told = tell_now(*_open(spots, plants), day)

    def sheet() -> "Sheet":
        from suitability.answers.diary import now_sheet

        return now_sheet(told)

    write_answer(output, told, sheet)


@command(diary_app, "review")
def review(
    *,
    where: Where,
    spots: Listed,
    plants: Annotated[Plants, Only("groups_file", "caution")],
    sure: Annotated[Sure, Only("quality", "minimum_allowance")],
    fetched: Fetched,
    output: Annotated[Output, Only("units", "details", "json")],
    apply: Annotated[
        bool,
        options.output_option("--apply", help="Put what is proposed into the collection file."),
    ] = False,
) -> None:
    """
    Hold the notes of each plant against the nights that it stood through.

    Proposes how much tenderer or hardier than its group a plant is to be taken, with what says so.
    """
    from suitability.advice.diary import review_diary
    from suitability.spots.diary import read_diary

    unit = options.unit_shown(output)
    asked = replace(spots, collection=spots.collection or USUAL_FILE)
    question = read_question(where, asked, plants, sure=sure, fetched=fetched, output=output)
    own = question.subjects.collection
    assert own is not None
    found = review_diary(question, read_diary(own))

    def sheet() -> "Sheet":
        from suitability.answers.diary import review_sheet

        return review_sheet(found, unit, applied=apply)

    if apply:
        _apply(own.path, found)
    write_answer(output, found, sheet)


def _open(spots: Spots, plants: Plants) -> "tuple[Collection, Diary]":
    """The collection and its diary."""
    from suitability.advice.question import open_collection
    from suitability.groups import read_catalogue
    from suitability.spots.diary import read_diary

    own = open_collection(spots.collection or USUAL_FILE, read_catalogue(plants.groups_file))
    return own, read_diary(own)


def _apply(path: Path, found: "DiaryReview") -> None:
    """What is proposed into the collection file, notes kept, whole or not at all."""
    from suitability.output.writing import write_text
    from suitability.spots.editing import with_shift

    text = path.read_bytes().decode("utf-8-sig")
    told = []
    for one in found.plants:
        if one.proposed_c is not None:
            text = with_shift(text, one.plant, one.proposed_c, path.name)
            told.append(f"{one.plant} {one.proposed_c:+g} °C")
    if told:
        write_text(path, text)
        say(f"Wrote shift_c into {path}: {', '.join(told)}")
