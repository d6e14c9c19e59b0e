"""Years that a service served poorly: recognised, named, asked for again, and cured."""

from __future__ import annotations

import json
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.weather.manifest import YearCounts, YearEntry, YearStatus, is_due
from suitability.weather.sources.files import read_file_record
from suitability.weather.store import KeptFile
from suitability.weather.suspect_years import FAR_FEWER, find_suspects
from suitability.weather.year_store import read_manifest

from .conftest import NOW
from .server import Served, csv_text, year_file, year_rows
from .test_fetching import ROWS, YEARS, Setting, expected, setting

if TYPE_CHECKING:
    from collections.abc import Callable

    from .server import Row

__all__ = ["setting"]  # the fixture of a healthy service

KEPT = KeptFile(name="x", size=1, crc32=0, sha256="")
DAY = timedelta(days=1)
DATA = Path(__file__).parents[1] / "data"


def entry(year: int, share: float | None, **changes: Any) -> YearEntry:
    """A kept year that holds a share of its hours; None: the service has no file of it."""
    status = YearStatus.ABSENT if share is None else YearStatus.COMPLETE
    counts = YearCounts(expected=1000, observed=round(1000 * (share or 0.0)))
    kept = None if share is None else KEPT
    made = YearEntry(year=year, status=status, fetched=NOW, counts=counts, observed=kept)
    return replace(made, **changes)


def suspects(*shares: float | None, listed: tuple[int, int] | None = None) -> list[int]:
    """Which of the years from 2000 on are suspect, counted from 0."""
    entries = [entry(2000 + at, share) for at, share in enumerate(shares)]
    return [year - 2000 for year in sorted(find_suspects(entries, listed))]


def test_a_year_far_below_those_around_it_is_suspect() -> None:
    """Empty, halved, thin; at the beginning and the end too; two thirds pass."""
    assert suspects(1, 1, 0, 1, 1) == [2]
    assert suspects(1, 1, 0.5, 1, 1) == [2]
    assert suspects(1, 1, 0.66, 0.67, 1) == [2]
    assert suspects(0.3, 1, 1) == [0]
    assert suspects(1, 1, 0.3) == [2]
    assert suspects(1, 0, 0, 0, 1) == [1, 2, 3]
    assert suspects(1, 0.2) == [1]


def test_a_station_that_reports_more_often_later_is_not_suspect_for_before() -> None:
    """Three-hourly for ten years, hourly for ten: each year is like those on one side."""
    assert suspects(*[1 / 3] * 10, *[1.0] * 10) == []
    assert suspects(*[1.0] * 10, *[1 / 3] * 10) == []
    assert suspects(*[1 / 3] * 4, 0.1, *[1 / 3] * 5, *[1.0] * 10) == [4]


def test_no_file_between_files_is_suspect_but_not_before_or_after_them() -> None:
    """A station that began later, or has ended, simply has no hours."""
    assert suspects(None, None, 1, 1, None, 1, None) == [4]
    assert suspects(None, None) == []


def test_no_file_of_the_last_whole_year_is_suspect_while_the_station_reports() -> None:
    """The running year has hours, so it has not ended; it may have, if there are none."""
    last = [entry(2000, 1.0), entry(2001, 1.0), entry(2002, None)]
    running = entry(2003, 0.4, status=YearStatus.PARTIAL, over=False)
    assert find_suspects([*last, running]) == {2002}
    silent = entry(2003, 0.0, status=YearStatus.PARTIAL, over=False)
    assert find_suspects([*last, silent]) == frozenset()


def test_years_that_run_or_failed_are_not_judged_and_judge_nobody() -> None:
    """They are asked for again anyway."""
    running = entry(2003, 0.1, status=YearStatus.PARTIAL, over=False)
    failed = entry(2004, None, status=YearStatus.FAILED)
    whole = [entry(year, 1.0) for year in (2000, 2001, 2002)]
    assert find_suspects([*whole, running, failed]) == frozenset()


