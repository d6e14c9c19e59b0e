"""One file over HTTP: waits, limits and the plain outcome, with clock and chance in hand."""

from __future__ import annotations

from datetime import UTC, datetime
from email.message import Message
from email.utils import format_datetime
from io import BytesIO
from typing import TYPE_CHECKING, Any
from urllib.error import HTTPError, URLError

import pytest
from msgspec.structs import replace

from suitability.weather.sources.transport import (
    Answer,
    Damage,
    Patience,
    Transport,
    get,
    make_transport,
)

from .conftest import NOW, quick_transport
from .server import Served

if TYPE_CHECKING:
    from pathlib import Path
    from urllib.request import Request

    from .server import Server

ADDRESS = "http://127.0.0.1/file"


class Body(BytesIO):
    """A response of some bytes without headers."""

    def __init__(self, data: bytes, announced: int | None = None) -> None:
        super().__init__(data)
        self.headers = Message()
        if announced is not None:
            self.headers["Content-Length"] = str(announced)


class Script:
    """A service that answers by a script, and a clock that only sleeping moves."""

    def __init__(
        self, *answers: Any, jitter: float = 0.5, patience: Patience | None = None
    ) -> None:
        self.answers = list(answers)
        self.slept: list[float] = []
        self.asked: list[Request] = []
        self.transport = Transport(
            opener=self.open,
            sleep=self.slept.append,
            monotonic=lambda: sum(self.slept),
            jitter=lambda: jitter,
            started=0.0,
            patience=patience or Patience(first_wait_s=1.0, longest_wait_s=8.0),
        )

    def open(self, request: Request, timeout_s: float) -> Any:
        """Give the next answer of the script."""
        assert timeout_s > 0
        self.asked.append(request)
        answer = self.answers.pop(0)
        if isinstance(answer, Exception):
            raise answer
        return answer


def status(code: int, retry_after: str = "") -> HTTPError:
    """An answer with a status and perhaps the wish to wait."""
    headers = Message()
    if retry_after:
        headers["Retry-After"] = retry_after
    return HTTPError(ADDRESS, code, "", headers, BytesIO(b""))


def test_waits_grow_and_spread() -> None:
    """1, 2 and 4 s, times 0.5 to 1.5 by chance."""
    for jitter, waits in ((0.0, [0.5, 1.0, 2.0]), (1.0, [1.5, 3.0, 6.0])):
        script = Script(*(status(500) for _ in range(4)), jitter=jitter)
        reply = get(script.transport, ADDRESS, now=NOW)
        assert (reply.answer, reply.tries) == (Answer.FAILED, 4)
        assert script.slept == waits


@pytest.mark.parametrize(
    ("retry_after", "wait_s"),
    [
        ("7", 7.0),
        ("3600", 60.0),
        (format_datetime(datetime(2026, 11, 24, 12, 0, 9, tzinfo=UTC), usegmt=True), 9.0),
        ("soon", 1.0),
    ],
)
def test_a_wait_that_the_server_asks_for_is_kept_up_to_a_cap(
    retry_after: str, wait_s: float
) -> None:
    """As seconds or as a time; never longer than a minute; nonsense is as if not said."""
    script = Script(status(429, retry_after), Body(b"good"))
    reply = get(script.transport, ADDRESS, now=NOW)
    assert (reply.answer, reply.data, reply.tries) == (Answer.FOUND, b"good", 2)
    assert script.slept == [wait_s]


@pytest.mark.parametrize("code", [400, 401, 403])
def test_refusals_are_not_asked_again(code: int) -> None:
    """Another try at a forbidden file changes nothing."""
    script = Script(status(code))
    reply = get(script.transport, ADDRESS, now=NOW)
    assert (reply.answer, reply.tries, script.slept) == (Answer.FAILED, 1, [])


@pytest.mark.parametrize("code", [404, 410])
def test_only_404_and_410_say_that_a_file_is_not_there(code: int) -> None:
    """At once, without another try."""
    reply = get(Script(status(code)).transport, ADDRESS, now=NOW)
    assert (reply.answer, reply.tries) == (Answer.NOT_THERE, 1)


