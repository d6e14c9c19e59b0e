"""What the range of a spot means for the verdict: the verdicts at its colder and warmer end."""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.advice import verdicts
from suitability.advice.at_spots import records_at
from suitability.advice.preparing import build_cases, lay_out_spots
from suitability.advice.result import SpotEnds
from suitability.spots.spot import End

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.preparing import CheckOptions
    from suitability.groups.group import Needs
    from suitability.places import Place
    from suitability.spots.spot import Spot
    from suitability.weather.record import Record

__all__ = ["verdicts_at_ends"]


def verdicts_at_ends(
    used: Record,
    place: Place,
    spots: Sequence[Spot],
    groups: Sequence[Needs],
    options: CheckOptions,
) -> dict[str, dict[str, SpotEnds]]:
    """
    Verdicts at the ends of each spot that has a range: spot name, then group key.

    All offsets of a spot are taken at the same end, for what makes one wrong is wrong with the
    others.

    Parameters
    ----------
    used
        From `years_asked`.
    """
    ranged = [spot for spot in spots if spot.has_range]
    if not ranged:
        return {}
    ends = (End.LOW, End.HIGH)
    asked = [(spot, end) for spot in ranged for end in ends]
    at_ends = records_at(used, place, asked)
    spots_asked = [spot for spot, _ in asked]
    laid_out = lay_out_spots(
        used, place, spots_asked, groups, options, at_spots=at_ends, colder_c=0.0
    )
    grades = [
        list(map(verdicts.grade, build_cases(nights, groups, options.rules))) for nights in laid_out
    ]
    return {
        spot.name: {
            needs.key: SpotEnds(low=cold, high=warm)
            for needs, cold, warm in zip(groups, colder, warmer, strict=True)
        }
        for spot, colder, warmer in zip(ranged, grades[::2], grades[1::2], strict=True)
    }
