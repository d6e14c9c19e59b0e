"""Where a report, not brought through a sheet yet, looks for words about heat and dry air."""

from __future__ import annotations

from suitability.answers.profile import dry_air_sentence, heat_sentence

__all__ = ["dry_air_sentence", "heat_sentence"]
