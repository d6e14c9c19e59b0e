"""Where questions that are not brought through a sheet yet look for words about spots."""

from __future__ import annotations

from suitability.answers.spots import range_sentences, signed_range, spot_sentences

__all__ = ["range_sentences", "signed_range", "spot_sentences"]
