"""Typical years: EPW and TMY3, hour-ending labels, and what they must not be asked."""

from __future__ import annotations

from importlib.resources import as_file, files
from typing import TYPE_CHECKING

import numpy as np
import pytest
from pvlib import iotools

from suitability.cli.main import main
from suitability.climate.exposure import monthly_exposure
from suitability.errors import RecordError
from suitability.weather.sources.files import read_file_record
from suitability.weather.sources.typical import (
    NOMINAL_START_HOUR,
    TypicalYear,
    is_typical_year,
    read_epw,
    read_tmy3,
    read_typical_year,
    refuse_risk,
)

if TYPE_CHECKING:
    from pathlib import Path

pytestmark = pytest.mark.slow

DATA = files("pvlib") / "data"  # pvlib (BSD-3) ships two TMY3 files of NREL, public domain
GREENSBORO, SAND_POINT = "723170TYA.CSV", "703165TY.csv"


def tmy3(name: str) -> TypicalYear:
    """A typical year that pvlib ships."""
    with as_file(DATA / name) as path:
        return read_typical_year(path)


def text_of(name: str) -> str:
    """The text of such a file."""
    return (DATA / name).read_text(encoding="utf-8")


def epw_text(
    year: TypicalYear, *, periods: str = "DATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31"
) -> str:
    """The same year in the layout of EPW: eight header lines, then 8760 hours."""
    place = f"LOCATION,{year.name},NC,USA,TMY3,723170,36.1,-79.95,-5.0,273"
    head = [place, *["COMMENT"] * 6, periods]
    hours = np.datetime64("2001-01-01", "h") + np.arange(8760)
    rows = []
    for hour, temp, rhum in zip(hours.tolist(), year.temp_c, year.rhum_pct, strict=True):
        source = year.month_years[hour.month - 1]
        stamp = f"{source},{hour.month},{hour.day},{hour.hour + 1},60,A"
        dry = 99.9 if np.isnan(temp) else temp
        rows.append(f"{stamp},{dry},0.0,{rhum:g},100000" + ",0" * 25)
    return "\n".join([*head, *rows]) + "\n"


# Hours below 0, 10 and 15 °C by month and degree-hours of the year at Greensboro, with month and
# hour from the file's own columns: csv with exact fractions, and pandas, agreeing.
TABLE = {
    0.0: ([356, 214, 18, 1, 0, 0, 0, 0, 0, 0, 9, 194], None),
    10.0: ([681, 443, 352, 140, 31, 0, 0, 0, 14, 231, 331, 592], 20808.3),
    15.0: ([733, 582, 514, 369, 162, 0, 0, 0, 66, 458, 523, 684], 38537.0),
}


@pytest.mark.parametrize("floor", TABLE)
@pytest.mark.parametrize("form", ["tmy3", "epw"])
def test_hours_by_month_are_those_of_the_table(tmp_path: Path, floor: float, form: str) -> None:
    """A reader that moved 24:00 to the next day would have 141 in April and 330 in November."""
    year = tmy3(GREENSBORO)
    if form == "epw":
        path = tmp_path / "greensboro.epw"
        path.write_text(epw_text(year))
        year = read_epw(path)
    found = monthly_exposure(year.temp_c, None, NOMINAL_START_HOUR, np.array([floor]))
    by_month, of_the_year = TABLE[floor]
    assert found.hours_below[0].tolist() == by_month
    assert found.hours_valid.sum() == 8760
    if of_the_year is not None:
        assert found.degree_hours_below.sum() == pytest.approx(of_the_year, abs=0.05)


@pytest.mark.parametrize("name", [GREENSBORO, SAND_POINT])
def test_values_are_those_of_the_reference_reader(name: str) -> None:
    """Pvlib reads the same temperatures and humidities in the same order."""
    with as_file(DATA / name) as path:
        frame, head = iotools.read_tmy3(path, map_variables=False)
        year = read_tmy3(path)
    assert np.array_equal(year.temp_c, frame["Dry-bulb (C)"].to_numpy(float))
    assert np.array_equal(year.rhum_pct, frame["RHum (%)"].to_numpy(float))
    assert year.latitude == head["latitude"]
    assert year.longitude == head["longitude"]
    assert year.elevation_m == head["altitude"]
    assert year.utc_offset_hours == head["TZ"]


