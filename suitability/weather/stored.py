"""
The program's own stored form of a record: a small header and compressed columns.

Layout: 8 bytes of magic, 4 bytes of header length (big endian), a JSON header, then the columns one
after another, each compressed with zlib. Columns whose values are all tenths are kept as
hour-to-hour differences of int16 tenths, others as float64; the header holds a checksum of all that
follows it. Reading needs neither pandas nor xarray, and runs no code from the file.
"""

from __future__ import annotations

import hashlib
import json
import zlib
from dataclasses import asdict
from typing import Any

import numpy as np

from suitability.errors import StoreError
from suitability.weather.record import FlagCount, FloatArray, Record, Station

__all__ = ["MAGIC", "decode_record", "encode_record"]

MAGIC = b"SUITHR01"
MISSING_TENTH = np.iinfo(np.int16).max


def _pack(values: FloatArray) -> tuple[str, bytes]:
    """Kind and bytes of one column."""
    missing = np.isnan(values)
    scaled = np.where(missing, 0.0, values) * 10.0
    tenths = np.rint(scaled)
    if np.all(np.abs(scaled - tenths) < 1e-7) and np.all(np.abs(tenths) < 16000):
        whole = tenths.astype(np.int16)
        whole[missing] = MISSING_TENTH
        steps = np.diff(whole, prepend=np.int16(0))  # wraps around, and back when read
        return "tenths", zlib.compress(steps.astype("<i2").tobytes(), 6)
    return "float64", zlib.compress(values.astype("<f8").tobytes(), 6)


def _unpack(kind: str, data: bytes) -> FloatArray:
    """Values of one column."""
    raw = zlib.decompress(data)
    if kind == "float64":
        return np.frombuffer(raw, "<f8").astype(np.float64)
    tenths = np.cumsum(np.frombuffer(raw, "<i2"), dtype=np.int16)
    values = tenths / 10.0
    values[tenths == MISSING_TENTH] = np.nan
    return values


def encode_record(record: Record) -> bytes:
    """The record as bytes that `decode_record` reads back, value for value."""
    columns: list[dict[str, Any]] = []
    body = b""
    for name in ("temp_c", "rhum_pct", "prcp_mm"):
        values = getattr(record, name)
        if values is not None:
            kind, data = _pack(values)
            columns.append({"name": name, "kind": kind, "bytes": len(data)})
            body += data
    origin = zlib.compress(record.origin.tobytes(), 6)
    columns.append({"name": "origin", "kind": "uint8", "bytes": len(origin)})
    body += origin
    header = {
        "start_hour": record.start_hour,
        "hours": record.temp_c.size,
        "step_hours": record.step_hours,
        "source": record.source,
        "licence": record.licence,
        "attribution": record.attribution,
        "station": None if record.station is None else asdict(record.station),
        "flags": [asdict(flag) for flag in record.flags],
        "notes": list(record.notes),
        "columns": columns,
        "sha256": hashlib.sha256(body).hexdigest(),
    }
    text = json.dumps(header, sort_keys=True, ensure_ascii=False).encode()
    return MAGIC + len(text).to_bytes(4, "big") + text + body


def decode_record(data: bytes) -> Record:
    """
    The record in stored bytes.

    Raises
    ------
    StoreError
        The bytes are not of this form, are cut, or do not match their checksum.
    """
    if data[: len(MAGIC)] != MAGIC:
        raise StoreError("not a stored record of this program")
    text_at = len(MAGIC) + 4
    length = int.from_bytes(data[len(MAGIC) : text_at], "big")
    body = data[text_at + length :]
    try:
        header = json.loads(data[text_at : text_at + length])
        if hashlib.sha256(body).hexdigest() != header["sha256"]:
            raise StoreError("the stored record is damaged: its checksum does not match")
        return _record_of(header, body)
    except (ValueError, KeyError, TypeError, zlib.error) as reason:
        raise StoreError(f"the stored record is damaged: {reason}") from reason


def _record_of(header: dict[str, Any], body: bytes) -> Record:
    """The record that a header and a checked body describe."""
    values: dict[str, Any] = {}
    at = 0
    for column in header["columns"]:
        part = body[at : at + column["bytes"]]
        at += column["bytes"]
        if column["kind"] == "uint8":
            values[column["name"]] = np.frombuffer(zlib.decompress(part), np.uint8).copy()
        else:
            values[column["name"]] = _unpack(column["kind"], part)
    station = header["station"]
    return Record(
        start_hour=header["start_hour"],
        step_hours=header["step_hours"],
        source=header["source"],
        licence=header["licence"],
        attribution=header["attribution"],
        station=None if station is None else Station(**station),
        flags=tuple(FlagCount(**flag) for flag in header["flags"]),
        notes=tuple(header["notes"]),
        **values,
    )
