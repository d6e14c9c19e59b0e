"""The usual cautions, wherever heating, lifting, spraying, animals or trade come up."""

from __future__ import annotations

__all__ = ["ANIMALS", "HEATING", "LIFTING", "SPRAYING"]

ANIMALS = (
    "Not known to be toxic to cats and dogs, yet chewing may upset a stomach; sprays, slug bait "
    "and feed are the hazard."
)
HEATING = (
    "Heat outdoors or in the damp only from a fixed, weather-rated supply with residual-current "
    "protection, fitted by a licensed electrician to the local code; no flame in a room or closed "
    "porch, elsewhere only with a flue or large vents and a carbon-monoxide alarm."
)
LIFTING = (
    "Wet pots are heavy: no ladder alone, no leaning over a parapet; secure what hangs over people "
    "and keep to what a balcony may bear."
)
SPRAYING = (
    "Sprays, slug bait and feed: keep to the label, away from people, animals and food; wash hands "
    "after old potting mix."
)
