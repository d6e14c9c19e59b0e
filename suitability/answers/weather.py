"""The sheets of `weather`: what the store holds, what was fetched, and stations near a place."""

from __future__ import annotations

from calendar import monthrange
from itertools import groupby
from typing import TYPE_CHECKING

from msgspec import Struct

from suitability.answers import words
from suitability.answers.sheet import (
    Cell,
    Column,
    Facts,
    On,
    Section,
    Sheet,
    Table,
    Text,
    build_table,
    month_columns,
)
from suitability.brief import MONTHS
from suitability.weather.manifest import say_years
from suitability.weather.minima import say_miss
from suitability.weather.record import COUNTED, datetime_of_hour

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from suitability.advice.terms import MonthlyHours
    from suitability.answers.sheet import Block
    from suitability.weather.listing import (
        MonthCoverage,
        NearStation,
        RecordShown,
        StationsNear,
        StationYear,
        StoredStation,
        StoreList,
        YearsFetched,
    )
    from suitability.weather.minima import MinimumMiss
    from suitability.weather.record import Record
    from suitability.weather.sources.typical import TypicalYear
    from suitability.weather.upkeep import Cleared, StoreCheck

NAME_WIDEST = 34  # characters of a station's name on a terminal
LONGEST = 1000  # characters of a reason, a fault or a folder that are shown
SIGNS = (" ", ".", ":", "+", "#")  # of a month: none, less, half, 90 %, all hours observed
SIGN_KEY = "# all hours observed  + 90 % and more  : half and more  . less  (blank) none"
MONTH_LETTERS = "".join(name[0] for name in MONTHS)
LEFT_OUT = ("hours_unknown", "hours_out_of_range", "hours_contradictory", "hours_future")
TYPICAL_HEAD = "hours of ordinary months below a floor, and nothing of hard winters."
TYPICAL_NOTE = (
    "Floor in °C, of the groups of the catalogue. Months of different years, each chosen because "
    "it was ordinary: no dates, odds or verdicts can be had from them."
)
NOTHING = "Nothing is stored yet; try `suitability weather fetch --at LAT,LON`."


class _YearOfMonths(Struct, frozen=True):
    """The months of one year of standard time, the first first."""

    year: int
    months: tuple[MonthCoverage, ...]


def store_sheet(listed: StoreList) -> Sheet:
    """What the store holds."""
    blocks: list[Block] = []
    if listed.stations:
        blocks.append(stations_table(listed.stations))
    if listed.imported:
        names = ", ".join(words.clean(name) for name in listed.imported)
        blocks.append(Text(sentences=(f"Imported: {names}",)))
    if not blocks:
        blocks.append(Text(sentences=(NOTHING,)))
    told = f"Weather store: {words.clean(listed.folder, LONGEST)}"
    return _sheet("Weather store", told, Section(name="store", blocks=tuple(blocks)))


def fetched_sheet(fetched: YearsFetched) -> Sheet:
    """The years of a station and of its neighbours, each with its outcome."""
    told = [(station_name(fetched.station), fetched.station)]
    told += [(f"neighbour {station_name(one)}", one) for one in fetched.neighbours]
    sections = (
        Section(name=f"years-{at}", title=title, blocks=(years_table(one.years),))
        for at, (title, one) in enumerate(told, start=1)
    )
    return _sheet("Years fetched", "", *sections)


def near_sheet(near: StationsNear) -> Sheet:
    """Stations near a place, the best first, with what decided."""
    return _sheet("Stations near", "", Section(name="stations", blocks=(near_table(near),)))


