"""The store, its stations and their years as text for the terminal and as plain data for JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from suitability.weather.manifest import show_instant
from suitability.weather.years import say_years

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.weather.coverage import Coverage
    from suitability.weather.manifest import StationManifest, YearEntry
    from suitability.weather.minima import MinimumMiss
    from suitability.weather.stations import Candidate

__all__ = [
    "describe_candidates",
    "describe_coverage",
    "describe_manifest",
    "describe_miss",
    "render_candidates",
    "render_coverage",
    "render_stations",
    "render_years",
]

SHADES = " .:+#"  # share of a month observed: none, under half, under 90 %, 90 % and more, all
MONTH_LETTERS = "JFMAMJJASOND"


def render_table(rows: Sequence[Sequence[str]], right: Sequence[int] = ()) -> str:
    """Rows as columns of text, the first row as heading; columns in `right` end at their edge."""
    widths = [max(len(row[at]) for row in rows) for at in range(len(rows[0]))]
    lines = []
    for row in rows:
        cells = [
            cell.rjust(width) if at in right else cell.ljust(width)
            for at, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append("  ".join(cells).rstrip())
    return "\n".join(lines)


def render_stations(manifests: Sequence[StationManifest]) -> str:
    """The stations of the store, one line each."""
    rows = [["station", "name", "years kept", "observed h"]]
    for manifest in manifests:
        kept = [entry for entry in manifest.years if entry.is_kept]
        rows.append(
            [
                manifest.station.identifier,
                manifest.station.name[:34],
                say_years(entry.year for entry in kept) or "none",
                str(sum(entry.counts.observed for entry in kept)),
            ]
        )
    return render_table(rows, right=(3,))


def render_years(entries: Sequence[YearEntry]) -> str:
    """The years of a station, one line each, hours by what became of them."""
    rows = [["year", "status", "observed", "missing", "model", "left out", "fetched"]]
    reasons = []
    for entry in entries:
        counts = entry.counts
        left_out = counts.unknown + counts.out_of_range + counts.contradictory + counts.future
        rows.append(
            [
                str(entry.year),
                entry.status.value,
                str(counts.observed),
                str(counts.missing),
                str(counts.model + counts.forecast),
                str(left_out),
                f"{entry.fetched:%Y-%m-%d}",
            ]
        )
        why = entry.reason or entry.failure
        if why:
            reasons.append(f"{entry.year}: {why}")
    return "\n".join([render_table(rows, right=(2, 3, 4, 5)), *reasons])


def describe_manifest(manifest: StationManifest) -> dict[str, Any]:
    """A station of the store as plain data."""
    station = manifest.station
    return {
        "station": station.identifier,
        "name": station.name,
        "latitude": station.latitude,
        "longitude": station.longitude,
        "elevation_m": station.elevation_m,
        "years": [_describe_year(entry) for entry in manifest.years],
    }


def describe_miss(miss: MinimumMiss | None) -> dict[str, Any] | None:
    """What hourly readings miss of daily minima, as plain data; None where nothing is known."""
    if miss is None:
        return None
    known = miss.days > 0
    return {
        "days_compared": miss.days,
        "mean_c": round(miss.mean_c, 2) if known else None,
        "percentile_5_c": round(miss.low_c, 2) if known else None,
        "percentile_95_c": round(miss.high_c, 2) if known else None,
        "minimum_allowance_c": miss.allowance_c,
        "day_begins_utc": dict(miss.starts),
        "unmatched": list(miss.unmatched),
    }


def _describe_year(entry: YearEntry) -> dict[str, Any]:
    """A year as plain data."""
    counts = entry.counts
    return {
        "year": entry.year,
        "status": entry.status.value,
        "reason": entry.reason or entry.failure or None,
        "fetched": show_instant(entry.fetched),
        "address": entry.address,
        "hours_expected": counts.expected,
        "hours_observed": counts.observed,
        "hours_missing": counts.missing,
        "hours_model": counts.model,
        "hours_forecast": counts.forecast,
        "hours_unknown": counts.unknown,
        "hours_out_of_range": counts.out_of_range,
        "hours_contradictory": counts.contradictory,
        "hours_doubled": counts.doubled,
        "sources": dict(counts.sources),
    }


def render_candidates(candidates: Sequence[Candidate]) -> str:
    """Stations near a place, the best first, with what decided."""
    rows = [["", "station", "name", "km", "height", "listed", "observed", "why"]]
    for one in candidates:
        station, span = one.station, one.inventory_years
        height = station.height_difference_m
        rows.append(
            [
                "*" if one.chosen else " ",
                station.identifier,
                station.name[:22],
                f"{station.distance_km or 0:.0f}",
                "?" if height is None else f"{height:+.0f} m",
                "none" if span is None else f"{span[0]}-{span[1]}",
                "?" if one.observed_share is None else f"{100 * one.observed_share:.0f} %",
                one.reason,
            ]
        )
    return render_table(rows, right=(3, 4, 6))


def describe_candidates(candidates: Sequence[Candidate]) -> list[dict[str, Any]]:
    """Stations near a place as plain data."""
    return [
        {
            "station": one.station.identifier,
            "name": one.station.name,
            "latitude": one.station.latitude,
            "longitude": one.station.longitude,
            "elevation_m": one.station.elevation_m,
            "distance_km": one.station.distance_km,
            "height_difference_m": one.station.height_difference_m,
            "inventory_years": None if one.inventory_years is None else list(one.inventory_years),
            "observed_share": one.observed_share,
            "weighed_distance_km": round(one.penalty_km, 1),
            "chosen": one.chosen,
            "reason": one.reason,
        }
        for one in candidates
    ]


def render_coverage(coverage: Coverage) -> str:
    """A calendar of coverage: a line a year, a sign a month, and what the signs mean."""
    lines = [f"year  {MONTH_LETTERS}  observed  months for counts"]
    for year, observed, full, expected, usable in zip(
        coverage.years,
        coverage.observed,
        coverage.full,
        coverage.expected,
        coverage.counts_usable,
        strict=True,
    ):
        share = observed / full
        level = np.digitize(share, [1e-9, 0.5, 0.9, 1.0])
        signs = "".join(SHADES[at] for at in level)
        part = 100 * observed.sum() / max(1, expected.sum())
        lines.append(f"{year}  {signs}  {part:6.1f} %  {int(usable.sum()):2d} of 12")
    lines.append("# all hours observed  + 90 % and more  : half and more  . less  (blank) none")
    return "\n".join(lines)


def describe_coverage(coverage: Coverage) -> list[dict[str, Any]]:
    """Coverage as plain data, a row a month."""
    rows = []
    for at, year in enumerate(coverage.years):
        for month in range(12):
            hours = {
                origin.name.lower(): int(counts[at, month])
                for origin, counts in coverage.by_origin.items()
            }
            rows.append(
                {
                    "year": year,
                    "month": month + 1,
                    "hours_expected": int(coverage.expected[at, month]),
                    "hours_by_origin": hours,
                    "wmo_complete": bool(coverage.wmo_complete[at, month]),
                    "counts_usable": bool(coverage.counts_usable[at, month]),
                }
            )
    return rows
