"""
Any sheet as one self-contained page: it opens without a network and says its own policy.

Templates escape every text; only style, scripts and their data are put in as they are. A name that
a template asks for and nobody gave is an error.
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from msgspec.structs import replace

from suitability.answers.sheet import Chart, Facts, On, Table
from suitability.output.drawing import kind_of, page_data
from suitability.output.embedding import (
    PLOTLY_FILE,
    asset,
    json_in_html,
    pack,
    page_policy,
    page_style,
    shared_script,
)
from suitability.output.repeats import share_repeats

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from jinja2 import Environment

    from suitability.answers.sheet import Block, Cell, Section, Sheet, TableColumn
    from suitability.output.chart_kind import Kind

__all__ = [
    "charts_of",
    "kind_style",
    "page_environment",
    "render_key",
    "render_page",
    "render_table",
]

TEMPLATES = Path(__file__).parent / "templates"
HERE = (On.ALL, On.PAGE)
STYLE_NAME = re.compile("[a-z][a-z0-9-]*")


def render_page(sheet: Sheet, *, packed: bool = False) -> str:
    """
    A sheet as a page; the same sheet gives the same bytes.

    Parameters
    ----------
    packed
        Whether data and plotting script travel compressed, for pages with very many charts.
    """
    shown = replace(sheet, sections=tuple(_shown(sheet.sections)))
    charts = list(charts_of(shown.sections))
    kinds = list({id(kind): kind for kind in (kind_of(one.spec) for one in charts)}.values())
    style = page_style(asset("sheet.css") + "".join(map(kind_style, kinds)))
    values = {"style": _as_it_is(style), "charts": "", "plotting": "", "script": ""}
    scripts: tuple[str, ...] = ()
    if charts:
        plotting = PLOTLY_FILE.read_text(encoding="utf-8")
        own = [asset(kind.script) for kind in kinds if kind.script]
        script = "".join([shared_script(), *own, asset("charts.js")])
        scripts = (plotting, script)
        data, carried = json_in_html(_charts_data(charts)), plotting
        if packed:
            data, carried = pack(data), pack(plotting)
        held = {"charts": data, "plotting": carried, "script": script}
        values |= {name: _as_it_is(text) for name, text in held.items()}
    return (
        page_environment()
        .get_template("page.html")
        .render(
            sheet=shown,
            listed=[section for section in shown.sections if section.title],
            policy=page_policy(scripts, style),
            packed=packed,
            **values,
        )
        .lstrip("\n")
    )


def _as_it_is(text: str) -> str:
    """Style, script or data of the page's own making, which no template escapes."""
    from markupsafe import Markup  # noqa: PLC0415  (comes with the templates, for pages alone)

    return Markup(text)  # noqa: S704


def render_table(table: Table) -> str:
    """One table with its caption and notes, for pages that are put together by hand."""
    blocks: Any = page_environment().get_template("blocks.html").module
    return str(blocks.table_of(_page_table(table), {"title": ""}))


def render_key(chart: Chart) -> str:
    """The key of a chart with its notes, for pages that are put together by hand."""
    blocks: Any = page_environment().get_template("blocks.html").module
    return str(blocks.key_of(chart))


def charts_of(sections: Iterable[Section]) -> Iterator[Chart]:
    """All charts of sections and those within them, in order."""
    for section in sections:
        yield from (block for block in section.blocks if isinstance(block, Chart))
        yield from charts_of(section.parts)


@cache
def page_environment() -> Environment:
    """Where templates are loaded from, and what they may ask."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined  # noqa: PLC0415  (pages only)

    environment = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    environment.tests["table"] = lambda block: isinstance(block, Table)
    environment.tests["facts"] = lambda block: isinstance(block, Facts)
    environment.tests["chart"] = lambda block: isinstance(block, Chart)
    environment.tests["style_name"] = lambda sign: STYLE_NAME.fullmatch(sign) is not None
    environment.globals |= {"shared_chart": _shared_chart, "classes_of": _classes_of}
    return environment


def _shown(sections: Iterable[Section]) -> Iterator[Section]:
    """Sections with what stands on a page."""
    for section in sections:
        if section.on in HERE:
            yield replace(
                section,
                blocks=tuple(map(_page_block, (one for one in section.blocks if one.on in HERE))),
                parts=tuple(_shown(section.parts)),
            )


def _page_block(block: Block) -> Block:
    return _page_table(block) if isinstance(block, Table) else block


def _page_table(table: Table) -> Table:
    """The table with the columns of a page."""
    if all(column.on in HERE for column in table.columns):
        return table
    kept = [at for at, column in enumerate(table.columns) if column.on in HERE]
    return replace(
        table,
        columns=tuple(table.columns[at] for at in kept),
        rows=tuple(tuple(row[at] for at in kept) for row in table.rows),
    )


def _shared_chart(section: Section) -> Chart | None:
    """A chart whose key and notes are those of all charts in a section; None without several."""
    charts = list(charts_of([section]))
    if len({(one.key, one.notes) for one in charts}) == 1 and len(charts) > 1:
        return charts[0]
    return None


def _classes_of(cell: Cell, column: TableColumn) -> str:
    """The style of a cell: what it means, and what its column asks for."""
    flags = {"number": column.number, "wraps": column.wraps}
    return " ".join([*filter(None, [cell.mark]), *(name for name, holds in flags.items() if holds)])


def kind_style(kind: Kind) -> str:
    """The style of a kind of chart, with its colours in the place of their names."""
    text = asset(kind.style) if kind.style else ""
    for name, colour in kind.colours.items():
        text = text.replace(f"@{name}@", colour)
    return text


def _charts_data(charts: Iterable[Chart]) -> dict[str, Any]:
    """What the page's script draws; parts that repeat stand once."""
    shared, parts = share_repeats(
        [
            {"id": one.name, "kind": kind_of(one.spec).name, "data": page_data(one.spec)}
            for one in charts
        ]
    )
    return {"charts": shared, "parts": parts}
