"""The command `cards`: one card a group and spot, for the potting bench."""

from functools import cache
from typing import TYPE_CHECKING, Annotated

from suitability.cli import options
from suitability.cli.asking import read_question, tell_written, write_answer
from suitability.cli.laying import Only, Told, Without
from suitability.cli.options import Fetched, Output, Plants, Spots, Sure, Where
from suitability.cli.terminal import doing
from suitability.errors import OptionError

if TYPE_CHECKING:
    from suitability.answers.sheet import Sheet


def cards(
    *,
    where: Where,
    spots: Spots,
    plants: Plants,
    sure: Annotated[Sure, Without("seed")],
    fetched: Fetched,
    output: Annotated[
        Output,
        Only("units", "details", "json", "out", "pdf"),
        Told(
            out="One page that prints two to a sheet.",
            pdf="The same, printed by a browser.",
        ),
    ],
) -> None:
    """
    Write a card for each plant group: what it stands, when it moves, its rest, water, feed, light.

    With a collection that has plants the cards are those of its plants, each at its spot.
    """
    from suitability.advice.card import cards as answer

    pdf = output.pdf
    options.check_ending("--out", output.out, "; for a PDF say --pdf")
    _check_pdf(pdf, output.out)
    question = read_question(where, spots, plants, sure=sure, fetched=fetched, output=output)
    result, unit = answer(question), options.unit_shown(output)

    @cache
    def sheet() -> "Sheet":
        from suitability.answers.cards import cards_sheet

        return cards_sheet(result, unit)

    @cache
    def page() -> str:
        from suitability.output.cards import render_cards_page

        return render_cards_page(sheet())

    if pdf is not None:
        from suitability.output.printing import print_page

        doing(f"Printing {pdf}")
        print_page(page(), pdf)
        tell_written(pdf)
    write_answer(output, result, sheet, page=page)


def _check_pdf(pdf: str | None, out: str | None) -> None:
    """
    Refuse, before the work, a PDF that cannot be written.

    Raises
    ------
    OptionError
        It is standard output, or the page's own file.
    OutputError
        It cannot be written, or no browser can print it.
    """
    from suitability.output.printing import check_printing

    if pdf is None:
        return
    if pdf in ("-", out):
        raise OptionError(f"--pdf {pdf}: name a file of its own, such as cards.pdf.")
    options.check_ending("--pdf", pdf, "; for a page say --out")
    check_printing(pdf)
