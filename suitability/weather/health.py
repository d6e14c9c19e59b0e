"""Whether the program finds what it needs on this computer, and whether the service answers."""

import platform
from collections.abc import Mapping
from datetime import datetime
from importlib.metadata import version
from pathlib import Path
from typing import Annotated, Literal

from msgspec import Meta

from suitability.errors import SourceError, StoreError
from suitability.quantities import SCHEMA_VERSION, Count, Result, SchemaVersion
from suitability.weather.manifest import YearStatus, show_instant
from suitability.weather.sources.meteostat import ask_control, read_addresses
from suitability.weather.sources.transport import Answer, Patience, Transport
from suitability.weather.station_list import ensure_stations
from suitability.weather.store import list_imported
from suitability.weather.upkeep import find_damaged
from suitability.weather.year_store import list_stations

SHORT_PATIENCE = Patience(silence_s=5.0, command_s=10.0, tries=1, tries_unreached=1)
KEPT = (YearStatus.COMPLETE, YearStatus.PARTIAL)
PACKAGES = ("meteostat", "numpy", "pandas", "plotly", "xarray")  # that answers or files depend on


class Stored(Result, frozen=True, kw_only=True):
    """What the store holds, counted."""

    stations: Count
    years: Annotated[Count, Meta(description="With a file, of all stations.")]
    imported: Annotated[tuple[str, ...], Meta(description="Names of imported records.")]
    station_list: Annotated[
        str | None, Meta(description="When the kept list came, ISO 8601, UTC; null without one.")
    ]
    faults: Annotated[tuple[str, ...], Meta(description="What is damaged or cannot be read.")]


class Health(Result, frozen=True, kw_only=True):
    """What the program finds on this computer: `doctor`."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    version: Annotated[str, Meta(description="Of the program.")]
    python: Annotated[str, Meta(description="Version of Python.")]
    system: Annotated[str, Meta(description="Name and release of the operating system.")]
    packages: Annotated[dict[str, str], Meta(description="Versions of the main packages.")]
    folder: Annotated[str, Meta(description="Of the weather store.")]
    stored: Stored
    service: Annotated[
        Literal["answers", "silent", "not-asked"],
        Meta(description="Of the weather service, by one short request."),
    ]
    service_reason: Annotated[str, Meta(description="Why it is silent; empty otherwise.")]
    no_pictures: Annotated[
        str, Meta(description="Why pictures cannot be drawn; empty if they can.")
    ]


def examine(
    folder: Path,
    *,
    now: datetime,
    transport: Transport | None,
    environment: Mapping[str, str],
    no_pictures: str,
) -> Health:
    """
    Look through the set-up; what is amiss is told, and is no error.

    Parameters
    ----------
    transport
        Means of asking the service; None: it is not asked.
    environment
        Usually `os.environ`; it may redirect the service.
    no_pictures
        Why pictures cannot be drawn.
    """
    service, reason = _ask(transport, environment, now)
    return Health(
        version=version("suitability"),
        python=platform.python_version(),
        system=f"{platform.system()} {platform.release()}",
        packages={name: version(name) for name in PACKAGES},
        folder=str(folder),
        stored=_look_into(folder, now),
        service=service,
        service_reason=reason,
        no_pictures=no_pictures,
    )


def _ask(
    transport: Transport | None, environment: Mapping[str, str], now: datetime
) -> tuple[Literal["answers", "silent", "not-asked"], str]:
    """What the service answers to a request for a file that exists, and why it does not."""
    if transport is None:
        return "not-asked", ""
    try:
        reply = ask_control(transport, read_addresses(environment), now)
    except SourceError as reason:
        return "silent", str(reason)
    if reply.answer is Answer.FOUND:
        return "answers", ""
    return "silent", reply.reason or "it has no file where one is known to exist (404)"


def _look_into(folder: Path, now: datetime) -> Stored:
    """What is stored; a store that cannot be read counts as empty, with its fault."""
    try:
        stations = list_stations(folder)
        imported = tuple(list_imported(folder))
        fetched = _list_fetched(folder, now)
        faults = find_damaged(folder)
    except StoreError as reason:
        return Stored(stations=0, years=0, imported=(), station_list=None, faults=(str(reason),))
    return Stored(
        stations=len(stations),
        years=sum(entry.status in KEPT for one in stations for entry in one.years),
        imported=imported,
        station_list=fetched,
        faults=faults,
    )


def _list_fetched(folder: Path, now: datetime) -> str | None:
    """When the kept list of stations came."""
    try:
        kept = ensure_stations(folder, endpoints=tuple, now=now, transport=None)
    except SourceError:
        return None
    return show_instant(kept.fetched)
