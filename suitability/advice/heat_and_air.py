"""
Heat and dry air on the days that a plant spends out, with a warning where they do harm.

Where it spends none they are those it would meet. Neither changes a verdict here: what heat
excludes is the verdict's own question.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.advice.plant_year import DryAir, HeatOutlook
from suitability.advice.resting import lay_out_resting
from suitability.advice.terms import HeatWord, Rain
from suitability.climate.chance import bad_year
from suitability.climate.days import DAYS, hours_by_night, local_hour
from suitability.climate.heat import judge_heat, sum_by_year
from suitability.climate.humidity import dry_air, vapour_deficit_kpa

if TYPE_CHECKING:
    from suitability.climate.heat import HeatYears
    from suitability.climate.rest import RestPeriod
    from suitability.climate.states import SpotNights
    from suitability.groups.group import Needs
    from suitability.places import Place
    from suitability.spots.spot import Spot
    from suitability.weather.record import Record

__all__ = ["SpotYear", "find_dry_air", "find_heat", "lay_out_spot_year"]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

FEWEST_YEARS = 3  # as for a verdict; what fewer show is told in numbers alone
MOST_YEARS = 0.5  # more than this share of years is "most"; reasoned
HEAT_HOURS_FEW, HEAT_HOURS_MANY = 20.0, 150.0  # h a year above the ceiling; reasoned
HARMFUL_RUN_DAYS, HARMFUL_WARM_NIGHTS = 4, 14  # days in a row; more nights than this; reasoned
HARMFUL_SHARE = 0.1  # of the years; more than this is told as a warning; reasoned
DEFICIT_KPA = 2.0  # of vapour; to compare places by, no limit of any group; reasoned
DRYING_HOURS = 20.0  # h a year of dry air above which thin-leaved groups are warned of; reasoned
DRYING_OUT = frozenset(
    (
        "latouria",
        "oxyglossum",
        "phalaenopsis",
        "paphiopedilum-warm",
        "paphiopedilum-cool",
        "masdevallia",
    )
)  # groups that dry air harms first; reasoned


class SpotYear(Struct, frozen=True, kw_only=True):
    """
    What the plant years of all groups at one spot share.

    Attributes
    ----------
    spot
        Name.
    nights
    period
        Of rest.
    rain
    temp_c : (night, 24), °C
        Observed hours only; nan elsewhere.
    rhum_pct : (night, 24), %, or None
    """

    spot: str
    nights: SpotNights
    period: RestPeriod
    rain: Rain
    temp_c: FloatArray
    rhum_pct: FloatArray | None


def lay_out_spot_year(spot: Spot, nights: SpotNights, used: Record, place: Place) -> SpotYear:
    """
    What the plant years of all groups at one spot share.

    Parameters
    ----------
    nights
        Laid out from `used`.
    used
        From `years_asked`.
    """
    start = local_hour(used.start_hour, place.utc_offset_hours)
    rain = Rain.NOT_KNOWN if used.prcp_mm is None else Rain.KNOWN
    observed = np.where(used.counted, used.temp_c, np.nan)
    humidity = used.rhum_pct
    return SpotYear(
        spot=spot.name,
        nights=nights,
        period=lay_out_resting(nights, used.prcp_mm, start, roofed=spot.roofed),
        rain=Rain.KEPT_OFF if spot.roofed else rain,
        temp_c=hours_by_night(observed, start)[1],
        rhum_pct=None if humidity is None else hours_by_night(humidity, start)[1],
    )


def find_heat(
    needs: Needs, usable: BoolArray, out: BoolArray, year: SpotYear
) -> HeatOutlook | None:
    """
    Heat on the days spent out; None for a group without a ceiling.

    Parameters
    ----------
    usable : (plant year)
        Years observed well enough, cut at mid-winter.
    out : (365)
    """
    if needs.ceiling_c is None:
        return None
    nights = year.nights
    years = judge_heat(
        nights.axis,
        year.temp_c,
        nights.winter,
        out if out.any() else np.ones(DAYS, np.bool_),
        ceiling_c=needs.ceiling_c,
        warm_night_c=needs.warm_night_c,
    )
    hours, runs = years.hours[usable], np.sort(years.longest_run[usable])
    harmful = int(_harmful(years)[usable].sum())
    warm = years.warm_nights
    some = bool(usable.any())
    return HeatOutlook(
        word=_heat_word(harmful, hours),
        ceiling_c=needs.ceiling_c,
        warm_night_c=needs.warm_night_c,
        hours_mean=float(hours.mean()) if some else None,
        hours_bad=bad_year(hours) if some else None,
        hours_by_month=tuple(
            None if np.isnan(value) else value for value in years.hours_by_month.tolist()
        ),
        longest_run=int(runs[-1]) if some else None,
        usual_run=int(runs[runs.size // 2]) if some else None,
        warm_nights_mean=float(warm[usable].mean()) if warm is not None and some else None,
        harmful_years=harmful,
        of_years=int(hours.size),
        spent_out=bool(out.any()),
    )


def _harmful(years: HeatYears) -> BoolArray:
    """Years whose heat does harm, (plant year)."""
    harmful: BoolArray = (years.hours > HEAT_HOURS_MANY) | (years.longest_run >= HARMFUL_RUN_DAYS)
    if years.warm_nights is not None:
        harmful |= years.warm_nights > HARMFUL_WARM_NIGHTS
    return harmful


def _heat_word(harmful: int, hours: FloatArray) -> HeatWord:
    """Damage is to be expected where most years do harm, and is told where one in ten does."""
    if hours.size < FEWEST_YEARS:
        return HeatWord.UNKNOWN
    if harmful > MOST_YEARS * hours.size:
        return HeatWord.EXPECT_DAMAGE
    often = harmful > HARMFUL_SHARE * hours.size or float(np.median(hours)) > HEAT_HOURS_FEW
    return HeatWord.AT_TIMES if often else HeatWord.LITTLE


def find_dry_air(needs: Needs, usable: BoolArray, out: BoolArray, year: SpotYear) -> DryAir | None:
    """
    Dry air on the days spent out; None without humidity or a usable year.

    Parameters
    ----------
    usable : (plant year)
        Years observed well enough, cut at mid-winter.
    out : (365)
    """
    if year.rhum_pct is None or not usable.any():
        return None
    days = out if out.any() else np.ones(DAYS, np.bool_)

    def by_year(flags: BoolArray) -> FloatArray:
        by_night = flags.sum(axis=1).astype(np.float64)
        return sum_by_year(year.nights.axis, by_night, year.nights.winter, days)[usable]

    hours = by_year(dry_air(year.temp_c, year.rhum_pct))
    deficit = by_year(vapour_deficit_kpa(year.temp_c, year.rhum_pct) > DEFICIT_KPA)
    return DryAir(
        hours_mean=float(hours.mean()),
        hours_bad=bad_year(hours),
        deficit_hours_mean=float(deficit.mean()),
        warned=needs.key in DRYING_OUT and float(hours.mean()) > DRYING_HOURS,
    )
