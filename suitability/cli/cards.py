"""The command `cards`: one card a group and spot, for the potting bench."""

from typing import TYPE_CHECKING, Annotated

import typer

from suitability.cli import options
from suitability.cli.asking import read_wishes, wishes_of, write_answer
from suitability.errors import OptionError

if TYPE_CHECKING:
    from suitability.advice.card import CardResult
    from suitability.cli.asking import Asked
    from suitability.groups import Group, Needs
    from suitability.spots.spot import Spot

__all__ = ["cards"]


def cards(
    *,
    demo: options.DemoFlag = False,
    place: options.PlaceOption = None,
    at: options.AtOption = None,
    record: options.RecordOption = None,
    group: options.GroupOption = None,
    groups: options.GroupsFileOption = None,
    collection: options.CollectionOption = None,
    spot: options.SpotOption = None,
    roof: options.RoofFlag = False,
    promise: options.PromiseOption = 0.9,
    years: options.YearsOption = None,
    caution: options.CautionOption = "usual",
    quality: options.QualityOption = "on",
    minimum_allowance: options.MinimumAllowanceOption = None,
    utc_offset: options.UtcOffsetOption = None,
    units: options.UnitsOption = "c",
    json: options.JsonFlag = False,
    out: Annotated[
        str | None,
        typer.Option("--out", metavar="FILE.html", help="One page that prints four to a sheet."),
    ] = None,
    pdf: Annotated[
        str | None,
        typer.Option("--pdf", metavar="FILE.pdf", help="The same, printed by a browser."),
    ] = None,
    offline: options.OfflineFlag = False,
    allow_missing: options.AllowMissingFlag = False,
    station: options.StationOption = None,
    neighbours: options.NeighboursOption = 0,
    lapse_rate: options.LapseRateOption = None,
) -> None:
    """
    Write a card for each plant group: what it stands, when it moves, its rest, water, feed, light.

    With a collection that has plants the cards are those of its plants, each at its spot.
    """
    wishes = wishes_of(locals(), chart=out, page_option="--out")
    options.check_ending("--out", out, "; for a PDF say --pdf")
    _check_pdf(pdf, out)
    asked = read_wishes(wishes)
    result = _make(asked)

    def page() -> str:
        from suitability.output.cards import render_cards_page

        return render_cards_page(result, asked.units)

    def document() -> str:
        from suitability.output.document import render_json

        return render_json(result)

    def text(width: int, colour: bool) -> str:
        from suitability.output.cards import render_cards

        return render_cards(result, units=asked.units, width=width, colour=colour)

    if pdf is not None:
        from suitability.output.printing import print_page

        print_page(page(), pdf)
        typer.echo(f"Wrote {pdf}", err=True)
    write_answer(wishes, page=page, table=document, document=document, text=text)


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


def _make(asked: "Asked") -> "CardResult":
    """All cards, spot by spot."""
    from msgspec.structs import replace

    from suitability.advice.carding import make_cards
    from suitability.groups.words import read_general_words, read_words

    words, general = read_words(asked.catalogue), read_general_words()
    made = [
        make_cards(
            asked.record,
            asked.place,
            (spot,),
            subjects,
            asked.options,
            words=words,
            general=general,
        )
        for spot, subjects in _subjects(asked)
    ]
    return replace(made[0], cards=tuple(card for one in made for card in one.cards))


def _subjects(asked: "Asked") -> "list[tuple[Spot, list[tuple[Group, Needs]]]]":
    """Groups at each spot, and plants in their own state; only where plants stand, if any do."""
    from suitability.advice.profiling import needs_of_plant

    grouped = dict(zip(asked.groups, asked.needs, strict=True))
    found: list[tuple[Spot, list[tuple[Group, Needs]]]] = []
    for spot in asked.spots:
        here = grouped
        if asked.collection is not None and asked.collection.plants and not asked.by_name:
            keys = {
                plant.group_key
                for plant in asked.collection.plants
                if plant.spot in (None, spot.name)
            }
            here = {group: needs for group, needs in grouped.items() if group.key in keys}
        subjects = list(here.items())
        for subject, where in asked.plants:
            if where.name == spot.name:
                needs = needs_of_plant(asked.record, asked.place, where, subject, asked.options)
                subjects.append((subject.group, needs))
        if subjects:
            found.append((spot, subjects))
    return found or [(asked.spots[0], list(grouped.items()))]
