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

from msgspec import Struct
from msgspec.structs import replace

from suitability.answers.sheet import Agenda, Chart, Facts, Legend, On, Table
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
    from collections.abc import Iterable, Iterator, Mapping

    from jinja2 import Environment

    from suitability.answers.sheet import Block, Section, Sheet
    from suitability.output.chart_kind import Kind

TEMPLATES = Path(__file__).parent / "templates"
HERE = (On.ALL, On.PAGE)
STYLE_NAME = re.compile("[a-z][a-z0-9-]*")
TYPED = re.compile("`([^`]+)`")
OPTION = re.compile(r"--[\w-]+")  # which no line breaks


class Layout(Struct, frozen=True, kw_only=True):
    """
    How a page is laid out.

    Attributes
    ----------
    template
        Among the templates.
    styles
        Files among the assets, added to the style of every page.
    script
        File among the assets that draws the charts.
    packed
        Whether the data travel compressed, as the plotting script does; for very many charts.
    """

    template: str = "page.html"
    styles: tuple[str, ...] = ()
    script: str = "charts.js"
    packed: bool = False


PLAIN = Layout()


def render_page(
    sheet: Sheet, layout: Layout = PLAIN, *, data: Mapping[str, Any] | None = None, **values: Any
) -> str:
    """
    A sheet as a page; the same sheet gives the same bytes.

    Parameters
    ----------
    data
        What the script reads beside the charts, as plain values.
    values
        What the template asks for beside the sheet.
    """
    shown = replace(sheet, sections=tuple(_shown(sheet.sections)))
    charts = list(charts_of(shown.sections))
    kinds = list({id(kind): kind for kind in (kind_of(one.spec) for one in charts)}.values())
    styles = map(asset, ("sheet.css", *layout.styles))
    style = page_style("".join([*styles, *map(kind_style, kinds)]))
    values |= {"style": _as_it_is(style), "charts": "", "plotting": "", "script": ""}
    scripts: tuple[str, ...] = ()
    if charts:
        plotting = PLOTLY_FILE.read_text(encoding="utf-8")
        own = dict.fromkeys(kind.script for kind in kinds if kind.script)
        script = "".join([shared_script(), *map(asset, own), asset(layout.script)])
        scripts = (plotting, script)
        held = json_in_html(_charts_data(charts) | dict(data or {}))
        own_texts = {
            "charts": pack(held) if layout.packed else held,
            "plotting": pack(plotting),  # two thirds of most pages otherwise
            "script": script,
        }
        values |= {name: _as_it_is(text) for name, text in own_texts.items()}
    return (
        page_environment()
        .get_template(layout.template)
        .render(
            sheet=shown,
            listed=[one for one in shown.sections if one.title and not one.lead],
            policy=page_policy(scripts, style),
            packed=layout.packed,
            **values,
        )
        .lstrip("\n")
    )


def _as_it_is(text: str) -> str:
    """Style, script or data of the page's own making, which no template escapes."""
    from markupsafe import Markup  # noqa: PLC0415  (comes with the templates, for pages alone)

    return Markup(text)  # noqa: S704


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
        finalize=_with_code,
    )
    environment.tests["table"] = lambda block: isinstance(block, Table)
    environment.tests["facts"] = lambda block: isinstance(block, Facts)
    environment.tests["legend"] = lambda block: isinstance(block, Legend)
    environment.tests["agenda"] = lambda block: isinstance(block, Agenda)
    environment.tests["chart"] = lambda block: isinstance(block, Chart)
    environment.tests["style_name"] = lambda sign: STYLE_NAME.fullmatch(sign) is not None
    environment.globals |= {
        "shared_chart": _shared_chart,
        "rows_of": _rows_of,
        "kind_name": lambda chart: kind_of(chart.spec).name,
    }
    return environment


def _with_code(value: Any) -> Any:
    """A text in which what is to be typed, in backticks, stands as code; what is escaped stays."""
    if not isinstance(value, str) or "`" not in value or hasattr(value, "__html__"):
        return value
    from markupsafe import escape  # noqa: PLC0415  (comes with the templates)

    def code(typed: re.Match[str]) -> str:
        whole = OPTION.sub(r"<span>\g<0></span>", typed[1])
        return f"<code>{whole}</code>"

    return _as_it_is(TYPED.sub(code, str(escape(value))))


def _shown(sections: Iterable[Section]) -> Iterator[Section]:
    """Sections with what stands on a page."""
    for section in sections:
        if section.on in HERE:
            yield replace(
                section,
                blocks=tuple(map(_page_block, (one for one in section.blocks if one.on in HERE))),
                parts=tuple(_shown(section.parts)),
            )


def _page_block(table: Block) -> Block:
    """A table with the columns of a page; any other block as it is."""
    if not isinstance(table, Table) or all(column.on in HERE for column in table.columns):
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


def _rows_of(table: Table) -> Iterator[tuple[tuple[str, str], list[tuple[str, str, str]]]]:
    """
    Rows as a template writes them: the first cell, which names the row, and the others.

    Each is its text, its style, and for others what a phone says before it; templates are slow at
    telling such things of many thousand cells.
    """
    titles = [column.title if table.stacked else "" for column in table.columns]
    usual = [
        " ".join(name for name in ("number", "wraps") if getattr(column, name))
        for column in table.columns
    ]
    for row in table.rows:
        cells = [
            (cell.text, f"{cell.mark} {style}".rstrip() if cell.mark else style, title)
            for cell, style, title in zip(row, usual, titles, strict=True)
        ]
        yield cells[0][:2], cells[1:]


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
