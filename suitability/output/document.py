"""
The JSON document of `check --json`, as docs/json.md explains and docs/schema/check.json holds it.

Every key is always there; what is not known is null, never NaN and never 0. Temperatures are in °C.
"""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING, Any

from msgspec import to_builtins
from msgspec.json import encode
from msgspec.structs import asdict

from suitability.output.profile_document import profile_values
from suitability.output.spot_words import spot_values
from suitability.output.values import NORMAL_DECIMALS, RAW_DECIMALS, finite, season_values

if TYPE_CHECKING:
    from collections.abc import Iterable

    from msgspec import Struct

    from suitability.advice.result import (
        CheckResult,
        Finding,
        MonthOfYear,
        PlaceZones,
        Reason,
        RecordSummary,
        Settings,
        WorstFortnight,
        WorstNight,
    )
    from suitability.places import Place
    from suitability.weather.record import Station

__all__ = [
    "SCHEMA_VERSION",
    "check_document",
    "place_values",
    "reason_values",
    "record_values",
    "render_json",
    "settings_values",
]

SCHEMA_VERSION = 1


def check_document(result: CheckResult) -> dict[str, Any]:
    """
    The result of a check as plain values.

    Keys stand in the order of docs/json.md. Raw counts keep six decimals, climatology three.
    """
    # Groups with the same floor share their raw counts: each is written out once.
    shared = {id(finding.by_month): finding.by_month for finding in result.findings}
    months = {key: [_month(month) for month in by_month] for key, by_month in shared.items()}
    return {
        "schema_version": SCHEMA_VERSION,
        "place": place_values(result.place),
        "record": record_values(result.record),
        "settings": settings_values(result.settings),
        "zones": None if result.zones is None else _zones(result.zones),
        "spots": [spot_values(spot) for spot in result.spots],
        "results": [_finding(finding, months) for finding in result.findings],
        "profiles": [profile_values(profile) for profile in result.profiles],
    }


def _zones(zones: PlaceZones) -> dict[str, Any]:
    return {
        "hardiness": zones.hardiness,
        "lowest_c": finite(zones.lowest_c, NORMAL_DECIMALS),
        "winters": zones.winters,
        "heat": zones.heat,
        "hot_days": finite(zones.hot_days, NORMAL_DECIMALS),
        "years": zones.years,
    }


def render_json(document: Struct | dict[str, Any]) -> str:
    r"""
    One JSON document, a result encoded, on one line, without a line end.

    Only ASCII characters, others escaped, so that it passes any terminal and pipe unharmed. Numbers
    that are not finite must have been made None before; tests see to it.

    Examples
    --------
    >>> render_json({"name": "Å"})
    '{"name":"\\u00c5"}'
    """
    try:
        text = encode(document).decode("utf-8")
    except UnicodeError:  # a file's name that is no text: half of a pair of surrogates
        return json.dumps(to_builtins(document), allow_nan=False, separators=(",", ":"))
    return text if text.isascii() else re.sub(r"[^\x00-\x7f]", _escaped, text)


def _escaped(found: re.Match[str]) -> str:
    """One character as JSON escapes it, a pair of surrogates beyond the basic plane."""
    return json.dumps(found[0])[1:-1]


def _numbers(values: Iterable[float | None], decimals: int = NORMAL_DECIMALS) -> list[float | None]:
    return [finite(value, decimals) for value in values]


def place_values(place: Place) -> dict[str, Any]:
    """The place as plain values."""
    return {
        "name": place.name,
        "latitude": place.latitude,
        "longitude": place.longitude,
        "elevation_m": finite(place.elevation_m, NORMAL_DECIMALS),
        "zone": place.zone,
        "utc_offset_hours": finite(place.utc_offset_hours, RAW_DECIMALS),
        "invented": place.invented,
    }


def record_values(record: RecordSummary) -> dict[str, Any]:
    """The record as plain values."""
    return {
        "period": {"start": record.period.start, "end": record.period.end},
        "hours_valid": record.hours_valid,
        "coverage": finite(record.coverage, RAW_DECIMALS),
        "step_hours": record.step_hours,
        "origin": asdict(record.origin),
        "source": record.source,
        "licence": record.licence,
        "attribution": record.attribution,
        "station": None if record.station is None else _station(record.station),
        "flags": [
            {"name": flag.name, "hours": flag.hours, "removed": flag.removed}
            for flag in record.flags
        ],
        "notes": list(record.notes),
        "rain_known": record.rain_known,
    }


def _station(station: Station) -> dict[str, Any]:
    return {
        "identifier": station.identifier,
        "name": station.name,
        "latitude": station.latitude,
        "longitude": station.longitude,
        "elevation_m": finite(station.elevation_m, NORMAL_DECIMALS),
        "distance_km": finite(station.distance_km, NORMAL_DECIMALS),
        "height_difference_m": finite(station.height_difference_m, NORMAL_DECIMALS),
    }


def settings_values(settings: Settings) -> dict[str, Any]:
    """What was asked for, as plain values."""
    return {
        "promise": settings.promise,
        "caution": str(settings.caution),
        "minimum_allowance_c": finite(settings.minimum_allowance_c, RAW_DECIMALS),
        "minimum_allowance_from": settings.minimum_allowance_from,
        "seed": settings.seed,
        "quality": settings.quality,
        "understood": list(settings.understood),
    }


