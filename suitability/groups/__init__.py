"""What groups of plants need: the type, its validation, and the catalogue."""

from suitability.groups.group import (
    FLOOR_HOURS_LIMIT,
    WET_LIMIT_LIFT_C,
    Caution,
    Confidence,
    Group,
    Mark,
    Needs,
    Rest,
    RestNeed,
    Value,
)
from suitability.groups.reading import Catalogue, read_catalogue

__all__ = [
    "FLOOR_HOURS_LIMIT",
    "WET_LIMIT_LIFT_C",
    "Catalogue",
    "Caution",
    "Confidence",
    "Group",
    "Mark",
    "Needs",
    "Rest",
    "RestNeed",
    "Value",
    "read_catalogue",
]
