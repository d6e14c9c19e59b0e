"""Daily minima of stations in the store, fetched into it where due; nothing fails without them."""

from __future__ import annotations

import json
import zlib
from collections.abc import Sequence
from contextlib import suppress
from datetime import timedelta
from pathlib import Path
from typing import Any

import numpy as np
from msgspec import convert, to_builtins
from msgspec.structs import replace

from suitability.errors import StoreError
from suitability.weather.disk import (
    FORM,
    NewerStoreError,
    hold_lock,
    read_json,
    set_aside,
    write_atomically,
)
from suitability.weather.manifest import YearEntry, YearStatus, is_due
from suitability.weather.minima import DailyMinima, DailyYear, compare_minima, lost_minima, say_miss
from suitability.weather.record import Record
from suitability.weather.sources.providers import Provider, join_credits, say_credits
from suitability.weather.station_years import FetchRequest
from suitability.weather.year_store import station_folder

FAILED_AGAIN = timedelta(days=1)  # nothing hangs on them: a failure is not asked again at once


def minima_path(folder: Path, identifier: str) -> Path:
    """Where the daily minima of a station are kept."""
    return station_folder(folder, identifier) / "minima.json"


def read_minima(folder: Path, identifier: str) -> tuple[DailyYear, ...]:
    """
    The kept years of daily minima; none where there are none, or damaged ones, now set aside.

    Raises
    ------
    NewerStoreError
        A later program wrote them.
    StoreError
        The folder cannot be read.
    """
    path = minima_path(folder, identifier)
    plain = read_json(folder, path)
    if plain is None:
        return ()
    try:
        if plain["crc32"] == _checksum(plain["years"]):
            return convert(plain["years"], tuple[DailyYear, ...])
    except (ValueError, KeyError, TypeError, AttributeError):
        pass  # damaged, as when the checksum differs
    set_aside(folder, path)
    return ()


def _checksum(years: Any) -> int:
    """Checksum of the years as plain values."""
    return zlib.crc32(json.dumps(years, sort_keys=True, separators=(",", ":")).encode())


def _write(folder: Path, identifier: str, new: Sequence[DailyYear]) -> None:
    """Put years beside the kept ones; StoreError if the store cannot be written."""
    with hold_lock(folder):
        there = bool(read_minima(folder, identifier))  # else none, or set aside just now
        before = read_json(folder, minima_path(folder, identifier)) if there else {}
        together = {one["year"]: one for one in before.get("years", ())}
        for one in new:
            fetched = one.fetched.isoformat(timespec="seconds")
            known = to_builtins(one) | {"fetched": fetched}
            together[one.year] = together.get(one.year, {}) | known
        years = [one for _, one in sorted(together.items())]
        plain = before | {"form": FORM, "crc32": _checksum(years), "years": years}
        text = json.dumps(plain, ensure_ascii=False, separators=(",", ":"))
        write_atomically(minima_path(folder, identifier), text.encode())


def fetch_minima(request: FetchRequest, identifier: str) -> tuple[DailyYear, ...]:
    """
    The kept years of daily minima, and those that are due fetched; never an error.

    A failure is asked for again after a day. What cannot be kept is used in memory.
    """
    try:
        kept = {one.year: one for one in read_minima(request.folder, identifier)}
    except NewerStoreError:
        raise
    except StoreError:
        kept = {}
    due = [year for year in request.years if _is_due(kept.get(year), request)]
    address = request.addresses().daily if due and request.transport is not None else ""
    if due and address and request.transport is not None:
        from suitability.weather.sources.daily import fetch_minima  # noqa: PLC0415  (network)

        if request.progress is not None:
            request.progress(0, len(due), f"{identifier}: daily minima")
        new = fetch_minima(
            identifier,
            due,
            address=address,
            transport=request.transport(),
            now=request.now,
            known=kept,
            hosts=request.addresses().hosts,
        )
        kept |= {one.year: one for one in new}
        with suppress(StoreError):  # the hours have told that the store cannot be written
            _write(request.folder, identifier, new)
    return tuple(one for _, one in sorted(kept.items()))


def _is_due(kept: DailyYear | None, request: FetchRequest) -> bool:
    """Whether a year is to be asked for."""
    if kept is None or request.refresh:
        return True
    if kept.status is YearStatus.FAILED and kept.fetched <= request.now:
        return request.now - kept.fetched >= FAILED_AGAIN
    entry = YearEntry(year=kept.year, status=kept.status, fetched=kept.fetched, over=kept.over)
    return is_due(entry, request.now)


def series_of(years: Sequence[DailyYear]) -> dict[str, DailyMinima]:
    """The minima of some years on one axis of days, by provider."""
    kept = [one for one in years if one.tenths]
    if not kept:
        return {}
    known = _providers(kept)
    first = _first_day(min(one.year for one in kept))
    size = _first_day(max(one.year for one in kept) + 1) - first
    series: dict[str, DailyMinima] = {}
    for one in kept:
        at = _first_day(one.year) - first
        for name, tenths in one.tenths.items():
            if name not in series:
                series[name] = DailyMinima(
                    first_day=first, minimum_c=np.full(size, np.nan), provider=known[name]
                )
            values = np.array([np.nan if tenth is None else tenth / 10 for tenth in tenths])
            series[name].minimum_c[at : at + values.size] = values
    return series


def _providers(years: Sequence[DailyYear]) -> dict[str, Provider]:
    """Who gave the minima; what an earlier program did not keep is asked of the package."""
    known = {provider.identifier: provider for one in years for provider in one.providers}
    lacking = {name for one in years for name in one.tenths} - known.keys()
    if lacking:
        from suitability.weather.sources.register import read_register  # noqa: PLC0415  (slow)

        register = read_register(daily=True)
        for name in lacking:
            nameless = Provider(identifier=name, name=name, observes=True)
            known[name] = register.get(name, nameless)
    return known


def _first_day(year: int) -> int:
    """Days from 1970-01-01 to the first day of a year."""
    return int(np.datetime64(f"{year}-01-01").astype(int))


def with_minima(record: Record, years: Sequence[DailyYear]) -> Record:
    """The record with its allowance, what minima tell of lost hours, a sentence and the credit."""
    series = series_of(years)
    miss = compare_minima(record, series)
    if miss is None:
        return record
    used = (series[name].provider for name, _ in miss.starts)
    licence, attribution = say_credits(provider for provider in used if provider)
    return replace(
        record,
        minimum_allowance_c=miss.allowance_c,
        lost_minimum_c=lost_minima(record, series, miss),
        notes=(*record.notes, say_miss(miss)),
        licence=join_credits([record.licence, licence]),
        attribution=join_credits([record.attribution, attribution]),
    )
