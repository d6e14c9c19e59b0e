"""Where a report, not brought through a sheet yet, looks for titles of charts."""

from __future__ import annotations

from suitability.answers.hours_map import hours_title
from suitability.answers.year_bars import year_title

__all__ = ["hours_title", "year_title"]
