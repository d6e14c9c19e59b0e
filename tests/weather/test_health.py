"""What `doctor` finds: the store, and whether a service on 127.0.0.1 answers."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from suitability.weather.health import Health, examine
from suitability.weather.store import ImportedPlace, import_record
from tests.conftest import make_hourly

from .conftest import NOW, quick_transport
from .server import Served, Server, year_rows

if TYPE_CHECKING:
    from suitability.weather.sources.transport import Transport


def found(folder: Path, server: Server | None, transport: Transport | None, **how: Any) -> Health:
    """What is found with a service, if there is one."""
    address = server.hourly if server else "http://127.0.0.1:9/{year}/{station}"
    return examine(
        folder,
        now=NOW,
        transport=transport,
        environment={"MS_HOURLY_ENDPOINT": address},
        no_pictures=how.get("no_pictures", ""),
    )


def test_a_service_that_gives_its_file_answers(server: Server, tmp_path: Path) -> None:
    """It is asked once, and nothing is kept."""
    server.serve_year("10637", 2020, year_rows(2020))
    health = found(tmp_path, server, quick_transport())
    assert (health.service, health.service_reason) == ("answers", "")
    assert server.asked == ["/hourly/2020/10637.csv.gz"]
    assert list(tmp_path.iterdir()) == []


def test_a_service_without_the_file_or_in_trouble_is_silent(server: Server, tmp_path: Path) -> None:
    """The reason is told, and is no error."""
    assert "404" in found(tmp_path, server, quick_transport()).service_reason
    server.serve_year("10637", 2020, Served(status=500))
    broken = found(tmp_path, server, quick_transport())
    assert broken.service == "silent"
    assert "500" in broken.service_reason


def test_an_address_that_is_none_is_told(tmp_path: Path) -> None:
    health = examine(
        tmp_path,
        now=NOW,
        transport=quick_transport(),
        environment={"MS_HOURLY_ENDPOINT": "nowhere"},
        no_pictures="",
    )
    assert health.service == "silent"
    assert "MS_HOURLY_ENDPOINT" in health.service_reason


def test_offline_nothing_is_asked(server: Server, tmp_path: Path) -> None:
    assert found(tmp_path, server, None).service == "not-asked"
    assert server.asked == []


def test_what_is_stored_is_counted_and_damage_is_told(tmp_path: Path) -> None:
    """A damaged manifest is a fault, and the rest is counted all the same."""
    place = ImportedPlace(name="porch", latitude=50.0, longitude=8.6)
    record = make_hourly([10.0] * 48)
    import_record(tmp_path, "porch", record, place=place, from_where="invented", now=NOW)
    damaged = tmp_path / "hourly" / "10637"
    damaged.mkdir(parents=True)
    (damaged / "manifest.json").write_text("{")
    stored = found(tmp_path, None, None).stored
    assert stored.imported == ("porch",)
    assert (stored.stations, stored.years, stored.station_list) == (0, 0, None)
    assert ["10637" in fault for fault in stored.faults] == [True]
