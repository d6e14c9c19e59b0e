"""
One file over HTTP, patiently: time limits, retries with growing waits, and a plain outcome.

Nothing here knows what the file means. Proxies and certificate bundles of the environment are
respected, since `urllib.request` reads them.
"""

from __future__ import annotations

import http.client
import random
import socket
import ssl
import time
from email.utils import parsedate_to_datetime
from enum import StrEnum
from typing import TYPE_CHECKING, Any
from urllib.error import HTTPError, URLError

from msgspec import Struct, field
from msgspec.structs import replace

from suitability.errors import SourceError
from suitability.steps import tell_step
from suitability.weather.sources.opening import Question, RedirectError, hosts_of, make_opener

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import datetime
    from urllib.request import Request

USER_AGENT = "suitability/0.1 (plant suitability from hourly station records; Python-urllib)"
LONGEST_CONTACT = 200  # characters
SCHEMES = frozenset({"http", "https", "file"})
CHUNK_BYTES = 65536
PROGRESS_BYTES = 65536  # that came in one try: a line that delivers so much is worth another
UNREACHED = frozenset({"name", "refused"})  # kinds of failure
RETRIED_STATUS = frozenset({408, 416, 425, 429, 500, 502, 503, 504})


class Answer(StrEnum):
    """How a question to a service ended."""

    FOUND = "found"
    UNCHANGED = "unchanged"
    NOT_THERE = "not there"
    FAILED = "failed"


class Reply(Struct, frozen=True, kw_only=True):
    """
    What a service answered.

    `data` stands with `found`, `reason` with `failed`; `kind` is the reason without particulars, by
    which repeated failures are recognised.
    """

    answer: Answer
    address: str
    data: bytes = b""
    reason: str = ""
    kind: str = ""
    etag: str = ""
    last_modified: str = ""
    tries: int = 1


class Damage(Struct, frozen=True, kw_only=True):
    """
    Why a try failed, or what is wrong with the bytes that came; whether another may mend it.

    `wait_s` is how long the server asks to wait.
    """

    reason: str
    kind: str
    again: bool = True
    wait_s: float | None = None


class Partial(Struct, kw_only=True):
    """
    What has come of a large file, so that another try, or another run, goes on from there.

    `validator` is the file's tag or time, as the server gave it: by it the server tells whether the
    rest belongs to what has come. Without one it begins anew.
    """

    data: bytearray = field(default_factory=bytearray)
    validator: str = ""

    def begin_anew(self) -> None:
        """Forget what has come."""
        self.data.clear()
        self.validator = ""


class Patience(Struct, frozen=True, kw_only=True):
    """
    How long and how often to ask.

    Attributes
    ----------
    silence_s : s
        Longest wait for a connection or for the next bytes.
    least_bytes_per_s
        A line that delivers less than this for so long counts as silent; any other is not timed.
    command_s : s
        After this time a command begins no further try.
    tries
        Tries for one file.
    tries_unreached
        Tries where the server cannot even be reached: mostly the network is down.
    first_wait_s, longest_wait_s : s
        Wait after the first failed try, doubled after each, up to the longest.
    retry_after_s : s
        Longest wait that a server may ask for.
    parallel
        Files asked for at the same time.
    give_up_after
        Files in a row that failed in the same way, after which the service counts as down.
    largest_bytes
        Largest file that is read.
    """

    silence_s: float = 20.0
    least_bytes_per_s: int = 200
    command_s: float = 900.0
    tries: int = 4
    tries_unreached: int = 2
    first_wait_s: float = 1.0
    longest_wait_s: float = 15.0
    retry_after_s: float = 60.0
    parallel: int = 4
    give_up_after: int = 4
    largest_bytes: int = 200_000_000


