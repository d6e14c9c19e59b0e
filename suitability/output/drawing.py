"""Every kind of chart that a sheet may ask for; a new one is added here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.output import (
    chart_curves,
    chart_matrix,
    chart_past_years,
    chart_spot_hours,
)

if TYPE_CHECKING:
    from msgspec import Struct

    from suitability.output.chart_kind import Kind

__all__ = ["KINDS", "kind_of"]

KINDS = {
    kind.spec: kind
    for kind in (
        chart_curves.KIND,
        chart_matrix.KIND,
        chart_past_years.KIND,
        chart_spot_hours.KIND,
    )
}


def kind_of(spec: Struct) -> Kind:
    """How a specification is drawn."""
    return KINDS[type(spec)]
