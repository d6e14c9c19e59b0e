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

_MODULES = (
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
KINDS = {module.KIND.spec: module.KIND for module in _MODULES}


def kind_of(spec: Struct) -> Kind:
    """How a specification is drawn."""
    return KINDS[type(spec)]
