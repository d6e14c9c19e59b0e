"""Options that commands share: their declarations, and the words that they are checked against."""

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from suitability.errors import OptionError

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = [
    "ENDINGS",
    "MOST_NEIGHBOURS",
    "AllowMissingFlag",
    "AtOption",
    "CautionOption",
    "ChartOption",
    "CollectionOption",
    "CsvOption",
    "DemoFlag",
    "FigureOption",
    "FromOption",
    "GroupOption",
    "GroupsFileOption",
    "IcsOption",
    "JsonFlag",
    "LapseRateOption",
    "MinimumAllowanceOption",
    "NeighboursOption",
    "OfflineFlag",
    "PlaceOption",
    "PromiseOption",
    "QualityOption",
    "RecordOption",
    "RoofFlag",
    "SeedOption",
    "SpotOption",
    "StationOption",
    "TablesOption",
    "UnitsOption",
    "UtcOffsetOption",
    "XlsxOption",
    "YearsOption",
    "check_ending",
    "check_range",
    "in_celsius",
    "parse_choice",
    "parse_years",
]

MOST_NEIGHBOURS = 4
ENDINGS = {  # of what each option writes, the usual one first
    "--chart": (".html", ".htm"),
    "--out": (".html", ".htm"),
    "--csv": (".csv", ".txt"),
    "--pdf": (".pdf",),
    "--ics": (".ics",),
    "--xlsx": (".xlsx",),
    "--figure": (".png", ".svg"),
}
BY_ENDING = frozenset(("--pdf", "--ics", "--xlsx", "--figure"))  # without one they are refused too

DemoFlag = Annotated[bool, typer.Option("--demo", help="The invented demo place, offline.")]
PlaceOption = Annotated[
    str | None,
    typer.Option("--place", metavar="NAME", help="A town, as in --place 'Town, Country'."),
]
AtOption = Annotated[
    list[str] | None,
    typer.Option("--at", metavar="LAT,LON[,ELEV]", help="A position in degrees, height in m."),
]
RecordOption = Annotated[
    list[Path] | None,
    typer.Option("--record", metavar="FILE", help="An hourly record; says where with --at."),
]
GroupOption = Annotated[
    list[str] | None,
    typer.Option("--group", metavar="KEY", help="Only this group; may be repeated."),
]
GroupsFileOption = Annotated[
    Path | None,
    typer.Option("--groups", metavar="FILE", help="Your own groups (TOML), added to ours."),
]
CollectionOption = Annotated[
    Path | None,
    typer.Option("--collection", metavar="FILE", help="Your place, spots and plants (TOML)."),
]
SpotOption = Annotated[
    list[str] | None,
    typer.Option(
        "--spot",
        metavar="NAME",
        help="Only this spot of the collection, or a ready kind; may be repeated.",
    ),
]
PromiseOption = Annotated[
    float,
    typer.Option("--promise", metavar="SHARE", help="Years in which promises hold, 0.5-0.99."),
]
YearsOption = Annotated[
    str | None,
    typer.Option("--years", metavar="FIRST-LAST", help="Calendar years used; default the last 30."),
]
UnitsOption = Annotated[str, typer.Option("--units", metavar="c|f", help="Degrees shown.")]
CautionOption = Annotated[
    str,
    typer.Option(
        "--caution",
        metavar="low|usual|high",
        help="Which end of each range is used; high protects the plant.",
    ),
]
QualityOption = Annotated[
    str, typer.Option("--quality", metavar="on|off", help="Checks of the record's quality.")
]
MinimumAllowanceOption = Annotated[
    float | None,
    typer.Option(
        "--minimum-allowance", metavar="K", help="What hourly readings miss of the night minimum."
    ),
]
UtcOffsetOption = Annotated[
    float | None,
    typer.Option("--utc-offset", metavar="HOURS", help="Standard time, instead of the look-up."),
]
JsonFlag = Annotated[
    bool, typer.Option("--json", help="One JSON document on standard output, in °C.")
]
CsvOption = Annotated[
    str | None, typer.Option("--csv", metavar="FILE|-", help="The same table as CSV, in °C.")
]
ChartOption = Annotated[
    str | None,
    typer.Option(
        "--chart", metavar="FILE.html", help="The year drawn, one page that opens offline."
    ),
]
XlsxOption = Annotated[
    str | None,
    typer.Option("--xlsx", metavar="FILE.xlsx", help="Every table in one workbook, in °C."),
]
TablesOption = Annotated[
    str | None,
    typer.Option(
        "--tables", metavar="FOLDER", help="Every table of the workbook as CSV, into a folder."
    ),
]
FigureOption = Annotated[
    str | None,
    typer.Option(
        "--figure",
        metavar="FILE.png|FILE.svg",
        help="Each chart as a picture, its name put before the ending; needs Chromium.",
    ),
]
IcsOption = Annotated[
    str | None,
    typer.Option("--ics", metavar="FILE.ics", help="The dates for your calendar program."),
]
FromOption = Annotated[
    str | None,
    typer.Option("--from", metavar="YYYY-MM-DD", help="First day of the calendar; default today."),
]
OfflineFlag = Annotated[bool, typer.Option("--offline", help="Use only what is stored.")]
AllowMissingFlag = Annotated[
    bool, typer.Option("--allow-missing", help="Go on without years that could not be fetched.")
]
StationOption = Annotated[
    str | None, typer.Option("--station", metavar="ID", help="A station, instead of the choice.")
]
NeighboursOption = Annotated[
    int, typer.Option("--neighbours", metavar="N", help="Stations that fill gaps, 0 to 4.")
]
LapseRateOption = Annotated[
    float | None,
    typer.Option(
        "--lapse-rate", metavar="K/KM", help="Move the record to the place's height; usual 6.5."
    ),
]
SeedOption = Annotated[int, typer.Option("--seed", help="Of the resampling of years.")]
RoofFlag = Annotated[bool, typer.Option("--roof", help="Rain is kept off the pots.")]


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


def parse_choice(option: str, word: str, choices: "Sequence[str]") -> str:
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
