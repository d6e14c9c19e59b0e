"""Rows of many places in one file, written as they come: CSV, JSON lines or Parquet."""

from __future__ import annotations

import csv
import io
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING

from suitability.errors import OutputError
from suitability.output.tablefiles import plain_cell
from suitability.output.writing import write_with

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from typing import BinaryIO

    import pyarrow as pa

    Rows = Iterator[Sequence[object]]

ENDINGS = (".csv", ".jsonl", ".parquet")
AT_ONCE = 500  # rows of a Parquet row group


def check_form(target: Path) -> None:
    """
    Nothing, if the file's ending names a form that can be written here.

    Raises
    ------
    OutputError
        It does not, or Parquet needs a package that is not installed.
    """
    if target.suffix.lower() not in ENDINGS:
        raise OutputError(f"--results {target}: name a file that ends in {', '.join(ENDINGS)}.")
    if target.suffix.lower() == ".parquet":
        try:
            import pyarrow.parquet  # noqa: F401, PLC0415
        except ImportError as reason:
            raise OutputError(
                f"--results {target}: Parquet needs the package pyarrow; install it with "
                '`pip install "suitability[files]"`, or name a .csv or .jsonl file.'
            ) from reason


def write_rows(target: Path, columns: Sequence[str], rows: Callable[[], Rows]) -> None:
    """
    The rows at their place, whole or not at all; few of them are held at once.

    Parameters
    ----------
    rows
        Begins them anew at each call: the type of a column is known only once all were seen.

    Raises
    ------
    OutputError
        They cannot be written.
    """
    forms = {".csv": _write_csv, ".jsonl": _write_lines, ".parquet": _write_parquet}
    write = forms[target.suffix.lower()]
    write_with(target, lambda file: write(file, columns, rows))


def _write_csv(file: BinaryIO, columns: Sequence[str], rows: Callable[[], Rows]) -> None:
    text = io.TextIOWrapper(file, "utf-8-sig", errors="replace", newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([plain_cell(value) for value in row] for row in rows())
    text.detach()  # flushed; the file is closed by who opened it


def _write_lines(file: BinaryIO, columns: Sequence[str], rows: Callable[[], Rows]) -> None:
    from msgspec.json import Encoder  # noqa: PLC0415  (quick; beside its use)

    encode = Encoder().encode
    file.writelines(encode(dict(zip(columns, row, strict=True))) + b"\n" for row in rows())


def _write_parquet(file: BinaryIO, columns: Sequence[str], rows: Callable[[], Rows]) -> None:
    import pyarrow as pa  # noqa: PLC0415
    from pyarrow import parquet  # noqa: PLC0415

    schema = pa.schema(list(zip(columns, _types(len(columns), rows()), strict=True)))
    left = rows()
    with parquet.ParquetWriter(file, schema, compression="zstd") as writer:
        while some := list(islice(left, AT_ONCE)):
            arrays = [
                pa.array(values, kind)
                for values, kind in zip(zip(*some, strict=True), schema.types, strict=True)
            ]
            writer.write_table(pa.Table.from_arrays(arrays, schema=schema))


def _types(number: int, rows: Rows) -> list[pa.DataType]:
    """Of each column the narrowest type that holds all its values; text where it has none."""
    import pyarrow as pa  # noqa: PLC0415

    found: list[set[type]] = [set() for _ in range(number)]
    for row in rows:
        for kinds, value in zip(found, row, strict=True):
            kinds.add(type(value))
    order = ((bool, pa.bool_()), (int, pa.int64()), (float, pa.float64()))

    def narrowest(kinds: set[type]) -> pa.DataType:
        held = kinds - {type(None)}
        if held == {int, float}:
            return pa.float64()
        return next((told for kind, told in order if held == {kind}), pa.string())

    return [narrowest(kinds) for kinds in found]
