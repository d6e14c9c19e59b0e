"""`suitability spots fit` as a user types it, on the demo place with an invented thermometer."""

from __future__ import annotations

import html
import json
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from suitability.advice.preparing import records_at_spots
from suitability.cli.main import main
from suitability.spots.reading import read_collection
from suitability.spots.spot import Offset, Spot
from suitability.weather.record import Record, datetime_of_hour, hour_of_datetime
from suitability.weather.sources.demo import demo_place, demo_record
from tests.output.drawn import drawn_on

from .running import keeps_schema, refused, running

pytestmark = pytest.mark.slow

TRUE = {"clear_night": 2.2, "other_night": 0.6, "day": -1.4}
DAYS = 24
MARCH = hour_of_datetime(datetime(2024, 3, 2, 13, tzinfo=UTC))  # noon of the demo's clock
HOURS_COLUMNS = ("--columns", "time=Date Time,temp=Temp")


run = running("spots", "fit")


def at_the_spot() -> Record:
    """The demo record at the spot that is to be found again."""
    offsets = {f"{name}_c": Offset(low=one, usual=one, high=one) for name, one in TRUE.items()}
    spot = Spot(name="there", **offsets)  # type: ignore[arg-type]  # names of offsets
    return records_at_spots(demo_record(), demo_place(), [spot])[0]


def readings(days: int = DAYS, start: int = MARCH) -> list[tuple[int, float]]:
    """UTC hours and temperatures; each night deviates by some tenths."""
    record = at_the_spot()
    first = start - record.start_hour
    chance = np.random.default_rng(4)
    deviation = chance.normal(0.0, 0.4, days + 1)
    hours = np.arange(24 * days)
    temp_c = record.temp_c[first : first + hours.size] + np.interp(
        hours, 24 * np.arange(days + 1) + 17, deviation
    )
    return [
        (start + hour, value)
        for hour, value in zip(hours.tolist(), temp_c.tolist(), strict=True)
        if not np.isnan(value)
    ]


def write_hours(
    path: Path, rows: list[tuple[int, float]], *, clock: int = 0, fahrenheit: bool = False
) -> str:
    """A logger's file in German style, its clock so many hours ahead of UTC."""
    lines = ["Date Time;Temp"]
    for hour, temp_c in rows:
        value = temp_c * 1.8 + 32.0 if fahrenheit else temp_c
        lines.append(f"{datetime_of_hour(hour + clock):%d.%m.%Y %H:%M};{value:.1f}")
    path.write_text("\n".join(lines), encoding="utf-8")
    return str(path)


def check_recovered(document: dict[str, dict[str, dict[str, float]]], within_c: float) -> None:
    for name, true in TRUE.items():
        level = document["levels"][name]
        assert level["usual"] == pytest.approx(true, abs=within_c), name
        assert level["low"] <= true <= level["high"], name


