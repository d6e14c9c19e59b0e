"""
The visual rules: one restrained palette that survives colour blindness and black-and-white print.

Meaning never hangs on colour: each state has a hatch and a word too, and the lightness of the
colours differs. Contrast of text on its ground is at least 4.5 to 1 (WCAG 2.2, AA).
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = [
    "COVERAGE_SCALE",
    "FONT",
    "GROUND",
    "HOURS_SCALE",
    "INK",
    "LINE",
    "PHASES",
    "QUIET",
    "STATES",
    "Look",
]

INK = "#20302e"
QUIET = "#4d5b58"
LINE = "#c9cfc8"
GROUND = "#fbfaf6"
FONT = "system-ui, 'Segoe UI', 'Noto Sans', 'DejaVu Sans', Arial, sans-serif"


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """How a state of the year is drawn: word, fill, hatch and its colour, colour of its text."""

    word: str
    fill: str
    hatch: str
    hatch_colour: str
    text: str


STATES = {
    "outdoors": Look(
        word="outdoors", fill="#1d5c63", hatch="", hatch_colour="#1d5c63", text="#ffffff"
    ),
    "moving": Look(
        word="moving out: two weeks of hardening",
        fill="#f0c75e",
        hatch="/",
        hatch_colour="#7a4f00",
        text=INK,
    ),
    "survives": Look(
        word="would survive outdoors, does not grow",
        fill="#cfdde3",
        hatch=".",
        hatch_colour="#45616d",
        text=INK,
    ),
    "indoors": Look(word="indoors", fill="#efe9dc", hatch="", hatch_colour="#efe9dc", text=INK),
    "unknown": Look(
        word="no verdict: too little is known",
        fill="#ffffff",
        hatch="x",
        hatch_colour="#c3c7c5",
        text=INK,
    ),
}

# Phases of growth, from dark to light: growing, waking, slowing, resting.
PHASES = {
    "growing": Look(
        word="growing", fill="#24543a", hatch="", hatch_colour="#24543a", text="#ffffff"
    ),
    "waking": Look(word="waking", fill="#9cc795", hatch="/", hatch_colour="#6f9f69", text=INK),
    "slowing": Look(word="slowing", fill="#ead7a6", hatch="\\", hatch_colour="#c2a55f", text=INK),
    "resting": Look(word="resting", fill="#f1efe9", hatch=".", hatch_colour="#b3b1a6", text=INK),
}

# Hours below the floor, from none to the whole month: one hue, light to dark, with a leap at half
# the month. Numbers are written dark on the light half and white on the dark one; tones between
# the two would be legible with neither.
HOURS_SCALE = (
    (0.0, "#fbfaf6"),
    (0.001, "#eef1f4"),
    (0.5, "#b4c4d4"),
    (0.5, "#4a6285"),
    (1.0, "#1b2a4a"),
)

# Share of a month that was observed: the same tones, with the leap at 90 %, where a month may be
# counted, so that good months stand together as dark and the others as light.
COVERAGE_SCALE = (
    (0.0, "#fbfaf6"),
    (0.001, "#eef1f4"),
    (0.9, "#b4c4d4"),
    (0.9, "#33507a"),
    (1.0, "#1b2a4a"),
)
