"""The command `compare`: which spot, or place, suits which group, and whether that can be told."""

from typing import TYPE_CHECKING, Annotated

from msgspec import Struct
from msgspec.structs import replace

from suitability.cli import options
from suitability.cli.asking import read_questions, write_answer
from suitability.cli.completing import offer_stations
from suitability.cli.laying import Only, Told, Without
from suitability.cli.options import Fetched, Output, Plants, Spots, Sure, Where
from suitability.errors import OptionError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.answers.sheet import Sheet


class Candidates(Struct, frozen=True, kw_only=True):
    """What is one of its kind elsewhere, and one a place here."""

    place: Annotated[
        list[str] | None,
        options.where_option(
            "--place", metavar="NAME", help="A town to compare; repeated, also beside --at."
        ),
    ] = None
    name: Annotated[
        list[str] | None,
        options.where_option(
            "--name", metavar="NAME", help="What you call a place; one for each, in order."
        ),
    ] = None
    station: Annotated[
        list[str] | None,
        options.weather_option(
            "--station",
            metavar="ID",
            help="Its station; one for each place, in order.",
            autocompletion=offer_stations,
        ),
    ] = None


def compare(
    *,
    where: Annotated[
        Where,
        Without("place"),
        Told(
            at="A candidate place; may be repeated.",
            record="Its record; pairs with --at or --place in order.",
        ),
    ],
    candidates: Candidates,
    spots: Spots,
    plants: Plants,
    sure: Annotated[Sure, Without("seed")],
    fetched: Annotated[Fetched, Without("station")],
    output: Annotated[
        Output,
        Only("units", "details", "json", "csv", "xlsx", "tables", "chart", "figure"),
    ],
) -> None:
    """
    Compare growing spots, at one place or several, for each plant group.

    Spots are ordered by verdict and season; the difference of neighbours is told with its error.
    """
    from suitability.advice.comparison import compare as answer

    questions = read_questions(
        _one_by_one(where, candidates, fetched), spots, plants, sure=sure, output=output
    )
    if candidates.name:
        questions = [
            replace(question, place=replace(question.place, name=name.strip()))
            for question, name in zip(questions, candidates.name, strict=True)
        ]
    found = answer(questions)

    unit = options.unit_shown(output)

    def sheet() -> "Sheet":
        from suitability.answers.comparison import comparison_sheet

        return comparison_sheet(found, unit)

    write_answer(output, found, sheet)


def _one_by_one(
    where: Where, candidates: Candidates, fetched: Fetched
) -> list[tuple[Where, Fetched]]:
    """Each place by itself, with how its record is got."""
    towns, typed = candidates.place or [], where.at or []
    option, names = "--place" if towns else "--at", candidates.name or ()
    records, stations = where.record or [], candidates.station or []
    beside = (("--record", records), ("--station", stations), ("--name", names))
    for paired, given in beside if towns and typed else ():
        if given:
            raise OptionError(
                f"{paired} beside --place and --at: it pairs with places in the order typed, which "
                "two options do not tell; give all places with --at, and with --name what they are "
                "called."
            )
    found = list(map(_town, towns))
    _refuse_twice("--place", towns, [at for at, _ in found])
    _refuse_twice("--at", typed, typed)
    _refuse_twice("--name", names, [name.strip() for name in names])
    places: list[tuple[str, str | None]] = [*found, *((at, None) for at in typed)]
    if not places:
        _refuse_twice("--record", records, records)
    number = max(1, len(places or records))
    for paired, given in beside:
        if given and len(given) != number:
            raise OptionError(
                f"{paired}: {len(given)} for {number} {option if places else 'place'}; they pair "
                "in order, so give as many (imported records alone know their places)."
            )
    return [
        (
            replace(
                where,
                at=[places[one][0]] if places else None,
                place=places[one][1] if places else None,
                record=[records[one]] if records else None,
            ),
            replace(fetched, station=stations[one] if stations else None),
        )
        for one in range(number)
    ]


def _town(name: str) -> tuple[str, str]:
    """A town's position as it would be typed, and what it is called."""
    from suitability.towns import find_town

    town = find_town(name)
    return f"{town.latitude},{town.longitude}", town.label


def _refuse_twice(option: str, given: "Sequence[object]", known: "Sequence[object]") -> None:
    """Refuse what says nothing, or stands twice, by what each is known by."""
    for value, key in zip(given, known, strict=True):
        if not str(value).strip():
            raise OptionError(f"{option}: one of them is empty; say each.")
        if known.count(key) > 1:
            raise OptionError(f"{option} {value}: stands twice; name each once.")
