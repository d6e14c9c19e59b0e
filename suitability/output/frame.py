"""
The page of questions that are not brought through a sheet yet.

It opens without a network, escapes every text and says its own policy.

The plotting script is shipped with the program (see assets/README.md) and allowed by its hash in
the page's Content-Security-Policy; so are the page's own few lines of script and style. Nothing
else may run or load.
"""

from __future__ import annotations

import html
from typing import TYPE_CHECKING

from suitability.advice.verdicts import Verdict
from suitability.answers import words
from suitability.answers.head import head_rows
from suitability.answers.hours_map import NOTE
from suitability.output.embedding import (
    PLOTLY_FILE,
    json_in_html,
    pack,
    page_policy,
    page_style,
    shared_script,
)
from suitability.output.look import STATES

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.result import CheckResult
    from suitability.answers.head import Answer
    from suitability.units import TemperatureUnit

__all__ = [
    "hours_key",
    "render_credit",
    "render_document",
    "render_frame",
    "render_head",
    "render_section",
    "year_key",
]

NO_SCRIPT = (
    "<noscript><p>The charts need scripts; the tables hold the same numbers.</p></noscript>\n"
)


def render_frame(
    result: Answer,
    units: TemperatureUnit,
    *,
    title: str,
    body: str,
    data: object,
    script: str,
    more_style: str = "",
    skip_to: tuple[str, str] | None = None,
    packed: bool = False,
) -> str:
    """
    A whole page around sections: head, place and record, footer, policy and scripts.

    Parameters
    ----------
    title
        As it was read; escaped here.
    body
        Sections as HTML, already escaped.
    data
        What the page's script reads, as plain values.
    script
        The page's own script, run after the plotting script.
    more_style
        Added to the common style.
    skip_to
        Identifier of the element to which readers by keyboard may jump at once, and the words of
        that link.
    packed
        Whether data and plotting script travel compressed; the page's script then unpacks both.
    """
    invented = f'<p class="invented"><strong>{html.escape(words.INVENTED)}</strong></p>\n'
    invented = invented if result.place.invented else ""
    record = result.record
    return render_document(
        title=title,
        head=f"{invented}{render_head(head_rows(result, units))}",
        body=body,
        footer=(
            f"<p>{html.escape(words.CAUTIONS)}</p>\n"
            f"{invented}{render_credit(record.source, record.attribution, record.licence)}"
        ),
        data=data,
        script=script,
        more_style=more_style,
        skip_to=skip_to,
        packed=packed,
    )


def render_document(
    *,
    title: str,
    head: str,
    body: str,
    footer: str,
    data: object = None,
    script: str = "",
    more_style: str = "",
    skip_to: tuple[str, str] | None = None,
    packed: bool = False,
) -> str:
    """
    A whole self-contained page with its policy and scripts; none of them without a script.

    Parameters
    ----------
    title
        As it was read; escaped here.
    head, body, footer
        HTML, already escaped: below the title, the sections, and the end.
    data, script, more_style, skip_to, packed
        As for `render_frame`.
    """
    style = page_style(more_style)
    scripts, ending = _scripts(data, script, packed=packed) if script else ((), "")
    title = words.clean(title, 120)
    skip = "" if skip_to is None else _skip_link(*skip_to)
    return f"""<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<base target="_self">
<meta http-equiv="Content-Security-Policy" content="{page_policy(scripts, style)}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="referrer" content="no-referrer">
<title>{html.escape(title)}</title>
<style>{style}</style>
</head>
<body>
{skip}<header>
<h1>{html.escape(title)}</h1>
{head}
</header>
<main>
{NO_SCRIPT if script else ""}{body}
</main>
<footer>
{footer}
</footer>
{ending}</body>
</html>
"""


def _skip_link(identifier: str, told: str) -> str:
    """The first thing that the keyboard reaches."""
    return f'<a class="skip" href="#{identifier}">{html.escape(told)}</a>\n'


def _scripts(data: object, script: str, *, packed: bool) -> tuple[tuple[str, ...], str]:
    """The scripts of a page, and the elements that hold them and their data."""
    plotly = PLOTLY_FILE.read_text(encoding="utf-8")
    script = shared_script() + script
    held = json_in_html(data)
    if packed:
        ending = f"""<script type="application/zlib" id="figures">{pack(held)}</script>
<script type="application/zlib" id="plotting">{pack(plotly)}</script>
<script>{script}</script>
"""
    else:
        ending = f"""<script type="application/json" id="figures">{held}</script>
<script>{plotly}</script>
<script>{script}</script>
"""
    return (plotly, script), ending


def render_head(rows: Sequence[tuple[str, str]]) -> str:
    """Labels and texts at the head of a page, escaped."""
    lines = "\n".join(
        f"<div><dt>{html.escape(label)}</dt><dd>{html.escape(text)}</dd></div>"
        for label, text in rows
    )
    return f"<dl>\n{lines}\n</dl>"


def render_credit(source: str, attribution: str, licence: str) -> str:
    """Source and licence once more, at the end, escaped."""
    parts = [words.clean(text) for text in (source, attribution, licence)]
    told = "Weather: " + "; ".join(part for part in parts if part) if any(parts) else ""
    return f"<p>{html.escape(told)}</p>"


def render_section(name: str, heading: str, key: str, table: str, *, level: int = 2) -> str:
    """One chart with its heading of a level, its key (HTML) and its table (HTML)."""
    escaped = html.escape(heading)
    return f"""<section aria-labelledby="{name}-heading">
<h{level} id="{name}-heading">{escaped}</h{level}>
{key}
<div class="chart" id="{name}" role="img" aria-label="Chart: {html.escape(heading, quote=True)} \
The table below holds the same numbers."></div>
{table}
</section>"""


def year_key(result: CheckResult) -> str:
    """What each fill and hatch of the year means."""
    judged = all(finding.verdict is not Verdict.NONE for finding in result.results)
    items = "".join(
        f'<li><span class="swatch {state}"></span>{html.escape(look.word)}</li>'
        for state, look in STATES.items()
        if not (judged and state == "unknown")
    )
    return f'<ul class="key">{items}</ul>'


def hours_key() -> str:
    """What the numbers and shades of the hours mean."""
    return f'<p class="key">{html.escape(NOTE)}</p>'
