"""`map` as a user types it: answer, file and page; a refusal is one sentence, nothing written."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import xarray as xr

from .running import keeps_schema, refused, running

ASKED = ("--group", "nobile")


run = running("map")


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Four cells of waves for three years, 3-hourly: warm, mild, cold, and one without values."""
    hour = np.arange(0, 8766 * 3, 3)[:, None]
    waves = 8.0 * np.cos(hour / 8766 * 2 * np.pi) + 4.0 * np.cos((hour - 5) / 24 * 2 * np.pi)
    values = (np.array([28.0, 16.0, 4.0, np.nan]) - waves).round(1).reshape(-1, 2, 2)
    path = tmp_path / "grid.nc"
    xr.Dataset(
        {"t2m": (("time", "lat", "lon"), values, {"units": "degC"})},
        coords={
            "time": np.datetime64("2001-01-01", "ns") + hour[:, 0].astype("timedelta64[h]"),
            "lat": ("lat", [41.0, 40.0], {"units": "degrees_north"}),
            "lon": ("lon", [350.0, 351.0], {"units": "degrees_east"}),
        },
        attrs={"source": "invented waves"},
    ).to_netcdf(path)
    return path


def test_the_answer_comes_first_and_the_files_say_the_same(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Terminal, JSON after its schema, CF file and page count the same cells."""
    out, page = tmp_path / "map.nc", tmp_path / "map.html"
    code, text, told = run(capsys, file, *ASKED, "--out", out, "--chart", page)
    assert code == 0
    first = " ".join(text.split()).split(". ")[0]
    assert first.startswith(
        "Of 3 cells Nobile type (soft-cane) can live outdoors for a season in 67 %"
    )
    assert "All verdicts are provisional: they rest on 3 usable years" in " ".join(text.split())
    assert "Without any value, and left out: 1 cell." in text
    assert "Weather: invented waves" in text
    assert told.splitlines() == [f"Wrote {out}", f"Wrote {page}"]
    code, document, _ = run(capsys, file, *ASKED, "--json")
    result = json.loads(document)
    keeps_schema(result, "map")
    with xr.open_dataset(out, decode_timedelta=False) as held:
        codes = held["verdict"].to_numpy().ravel().tolist()
    counted = [result[name] for name in ("without_values", "no_verdict", "indoor_only")]
    assert counted == [codes.count(code) for code in (-1, 0, 1)]
    assert [result["seasonal"], result["all_year"]] == [codes.count(2), codes.count(3)]
    assert "Weather: invented waves" in page.read_text(encoding="utf-8")


def test_a_grid_too_short_for_a_verdict_says_so_first_and_draws_hours(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One real year of ERA5; nothing is called provisional where nothing is judged."""
    berlin, page = Path(__file__).parent.parent / "data" / "era5_berlin.nc", tmp_path / "map.html"
    code, text, _ = run(capsys, berlin, *ASKED, "--chart", page)
    assert code == 0
    with xr.open_dataset(berlin) as held:
        hours = (held["t2m"] - 273.15 < 13.0).sum("time")
    least, most = (f"{int(ends)}" for ends in (hours.min(), hours.max()))
    (row,) = (line.split() for line in text.splitlines() if line.startswith("13.0 °C, the growth"))
    assert (row[-3], row[-1]) == (least, most)
    shown = page.read_text(encoding="utf-8")
    assert f"{least} to {most} hours below 13.0 °C, the growth floor" in shown
    assert 'id="map-comfort"' in shown
    flat = " ".join(text.split())
    assert flat.startswith("Of 6 cells Nobile type (soft-cane) has no verdict in 100 % (6). The ")
    assert "too few years" in flat
    assert "provisional" not in flat
    assert "Copernicus" in flat


def test_fahrenheit_is_shown_where_asked(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The floor of 13 °C is 55.4 °F."""
    _, text, _ = run(capsys, file, *ASKED, "--units", "f", "--details")
    assert "Hours below 55.4 °F" in text


@pytest.mark.parametrize(
    ("arguments", "code", "told"),
    [
        (("absent.nc", *ASKED), 1, "absent.nc: there is no such file or folder."),
        (("grid.nc", "--group", "nosuch"), 1, "nosuch"),
        (("grid.nc",), 2, "a map is of one group"),
        (("grid.nc", *ASKED, "--group", "callista"), 2, "a map is of one group"),
        (("grid.nc", *ASKED, "--spot", "no-spot"), 1, 'kind of spot "no-spot": there is none'),
        (("grid.nc", *ASKED, "--spot", "room", "--spot", "open-porch"), 2, "a map is of one spot"),
        (("grid.nc", *ASKED, "--heights", "grid.nc"), 2, "moving needs both"),
        (
            ("grid.nc", *ASKED, "--heights", "h.nc", "--to-height", "9"),
            1,
            "h.nc: there is no such file",
        ),
        (("grid.nc", *ASKED, "--heights", "h.nc", "--to-height", "9999"), 2, "--to-height 9999"),
        (("grid.nc", *ASKED, "--mask", "grid.nc"), 1, "no variables are a share of land (t2m)"),
        (("grid.nc", *ASKED, "--variable", "t"), 1, "has no variable 't' (candidates: t2m)"),
        (("grid.nc", *ASKED, "--out", "map.txt"), 2, "ends in .nc or .zarr"),
        (("grid.nc", *ASKED, "--out", "grid.nc"), 2, "would stand among what is read"),
        (("grid.nc", *ASKED, "--chart", "map.pdf"), 2, "name a file that ends in .html"),
        ((".", *ASKED, "--out", "map.nc"), 2, "would stand among what is read"),
    ],
)
def test_what_cannot_be_done_is_one_sentence_and_nothing_is_written(  # noqa: PLR0917
    file: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    arguments: tuple[str, ...],
    code: int,
    told: str,
) -> None:
    """Before any work."""
    monkeypatch.chdir(file.parent)
    before = file.read_bytes()
    refused(run(capsys, *arguments), code, told)
    assert [path.name for path in file.parent.iterdir()] == ["grid.nc"]
    assert file.read_bytes() == before
