"""The page of `compare --chart`: the matrix of verdicts, and hours below the floor by spot."""

from __future__ import annotations

import html
from typing import TYPE_CHECKING, Any

from suitability.answers import words
from suitability.output.charts import HEAD_PX, ROW_PX, lay_out
from suitability.output.comparison_words import (
    MARK_LETTERS,
    credit_sentences,
    difference_sentence,
    letters_key,
    marks_of,
    short_cell,
    spot_label,
)
from suitability.output.embedding import ASSETS
from suitability.output.frame import render_document, render_head, render_section
from suitability.output.look import INK, LINE, STATES
from suitability.output.page_tables import html_table
from suitability.units import TemperatureUnit

if TYPE_CHECKING:
    from plotly.graph_objects import Figure

    from suitability.advice.compared import Comparison, Row

__all__ = ["draw_hours_by_spot", "draw_matrix", "render_comparison_page"]

RANKS = {"no-verdict": 0, "indoor-only": 1, "outdoor-seasonal": 2, "outdoor-all-year": 3}
FILLS = ("#f4f2ec", STATES["indoors"].fill, "#a9c9c6", STATES["outdoors"].fill)
RANKS_OUTDOORS = RANKS["outdoor-seasonal"]
CELL_PX = 26
MARK_PX = 15  # of each further line of a cell
WORDED_COLUMNS = 10  # spots beside each other whose cells have room for words
BAR_GROUPS = 6  # groups whose hours are drawn; all are in the table


def _labels(found: Comparison) -> list[str]:
    return list(dict.fromkeys(words.chart_text(spot_label(row, found)) for row in found.results))


def draw_matrix(found: Comparison) -> Figure:
    """Groups down, spots across: the verdict in words, darker the better."""
    from plotly.graph_objects import Figure, Heatmap  # noqa: PLC0415  (heavy, only for charts)

    labels = _labels(found)
    groups = _groups(found)
    by_cell = {(words.chart_text(spot_label(row, found)), row.group): row for row in found.results}
    rows = [[by_cell[label, group] for label in labels] for group in groups]
    short = [[_tiny_cell(row, found) for row in line] for line in rows]
    worded = len(labels) <= WORDED_COLUMNS
    marks = max(len(marks_of(row, found)) for row in found.results) if worded else 0
    names = [words.chart_text(words.clean(group, 24)) for group in groups]
    figure = Figure(
        Heatmap(
            meta="short",  # a phone shows the short words that travel beside the others
            x=labels,
            y=names,
            z=[[RANKS[row.verdict.value] for row in line] for line in rows],
            text=[
                ["<br>".join([short_cell(row), *marks_of(row, found)]) for row in line]
                for line in rows
            ]
            if worded
            else short,
            customdata=short,
            texttemplate="%{text}",
            textfont={"size": 12},
            hovertext=[[_hover(row, found) for row in line] for line in rows],
            hovertemplate="%{hovertext}<extra></extra>",
            colorscale=[
                [step / 4 + edge / 4, fill] for step, fill in enumerate(FILLS) for edge in (0, 1)
            ],
            zmin=-0.5,
            zmax=3.5,
            xgap=2,
            ygap=2,
            showscale=False,
        )
    )
    lay_out(figure, "", names)
    figure.update_layout(
        title=None,
        height=HEAD_PX + 60 + (CELL_PX + MARK_PX * marks) * len(groups),
        margin={"l": 8, "r": 8, "t": 40, "b": 24},
    )
    figure.update_xaxes(
        side="top", type="category", title={"text": ""}, automargin=True, showgrid=False
    )
    figure.update_yaxes(showgrid=False)
    return figure


def _groups(found: Comparison) -> list[str]:
    return list(dict.fromkeys(row.group for row in found.results))