def test_a_server_that_cannot_be_reached_is_tried_twice() -> None:
    """When the network is down nobody wants to wait for four tries."""
    script = Script(*[URLError(ConnectionRefusedError(111, "refused"))] * 2)
    reply = get(script.transport, ADDRESS, now=NOW)
    assert reply.reason == "the server refused the connection (tried 2 times)"


def test_no_wait_goes_beyond_the_time_of_the_command() -> None:
    """With less time left than the wait, it ends at once."""
    script = Script(status(503, "30"), patience=Patience(command_s=20.0))
    reply = get(script.transport, ADDRESS, now=NOW)
    assert (reply.answer, reply.tries, script.slept) == (Answer.FAILED, 1, [])


def test_a_body_shorter_than_announced_is_a_failure_and_tried_again() -> None:
    """What http calls the length must have come."""
    script = Script(Body(b"go", announced=4), Body(b"good", announced=4))
    reply = get(script.transport, ADDRESS, now=NOW)
    assert (reply.answer, reply.data, reply.tries) == (Answer.FOUND, b"good", 2)


def test_a_file_beyond_all_bounds_is_given_up() -> None:
    """Reading stops at the largest size."""
    script = Script(Body(b"x" * 200_000), patience=Patience(largest_bytes=100_000))
    reply = get(script.transport, ADDRESS, now=NOW)
    assert reply.answer is Answer.FAILED
    assert "larger than 100000 bytes" in reply.reason
    assert reply.tries == 1


def test_a_check_decides_whether_another_try_may_help() -> None:
    """Damage that may be mended is asked for again; a wrong kind of file is not."""

    def check(data: bytes) -> Damage | None:
        kinds = {b"torn": True, b"page": False}
        if data not in kinds:
            return None
        return Damage(reason="bad", kind="bad", again=kinds[data])

    mended = Script(Body(b"torn"), Body(b"good"))
    assert get(mended.transport, ADDRESS, now=NOW, check=check).data == b"good"
    page = get(Script(Body(b"page")).transport, ADDRESS, now=NOW, check=check)
    assert (page.answer, page.tries) == (Answer.FAILED, 1)


def test_tags_are_sent_and_304_means_unchanged() -> None:
    """A conditional question, and the short answer to it."""
    script = Script(status(304))
    reply = get(script.transport, ADDRESS, now=NOW, etag='"a"', last_modified="yesterday")
    assert reply.answer is Answer.UNCHANGED
    assert script.asked[0].get_header("If-none-match") == '"a"'
    assert script.asked[0].get_header("If-modified-since") == "yesterday"


def test_other_schemes_are_refused_without_asking() -> None:
    """Only http, https and file are opened."""
    script = Script()
    reply = get(script.transport, "ftp://127.0.0.1/file", now=NOW)
    assert (reply.answer, script.asked) == (Answer.FAILED, [])


def test_local_files_serve_as_a_mirror(tmp_path: Path) -> None:
    """A file address gives the bytes; a missing file is not there."""
    path = tmp_path / "file"
    path.write_bytes(b"good")
    transport = make_transport()
    assert get(transport, path.as_uri(), now=NOW).data == b"good"
    missing = (tmp_path / "none").as_uri()
    assert get(transport, missing, now=NOW).answer is Answer.NOT_THERE


def test_cancelling_ends_the_tries() -> None:
    """Once stopped, nothing is asked again."""
    script = Script(status(500))
    reply = get(script.transport, ADDRESS, now=NOW, cancelled=lambda: True)
    assert (reply.answer, reply.tries) == (Answer.FAILED, 1)


def test_proxies_of_the_environment_are_used(
    server: Server, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The ordinary means ask the proxy that the environment names."""
    server.files["http://weather.invalid/file"] = Served(body=b"by proxy")
    for name in ("http_proxy", "HTTP_PROXY", "no_proxy", "NO_PROXY"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("http_proxy", server.address)
    transport = replace(make_transport(), patience=quick_transport().patience)
    assert get(transport, "http://weather.invalid/file", now=NOW).data == b"by proxy"
