"""The command `compare`: which spot, or place, suits which group, and whether that can be told."""

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from suitability.cli import options
from suitability.cli.asking import Wishes, read_wishes, wishes_of, write_answer
from suitability.errors import OptionError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.comparison import Site
    from suitability.cli.asking import Asked
    from suitability.output.workbook import Sheet

__all__ = ["compare"]


def compare(
    *,
    demo: options.DemoFlag = False,
    place: options.PlaceOption = None,
    at: Annotated[
        list[str] | None,
        typer.Option("--at", metavar="LAT,LON[,ELEV]", help="A candidate place; may be repeated."),
    ] = None,
    record: Annotated[
        list[Path] | None,
        typer.Option("--record", metavar="FILE", help="Its record; pairs with --at in order."),
    ] = None,
    group: options.GroupOption = None,
    groups: options.GroupsFileOption = None,
    collection: options.CollectionOption = None,
    spot: options.SpotOption = None,
    promise: options.PromiseOption = 0.9,
    years: options.YearsOption = None,
    caution: options.CautionOption = "usual",
    quality: options.QualityOption = "on",
    minimum_allowance: options.MinimumAllowanceOption = None,
    utc_offset: options.UtcOffsetOption = None,
    units: options.UnitsOption = "c",
    json: options.JsonFlag = False,
    csv: options.CsvOption = None,
    xlsx: options.XlsxOption = None,
    tables: options.TablesOption = None,
    chart: options.ChartOption = None,
    offline: options.OfflineFlag = False,
    allow_missing: options.AllowMissingFlag = False,
) -> None:
    """
    Compare growing spots, at one place or several, for each plant group.

    Spots are ordered by verdict and season; the difference of neighbours is told with its error.
    """
    wishes = wishes_of(locals())
    from suitability.advice.comparison import compare_sites
    from suitability.groups import read_catalogue
    from suitability.units import TemperatureUnit

    several = _one_by_one(wishes)
    asked = [read_wishes(one) for one in several]
    catalogue = read_catalogue(groups)
    light = {one.key: one.light_class for one in catalogue.groups}
    found = compare_sites(_sites(asked), asked[0].needs, light)

    def page() -> str:
        from suitability.output.comparison_page import render_comparison_page

        return render_comparison_page(found)

    def table() -> str:
        from suitability.output.comparison_words import render_comparison_csv

        return render_comparison_csv(found)

    def document() -> str:
        from suitability.output.document import render_json

        return render_json(found)

    def text(width: int, colour: bool) -> str:
        from suitability.output.comparison_words import render_comparison

        unit = TemperatureUnit(units.strip().lower())
        return render_comparison(found, units=unit, width=width, colour=colour)

    def sheets() -> "Sequence[Sheet]":
        from suitability.output.sheets import compare_sheets

        return compare_sheets(found)

    write_answer(wishes, page=page, table=table, document=document, text=text, sheets=sheets)


def _one_by_one(wishes: Wishes) -> list[Wishes]:
    """What is asked of each place by itself."""
    places, records = wishes.at or [], wishes.record or []
    if records and places and len(records) != len(places):
        raise OptionError(
            f"--record: {len(records)} for {len(places)} --at; they pair in order, so give as "
            "many, or imported records alone, which know where they were measured."
        )
    if max(len(places), len(records)) < 2:
        return [wishes]
    if len(set(places)) < len(places):
        raise OptionError("--at: the same position stands twice; name each place once.")
    if places:
        return [
            replace(wishes, at=[at], record=[records[number]] if records else None, place=None)
            for number, at in enumerate(places)
        ]
    if len(set(records)) < len(records):
        raise OptionError("--record: the same record stands twice; name each once.")
    if wishes.place is not None:
        raise OptionError("--place: names one place for several records; leave it out.")
    return [replace(wishes, record=[record]) for record in records]


def _sites(asked: "list[Asked]") -> "list[Site]":
    """Places with their spots, each under a name of its own."""
    from msgspec.structs import replace as with_name

    from suitability.advice.comparison import Site

    sites: list[Site] = []
    names: set[str] = set()
    for one in asked:
        name, number = one.place.name, 2
        while name in names:
            name, number = f"{one.place.name} ({number})", number + 1
        names.add(name)
        sites.append(
            Site(
                record=one.record,
                place=with_name(one.place, name=name),
                spots=one.spots,
                options=one.options,
            )
        )
    return sites
