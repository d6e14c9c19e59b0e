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

from suitability.errors import SourceError
from suitability.weather.sources.transport import (
    Answer,
    Damage,
    Partial,
    Patience,
    Transport,
    get,
    make_transport,
)

from .conftest import HASTY, NOW, SHORT, quick_transport
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


def test_who_asks_is_named_with_an_address_if_one_is_set(server: Server) -> None:
    """The program by its name and what it does; by a setting, whoever runs it."""
    server.files["/a"] = Served(body=b"a")
    contact = {"SUITABILITY_CONTACT": " https://garden.example/ "}
    for environment in ({}, contact):
        patient = make_transport(patience=SHORT, environment=environment)
        means = replace(patient, opener=quick_transport().opener)
        assert get(means, f"{server.address}/a", now=NOW).data == b"a"
    plain, told = (headers["User-Agent"] for headers in server.headers)
    assert plain.startswith("suitability/0.1 (plant suitability from hourly station records;")
    assert told == f"{plain} https://garden.example/"


@pytest.mark.parametrize("contact", ["a\r\nX: y", "Göteborg", "x" * 201])
def test_an_address_that_no_header_holds_is_one_sentence(contact: str) -> None:
    """Nothing is sent."""
    with pytest.raises(SourceError, match="SUITABILITY_CONTACT is"):
        make_transport(environment={"SUITABILITY_CONTACT": contact})


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


@pytest.mark.slow
def test_a_slow_line_that_still_delivers_is_not_given_up(server: Server) -> None:
    """Several times the longest silence, and longer than it, as long as something comes."""
    body = bytes(range(256)) * 400
    server.files["/file"] = Served(body=body, drip_s=0.08, piece=2000)
    transport = quick_transport(replace(SHORT, silence_s=1.0))
    reply = get(transport, server.address + "/file", now=NOW)
    assert (reply.answer, reply.data, reply.tries) == (Answer.FOUND, body, 1)
    assert transport.monotonic() - transport.started > 3 * transport.patience.silence_s


def test_a_drip_counts_as_silence(server: Server) -> None:
    """A few bytes a second would last for days."""
    server.files["/file"] = Served(body=b"x" * 4000, drip_s=0.02)
    transport = quick_transport(HASTY)
    reply = get(transport, server.address + "/file", now=NOW)
    assert reply.answer is Answer.FAILED
    assert "fell silent or was too slow" in reply.reason
    assert transport.monotonic() - transport.started < 5.0


def test_a_large_file_goes_on_where_a_line_broke(server: Server) -> None:
    """Half of what is left comes each time: as long as it does, tries are not counted."""
    body = bytes(range(256)) * 8000
    server.files["/file"] = Served(body=body, cut=True, etag='"v1"')
    partial = Partial()
    reply = get(quick_transport(), server.address + "/file", now=NOW, partial=partial)
    assert reply.answer is Answer.FAILED
    assert partial.validator == '"v1"'
    assert bytes(partial.data) == body[: len(partial.data)]
    assert len(partial.data) > 0.9 * len(body)
    assert reply.tries > quick_transport().patience.tries
    asked = [headers.get("Range") for headers in server.headers]
    assert asked[:3] == [None, f"bytes={len(body) // 2}-", f"bytes={len(body) * 3 // 4}-"]
    server.files["/file"] = Served(body=body, etag='"v1"')
    whole = get(quick_transport(), server.address + "/file", now=NOW, partial=partial)
    assert (whole.answer, whole.data, whole.tries) == (Answer.FOUND, body, 1)
    assert partial == Partial()


def test_a_file_that_has_changed_meanwhile_begins_anew(server: Server) -> None:
    """Its tag is another one; halves of two files never come together."""
    server.files["/file"] = Served(body=b"old" * 50_000, cut=True, etag='"v1"')
    partial = Partial()
    get(quick_transport(), server.address + "/file", now=NOW, partial=partial)
    assert partial.data
    server.files["/file"] = Served(body=b"new" * 50_000, etag='"v2"')
    reply = get(quick_transport(), server.address + "/file", now=NOW, partial=partial)
    assert reply.data == b"new" * 50_000


def test_without_a_tag_or_time_a_broken_file_begins_anew(server: Server) -> None:
    """Nothing tells that the rest belongs to the beginning; a weak tag does not either."""
    server.files["/file"] = Served(body=b"good" * 50_000, cut=True)
    partial = Partial()
    get(quick_transport(), server.address + "/file", now=NOW, partial=partial)
    assert partial.validator == ""
    server.files["/file"] = Served(body=b"good" * 50_000, cut=True, etag='W/"v1"')
    get(quick_transport(), server.address + "/file", now=NOW, partial=partial)
    assert partial.validator == ""
    assert not any("Range" in headers for headers in server.headers)


def test_a_part_beyond_the_file_begins_anew(server: Server) -> None:
    """The server says 416: what was kept is forgotten."""
    server.files["/file"] = Served(body=b"good", failures=1, failing_status=416, etag='"v1"')
    partial = Partial(data=bytearray(b"too long"), validator='"v1"')
    reply = get(quick_transport(), server.address + "/file", now=NOW, partial=partial)
    assert (reply.data, reply.tries) == (b"good", 2)


def test_a_server_may_send_on_within_the_hosts_that_are_named(server: Server) -> None:
    """To itself always; to another host if that is one of the service."""
    server.files["/file"] = Served(body=b"good")
    other = server.address.replace("127.0.0.1", "localhost")
    steps: tuple[tuple[str, set[str]], ...] = (
        ("", set()),
        (server.address, set()),
        (other, {"localhost"}),
    )
    for host, hosts in steps:
        server.files["/old"] = Served(status=302, location=host + "/file")
        address = server.address + "/old"
        reply = get(quick_transport(), address, now=NOW, hosts=frozenset(hosts))
        assert reply.data == b"good"


@pytest.mark.parametrize(
    "location",
    [
        "http://localhost/file",
        "https://example.org/file",
        "ftp://127.0.0.1/file",
        "//example.org/file",
        "http://[/",
    ],
)
def test_a_server_that_sends_on_elsewhere_is_not_followed(server: Server, location: str) -> None:
    """A portal of a hotel, or worse: one sentence, and no other try."""
    server.files["/old"] = Served(status=302, location=location)
    reply = get(quick_transport(), server.address + "/old", now=NOW)
    assert (reply.answer, reply.tries) == (Answer.FAILED, 1)
    assert "no host of the service" in reply.reason


def test_a_server_that_sends_on_to_a_local_file_is_not_followed(
    server: Server, tmp_path: Path
) -> None:
    """No file of this computer is read at the wish of another."""
    path = tmp_path / "secret"
    path.write_text("secret")
    server.files["/old"] = Served(status=302, location=path.as_uri())
    assert get(quick_transport(), server.address + "/old", now=NOW).answer is Answer.FAILED
