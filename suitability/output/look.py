"""
The visual rules: one restrained palette that survives colour blindness and black-and-white print.

Meaning never hangs on colour: each state has a hatch and a word too, and the lightness of the
colours differs. Contrast of text on its ground is at least 4.5 to 1 (WCAG 2.2, AA).
"""

from __future__ import annotations

from msgspec import Struct

INK = "#20302e"
QUIET = "#4d5b58"
LINE = "#c9cfc8"
GROUND = "#fbfaf6"
FONT = "system-ui, 'Segoe UI', 'Noto Sans', 'DejaVu Sans', Arial, sans-serif"


class Look(Struct, frozen=True):
    """How a state of the year is drawn: fill, hatch and its colour, colour of its text."""

    fill: str
    hatch: str
    hatch_colour: str
    text: str


STATES = {
    "outdoors": Look("#1d5c63", "", "#1d5c63", "#ffffff"),
    "slowed": Look("#9cc6c9", "\\", "#1c5b62", INK),
    "moving": Look("#f0c75e", "/", "#7a4f00", INK),
    "survives": Look("#cfdde3", ".", "#45616d", INK),
    "indoors": Look("#efe9dc", "", "#efe9dc", INK),
    "unknown": Look("#ffffff", "x", "#c3c7c5", INK),
}

# Phases of growth, from dark to light: growing, waking, slowing, resting.
PHASES = {
    "growing": Look("#24543a", "", "#24543a", "#ffffff"),
    "waking": Look("#9cc795", "/", "#6f9f69", INK),
    "slowing": Look("#ead7a6", "\\", "#c2a55f", INK),
    "resting": Look("#f1efe9", ".", "#b3b1a6", INK),
}

# What the charts of one group draw: hours by month, night minima, thresholds, heat. Lines differ in
# dash and width too, bars in hatch and lightness.
NIGHTS = {
    "mean": Look("#33507a", "", "#33507a", "#ffffff"),
    "bad": Look("#d5dfea", "/", "#33507a", INK),
    "rest": Look("#9a5b13", "", "#9a5b13", INK),
    "band": Look("#c3d0de", "", "#c3d0de", INK),
    "middle": Look("#1d3f72", "", "#1d3f72", INK),
    "lowest": Look("#4d5b58", "", "#4d5b58", INK),
    "floor": Look("#24653a", "", "#24653a", INK),
    "chill": Look("#8a5200", "", "#8a5200", INK),
    "limit": Look("#9c1f14", "", "#9c1f14", INK),
    "heat": Look("#c4564a", "\\", "#6d140b", INK),
}

# The same colours where a reader's screen is dark. Scales from none to much stay as they are.
DARK = {
    "#20302e": "#ebe8df",  # ink
    "#4d5b58": "#b4beba",  # quiet
    "#c9cfc8": "#43504d",  # line
    "#fbfaf6": "#141d1c",  # ground
    "#ffffff": "#1d2827",  # paper
    "#1d5c63": "#27757d",  # outdoors
    "#9cc6c9": "#2b4e53",  # slowed
    "#1c5b62": "#9cc6c9",
    "#f0c75e": "#6d5413",  # moving
    "#7a4f00": "#f0c75e",
    "#cfdde3": "#33464f",  # survives
    "#45616d": "#a5c0cb",
    "#efe9dc": "#333d3a",  # indoors
    "#c3c7c5": "#6b7673",  # no verdict
    "#24543a": "#2f7a52",  # growing
    "#9cc795": "#3c6a39",  # waking
    "#6f9f69": "#274a25",
    "#ead7a6": "#665527",  # slowing
    "#c2a55f": "#43371a",
    "#f1efe9": "#39413e",  # resting
    "#b3b1a6": "#626b67",
    "#33507a": "#86a9dc",  # mean
    "#d5dfea": "#2a3a4e",  # bad year
    "#9a5b13": "#e0a458",  # rest floor
    "#c3d0de": "#2d3f55",  # band of nights
    "#1d3f72": "#a9c6f2",  # usual night
    "#24653a": "#7cc796",  # floor
    "#8a5200": "#e3a94f",  # chill base
    "#9c1f14": "#ff9a8c",  # limit
    "#c4564a": "#d9796d",  # heat
    "#6d140b": "#ffd3cc",
    "#d9e8e6": "#203a39",  # season
    "#16243f": "#c4d4f6",  # hard night
    "#2f74b5": "#66a9e8",  # wet
    "#c47a17": "#e5a64c",  # dose
    "#a3271b": "#f58e82",  # hot day
    "#98a29e": "#77827e",  # not observed
    "#b4541a": "#e58a4f",  # lines and bars that stand beside each other: spots, a fit, a week
    "#7a6a00": "#d3c057",
    "#8a3b5c": "#e08fb2",
    "#3d7a3a": "#86c983",
    "#6f8f8c": "#93b5b1",
    "#d9b44a": "#c9a53f",
    "#a9c9c6": "#86aba8",
    "rgba(29,92,99,0.18)": "rgba(127,208,216,0.25)",
    "#8c2d19": "#f0927c",  # day maximum
    "#6b6b63": "#b9b9ae",  # length of the day
}

# Lines that stand beside each other: spots of a week, each with its own dash too.
SERIES = ("#1d5c63", "#b4541a", "#7a6a00", "#45616d", "#8a3b5c", "#3d7a3a")


def band(colour: str) -> str:
    """
    A colour as the ground of a band, through which lines are seen.

    Examples
    --------
    >>> band("#1d5c63")
    'rgba(29,92,99,0.22)'
    """
    red, green, blue = (int(colour[at : at + 2], 16) for at in (1, 3, 5))
    return f"rgba({red},{green},{blue},0.22)"


DARK |= {band(colour): band(DARK[colour]) for colour in SERIES}

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
