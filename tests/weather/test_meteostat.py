"""Every way in which the service can fail, with the exact outcome, and the way back to health."""

from __future__ import annotations

import gzip
import time
import tracemalloc
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.errors import SourceError
from suitability.weather.manifest import YearStatus
from suitability.weather.record import Origin, hour_of_datetime
from suitability.weather.sources.meteostat import (
    Addresses,
    fetch_years,
    read_addresses,
)
from suitability.weather.sources.warmth import warmest_median_c
from suitability.weather.sources.yearly import find_outlier_years, parse_year
from suitability.weather.station_years import FetchRequest, fetch_station_years, record_of_years
from suitability.weather.store import KeptFile

from .conftest import HASTY, NOW, SHORT, STATION, quick_transport
from .server import Served, csv_text, year_file, year_rows

if TYPE_CHECKING:
    from pathlib import Path

    from suitability.weather.record import Record
    from suitability.weather.sources.meteostat import YearOutcome
    from suitability.weather.sources.transport import Transport

    from .server import Row, Server

pytestmark = pytest.mark.slow

YEARS = (2018, 2019, 2020, 2021, 2022)
BAD = 2020


def serve_all(server: Server, years: tuple[int, ...] = YEARS) -> None:
    """Serve good files of all years."""
    for year in years:
        server.serve_year("10637", year, year_rows(year))


def ask(
    server: Server,
    transport: Transport,
    years: tuple[int, ...] = YEARS,
    now: datetime = NOW,
) -> dict[int, YearOutcome]:
    """Outcomes of the years, by year."""
    addresses = Addresses(hourly=server.hourly)
    outcomes = fetch_years(STATION, years, addresses=addresses, transport=transport, now=now)
    return {outcome.entry.year: outcome for outcome in outcomes}


def check_healthy(server: Server) -> None:
    """The same question to a healthy service gives the full, right record."""
    serve_all(server)
    outcomes = ask(server, quick_transport())
    assert tuple(outcomes) == YEARS
    for year, outcome in outcomes.items():
        record = outcome.observed
        assert record is not None
        assert outcome.entry.status is YearStatus.COMPLETE
        assert record.start_hour == hour_of_datetime(datetime(year, 1, 1, tzinfo=UTC))
        np.testing.assert_array_equal(record.temp_c, [temp for _, temp, _ in year_rows(year)])


