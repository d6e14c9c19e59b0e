"""The command `plan`: where each plant of a collection stands through the year, and its moves."""

from typing import TYPE_CHECKING, Annotated

from suitability.cli import options
from suitability.cli.asking import read_question, tell_written, write_answer
from suitability.cli.dated import read_first_day, today_at
from suitability.cli.laying import Only, Told, Without
from suitability.cli.options import Fetched, Output, Plants, Spots, Sure, Where
from suitability.cli.terminal import doing

if TYPE_CHECKING:
    from suitability.advice.plant_state import Subject
    from suitability.advice.question import Question
    from suitability.answers.sheet import Sheet


def plan(
    *,
    where: Where,
    spots: Annotated[Spots, Only("collection")],
    plants: Annotated[Plants, Only("groups_file", "caution")],
    sure: Annotated[Sure, Without("seed")],
    fetched: Fetched,
    output: Annotated[
        Output,
        Without("out", "pdf"),
        Told(
            chart="The room of each spot drawn, one page, opens offline.",
            ics="The moving days, for your calendar program.",
            first_day="First day of the plan; default today.",
        ),
    ],
    explain: Annotated[
        str | None,
        options.plant_option(
            "--explain", metavar="PLANT", help="Why this plant stands nowhere else."
        ),
    ] = None,
    buy: Annotated[
        str | None,
        options.plant_option(
            "--buy", metavar="GROUP", help="Whether one more plant of it would fit, and where."
        ),
    ] = None,
    carry: Annotated[
        str | None,
        options.output_option(
            "--carry", metavar="FILE.html", help="What to carry on each moving day, to print."
        ),
    ] = None,
) -> None:
    """
    Plan for each plant of a collection where it stands through the year, and when it is carried.

    No plant stands where its nights are not promised, and no spot holds more than it has room for.
    """
    from suitability.advice.planning import plan as answer
    from suitability.spots.diary import read_diary

    first = read_first_day(output.first_day)
    question = read_question(
        where, spots, plants, sure=sure, fetched=fetched, output=output, carry=carry
    )
    own = question.subjects.collection
    result = answer(
        question,
        first or today_at(question.place.utc_offset_hours),
        diary=None if own is None else read_diary(own),
        explain=explain,
        buy=None if buy is None else _bought(buy, question),
        told=doing,
    )
    unit = options.unit_shown(output)

    def sheet() -> "Sheet":
        from suitability.answers.plan import plan_sheet

        return plan_sheet(result, unit)

    def calendar() -> bytes:
        from suitability.answers.plan import plan_calendar
        from suitability.output.calendar import render_calendar

        return render_calendar(plan_calendar(result))

    if carry is not None:
        from suitability.answers.plan import carry_sheet
        from suitability.output.cards import render_cards_page
        from suitability.output.writing import write_text

        write_text(carry, render_cards_page(carry_sheet(result, unit)))
        tell_written(carry)
    write_answer(output, result, sheet, calendar=calendar)


def _bought(word: str, question: "Question") -> "Subject":
    """The group of a plant that may be bought."""
    from suitability.advice.plant_state import PlantState
    from suitability.advice.question import groups_named

    subjects = question.subjects
    (subject,), _ = groups_named(subjects.catalogue, [word], subjects.caution, PlantState())
    return subject
