"""
The moves for spreadsheets: one row a spot and group; docs/moves.md lists the columns.

Dates of temperatures asked for stand in every row, for they belong to the place. An empty cell is
what is not known; temperatures are in °C.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from suitability.output.csvfile import record_columns, rows_as_csv
from suitability.output.moves_document import moves_document

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.moves_result import MovesResult

__all__ = ["move_row", "render_moves_csv"]

DATE = ("promised", "typical", "watch_from", "watch_to", "earliest", "latest", "holds_alone")
SURE = (
    "promise", "model_based", "chance", "chance_5_years", "chance_10_years", "years_usable",
    "years_kept", "years_counted", "kept_low", "kept_high", "risk_not_excluded",
)  # fmt: skip
DECADES = (
    "last_years", "last_kept", "earlier_years", "earlier_kept", "days_per_decade", "trend_p",
)  # fmt: skip
LEVEL = (
    "spring_if_it_happens", "spring_in_any_year", "autumn_if_it_happens", "autumn_in_any_year",
)  # fmt: skip


def render_moves_csv(result: MovesResult) -> str:
    """
    The moves as comma-separated text with a header line, lines ended by a line feed.

    Texts that a spreadsheet would take for a formula get an apostrophe in front.
    """
    document = moves_document(result)
    thresholds = _thresholds(document["thresholds"])
    return rows_as_csv([{**move_row(document, move), **thresholds} for move in document["results"]])


def move_row(document: dict[str, Any], move: dict[str, Any]) -> dict[str, object]:
    """One group of the document of moves, flat."""
    reason = move["reason"] or {}
    return {
        **record_columns(document),
        "spot": move["spot"],
        "group": move["group"],
        "group_name": move["group_name"],
        "plant": move["plant"],
        "verdict": move["verdict"],
        "provisional": move["provisional"],
        **_named("out", move["out"], DATE),
        **_named("in", move["in"], DATE),
        **_named("season", move["season"], ("out", "in", "days")),
        **_named("typical", move["typical_season"], ("out", "in", "days")),
        **_named("survival_season", move["survival_season"], ("out", "in", "days")),
        **{name: move[name] for name in SURE},
        **_named("carried_nights", move["carried_nights"], ("typical", "worst")),
        **_named("decades", move["decades"], DECADES),
        "reason_code": reason.get("code"),
        "reason": reason.get("text"),
    }


def _named(name: str, values: dict[str, Any] | None, keys: Sequence[str]) -> dict[str, object]:
    """Values of a nested object, each in a column of its own."""
    return {f"{name}_{key}": None if values is None else values[key] for key in keys}


def _thresholds(thresholds: Sequence[dict[str, Any]]) -> dict[str, object]:
    """Columns of the temperatures asked for, numbered in the order in which they were asked."""
    columns: dict[str, object] = {}
    for number, dates in enumerate(thresholds, start=1):
        name = f"threshold_{number}"
        columns[f"{name}_c"] = dates["threshold_c"]
        columns[f"{name}_seasons"] = dates["seasons"]
        columns[f"{name}_seasons_with_event"] = dates["seasons_with_event"]
        columns[f"{name}_summers_without_gap"] = dates["summers_without_gap"]
        for level in dates["levels"]:
            share = f"{100 * level['probability']:.0f}"
            columns |= {f"{name}_{key}_{share}": level[key] for key in LEVEL}
    return columns
