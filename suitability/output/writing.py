"""Results on their way out: files whole or not at all, with one sentence where that cannot be."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO

from suitability.errors import OutputError

STANDARD_OUTPUT = "-"


def check_target(target: str | Path | None) -> None:
    """
    Nothing if results can be expected to be written there; called before a long computation.

    None and "-" (standard output) always can.

    Raises
    ------
    OutputError
        The folder does not exist or refuses new files, or the path is a folder or write-protected.
    """
    if target is None or str(target) == STANDARD_OUTPUT:
        return
    path = _followed(target)
    folder = path.parent
    try:
        exists = path.exists()
    except OSError as reason:  # a name too long, a folder that may not be looked into
        raise _refused(target, reason) from reason
    if not str(target) or path.is_dir():
        raise OutputError(f"{target}: is a folder; give the name of a file in it.")
    if not folder.exists():
        raise OutputError(f"{target}: the folder {folder} does not exist; create it first.")
    if not folder.is_dir():
        raise OutputError(f"{target}: {folder} is a file, not a folder; choose another place.")
    if exists and not os.access(path, os.W_OK):
        raise OutputError(f"{target}: is write-protected; choose another name.")
    if not _is_special(path) and not os.access(folder, os.W_OK | os.X_OK):
        raise OutputError(f"{target}: no file can be written in {folder}; choose another folder.")


def write_text(target: str | Path, text: str) -> None:
    """
    The text at its place as UTF-8, whole or not at all; "-" is standard output.

    Raises
    ------
    OutputError
        As `write_bytes`.
    """
    if str(target) == STANDARD_OUTPUT:
        sys.stdout.write(text)
    else:
        write_bytes(target, text.encode("utf-8", errors="replace"))


def write_bytes(target: str | Path, data: bytes) -> None:
    """
    The bytes at their place, whole or not at all; a link stays a link to its renewed file.

    Raises
    ------
    OutputError
        They cannot be written; what stood there before still does.
    """
    write_with(target, lambda file: file.write(data))


def write_with(target: str | Path, write: Callable[[BinaryIO], object]) -> None:
    """
    What a function writes into a file that is open, at its place whole or not at all.

    Raises
    ------
    OutputError
        As `write_bytes`.
    """
    check_target(target)
    path = _followed(target)
    try:
        if _is_special(path):
            with path.open("wb") as file:
                write(file)
        else:
            _replace(path, write)
    except OSError as reason:
        raise _refused(target, reason) from reason


def _refused(target: str | Path, reason: OSError) -> OutputError:
    """The one sentence that tells why the system refused."""
    why = reason.strerror or type(reason).__name__
    return OutputError(
        f"{target}: cannot be written ({why}); free the disk or choose another place."
    )


def _followed(target: str | Path) -> Path:
    """Where the bytes really go: links are followed."""
    try:
        return Path(os.path.realpath(target))
    except ValueError as reason:  # a zero byte in the name
        raise OutputError(f"{str(target)!r}: is no name of a file; choose another.") from reason


def _is_special(path: Path) -> bool:
    """A device or a pipe: written straight, for it must not be replaced by a file."""
    return path.exists() and not path.is_file()


def _replace(path: Path, write: Callable[[BinaryIO], object]) -> None:
    """Write beside the file, then rename onto it."""
    temporary = path.with_name(f".suitability-{os.getpid()}-{path.name[:60]}.part")
    try:
        handle = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o666)
        with os.fdopen(handle, "wb") as file:
            write(file)
            file.flush()
            os.fsync(file.fileno())
        if path.exists():
            shutil.copymode(path, temporary)
        temporary.replace(path)
    finally:  # where anything stopped it, Ctrl-C too; after the renaming there is nothing to find
        with suppress(OSError):
            temporary.unlink()
