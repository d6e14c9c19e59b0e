"""Fixtures of the tests of weather: a service on 127.0.0.1, and short patience with it."""

from __future__ import annotations

import random
import time
from datetime import UTC, datetime
from typing import TYPE_CHECKING
from urllib.request import ProxyHandler

import pytest
from msgspec.structs import replace

from suitability.weather.record import Station
from suitability.weather.sources.opening import make_opener
from suitability.weather.sources.transport import Patience, Transport

from .server import Server, running_server

if TYPE_CHECKING:
    from collections.abc import Iterator

NOW = datetime(2026, 11, 24, 12, 0, tzinfo=UTC)
STATION = Station(
    identifier="10637", name="Invented", latitude=50.0, longitude=8.6, elevation_m=112.0
)
SHORT = Patience(
    silence_s=3.0,
    command_s=10.0,
    tries=3,
    first_wait_s=0.001,
    longest_wait_s=0.002,
    retry_after_s=0.01,
)
HASTY = replace(SHORT, silence_s=0.25)  # only of a server that is silent: others may be busy


def quick_transport(patience: Patience = SHORT) -> Transport:
    """Means of asking that wait for milliseconds and use no proxy, whatever the environment."""
    return Transport(
        opener=make_opener(ProxyHandler({})),
        sleep=time.sleep,
        monotonic=time.monotonic,
        jitter=random.Random(7).random,  # noqa: S311  (spreads waits, guards nothing)
        started=time.monotonic(),
        patience=patience,
    )


@pytest.fixture
def transport() -> Transport:
    """Quick means of asking."""
    return quick_transport()


@pytest.fixture
def server() -> Iterator[Server]:
    """A service that has nothing yet."""
    with running_server() as running:
        yield running
