"""The store, its stations and their years as results."""

from collections.abc import Iterable
from typing import Annotated

from msgspec import Meta, Struct
from msgspec.structs import asdict

from suitability.quantities import (
    SCHEMA_VERSION,
    Count,
    Degrees,
    Difference,
    Metres,
    Month,
    Result,
    SchemaVersion,
    Share,
)
from suitability.weather.coverage import Coverage
from suitability.weather.manifest import YearEntry, YearStatus, show_instant
from suitability.weather.minima import MinimumMiss
from suitability.weather.record import OriginHours, Station
from suitability.weather.stations import Candidate
from suitability.weather.suspect_years import FAR_FEWER, find_suspects

_Missed = Annotated[float, Meta(extra={"decimals": 2}, extra_json_schema={"unit": "K"})]


class StationYear(Result, frozen=True, kw_only=True):
    """One year of a station in the store, and its hours by what became of them."""

    year: Annotated[int, Meta(description="Calendar year, UTC.")]
    status: Annotated[
        YearStatus, Meta(description="How the last successful question about it ended.")
    ]
    reason: Annotated[
        str | None,
        Meta(
            description="Why it is absent, could not be fetched or renewed, or may be a poor file."
        ),
    ]
    fetched: Annotated[str, Meta(description="When the kept answer came, ISO 8601, UTC.")]
    address: Annotated[str, Meta(description="Where it came from.")]
    hours_expected: Annotated[
        Count, Meta(description="Of the year, or of the running year up to the fetching.")
    ]
    hours_observed: Annotated[Count, Meta(description="Kept as observed.")]
    hours_missing: Annotated[Count, Meta(description="Expected and not observed.")]
    hours_model: Annotated[Count, Meta(description="Of a model, of the past: kept apart.")]
    hours_forecast: Annotated[
        Count, Meta(description="Of a model, ahead when fetched: kept apart.")
    ]
    hours_unknown: Annotated[
        Count, Meta(description="Whose source is blank or not listed: left out.")
    ]
    hours_future: Annotated[
        Count, Meta(description="Called observed, yet ahead when fetched: left out.")
    ]
    hours_out_of_range: Annotated[Count, Meta(description="Outside the plausible range: left out.")]
    hours_contradictory: Annotated[
        Count, Meta(description="Given twice with differing values: left out.")
    ]
    hours_doubled: Annotated[Count, Meta(description="Given twice with equal values: one is kept.")]
    sources: Annotated[
        dict[str, int],
        Meta(description="Hours by their source, before anything was left out; empty: a blank."),
    ]


class StoredStation(Result, frozen=True, kw_only=True):
    """A station of the store and its years, the earliest first."""

    identifier: str
    name: str
    latitude: Annotated[Degrees, Meta(ge=-90, le=90, description="North of the equator.")]
    longitude: Annotated[Degrees, Meta(ge=-180, le=180, description="East of Greenwich.")]
    elevation_m: Annotated[Metres | None, Meta(description="Above the sea; null if not known.")]
    years: tuple[StationYear, ...]


class StoreList(Result, frozen=True, kw_only=True):
    """What the store holds: `weather list`."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    folder: Annotated[str, Meta(description="Of the store.")]
    stations: tuple[StoredStation, ...]
    imported: Annotated[tuple[str, ...], Meta(description="Names of imported records.")]


class YearsFetched(Result, frozen=True, kw_only=True):
    """The years of a station and of its neighbours: `weather fetch`."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    station: StoredStation
    neighbours: Annotated[tuple[StoredStation, ...], Meta(description="Fetched to fill gaps from.")]


class NearStation(Station, frozen=True, kw_only=True):
    """A station near a place, and what speaks for it."""

    inventory_years: Annotated[
        tuple[int, int] | None,
        Meta(description="First and last year that its list names for it; a hint only."),
    ]
    observed_share: Annotated[
        Share | None,
        Meta(description="Observed of all hours of the asked years; null before it was fetched."),
    ]
    weighed_distance_km: Annotated[
        float,
        Meta(
            ge=0,
            description="Distance, height and unobserved hours weighed as one distance.",
            extra={"decimals": 1},
            extra_json_schema={"unit": "km"},
        ),
    ]
    chosen: Annotated[bool, Meta(description="It was taken.")]
    reason: Annotated[str, Meta(description="Why it was taken or passed over, in words.")]