def record_sheet(shown: RecordShown, miss: MinimumMiss | None) -> Sheet:
    """
    What is stored of a station, or of an imported record.

    Parameters
    ----------
    miss
        How its hourly readings compare with daily minima; None where they were not compared.
    """
    if shown.station is None:
        title = words.clean(shown.imported or "")
        headline = f"{title}: imported record"
        blocks: tuple[Block, ...] = ()
    else:
        title = headline = station_name(shown.station)
        blocks = (years_table(shown.station.years),)
    said = (
        "" if miss is None else say_miss(miss),
        f"Licence: {words.clean(shown.licence)}" if shown.licence else "",
        f"Credit: {words.clean(shown.attribution)}" if shown.attribution else "",
    )
    told = Text(sentences=tuple(filter(None, said)))
    blocks = (*blocks, months_table(shown.coverage), *([told] if told.sentences else []))
    return _sheet(title, headline, Section(name="record", blocks=blocks))


def typical_sheet(typical: TypicalYear, hours: Mapping[float, MonthlyHours]) -> Sheet:
    """
    Hours of ordinary months below each floor, all that a typical year tells.

    Parameters
    ----------
    hours
        By floor, °C.
    """
    columns: list[Column[tuple[float, MonthlyHours]]] = [
        Column.of("Floor", lambda row: f"{row[0]:.1f}", number=True),
        *month_columns(lambda row, at: words.hours(row[1].months[at])),
        Column.of("Year", lambda row: words.hours(row[1].year), number=True),
    ]
    table = build_table("hours", columns, sorted(hours.items()), notes=(TYPICAL_NOTE,))
    told = Text(sentences=tuple(words.clean(one, LONGEST) for one in typical.sentences()))
    section = Section(name="typical", blocks=(told, table))
    return _sheet("Typical year", f"{words.clean(typical.file)}: {TYPICAL_HEAD}", section)


def check_sheet(found: StoreCheck) -> Sheet:
    """What a reading of the whole store has found."""
    faults = tuple(words.clean(fault, LONGEST) for fault in found.faults)
    section = Section(name="faults", blocks=(Text(sentences=faults),) if faults else ())
    headline = f"{found.files} files, {len(found.faults)} faults"
    return _sheet("Weather store, checked", headline, section)


def cleared_sheet(gone: Cleared) -> Sheet:
    """What was deleted."""
    headline = f"{gone.files} files deleted, {gone.size / 1e6:.1f} MB freed"
    return _sheet("Weather store, cleared", headline)


def imported_sheet(name: str, record: Record) -> Sheet:
    """The record that was read and kept, its days and hours."""
    first, last = datetime_of_hour(record.start_hour), datetime_of_hour(record.stop_hour - 1)
    days = f"{first:%Y-%m-%d} to {last:%Y-%m-%d}"
    told = words.clean(name)
    return _sheet(told, f"{told}: {days}, {int(record.counted.sum())} hours")


def _sheet(title: str, headline: str, *sections: Section) -> Sheet:
    """A sheet without advice that needs a caution."""
    return Sheet(title=title, headline=headline, about=Facts(rows=()), sections=sections)


def station_name(station: StoredStation) -> str:
    """Identifier and name."""
    return words.clean(f"{station.identifier} {station.name}", 120)


# Tables -----------------------------------------------------------------------------------------


def stations_table(stations: Sequence[StoredStation]) -> Table:
    """One row a station: the years of which hours are kept, and how many hours."""
    columns: list[Column[StoredStation]] = [
        Column.of("Station", lambda one: words.clean(one.identifier, 40), short="station"),
        Column.of(
            "Name", lambda one: words.clean(one.name, 80), short="name", widest=NAME_WIDEST * 2 // 3
        ),
        Column.of("Years kept", _years_kept, short="years kept", wraps=True),
        Column.of(
            "Hours observed",
            lambda one: str(sum(year.hours_observed for year in one.years)),
            short="observed h",
            number=True,
        ),
    ]
    return build_table("stations", columns, stations)


def _years_kept(station: StoredStation) -> str:
    """Years of which observed hours are kept."""
    return say_years(year.year for year in station.years if year.hours_observed) or "none"


