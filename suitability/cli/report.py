"""The command `report`: everything about a place and its groups on one page that a grower keeps."""

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from suitability.cli import options
from suitability.cli.asking import read_wishes, wishes_of, write_figures
from suitability.cli.year import day_of_year
from suitability.errors import OptionError

if TYPE_CHECKING:
    from suitability.advice.reporting import SpotsAsked
    from suitability.cli.asking import Asked

__all__ = ["report"]

FILE_NAME = "report.html"
MUCH_MB = 2.0  # from which on the command says how to make the page smaller


def report(
    *,
    out: Annotated[
        str,
        typer.Option("--out", metavar="FOLDER|FILE.html", help="Where the page is written."),
    ] = FILE_NAME,
    figure: options.FigureOption = None,
    open_it: Annotated[
        bool, typer.Option("--open", help="Open the page in the browser when it is written.")
    ] = False,
    demo: options.DemoFlag = False,
    place: options.PlaceOption = None,
    at: options.AtOption = None,
    record: options.RecordOption = None,
    group: options.GroupOption = None,
    groups: options.GroupsFileOption = None,
    collection: options.CollectionOption = None,
    spot: options.SpotOption = None,
    roof: options.RoofFlag = False,
    on: Annotated[
        str | None,
        typer.Option(
            "--on",
            metavar="MM-DD",
            help="The day from which the next moves are told; default today.",
        ),
    ] = None,
    promise: options.PromiseOption = 0.9,
    years: options.YearsOption = None,
    caution: options.CautionOption = "usual",
    quality: options.QualityOption = "on",
    minimum_allowance: options.MinimumAllowanceOption = None,
    utc_offset: options.UtcOffsetOption = None,
    units: options.UnitsOption = "c",
    offline: options.OfflineFlag = False,
    allow_missing: options.AllowMissingFlag = False,
    station: options.StationOption = None,
    neighbours: options.NeighboursOption = 0,
    lapse_rate: options.LapseRateOption = None,
    seed: options.SeedOption = 20,
) -> None:
    """
    Write one page: what lives here, what moves when, and why, with charts; it opens offline.

    With a collection that has plants the page is about their groups, at each of its spots.
    """
    target = _target(out)
    wishes = wishes_of(locals(), chart=target, page_option="--out")
    from webbrowser import open as open_page

    from suitability.advice.reporting import make_report
    from suitability.cli.terminal import say
    from suitability.cli.weather import progress_bar
    from suitability.groups.words import read_general_words, read_words
    from suitability.output.report_page import render_report_page
    from suitability.output.writing import write_text

    if on is not None:
        day_of_year(on)
    asked = read_wishes(wishes)
    with progress_bar("steps") as tell:
        result = make_report(
            asked.record,
            asked.place,
            _spots_asked(asked),
            asked.options,
            words=read_words(asked.catalogue),
            general=read_general_words(),
            on=_today(asked.place.utc_offset_hours) if on is None else on.strip(),
            tell=tell,
        )
    page = render_report_page(result, asked.units)
    write_text(target, page)
    typer.echo(f"Wrote {target}", err=True)
    megabytes = len(page.encode("utf-8")) / 1_000_000
    if megabytes > MUCH_MB:
        say(
            f"the page has {megabytes:.1f} MB, much for a phone; name fewer spots with --spot or "
            "groups with --group to make it smaller."
        )
    if figure is not None:
        from suitability.output.report_pictures import report_figures

        write_figures(figure, report_figures(result, asked.units))
    if open_it and not open_page(Path(target).resolve().as_uri()):
        say("no browser was found; open the page yourself.")


def _target(out: str) -> str:
    """
    The file of the page: as named, or `report.html` in a folder.

    Raises
    ------
    OptionError
        It is neither a folder nor a page.
    """
    path = Path(out)
    try:
        folder = path.is_dir()
    except (OSError, ValueError):  # too long a name: told with the other reasons not to write
        return out
    if folder:
        return str(path / FILE_NAME)
    if out == "-" or path.suffix.lower() in options.ENDINGS["--out"]:
        return out
    raise OptionError(
        f"--out {out}: is no folder that exists and does not end in .html; name one of the two."
    )


def _today(utc_offset_hours: float) -> str:
    """Today at the place, in standard time."""
    return f"{datetime.now(UTC) + timedelta(hours=utc_offset_hours):%m-%d}"


def _spots_asked(asked: "Asked") -> "list[SpotsAsked]":
    """Groups at all spots, then each plant in its own state at its spot."""
    from suitability.advice.profiling import needs_of_plant
    from suitability.advice.reporting import SpotsAsked

    grouped = list(zip(asked.groups, asked.needs, strict=True))
    collection = asked.collection
    if collection is not None and collection.plants and not asked.by_name:
        keys = {plant.group_key for plant in collection.plants}
        grouped = [one for one in grouped if one[0].key in keys] or grouped
    spots_asked = [SpotsAsked(spots=asked.spots, subjects=tuple(grouped))]
    for subject, spot in asked.plants:
        needs = needs_of_plant(asked.record, asked.place, spot, subject, asked.options)
        spots_asked.append(SpotsAsked(spots=(spot,), subjects=((subject.group, needs),)))
    return spots_asked
