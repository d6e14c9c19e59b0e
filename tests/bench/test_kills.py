"""Programs killed at a few points lose nothing, in compact form."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from .kills import JOBS, Job, fetching, kill_all, prepare, running_service, state_of, what_is_wrong

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, str]]:
    """A store and what else the commands need, and the address of a service."""
    folder = tmp_path_factory.mktemp("kills") / "base"
    with running_service() as address:
        prepare(folder, address)
        yield folder, address


@pytest.mark.filterwarnings("ignore:This process:DeprecationWarning")
@pytest.mark.parametrize("job", JOBS, ids=lambda job: job.name)
def test_a_killed_program_loses_nothing_and_completes_the_next_time(
    base: tuple[Path, str], tmp_path: Path, job: Job
) -> None:
    """Two kills of each command, by what it touches and by time; the bench tries hundreds."""
    told = kill_all(job, 2, base[0], tmp_path / "work", base[1])
    assert (told.kills, told.wrong) == (2, [])


def test_what_is_lost_would_be_noticed(base: tuple[Path, str]) -> None:
    """A year that no longer reads, or that is another."""
    folder, _ = base
    assert fetching(folder)[0] == "weather"
    before = state_of(folder)
    assert what_is_wrong(folder, before, before) == ([], False)
    other = before | {"10637 2020": "another", "10637 2022": "one more"}
    assert what_is_wrong(folder, other, other)[0] == [
        "10637 2020 is neither as before nor as after",
        "10637 2022 is neither as before nor as after",
    ]
    (kept,) = (folder / "weather" / "hourly" / "NEXT1").glob("2020-*.hours")
    data = kept.read_bytes()
    kept.write_bytes(data[:-1])
    (wrong,), _ = what_is_wrong(folder, before, before)
    assert wrong.startswith("does not read: ")
    kept.write_bytes(data)