class Transport(Struct, frozen=True, kw_only=True):
    """
    The means of asking: all that touches network, clock or chance.

    Attributes
    ----------
    opener
        Opens a request with a time limit in s, like `urllib.request.urlopen`.
    sleep
        Waits for a number of s.
    monotonic
        Clock for time limits, s.
    jitter
        A chance number from 0 to 1 at each call.
    started : s
        Reading of `monotonic` when the command began.
    """

    opener: Callable[[Request, float], Any]
    sleep: Callable[[float], None]
    monotonic: Callable[[], float]
    jitter: Callable[[], float]
    started: float
    patience: Patience = field(default_factory=Patience)
    user_agent: str = USER_AGENT


class _CutShortError(Exception):
    """Reading was given up, and another try would not help."""


def user_agent(environment: Mapping[str, str]) -> str:
    """
    What asks, and, by SUITABILITY_CONTACT, where those who serve may reach whoever runs it.

    Raises
    ------
    SourceError
        The contact is no short text of plain letters.
    """
    contact = environment.get("SUITABILITY_CONTACT", "").strip()
    if not (contact.isascii() and contact.isprintable() and len(contact) <= LONGEST_CONTACT):
        raise SourceError(
            f"SUITABILITY_CONTACT is {contact[:40]!r}; it must be an address of yours in plain "
            "letters, such as https://garden.example/."
        )
    return f"{USER_AGENT} {contact}".rstrip()


def make_transport(
    *, seed: int = 0, patience: Patience | None = None, environment: Mapping[str, str] | None = None
) -> Transport:
    """The ordinary means: the network through `urllib`, the computer's clock."""
    return Transport(
        opener=make_opener(),
        sleep=time.sleep,
        monotonic=time.monotonic,
        jitter=random.Random(seed).random,  # noqa: S311  (spreads waits, guards nothing)
        started=time.monotonic(),
        patience=patience or Patience(),
        user_agent=user_agent(environment or {}),
    )


class _Asked(Struct, frozen=True, kw_only=True):
    """What `get` was asked, for all its tries."""

    question: Question
    now: datetime
    check: Callable[[bytes], Damage | None]
    cancelled: Callable[[], bool]
    partial: Partial
    on_bytes: Callable[[int], None]


def get(
    transport: Transport,
    address: str,
    *,
    now: datetime,
    check: Callable[[bytes], Damage | None] = lambda _: None,
    etag: str = "",
    last_modified: str = "",
    cancelled: Callable[[], bool] = lambda: False,
    hosts: frozenset[str] = frozenset(),
    partial: Partial | None = None,
    on_bytes: Callable[[int], None] | None = None,
) -> Reply:
    """
    A file, asked for until it comes whole or patience ends; never raises for the network's sake.

    Parameters
    ----------
    address
        With scheme http, https or file.
    now
        To understand a `Retry-After` that names a time.
    check
        Tells what is wrong with the bytes, if anything.
    etag, last_modified
        Of the copy that is kept, to be told that nothing has changed.
    cancelled
        Asked between pieces and before each try.
    hosts
        That the server may send on to, beside its own.
    partial
        What has come already, and where what comes is gathered: tries go on from there, and as long
        as they bring something they are not counted.
    on_bytes
        Told how many have come.

    Returns
    -------
    Reply
        `not there` only for status 404 and 410, and for a missing local file.
    """
    if address.split(":", 1)[0].lower() not in SCHEMES:
        reason = "the address must begin with https://, http:// or file://"
        return Reply(answer=Answer.FAILED, address=address, reason=reason, kind="address")
    headers = {"User-Agent": transport.user_agent}
    if etag:
        headers["If-None-Match"] = etag
    if last_modified:
        headers["If-Modified-Since"] = last_modified
    asked = _Asked(
        question=Question(address, headers, hosts | hosts_of([address])),
        now=now,
        check=check,
        cancelled=cancelled,
        partial=Partial() if partial is None else partial,
        on_bytes=on_bytes or (lambda _: None),
    )
    number = in_vain = 0
    begun_s = time.perf_counter()
    while True:
        number += 1
        before = len(asked.partial.data)
        outcome = _try_once(transport, asked)
        if isinstance(outcome, Reply):
            took_s = time.perf_counter() - begun_s
            about = outcome.answer, len(outcome.data), number, took_s
            tell_step("Asked %s: %s, %d bytes, try %d, in %.3f s", address, *about)
            return replace(outcome, tries=number)
        if partial is None:
            asked.partial.begin_anew()
        came = len(asked.partial.data) - before
        in_vain = 0 if came >= PROGRESS_BYTES else in_vain + 1
        wait_s = _wait_before_next(transport, max(1, in_vain), outcome)
        tell_step("Asked %s: %s, try %d", address, outcome.reason, number)
        last_try = in_vain >= _most_tries(transport.patience, outcome)
        if last_try or not outcome.again or wait_s is None or cancelled():
            break
        transport.sleep(wait_s)
    tried = f" (tried {number} times)" if number > 1 else ""
    return Reply(
        answer=Answer.FAILED,
        address=address,
        reason=f"{outcome.reason}{tried}",
        kind=outcome.kind,
        tries=number,
    )