class StationsNear(Result, frozen=True, kw_only=True):
    """Stations near a place, the best first: `weather stations`."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    stations: tuple[NearStation, ...]


class MonthCoverage(Struct, frozen=True, kw_only=True):
    """How much of one month, of standard time, was observed."""

    year: int
    month: Month
    hours_expected: Annotated[Count, Meta(description="That lie within the record.")]
    hours_by_origin: Annotated[OriginHours, Meta(description="Hours by where they come from.")]
    wmo_complete: Annotated[bool, Meta(description="A monthly value may be formed (WMO-No. 1203).")]
    counts_usable: Annotated[
        bool, Meta(description="At least 90 % of the whole month's hours were observed.")
    ]


class DailyMinima(Result, frozen=True, kw_only=True):
    """How far the lowest hourly reading of a day lies above the day's minimum."""

    days_compared: Annotated[Count, Meta(description="With a minimum and all usual readings.")]
    mean_c: Annotated[_Missed | None, Meta(description="Null without a day.")]
    percentile_5_c: Annotated[_Missed | None, Meta(description="Null without a day.")]
    percentile_95_c: Annotated[_Missed | None, Meta(description="Null without a day.")]
    minimum_allowance_c: Annotated[
        Difference | None,
        Meta(description="What a check takes from it; null where too few days tell."),
    ]
    day_begins_utc: Annotated[
        dict[str, int],
        Meta(
            description="By provider, the hour at which its day begins, from 00:00 of its date; "
            "negative: the day before.",
            extra_json_schema={"unit": "h"},
        ),
    ]
    unmatched: Annotated[
        tuple[str, ...],
        Meta(description="Providers whose days agreed with the readings in no way."),
    ]


class RecordShown(Result, frozen=True, kw_only=True):
    """What is stored of a station, or of an imported record: `weather show`."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    imported: Annotated[str | None, Meta(description="Its name; null for a station.")]
    station: Annotated[StoredStation | None, Meta(description="Null for an imported record.")]
    licence: str
    attribution: str
    coverage: Annotated[tuple[MonthCoverage, ...], Meta(description="Month by month.")]
    daily_minima: Annotated[DailyMinima | None, Meta(description="Null where nothing is known.")]


def tell_station(station: Station, years: Iterable[YearEntry]) -> StoredStation:
    """A station and its years."""
    years = tuple(years)
    suspects = find_suspects(years)
    return StoredStation(
        identifier=station.identifier,
        name=station.name,
        latitude=station.latitude,
        longitude=station.longitude,
        elevation_m=station.elevation_m,
        years=tuple(_tell_year(entry, suspect=entry.year in suspects) for entry in years),
    )


def _tell_year(entry: YearEntry, *, suspect: bool) -> StationYear:
    counts = entry.counts
    hours_of = asdict(counts)
    sources = hours_of.pop("sources")
    reason = entry.reason or entry.failure
    if suspect:
        reason = "; ".join(filter(None, (reason, f"suspect: {FAR_FEWER}")))
    return StationYear(
        year=entry.year,
        status=entry.status,
        reason=reason or None,
        fetched=show_instant(entry.fetched),
        address=entry.address,
        hours_missing=counts.missing,
        **{f"hours_{name}": hours for name, hours in hours_of.items()},
        sources=dict(sources),
    )


def tell_minima(miss: MinimumMiss | None) -> DailyMinima | None:
    """What hourly readings miss of daily minima; None where nothing is known."""
    if miss is None:
        return None
    known = miss.days > 0
    return DailyMinima(
        days_compared=miss.days,
        mean_c=miss.mean_c if known else None,
        percentile_5_c=miss.low_c if known else None,
        percentile_95_c=miss.high_c if known else None,
        minimum_allowance_c=miss.allowance_c,
        day_begins_utc=dict(miss.starts),
        unmatched=miss.unmatched,
    )


def tell_candidates(candidates: Iterable[Candidate]) -> StationsNear:
    """Stations near a place with what decided."""
    return StationsNear(
        stations=tuple(
            NearStation(
                **asdict(one.station),
                inventory_years=one.inventory_years,
                observed_share=one.observed_share,
                weighed_distance_km=one.penalty_km,
                chosen=one.chosen,
                reason=one.reason,
            )
            for one in candidates
        )
    )


def tell_coverage(coverage: Coverage) -> tuple[MonthCoverage, ...]:
    """Coverage, a row a month."""
    return tuple(
        MonthCoverage(
            year=year,
            month=month + 1,
            hours_expected=int(coverage.expected[at, month]),
            hours_by_origin=OriginHours(
                **{
                    origin.name.lower(): int(counts[at, month])
                    for origin, counts in coverage.by_origin.items()
                }
            ),
            wmo_complete=bool(coverage.wmo_complete[at, month]),
            counts_usable=bool(coverage.counts_usable[at, month]),
        )
        for at, year in enumerate(coverage.years)
        for month in range(12)
    )
