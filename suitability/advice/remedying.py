"""What would have to change at a spot for a better answer: shelter, roof, heat, a cooler place."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from suitability.advice import verdicts, what_if
from suitability.advice.flowering import flowers_of, rests_of
from suitability.advice.profile import Remedies, RoofRest
from suitability.advice.resting import find_dry_rest
from suitability.advice.verdicts import Verdict
from suitability.climate.cold import DOSE_NIGHTS, WET_WEIGHT

if TYPE_CHECKING:
    from suitability.advice.preparing import SpotCases
    from suitability.climate.rest import RestPeriod
    from suitability.groups.group import Needs
    from suitability.spots.spot import Spot

__all__ = ["find_remedies"]

HOURS_OF_FORTNIGHT = DOSE_NIGHTS * 24.0


def find_remedies(needs: Needs, spot: Spot, judged: SpotCases, period: RestPeriod) -> Remedies:
    """
    Shelter, roof, heat, or a cooler place.

    Parameters
    ----------
    needs
        Of the plant in its state.
    judged
        The cases of the spot; these needs have a verdict there.
    period
        Of the rest at the spot.
    """
    case, verdict = judged.case(needs), judged.decision(needs).verdict
    shelter = what_if.find_margin(case, verdict)
    cooling = what_if.find_cooling(case, verdict) if needs.heat_limited else None
    roof = judged.dry_verdict(needs, spot)
    return Remedies(
        shelter_c=shelter,
        shelter_verdict=None if shelter is None else verdicts.grade(case, shelter),
        all_year_c=None
        if verdict is Verdict.ALL_YEAR
        else what_if.find_shift_to(case, Verdict.ALL_YEAR),
        cooling_c=cooling,
        cooling_verdict=None if cooling is None else verdicts.grade(case, -cooling),
        roof_verdict=roof,
        roof_rest=None if roof is None else _roof_rest(needs, judged, period),
        hold_c=_held_c(needs, wet=not spot.roofed),
        hold_growing_c=max(_held_c(needs, wet=not spot.roofed), needs.floor_c),
    )


def _roof_rest(needs: Needs, judged: SpotCases, period: RestPeriod) -> RoofRest | None:
    """The rest with rain kept off; None where no flowers hang on one, or it cannot be judged."""
    verdict, rest = find_dry_rest(needs, judged.dry_decision(needs), period)
    if rest.met_years is None or rest.partly_years is None or not rest.of_years:
        return None
    rests = rests_of(verdict, rest, needs)
    return RoofRest(
        rests=rests,
        flowers=flowers_of(verdict, rest, rests),
        met_years=rest.met_years,
        partly_years=rest.partly_years,
        of_years=rest.of_years,
    )


def _held_c(needs: Needs, *, wet: bool) -> float:
    """Night temperature that, held for ever, keeps every night fine, rounded up to 0.1 °C."""
    weight = WET_WEIGHT if wet else 1.0
    by_dose = needs.chill_base_c - needs.dose_limit_c_h / (HOURS_OF_FORTNIGHT * weight)
    held = max(needs.limit_wet_c if wet else needs.limit_c, by_dose)
    return float(np.ceil(held * 10.0 - 1e-6) / 10.0)