def _most_tries(patience: Patience, failure: Damage) -> int:
    """Tries that a kind of failure is worth."""
    unreached = failure.kind in UNREACHED
    return min(patience.tries, patience.tries_unreached) if unreached else patience.tries


def _wait_before_next(transport: Transport, number: int, failure: Damage) -> float | None:
    """Seconds to wait before the next try, or None if the command has no time left for it."""
    patience = transport.patience
    wait_s = min(patience.longest_wait_s, patience.first_wait_s * 2 ** (number - 1))
    wait_s *= 0.5 + transport.jitter()
    if failure.wait_s is not None:
        wait_s = max(wait_s, min(failure.wait_s, patience.retry_after_s))
    return wait_s if seconds_left(transport) > wait_s else None


def with_largest(transport: Transport, largest_bytes: int) -> Transport:
    """The same means, for files that are never so large as the largest."""
    smaller = min(largest_bytes, transport.patience.largest_bytes)
    return replace(transport, patience=replace(transport.patience, largest_bytes=smaller))


def seconds_left(transport: Transport) -> float:
    """Seconds left for the whole command."""
    return transport.patience.command_s - (transport.monotonic() - transport.started)


def _try_once(transport: Transport, asked: _Asked) -> Reply | Damage:
    """One try: the reply, or why there is none."""
    left_s = seconds_left(transport)
    if left_s <= 0:
        return Damage(reason="no time was left for it", kind="time", again=False)
    address = asked.question.full_url
    try:
        reply = _ask(transport, asked, left_s)
    except HTTPError as reason:
        if reason.code == http.client.REQUESTED_RANGE_NOT_SATISFIABLE:
            asked.partial.begin_anew()
        outcome = _of_status(reason, address, asked.now)
        reason.close()
        return outcome
    except (OSError, http.client.HTTPException, RedirectError, _CutShortError) as reason:
        why = reason.reason if isinstance(reason, URLError) else reason
        if isinstance(why, FileNotFoundError):
            return Reply(answer=Answer.NOT_THERE, address=address)
        return _of_error(why)
    damage = asked.check(reply.data)
    asked.partial.begin_anew()
    return damage or reply


def _ask(transport: Transport, asked: _Asked, left_s: float) -> Reply:
    """Open the address and read all of it, or all that has not come yet."""
    kept, question = asked.partial, asked.question
    if not kept.validator:
        kept.begin_anew()
    if kept.data:
        more = {"Range": f"bytes={len(kept.data)}-", "If-Range": kept.validator}
        question = Question(question.full_url, {**question.headers, **more}, question.hosts)
    with transport.opener(question, min(transport.patience.silence_s, left_s)) as response:
        etag = response.headers.get("ETag") or ""
        last_modified = response.headers.get("Last-Modified") or ""
        if not _goes_on(response, len(kept.data)):
            kept.begin_anew()
            kept.validator = last_modified if etag.startswith("W/") else etag or last_modified
        _read_all(transport, response, asked)
        return Reply(
            answer=Answer.FOUND,
            address=question.full_url,
            data=bytes(kept.data),
            etag=etag,
            last_modified=last_modified,
        )


