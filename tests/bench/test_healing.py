"""A healthy service cures the faults of a sick one by the next day, in compact form."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.weather.conftest import NOW
from tests.weather.server import running_server, stations_database

from .healing import STATION, _path, cases, packed, rows_of, try_one, warmer

pytestmark = pytest.mark.slow

FEW = {"status 503", "cut", "one byte wrong", "halved", "of a model", "in °F", "of another place"}


def test_faults_are_cured_the_next_day(tmp_path: Path) -> None:
    """Some of those that the bench tries, of one year and of the list, kept or not."""
    database = stations_database(tmp_path / "a.db", [STATION])
    some = [
        faulty
        for name, where, faulty in cases(database, database, FEW)
        if name in FEW and where in {"one year", "the list"}
    ]
    assert len(some) == 10
    with running_server() as server:
        for number, faulty in enumerate(some):
            for kept in (False, True):
                folder = tmp_path / f"{number} {kept}"
                assert try_one(server, folder, database, faulty, kept=kept)[1] == []


def test_a_wrong_hour_and_what_is_not_cured_would_be_noticed(tmp_path: Path) -> None:
    """A degree more in one year is found by nothing but the truth, and stays for months."""
    database = stations_database(tmp_path / "a.db", [STATION])
    faulty = {_path(2022): warmer(lambda temp: temp + 1)(rows_of(2022, NOW))}
    with running_server() as server:
        _, wrong = try_one(server, tmp_path / "store", database, faulty, kept=False)
    assert wrong == ["an hour of the answer is wrong", "not cured the next day"]
    assert packed("a") == packed(b"a")