def test_epw_is_read_as_the_reference_reader_reads_it(tmp_path: Path) -> None:
    """Pvlib and ours agree hour by hour on one EPW file."""
    path = tmp_path / "greensboro.epw"
    path.write_text(epw_text(tmy3(GREENSBORO)))
    frame, head = iotools.read_epw(path)
    year = read_epw(path)
    assert np.array_equal(year.temp_c, frame["temp_air"].to_numpy(float))
    assert np.array_equal(year.rhum_pct, frame["relative_humidity"].to_numpy(float))
    assert (year.name, year.utc_offset_hours) == (head["city"], head["TZ"])


def test_months_keep_the_years_they_come_from() -> None:
    """January 1988, February 1996: not one winter that happened (file's own dates)."""
    year = tmy3(GREENSBORO)
    assert year.month_years[:2] == (1988, 1996)
    assert (min(year.month_years), max(year.month_years)) == (1980, 2003)


def test_what_was_understood_is_said() -> None:
    """Place, years, zone and labels, unit, hours."""
    assert tmy3(GREENSBORO).sentences() == (
        "Typical year of GREENSBORO PIEDMONT TRIAD INT (36.1, -79.95, 273 m).",
        "Months from the years 1980 to 2003.",
        "Times: UTC-5 h, labelled at the end of the hour.",
        "Unit of temperature: °C.",
        "Hours with a temperature: 8760 of 8760.",
    )


def test_questions_about_risk_are_refused_with_the_reason(tmp_path: Path) -> None:
    """The sentence says why, and what would do, as it is to be typed."""
    path = tmp_path / "a b" / GREENSBORO
    path.parent.mkdir()
    path.write_text(text_of(GREENSBORO), encoding="utf-8")
    with pytest.raises(RecordError) as caught:
        refuse_risk(path, "dates")
    assert "months come from different years (1980 to 2003)" in str(caught.value)
    assert "cannot give dates. Use an hourly record of several years" in str(caught.value)
    assert str(caught.value).endswith(f"suitability weather show '{path}'")


def test_a_typical_year_is_never_taken_for_a_record() -> None:
    """Given as a record, also under the ending .csv, it is refused for what it is."""
    with as_file(DATA / SAND_POINT) as path, pytest.raises(RecordError, match="typical year"):
        read_file_record(path, longitude=None)


def test_typical_years_are_known_by_their_second_line(tmp_path: Path) -> None:
    """An ordinary CSV is not one; a missing file is none either."""
    with as_file(DATA / GREENSBORO) as path:
        assert is_typical_year(path)
    plain = tmp_path / "plain.csv"
    plain.write_text("time,temp\n2020-01-01 00:00,1\n")
    assert not is_typical_year(plain)
    assert not is_typical_year(tmp_path / "none.csv")
    assert is_typical_year(tmp_path / "none.epw")


def test_codes_for_missing_values_are_missing(tmp_path: Path) -> None:
    """99.9 °C in EPW and -9900 in TMY3 are no temperatures."""
    lines = text_of(GREENSBORO).splitlines()
    cells = lines[2].split(",")
    cells[lines[1].split(",").index("Dry-bulb (C)")] = "-9900"
    path = tmp_path / "gap.csv"
    path.write_text("\n".join([*lines[:2], ",".join(cells), *lines[3:]]))
    year = read_tmy3(path)
    assert np.flatnonzero(np.isnan(year.temp_c)).tolist() == [0]
    (tmp_path / "gap.epw").write_text(epw_text(year))
    assert np.flatnonzero(np.isnan(read_epw(tmp_path / "gap.epw").temp_c)).tolist() == [0]


def test_29_february_is_left_out_and_counted(tmp_path: Path) -> None:
    """A leap year's extra day has no place among 365."""
    lines = epw_text(tmy3(GREENSBORO)).splitlines()
    leap = [line.replace(",2,28,", ",2,29,", 1) for line in lines if ",2,28," in line]
    path = tmp_path / "leap.epw"
    path.write_text("\n".join(lines + leap))
    year = read_epw(path)
    assert year.notes == ("24 hours of 29 February left out.",)
    assert np.array_equal(year.temp_c, tmy3(GREENSBORO).temp_c)


def change_tmy3(lines: list[str], line: int, old: str, new: str) -> None:
    """Replace a part of one line, counted from 1."""
    assert old in lines[line - 1]
    lines[line - 1] = lines[line - 1].replace(old, new, 1)


