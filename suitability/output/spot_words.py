"""What a spot adds to the open air: for questions that are not brought through a sheet yet."""

from suitability.answers.spots import range_sentences, spot_decides, spot_sentences

__all__ = ["range_sentences", "spot_decides", "spot_sentences"]
