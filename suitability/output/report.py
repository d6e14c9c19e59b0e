"""The page of a report: its sheet with a list of contents, a control for trials, rules of paper."""

from __future__ import annotations

from suitability.answers.sheet import Sheet
from suitability.answers.trials import TrialControl
from suitability.answers.words import MONTH_STARTS
from suitability.brief import MONTHS
from suitability.output.page import Layout, render_page

REPORT = Layout(template="report.html", styles=("report.css",), script="report.js", packed=True)
PRINTED_WHOLE = 3  # groups up to which every chart stands on paper; more are printed in short
IN_SHORT = "group-weeks"  # the kind of chart that stands on paper even then
SHORTER = {
    "</td>": "",
    "</th>": "",
    "</tr>": "",
    "</dt>": "",
    "</dd>": "",
    ' class="number"': " class=number",
    ' scope="row"': " scope=row",
}


def render_report(sheet: Sheet, control: TrialControl) -> str:
    """
    One self-contained page: it needs no network, and the same report gives the same bytes.

    Parameters
    ----------
    control
        The trials that its script shows.
    """
    sections = {section.name: section for section in sheet.sections}
    page = render_page(
        sheet,
        REPORT,
        data={
            "months": list(MONTHS),
            "short": [month[:3] for month in MONTHS],
            "starts": list(MONTH_STARTS),
            "trials": {
                "texts": ["|".join(cells) for cells in control.texts],
                "rows": control.rows,
                "steps": control.steps,
                "asked": control.asked,
                "summaries": control.summaries,
            },
        },
        control=control,
        in_short=IN_SHORT,
        nights=sections["nights"],
        whole=len(sections["groups"].parts) <= PRINTED_WHOLE,
    )
    start, stop = page.index("<main"), page.index("<footer>")
    return page[:start] + _slim(page[start:stop]) + page[stop:]


def _slim(body: str) -> str:
    """The same tables without what HTML lets one leave out: they are most of the page."""
    for text, short in SHORTER.items():
        body = body.replace(text, short)
    return body
