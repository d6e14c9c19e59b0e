"""
A contender in a process of its own: the limits timed beside it, and its memory.

    python -m tests.bench.speed.apart WORK CONTENDER FOLDER
"""

from __future__ import annotations

import resource
import statistics
import subprocess
import sys
from pathlib import Path

import numpy as np
from msgspec import json

from .contest import LIMIT, Found, Row, Setting, Work, check_agreement, row_of, timed

LIMIT_ROUNDS = 5


def _told(name: str) -> float | None:
    """MB that the system tells of this process; None where it does not."""
    status = Path("/proc/self/status")
    if not status.exists():
        return None
    (line,) = (one for one in status.read_text().splitlines() if one.startswith(f"{name}:"))
    return float(line.split()[1]) / 1024


def peak_mb() -> float:
    """
    Most memory that this process held, MB.

    `ru_maxrss` would hold what the process that started it had too; where no `/proc` tells, it is
    taken all the same.
    """
    found = _told("VmHWM")
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024 if found is None else found


def begin_peak() -> float:
    """MB held now, from which the peak is counted anew where the system can."""
    mark = Path("/proc/self/clear_refs")
    if mark.exists():
        mark.write_text("5")
    return _told("VmRSS") or peak_mb()


def race_apart(work: Work, setting: Setting) -> tuple[Row, ...]:
    """One process after the other; the first that is compared says what is right."""
    rows: list[Row] = []
    ours: Found | None = None
    for one in work.contenders:
        if one.missing():
            rows.append(row_of(one, (), None, None))
            continue
        command = [sys.executable, "-m", __name__, work.key, one.name, str(setting.folder)]
        done = subprocess.run(command, check=False, capture_output=True)
        if done.returncode:
            raise RuntimeError(f"{work.key} {one.name}: {done.stderr.decode()[-2000:]}")
        rows.append(json.decode(done.stdout, type=Row))
        if one.result is not None:
            with np.load(_results(setting)) as file:
                found = dict(file)
            ours = ours or found
            check_agreement(one.name, found, ours, one)
    return tuple(rows)


def _results(setting: Setting) -> Path:
    return setting.folder / "result.npz"


def measure(work: Work, small: Work, name: str, setting: Setting) -> Row:
    """One contender in this process, after a small run that loads what it needs."""
    (one,) = (each for each in work.contenders if each.name == name)
    (first,) = (each for each in small.contenders if each.name == name)
    first.prepare()()
    limits = [each for each in work.contenders if each.role == LIMIT]
    reads = [each.prepare() for each in limits]
    run = one.prepare()
    limit_s = [[timed(read)[0] for _ in range(LIMIT_ROUNDS)] for read in reads]
    before = begin_peak()
    seconds, _, what = timed(run)
    extra = peak_mb() - before  # later runs find memory that this one leaves
    spent, size = [seconds / one.share], 0
    if one.result is not None:
        found = one.result(what)
        size = sum(array.nbytes for array in found.values())
        np.savez(_results(setting), allow_pickle=False, **found)
        del found
    del what
    for _ in range((one.rounds or work.rounds) - 1):
        for read, list_s in zip(reads, limit_s, strict=True):
            list_s.append(timed(read)[0])
        spent.append(timed(run)[0] / one.share)
    quickest = min((statistics.median(list_s) for list_s in limit_s), default=None)
    return row_of(one, tuple(spent), quickest, extra, size / 1e6)


def _find(setting: Setting, key: str) -> Work:
    from .works import works_of

    (found,) = (work for work in works_of(key.partition("-")[0], setting) if work.key == key)
    return found


def main(key: str, name: str, folder: str) -> None:
    """Print the row."""
    setting = Setting(folder=Path(folder))
    small = Setting(folder=Path(folder), quick=True)
    row = measure(_find(setting, key), _find(small, key), name, setting)
    sys.stdout.buffer.write(json.encode(row))


if __name__ == "__main__":
    main(*sys.argv[1:])
