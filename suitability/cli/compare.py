"""The command `compare`: which spot, or place, suits which group, and whether that can be told."""

from typing import TYPE_CHECKING, Annotated

from msgspec.structs import replace

from suitability.cli import options
from suitability.cli.asking import read_questions, write_answer
from suitability.cli.laying import Only, Told, Without
from suitability.cli.options import Fetched, Output, Plants, Spots, Sure, Where
from suitability.errors import OptionError

if TYPE_CHECKING:
    from suitability.answers.sheet import Sheet

__all__ = ["compare"]


def compare(
    *,
    where: Annotated[
        Where,
        Told(
            at="A candidate place; may be repeated.",
            record="Its record; pairs with --at in order.",
        ),
    ],
    spots: Annotated[Spots, Without("roof")],
    plants: Plants,
    sure: Annotated[Sure, Without("seed")],
    fetched: Annotated[Fetched, Only("offline", "allow_missing")],
    output: Annotated[Output, Only("units", "details", "json", "csv", "xlsx", "tables", "chart")],
) -> None:
    """
    Compare growing spots, at one place or several, for each plant group.

    Spots are ordered by verdict and season; the difference of neighbours is told with its error.
    """
    from suitability.advice.comparison import compare as answer

    questions = read_questions(
        _one_by_one(where), spots, plants, sure=sure, fetched=fetched, output=output
    )
    found = answer(questions)

    unit = options.unit_shown(output)

    def sheet() -> "Sheet":
        from suitability.answers.comparison import comparison_sheet

        return comparison_sheet(found, unit)

    write_answer(output, found, sheet)


def _one_by_one(where: Where) -> list[Where]:
    """Each place by itself."""
    places, records = where.at or [], where.record or []
    if records and places and len(records) != len(places):
        raise OptionError(
            f"--record: {len(records)} for {len(places)} --at; they pair in order, so give as "
            "many, or imported records alone, which know where they were measured."
        )
    if max(len(places), len(records)) < 2:
        return [where]
    if len(set(places)) < len(places):
        raise OptionError("--at: the same position stands twice; name each place once.")
    if places:
        return [
            replace(where, at=[at], record=[records[number]] if records else None, place=None)
            for number, at in enumerate(places)
        ]
    if len(set(records)) < len(records):
        raise OptionError("--record: the same record stands twice; name each once.")
    if where.place is not None:
        raise OptionError("--place: names one place for several records; leave it out.")
    return [replace(where, record=[record]) for record in records]