def _goes_on(response: Any, size: int) -> bool:
    """Whether a response is the rest of a file of which so many bytes have come."""
    partly = getattr(response, "status", None) == http.client.PARTIAL_CONTENT
    return partly and (response.headers.get("Content-Range") or "").startswith(f"bytes {size}-")


def _read_all(transport: Transport, response: Any, asked: _Asked) -> None:
    """Add all bytes of a response, piece by piece, so that a drip cannot last for ever."""
    data, patience = asked.partial.data, transport.patience
    before = marked = len(data)
    since_s = transport.monotonic()
    while piece := response.read1(CHUNK_BYTES):
        data += piece
        asked.on_bytes(len(data))
        if len(data) > patience.largest_bytes:
            raise _CutShortError(f"the file is larger than {patience.largest_bytes} bytes")
        waited_s = transport.monotonic() - since_s
        if waited_s > patience.silence_s:
            if len(data) - marked < patience.least_bytes_per_s * waited_s:
                raise TimeoutError("the file came too slowly")
            since_s, marked = since_s + waited_s, len(data)
        if asked.cancelled():
            raise _CutShortError("stopped")
    announced = response.headers.get("Content-Length")
    came = len(data) - before
    if announced is not None and announced.isdigit() and came != int(announced):
        raise ConnectionError(f"only {came} of {announced} bytes came")


def _of_status(reason: HTTPError, address: str, now: datetime) -> Reply | Damage:
    """What a status other than 200 means."""
    if reason.code == http.client.NOT_MODIFIED:
        return Reply(answer=Answer.UNCHANGED, address=address)
    if reason.code in {http.client.NOT_FOUND, http.client.GONE}:
        return Reply(answer=Answer.NOT_THERE, address=address)
    phrase = http.client.responses.get(reason.code, "")
    return Damage(
        reason=f"the server answered {reason.code} {phrase}".rstrip(),
        kind=f"status {reason.code}",
        again=reason.code in RETRIED_STATUS,
        wait_s=_retry_after_s(reason.headers.get("Retry-After"), now),
    )


def _retry_after_s(text: str | None, now: datetime) -> float | None:
    """Seconds that a server asks to wait, given as a number or as a time."""
    if not text:
        return None
    if text.strip().isdigit():
        return float(text)
    try:
        return max(0.0, (parsedate_to_datetime(text) - now).total_seconds())
    except (ValueError, TypeError):
        return None


_ERRORS: tuple[tuple[type[BaseException], str, str], ...] = (
    (TimeoutError, "the server fell silent or was too slow", "time-out"),
    (socket.gaierror, "the server's name could not be found", "name"),
    (ConnectionRefusedError, "the server refused the connection", "refused"),
    (ConnectionResetError, "the server broke the connection", "connection"),
    (http.client.IncompleteRead, "the file broke off", "connection"),
)


def _of_error(reason: BaseException | str) -> Damage:
    """What an error of the network means, in words."""
    if isinstance(reason, ssl.SSLCertVerificationError):
        words = f"its certificate was refused ({reason.verify_message})"
        return Damage(reason=words, kind="certificate", again=False)
    if isinstance(reason, (_CutShortError, RedirectError)):
        return Damage(reason=str(reason), kind=str(reason), again=False)
    for error, words, kind in _ERRORS:
        if isinstance(reason, error):
            return Damage(reason=words, kind=kind)
    return Damage(reason=str(reason) or type(reason).__name__, kind=type(reason).__name__)
