"""Which reader takes which file: one visible table of name endings."""

from __future__ import annotations

import os
from collections.abc import Callable
from importlib import import_module
from pathlib import Path

from msgspec.structs import replace

from suitability.errors import RecordError, StoreError
from suitability.steps import timed_step
from suitability.units import TemperatureUnit
from suitability.weather.disk import NewerStoreError
from suitability.weather.record import Record
from suitability.weather.sources.axis import FileRecord, judge_place, understood_as
from suitability.weather.sources.textfile import read_bytes
from suitability.weather.stored import decode_record


def read_stored(path: Path) -> FileRecord:
    """
    The record in a file of the program's own stored form.

    Raises
    ------
    RecordError
        The file cannot be read, or is damaged.
    """
    data = read_bytes(path)
    try:
        record = decode_record(data)
    except NewerStoreError as reason:
        raise RecordError(
            f"{path.name}: a newer version of this program made this file; update the program, or "
            "give the record as CSV."
        ) from reason
    except StoreError as reason:
        raise RecordError(f"{path.name}: {reason}; make the file anew.") from reason
    return understood_as(record, path.name, (("temp", "temp_c"),), "°C", "UTC")


# Ending, module beside this one, function: read when a file asks for it, so that the everyday path
# does not load the readers of other forms.
READERS: dict[str, tuple[str, str]] = {
    ".csv": ("csvfile", "read_csv"),
    ".csv.gz": ("csvfile", "read_csv"),
    ".hourly": ("files", "read_stored"),
    ".parquet": ("parquet", "read_parquet"),
    ".nc": ("netcdf", "read_netcdf"),
}
SAY_THEIR_UNIT = (".hourly", ".nc")
TEXTS = (".csv", ".csv.gz")
TYPICAL_YEARS = (".epw", ".tmy3")


def read_file(
    path: Path,
    *,
    longitude: float | None,
    latitude: float | None = None,
    unit: TemperatureUnit | None = None,
    on_share: Callable[[float], None] | None = None,
) -> FileRecord:
    """
    The record in a file of any form that is read, and what was understood.

    Parameters
    ----------
    longitude : degrees east, or None
        Where given, times are checked against the sun's.
    latitude : degrees north, or None
        Where given, months are checked against the warmth of the open air there.
    unit
        Of its temperatures; None: °C, or what the file itself declares.
    on_share
        Told which share of a text file has been read, 0 to 1.

    Raises
    ------
    RecordError
        The ending is not known, the file is a typical year, or it cannot be used; the message
        names the first bad line.
    """
    name = path.name.casefold()
    if name.endswith((".csv", *TYPICAL_YEARS)):
        from suitability.weather.sources import typical  # noqa: PLC0415  (not for other forms)

        if typical.is_typical_year(path):
            typical.refuse_risk(path, "dates, odds or a verdict")
    for ending, (module, function) in READERS.items():
        if name.endswith(ending):
            if unit is not None and ending in SAY_THEIR_UNIT:
                raise RecordError(
                    f"{path.name}: a file of this form says its degrees itself; leave them out."
                )
            read: Callable[..., FileRecord] = getattr(
                import_module(f"{__package__}.{module}"), function
            )
            told = {"on_share": on_share} if ending in TEXTS else {}
            with timed_step("Read %s", path.name):
                found = read(path, **told) if unit is None else read(path, unit, **told)
            record = judge_place(found.record, path.name, latitude=latitude, longitude=longitude)
            return replace(found, record=record)
    if os.path.isdir(path):  # noqa: PTH112  (a name that no disk takes is no folder either)
        raise RecordError(
            f"{path.name or path}: is a folder; name the one file that holds the record."
        )
    raise RecordError(
        f"{path.name}: the ending is not known; expected one of {', '.join(READERS)}, or a typical "
        "year in .epw or .tmy3. Rename the file if it holds one of these."
    )


def read_file_record(
    path: Path | str,
    *,
    longitude: float | None,
    latitude: float | None = None,
    unit: TemperatureUnit | None = None,
) -> Record:
    """
    The hourly record in a file, of any form that `docs/files.md` lists.

    Parameters
    ----------
    path
        Of the file.
    longitude : degrees east, or None
        Of the place, by which the sun tells whether its times are UTC; None: they are not tried.
    latitude : degrees north, or None
        Of the place, by which °F read as °C is noticed; None: it is not tried.
    unit
        Of its temperatures; None: °C, or what the file itself declares.

    Raises
    ------
    RecordError
        The file cannot be used; the sentence says where and why.
    """
    return read_file(Path(path), longitude=longitude, latitude=latitude, unit=unit).record
