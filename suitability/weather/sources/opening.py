"""How addresses are opened: over http and https, and never sent on to a host nobody named."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any
from urllib.parse import urlsplit
from urllib.request import BaseHandler, HTTPRedirectHandler, Request, build_opener

FOLLOWED = frozenset({"http", "https"})


class RedirectError(Exception):
    """The server sends on to an address that is not followed."""


class Question(Request):
    """A request for a file, with the hosts that it may be sent on to."""

    def __init__(self, address: str, headers: Mapping[str, str], hosts: frozenset[str]) -> None:
        super().__init__(address, headers=dict(headers))
        self.hosts = hosts


def hosts_of(addresses: Iterable[str]) -> frozenset[str]:
    """
    The hosts in some addresses.

    Examples
    --------
    >>> sorted(hosts_of(["https://Data.example/x", "file:///x", "http://127.0.0.1:80/"]))
    ['127.0.0.1', 'data.example']
    """
    names = []
    for address in addresses:
        try:
            names.append(urlsplit(address).hostname)
        except ValueError:  # half a bracket, which opening will tell
            continue
    return frozenset(filter(None, names))


class _KnownHosts(HTTPRedirectHandler):
    """Follows a server that sends on to a named host, over http or https."""

    def http_error_302(self, req: Request, fp: Any, code: int, msg: str, headers: Any) -> Any:
        """What the server sends on to; RedirectError if that cannot be read."""
        try:
            return super().http_error_302(req, fp, code, msg, headers)
        except ValueError as reason:
            fp.close()
            raise RedirectError(
                f"what the server sends on to is no host of the service ({reason})"
            ) from reason

    http_error_301 = http_error_303 = http_error_307 = http_error_308 = http_error_302

    def redirect_request(  # noqa: PLR0917  (as the library calls it)
        self, req: Request, fp: Any, code: int, msg: str, headers: Any, newurl: str
    ) -> Request | None:
        """The request that is asked next; RedirectError if it is not to be."""
        hosts = req.hosts if isinstance(req, Question) else frozenset[str]()
        scheme, _, _ = newurl.partition(":")
        if scheme.lower() not in FOLLOWED or not hosts_of([newurl]) & hosts:
            fp.close()
            raise RedirectError(
                f"the server sends on to {newurl[:100]}, which is no host of the service"
            )
        new = super().redirect_request(req, fp, code, msg, headers, newurl)
        return None if new is None else Question(new.full_url, new.headers, hosts)


def make_opener(*handlers: BaseHandler) -> Callable[[Request, float], Any]:
    """Opens a request with a time limit in s; proxies of the environment as they are now."""
    opener = build_opener(_KnownHosts, *handlers)

    def open_request(request: Request, timeout_s: float) -> Any:
        try:
            return opener.open(request, timeout=timeout_s)
        except ValueError as reason:
            raise RedirectError(f"the address cannot be asked ({reason})") from reason

    return open_request
