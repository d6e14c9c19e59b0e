"""Options that commands share, declared once, and the words that they are checked against."""

import re
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from msgspec import Struct

from suitability.cli.completing import (
    choices,
    offer_groups,
    offer_records,
    offer_spots,
    offer_stations,
)
from suitability.errors import OptionError

if TYPE_CHECKING:
    from suitability.units import TemperatureUnit

MOST_NEIGHBOURS = 4
ENDINGS = {  # of what each option writes, the usual one first
    "--chart": (".html", ".htm"),
    "--out": (".html", ".htm"),
    "--carry": (".html", ".htm"),
    "--csv": (".csv", ".txt"),
    "--pdf": (".pdf",),
    "--ics": (".ics",),
    "--xlsx": (".xlsx",),
    "--figure": (".png", ".svg"),
}
BY_ENDING = frozenset(("--pdf", "--ics", "--xlsx", "--figure"))  # without one they are refused too

where_option = partial(typer.Option, rich_help_panel="Where")
plant_option = partial(typer.Option, rich_help_panel="What")
sure_option = partial(typer.Option, rich_help_panel="How sure")
weather_option = partial(typer.Option, rich_help_panel="Weather")
logger_option = partial(typer.Option, rich_help_panel="Thermometer")
output_option = partial(typer.Option, rich_help_panel="Output")


NextFrom = Annotated[
    str | None,
    output_option(
        "--on",
        metavar="MM-DD",
        help="The day from which the next moves are told; default today.",
    ),
]
Variable = Annotated[
    str | None,
    where_option("--variable", metavar="NAME", help="The temperature, where a file has several."),
]


class Where(Struct, frozen=True, kw_only=True):
    """Of which place and record is asked."""

    demo: Annotated[bool, where_option("--demo", help="The invented demo place, offline.")] = False
    place: Annotated[
        str | None,
        where_option("--place", metavar="NAME", help="A town, as in --place 'Town, Country'."),
    ] = None
    at: Annotated[
        list[str] | None,
        where_option("--at", metavar="LAT,LON[,ELEV]", help="A position in degrees, height in m."),
    ] = None
    record: Annotated[
        list[Path] | None,
        where_option(
            "--record",
            metavar="FILE",
            help="An hourly record; says where with --at.",
            autocompletion=offer_records,
        ),
    ] = None
    record_unit: Annotated[
        str | None,
        where_option("--record-unit", help="Degrees of that file; default c.", **choices("c", "f")),
    ] = None
    record_columns: Annotated[
        str | None,
        where_option(
            "--record-columns",
            metavar="time=COLUMN,temp=COLUMN",
            help="Read it as a logger's: what its columns are.",
        ),
    ] = None
    record_zone: Annotated[
        str | None,
        where_option("--record-zone", metavar="ZONE", help="Of that logger's clock."),
    ] = None
    utc_offset: Annotated[
        float | None,
        where_option(
            "--utc-offset", metavar="HOURS", help="Standard time, instead of the look-up."
        ),
    ] = None


class Spots(Struct, frozen=True, kw_only=True):
    """Of which growing positions is asked."""

    collection: Annotated[
        Path | None,
        where_option("--collection", metavar="FILE", help="Your place, spots and plants (TOML)."),
    ] = None
    spot: Annotated[
        list[str] | None,
        where_option(
            "--spot",
            metavar="NAME",
            help="Only this spot of the collection, or a ready kind; may be repeated.",
            autocompletion=offer_spots,
        ),
    ] = None
    roof: Annotated[
        bool, where_option("--roof", help="Rain is kept off the pots; beside no --spot.")
    ] = False


class Plants(Struct, frozen=True, kw_only=True):
    """Of which groups or plants is asked."""

    group: Annotated[
        list[str] | None,
        plant_option(
            "--group",
            metavar="KEY",
            help="Only this group; may be repeated.",
            autocompletion=offer_groups,
        ),
    ] = None
    all_groups: Annotated[
        bool,
        plant_option("--all-groups", help="All groups, instead of the plants of the collection."),
    ] = False
    groups_file: Annotated[
        Path | None,
        plant_option(
            "--groups-file", metavar="FILE", help="Your own groups (TOML), added to ours."
        ),
    ] = None
    caution: Annotated[
        str,
        plant_option(
            "--caution",
            help="Which end of each range is used; high protects the plant.",
            **choices("low", "usual", "high"),
        ),
    ] = "usual"


