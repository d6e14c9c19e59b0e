"""
What every reader does with files that are wrong: a sentence, or a record; never a traceback.

    python -m tests.bench.mutations [INPUTS]

Each input is a good file with one to four random changes, the same for the same number. Batches run
in processes of their own, so that a crash of a library, a hang or the memory of one is noticed.
"""

from __future__ import annotations

import gzip
import json
import os
import random
import re
import resource
import signal
import subprocess
import sys
import tempfile
import time
import traceback
import warnings
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import astuple, dataclass, field
from pathlib import Path
from typing import NoReturn

from suitability.errors import SuitabilityError

from .broken_files import FORMS, Form

INPUTS = 100_000
BATCH = 2000
LONGEST_S = 10  # for one input; more is a hang
MOST_MB = 500
NASTY: tuple[bytes, ...] = (
    *(
        b"",
        b"\0",
        b'"',
        b"'",
        b",",
        b";",
        b"\n",
        b"\r",
        b"\r\n\r\n",
        b"\t",
        b"\xef\xbb\xbf",
        b"\xff",
    ),
    *(b"NaN", b"inf", b"-inf", b"1e308", b"1e400", b"-0", b"0", b"-1", b"9" * 20, b"9" * 400),
    *(b"99.9", b"-9999", b"32767", b"2147483648", b"9223372036854775808", b"1_0", b"0x10", b"1,5"),
    *(b"0000", b"0001", b"9999", b"10000", b"20240000000000000000", b"-2024", b"98", b"00"),
    *(b"0001-01-01 00:00+14:00", b"9999-12-31 23:59-14:00", b"2024-02-30 00:00", b"24:00", b"60"),
    *(b"13/13/2024", b"31.12.98 23:59", b"+99:99", b"Z", b"T", b"AM", b"null", b"None", b"true"),
    *(b"a" * 200, b"x" * 140_000, "°".encode(), "٣".encode(), "\u2028".encode(), b"{", b"[", b"}"),
)
NUMBER = re.compile(rb"\d+")


def change(data: bytes, chance: random.Random) -> bytes:
    """The bytes with one random change."""
    at = chance.randrange(len(data) + 1)
    size = chance.choice((1, 2, 8, 60, 1000))
    kinds: tuple[Callable[[], bytes], ...] = (
        lambda: data[:at] + bytes([chance.randrange(256)]) + data[at + 1 :],
        lambda: data[:at] + data[at + size :],
        lambda: data[:at] + data[at : at + size] * 2 + data[at + size :],
        lambda: data[:at] + chance.randbytes(size) + data[at:],
        lambda: data[:at],
        lambda: data[:at] + chance.choice(NASTY) + data[at:],
        lambda: _other_number(data, at, chance),
        lambda: _other_number(data, at, chance),
        lambda: _other_lines(data, chance),
    )
    return chance.choice(kinds)()


def _other_number(data: bytes, at: int, chance: random.Random) -> bytes:
    """The bytes with the next number replaced by something else."""
    found = NUMBER.search(data, at)
    if found is None:
        return data[:at]
    return data[: found.start()] + chance.choice(NASTY) + data[found.end() :]


def _other_lines(data: bytes, chance: random.Random) -> bytes:
    """The bytes with two lines exchanged, or one of them gone or doubled."""
    lines = data.split(b"\n")
    one, other = chance.randrange(len(lines)), chance.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[one]
    return b"\n".join(lines[:one] + lines[one + chance.randrange(2) :] + lines[other : other + 1])


def broken(form: Form, number: int) -> bytes:
    """The good file of a form with one to four changes; the same for the same number."""
    chance = random.Random(f"{form.name} {number}")  # noqa: S311  (guards nothing)
    data = chance.choice(form.good)
    if form.shake is not None and chance.random() < 0.5:
        return form.shake(data, chance)
    inner = gzip.decompress(data) if form.packed else data
    packed = form.packed and chance.random() < 0.8
    if packed:
        data = inner
    for _ in range(chance.choice((1, 1, 2, 4))):
        data = change(data, chance)
    return gzip.compress(data, 1, mtime=0) if packed else data


@dataclass(slots=True)
class Found:
    """What a batch, or all of them, came to."""

    tried: int = 0
    read: int = 0
    refused: int = 0
    wrong: list[str] = field(default_factory=list)
    most_mb: float = 0.0
    longest_s: float = 0.0

    def add(self, other: Found) -> None:
        """Count another batch."""
        self.tried += other.tried
        self.read += other.read
        self.refused += other.refused
        self.wrong += other.wrong
        self.most_mb = max(self.most_mb, other.most_mb)
        self.longest_s = max(self.longest_s, other.longest_s)


class _HangError(BaseException):
    """An input took too long; no reader catches this."""


