"""The year of one group: phases by weeks, over where it stands by days."""

from __future__ import annotations

from suitability.answers.report_charts import GroupWeeks
from suitability.answers.words import MONTH_STARTS
from suitability.output.chart_kind import Kind
from suitability.output.chart_layout import AXIS, Figure, chart_layout, days_axis, with_legend
from suitability.output.chart_weeks import KIND as WEEKS
from suitability.output.chart_weeks import phase_traces, strip_traces

HEIGHT_PX = 124
ROW = ""  # the only row needs no label


def group_weeks_data(spec: GroupWeeks) -> Figure:
    """The figure on a page, which has a key of its own."""
    layout = chart_layout(HEIGHT_PX, {"l": 8, "r": 8, "t": 46, "b": 22})
    layout |= {
        "barmode": "overlay",
        "xaxis": days_axis(spec.title_across, MONTH_STARTS, spec.months),
        "yaxis": {**AXIS, "showgrid": False, "showticklabels": False, "autorange": "reversed"},
        "meta": {"today": 0},
    }
    return {
        "data": [*phase_traces(spec.phases, (ROW,)), *strip_traces(spec.standing, (ROW,))],
        "layout": layout,
    }


def group_weeks_figure(spec: GroupWeeks) -> Figure:
    """The figure as it stands alone."""
    return with_legend(group_weeks_data(spec))


KIND = Kind(
    name="group-weeks",
    spec=GroupWeeks,
    figure=group_weeks_figure,
    data=group_weeks_data,
    style=WEEKS.style,
    colours=WEEKS.colours,
)