class Sure(Struct, frozen=True, kw_only=True):
    """How sure the answer is to be, and on which hours it rests."""

    promise: Annotated[
        float,
        sure_option("--promise", metavar="SHARE", help="Years in which promises hold, 0.5-0.99."),
    ] = 0.9
    years: Annotated[
        str | None,
        sure_option(
            "--years", metavar="FIRST-LAST", help="Calendar years used; default the last 30."
        ),
    ] = None
    quality: Annotated[
        str,
        sure_option("--quality", help="Checks of the record's quality.", **choices("on", "off")),
    ] = "on"
    minimum_allowance: Annotated[
        float | None,
        sure_option(
            "--minimum-allowance",
            metavar="K",
            help="What hourly readings miss of the night minimum.",
        ),
    ] = None
    seed: Annotated[int, sure_option("--seed", help="Of the resampling of years.")] = 20


class Fetched(Struct, frozen=True, kw_only=True):
    """How the record of a weather station is chosen, fetched and mended."""

    station: Annotated[
        str | None,
        weather_option(
            "--station",
            metavar="ID",
            help="A station, instead of the choice.",
            autocompletion=offer_stations,
        ),
    ] = None
    neighbours: Annotated[
        int, weather_option("--neighbours", metavar="N", help="Stations that fill gaps, 0 to 4.")
    ] = 0
    lapse_rate: Annotated[
        float | None,
        weather_option(
            "--lapse-rate",
            metavar="K/KM",
            help="Move the record to the place's height; usual 6.5.",
        ),
    ] = None
    offline: Annotated[bool, weather_option("--offline", help="Use only what is stored.")] = False
    allow_missing: Annotated[
        bool,
        weather_option("--allow-missing", help="Go on without years that could not be fetched."),
    ] = False


class Logger(Struct, frozen=True, kw_only=True):
    """How the file of a thermometer of one's own is read."""

    columns: Annotated[
        str | None,
        logger_option(
            "--columns",
            metavar="time=COLUMN,temp=COLUMN",
            help="Read a data logger's CSV: what its columns are.",
        ),
    ] = None
    input_units: Annotated[
        str | None,
        logger_option("--input-units", help="Degrees of the thermometer.", **choices("c", "f")),
    ] = None
    zone: Annotated[
        str | None,
        logger_option("--zone", metavar="ZONE", help="Of its clock: Europe/Lisbon, -08:00, UTC."),
    ] = None
    time_format: Annotated[
        str | None,
        logger_option(
            "--time-format", metavar="FORMAT", help="Of its times, such as %d/%m/%Y %H:%M."
        ),
    ] = None


class Output(Struct, frozen=True, kw_only=True):
    """How the answer is shown, and where it is written."""

    units: Annotated[str, output_option("--units", help="Degrees shown.", **choices("c", "f"))] = (
        "c"
    )
    details: Annotated[
        bool,
        output_option("--details", help="Everything that is known, and what the answer rests on."),
    ] = False
    json: Annotated[
        bool, output_option("--json", help="One JSON document on standard output, in °C.")
    ] = False
    csv: Annotated[
        str | None,
        output_option("--csv", metavar="FILE|-", help="The same table as CSV, in °C."),
    ] = None
    xlsx: Annotated[
        str | None,
        output_option("--xlsx", metavar="FILE.xlsx", help="Every table in one workbook, in °C."),
    ] = None
    tables: Annotated[
        str | None,
        output_option(
            "--tables",
            metavar="FOLDER",
            help="Every table of the workbook as CSV, into a folder.",
        ),
    ] = None
    chart: Annotated[
        str | None,
        output_option(
            "--chart",
            metavar="FILE.html",
            help="The year drawn, one page that opens offline.",
        ),
    ] = None
    out: Annotated[
        str | None,
        output_option("--out", metavar="FILE.html", help="One page that opens offline."),
    ] = None
    pdf: Annotated[
        str | None,
        output_option("--pdf", metavar="FILE.pdf", help="The same page, printed by a browser."),
    ] = None
    figure: Annotated[
        str | None,
        output_option(
            "--figure",
            metavar="FILE.png|FILE.svg",
            help="Each chart as a picture, its name put before the ending; needs Chromium.",
        ),
    ] = None
    ics: Annotated[
        str | None,
        output_option("--ics", metavar="FILE.ics", help="The dates for your calendar program."),
    ] = None
    first_day: Annotated[
        str | None,
        output_option(
            "--from", metavar="YYYY-MM-DD", help="First day of the calendar; default today."
        ),
    ] = None

    @property
    def page(self) -> str | None:
        """The file of the page, whichever option names it."""
        return self.chart if self.out is None else self.out