def years_table(years: Sequence[StationYear]) -> Table:
    """One row a year, its hours by what became of them; reasons below."""

    def hours(title: str, short: str, *fields: str) -> Column[StationYear]:
        return Column.of(
            title,
            lambda year: str(sum(getattr(year, field) for field in fields)),
            short=short,
            number=True,
        )

    columns: list[Column[StationYear]] = [
        Column.field("Year", "year", str, short="year"),
        Column.field("Status", "status", lambda status: status.value, short="status"),
        hours("Hours observed", "observed", "hours_observed"),
        hours("Missing", "missing", "hours_missing"),
        hours("Of a model", "model", "hours_model", "hours_forecast"),
        hours("Left out", "left out", *LEFT_OUT),
        Column.field("Fetched", "fetched", lambda moment: moment[:10], short="fetched"),
    ]
    reasons = tuple(
        f"{year.year}: {words.clean(year.reason, LONGEST)}" for year in years if year.reason
    )
    return build_table("years", columns, years, notes=reasons)


def near_table(near: StationsNear) -> Table:
    """One row a station near a place, and under it why it was taken or passed over."""
    columns: list[Column[NearStation]] = [
        Column.of(
            "Taken", lambda one: Cell("yes" if one.chosen else "", "*" * one.chosen), short=" "
        ),
        Column.of("Station", lambda one: words.clean(one.identifier, 40), short="station"),
        Column.of("Name", lambda one: words.clean(one.name, 80), short="name", widest=22),
        Column.of("Distance, km", _distance, short="km", number=True),
        Column.of("Height above the place", _height, short="height", number=True),
        Column.of("Years listed", _listed, short="listed"),
        Column.of("Hours observed", _observed, short="observed", number=True),
    ]
    return build_table("near", columns, near.stations, below=_why)


def _why(station: NearStation) -> tuple[str, ...]:
    """Why it was taken or passed over; nothing where that is not said."""
    reason = words.clean(station.reason, LONGEST)
    return (reason,) if reason else ()


def _distance(station: NearStation) -> str:
    return f"{station.distance_km or 0:.0f}"


def _height(station: NearStation) -> str:
    above_m = station.height_difference_m
    return words.UNKNOWN if above_m is None else f"{above_m:+.0f} m"


def _listed(station: NearStation) -> str:
    span = station.inventory_years
    return "none" if span is None else f"{span[0]}-{span[1]}"


def _observed(station: NearStation) -> str:
    share = station.observed_share
    return words.UNKNOWN if share is None else f"{100 * share:.0f} %"


def months_table(months: Sequence[MonthCoverage]) -> Table:
    """A calendar of coverage: a row a year, a sign a month, and what the signs mean."""
    columns: list[Column[_YearOfMonths]] = [
        Column.of("Year", lambda one: str(one.year), short="year"),
        Column.of(MONTH_LETTERS, lambda one: "".join(map(_sign, one.months))),
        Column.of("Observed", _share_observed, short="observed", number=True),
        Column.of("Months for counts", _usable, short="months for counts"),
    ]
    years = [
        _YearOfMonths(year, tuple(held)) for year, held in groupby(months, lambda one: one.year)
    ]
    return build_table("months", columns, years, notes=(SIGN_KEY,), on=On.TERMINAL)


def _sign(month: MonthCoverage) -> str:
    """How much of a whole month was observed, as a sign."""
    full = 24 * monthrange(month.year, month.month)[1]
    share = _hours_observed(month) / full
    return SIGNS[sum(share >= least for least in (1e-9, 0.5, 0.9, 1.0))]


def _hours_observed(month: MonthCoverage) -> int:
    """Hours that counts may use."""
    return sum(getattr(month.hours_by_origin, origin.name.lower()) for origin in COUNTED)


def _share_observed(year: _YearOfMonths) -> str:
    """Of the hours that lie within the record."""
    expected = sum(month.hours_expected for month in year.months)
    return f"{100 * sum(map(_hours_observed, year.months)) / max(1, expected):.1f} %"


def _usable(year: _YearOfMonths) -> str:
    return f"{sum(month.counts_usable for month in year.months):2d} of 12"
