"""Every kind of chart that a sheet may ask for; a new one is added here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.output import (
    chart_course,
    chart_coverage,
    chart_curves,
    chart_group_weeks,
    chart_hours,
    chart_matrix,
    chart_month_hours,
    chart_moving_dates,
    chart_nights,
    chart_past_years,
    chart_spot_hours,
    chart_weeks,
    chart_year,
)

if TYPE_CHECKING:
    from msgspec import Struct

    from suitability.output.chart_kind import Kind

__all__ = ["KINDS", "kind_of"]

KINDS = {
    kind.spec: kind
    for kind in (
        chart_course.KIND,
        chart_coverage.KIND,
        chart_curves.KIND,
        chart_group_weeks.KIND,
        chart_hours.KIND,
        chart_matrix.KIND,
        chart_month_hours.KIND,
        chart_moving_dates.KIND,
        chart_nights.KIND,
        chart_past_years.KIND,
        chart_spot_hours.KIND,
        chart_weeks.KIND,
        chart_year.KIND,
    )
}


def kind_of(spec: Struct) -> Kind:
    """How a specification is drawn."""
    return KINDS[type(spec)]