def test_a_known_spot_is_found_again_from_any_unit_and_zone(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """In UTC and °C, and in °F on a clock two hours ahead: the same, and it keeps the schema."""
    found = []
    for number, (clock, fahrenheit, zone) in enumerate(((0, False, "UTC"), (2, True, "+02:00"))):
        log = write_hours(
            tmp_path / f"{number}.csv", readings(), clock=clock, fahrenheit=fahrenheit
        )
        unit = "f" if fahrenheit else "c"
        code, out, err = run(
            capsys, log, *HOURS_COLUMNS, "--input-units", unit, "--zone", zone, "--demo", "--json"
        )
        assert code == 0, err
        found.append(json.loads(out))
    for document in found:
        keeps_schema(document, "fit")
        check_recovered(document, 0.5)
        assert document["warnings"] == []
        assert document["levels"]["night_error_c"] < document["levels"]["night_error_before_c"]
    assert found[0]["levels"]["day"]["usual"] == pytest.approx(
        found[1]["levels"]["day"]["usual"], abs=0.05
    )


def test_plants_of_own_groups_are_known(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A collection with a plant of such a group is read with --groups-file, by `week` too."""
    collection, own = tmp_path / "mine.toml", tmp_path / "own.toml"
    collection.write_text(
        '[[spot]]\nname = "porch"\nkind = "open-porch"\n[[plant]]\ngroup = "own-mix"\n', "utf-8"
    )
    own.write_text(
        '[[group]]\nkey = "own-mix"\nname = "My orchids"\nfloor_c = 15.0\nlimit_c = 5.0\n'
        "chill_base_c = 12.0\ndose_limit_c_h = 60.0\n",
        "utf-8",
    )
    log = write_hours(tmp_path / "log.csv", readings())
    declared = (*HOURS_COLUMNS, "--input-units", "c", "--zone", "UTC", "--spot", "porch")
    asked = ("--demo", "--collection", str(collection))
    for known in ((), ("--groups-file", str(own))):  # a spot is measured whatever stands there
        code, _, err = run(capsys, log, *declared, *asked, *known)
        assert code == 0, err
    with pytest.raises(SystemExit) as left:
        main(["spots", "week", "2024-03-04", *asked, "--groups-file", str(own)])
    assert left.value.code == 0, capsys.readouterr().err


def test_minima_and_maxima_alone_are_enough(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A minimum thermometer sees what hours miss, 0.2 °C at the demo: that is allowed for."""
    record = at_the_spot()
    lines = ["Day,Low,High"]
    for day in range(MARCH // 24 + 1, MARCH // 24 + 25):
        midnight = 24 * day + 1 - record.start_hour
        low = np.nanmin(record.temp_c[midnight - 6 : midnight + 9]) - 0.2
        high = np.nanmax(record.temp_c[midnight + 9 : midnight + 19])
        lines.append(f"{date(1970, 1, 1) + timedelta(days=day)},{low:.1f},{high:.1f}")
    path = tmp_path / "mm.csv"
    path.write_text("\n".join(lines), encoding="utf-8")
    columns = ("--columns", "date=Day,min=Low,max=High", "--input-units", "c")
    code, out, err = run(capsys, str(path), *columns, "--demo", "--json")
    assert code == 0, err
    document = json.loads(out)
    check_recovered(document, 0.4)
    assert (document["hourly"], document["by_hour"], document["hour_error_c"]) == (False, [], None)


def test_the_result_is_written_into_the_collection_and_used(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Notes stay; `check` then says that the spot was measured."""
    file = tmp_path / "mine.toml"
    file.write_text('# my notes\n[[spot]]\nname = "porch"\nroofed = true\n', encoding="utf-8")
    log = write_hours(tmp_path / "log.csv", readings())
    options = (*HOURS_COLUMNS, "--input-units", "c", "--zone", "UTC", "--demo")
    where = ("--collection", str(file), "--spot", "Porch")
    assert run(capsys, log, *options, *where)[0] == 0
    assert "measured" not in file.read_text("utf-8")
    code, out, err = run(capsys, log, *options, *where, "--write")
    assert code == 0
    assert "Wrote the measured numbers of porch" in err
    assert max(map(len, out.splitlines())) <= 80
    assert file.read_text("utf-8").startswith("# my notes\n")
    spot = read_collection(file).find_spot("porch")
    (measured,) = spot.measured
    assert spot.roofed
    assert spot.offsets_c[0].usual == pytest.approx(TRUE["clear_night"], abs=0.5)
    with pytest.raises(SystemExit):
        main(["check", "--demo", "--collection", str(file), "--group", "nobile"])
    shown = " ".join(capsys.readouterr().out.split())
    assert f"measured on {measured.nights} nights" in shown
    assert "porch was measured in March; in other months it is known less well." in shown


def test_a_log_of_another_season_is_kept_beside_the_first(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """March and July: both in the file, narrower together, and both months named."""
    file = tmp_path / "mine.toml"
    file.write_text('[[spot]]\nname = "porch"\nroofed = true\n', encoding="utf-8")
    where = ("--collection", str(file), "--spot", "porch", "--write", "--json")
    found = []
    for name, start in (("march", MARCH), ("july", MARCH + 24 * 125)):
        log = write_hours(tmp_path / f"{name}.csv", readings(start=start))
        options = (*HOURS_COLUMNS, "--input-units", "c", "--zone", "UTC", "--demo")
        code, out, err = run(capsys, log, *options, *where)
        assert code == 0, err
        found.append(json.loads(out))
        assert found[-1]["warnings"] == []
    spot = read_collection(file).find_spot("porch")
    assert [log.first.month for log in spot.measured] == [3, 7]
    first, both = (document["spot"]["other_night_c"] for document in found)
    assert both["high"] - both["low"] < first["high"] - first["low"]
    far, nearer = (document["elsewhere"]["other_night"] for document in found)
    assert nearer["high"] - nearer["low"] < far["high"] - far["low"]
    with pytest.raises(SystemExit):
        main(["moves", "--demo", "--collection", str(file), "--group", "nobile"])
    assert "porch was measured in March and July" in " ".join(capsys.readouterr().out.split())


def test_scattered_missing_hours_cost_no_nights(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One hour in twenty: the same nights and offsets; what was not read is shown as missing."""
    options = (*HOURS_COLUMNS, "--input-units", "c", "--zone", "UTC", "--demo", "--json")
    lost = np.random.default_rng(9).random(24 * DAYS) < 0.05
    lost[[0, -1]] = False
    documents = []
    for name, rows in (
        ("all", readings()),
        ("some", [row for row, gone in zip(readings(), lost, strict=True) if not gone]),
    ):
        code, out, err = run(capsys, write_hours(tmp_path / f"{name}.csv", rows), *options)
        assert code == 0, err
        documents.append(json.loads(out))
    whole, thin = documents
    assert thin["levels"]["nights"] >= whole["levels"]["nights"] - 1
    check_recovered(thin, 0.5)
    missing = [hour["log_c"] is None for hour in thin["hours"]]
    assert sum(missing) == lost.sum()


def test_a_clock_that_is_off_by_an_hour_is_found_and_its_remedy_works(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Summer time declared as UTC: the warning names the shift that mends it."""
    log = write_hours(tmp_path / "log.csv", readings(), clock=1)
    options = (*HOURS_COLUMNS, "--input-units", "c", "--zone", "UTC", "--demo", "--json")
    _, out, _ = run(capsys, log, *options)
    (warning,) = json.loads(out)["warnings"]
    assert "1 hour late" in warning
    assert "--clock-shift -1" in warning
    _, out, _ = run(capsys, log, *options, "--clock-shift", "-1")
    assert json.loads(out)["warnings"] == []


def test_sun_on_the_sensor_is_found(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Nine degrees at 11 o'clock on eight days; the offsets stay near the truth."""
    rows = [
        (hour, value + (9.0 if (hour - 1) % 24 == 11 and hour // 24 % 3 == 0 else 0.0))
        for hour, value in readings()
    ]
    log = write_hours(tmp_path / "log.csv", rows)
    options = (*HOURS_COLUMNS, "--input-units", "c", "--zone", "UTC", "--demo", "--json")
    _, out, _ = run(capsys, log, *options)
    document = json.loads(out)
    assert any("The sun seems to have reached" in warning for warning in document["warnings"])
    assert document["levels"]["clear_night"]["usual"] == pytest.approx(2.2, abs=0.5)


def test_the_page_holds_log_model_and_residuals(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Data, axis titles and units; every hour in a table too; the same bytes twice."""
    log = write_hours(tmp_path / "log.csv", readings())
    options = (*HOURS_COLUMNS, "--input-units", "c", "--zone", "UTC", "--demo", "--units", "f")
    pages = []
    for name in ("a.html", "b.html"):
        run(capsys, log, *options, "--chart", str(tmp_path / name))
        pages.append((tmp_path / name).read_text("utf-8"))
    assert pages[0] == pages[1]
    figures = drawn_on(pages[0])
    assert set(figures) == {"nights", "hours", "residuals"}
    titles = {
        name: (
            figure["layout"]["xaxis"]["title"]["text"],
            figure["layout"]["yaxis"]["title"]["text"],
        )
        for name, figure in figures.items()
    }
    assert titles["hours"] == ("date, standard time", "temperature, °F")
    assert titles["residuals"] == (
        "hour of the day, standard time",
        "thermometer less fitted spot, °F",
    )
    hour, temp_c = readings()[0]
    thermometer = figures["hours"]["data"][0]
    assert thermometer["x"][0] == f"{datetime_of_hour(hour - 1):%Y-%m-%d %H:%M}"
    assert thermometer["y"][0] == pytest.approx(round(temp_c, 1) * 1.8 + 32, abs=0.01)
    assert figures["residuals"]["data"][-1]["x"] == list(range(24))
    assert "<summary>The hours as a table, °F</summary>" in pages[0]
    assert "°C" not in html.unescape(pages[0].split("<main")[1].split("<script")[0])


@pytest.mark.parametrize(
    ("days", "start", "more", "code", "words"),
    [
        (6, MARCH, (), 1, "whole nights can be compared with the record; at least 10"),
        (24, MARCH + 24 * 600, (), 1, "they share no hour"),
        (
            24,
            MARCH,
            ("--clock-shift", "13"),
            2,
            "--clock-shift 13: expected a number from -12",
        ),
        (24, MARCH, ("--write",), 2, "--write: name the file with --collection"),
        (24, MARCH, ("--spot", "room"), 1, "is in a room"),
        (24, MARCH, ("--read", "noon"), 2, "--read noon: expected morning or evening"),
    ],
)
def test_mistakes_are_told_in_one_sentence(  # noqa: PLR0917
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    days: int,
    start: int,
    more: tuple[str, ...],
    code: int,
    words: str,
) -> None:
    """Too few nights, another period, options out of range, a spot that is no weather's."""
    rows = readings(days) if start == MARCH else [(h + start - MARCH, v) for h, v in readings(days)]
    log = write_hours(tmp_path / "log.csv", rows)
    options = (*HOURS_COLUMNS, "--input-units", "c", "--zone", "UTC", "--demo")
    refused(run(capsys, log, *options, *more), code, words)


def test_a_wrong_unit_is_found_by_comparison_with_the_record(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Minima in °C declared as °F, which no range betrays."""
    rows = "\n".join(f"2024-03-{day:02d},{9 + day % 3}" for day in range(3, 27))
    path = tmp_path / "mm.csv"
    path.write_text(f"Day,Low\n{rows}", encoding="utf-8")
    columns = ("--columns", "date=Day,min=Low")
    code, _, err = run(capsys, str(path), *columns, "--input-units", "f", "--demo")
    assert code == 1
    assert "if they are in °C though °F was declared" in err
    assert run(capsys, str(path), *columns, "--input-units", "c", "--demo")[0] == 0