def _tiny_cell(row: Row, found: Comparison) -> str:
    """The verdict where there is no room for words."""
    tiny = {"indoor-only": "in", "outdoor-all-year": "year"}
    said = short_cell(row).removesuffix(" ?")
    marks = ["?"] if said != short_cell(row) else []
    marks += [MARK_LETTERS[mark] for mark in marks_of(row, found)]
    return " ".join([tiny.get(said, said.removesuffix(" days")), *marks])


def matrix_title(found: Comparison) -> str:
    """At which spot most groups can live outdoors, and at which fewest."""
    groups = len(_groups(found))
    outdoors: dict[str, int] = {}
    for row in found.results:
        label = spot_label(row, found)
        outdoors[label] = outdoors.get(label, 0) + (RANKS[row.verdict.value] >= RANKS_OUTDOORS)
    most = max(outdoors, key=lambda label: outdoors[label])
    fewest = min(outdoors, key=lambda label: outdoors[label])
    said = (
        f"{outdoors[most]} of {groups} groups can live outdoors at {most}, for a season or all year"
        if groups > 1
        else f"The group {'can' if outdoors[most] else 'cannot'} live outdoors at {most}"
    )
    if outdoors[most] == outdoors[fewest]:
        return f"{said}{'' if len(outdoors) == 1 else ' as at every other spot'}."
    return f"{said}; {'not' if groups == 1 else outdoors[fewest]} at {fewest}."


def hours_by_spot_title(found: Comparison) -> str:
    """Where a year has most and fewest hours below the growth floor, among what is drawn."""
    drawn = _groups(found)[:BAR_GROUPS]
    known = [
        (row.hours_below.year, f"{words.clean(row.group, 24)} at {spot_label(row, found)}")
        for row in found.results
        if row.hours_below.year is not None and row.group in drawn
    ]
    if not known:
        return "Hours below the growth floor: no year was observed well enough."
    (fewest, least_at), (most, most_at) = min(known), max(known)
    return (
        f"Most hours below a growth floor: {words.hours(most)} h a year, {most_at}; "
        f"fewest: {words.hours(fewest)} h, {least_at}."
    )


def _hover(row: Row, found: Comparison) -> str:
    unsafe = words.UNKNOWN if row.unsafe_nights is None else f"{row.unsafe_nights:.0f}"
    below = words.UNKNOWN if row.hours_below.year is None else f"{row.hours_below.year:.0f}"
    verdict = ", ".join([words.VERDICT_WORDS[row.verdict], *marks_of(row, found)])
    return (
        f"{words.chart_text(words.clean(row.group_name, 60))}<br>"
        f"{words.chart_text(words.clean(row.spot, 40))}: {verdict}<br>"
        f"{unsafe} unsafe nights a year<br>{below} h a year below the growth floor"
    )


def draw_hours_by_spot(found: Comparison) -> Figure:
    """Bars of hours a year below the growth floor, by spot; the first groups asked for."""
    from plotly.graph_objects import Bar, Figure  # noqa: PLC0415  (heavy, only for charts)

    labels = _labels(found)
    groups = _groups(found)[:BAR_GROUPS]
    hatches = ("", "/", "x", ".", "\\", "-")
    fills = (STATES["outdoors"].fill, "#b4541a", "#6f8f8c", "#d9b44a", "#45616d", "#a9c9c6")
    figure = Figure()
    for group, hatch, fill in zip(groups, hatches, fills, strict=False):
        rows = [row for row in found.results if row.group == group]
        figure.add_trace(
            Bar(
                name=words.chart_text(group),
                orientation="h",
                y=[words.chart_text(spot_label(row, found)) for row in rows],
                x=[
                    0.0 if row.hours_below.year is None else round(row.hours_below.year, 1)
                    for row in rows
                ],
                text=[
                    words.UNKNOWN if row.hours_below.year is None else f"{row.hours_below.year:.0f}"
                    for row in rows
                ],
                textposition="outside",
                textfont={"size": 12},
                cliponaxis=False,
                marker={
                    "color": fill,
                    "line": {"color": INK, "width": 0.6},
                    "pattern": {
                        "shape": hatch,
                        "fgcolor": "#ffffff",
                        "bgcolor": fill,
                        "size": 6,
                        "solidity": 0.3,
                    },
                },
                hovertemplate="%{y}: %{x:.0f} h a year<extra>%{fullData.name}</extra>",
            )
        )
    lay_out(figure, "", labels)
    figure.update_layout(
        title=None,
        barmode="group",
        height=HEAD_PX * 2 + max(ROW_PX, 20 * len(groups)) * len(labels),
        margin={"l": 8, "r": 48, "t": 28, "b": 72},
        legend={"orientation": "h", "x": 0, "y": 1, "yref": "paper", "yanchor": "bottom"},
    )
    figure.update_xaxes(
        title={"text": "hours a year below the growth floor"}, gridcolor=LINE, linecolor=INK
    )
    return figure


