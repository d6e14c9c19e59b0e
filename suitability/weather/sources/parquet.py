"""Hourly records in Parquet: a table with the columns of our CSV form."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suitability.errors import RecordError
from suitability.units import TemperatureUnit
from suitability.weather.record import FloatArray
from suitability.weather.sources.axis import FileRecord, understood_record
from suitability.weather.sources.readings import Readings, exact_values
from suitability.weather.sources.textfile import check_readable, parse_seconds

KNOWN = ("temp", "rhum", "prcp", "dwpt")


def read_parquet(path: Path, unit: TemperatureUnit = TemperatureUnit.C) -> FileRecord:
    """
    The hourly record in a Parquet table, with what was understood.

    Columns are those of the CSV form: `time` (a timestamp, or its text) and `temp`, with optional
    `rhum`, `dwpt`, `prcp`, whatever their case and order. Timestamps with a zone are converted,
    without one they are UTC. Nulls are missing values. Single-precision values are kept to four
    decimals, which is what their author wrote. `unit` is that of temperature and dew point.

    Raises
    ------
    RecordError
        pyarrow is not installed, the file cannot be read, or its table is not of this form.
    """
    table = _table(path)
    import pyarrow as pa  # noqa: PLC0415  (loaded by now)

    try:
        return understood_record(_readings(table, path.name), unit)
    except UnicodeDecodeError as reason:
        raise RecordError(
            f"{path.name}: its names or texts are not UTF-8; write the table again."
        ) from reason
    except pa.ArrowException as reason:
        why = " ".join(str(reason).split())[:200]
        raise RecordError(
            f"{path.name}: the table cannot be read ({why}); write it again."
        ) from reason


def _readings(table: Any, file: str) -> Readings:
    """The readings of a table."""
    own: dict[str, str] = {}
    for name in table.column_names:
        key = name.strip().casefold()
        if key in own and key in {"time", *KNOWN}:
            raise RecordError(f"{file}: the column {key} is named twice; delete or rename one.")
        own[key] = name
    if "time" not in own or "temp" not in own:
        found = ", ".join(table.column_names) or "none"
        raise RecordError(
            f"{file}: found columns {found}; expected time and temp with optional rhum, dwpt, "
            "prcp. Rename the columns."
        )
    if table.num_rows == 0:
        raise RecordError(f"{file}: the table has no rows.")
    used = [name for name in KNOWN if name in own and not (name == "dwpt" and "rhum" in own)]
    numbers = {name: _numbers(table.column(own[name]), name, file) for name in used}
    ignored = [name for key, name in own.items() if key not in {"time", *KNOWN}]
    return Readings(
        file=file,
        seconds=_seconds(table.column(own["time"]), file),
        temp_c=numbers["temp"],
        lines=np.arange(1, table.num_rows + 1),
        rhum_pct=numbers.get("rhum"),
        prcp_mm=numbers.get("prcp"),
        dwpt_c=numbers.get("dwpt"),
        row_word="row",
        notes=(f"Columns not used: {', '.join(ignored)}.",) if ignored else (),
        named=tuple((name, own[name]) for name in ("time", *used)),
        zone=_zone(table.column(own["time"]).type),
    )


def _table(path: Path) -> Any:
    """The whole table."""
    try:
        import pyarrow as pa  # noqa: PLC0415  (an extra of some 40 MB, for this one source)
        import pyarrow.parquet as pq  # noqa: PLC0415
    except ModuleNotFoundError as reason:
        raise RecordError(
            f"{path.name}: reading Parquet needs the package pyarrow; install it with "
            "pip install pyarrow, or save the table as CSV."
        ) from reason
    check_readable(path)
    try:
        return pq.read_table(path)
    except (pa.ArrowException, OSError) as reason:
        raise RecordError(
            f"{path.name}: this is no whole Parquet file; copy or write it again."
        ) from reason


def _zone(kind: Any) -> str:
    zone = getattr(kind, "tz", None)
    return "UTC" if zone in {None, "UTC"} else f"{zone}, converted to UTC"


def _seconds(column: Any, file: str) -> NDArray[np.int64]:
    """Seconds from 1970-01-01 00:00 UTC; Arrow keeps zoned timestamps in UTC."""
    import pyarrow as pa  # noqa: PLC0415  (already loaded by `_table`)

    if column.null_count:
        row = column.is_null().to_numpy().argmax() + 1
        raise RecordError(f"{file}, row {row}: the time is empty. Mend or delete the row.")
    if pa.types.is_timestamp(column.type):
        moments = column.cast(pa.timestamp("s", column.type.tz), safe=False)
        return np.asarray(moments.cast(pa.int64()).to_numpy(), np.int64)
    if pa.types.is_string(column.type) or pa.types.is_large_string(column.type):
        texts = column.to_pylist()
        found = [parse_seconds(text, file, row, "row") for row, text in enumerate(texts, 1)]
        return np.floor(found).astype(np.int64)
    raise RecordError(
        f"{file}: the column time is of type {column.type}; expected timestamps, or text such as "
        "2024-01-31 18:00."
    )


def _numbers(column: Any, name: str, file: str) -> FloatArray:
    """Values of a column, nan for null."""
    import pyarrow as pa  # noqa: PLC0415  (already loaded by `_table`)

    kind = column.type
    if not (pa.types.is_floating(kind) or pa.types.is_integer(kind) or pa.types.is_decimal(kind)):
        raise RecordError(f"{file}: the column {name} is of type {kind}; expected numbers.")
    if not pa.types.is_floating(kind):
        column = column.cast(pa.float64())
    values = column.to_numpy()
    return exact_values(np.asarray(values))
