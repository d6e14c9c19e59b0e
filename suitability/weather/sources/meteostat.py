"""
Years of a station from Meteostat, each with its outcome: complete, partial, absent or failed.

A failure is never taken for an absence. A year counts as absent only if the service answered 404
for it while it gave other files; and a file is kept only if its content is that of the station's
other years.
"""

from __future__ import annotations

import json
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor, as_completed
from contextlib import contextmanager
from datetime import datetime

from msgspec import Struct, convert, field
from msgspec.structs import replace

from suitability.errors import SourceError
from suitability.weather.manifest import YearEntry, YearStatus
from suitability.weather.record import Record, Station
from suitability.weather.sources.opening import hosts_of
from suitability.weather.sources.register import load_package
from suitability.weather.sources.transport import (
    SCHEMES,
    Answer,
    Reply,
    Transport,
    get,
    with_largest,
)
from suitability.weather.sources.yearly import (
    LARGEST_UNPACKED,
    ParsedYear,
    damage_of_gzip,
    find_outlier_years,
    parse_year,
)

CONTROL = ("10637", 2020)  # a long record of the national service: it tells whether files are there
FEWEST_FOR_REFERENCE = 5  # years after which outlier_years among them are told reliably


class Addresses(Struct, frozen=True, kw_only=True):
    """
    Where the service keeps its files; `hourly` and `daily` have {year} and {station} in them.

    An empty `daily` means that daily files are not asked for.
    """

    hourly: str
    stations: tuple[str, ...] = ()
    daily: str = ""

    @property
    def hosts(self) -> frozenset[str]:
        """All hosts named, to which one may send on to another."""
        return hosts_of([self.hourly, self.daily, *self.stations])


def read_addresses(environment: Mapping[str, str]) -> Addresses:
    """
    Addresses of the service: those of the meteostat package, which its variables may redirect.

    The variables are read anew, since the package keeps them as they were when it was loaded and
    passes over what is malformed.

    Parameters
    ----------
    environment
        Usually `os.environ`; MS_HOURLY_ENDPOINT and MS_DAILY_ENDPOINT are addresses,
        MS_STATIONS_DB_ENDPOINTS a JSON list of addresses. Where only the hourly files are
        redirected, daily ones are not asked for: a mirror of the one need not have the other.

    Raises
    ------
    SourceError
        One of them is not of that form.
    """
    usual = load_package().api.config.Config
    redirected = environment.get("MS_HOURLY_ENDPOINT")
    hourly = redirected or usual.hourly_endpoint
    daily = environment.get("MS_DAILY_ENDPOINT") or ("" if redirected else usual.daily_endpoint)
    for name, address, example in (
        ("MS_HOURLY_ENDPOINT", hourly, usual.hourly_endpoint),
        ("MS_DAILY_ENDPOINT", daily or usual.daily_endpoint, usual.daily_endpoint),
    ):
        if not _is_template(address):
            raise SourceError(
                f"{name} is {address!r}; it must be an address with {{year}} and {{station}} in "
                f"it, such as {example}."
            )
    text = environment.get("MS_STATIONS_DB_ENDPOINTS")
    try:
        given = json.loads(text) if text else usual.stations_db_endpoints
        stations = convert(given, tuple[str, ...])
    except ValueError:
        stations = ()
    if not stations or not all(map(_is_address, stations)):
        raise SourceError(
            f"MS_STATIONS_DB_ENDPOINTS is {text!r}; it must be a JSON list of addresses, such as "
            f"{json.dumps(usual.stations_db_endpoints[:1])}."
        )
    return Addresses(hourly=hourly, stations=stations, daily=daily)


def _is_address(text: str) -> bool:
    """Whether a text is an address that is asked."""
    return text.split(":", 1)[0].lower() in SCHEMES and text.isprintable() and " " not in text


def _is_template(text: str) -> bool:
    """Whether a text is an address in which year and station, and nothing else, are put."""
    plain = text.replace("{year}", "").replace("{station}", "")
    both = "{year}" in text and "{station}" in text
    return both and not set("{}") & set(plain) and _is_address(plain)


class YearOutcome(Struct, frozen=True, kw_only=True):
    """
    How the question about one year ended.

    Attributes
    ----------
    entry
        For the manifest, without files.
    observed, model
        None unless a new file came.
    unchanged
        The server said that the kept file still stands; then `entry` is the kept one.
    """

    entry: YearEntry
    observed: Record | None = None
    model: Record | None = None
    unchanged: bool = False


