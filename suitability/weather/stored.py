"""
The program's own stored form of a record: a small header and plain or packed columns.

Layout: 8 bytes of magic, 4 bytes of header length (big endian), a JSON header, then the columns one
after another. Columns whose values are all tenths are kept as plain int16 tenths, which open
quicker than packed ones; others are float64, and the origins bytes, compressed with zlib. The
header holds a checksum of all that follows it. Reading needs neither pandas nor xarray, and
runs no code from the file. Older files, whose tenths are compressed differences, are read as well,
and so are columns and fields that a later program adds: what is not known here is passed over.
"""

from __future__ import annotations

import json
import zlib
from typing import Any

import numpy as np
from msgspec import convert
from msgspec.structs import asdict

from suitability.errors import StoreError
from suitability.weather.disk import NewerStoreError
from suitability.weather.record import FlagCount, FloatArray, Record, Station

MAGIC = b"SUITHR01"
MAGIC_WORD = MAGIC[:6]  # the digits after it count the forms
COLUMNS = ("temp_c", "rhum_pct", "prcp_mm", "lowest_c")
PLAIN = ("start_hour", "step_hours", "source", "licence", "attribution")  # kept as they are
MISSING_TENTH = np.iinfo(np.int16).max


def _pack(values: FloatArray) -> tuple[str, bytes]:
    """Kind and bytes of one column."""
    missing = np.isnan(values)
    scaled = np.where(missing, 0.0, values) * 10.0
    tenths = np.rint(scaled)
    if np.all(np.abs(scaled - tenths) < 1e-7) and np.all(np.abs(tenths) < 16000):
        whole = tenths.astype(np.int16)
        whole[missing] = MISSING_TENTH
        return "plain tenths", whole.astype("<i2").tobytes()
    return "float64", zlib.compress(values.astype("<f8").tobytes(), 6)


def _unpack(kind: str, data: bytes) -> FloatArray:
    """Values of one column."""
    if kind == "float64":
        return np.frombuffer(zlib.decompress(data), "<f8").astype(np.float64)
    if kind == "plain tenths":
        tenths = np.frombuffer(data, "<i2")
    elif kind == "tenths":
        tenths = np.cumsum(np.frombuffer(zlib.decompress(data), "<i2"), dtype=np.int16)
    else:
        raise NewerStoreError("a column of a stored record")
    values = tenths / 10.0
    values[tenths == MISSING_TENTH] = np.nan
    return values


def encode_record(record: Record) -> bytes:
    """The record as bytes that `decode_record` reads back, value for value."""
    columns: list[dict[str, Any]] = []
    body = b""
    for name in COLUMNS:
        values = getattr(record, name)
        if values is not None:
            kind, data = _pack(values)
            columns.append({"name": name, "kind": kind, "bytes": len(data)})
            body += data
    origin = zlib.compress(record.origin.tobytes(), 6)
    columns.append({"name": "origin", "kind": "uint8", "bytes": len(origin)})
    body += origin
    header = {
        **{name: getattr(record, name) for name in PLAIN},
        "hours": record.temp_c.size,
        "station": None if record.station is None else asdict(record.station),
        "flags": [asdict(flag) for flag in record.flags],
        "notes": list(record.notes),
        "minimum_allowance_c": record.minimum_allowance_c,
        "columns": columns,
        "crc32": zlib.crc32(body),
    }
    text = json.dumps(header, sort_keys=True, ensure_ascii=False).encode()
    return MAGIC + len(text).to_bytes(4, "big") + text + body


def decode_record(data: bytes) -> Record:
    """
    The record in stored bytes.

    Raises
    ------
    NewerStoreError
        They are of a form that a later program writes.
    StoreError
        The bytes are not of this form, are cut, or do not match their checksum.
    """
    word, form = data[: len(MAGIC_WORD)], data[len(MAGIC_WORD) : len(MAGIC)]
    if word == MAGIC_WORD and form.isdigit() and form > MAGIC[-2:]:
        raise NewerStoreError("a stored record")
    if data[: len(MAGIC)] != MAGIC:
        raise StoreError("not a stored record of this program")
    text_at = len(MAGIC) + 4
    length = int.from_bytes(data[len(MAGIC) : text_at], "big")
    body = data[text_at + length :]
    try:
        header = json.loads(data[text_at : text_at + length])
        if not _matches(header, body):
            raise StoreError("the stored record is damaged: its checksum does not match")
        return _record_of(header, body)
    except (ValueError, KeyError, TypeError, zlib.error) as reason:
        raise StoreError(f"the stored record is damaged: {reason}") from reason


def _matches(header: dict[str, Any], body: bytes) -> bool:
    """Whether the checksum in the header is that of the body."""
    if "crc32" in header:
        return bool(zlib.crc32(body) == header["crc32"])
    from hashlib import sha256  # noqa: PLC0415  (older files; loading it would slow all others)

    return bool(sha256(body).hexdigest() == header["sha256"])


def _record_of(header: dict[str, Any], body: bytes) -> Record:
    """The record that a header and a checked body describe."""
    values: dict[str, Any] = {}
    at = 0
    for column in header["columns"]:
        part = body[at : at + column["bytes"]]
        at += column["bytes"]
        if column["name"] == "origin":
            values["origin"] = np.frombuffer(zlib.decompress(part), np.uint8).copy()
        elif column["name"] in COLUMNS:
            values[column["name"]] = _unpack(column["kind"], part)
    station = header["station"]
    if not 1 <= header["step_hours"] <= 24:
        raise ValueError(f"its step is {header['step_hours']} h")
    return Record(
        **{name: header[name] for name in PLAIN},
        station=None if station is None else convert(station, Station),
        flags=convert(header["flags"], tuple[FlagCount, ...]),
        notes=tuple(header["notes"]),
        minimum_allowance_c=header.get("minimum_allowance_c"),  # older files have none
        **values,
    )
