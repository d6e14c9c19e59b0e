"""Past years around a season: from when until when each would have been fine outdoors."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.advice.moves_result import (
    Decades,
    YearOutdoors,
)
from suitability.advice.terms import Season
from suitability.climate.chance import mann_kendall, theil_sen
from suitability.climate.days import (
    DAYS,
    month_day,
)
from suitability.climate.observing import plant_years, usable_years
from suitability.climate.past_years import Stretch, free_weight, year_weights

if TYPE_CHECKING:
    from suitability.advice.cases import Case

__all__ = ["SeasonYears", "say_decades", "season_years"]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

HALF_YEAR = 182
LAST_YEARS = 10


class SeasonYears(Struct, frozen=True, kw_only=True):
    """
    Past years cut half a year away from the middle of the season; at mid-summer if it is whole.

    Attributes
    ----------
    cut
        Day of the folded year at which rows begin; column 182 is the middle of the season, or
        mid-winter where the season is the whole year.
    year : (row)
        Calendar year of column 182.
    winter_inside
        Whether rows run from mid-summer to mid-summer, because the whole year is promised.
    out, inn : (row), d
        Columns of the first day fine until the middle, and of the first unsafe night after it.
    usable : (row)
        Rows observed well enough.
    kept, counted : (row)
        Rows that kept the season, and rows that speak for or against it: as the verdict counts.
    letters : (row, 365)
        One byte a night.
    """

    cut: int
    winter_inside: bool
    year: NDArray[np.int64]
    out: NDArray[np.int64]
    inn: NDArray[np.int64]
    usable: BoolArray
    kept: BoolArray
    counted: BoolArray
    letters: NDArray[np.uint8]

    def told(self, case: Case) -> list[YearOutdoors]:
        """Each year that has a known night."""
        judged = case.observed.winter_usable.sum() >= case.rules.fewest_years
        return [
            YearOutdoors(
                year=int(self.year[row]),
                out=None if dates is None else dates.out,
                inn=None if dates is None else dates.inn,
                days=None if dates is None else dates.days,
                kept=bool(self.kept[row]) if self.counted[row] and judged else None,
                first_day=month_day(self.cut),
                nights=self.letters[row].tobytes().decode("ascii"),
            )
            for row, dates in enumerate(self._dates())
            if (self.letters[row] != ord("?")).any()
        ]

    def _dates(self) -> list[Season | None]:
        """Out and in of each year observed well enough; with winter in the middle only if whole."""
        found: list[Season | None] = []
        for out, inn, usable in zip(
            self.out.tolist(), self.inn.tolist(), self.usable.tolist(), strict=True
        ):
            told = usable and (not self.winter_inside or inn - out == DAYS)
            found.append(season_between(self.cut, out, inn) if told else None)
        return found


def season_between(cut: int, out: int, inn: int) -> Season:
    """A season from columns of a row; the whole year is 01-01, 01-01, 365."""
    if inn - out == DAYS:
        return Season(out=month_day(0), inn=month_day(0), days=DAYS)
    return Season(out=month_day(cut + out), inn=month_day(cut + inn), days=max(0, inn - out))


def season_years(case: Case, season: Stretch | None, *, all_year: bool) -> SeasonYears:
    """What each past year was like around the season, or around mid-summer without one."""
    nights, shortfall = case.nights, case.shortfall
    middle = season.start + season.nights // 2 if season else nights.summer
    cut = nights.summer if all_year else (middle - HALF_YEAR) % DAYS
    heat = (
        np.zeros_like(nights.unknown)
        if shortfall.heat_room_c is None
        else shortfall.heat_room_c < 0.0
    )
    at_once = plant_years((shortfall.hard_c > 0.0) | heat, cut, outside=False)
    dose = plant_years(shortfall.dose_c > 0.0, cut, outside=False)
    column = np.arange(DAYS)
    spring = column < HALF_YEAR
    last = np.where(at_once & spring, column + 1, 0).max(axis=1)
    # The dose starts at the day of moving out: a night unsafe by it forbids only earlier starts.
    last_dose = np.where(dose & spring, column - 12, 0).max(axis=1)
    out = np.minimum(np.maximum(last, last_dose), HALF_YEAR)
    inn = np.where((at_once | dose) & ~spring, column, DAYS).min(axis=1)
    kept, counted = _whole_years_kept(case) if all_year else _kept(case, season, cut, out.size)
    start = -((DAYS - cut) % DAYS)
    return SeasonYears(
        cut=cut,
        winter_inside=all_year,
        year=nights.axis.first_year + (start + DAYS * np.arange(out.size) + HALF_YEAR) // DAYS,
        out=out,
        inn=inn,
        usable=usable_years(plant_years(nights.unknown, cut, outside=True)),
        kept=kept,
        counted=counted,
        letters=_letters(case, heat, cut),
    )


def _whole_years_kept(case: Case) -> tuple[BoolArray, BoolArray]:
    """The same of the verdict's own plant years, mid-summer to mid-summer."""
    free = free_weight(case.yearly_shortfall, case.yearly_room, 0.0, 0.0) > 0.0
    return free & case.observed.summer_usable, ~free | case.observed.summer_usable


def _kept(case: Case, season: Stretch | None, cut: int, rows: int) -> tuple[BoolArray, BoolArray]:
    """Rows that kept the season, and rows that tell, counted plainly as the verdict does."""
    if season is None:
        return np.zeros(rows, np.bool_), np.zeros(rows, np.bool_)
    good, bad = year_weights(case.past_years, season.nights, 0.0, 0.0)
    since = case.past_years.cut
    column = (season.start - since) % DAYS
    ours = HALF_YEAR - season.nights // 2 - (-cut) % DAYS  # position of the start in our first row
    ahead = (ours - (column - (-since) % DAYS)) // DAYS  # rows by which theirs are ahead
    row = np.arange(rows) + ahead
    there = (row >= 0) & (row < good.shape[0])
    at = np.where(there, row, 0)
    kept, failed = good[at, column] > 0.0, bad[at, column] > 0.0
    return there & kept, there & (kept | failed)


def _letters(case: Case, heat: BoolArray, cut: int) -> NDArray[np.uint8]:
    """One letter for each night, by its gravest cause, (row, 365)."""
    shortfall, unknown = case.shortfall, case.nights.unknown
    letters = np.full(unknown.size, ord("."), np.uint8)
    for flags, letter in (
        (unknown, "?"),
        (heat, "t"),
        (shortfall.dose_c > 0.0, "d"),
        (shortfall.wet_c > 0.0, "w"),
        (shortfall.dry_c > 0.0, "h"),
    ):
        letters[flags] = ord(letter)
    return plant_years(letters, cut, ord("?"))


def say_decades(past: SeasonYears) -> Decades:
    """The last ten years that tell beside the earlier ones, and the trend of the length."""
    kept, year = past.kept[past.counted], past.year[past.usable].astype(np.float64)
    days = (past.inn - past.out)[past.usable].astype(np.float64)
    drifts = not past.winter_inside and days.size >= LAST_YEARS
    enough = drifts and bool(np.ptp(days) > 0)
    slope = theil_sen(year, days) if enough else None
    return Decades(
        last_years=int(kept[-LAST_YEARS:].size),
        last_kept=int(kept[-LAST_YEARS:].sum()),
        earlier_years=int(kept[:-LAST_YEARS].size),
        earlier_kept=int(kept[:-LAST_YEARS].sum()),
        days_per_decade=None if slope is None else round(10.0 * slope, 3),
        trend_p=mann_kendall(days).p_value if enough else None,
    )