def unit_shown(output: Output) -> "TemperatureUnit":
    """
    The unit in which temperatures are shown.

    Raises
    ------
    OptionError
        It is none.
    """
    from suitability.units import TemperatureUnit

    return TemperatureUnit(parse_choice("--units", output.units, ("c", "f")))


def single(option: str, given: Sequence[str] | None) -> str | None:
    """
    The one value of an option that may be repeated elsewhere; None if it was left out.

    Raises
    ------
    OptionError
        There are several.
    """
    if given and len(given) > 1:
        raise OptionError(f"{option}: this command takes one; ask once for each.")
    return given[0] if given else None


def check_ending(option: str, target: str | None, hint: str = "") -> None:
    """
    Nothing, if the name of a file says of itself what an option writes, or says nothing.

    Parameters
    ----------
    option
        One of `ENDINGS`; a workbook, a calendar, a picture and a PDF must have their ending.
    hint
        Which option to take instead, as the end of the sentence.

    Raises
    ------
    OptionError
        It ends in the way of another kind of file.
    """
    if target is None or (target == "-" and option not in BY_ENDING):
        return
    ending, endings = Path(target).suffix.lower(), ENDINGS[option]
    if ending in endings or (not ending and option not in BY_ENDING):
        return
    raise OptionError(f"{option} {target}: name a file that ends in {' or '.join(endings)}{hint}.")


def parse_choice(option: str, word: str, choices: Sequence[str]) -> str:
    """
    The word in small letters, if it is one of the choices.

    Raises
    ------
    OptionError
        It is not.
    """
    found = word.strip().lower()
    if found not in choices:
        raise OptionError(f"{option} {word}: expected {' or '.join(choices)}.")
    return found


def parse_years(text: str | None) -> tuple[int | None, int | None]:
    """
    First and last calendar year of "1996-2025"; one year stands for both.

    Raises
    ------
    OptionError
        The text is not a range of years.
    """
    if text is None:
        return None, None
    match = re.fullmatch(r"\s*(\d{4})\s*(?:-\s*(\d{4})\s*)?", text)
    if match is None:
        raise OptionError(f"--years {text}: expected FIRST-LAST, such as 1996-2025.")
    first = int(match[1])
    last = int(match[2] or match[1])
    if not 1800 <= first <= last <= 2200:
        raise OptionError(f"--years {text}: the first year must not come after the last.")
    return first, last


def check_range(option: str, value: float, low: float, high: float) -> None:
    """
    Nothing, if the value lies within a range, ends included.

    Raises
    ------
    OptionError
        It does not, or is not a number.
    """
    if not low <= value <= high:
        raise OptionError(f"{option} {value:g}: expected a number from {low:g} to {high:g}.")


def in_celsius(option: str, asked: float, unit: str, coldest_c: float, warmest_c: float) -> float:
    """
    A temperature typed in the reader's unit, in °C.

    Raises
    ------
    OptionError
        The unit is none, or the temperature lies outside a range in °C.
    """
    from suitability.units import celsius_from_fahrenheit, fahrenheit_from_celsius

    if parse_choice("--units", unit, ("c", "f")) == "c":
        check_range(option, asked, coldest_c, warmest_c)
        return asked
    coldest, warmest = map(fahrenheit_from_celsius, (coldest_c, warmest_c))
    check_range(option, asked, coldest, warmest)
    return celsius_from_fahrenheit(asked)
