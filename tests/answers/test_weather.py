"""The sheets of `weather`: every number under its head, what the signs mean, and what is said."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.answers.sheet import Table
from suitability.answers.weather import (
    check_sheet,
    cleared_sheet,
    fetched_sheet,
    imported_sheet,
    months_table,
    near_sheet,
    near_table,
    record_sheet,
    stations_table,
    store_sheet,
    years_table,
)
from suitability.output.page import render_page
from suitability.output.terminal import render_terminal
from suitability.weather.listing import (
    MonthCoverage,
    NearStation,
    RecordShown,
    StationsNear,
    StationYear,
    StoredStation,
    StoreList,
    YearsFetched,
    tell_station,
)
from suitability.weather.manifest import YearCounts, YearEntry, YearStatus
from suitability.weather.minima import MinimumMiss
from suitability.weather.record import OriginHours, Record, Station, hour_of_datetime
from suitability.weather.upkeep import Cleared, StoreCheck
from tests.output import examples

YEAR = StationYear(
    year=2021,
    status=YearStatus.PARTIAL,
    reason="the server was away",
    fetched="2026-01-02T03:04:05Z",
    address="https://example.org/2021",
    hours_expected=8760,
    hours_observed=8001,
    hours_missing=759,
    hours_model=20,
    hours_forecast=3,
    hours_unknown=100,
    hours_future=10,
    hours_out_of_range=1000,
    hours_contradictory=1,
    hours_doubled=50,
    sources={"isd_lite": 8001},
)
GONE = replace(YEAR, year=2022, status=YearStatus.ABSENT, reason=None, hours_observed=0)
STATION = StoredStation(
    identifier="10637",
    name="Hill",
    latitude=50.0,
    longitude=8.6,
    elevation_m=112.0,
    years=(YEAR, replace(YEAR, year=2023, reason=None, hours_observed=9), GONE),
)
OTHER = replace(STATION, identifier="10635", name="Next", years=(GONE,))
NEAR = NearStation(
    identifier="10637",
    name="Hill",
    latitude=50.0,
    longitude=8.6,
    elevation_m=112.0,
    distance_km=12.4,
    height_difference_m=-35.0,
    inventory_years=(1951, 2024),
    observed_share=0.876,
    weighed_distance_km=30.9,
    chosen=True,
    reason="nearest with 88 % observed",
)
MISS = MinimumMiss(
    days=400, mean_c=0.74, low_c=0.1, high_c=2.0, starts=(("ghcnd", -6),), unmatched=()
)


def month(number: int, observed: int, *, year: int = 2021, filled: int = 0) -> MonthCoverage:
    """A month of 744 hours or fewer with some of them observed."""
    hours = OriginHours(
        missing=0, observed=observed, blended=0, filled=filled, model=0, forecast=0, invented=0
    )
    return MonthCoverage(
        year=year,
        month=number,
        hours_expected=700,
        hours_by_origin=hours,
        wmo_complete=False,
        counts_usable=observed > 650,
    )


MONTHS = tuple(
    month(number, observed)
    for number, observed in enumerate(
        (744, 671, 372, 323, 1, 0, 670, 669, 648, 744, 720, 743), start=1
    )
)
SHOWN = RecordShown(
    imported=None,
    station=STATION,
    licence="two licences",
    attribution="somebody",
    coverage=MONTHS,
    daily_minima=None,
)


def rows_of(table: Table) -> list[list[str]]:
    """Heads, then the text of each cell."""
    return [
        [column.title for column in table.columns],
        *([cell.text for cell in row] for row in table.rows),
    ]


def test_a_stored_station_has_its_kept_years_and_hours() -> None:
    """Years without an observed hour are not kept."""
    assert rows_of(stations_table([STATION, OTHER])) == [
        ["Station", "Name", "Years kept", "Hours observed"],
        ["10637", "Hill", "2021, 2023", "8010"],
        ["10635", "Next", "none", "0"],
    ]


def test_hours_of_a_year_stand_by_what_became_of_them() -> None:
    """Model and forecast are summed, and what was left out is, doubled hours not among it."""
    table = years_table([YEAR, GONE])
    assert rows_of(table) == [
        ["Year", "Status", "Hours observed", "Missing", "Of a model", "Left out", "Fetched"],
        ["2021", "partial", "8001", "759", "23", "1111", "2026-01-02"],
        ["2022", "absent-confirmed", "0", "759", "23", "1111", "2026-01-02"],
    ]
    assert table.notes == ("2021: the server was away",)


def test_a_year_of_the_store_is_told_field_by_field() -> None:
    """Every count has a number of its own."""
    counts = YearCounts(
        expected=8760, observed=8001, model=20, forecast=3, unknown=100, doubled=50,
        contradictory=1, out_of_range=1000, future=10, sources=(("isd_lite", 8001),),
    )  # fmt: skip
    entry = YearEntry(
        year=2021,
        status=YearStatus.PARTIAL,
        fetched=datetime(2026, 1, 2, 3, 4, 5, tzinfo=UTC),
        address="https://example.org/2021",
        failure="the server was away",
        counts=counts,
    )
    place = Station(
        identifier="10637", name="Hill", latitude=50.0, longitude=8.6, elevation_m=112.0
    )
    assert tell_station(place, [entry]) == replace(STATION, years=(YEAR,))


def test_what_decided_on_a_station_stands_under_its_head() -> None:
    """The reason stands below its row; what is not known is a question mark."""
    unknown = replace(
        NEAR,
        identifier="10635",
        name="Next",
        distance_km=20.0,
        height_difference_m=None,
        inventory_years=None,
        observed_share=None,
        chosen=False,
        reason="",
    )
    table = near_table(StationsNear(stations=(NEAR, unknown)))
    assert rows_of(table) == [
        [
            *("Taken", "Station", "Name", "Distance, km", "Height above the place"),
            *("Years listed", "Hours observed"),
        ],
        ["yes", "10637", "Hill", "12", "-35 m", "1951-2024", "88 %"],
        ["", "10635", "Next", "20", "?", "none", "?"],
    ]
    assert table.below == (("nearest with 88 % observed",), ())
    text = render_terminal(near_sheet(StationsNear(stations=(NEAR,))), width=80, colour=False)
    assert "\n*  10637" in text
    assert max(map(len, text.splitlines())) <= 80


def test_a_month_has_a_sign_and_a_year_its_share() -> None:
    """All, 90 %, half, less, none, of the whole month; the share is of the hours of the record."""
    table = months_table([*MONTHS, *(month(at, 0, year=2022) for at in range(1, 13))])
    assert rows_of(table) == [
        ["Year", "JFMAMJJASOND", "Observed", "Months for counts"],
        ["2021", "#+:.. +:+##+", "75.1 %", " 7 of 12"],
        ["2022", " " * 12, "0.0 %", " 0 of 12"],
    ]
    (note,) = table.notes
    assert note == "# all hours observed  + 90 % and more  : half and more  . less  (blank) none"


def test_filled_hours_are_no_observed_ones() -> None:
    """Only what counts may use makes a sign."""
    table = months_table([month(1, 0, filled=744)])
    assert rows_of(table)[1][1] == " "


def test_the_store_says_what_it_holds() -> None:
    """Its folder, then stations, then imported records; or that there is nothing yet."""
    held = StoreList(folder="the folder", stations=(STATION,), imported=("porch", "shed"))
    text = render_terminal(store_sheet(held), width=80, colour=False)
    assert text.startswith("Weather store: the folder\n\nstation  name  years kept")
    assert text.endswith("Imported: porch, shed")
    empty = StoreList(folder="the folder", stations=(), imported=())
    told = render_terminal(store_sheet(empty), width=80, colour=False)
    assert told.splitlines()[2].startswith("Nothing is stored yet; try `suitability weather fetch")


def test_fetched_years_stand_under_their_station() -> None:
    """The station first, each neighbour named as one."""
    text = render_terminal(
        fetched_sheet(YearsFetched(station=STATION, neighbours=(OTHER,))), width=80, colour=False
    )
    lines = text.splitlines()
    assert lines[0] == "10637 Hill"
    assert lines[1].split() == [
        *("year", "status", "observed", "missing", "model", "left", "out", "fetched"),
    ]
    assert lines.index("neighbour 10635 Next") > lines.index("2021: the server was away")


def test_a_stored_record_is_shown_with_years_months_minima_and_credit() -> None:
    """An imported one has no years, and says that it is one."""
    text = render_terminal(record_sheet(SHOWN, MISS), width=80, colour=False)
    assert text.startswith("10637 Hill\n\nyear  status")
    assert text.index("left out") < text.index("JFMAMJJASOND") < text.index("Hourly readings miss")
    assert "Hourly readings miss 0.7 °C of the day's minimum on the mean, 5 to 95 %: 0.1 to" in text
    assert text.endswith("Licence: two licences\nCredit: somebody")
    own = replace(SHOWN, imported="porch", station=None, licence="", attribution="")
    alone = render_terminal(record_sheet(own, None), width=80, colour=False)
    assert alone.startswith("porch: imported record\n\nyear  JFMAMJJASOND  observed")
    assert "left out" not in alone
    assert not {"Licence", "Credit", "miss"} & set(alone.replace(":", " ").split())


def test_faults_and_freed_bytes_are_counted() -> None:
    """Files and faults, files and megabytes, each its own number."""
    found = StoreCheck(files=12, faults=("one is torn.", "another is gone."))
    assert render_terminal(check_sheet(found), width=80, colour=False) == (
        "12 files, 2 faults\n\none is torn.\nanother is gone."
    )
    gone = Cleared(files=3, size=2_560_000)
    assert render_terminal(cleared_sheet(gone), width=80, colour=False) == (
        "3 files deleted, 2.6 MB freed"
    )


def test_an_imported_record_is_told_by_days_and_hours() -> None:
    """First and last day, and the hours that count."""
    temp_c = np.full(48, 10.0)
    origin = np.ones(48, dtype=np.uint8)
    temp_c[5:9] = np.nan
    origin[5:9] = 0
    start = hour_of_datetime(datetime(2021, 3, 4, tzinfo=UTC))
    record = Record(start_hour=start, temp_c=temp_c, origin=origin)
    assert imported_sheet("porch", record).headline == "porch: 2021-03-04 to 2021-03-05, 44 hours"


@pytest.mark.parametrize("text", [one for one in examples.HOSTILE if one])
def test_hostile_text_of_a_service_or_file_does_no_harm(text: str) -> None:
    """Names, reasons, licences and faults."""
    year = replace(YEAR, reason=text)
    station = replace(STATION, name=text, identifier=text, years=(year,))
    near = replace(NEAR, name=text, reason=text)
    shown = replace(SHOWN, station=station, licence=text, attribution=text)
    for sheet in (
        store_sheet(StoreList(folder=text, stations=(station,), imported=(text,))),
        fetched_sheet(YearsFetched(station=station, neighbours=(station,))),
        near_sheet(StationsNear(stations=(near,))),
        record_sheet(shown, None),
        record_sheet(replace(shown, station=None, imported=text), None),
        check_sheet(StoreCheck(files=1, faults=(text,))),
    ):
        printed = render_terminal(sheet, width=80, colour=False)
        assert not set(printed) & set("\x00\x07\x1b\u202e\u2066\u200f\ud800")
        body = render_page(sheet).split("<body>")[1]
        assert not any(tag in body for tag in ("<script", "<img", "<b>bold"))