def test_where_no_year_has_hours_the_list_of_stations_tells() -> None:
    """A station that only forecasts is listed for nothing; one that is listed may be ill served."""
    assert suspects(0, 0, None) == []
    assert suspects(0, 0, None, listed=(2001, 2030)) == [1, 2]
    assert suspects(0, 1, 0, listed=(1900, 1950)) == [0, 2]


def test_pauses_grow_to_thirty_days() -> None:
    """One day, two, four, eight, sixteen, then thirty; the usual time where that is shorter."""
    for times, days in enumerate((1, 2, 4, 8, 16, 30, 30, 30)):
        poor = entry(2010, 0.0, asked_again=times)
        assert not is_due(poor, NOW + timedelta(days=days) - timedelta(seconds=1), suspect=True)
        assert is_due(poor, NOW + timedelta(days=days), suspect=True)
    last = entry(2025, 0.0, asked_again=9)
    assert is_due(last, NOW + timedelta(days=7), suspect=True)


def thinned(keep: Callable[[int], bool]) -> list[Row]:
    """Rows of 2020 of which only some are kept."""
    return [row for number, row in enumerate(year_rows(2020)) if keep(number)]


def named(source: str) -> list[Row]:
    """Rows of 2020 from another source."""
    return [(at, temp, source) for at, temp, _ in year_rows(2020)]


def without_values() -> bytes:
    """Rows of 2020 whose temperatures are all the word None."""
    lines = csv_text(year_rows(2020)).splitlines()
    cells = [line.split(",") for line in lines]
    told = [",".join([*row[:4], "None", *row[5:]]) for row in cells[1:]]
    return "\n".join([lines[0], *told]).encode()


POOR: dict[str, list[Row] | bytes | Served] = {
    "empty": [],
    "halved": thinned(lambda number: number < 4392),
    "thin": thinned(lambda number: number % 4 == 0),
    "all of a model": named("dwd_mosmix"),
    "odd sources": named("brand_new"),
    "sources None": named("None"),
    "values None": without_values(),
    "no file": Served(status=404),
}


@pytest.mark.slow
@pytest.mark.parametrize("how", POOR)
def test_a_poor_year_is_named_and_cured_the_next_day(setting: Setting, how: str) -> None:
    """The answer names the year and what asks at once; a healthy service heals it in a day."""
    served = POOR[how]
    if isinstance(served, bytes):
        served = Served(body=gzip_of(served), etag='"same"')
    setting.server.serve_year("10637", 2020, served)
    record = setting.ask()
    (told,) = [note for note in record.notes if FAR_FEWER in note]
    assert told.startswith("2020: far fewer hours")
    assert "`suitability weather fetch --station 10637 --years 2020 --refresh`" in told
    assert [note for note in setting.ask(offline=True).notes if FAR_FEWER in note] == [told]
    setting.server.serve_year("10637", 2020, Served(body=year_file(year_rows(2020)), etag='"same"'))
    asked = len(setting.server.asked)
    setting.ask(now=NOW + DAY - timedelta(seconds=1))
    assert len(setting.server.asked) == asked
    healed = setting.ask(now=NOW + DAY)
    np.testing.assert_array_equal(healed.temp_c, expected())
    assert not [note for note in healed.notes if FAR_FEWER in note]
    assert setting.server.asked[asked:] == ["/hourly/2020/10637.csv.gz"]


def gzip_of(text: bytes) -> bytes:
    """Packed, always alike."""
    import gzip

    return gzip.compress(text, mtime=0)


@pytest.mark.slow
def test_a_byte_order_mark_before_the_header_harms_nothing(setting: Setting) -> None:
    """It is no part of the first name."""
    text = b"\xef\xbb\xbf" + csv_text(year_rows(2020)).encode()
    setting.server.serve_year("10637", 2020, Served(body=gzip_of(text)))
    np.testing.assert_array_equal(setting.ask().temp_c, expected())


