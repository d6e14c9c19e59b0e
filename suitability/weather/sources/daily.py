"""
The yearly daily file of Meteostat: the minimum of each day, as a minimum thermometer read it.

Only values of providers that observe daily minima are taken: a "minimum" that was made from the
hourly readings would agree with them and prove nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime
from threading import Event

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.errors import SourceError
from suitability.weather.manifest import YearStatus
from suitability.weather.minima import DailyYear
from suitability.weather.sources.meteostat import CONTROL
from suitability.weather.sources.providers import Provider
from suitability.weather.sources.register import flag_possible, read_register
from suitability.weather.sources.table import (
    cut_table,
    days_of_rows,
    floats_of,
    month_starts,
    words_of,
)
from suitability.weather.sources.transport import Answer, Reply, Transport, get, with_largest
from suitability.weather.sources.yearly import LARGEST_UNPACKED, damage_of_gzip, unpack

MOST_DAYS = 4 * 366  # rows of a year, some of them given more than once
TRIES = 2  # fewer than for hourly files: nothing fails without these
GIVE_UP_AFTER = 4  # failures, after which the rest is not asked for


def parse_minima(data: bytes, year: int) -> dict[str, tuple[int | None, ...]]:
    """
    Observed minima in a packed daily file, tenths of a degree by provider and day of the year.

    A day given twice with differing values has none. Values outside -90 to 60 °C are left out.

    Raises
    ------
    SourceError
        The file is damaged, of another year, or has no usable header.
    """
    table = cut_table(unpack(data), most_rows=MOST_DAYS)
    at, starts = days_of_rows(table, year), month_starts(year)
    if "tmin" not in table.header:
        return {}
    values, words = floats_of(table, "tmin"), words_of(table, "tmin_source")
    good = flag_possible(values, "tmin", daily=True)
    found: dict[str, tuple[int | None, ...]] = {}
    for name, provider in read_register(daily=True).items():
        mine = np.flatnonzero(good & (words == name.encode()))
        if mine.size and provider.observes:
            found[name] = _spread(
                at[mine], np.rint(values[mine] * 10).astype(int), int(starts[-1] - starts[0])
            )
    return found


def _providers(names: Iterable[str]) -> tuple[Provider, ...]:
    """What is known of the providers of minima, to be kept with them."""
    known = read_register(daily=True)
    return tuple(known[name] for name in names if name in known)


def _spread(at: NDArray[np.int64], tenths: NDArray[np.int64], days: int) -> tuple[int | None, ...]:
    """Values on the days of a year; None where there is none, or several that differ."""
    by_day: list[int | None] = [None] * days
    differing = set()
    for day, value in zip(at.tolist(), tenths.tolist(), strict=True):
        if by_day[day] not in {None, value}:
            differing.add(day)
        by_day[day] = value
    return tuple(None if day in differing else value for day, value in enumerate(by_day))


def fetch_minima(
    station: str,
    years: Sequence[int],
    *,
    address: str,
    transport: Transport,
    now: datetime,
    known: Mapping[int, DailyYear],
    hosts: frozenset[str] = frozenset(),
) -> tuple[DailyYear, ...]:
    """
    Ask for daily files, several at a time; a failed or absent year is an answer, never an error.

    A kept year stands where the new answer is a failure. A 404 is an absence only where the
    service gave another daily file.

    Parameters
    ----------
    address
        With {year} and {station} in it.
    known
        What is kept, by year.
    hosts
        That the server may send on to, beside its own.
    """
    patience = replace(transport.patience, tries=min(TRIES, transport.patience.tries))
    gentle = with_largest(replace(transport, patience=patience), LARGEST_UNPACKED)
    stop = Event()
    failures: list[int] = []

    def bring(year: int) -> tuple[int, Reply | None]:
        if stop.is_set():
            return year, None
        kept = known.get(year)
        reply = get(
            gentle,
            address.format(year=year, station=station),
            now=now,
            check=damage_of_gzip,
            etag=kept.etag if kept and kept.tenths else "",
            last_modified=kept.last_modified if kept and kept.tenths else "",
            cancelled=stop.is_set,
            hosts=hosts,
        )
        if reply.answer is Answer.FAILED:
            failures.append(year)
            if len(failures) >= GIVE_UP_AFTER:
                stop.set()
        return year, reply

    with ThreadPoolExecutor(max_workers=patience.parallel) as pool:
        replies = list(pool.map(bring, sorted(set(years))))
    served = any(reply and reply.answer in {Answer.FOUND, Answer.UNCHANGED} for _, reply in replies)
    missing = any(reply and reply.answer is Answer.NOT_THERE for _, reply in replies)
    if missing and not served:
        control = address.format(station=CONTROL[0], year=CONTROL[1])
        reply = get(gentle, control, now=now, check=damage_of_gzip, hosts=hosts)
        served = reply.answer is Answer.FOUND
    return tuple(
        _judge(year, reply, now, known.get(year), served=served) for year, reply in replies
    )


def _judge(
    year: int, reply: Reply | None, now: datetime, kept: DailyYear | None, *, served: bool
) -> DailyYear:
    """What one reply means."""
    over = year < now.year
    failed = DailyYear(year=year, status=YearStatus.FAILED, fetched=now, over=over, tenths={})
    there = YearStatus.COMPLETE if over else YearStatus.PARTIAL
    if reply is None:
        failed = replace(failed, reason="not asked for, since the service is down")
    elif reply.answer is Answer.UNCHANGED and kept is not None:
        providers = kept.providers or _providers(kept.tenths)
        return replace(kept, fetched=now, over=over, status=there, providers=providers)
    elif reply.answer is Answer.NOT_THERE:
        status = YearStatus.ABSENT if served else YearStatus.FAILED
        failed = replace(failed, status=status, reason="the service has no daily file (404)")
    elif reply.answer is Answer.FOUND:
        try:
            tenths = parse_minima(reply.data, year)
        except SourceError as reason:
            failed = replace(failed, reason=f"the file is not usable: {reason}")
        else:
            return DailyYear(
                year=year,
                status=there,
                fetched=now,
                over=over,
                address=reply.address,
                etag=reply.etag,
                last_modified=reply.last_modified,
                tenths=tenths,
                providers=_providers(tenths),
            )
    else:
        failed = replace(failed, reason=reply.reason)
    if kept is not None and kept.tenths:
        return replace(kept, fetched=now)  # asked again when it is due, not at every run
    return failed
