"""The command `report`: everything about a place and its groups on one page that a grower keeps."""

from pathlib import Path
from typing import Annotated

from msgspec.structs import replace

from suitability.cli import options
from suitability.cli.asking import read_question, tell_written, write_figures
from suitability.cli.dated import day_of_year, today_at
from suitability.cli.laying import Only, Told
from suitability.cli.options import Fetched, Output, Plants, Spots, Sure, Where

FILE_NAME = "report.html"
MUCH_MB = 2.0  # from which on the command says how to make the page smaller


def report(
    *,
    where: Where,
    spots: Spots,
    plants: Plants,
    sure: Sure,
    fetched: Fetched,
    output: Annotated[
        Output,
        Only("units", "out", "figure"),
        Told(out=f"Where the page is written; default {FILE_NAME}."),
    ],
    on: options.NextFrom = None,
    open_it: Annotated[
        bool,
        options.output_option("--open", help="Open the page in the browser when it is written."),
    ] = False,
) -> None:
    """
    Write one page: what lives here, what moves when, and why, with charts; it opens offline.

    With a collection that has plants the page is about their groups, at each of its spots.
    """
    from webbrowser import open as open_page

    from suitability.advice.report import report as answer
    from suitability.answers.report import report_sheet
    from suitability.answers.trials import trial_control
    from suitability.cli.terminal import doing, progress_bar, say
    from suitability.output.report import render_report
    from suitability.output.writing import write_text

    if on is not None:
        day_of_year(on)
    target, unit = output.out or FILE_NAME, options.unit_shown(output)
    question = read_question(
        where, spots, plants, sure=sure, fetched=fetched, output=replace(output, out=target)
    )
    day = f"{today_at(question.place.utc_offset_hours):%m-%d}" if on is None else on.strip()
    with progress_bar("steps") as tell:
        result = answer(question, on=day, tell=tell)
    doing(f"Writing {target}")
    sheet = report_sheet(result, unit)
    page = render_report(sheet, trial_control(result, unit))
    write_text(target, page)
    tell_written(target)
    megabytes = len(page.encode("utf-8")) / 1_000_000
    if megabytes > MUCH_MB:
        say(
            f"the page has {megabytes:.1f} MB, much for a phone; name fewer spots with --spot or "
            "groups with --group to make it smaller."
        )
    if output.figure is not None:
        from suitability.output.figures import sheet_figures

        write_figures(output.figure, sheet_figures(sheet))
    if open_it and not open_page(Path(target).resolve().as_uri()):
        say("no browser was found; open the page yourself.")
