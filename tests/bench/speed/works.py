"""All works, in the order of the page."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache

from . import blending, commands, grids, leaving_out, one_station, pages, weather
from .contest import Setting, Work

# The key of each work begins with its group's.
GROUPS: Mapping[str, tuple[Callable[[Setting], tuple[Work, ...]], ...]] = {
    "W1": (one_station.exposure, one_station.growth),
    "W2": (grids.in_memory, grids.on_disk, grids.growth),
    "W3": (blending.blending,),
    "W4": (one_station.dates, blending.resampling),
    "W5": (commands.start,),
    "W6": (pages.pages,),
    "places": (commands.places,),
    "collections": (commands.collections,),
    "fetching": (weather.fetching,),
    "files": (commands.large_files,),
    "calibration": (leaving_out.leaving_out,),
}


@cache
def works_of(group: str, setting: Setting) -> tuple[Work, ...]:
    """The works of one group."""
    return tuple(work for make in GROUPS[group] for work in make(setting))