def render_comparison_page(found: Comparison) -> str:
    """One self-contained page; the same comparison, the same bytes."""
    names = "; ".join(words.clean(place.name, 60) for place in found.places)
    invented = any(place.invented for place in found.places)
    head = [("Places", names), ("Promise", f"what {found.promise:.0%} of new years keep")]
    if invented:
        head.insert(0, ("Invented", words.INVENTED))
    figures = [
        ("matrix", matrix_title(found), draw_matrix(found), _matrix_table(found)),
        ("hours", hours_by_spot_title(found), draw_hours_by_spot(found), ""),
    ]
    order = "".join(
        f"<li>{html.escape(f'{one.group}: {difference_sentence(one, found)}')}</li>"
        for one in found.differences
    )
    data: list[dict[str, Any]] = [
        {"id": name, "figure": figure.to_dict()} for name, _, figure, _ in figures
    ]
    letters = "".join(f" {letter}." for letter in letters_key(found))
    marks = "".join(f" {said}" for said in words.mark_sentences(found.results, TemperatureUnit.C))
    many = len(_groups(found)) > BAR_GROUPS
    drawn = f"The first {BAR_GROUPS} groups; all are" if many else "All are"
    key = {
        "matrix": '<p class="key">Days, or a number alone: of the season outdoors; in: indoors. '
        f"?: the range of what is known of the spot decides.{letters}{marks}</p>",
        "hours": f'<p class="key">Hours of a mean year. {drawn} in the table above.</p>',
    }
    body = "\n".join(
        render_section(name, heading, key[name], table) for name, heading, _, table in figures
    )
    credit = "".join(f"<p>{html.escape(text)}</p>" for text in credit_sentences(found))
    return render_document(
        title="Which spot suits which group",
        head=render_head(head),
        body=f"{body}<section><h2>The order of spots</h2><ul>{order}</ul></section>",
        footer=f"<p>{html.escape(words.CAUTIONS)}</p>{credit}",
        data=data,
        script=(ASSETS / "page.js").read_text(encoding="utf-8"),
    )


def _matrix_table(found: Comparison) -> str:
    header = (
        *("Spot", "Group", "Verdict", "Season, days", "Unsafe nights a year", "in the worst year"),
        *("Hours below floor a year", "Hours above ceiling a year", "Carried nights", "Light"),
    )

    def number(value: float | None) -> str:
        return words.UNKNOWN if value is None else f"{value:.0f}"

    rows = [
        (
            spot_label(row, found),
            words.clean(row.group, 40),
            ", ".join([short_cell(row), *marks_of(row, found)]),
            str(row.days),
            number(row.unsafe_nights),
            number(row.unsafe_nights_worst),
            number(row.hours_below.year),
            "-" if row.heat_hours is None else number(row.heat_hours),
            "-" if row.carried_nights is None else str(row.carried_nights.typical),
            row.light,
        )
        for row in found.results
    ]
    return html_table("All spots and groups", header, rows, numbers_from=3)
