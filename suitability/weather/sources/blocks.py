"""
Text files of weather in blocks of whole lines, so that a large one takes little memory.

The rows of a block are cut by the csv module. Of the readers of tables, pandas is no quicker here,
and fills a line that is cut short and cuts one that has too many cells, where this must name it: a
decimal comma is found by that. pyarrow is quicker, but an extra.
"""

from __future__ import annotations

import csv
import gzip
import io
import os
import zlib
from collections.abc import Callable, Iterator
from operator import itemgetter
from pathlib import Path

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.errors import RecordError
from suitability.weather.sources.textfile import check_text, is_gzip, unreadable

BLOCK_CHARACTERS = 4_000_000
MOST_OF_A_YEAR = 5 * BLOCK_CHARACTERS  # of hours or days; a typical year has two million
LONGEST_LINE = 1_000_000  # characters; no cell may have more than 131,072
MOST_BYTES = 2_000_000_000  # unpacked; sixty years of minutes take about 700 MB


class Block(Struct, frozen=True, kw_only=True):
    """Whole lines of a file, and the number of the first, counted from 1."""

    file: str
    line: int
    text: str


def read_blocks(path: Path, on_share: Callable[[float], None] | None = None) -> Iterator[Block]:
    """
    The lines of a text file, unpacked if gzip, with plain line ends and no byte order mark.

    Parameters
    ----------
    on_share
        Told which share of the file has been read, 0 to 1, after each block.

    Raises
    ------
    RecordError
        There is no such file, it cannot be read, is empty, cut, far too large, or no text.
    """
    try:
        raw = path.open("rb")
    except OSError as reason:
        raise unreadable(path, reason) from reason
    with raw:
        size = max(1, os.fstat(raw.fileno()).st_size)
        packed = is_gzip(raw.read(2))
        raw.seek(0)
        try:
            with gzip.GzipFile(fileobj=raw) if packed else raw as stream:
                check_text(stream.read(4096), path.name)
                stream.seek(0)
                lines = io.TextIOWrapper(stream, encoding="utf-8-sig", errors="replace")
                for block in _blocks(lines, path.name):
                    yield block
                    if on_share is not None and not raw.closed:
                        on_share(min(1.0, raw.tell() / size))
        except (EOFError, zlib.error, gzip.BadGzipFile) as reason:
            raise RecordError(
                f"{path.name}: the gzip file is cut short or damaged; copy or download it again."
            ) from reason
        except OSError as reason:
            raise unreadable(path, reason) from reason


def _blocks(lines: io.TextIOWrapper, file: str) -> Iterator[Block]:
    """Blocks that end with a line."""
    line = 1
    characters = 0
    while text := lines.read(BLOCK_CHARACTERS):
        if not text.endswith("\n"):
            text += lines.readline(LONGEST_LINE)
        characters += len(text)
        if characters > MOST_BYTES:
            raise RecordError(
                f"{file}: unpacks to more than {MOST_BYTES // 1_000_000} MB, which no record "
                "needs; give one place's record."
            )
        yield Block(file=file, line=line, text=text)
        line += text.count("\n")


def read_whole(path: Path) -> Block:
    """
    All lines of a file that holds a year, or some years of days.

    Raises
    ------
    RecordError
        As `read_blocks`; or it is far larger than such a file.
    """
    texts: list[str] = []
    for block in read_blocks(path):
        texts.append(block.text)
        if sum(map(len, texts)) > MOST_OF_A_YEAR:
            raise RecordError(
                f"{path.name}: holds over {MOST_OF_A_YEAR // 1_000_000} million characters, far "
                "more than such a file has; give the right one."
            )
    return Block(file=path.name, line=1, text="".join(texts))


def rows_of(
    block: Block, *, separator: str = ",", strict: bool = False
) -> tuple[list[list[str]], NDArray[np.int64]]:
    """
    Cells of each line that is not blank, and the numbers of these lines.

    Raises
    ------
    RecordError
        A cell runs over several lines or is longer than any, or, if `strict`, a quotation mark is
        out of place.
    """
    reader = csv.reader(io.StringIO(block.text, newline=""), delimiter=separator, strict=strict)
    try:
        rows = list(reader)
    except csv.Error as reason:
        raise RecordError(
            f"{block.file}, line {block.line + reader.line_num - 1}: the line is no CSV "
            f"({reason}). Look for a quotation mark that is never closed."
        ) from reason
    if reader.line_num != len(rows):
        at = next(at for at, row in enumerate(rows) if any("\n" in cell for cell in row))
        raise RecordError(
            f"{block.file}, line {block.line + at}: a cell runs over several lines. "
            "Look for a quotation mark that is never closed."
        )
    lines = np.arange(len(rows), dtype=np.int64) + block.line
    if _may_be_blank(rows):
        kept = [at for at, row in enumerate(rows) if any(map(str.strip, row))]
        rows, lines = [rows[at] for at in kept], lines[kept]
    return rows, lines


def _may_be_blank(rows: list[list[str]]) -> bool:
    """Whether the first cell of a row is missing, empty or blank; told quickly."""
    try:
        firsts = list(map(itemgetter(0), rows))
    except IndexError:
        return True
    return not all(firsts) or any(map(str.isspace, firsts))
