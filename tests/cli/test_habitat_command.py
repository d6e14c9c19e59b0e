"""`habitat` as a user types it: text, JSON, CSV, page, and mistakes in one sentence."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest

from .running import LOS_ANGELES, keeps_schema, refused, running

DATA = Path(__file__).parents[1] / "data"
WILD = (str(DATA / "porto_alegre.hourly"), "--habitat-at=-30.05,-51.17,41")


run = running("habitat")


def test_the_answer_comes_first_and_the_sources_of_both_places_last(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Opposite seasons are said, months stand beside each other, 80 columns, in °F too."""
    code, out, err = run(capsys, *LOS_ANGELES, *WILD, "--group", "cattleya", "--details")
    assert code == 0, err
    flat = " ".join(out.split())
    assert flat.startswith(
        "Beside Porto Alegre, your nights in the open air are 2 to 3 °C colder (Mar to Aug) and "
        "alike (Sep to Feb). The coolest months there, June to August, have nights of 12 °C and "
        "128 to 165 mm of rain a month. Seasons are opposite: "
    )
    assert max(map(len, out.splitlines())) <= 80
    assert "Jan (Jul)  10.6  11.7 alike" in out
    assert "What to do about it" in out
    assert "It stops growing here when it grows there: Mar." in out
    assert "NOAA" in out
    assert "INMET" in out
    assert "shows what a plant endures, not what is best for it" in flat
    _, out, _ = run(capsys, *LOS_ANGELES, *WILD, "--units", "f")
    assert "are 4 to 6 °F colder" in " ".join(out.split())
    assert "Jan (Jul)  51.1  53.1 alike" in out


def test_json_csv_and_page_hold_the_same_months(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each spot has twelve months; the CSV names both places, years and whose the weather is."""
    page, table = tmp_path / "habitat.html", tmp_path / "habitat.csv"
    spots = ("--spot", "open-porch", "--spot", "frost-hollow")
    asked = (*LOS_ANGELES, *WILD, *spots, "--json", "--csv", str(table), "--chart", str(page))
    code, out, _ = run(capsys, *asked)
    assert code == 0
    document = json.loads(out)
    keeps_schema(document, "habitat")
    assert [one["spot"] for one in document["results"]] == ["open-porch", "frost-hollow"]
    rows = list(csv.DictReader(io.StringIO(table.read_text("utf-8-sig"))))
    assert len(rows) == 24
    first, month = rows[0], document["results"][0]["months"][0]
    assert (first["spot"], first["habitat_month"]) == ("open-porch", "7")
    assert float(first["there_night_typical_c"]) == month["there"]["night"]["typical_c"]
    assert float(first["there_rain_mean_mm"]) == month["there"]["rain"]["mean_mm"]
    assert first["nights"] == month["nights"]
    assert (first["record_licence"], first["habitat_name"]) == ("public domain", "Porto Alegre")
    assert "INMET" in first["habitat_record_attribution"]
    text = page.read_text("utf-8")
    assert "at open-porch" in text
    assert "INMET" in text


@pytest.mark.parametrize(
    ("arguments", "code", "told"),
    [
        ((), 2, "Name where the plant grows wild"),
        ((WILD[0],), 2, "say where it lies, or which cell, with --habitat-at"),
        ((WILD[0], "--habitat-at", "95,1"), 2, "--habitat-at 95,1: latitude 95 is outside"),
        (("absent.csv", WILD[1]), 1, "Of the habitat: absent.csv: there is no such file"),
        (("absent", WILD[1]), 1, "Of the habitat: absent: no such file, and no record"),
        (("junk.nc", WILD[1]), 1, "junk.nc: this is no whole NetCDF file"),
        ((*WILD, "--habitat-station", "1"), 2, "leave it out with FILE"),
        ((WILD[1], "--variable", "t"), 2, "leave it out without FILE"),
        ((WILD[1], "--offline"), 1, "Of the habitat: The list of weather stations"),
        ((LOS_ANGELES[1], "--habitat-at", LOS_ANGELES[3]), 2, "The habitat is your own place"),
        (("junk.csv", WILD[1], "--csv", "junk.csv"), 2, "is the same file as FILE junk.csv"),
    ],
)
def test_what_cannot_be_done_is_one_sentence(  # noqa: PLR0917
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    arguments: tuple[str, ...],
    code: int,
    told: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SUITABILITY_HOME", str(tmp_path / "home"))
    for name in ("junk.nc", "junk.csv"):
        (tmp_path / name).write_text("junk", encoding="utf-8")
    refused(run(capsys, *LOS_ANGELES, *arguments), code, told)
    assert (tmp_path / "junk.csv").read_text(encoding="utf-8") == "junk"


def test_a_habitat_of_too_few_years_is_an_answer_with_its_reason(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """One year of one cell of ERA5: nothing is compared."""
    cell = (str(DATA / "era5_berlin.nc"), "--habitat-at", "52.5,13.4")
    code, out, _ = run(capsys, *LOS_ANGELES, *cell)
    assert code == 0
    flat = " ".join(out.split())
    assert flat.startswith("Your nights in the open air cannot be set beside cell 52.6,13.35: no ")
    assert "3 years at both (at most 10 here, 1 there)" in flat
    assert "Copernicus" in flat