class _Question(Struct, frozen=True, kw_only=True):
    """What one fetch asks, of whom, and what is known already."""

    station: Station
    addresses: Addresses
    transport: Transport
    now: datetime
    known: Mapping[int, YearEntry]


class _Progress(Struct, kw_only=True):
    """What the threads of one fetch share: whether to stop, and failures in a row."""

    patience_files: int
    stop: threading.Event = field(default_factory=threading.Event)
    lock: threading.Lock = field(default_factory=threading.Lock)
    kind: str = ""
    reason: str = ""
    in_a_row: int = 0

    def note(self, reply: Reply) -> None:
        """Count failures of one kind in a row; enough of them mean that the service is down."""
        with self.lock:
            if reply.answer is not Answer.FAILED:
                self.in_a_row = 0
                return
            same = reply.kind == self.kind
            self.kind, self.in_a_row = reply.kind, self.in_a_row + 1 if same else 1
            if self.in_a_row >= self.patience_files and not self.stop.is_set():
                self.reason = reply.reason
                self.stop.set()


class _Arrival(Struct, frozen=True, kw_only=True):
    """What came for one year: a reply, and its content or what is wrong with it."""

    year: int
    reply: Reply
    parsed: ParsedYear | None = None
    fault: str = ""


def fetch_years(
    station: Station,
    years: Sequence[int],
    *,
    addresses: Addresses,
    transport: Transport,
    now: datetime,
    known: Mapping[int, YearEntry] | None = None,
    on_year: Callable[[YearOutcome], None] | None = None,
) -> tuple[YearOutcome, ...]:
    """
    Ask for some years of a station, several at a time, and judge each.

    Parameters
    ----------
    known
        Entries of the store, the asked years among them if they are kept: they give the tags for a
        conditional question, and the reference by which a outlier's file is told.
    on_year
        Called with each outcome as soon as it is sure, from this thread; what it raises ends the
        fetching.

    Returns
    -------
    one outcome a year, in order of years
    """
    known = known or {}
    transport = with_largest(transport, LARGEST_UNPACKED)
    ask = _Question(station=station, addresses=addresses, transport=transport, now=now, known=known)
    outcomes: dict[int, YearOutcome] = {}

    def settle(new: list[YearOutcome]) -> None:
        for outcome in new:
            outcomes[outcome.entry.year] = outcome
            if on_year is not None:
                on_year(outcome)

    waiting: list[_Arrival] = []
    not_there: list[_Arrival] = []
    references = {year: entry.month_medians_c for year, entry in known.items() if entry.is_kept}
    served = False
    with _arrivals(ask, sorted(set(years))) as arriving:
        for arrival in arriving:
            served = served or arrival.reply.answer in {Answer.FOUND, Answer.UNCHANGED}
            if arrival.reply.answer is Answer.NOT_THERE:
                not_there.append(arrival)
            elif arrival.parsed is None:
                settle([_outcome_without_file(arrival, ask)])
            else:
                waiting.append(arrival)
                if len(references) + len(waiting) >= FEWEST_FOR_REFERENCE:
                    settle(_judge_files(waiting, references, now, strict=False))
    settle(_judge_files(waiting, references, now, strict=True))
    if not_there:
        served = served or _control_is_there(ask)
        settle([_absent_or_failed(arrival, now, served=served) for arrival in not_there])
    return tuple(outcomes[year] for year in sorted(outcomes))


@contextmanager
def _arrivals(ask: _Question, years: Sequence[int]) -> Iterator[Iterator[_Arrival]]:
    """What comes for each year, in order of coming; leaving early stops the rest."""
    shared = _Progress(patience_files=ask.transport.patience.give_up_after)
    pool = ThreadPoolExecutor(max_workers=ask.transport.patience.parallel)
    try:
        futures: list[Future[_Arrival]] = [
            pool.submit(_bring_year, ask, year, shared) for year in years
        ]
        yield (future.result() for future in as_completed(futures))
    finally:
        shared.stop.set()
        pool.shutdown(wait=True, cancel_futures=True)