GOOD = year_file(year_rows(BAD))
FAULTS = {
    "500": (Served(status=500), "the server answered 500 Internal Server Error (tried 3 times)"),
    "503": (Served(status=503), "the server answered 503 Service Unavailable (tried 3 times)"),
    "403": (Served(status=403), "the server answered 403 Forbidden"),
    "429": (Served(status=429), "the server answered 429 Too Many Requests (tried 3 times)"),
    "reset": (Served(reset=True), "the server broke the connection (tried 3 times)"),
    "time-out": (Served(silent_s=0.5), "the server fell silent or was too slow (tried 3 times)"),
    "slow drip": (
        Served(body=GOOD, drip_s=0.02),
        "the server fell silent or was too slow (tried 3 times)",
    ),
    "cut body": (Served(body=GOOD, cut=True), "bytes came (tried 3 times)"),
    "truncated gzip": (
        Served(body=GOOD[: len(GOOD) // 2]),
        "the packed file breaks off (tried 3 times)",
    ),
    "one flipped bit": (
        Served(body=GOOD[:5000] + bytes([GOOD[5000] ^ 1]) + GOOD[5001:]),
        "the packed file is damaged",
    ),
    "web page": (
        Served(body=b"<!DOCTYPE html><html>Welcome to the hotel</html>"),
        "the server sent a web page instead of the packed file",
    ),
    "empty body": (Served(body=b""), "the server sent nothing (tried 3 times)"),
    "header only": (
        Served(body=gzip.compress(b"month,day,hour,temp,temp_source\n")),
        "the file is not usable: its header lacks year",
    ),
    "semicolons": (
        Served(body=gzip.compress(csv_text(year_rows(BAD)).replace(",", ";").encode())),
        "the file is not usable: its first line does not name columns divided by commas",
    ),
    "another year": (
        Served(body=year_file(year_rows(2017))),
        "the file is not usable: its row 1 is of 2017 instead of 2020",
    ),
    "a word among numbers": (
        Served(body=gzip.compress(csv_text(year_rows(BAD)).replace(",0.0,", ",calm,", 1).encode())),
        "has temp 'calm', which is no number",
    ),
    "an uneven row": (
        Served(body=gzip.compress((csv_text(year_rows(BAD)) + "2020,12\n").encode())),
        "the file is not usable: its row 8785 does not have 10 fields",
    ),
    "hour 24": (
        Served(body=gzip.compress(csv_text(year_rows(BAD)).replace("1,1,23,", "1,1,24,").encode())),
        "the file is not usable: its row 24 has month 1, day 1, hour 24",
    ),
    "kelvin": (
        Served(body=year_file(year_rows(BAD, mean_c=285.0))),
        "which looks like kelvin",
    ),
    "tenths of a degree": (
        Served(body=year_file(year_rows(BAD, mean_c=120.0))),
        "it looks like °F or tenths of a degree",
    ),
    "Fahrenheit": (
        Served(body=year_file(year_rows(BAD, mean_c=53.0))),
        "it looks like °F or tenths of a degree",
    ),
    "another station": (
        Served(body=year_file(year_rows(BAD, mean_c=1.0))),
        "its temperatures lie -11.0 °C from the other years of the station",
    ),
}


@pytest.mark.slow
@pytest.mark.parametrize("fault", FAULTS)
def test_one_failed_year_is_told_with_its_reason_and_heals(server: Server, fault: str) -> None:
    """A fault in the middle fails that year alone, by name; the others are whole."""
    served, reason = FAULTS[fault]
    transport = quick_transport(HASTY if "silent" in reason else SHORT)
    serve_all(server)
    server.serve_year("10637", BAD, served)
    outcomes = ask(server, transport)
    assert outcomes[BAD].entry.status is YearStatus.FAILED
    assert reason in outcomes[BAD].entry.reason
    assert outcomes[BAD].observed is None
    assert {outcomes[year].entry.status for year in YEARS if year != BAD} == {YearStatus.COMPLETE}
    check_healthy(server)


def test_a_failed_year_is_an_error_that_names_it_unless_allowed(
    server: Server, transport: Transport, tmp_path: Path
) -> None:
    """Without leave, a record with a failed year is not given."""
    serve_all(server)
    server.serve_year("10637", BAD, Served(status=500))
    request = FetchRequest(
        folder=tmp_path,
        first_year=YEARS[0],
        last_year=YEARS[-1],
        now=NOW,
        transport=lambda: transport,
        addresses=lambda: Addresses(hourly=server.hourly),
    )
    with pytest.raises(SourceError, match=r"1 of the years could not be fetched \(2020: .*500"):
        fetch_station_years(request, STATION)
    allowed = fetch_station_years(replace(request, allow_missing=True), STATION)
    record = record_of_years(allowed)
    start = hour_of_datetime(datetime(BAD, 1, 1, tzinfo=UTC)) - record.start_hour
    assert np.isnan(record.temp_c[start : start + 8784]).all()
    assert not record.origin[start : start + 8784].any()
    assert int(np.isnan(record.temp_c).sum()) == 8784
    check_healthy(server)


def test_404_is_absence_while_other_files_come(server: Server, transport: Transport) -> None:
    """A year the server does not have is absent, not failed."""
    serve_all(server)
    del server.files["/hourly/2018/10637.csv.gz"]
    outcomes = ask(server, transport)
    assert outcomes[2018].entry.status is YearStatus.ABSENT
    assert outcomes[2019].entry.status is YearStatus.COMPLETE
    check_healthy(server)


def test_404_everywhere_is_failure(server: Server, transport: Transport) -> None:
    """A service that has not even the file known to exist says nothing about absence."""
    outcomes = ask(server, transport)
    assert {outcome.entry.status for outcome in outcomes.values()} == {YearStatus.FAILED}
    assert "not even one that exists" in outcomes[BAD].entry.reason
    check_healthy(server)


def test_404_for_a_whole_station_is_absence_if_the_control_file_is_there(
    server: Server, transport: Transport
) -> None:
    """One file that is known to exist confirms the 404 of all others."""
    server.serve_year("10637", 2020, year_rows(2020))
    other = replace(STATION, identifier="99999")
    addresses = Addresses(hourly=server.hourly)
    outcomes = fetch_years(other, (2020, 2021), addresses=addresses, transport=transport, now=NOW)
    assert [outcome.entry.status for outcome in outcomes] == [YearStatus.ABSENT] * 2


def test_flaky_twice_then_good_is_good(server: Server, transport: Transport) -> None:
    """Two failures are forgiven, and a wait that the server asks for is honoured up to a cap."""
    serve_all(server)
    flaky = Served(body=GOOD, failures=2, failing_status=503, retry_after="3600")
    server.serve_year("10637", BAD, flaky)
    begin = time.monotonic()
    outcomes = ask(server, transport)
    assert outcomes[BAD].entry.status is YearStatus.COMPLETE
    assert server.asked.count(f"/hourly/{BAD}/10637.csv.gz") == 3
    assert 2 * SHORT.retry_after_s <= time.monotonic() - begin < 3.0
    check_healthy(server)


def test_a_service_that_is_down_is_not_asked_for_ever(server: Server) -> None:
    """After some files in a row failed in the same way the rest is not asked for."""
    server.everything = Served(status=403)
    years = tuple(range(1990, 2020))
    patience = replace(SHORT, give_up_after=3)
    outcomes = ask(server, quick_transport(patience), years)
    assert {outcome.entry.status for outcome in outcomes.values()} == {YearStatus.FAILED}
    assert len(server.asked) <= 3 + patience.parallel
    assert "the service is down" in outcomes[2019].entry.reason
    server.everything = None
    check_healthy(server)


def test_the_deadline_of_the_command_ends_everything(server: Server) -> None:
    """A command does not outlast its time, however many years are left."""
    server.everything = Served(silent_s=0.3)
    patience = replace(SHORT, command_s=0.4, give_up_after=99)
    begin = time.monotonic()
    outcomes = ask(server, quick_transport(patience), tuple(range(2000, 2020)))
    assert time.monotonic() - begin < 2.0
    assert {outcome.entry.status for outcome in outcomes.values()} == {YearStatus.FAILED}


def test_at_most_four_files_at_a_time_and_the_program_says_its_name(
    server: Server, transport: Transport
) -> None:
    """Politeness: four at once, and a User-Agent that names the program."""
    for year in range(2000, 2012):
        served = Served(body=year_file(year_rows(year, step_hours=6)), delay_s=0.05)
        server.serve_year("10637", year, served)
    ask(server, transport, tuple(range(2000, 2012)))
    assert 2 <= server.most_at_once <= 4
    assert all("suitability" in headers["User-Agent"] for headers in server.headers)


def rows_with(year: int, change: dict[int, list[Row]]) -> list[Row]:
    """Rows of a year, some of them replaced, by their number."""
    return [new for number, row in enumerate(year_rows(year)) for new in change.get(number, [row])]


def parsed(rows: list[Row], year: int = 2021, now: datetime = NOW) -> tuple[Record, dict[str, int]]:
    """The observed record of rows, and its counts by name."""
    result = parse_year(year_file(rows), year, STATION, now)
    counts = result.counts
    named = {
        name: getattr(counts, name)
        for name in (
            *("expected", "observed", "model", "forecast", "unknown", "doubled"),
            *("contradictory", "out_of_range", "future"),
        )
    }
    return result.observed, {name: n for name, n in named.items() if n}


def test_equal_twins_are_kept_once_and_differing_twins_not_at_all() -> None:
    """One hour given twice alike counts once; another given twice differently is a gap."""
    rows = year_rows(2021)
    at, temp, source = rows[10]
    assert temp is not None
    twins = {5: [rows[5], rows[5]], 10: [rows[10], (at, temp + 1.0, source)]}
    record, counts = parsed(rows_with(2021, twins))
    assert counts == {"expected": 8760, "observed": 8759, "doubled": 1, "contradictory": 1}
    assert record.temp_c[5] == rows[5][1]
    assert np.isnan(record.temp_c[10])


def test_a_forecast_only_year_is_complete_with_nothing_observed(
    server: Server, transport: Transport
) -> None:
    """Model hours are counted and kept apart; they are no observation."""
    serve_all(server)
    server.serve_year("10637", BAD, year_rows(BAD, source="dwd_mosmix"))
    outcome = ask(server, transport)[BAD]
    assert outcome.entry.status is YearStatus.COMPLETE
    assert (outcome.entry.counts.observed, outcome.entry.counts.model) == (0, 8784)
    assert outcome.observed is not None
    assert np.isnan(outcome.observed.temp_c).all()
    assert outcome.model is not None
    assert set(outcome.model.origin.tolist()) == {int(Origin.MODEL)}
    assert outcome.model.temp_c[7] == year_rows(BAD)[7][1]
    check_healthy(server)


def test_infinite_values_are_out_of_range_also_twice() -> None:
    """Warnings are errors here: infinity less infinity is none to a reader."""
    (first, *_), (second, *_) = year_rows(2021)[5:7]
    twice: list[Row] = [(first, float("inf"), "isd_lite")] * 2
    once: list[Row] = [(second, float("-inf"), "isd_lite")]
    record, counts = parsed(rows_with(2021, {5: twice, 6: once}))
    assert np.flatnonzero(np.isnan(record.temp_c)).tolist() == [5, 6]
    assert counts["out_of_range"] == 2


def test_hours_of_an_unknown_or_blank_source_are_left_out_and_counted() -> None:
    """A source that is not listed may be a forecast: it is never taken for an observation."""
    rows = [
        (at, temp, "brand_new" if number < 100 else "" if number < 150 else source)
        for number, (at, temp, source) in enumerate(year_rows(2021))
    ]
    record, counts = parsed(rows)
    assert counts == {"expected": 8760, "observed": 8610, "unknown": 150}
    assert np.isnan(record.temp_c[:150]).all()
    assert not np.isnan(record.temp_c[150:]).any()
    sources = dict(parse_year(year_file(rows), 2021, STATION, NOW).counts.sources)
    assert sources == {"": 50, "brand_new": 100, "isd_lite": 8610}


def test_the_running_year_is_partial_and_ends_now(server: Server, transport: Transport) -> None:
    """Hours to come are forecasts, kept apart; the record ends with the present hour."""
    rows = year_rows(2026, until=NOW)
    ahead = [(NOW + timedelta(hours=h), 5.0, "metno_forecast") for h in range(1, 49)]
    server.serve_year("10637", 2026, [*rows, *ahead])
    outcome = ask(server, transport, (2026,))[2026]
    assert outcome.entry.status is YearStatus.PARTIAL
    assert outcome.observed is not None
    assert outcome.observed.stop_hour == hour_of_datetime(NOW) + 1
    assert outcome.entry.last_observed_hour == hour_of_datetime(NOW) - 1
    assert outcome.entry.counts.forecast == 48
    assert outcome.model is not None
    assert int((outcome.model.origin == Origin.FORECAST).sum()) == 48


def test_a_year_that_is_far_too_large_is_not_read_to_its_end(
    server: Server, transport: Transport
) -> None:
    """Packed, a year has some 130 kB; what is larger than it unpacked is none."""
    serve_all(server)
    server.serve_year("10637", BAD, Served(body=bytes(10_500_000)))
    outcome = ask(server, transport)[BAD]
    assert outcome.entry.status is YearStatus.FAILED
    assert "larger than 10000000 bytes" in outcome.entry.reason
    check_healthy(server)


def test_a_packed_file_is_bounded_as_a_whole() -> None:
    """Many members, each within the bound, are together beyond it; memory stays small."""
    member = gzip.compress(bytes(4_000_000))
    tracemalloc.start()
    with pytest.raises(SourceError, match="far too large"):
        parse_year(member * 700, 2021, STATION, NOW)
    assert tracemalloc.get_traced_memory()[1] < 40_000_000
    tracemalloc.stop()


def test_more_rows_than_a_year_can_have_are_refused() -> None:
    """Each hour twice passes, as twins; five times the year is no year."""
    text = csv_text(year_rows(2021))
    header, _, body = text.partition("\n")
    twice = parse_year(gzip.compress(f"{header}\n{body * 2}".encode()), 2021, STATION, NOW)
    assert twice.counts.doubled == 8760
    with pytest.raises(SourceError, match="more than the 35136 rows"):
        parse_year(gzip.compress(f"{header}\n{body * 5}".encode()), 2021, STATION, NOW)
    wide = ",".join(f"c{number}" for number in range(300))
    with pytest.raises(SourceError, match="does not name columns"):
        parse_year(gzip.compress(f"{header},{wide}\n".encode()), 2021, STATION, NOW)


@pytest.mark.parametrize("number", ["9" * 20, "-" + "9" * 20, "1e3", "", "x", "9" * 40])
@pytest.mark.parametrize("column", ["year", "month", "hour"])
def test_numbers_that_no_calendar_has_are_one_sentence(column: str, number: str) -> None:
    """A year of twenty digits is no whole number of use; the file is not usable."""
    lines = csv_text(year_rows(2021)[:48]).splitlines()
    cells = lines[5].split(",")
    cells[("year", "month", "day", "hour").index(column)] = number
    lines[5] = ",".join(cells)
    with pytest.raises(SourceError):
        parse_year(gzip.compress("\n".join(lines).encode()), 2021, STATION, NOW)


def test_an_observation_of_the_future_is_none() -> None:
    """Hours that lie ahead cannot have been observed, whatever their source says."""
    result = parse_year(year_file(year_rows(2026)), 2026, STATION, NOW)
    over = (NOW - datetime(2026, 1, 1, tzinfo=UTC)) // timedelta(hours=1) + 1
    assert result.counts.observed == over
    assert result.counts.future == 8760 - over
    assert result.last_observed_hour == hour_of_datetime(NOW)
    assert result.observed.temp_c.size == over


def test_values_out_of_range_are_gaps_and_counted() -> None:
    """A filler among good values is a gap of one hour, not a reason to lose the year."""
    rows = year_rows(2021)
    record, counts = parsed(rows_with(2021, {3: [(rows[3][0], 999.9, "metar")]}))
    assert counts == {"expected": 8760, "observed": 8759, "out_of_range": 1}
    assert np.isnan(record.temp_c[3])


def test_impossible_humidity_and_rain_are_gaps_beside_a_good_temperature() -> None:
    """The first hour's rain and humidity cannot be; its temperature stands."""
    text = csv_text(year_rows(2021)).replace(",70,isd_lite,0.0,", ",101,isd_lite,999.9,", 1)
    record = parse_year(gzip.compress(text.encode()), 2021, STATION, NOW).observed
    assert record.rhum_pct is not None
    assert record.prcp_mm is not None
    for values, good in ((record.rhum_pct, 70.0), (record.prcp_mm, 0.0)):
        assert np.isnan(values[0])
        np.testing.assert_array_equal(values[1:], good)
    assert record.temp_c[0] == year_rows(2021)[0][1]


def test_a_file_of_missing_temperatures_is_complete_and_empty() -> None:
    """No temperature in a whole year is an observation gap, not an error."""
    record, counts = parsed([(at, None, "") for at, _, _ in year_rows(2021)])
    assert counts == {"expected": 8760}
    assert np.isnan(record.temp_c).all()


def test_columns_are_found_by_name_whatever_their_order() -> None:
    """Absent and reordered columns change nothing."""
    rows = year_rows(2021)
    lines = ["temp_source,hour,wspd,wspd_source,day,year,month,temp"]
    lines += [f"{s},{at.hour},,,{at.day},{at.year},{at.month},{t:.1f}" for at, t, s in rows]
    data = gzip.compress(("\r\n".join(lines) + "\r\n").encode())
    result = parse_year(data, 2021, STATION, NOW)
    np.testing.assert_array_equal(result.observed.temp_c, [temp for _, temp, _ in rows])
    assert result.observed.rhum_pct is None
    assert result.observed.prcp_mm is None


def test_a_conditional_question_leaves_an_unchanged_year_alone(
    server: Server, transport: Transport
) -> None:
    """With the tag of the kept file the server answers 304, and nothing is sent again."""
    server.serve_year("10637", 2021, Served(body=year_file(year_rows(2021)), etag='"v1"'))
    addresses = Addresses(hourly=server.hourly)
    (first,) = fetch_years(STATION, (2021,), addresses=addresses, transport=transport, now=NOW)
    kept = replace(first.entry, observed=KeptFile(name="x", size=1, crc32=0, sha256=""))
    (second,) = fetch_years(
        STATION,
        (2021,),
        addresses=addresses,
        transport=transport,
        now=NOW + timedelta(days=200),
        known={2021: kept},
    )
    assert second.unchanged
    assert second.entry.fetched == NOW + timedelta(days=200)
    assert second.observed is None


def test_strangers_are_told_by_the_majority() -> None:
    """Of many years the odd ones are named; of two that disagree, neither is believed."""
    usual = tuple(float(month) for month in range(12))
    odd = tuple(value + 30.0 for value in usual)
    assert find_outlier_years(dict.fromkeys(range(2000, 2010), usual) | {2005: odd}) == {2005: 30.0}
    assert set(find_outlier_years({2000: usual, 2001: odd})) == {2000, 2001}
    assert find_outlier_years({2000: usual}) == {}
    assert find_outlier_years({2000: usual, 2001: (None,) * 12}) == {}


def test_a_summer_alone_is_not_taken_for_another_unit() -> None:
    """The bound by latitude holds for whole years: a year that lacks its winter is not refused."""
    north = replace(STATION, latitude=65.0)
    summer = [row for row in year_rows(2021, mean_c=10.0) if 6 <= row[0].month <= 8]
    result = parse_year(year_file(summer), 2021, north, NOW)
    assert result.counts.observed == len(summer)
    with pytest.raises(SourceError, match="possible at the station's latitude"):
        parse_year(year_file(year_rows(2021, mean_c=16.0)), 2021, north, NOW)


def test_a_cool_season_in_fahrenheit_is_refused_by_its_months() -> None:
    """A winter alone in °F, 24 to 46, whose median of the whole file says nothing."""
    rows = [row for row in year_rows(2021, mean_c=4.0) if row[0].month in {1, 2, 12}]
    assert parse_year(year_file(rows), 2021, STATION, NOW).counts.observed == len(rows)
    fahrenheit: list[Row] = [(at, (temp or 0.0) * 1.8 + 32, source) for at, temp, source in rows]
    assert max(temp or 0.0 for _, temp, _ in fahrenheit) < 60
    with pytest.raises(SourceError, match=r"of month 1 is 25\.\d, above the 15\.0 °C possible"):
        parse_year(year_file(fahrenheit), 2021, STATION, NOW)


def test_the_warmest_plausible_median_falls_towards_the_poles() -> None:
    """The bound never rises with latitude, and is the same north and south."""
    bounds = [warmest_median_c(latitude) for latitude in range(0, 91, 5)]
    assert bounds == sorted(bounds, reverse=True)
    assert warmest_median_c(-50.0) == warmest_median_c(50.0)


BAD_TEMPLATES = (
    "http://x/",
    "http://x/{year}",
    "http://x/{year}/{station}/{more}",
    "http://x/{year}/{station}/{",
    "http://x/{year:q}/{station}",
    "http://x/{year}/{station}\n",
    "ftp://x/{year}/{station}",
    "{year}/{station}",
)
BAD_LISTS = (
    *("http://x/", "[]", "5", "{}", "null", '"http://x/"', "[1]", "[null]", '["x"]', "["),
    *('["ftp://x/"]', '["http://x/\\n"]', '["http://x/ y"]', '[["http://x/"]]'),
)


@pytest.mark.parametrize(
    ("variable", "value"),
    [
        *(("MS_HOURLY_ENDPOINT", text) for text in BAD_TEMPLATES),
        *(("MS_DAILY_ENDPOINT", text) for text in BAD_TEMPLATES),
        *(("MS_STATIONS_DB_ENDPOINTS", text) for text in BAD_LISTS),
    ],
)
def test_a_malformed_address_is_one_sentence(variable: str, value: str) -> None:
    """The variable and the form it should have are named."""
    with pytest.raises(SourceError, match=variable):
        read_addresses({variable: value})
