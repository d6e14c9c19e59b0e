"""The stored form: what goes in comes out, older files too, and damage is noticed."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from suitability.errors import StoreError
from suitability.weather.record import Origin, Record
from suitability.weather.stored import MAGIC, decode_record, encode_record

DATA = Path(__file__).parent.parent / "data"
TEMPERATURES = st.one_of(
    st.just(float("nan")),
    st.integers(-900, 600).map(lambda tenth: tenth / 10),
    st.floats(-90.0, 60.0),
)


def record_of(values: list[float]) -> Record:
    """A record of these temperatures, with rain of the same shape."""
    temp_c = np.array(values)
    origin = np.where(np.isnan(temp_c), Origin.MISSING, Origin.OBSERVED).astype(np.uint8)
    return Record(start_hour=12, temp_c=temp_c, origin=origin, prcp_mm=np.abs(temp_c), notes=("a",))


def header_of(data: bytes) -> dict[str, object]:
    """The header of stored bytes."""
    length = int.from_bytes(data[8:12], "big")
    header: dict[str, object] = json.loads(data[12 : 12 + length])
    return header


@given(st.lists(TEMPERATURES, min_size=1, max_size=60))
def test_values_come_back_as_they_were(values: list[float]) -> None:
    """Tenths, other decimals and gaps (to 1e-8 °C), and the rest of the record with them."""
    record = record_of(values)
    back = decode_record(encode_record(record))
    np.testing.assert_allclose(back.temp_c, record.temp_c, rtol=0, atol=1e-8)
    np.testing.assert_array_equal(np.isnan(back.temp_c), np.isnan(record.temp_c))
    np.testing.assert_array_equal(back.origin, record.origin)
    assert (back.start_hour, back.notes, back.rhum_pct) == (12, ("a",), None)


@pytest.mark.parametrize("path", sorted(DATA.glob("*.hourly")), ids=lambda path: path.stem)
def test_files_of_the_older_form_are_read_and_kept_alike(path: Path) -> None:
    """Real records, packed as differences with the long checksum, are the same in the new form."""
    data = path.read_bytes()
    assert "sha256" in header_of(data)
    old = decode_record(data)
    written = encode_record(old)
    assert "crc32" in header_of(written)
    new = decode_record(written)
    np.testing.assert_array_equal(new.temp_c, old.temp_c)
    np.testing.assert_array_equal(new.origin, old.origin)
    assert new.licence == old.licence


@pytest.mark.parametrize("stem", ["manaus", "new form"])
def test_a_changed_byte_of_the_columns_is_noticed(stem: str) -> None:
    """In both forms, wherever it is."""
    data = (DATA / "manaus.hourly").read_bytes()
    if stem == "new form":
        data = encode_record(decode_record(data))
    body = 12 + int.from_bytes(data[8:12], "big")
    for at in np.linspace(body, len(data) - 1, 9).astype(int).tolist():
        broken = bytearray(data)
        broken[at] ^= 4
        with pytest.raises(StoreError, match="checksum"):
            decode_record(bytes(broken))
    with pytest.raises(StoreError, match="checksum"):
        decode_record(data[:-1])
    with pytest.raises(StoreError, match="not a stored record"):
        decode_record(b"x" + data[1:])


def test_a_header_without_a_checksum_is_damage() -> None:
    """Nothing is taken on trust."""
    text = json.dumps({"start_hour": 1, "columns": []}).encode()
    with pytest.raises(StoreError, match="damaged"):
        decode_record(MAGIC + len(text).to_bytes(4, "big") + text)


@pytest.mark.parametrize("step", [0, -1, 25, "1", None])
def test_a_step_that_no_record_has_is_damage(step: object) -> None:
    """What is reckoned with it later would fail."""
    data = encode_record(record_of([1.0, 2.0]))
    text = json.dumps(header_of(data) | {"step_hours": step}).encode()
    body = data[12 + int.from_bytes(data[8:12], "big") :]
    with pytest.raises(StoreError, match="damaged"):
        decode_record(MAGIC + len(text).to_bytes(4, "big") + text + body)