def _finding(finding: Finding, months: dict[int, list[dict[str, Any]]]) -> dict[str, Any]:
    return {
        "spot": finding.spot,
        "group": finding.group,
        "group_name": finding.group_name,
        "plant": finding.plant or None,
        **_judgement(finding),
        **_counts(finding),
        "by_month": months[id(finding.by_month)],
        "season": season_values(finding.season),
        "survival_season": season_values(finding.survival_season),
        "survival_seasons": [season_values(season) for season in finding.survival_seasons],
        **_advice(finding),
        "thresholds": _thresholds(finding),
        "worst_nights": [_night(night) for night in finding.worst_nights],
        "worst_fortnights": [_fortnight(fortnight) for fortnight in finding.worst_fortnights],
    }


def _judgement(finding: Finding) -> dict[str, Any]:
    """The verdict and what it leans on."""
    dry, ends = finding.dry_verdict, finding.spot_ends
    return {
        "verdict": finding.verdict.value,
        "reason": None if finding.reason is None else reason_values(finding.reason),
        "provisional": finding.provisional,
        "borderline": finding.borderline,
        "verdict_colder": finding.verdict_colder.value,
        "verdict_warmer": finding.verdict_warmer.value,
        "dry_verdict": None if dry is None else dry.value,
        "spot_ends": None if ends is None else {"low": ends.low.value, "high": ends.high.value},
        "promise": finding.promise,
        "model_based": finding.model_based,
        "years_usable": finding.years_usable,
        "years_kept": finding.years_kept,
        "years_counted": finding.years_counted,
    }


def _counts(finding: Finding) -> dict[str, Any]:
    """Hours below the floors."""
    growth, rest = finding.growth, finding.rest_floor
    return {
        "hours_below": _numbers(growth.hours),
        "hours_below_median": _numbers(growth.median_hours),
        "hours_below_bad": _numbers(growth.bad_hours),
        "degree_hours_below": _numbers(growth.degree_hours),
        "years_of_month": list(growth.years),
        "hours_below_rest": None if rest is None else _numbers(rest.hours),
        "degree_hours_below_rest": None if rest is None else _numbers(rest.degree_hours),
    }


def _advice(finding: Finding) -> dict[str, Any]:
    """What stands beside the seasons."""
    carried = finding.carried_nights
    rest = finding.rest
    return {
        "growing_days": list(finding.growing_days),
        "unsafe_share": _numbers(finding.unsafe_share, RAW_DECIMALS),
        "carried_nights": None
        if carried is None
        else {"typical": carried.typical, "worst": carried.worst},
        "margin_c": finite(finding.margin_c, NORMAL_DECIMALS),
        "headroom_c": finite(finding.headroom_c, NORMAL_DECIMALS),
        "rest": {
            "needed": rest.needed,
            "met_years": rest.met_years,
            "partly_years": rest.partly_years,
            "of_years": rest.of_years,
        },
        "limiting": [
            {"cause": limiting.cause, "months": list(limiting.months)}
            for limiting in finding.limiting
        ],
        "stability": finite(finding.stability, RAW_DECIMALS),
        "flowers": finding.flowers.value,
        "line": finding.line,
    }


def _thresholds(finding: Finding) -> dict[str, Any]:
    return {
        "floor_c": finite(finding.floor_c, RAW_DECIMALS),
        "rest_floor_c": finite(finding.rest_floor_c, RAW_DECIMALS),
        "chill_base_c": finite(finding.chill_base_c, RAW_DECIMALS),
        "dose_limit_c_h": finite(finding.dose_limit_c_h, RAW_DECIMALS),
        "limit_c": finite(finding.limit_c, RAW_DECIMALS),
        "limit_wet_c": finite(finding.limit_wet_c, RAW_DECIMALS),
        "ceiling_c": finite(finding.ceiling_c, RAW_DECIMALS),
        "low_confidence_limit": finding.low_confidence_limit,
    }


def reason_values(reason: Reason) -> dict[str, Any]:
    """A reason as plain values."""
    numbers = {name: finite(value, RAW_DECIMALS) for name, value in reason.numbers.items()}
    return {"code": reason.code, "text": reason.text, "numbers": numbers}


def _month(month: MonthOfYear) -> dict[str, Any]:
    return {
        "year": month.year,
        "month": month.month,
        "hours_valid": month.hours_valid,
        "hours_below": finite(month.hours_below, RAW_DECIMALS),
        "degree_hours_below": finite(month.degree_hours_below, RAW_DECIMALS),
    }


def _night(night: WorstNight) -> dict[str, Any]:
    return {
        "evening": night.evening.isoformat(),
        "minimum_c": finite(night.minimum_c, NORMAL_DECIMALS),
        "below_limit_c": finite(night.below_limit_c, NORMAL_DECIMALS),
    }


def _fortnight(fortnight: WorstFortnight) -> dict[str, Any]:
    return {
        "last_evening": fortnight.last_evening.isoformat(),
        "dose_c_h": finite(fortnight.dose_c_h, NORMAL_DECIMALS),
        "lowest_c": finite(fortnight.lowest_c, NORMAL_DECIMALS),
    }