@pytest.mark.parametrize(
    ("line", "old", "new", "expected"),
    [
        (3, "01:00", "25:00", "line 3: month 1, day 1, hour 25 is no hour of a year"),
        (3, "01:00", "00:00", "line 3: month 1, day 1, hour 0 is no hour of a year"),
        (3, "01/01/1988", "13/01/1988", "line 3: month 13, day 1, hour 1 is no hour"),
        (3, "01/01/1988", "02/30/1988", "line 3: month 2, day 30, hour 1 is no hour"),
        (3, "01/01/1988", "January", "line 3: the line is cut or no hour of a year."),
        (4, "02:00", "01:00", "lines 3 and 4: the same hour twice (month 1, day 1, hour 1)."),
        (2, "Dry-bulb (C)", "Dry-bulb (F)", "this is no TMY3 file: Dry-bulb (C) is missing"),
    ],
)
def test_the_first_bad_line_is_named(
    tmp_path: Path, line: int, old: str, new: str, expected: str
) -> None:
    """Hours are labelled 1 to 24, each once."""
    lines = text_of(GREENSBORO).splitlines()
    change_tmy3(lines, line, old, new)
    path = tmp_path / "porch.csv"
    path.write_text("\n".join(lines))
    with pytest.raises(RecordError) as caught:
        read_tmy3(path)
    assert expected in str(caught.value)
    assert str(caught.value).startswith("porch.csv")


@pytest.mark.parametrize("keep", [1, 2, 5000])
def test_half_a_typical_year_is_refused(tmp_path: Path, keep: int) -> None:
    """A file cut short holds no year."""
    path = tmp_path / "porch.csv"
    path.write_text("\n".join(text_of(GREENSBORO).splitlines()[:keep]))
    with pytest.raises(RecordError, match=r"^porch\.csv"):
        read_tmy3(path)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("time,temp\n2020-01-01 00:00,1\n", "its first line should begin with LOCATION"),
        ("LOCATION,short\n", "its first line should begin with LOCATION"),
    ],
)
def test_what_is_no_epw_is_refused(tmp_path: Path, text: str, expected: str) -> None:
    """The header tells."""
    path = tmp_path / "porch.epw"
    path.write_text(text)
    with pytest.raises(RecordError, match=expected):
        read_epw(path)


def test_epw_with_more_records_an_hour_is_refused(tmp_path: Path) -> None:
    """Quarter-hours are not read as hours."""
    path = tmp_path / "porch.epw"
    path.write_text(epw_text(tmy3(GREENSBORO), periods="DATA PERIODS,1,4,Data"))
    with pytest.raises(RecordError, match="line 8: found 'DATA PERIODS,1,4'; expected one data"):
        read_epw(path)


def test_a_cut_place_is_refused(tmp_path: Path) -> None:
    """Latitude and the others are numbers."""
    path = tmp_path / "porch.epw"
    path.write_text(epw_text(tmy3(GREENSBORO)).replace("36.1", "north", 1))
    with pytest.raises(RecordError, match=r"porch\.epw, line 1: latitude 'north' is not a number"):
        read_epw(path)


def test_the_command_of_the_refusal_shows_the_hours_by_month(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Those of the table, at a floor of 15 °C, which the catalogue has; as a text only."""
    with as_file(DATA / GREENSBORO) as path:
        with pytest.raises(SystemExit) as ended:
            main(["weather", "show", str(path)])
        shown = capsys.readouterr().out
        assert ended.value.code == 0
        (row,) = (line.split() for line in shown.splitlines() if line.strip().startswith("15.0 "))
        months = TABLE[15.0][0]
        assert [int(cell) for cell in row[1:]] == [*months, sum(months)]
        assert "Months from the years 1980 to 2003" in shown
        with pytest.raises(SystemExit) as ended:
            main(["weather", "show", str(path), "--json"])
        assert ended.value.code == 2
        assert "of a typical year only the text is shown" in capsys.readouterr().err


def test_a_year_without_a_whole_month_is_refused(tmp_path: Path) -> None:
    """Eleven months are nine tenths of the hours, but no year; the month is named."""
    path = tmp_path / "short.tmy3"
    lines = text_of(GREENSBORO).splitlines()
    path.write_text("\n".join(line for line in lines if not line.startswith("06/")))
    with pytest.raises(RecordError, match="no hour of month 6"):
        read_tmy3(path)


@pytest.mark.parametrize("cell", ["x" * 140_000, '"' + "x\n" * 140_000])
@pytest.mark.parametrize("ending", [".tmy3", ".epw"])
def test_endless_cells_are_one_sentence(tmp_path: Path, cell: str, ending: str) -> None:
    """The line is named, and the quotation mark that may be missing."""
    path = tmp_path / f"long{ending}"
    text = text_of(GREENSBORO) if ending == ".tmy3" else epw_text(tmy3(GREENSBORO))
    path.write_text(text.replace("\n", f"\n{cell}", 1))
    with pytest.raises(RecordError, match=r"the line is no CSV .*never closed"):
        read_typical_year(path)
