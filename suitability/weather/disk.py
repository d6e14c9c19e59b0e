"""
Files of the store: written whole or not at all, one writer at a time, damage set aside.

What a later program wrote is neither damage nor ours to change: it is refused and left as it is.
"""

from __future__ import annotations

import itertools
import json
import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from suitability.errors import StoreError

FORM = 1  # of all that the store holds; raised when programs of before could misread it
LOCK_PATIENCE_S = 30.0  # a writer holds the lock for some milliseconds
LOCK_POLL_S = 0.01
_running = itertools.count()


class NewerStoreError(StoreError):
    """A file of the store was written in a form that only a later program knows."""

    def __init__(self, path: Path | str) -> None:
        super().__init__(
            f"{path}: a newer version of this program wrote this, in a form that this version does "
            "not know, so it is left as it is; update the program, or choose another folder with "
            "the environment variable SUITABILITY_HOME."
        )


def explain_disk(action: str, path: Path, reason: OSError) -> StoreError:
    """The one sentence that tells why the disk refused."""
    why = reason.strerror or type(reason).__name__
    return StoreError(
        f"{path}: cannot {action} the weather store ({why}); free or unlock the disk, or choose "
        "another folder with the environment variable SUITABILITY_HOME."
    )


@contextmanager
def hold_lock(folder: Path, patience_s: float = LOCK_PATIENCE_S) -> Iterator[None]:
    """
    The store's lock for writers; the system frees it when its holder dies.

    Raises
    ------
    StoreError
        The folder cannot be written, or another program held the lock for the whole patience.
    """
    path = folder / "lock"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o644)
    except OSError as reason:
        raise explain_disk("write to", path, reason) from reason
    try:
        deadline = time.monotonic() + patience_s
        while not _try_lock(handle):
            if time.monotonic() > deadline:
                raise StoreError(
                    f"{path}: another program has been writing to the weather store for "
                    f"{patience_s:g} s; wait for it to end and run this again."
                )
            time.sleep(LOCK_POLL_S)
        yield
    finally:
        os.close(handle)


if sys.platform == "win32":
    import msvcrt

    def _try_lock(handle: int) -> bool:
        """Whether the lock could be taken at once."""
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

else:
    import fcntl

    def _try_lock(handle: int) -> bool:
        """Whether the lock could be taken at once."""
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True


def write_atomically(path: Path, data: bytes) -> None:
    """
    The bytes at their place, whole or not at all.

    Raises
    ------
    StoreError
        The disk is full or cannot be written; the place is as it was.
    """
    temporary = path.with_name(f".{path.name}.{os.getpid()}-{next(_running)}.part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o644)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            temporary.replace(path)
        finally:  # where anything stopped it, Ctrl-C too; after the renaming nothing is found
            with suppress(OSError):
                temporary.unlink()
        _flush_folder(path.parent)
    except OSError as reason:
        raise explain_disk("write to", path, reason) from reason


def _flush_folder(folder: Path) -> None:
    """Make a rename last; not every file system lets a folder be flushed."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _aside(folder: Path, path: Path) -> Path:
    """Where a damaged file is set aside."""
    return folder / "damaged" / f"{path.parent.name}-{path.name}"


def set_aside(folder: Path, path: Path) -> str:
    """Move a damaged file out of the way; says in words what was done with it."""
    target = _aside(folder, path)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        path.replace(target)
    except OSError:
        return f"{path.name} of {path.parent.name} is damaged and was not used"
    return f"{path.name} of {path.parent.name} is damaged and was set aside in {target.parent}"


def say_damage(folder: Path, path: Path) -> str:
    """What happened to a file that reads as none: damage, in words; empty if there was none."""
    if os.path.lexists(path):
        return f"{path.name} of {path.parent.name} is damaged and was not used"
    aside = _aside(folder, path)
    if aside.exists():
        return f"{path.name} of {path.parent.name} is damaged and was set aside in {aside.parent}"
    return ""


def find_manifests(folder: Path) -> list[Path]:
    """
    Manifests in the folders below a folder, by name; none where it does not exist.

    Raises
    ------
    StoreError
        The folder may not be looked into.
    """
    try:
        return sorted(folder.glob("*/manifest.json"))
    except OSError as reason:
        raise explain_disk("look into", folder, reason) from reason


def read_json(folder: Path, path: Path) -> Any:
    """
    Plain values of a manifest, or None where there is none or a damaged one, now set aside.

    Raises
    ------
    NewerStoreError
        A later program wrote it; nothing is moved.
    StoreError
        It cannot be read.
    """
    try:
        text = path.read_bytes()
    except (FileNotFoundError, NotADirectoryError):
        return None
    except OSError as reason:
        raise explain_disk("read", path, reason) from reason
    try:
        plain = json.loads(text)
    except ValueError:
        set_aside(folder, path)
        return None
    form = plain.get("form") if isinstance(plain, dict) else None
    if isinstance(form, int) and form > FORM:
        raise NewerStoreError(path)
    return plain


def refuse_newer(folder: Path) -> None:
    """Raise NewerStoreError if a later program wrote any of the store's manifests."""
    try:
        paths = sorted(folder.glob("**/*.json"))
    except OSError as reason:
        raise explain_disk("look into", folder, reason) from reason
    for path in paths:
        if path.parent.name != "damaged":
            read_json(folder, path)


def write_json(path: Path, plain: dict[str, Any]) -> None:
    """Write plain values as JSON, atomically."""
    write_atomically(path, json.dumps(plain, indent=1, ensure_ascii=False).encode())
