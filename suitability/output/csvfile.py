"""
The findings for spreadsheets: one row a spot and group; docs/output.md lists the columns.

Temperatures are in °C whatever the reader's unit, as the column names say; an empty cell is what is
not known.
"""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from suitability.answers import words
from suitability.output.document import check_document

if TYPE_CHECKING:
    from collections.abc import Sequence
    from typing import Any

    from suitability.advice.result import CheckResult

__all__ = [
    "FORMULA_STARTS",
    "LONGEST_CELL",
    "MONTHLY",
    "check_row",
    "neutral_cell",
    "record_columns",
    "render_csv",
    "rows_as_csv",
]

LONGEST_CELL = 32_000  # characters; spreadsheets take 32,767
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")  # noqa: RUF001  (full width)
MONTHLY = ("hours_below", "hours_below_bad", "hours_below_rest", "growing_days", "unsafe_share")
PLAIN = (
    "spot",
    "group",
    "group_name",
    "plant",
    "verdict",
    "provisional",
    "borderline",
    "verdict_colder",
    "verdict_warmer",
    "dry_verdict",
    "promise",
    "model_based",
    "years_usable",
    "years_kept",
    "years_counted",
    "margin_c",
    "headroom_c",
    "stability",
)


def render_csv(result: CheckResult) -> str:
    """
    The findings as comma-separated text with a header line, lines ended by a line feed.

    Texts that a spreadsheet would take for a formula get an apostrophe in front.
    """
    document = check_document(result)
    return rows_as_csv([check_row(document, finding) for finding in document["results"]])


def rows_as_csv(rows: Sequence[dict[str, object]]) -> str:
    """
    Rows as comma-separated text, their keys as the header line; None is an empty cell.

    Parameters
    ----------
    rows
        All with the same keys in the same order.
    """
    file = io.StringIO()
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow(rows[0] if rows else [])
    writer.writerows([_cell(value) for value in row.values()] for row in rows)
    return file.getvalue()


def neutral_cell(text: str) -> str:
    """
    A text that no spreadsheet takes for a formula, on one line.

    Examples
    --------
    >>> neutral_cell("=1+1"), neutral_cell("nobile")
    ("'=1+1", 'nobile')
    """
    if text.startswith(FORMULA_STARTS):
        return "'" + words.clean(text, LONGEST_CELL)
    cleaned = words.clean(text, LONGEST_CELL)
    return "'" + cleaned if cleaned.startswith(FORMULA_STARTS) else cleaned


def _cell(value: object) -> object:
    """A value as spreadsheets take it."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    return neutral_cell(value) if isinstance(value, str) else value


def record_columns(document: dict[str, Any]) -> dict[str, object]:
    """The columns every row begins with: the place and the record behind the answer."""
    place, record = document["place"], document["record"]
    return {
        "place": place["name"],
        "latitude": place["latitude"],
        "longitude": place["longitude"],
        "invented": place["invented"],
        "record_start": record["period"]["start"],
        "record_end": record["period"]["end"],
        "coverage": record["coverage"],
        "licence": record["licence"],
        "attribution": record["attribution"],
    }


def check_row(document: dict[str, Any], finding: dict[str, Any]) -> dict[str, object]:
    """One finding of the document of a check, flat."""
    reason = finding["reason"] or {}
    limiting = "; ".join(
        f"{one['cause']} {' '.join(map(str, one['months']))}".strip() for one in finding["limiting"]
    )
    return {
        **record_columns(document),
        **{name: finding[name] for name in PLAIN},
        "reason_code": reason.get("code"),
        "reason": reason.get("text"),
        **_season("season", finding["season"]),
        **_season("survival_season", finding["survival_season"]),
        **_named("carried_nights", finding["carried_nights"], ("typical", "worst")),
        **_named("rest", finding["rest"], ("needed", "met_years", "partly_years", "of_years")),
        "limiting": limiting,
        **finding["thresholds"],
        **{name: value for of in MONTHLY for name, value in _months(of, finding[of]).items()},
    }


def _season(name: str, season: dict[str, Any] | None) -> dict[str, object]:
    return _named(name, season, ("out", "in", "days"))


def _named(name: str, values: dict[str, Any] | None, keys: Sequence[str]) -> dict[str, object]:
    """Values of a nested object, each in a column of its own."""
    return {f"{name}_{key}": None if values is None else values[key] for key in keys}


def _months(name: str, values: list[float | None] | None) -> dict[str, object]:
    """Twelve columns, January first."""
    twelve = [None] * 12 if values is None else values
    return {f"{name}_{month:02d}": value for month, value in enumerate(twelve, start=1)}