def _hang(*_: object) -> NoReturn:
    raise _HangError


def _memory_mb() -> float:
    """The most that this process has held so far, MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


@dataclass(slots=True)
class _Watched:
    """A reader at work: whatever leaves it is noted, and none of it goes on but Ctrl-C."""

    name: str
    found: Found

    def __enter__(self) -> None:
        signal.alarm(LONGEST_S)

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, _: object
    ) -> bool:
        signal.alarm(0)
        if error is None:
            self.found.read += 1
        elif isinstance(error, SuitabilityError):
            self.found.refused += 1
            if len(str(error).strip().splitlines()) != 1:
                self._note(f"no one sentence: {str(error)[:300]!r}")
        elif isinstance(error, _HangError):
            self._note("hangs")
        else:
            last = traceback.extract_tb(error.__traceback__)[-1]
            self._note(f"{kind and kind.__name__}: {error!s:.200} ({last.name}, {last.line})")
        return kind is not KeyboardInterrupt

    def _note(self, what: str) -> None:
        self.found.wrong.append(f"{self.name}: {' '.join(what.split())}")


def try_one(form: Form, number: int, folder: Path, found: Found) -> None:
    """Let a form's reader have one broken file, and count what came of it."""
    found.tried += 1
    data = broken(form, number)
    before, start = _memory_mb(), time.monotonic()
    with _Watched(f"{form.name} {number}", found):
        form.read(data, folder)
    found.longest_s = max(found.longest_s, time.monotonic() - start)
    now = _memory_mb()
    found.most_mb = max(found.most_mb, now)
    if now > MOST_MB >= before:
        found.wrong.append(f"{form.name} {number}: {now:.0f} MB")


def try_batch(name: str, first: int, count: int, state: Path) -> None:
    """Try some inputs of a form; the state is written so that a crash is found."""
    warnings.simplefilter("error")
    signal.signal(signal.SIGALRM, _hang)
    form, found = FORMS[name], Found()
    with tempfile.TemporaryDirectory() as folder:
        for number in range(first, first + count):
            state.write_text(json.dumps([number, *astuple(found)]))
            try_one(form, number, Path(folder), found)
    state.write_text(json.dumps([first + count, *astuple(found)]))


def run_batch(name: str, first: int, count: int) -> Found:
    """A batch in a process of its own; after a crash the rest goes on in another."""
    total, last = Found(), first + count
    with tempfile.TemporaryDirectory() as folder:
        state = Path(folder) / "state"
        while first < last:
            command = [sys.executable, "-m", __spec__.name, name, str(first), str(last - first)]
            done = subprocess.run([*command, str(state)], check=False, capture_output=True)
            number, *plain = json.loads(state.read_text())
            total.add(Found(*plain))
            first = number + 1
            if done.returncode:
                words = done.stderr.decode(errors="replace").strip().splitlines()[-1:]
                total.wrong.append(f"{name} {number}: the process ended {done.returncode} {words}")
    return total


def run(inputs: int, names: Iterable[str] = tuple(FORMS)) -> dict[str, Found]:
    """What came of so many inputs, shared among the forms."""
    names = tuple(names)
    share = -(-inputs // len(names))
    jobs = [
        (name, first, min(BATCH, share - first))
        for name in names
        for first in range(0, share, BATCH)
    ]
    results: dict[str, Found] = {name: Found() for name in names}
    with ThreadPoolExecutor(max_workers=os.cpu_count()) as pool:
        for (name, *_), found in zip(
            jobs, pool.map(lambda job: run_batch(*job), jobs), strict=True
        ):
            results[name].add(found)
    return results


def report(results: dict[str, Found]) -> Found:
    """Print what came of each form, as Markdown; the sum."""
    total = Found()
    print("| form | inputs | read | refused in a sentence | wrong | most memory, MB | longest, s |")
    print("|---|---|---|---|---|---|---|")
    for name, found in results.items():
        total.add(found)
        _say(name, found)
    _say("**all**", total)
    for line in total.wrong:
        print(f"- {line}")
    return total


def _say(name: str, found: Found) -> None:
    print(
        f"| {name} | {found.tried} | {found.read} | {found.refused} | {len(found.wrong)} | "
        f"{found.most_mb:.0f} | {found.longest_s:.2f} |"
    )


def main(arguments: list[str]) -> None:
    """One batch, or all of them."""
    if len(arguments) == 4:
        name, first, count, state = arguments
        try_batch(name, int(first), int(count), Path(state))
        return
    names = [one for one in arguments if one in FORMS]
    numbers = [int(one) for one in arguments if one not in FORMS]
    total = report(run(numbers[0] if numbers else INPUTS, names or tuple(FORMS)))
    sys.exit(1 if total.wrong else 0)


if __name__ == "__main__":
    main(sys.argv[1:])
