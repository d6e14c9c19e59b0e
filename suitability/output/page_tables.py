"""Tables of pages that are not brought through a sheet yet: escaped, with captions, named rows."""

from __future__ import annotations

import html
from typing import TYPE_CHECKING

from msgspec.structs import replace

from suitability.answers import words
from suitability.answers.check import verdicts_table
from suitability.answers.sheet import Cell
from suitability.output.page import render_table

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from suitability.advice.result import CheckResult
    from suitability.units import TemperatureUnit

__all__ = ["html_table", "verdict_table"]


def verdict_table(result: CheckResult, units: TemperatureUnit) -> str:
    """The verdicts on all groups and spots of a report."""
    table = verdicts_table(result.results, units)
    rows = tuple(
        (Cell(words.finding_label(finding, result, key=False)), *row[1:])
        for finding, row in zip(result.results, table.rows, strict=True)
    )
    return render_table(replace(table, title="Verdicts and dates", rows=rows))


def html_table(
    caption: str,
    header: Sequence[str],
    rows: Iterable[Sequence[str]],
    *,
    numbers_from: int,
    stacked: bool = False,
) -> str:
    """
    A table with a caption and named rows, escaped; it scrolls by itself where it is too wide.

    Parameters
    ----------
    rows
        Texts; the first of each row names it.
    numbers_from
        Column from which cells are set to the right.
    stacked
        Whether a phone shows each row as a block of its own.
    """
    head = "".join(f'<th scope="col">{html.escape(text)}</th>' for text in header)
    names = [
        f' data-column="{html.escape(text, quote=True)}"' if stacked else "" for text in header
    ]
    body = []
    for first, *others in rows:
        cells = "".join(
            f"<td{names[at]}"
            f"{' class=number' if at >= numbers_from else ''}>{html.escape(text)}</td>"
            for at, text in enumerate(others, start=1)
        )
        body.append(f'<tr><th scope="row">{html.escape(first)}</th>{cells}</tr>')
    label = html.escape(caption, quote=True)
    lines = "\n".join(body)
    kind = " class=stacked" if stacked else ""
    return (
        f'<div class="wide" role="region" tabindex="0" aria-label="{label}">\n<table{kind}>\n'
        f"<caption>{html.escape(caption)}</caption>\n<thead><tr>{head}</tr></thead>\n"
        f"<tbody>\n{lines}\n</tbody>\n</table>\n</div>"
    )
