"""
A group looked at before buying: what every output reads of it, and none of them computes.

Temperatures are in °C, differences in K; days of the year are "MM-DD" in the place's standard time.
What is not known is None.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from datetime import date

    from suitability.advice.plant_state import PlantState, StateChange
    from suitability.advice.plant_year import PlantYear
    from suitability.advice.terms import Flowers, Rests, Season
    from suitability.advice.verdicts import Verdict

__all__ = [
    "BudRisk",
    "CautionVerdict",
    "FirstFailure",
    "HourRange",
    "NotedDamage",
    "Profile",
    "Remedies",
    "RoofRest",
]


class FirstFailure(Struct, frozen=True, kw_only=True):
    """
    What fails first, were the plant left out all year.

    Attributes
    ----------
    failing_years, of_years
        Plant years with an unsafe night, of those that tell.
    causes
        Cause of the first unsafe night, and in how many years, most years first: `hard-night`,
        `wet-cold` (only because the pot was wet), `dose`, `heat`.
    usual_date, earliest_date
        Of that night's evening, in the median and the earliest year; None where none failed.
    spare_c : K
        Cooling that the worst night of the years that tell still stands; None where one failed.
    """

    failing_years: int
    of_years: int
    causes: tuple[tuple[str, int], ...]
    usual_date: str | None
    earliest_date: str | None
    spare_c: float | None


class HourRange(Struct, frozen=True, kw_only=True):
    """
    A range of temperatures against the hours of the mean year.

    Attributes
    ----------
    kind
        `label`: what the plant's label says; `lives`: from the limit to the ceiling; `grows`: from
        the growth floor to the warmest day of its growth.
    low_c, high_c
    hours_below, hours_within, hours_above : h a year
    """

    kind: str
    low_c: float
    high_c: float | None
    hours_below: float | None
    hours_within: float | None
    hours_above: float | None


class RoofRest(Struct, frozen=True, kw_only=True):
    """The rest with rain kept off: in words, and the years that met it or did so partly."""

    rests: Rests
    flowers: Flowers
    met_years: int
    partly_years: int
    of_years: int


class Remedies(Struct, frozen=True, kw_only=True):
    """
    What would have to change for a better verdict.

    Attributes
    ----------
    shelter_c, shelter_verdict
        Least warming of the spot that raises the verdict, and to which; None: none up to 15.
    all_year_c
        Least warming for all year; None: none up to 15, or it is all year.
    cooling_c, cooling_verdict
        Least cooling that raises it, for groups that heat excludes.
    roof_verdict
        With rain kept off; None where rain makes no difference or is kept off.
    roof_rest
        The rest then; None without such a verdict, or where no flowers hang on a rest.
    hold_c
        Night temperature that a heated, frost-free spot must not fall below for no night to harm:
        the limit, or what a whole fortnight may have without the dose being passed.
    hold_growing_c
        Night temperature to be held for the group to grow or rest all year.
    """

    shelter_c: float | None
    shelter_verdict: Verdict | None
    all_year_c: float | None
    cooling_c: float | None
    cooling_verdict: Verdict | None
    roof_verdict: Verdict | None
    roof_rest: RoofRest | None
    hold_c: float
    hold_growing_c: float


class CautionVerdict(Struct, frozen=True, kw_only=True):
    """The verdict at one end of the group's ranges: caution `low`, `usual` or `high`."""

    caution: str
    verdict: Verdict
    season: Season | None


class BudRisk(Struct, frozen=True, kw_only=True):
    """
    What may blast buds on the days that the plant spends out, nights of the mean year.

    Attributes
    ----------
    cold_nights
        Below the chill base.
    jumps
        Night minimum more than 8 °C from that of the night before.
    """

    cold_nights: float | None
    jumps: float | None


class NotedDamage(Struct, frozen=True, kw_only=True):
    """
    Damage that the grower noted, beside what the record says of the 14 nights before it.

    Attributes
    ----------
    day, words
    lowest_c
        Lowest reading of those nights; None where the record does not cover them.
    dose_c_h
        Greatest dose of those nights.
    expected
        Whether the group's thresholds call one of them unsafe; None where it is not known.
    """

    day: date
    words: str
    lowest_c: float | None
    dose_c_h: float | None
    expected: bool | None


class Profile(Struct, frozen=True, kw_only=True):
    """
    One group at one spot before buying, or one plant in the state that it is in.

    Attributes
    ----------
    plant
        Its name; empty for a group.
    year
        Whether it survives, grows, rests and flowers.
    cold, heat
        What fails first by cold, counted from mid-summer on; by heat, from mid-winter on, for the
        groups that heat excludes. None without a verdict.
    ranges
        Of the label where one was given, of its life, of its growth.
    remedies
        None without a verdict.
    cautions
        Verdicts at the low, best and high end of the group's ranges.
    state, changes, damage, buds
        State of the plant, the thresholds that it moved, noted damage, and the risk to buds
        (None unless in bud).
    """

    spot: str
    group: str
    group_name: str
    plant: str
    year: PlantYear
    cold: FirstFailure | None
    heat: FirstFailure | None
    ranges: tuple[HourRange, ...]
    remedies: Remedies | None
    cautions: tuple[CautionVerdict, ...]
    state: PlantState
    changes: tuple[StateChange, ...]
    damage: tuple[NotedDamage, ...]
    buds: BudRisk | None