@pytest.mark.slow
def test_a_year_that_stays_poor_is_asked_for_in_growing_pauses(setting: Setting) -> None:
    """Day by day for two months: on the first day, then after two, four, eight, sixteen, thirty."""
    setting.server.serve_year("10637", 2020, POOR["halved"])  # type: ignore[arg-type]
    setting.ask()
    asked_on = []
    for day in range(1, 65):
        before = setting.server.asked.count("/hourly/2020/10637.csv.gz")
        setting.ask(now=NOW + day * DAY)
        if setting.server.asked.count("/hourly/2020/10637.csv.gz") > before:
            asked_on.append(day)
    assert asked_on == [1, 3, 7, 15, 31, 61]


@pytest.mark.slow
def test_poor_years_that_are_stored_already_are_recognised(setting: Setting) -> None:
    """What an earlier program kept as complete for half a year is asked for at the next use."""
    setting.server.serve_year("10637", 2020, POOR["empty"])  # type: ignore[arg-type]
    setting.ask()
    path = setting.folder / "hourly" / "10637" / "manifest.json"
    plain = json.loads(path.read_text())
    for year in plain["years"]:
        del year["asked_again"], year["over"]
    path.write_text(json.dumps(plain))
    setting.serve(years=(2020,))
    np.testing.assert_array_equal(setting.ask(now=NOW + 10 * DAY).temp_c, expected())


@pytest.mark.slow
@pytest.mark.parametrize("poor", [(2019, 2020, 2021), YEARS])
def test_the_first_station_is_taken_again_once_it_is_healthy(
    setting: Setting, poor: tuple[int, ...]
) -> None:
    """With some of its years empty, or all, the next one was taken meanwhile."""
    for year in poor:
        setting.server.serve_year("10637", year, [])
    setting.serve(station="10635", mean_c=11.0)
    meanwhile = setting.ask()
    assert meanwhile.station is not None
    assert meanwhile.station.identifier == ROWS[1].identifier
    assert "may be poor files and are asked for again" in meanwhile.notes[0]
    setting.serve(years=poor)
    back = setting.ask(now=NOW + DAY)
    assert back.station is not None
    assert back.station.identifier == "10637"
    np.testing.assert_array_equal(back.temp_c, expected())


@pytest.mark.slow
def test_the_times_asked_again_are_forgotten_with_the_next_usual_question(
    setting: Setting,
) -> None:
    """A year that is like the others is asked for at its usual time."""
    setting.server.serve_year("10637", 2020, POOR["halved"])  # type: ignore[arg-type]
    setting.ask()
    setting.serve(years=(2020,))
    setting.ask(now=NOW + DAY)
    setting.ask(now=NOW + 190 * DAY)
    kept = read_manifest(setting.folder, "10637")
    assert kept is not None
    assert [one.asked_again for one in kept.years] == [0] * 5


# Whole years of real records that are known to hold few hours (tests/data/README.md).
REALLY_THIN = {"manaus": {2003, 2005, 2008, 2009}, "denver": {2013}}


@pytest.mark.parametrize("name", sorted(path.stem for path in DATA.glob("*.hourly")))
def test_of_real_records_only_the_thin_years_are_suspect(name: str) -> None:
    """Gaps as stations have them, in whole years between the first and the last, name no other."""
    record = read_file_record(DATA / f"{name}.hourly", longitude=None)
    years = (record.start_hour + np.arange(record.temp_c.size)).astype("datetime64[h]")
    years = years.astype("datetime64[Y]").astype(int) + 1970
    entries = []
    for year in np.unique(years).tolist()[1:-1]:
        hours = years == year
        share = record.counted[hours].sum() / hours.sum()
        entries.append(entry(year, float(share)))
    assert find_suspects(entries) == REALLY_THIN.get(name, set())
