"""
How a group does while it is out: its comfortable nights, when it begins to grow, and the heat.

None of it changes a verdict: that asks whether a plant lives and grows, not how well.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from suitability.advice.needs import heat_word, lay_out_heat
from suitability.advice.plant_year import HARMFUL_WARM_NIGHTS
from suitability.advice.resting import days_met
from suitability.advice.verdicts import season_of
from suitability.climate.days import DAYS, month_day, turn
from suitability.climate.exposure import EPSILON_C
from suitability.climate.past_years import Stretch
from suitability.climate.seasons import run_from

if TYPE_CHECKING:
    from suitability.advice.cases import Case
    from suitability.advice.preparing import LaidSpot
    from suitability.advice.terms import HeatWord
    from suitability.advice.verdicts import Decision
    from suitability.climate.floor import CalendarCold
    from suitability.climate.heat import SpotHeat
    from suitability.groups.group import Needs
    from suitability.places import Place

BoolArray = NDArray[np.bool_]
FloatArray = NDArray[np.float64]

FORTNIGHT = 14  # days of hardening, and of nights that are averaged


def comfort_at(laid: LaidSpot, place: Place) -> list[dict[str, Any]]:
    """The fields that findings and moves share, of each group of a spot."""
    heat = lay_out_heat(laid.nights, laid.record, place)
    return [
        _comfort(needs, case, decision, heat)
        for needs, case, decision in zip(laid.needs, laid.cases, laid.decisions, strict=True)
    ]


def _comfort(needs: Needs, case: Case, decision: Decision, heat: SpotHeat) -> dict[str, Any]:
    """Those of one group."""
    calendar = case.nights.calendar
    word, warm_nights = _heat_out(needs, case.observed.winter_usable, decision, heat)
    return {
        "comfort_season": season_of(comfortable_nights(calendar, needs.comfort_c)),
        "grows_from": first_growth(calendar, needs, decision.season_allowed),
        "cool_rest": needs.rest_needed,
        "heat": word,
        "warm_nights": warm_nights,
    }


def _heat_out(
    needs: Needs, usable: BoolArray, decision: Decision, heat: SpotHeat
) -> tuple[HeatWord | None, float | None]:
    """What heat does on the days out, and the warm nights of a mean year where they do harm."""
    if needs.ceiling_c is None:
        return None, None
    days = days_met(decision)
    years = heat.years(days, ceiling_c=needs.ceiling_c, warm_night_c=needs.warm_night_c)
    word = heat_word(years, usable, hardy=needs.heat_hardy)
    if years.warm_nights is None or not usable.any():
        return word, None
    warm_nights = float(years.warm_nights[usable].mean())
    return word, warm_nights if warm_nights > HARMFUL_WARM_NIGHTS else None


def comfortable_nights(calendar: CalendarCold, comfort_c: float | None) -> Stretch | None:
    """The longest run of days whose smoothed mean night minimum is not below a mark, if any is."""
    if comfort_c is None:
        return None
    run = run_from(calendar.night_minimum_c >= comfort_c - EPSILON_C)
    start = int(np.argmax(run))
    return Stretch(start=start, nights=int(run[start])) if run[start] else None


def first_growth(calendar: CalendarCold, needs: Needs, season: Stretch | None) -> str | None:
    """
    The day out from which a fortnight of mean nights reaches the floor, if the first does not.

    In the cool season of a group whose flowers hang on a rest the rest floor counts. The day of
    coming in where no fortnight of the season does; None where the first one is warm enough on
    average, and for a group that is out all year, or never.
    """
    if season is None or season.nights >= DAYS:
        return None
    floor_c: FloatArray = np.full(DAYS, needs.floor_c)
    if needs.rest_needed and needs.rest_floor_c is not None:
        floor_c[calendar.cool_below(needs.floor_c, needs.floor_hours_limit)] = needs.rest_floor_c
    above_c = turn(calendar.night_minimum_c - floor_c, -season.start)
    if not above_c[:FORTNIGHT].mean() < -EPSILON_C:
        return None
    grows = run_from(above_c >= -EPSILON_C) >= FORTNIGHT
    return month_day(season.start + int(np.argmax(np.append(grows[: season.nights], True))))
