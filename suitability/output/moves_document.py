"""
The JSON document of `moves --json`, as docs/moves.md explains and docs/schema/moves.json holds it.

Every key is always there; what is not known is null, never NaN and never 0. Temperatures are in °C,
days of the year "MM-DD" in the place's standard time.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from suitability.advice.verdicts import Verdict
from suitability.output.document import place_values, reason_values, record_values, settings_values
from suitability.output.values import RAW_DECIMALS, finite, season_values

if TYPE_CHECKING:
    from suitability.advice.moves_result import (
        Decades,
        Move,
        MoveDate,
        MovesResult,
        ThresholdDates,
        ThresholdLevel,
        YearOutdoors,
    )

__all__ = ["MOVES_SCHEMA_VERSION", "moves_document"]

MOVES_SCHEMA_VERSION = 1
PROBABILITY_DECIMALS = 4  # of chances and odds: beyond that is noise


def moves_document(result: MovesResult) -> dict[str, Any]:
    """The moves as plain values, keys in the order of docs/moves.md."""
    return {
        "schema_version": MOVES_SCHEMA_VERSION,
        "place": place_values(result.place),
        "record": record_values(result.record),
        "settings": settings_values(result.settings),
        "results": [_move(move, result.settings.promise) for move in result.moves],
        "thresholds": [_threshold(dates) for dates in result.thresholds],
    }


def _move(move: Move, promise: float) -> dict[str, Any]:
    carried = move.carried_nights
    return {
        "spot": move.spot,
        "group": move.group,
        "group_name": move.group_name,
        "plant": move.plant or None,
        "verdict": move.verdict.value,
        "reason": None if move.reason is None else reason_values(move.reason),
        "provisional": move.provisional,
        "promise": promise,
        "model_based": move.model_based,
        "season": season_values(None if move.verdict is Verdict.INDOOR else move.season),
        "typical_season": season_values(move.typical_season),
        "survival_season": season_values(move.survival_season),
        "survival_seasons": [season_values(season) for season in move.survival_seasons],
        "out": _date(move.out),
        "in": _date(move.inn),
        "chance": _odds(move.chance),
        "chance_5_years": _odds(move.chance_5_years),
        "chance_10_years": _odds(move.chance_10_years),
        "years_usable": move.years_usable,
        "years_kept": move.years_kept,
        "years_counted": move.years_counted,
        "kept_low": _odds(move.kept_low),
        "kept_high": _odds(move.kept_high),
        "risk_not_excluded": _odds(move.risk_not_excluded),
        "carried_nights": None
        if carried is None
        else {"typical": carried.typical, "worst": carried.worst},
        "decades": None if move.decades is None else _decades(move.decades),
        "by_year": [_year(year) for year in move.by_year],
    }


def _odds(value: float | None) -> float | None:
    return finite(value, PROBABILITY_DECIMALS)


def _date(date: MoveDate | None) -> dict[str, Any] | None:
    if date is None:
        return None
    return {
        "promised": date.promised,
        "typical": date.typical,
        "watch_from": date.watch_from,
        "watch_to": date.watch_to,
        "earliest": date.earliest,
        "latest": date.latest,
        "holds_alone": _odds(date.holds_alone),
    }


def _decades(decades: Decades) -> dict[str, Any]:
    return {
        "last_years": decades.last_years,
        "last_kept": decades.last_kept,
        "earlier_years": decades.earlier_years,
        "earlier_kept": decades.earlier_kept,
        "days_per_decade": finite(decades.days_per_decade, RAW_DECIMALS),
        "trend_p": _odds(decades.trend_p),
    }


def _year(year: YearOutdoors) -> dict[str, Any]:
    return {
        "year": year.year,
        "out": year.out,
        "in": year.inn,
        "days": year.days,
        "kept": year.kept,
        "first_day": year.first_day,
        "nights": year.nights,
    }


def _threshold(dates: ThresholdDates) -> dict[str, Any]:
    return {
        "threshold_c": finite(dates.threshold_c, RAW_DECIMALS),
        "seasons": dates.seasons,
        "seasons_with_event": dates.seasons_with_event,
        "summers_without_gap": dates.summers_without_gap,
        "levels": [_level(level) for level in dates.levels],
    }


def _level(level: ThresholdLevel) -> dict[str, Any]:
    return {
        "probability": level.probability,
        "spring_if_it_happens": level.spring_if_it_happens,
        "spring_in_any_year": level.spring_in_any_year,
        "autumn_if_it_happens": level.autumn_if_it_happens,
        "autumn_in_any_year": level.autumn_in_any_year,
    }