def _bring_year(ask: _Question, year: int, shared: _Progress) -> _Arrival:
    """Ask for one year and read its content; runs in a thread of its own."""
    address = ask.addresses.hourly.format(year=year, station=ask.station.identifier)
    if shared.stop.is_set():
        reason = f"not asked for, since the service is down: {shared.reason or 'stopped'}"
        return _Arrival(
            year=year, reply=Reply(answer=Answer.FAILED, address=address, reason=reason)
        )
    known = ask.known.get(year)
    kept = known if known is not None and _still_stands(known, address, ask.now) else None
    reply = get(
        ask.transport,
        address,
        now=ask.now,
        check=damage_of_gzip,
        etag=kept.etag if kept else "",
        last_modified=kept.last_modified if kept else "",
        cancelled=shared.stop.is_set,
        hosts=ask.addresses.hosts,
    )
    shared.note(reply)
    if reply.answer is not Answer.FOUND:
        return _Arrival(year=year, reply=reply)
    try:
        parsed = parse_year(reply.data, year, ask.station, ask.now)
    except SourceError as reason:
        return _Arrival(year=year, reply=reply, fault=f"the file is not usable: {reason}")
    return _Arrival(year=year, reply=replace(reply, data=b""), parsed=parsed)


def _still_stands(kept: YearEntry, address: str, now: datetime) -> bool:
    """
    Whether a kept file would be as it is if it came now, so that its tag may be sent along.

    Which hours of a file count depends on the clock while its year runs.
    """
    return kept.is_kept and kept.address == address and kept.over and kept.fetched <= now


def _outcome_without_file(arrival: _Arrival, ask: _Question) -> YearOutcome:
    """The outcome of a year that failed, or whose kept file has not changed."""
    if arrival.reply.answer is Answer.UNCHANGED:
        entry = replace(ask.known[arrival.year], fetched=ask.now, failure="", failed_at=None)
        return YearOutcome(entry=entry, unchanged=True)
    return _failed(arrival, ask.now, arrival.fault or arrival.reply.reason)


def _failed(arrival: _Arrival, now: datetime, reason: str) -> YearOutcome:
    """The outcome of a year that failed."""
    entry = YearEntry(
        year=arrival.year,
        status=YearStatus.FAILED,
        fetched=now,
        over=arrival.year < now.year,
        address=arrival.reply.address,
        reason=reason,
    )
    return YearOutcome(entry=entry)


def _absent_or_failed(arrival: _Arrival, now: datetime, *, served: bool) -> YearOutcome:
    """The outcome of a 404: an absence only if the service gives other files."""
    if not served:
        reason = "the service had none of the files asked for (404), not even one that exists"
        return _failed(arrival, now, reason)
    outcome = _failed(arrival, now, "the service has no file of this year (404)")
    return replace(outcome, entry=replace(outcome.entry, status=YearStatus.ABSENT))


def _control_is_there(ask: _Question) -> bool:
    """Whether the service gives a file that is known to exist."""
    return ask_control(ask.transport, ask.addresses, ask.now).answer is Answer.FOUND


def ask_control(transport: Transport, addresses: Addresses, now: datetime) -> Reply:
    """What the service answers when asked for a file that is known to exist."""
    station, year = CONTROL
    address = addresses.hourly.format(year=year, station=station)
    return get(transport, address, now=now, check=damage_of_gzip, hosts=addresses.hosts)


def _judge_files(
    waiting: list[_Arrival],
    references: dict[int, tuple[float | None, ...]],
    now: datetime,
    *,
    strict: bool,
) -> list[YearOutcome]:
    """
    Outcomes of the files that belong to the station; outlier_years wait, or fail if `strict`.

    What is decided leaves `waiting`; good files join `references`.
    """
    together = {**references}
    together |= {one.year: one.parsed.month_medians_c for one in waiting if one.parsed is not None}
    outlier_years = find_outlier_years(together)
    decided = []
    for arrival in list(waiting):
        outlier = arrival.year in outlier_years
        if outlier and not strict:
            continue
        waiting.remove(arrival)
        if outlier:
            off_c = outlier_years[arrival.year]
            reason = (
                f"the file is not usable: its temperatures lie {off_c:+.1f} °C from the other "
                "years of the station, as if in another unit or of another station"
            )
            decided.append(_failed(arrival, now, reason))
        else:
            decided.append(_kept(arrival, now))
            references[arrival.year] = decided[-1].entry.month_medians_c
    return decided


def _kept(arrival: _Arrival, now: datetime) -> YearOutcome:
    """The outcome of a year whose file is good."""
    parsed = arrival.parsed
    assert parsed is not None
    over = arrival.year < now.year
    entry = YearEntry(
        year=arrival.year,
        status=YearStatus.COMPLETE if over else YearStatus.PARTIAL,
        fetched=now,
        over=over,
        address=arrival.reply.address,
        counts=parsed.counts,
        last_observed_hour=parsed.last_observed_hour,
        month_medians_c=parsed.month_medians_c,
        etag=arrival.reply.etag,
        last_modified=arrival.reply.last_modified,
    )
    return YearOutcome(entry=entry, observed=parsed.observed, model=parsed.model)
