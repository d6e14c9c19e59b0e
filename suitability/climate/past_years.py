"""What past years say of every stretch of nights, and how far each stands for a new one.

For every start and length each past year says how much warmer it would have had to be for the
stretch to be free of unsafe nights (`stretch_shortfall`). The best stretch of past years flatters
itself, because it was chosen to fit them. So each year also stands for its neighbours: shifted by
some days and run some degrees warmer or colder, with weights that fade out (`Kernel`). The widths
were chosen by leaving years and stations out; `docs/calibration.md` has the evidence. Nothing is
torn at New Year: stretches run on into the next year.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.climate.cold import DOSE_NIGHTS
from suitability.climate.days import DAYS, turn
from suitability.climate.observing import plant_years
from suitability.climate.shortfall_tables import ShortfallTables

FloatArray = NDArray[np.float64]


class Kernel(Struct, frozen=True, kw_only=True):
    """
    How far a past year stands for years like it.

    Attributes
    ----------
    days : (odd number)
        Weights of shifts by so many days, centred, summing to 1; `[1]` for none.
    spread_c : K
        Standard deviation of the triangular weight over temperature; 0 for none.
    """

    days: FloatArray
    spread_c: float


# K, from a year to the last of those it stands for: a triangle of standard deviation s ends at
# s x sqrt(6), and no record has a wider one than that of a single year.
FARTHEST_NEIGHBOUR_C = 2.0 * 6.0**0.5


@lru_cache(maxsize=8)
def kernel_for(years: int) -> Kernel:
    """
    The calibrated kernel for so many years: the fewer, the wider.

    Shifts are Gaussian with a standard deviation of 9 days over the cube root of the number of
    years, temperatures triangular with one of 2 °C over it.
    """
    # With more years each needs to stand for less. The cube root falls more slowly than the gaps
    # between years do (1/n), so that every new year still lies within reach of more and more.
    # Whole years are asked about with the same width: with a wider one a season of all 365 nights
    # would be promised, and the year refused.
    narrowing = max(years, 1) ** (-1.0 / 3.0)
    deviation = 9.0 * narrowing
    reach = int(np.ceil(3.0 * deviation))  # what lies beyond weighs 0.3 % in all
    days = np.exp(-0.5 * (np.arange(-reach, reach + 1) / deviation) ** 2)
    return Kernel(days=days / days.sum(), spread_c=2.0 * narrowing)


IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

FEWEST_YEARS = 3  # that must speak for a stretch, and for whatever else is told of a place
FEW_STARTS = 150  # up to which it is quicker to look them up one by one


class Stretch(Struct, frozen=True, kw_only=True):
    """A run of calendar days: first day (0 to 364) and number of nights (1 to 365)."""

    start: int
    nights: int

    @property
    def stop(self) -> int:
        """The day after the last night; it may lie in the next year (up to 729)."""
        return self.start + self.nights


class PastYears(Struct, frozen=True, kw_only=True):
    """
    What the nights of one group at one spot say about every stretch.

    Attributes
    ----------
    tables
        Shortfall and room of any stretch.
    asked
        For a number of nights from every start: shortfall and room of `stretch_shortfall`, and the
        positions from which the record does not speak for so many, (silent). Remembers the last
        number asked, since margin, headroom and stability ask for the shortest season again and
        again.
    supported : (position)
        Nights for which the record speaks, from `support`.
    seen : (position)
        Nights until missing nights may hide what is asked; 365 if they do not.
    cut
        Plant years begin at this day of the folded year.
    counts : (plant year)
        Years that may speak; calibration leaves some out.
    all_seen
        Whether no missing nights may hide what is asked.
    """

    tables: ShortfallTables
    asked: Callable[[int], tuple[FloatArray, FloatArray | None, IntArray]]
    supported: IntArray
    seen: IntArray
    cut: int
    counts: BoolArray
    all_seen: bool


def gather_past_years(
    tables: ShortfallTables, supported: IntArray, seen: IntArray, cut: int
) -> PastYears:
    """
    Prepare what a group's nights say.

    Parameters
    ----------
    tables
        Cut at the same day.
    supported, seen : (position)
    cut
        Day of the folded year.
    """
    spoken = plant_years(supported, cut, 0)
    return PastYears(
        tables=tables,
        asked=_asked_of(tables, spoken.reshape(-1)),
        supported=spoken.reshape(-1),
        seen=plant_years(seen, cut, DAYS).reshape(-1),
        cut=cut,
        counts=np.ones(spoken.shape[0], np.bool_),
        all_seen=bool((seen >= DAYS).all()),
    )


def _asked_of(
    tables: ShortfallTables, supported: IntArray
) -> Callable[[int], tuple[FloatArray, FloatArray | None, IntArray]]:
    """`PastYears.asked`."""

    # What a stretch lacks does not hang on the warming, so that a whole search for a margin, which
    # asks for the shortest season at dozens of warmings, looks it up once.
    @lru_cache(maxsize=1)
    def asked(nights: int) -> tuple[FloatArray, FloatArray | None, IntArray]:
        shortfall, room_c = _shortfall_and_room(tables, nights, slice(0, supported.size))
        return shortfall, room_c, np.flatnonzero(supported < nights)

    return asked


def with_tables(past_years: PastYears, tables: ShortfallTables) -> PastYears:
    """The past years of other nights, observed just as well."""
    return replace(past_years, tables=tables, asked=_asked_of(tables, past_years.supported))


def with_seen(past_years: PastYears, seen: IntArray) -> PastYears:
    """The past years with another account of how far each start is seen, (position)."""
    return replace(
        past_years,
        seen=plant_years(seen, past_years.cut, DAYS).reshape(-1),
        all_seen=bool((seen >= DAYS).all()),
    )


def with_support(past_years: PastYears, supported: IntArray) -> PastYears:
    """The past years where the record speaks for so many nights, (position), and hides nothing."""
    spoken = plant_years(supported, past_years.cut, 0).reshape(-1)

    def asked(nights: int) -> tuple[FloatArray, FloatArray | None, IntArray]:
        shortfall, room, _ = past_years.asked(nights)
        return shortfall, room, np.flatnonzero(spoken < nights)

    return replace(
        past_years, asked=asked, supported=spoken, seen=np.full_like(spoken, DAYS), all_seen=True
    )


def stretch_shortfall(
    past_years: PastYears, nights: int, starts: slice | IntArray
) -> tuple[FloatArray, FloatArray | None]:
    """
    What stretches of a length shortfall, from every start of every plant year.

    Parameters
    ----------
    nights
        At least 1.
    starts : (start)
        Positions, counted from the first plant year.

    Returns
    -------
    shortfall : (start), °C
        Warming that would free the stretch of nights unsafe by cold; -inf where none is known.
    room : (start), °C, or None
        Warming it stands before heat makes it unsafe, where heat excludes.
    """
    return _shortfall_and_room(past_years.tables, nights, starts)


def _shortfall_and_room(
    tables: ShortfallTables, nights: int, starts: slice | IntArray
) -> tuple[FloatArray, FloatArray | None]:
    """Shortfall and room of stretches."""
    shortfall = tables.at_once.of(0, nights, starts)
    # A plant brings no cold along from indoors: its dose begins on the first night out. Before the
    # 14th the table, which looks back 14 nights, would count nights that were spent inside.
    if nights >= DOSE_NIGHTS:
        by_dose = tables.dose.of(DOSE_NIGHTS - 1, nights - DOSE_NIGHTS + 1, starts)
        np.maximum(shortfall, by_dose, out=shortfall)
    return shortfall, None if tables.room is None else -tables.room.of(0, nights, starts)


def _weight_below(
    shortfall_c: FloatArray, warmer_c: float | FloatArray, spread_c: float
) -> FloatArray:
    """Weight of a year's neighbours in temperature whose shortfall is met by a warming."""
    if spread_c == 0.0:
        return (shortfall_c <= warmer_c).astype(np.float64)
    # Triangular, half width = sqrt(6) x deviation: its running sum is 1/2 + x - x|x|/2.
    place = warmer_c - shortfall_c
    place *= 1.0 / (spread_c * np.sqrt(6.0))
    np.minimum(place, 1.0, out=place)
    np.maximum(place, -1.0, out=place)
    bend = np.abs(place)
    bend *= -0.5
    bend += 1.0
    place *= bend
    place += 0.5
    return place


def free_weight(
    shortfall: FloatArray, room: FloatArray | None, warmer_c: float | FloatArray, spread_c: float
) -> FloatArray:
    """
    Weight of each past year's neighbours that are free of unsafe nights, 0 to 1.

    Parameters
    ----------
    shortfall, room : °C
        From `stretch_shortfall`.
    warmer_c : K
        Constant added to every hour of the spot; an array goes with the shape of `shortfall`.
    spread_c : K
    """
    weight = _weight_below(shortfall, warmer_c, spread_c)
    # Neighbours warm enough lie above one bound, those not too hot below another: both at once are
    # the overlap of the two, never less than nothing where the bounds cross.
    if room is not None:
        weight = np.maximum(weight + _weight_below(-room, -warmer_c, spread_c) - 1.0, 0.0)
    return weight


def year_weights(
    past_years: PastYears,
    nights: int,
    warmer_c: float,
    spread_c: float,
    columns: IntArray | None = None,
) -> tuple[FloatArray, FloatArray]:
    """
    How far each plant year kept, and failed, a stretch of a length from each start.

    With a spread of 0 the years are taken as they were.

    Parameters
    ----------
    columns : (start), or None
        Starts asked for, in days from the cut; None: all 365.

    Returns
    -------
    kept, failed : (plant year, start)
        Starts are counted from the cut. A year without enough known nights keeps nothing, but its
        unsafe nights still count.
    """
    years = past_years.counts.size
    starts: slice | IntArray = slice(0, years * DAYS)
    if columns is None:
        shortfall, room, silent = past_years.asked(nights)
    else:
        starts = (np.arange(years)[:, None] * DAYS + columns).reshape(-1)
        shortfall, room = stretch_shortfall(past_years, nights, starts)
        silent = np.flatnonzero(past_years.supported[starts] < nights)
    free = free_weight(shortfall, room, warmer_c, spread_c)
    # Order matters. A station shut on cold nights hides failures, so that such a stretch counts as
    # failed; a stretch that merely was not observed is no proof either way: it keeps nothing, but
    # what is known to have failed in it still counts.
    if not past_years.all_seen:
        free[past_years.seen[starts] < nights] = 0.0
    failed = 1.0 - free
    free[silent] = 0.0
    kept_by_year, failed_by_year = free.reshape(years, -1), failed.reshape(years, -1)
    if not past_years.counts.all():
        kept_by_year[~past_years.counts] = 0.0
        failed_by_year[~past_years.counts] = 0.0
    return kept_by_year, failed_by_year


def smooth_starts(by_start: FloatArray, days: FloatArray) -> FloatArray:
    """
    Shifts by days applied along the last axis, which closes into a ring.

    Parameters
    ----------
    by_start : (365) or (plant year, 365)
    days : (odd number)
        Weights, symmetric.
    """
    reach = days.size // 2
    if reach == 0:
        return by_start
    ring = np.concatenate([by_start[..., -reach:], by_start, by_start[..., :reach]], axis=-1)
    # All rings in one go: what runs over from one into the next is cut off.
    smooth = np.convolve(ring.reshape(-1), days, mode="same").reshape(ring.shape)
    return smooth[..., reach:-reach]


def promised_share(
    past_years: PastYears,
    nights: int,
    kernel: Kernel,
    warmer_c: float = 0.0,
    among: BoolArray | None = None,
) -> FloatArray:
    """
    Probability that a new year keeps a stretch of a length, by its start.

    Parameters
    ----------
    warmer_c : K
    among : (365), or None
        Starts that are asked about; None: all.

    Returns
    -------
    (365)
        By day of the folded year; 0 where fewer than 3 years are observed well enough to keep it,
        and at starts that are not asked about.
    """
    # Looked up one by one, few starts are quicker than a pass over all; the answers are the same.
    if among is not None:
        columns = _with_shifts(turn(among, -past_years.cut), kernel.days.size // 2)
        if columns.size <= FEW_STARTS:
            share = _share_at(past_years, nights, kernel, warmer_c, columns)
            share = turn(share, past_years.cut)
            return np.where(among, share, 0.0)
    share = _share_at(past_years, nights, kernel, warmer_c, None)
    share = turn(share, past_years.cut)
    return share if among is None else np.where(among, share, 0.0)


def _with_shifts(days: BoolArray, reach: int) -> IntArray:
    """Days of the ring no further than so many from a flagged one, and never one alone."""
    # A column alone would be added up in another order than beside others, and its last digits
    # would hang on what else was asked.
    ring = np.flatnonzero(days)[:, None] + np.arange(-max(reach, 1), max(reach, 1) + 1)
    near = np.zeros(DAYS, np.bool_)
    near[ring % DAYS] = True
    return np.flatnonzero(near)


def _share_at(
    past_years: PastYears, nights: int, kernel: Kernel, warmer_c: float, columns: IntArray | None
) -> FloatArray:
    """`promised_share` in days from the cut, (365); of those columns alone whose shifts are too."""
    kept, failed = year_weights(past_years, nights, warmer_c, kernel.spread_c, columns)
    both = np.zeros((2, DAYS))
    if columns is None:
        np.add.reduce(kept, axis=0, out=both[0])
        np.add.reduce(failed, axis=0, out=both[1])
    else:
        both[0, columns], both[1, columns] = kept.sum(axis=0), failed.sum(axis=0)
    # Kept and failed weights are smoothed before they are divided: a day of which few years speak
    # then weighs little, where a mean of shares would give it as much as any other.
    good, bad = smooth_starts(both, kernel.days)
    share: FloatArray = np.divide(good, good + bad, out=np.zeros(DAYS), where=good > 0.0)
    share[_years_speaking(past_years, nights, columns) < FEWEST_YEARS] = 0.0
    return share


def _years_speaking(
    past_years: PastYears, nights: int, columns: IntArray | None = None
) -> IntArray:
    """
    Years observed well enough to keep a stretch of a length, by start from the cut, (365).

    With columns only these are looked at; 0 elsewhere.
    """
    if columns is not None:
        at_columns = np.zeros(DAYS, np.int64)
        speaks = past_years.supported.reshape(-1, DAYS)[:, columns] >= nights
        at_columns[columns] = (speaks & past_years.counts[:, None]).sum(axis=0)
        return at_columns
    silent = past_years.asked(nights)[2]  # few, so that counting them is quicker than the others
    if not past_years.counts.all():
        silent = silent[past_years.counts[silent // DAYS]]
    years: IntArray = past_years.counts.sum() - np.bincount(silent % DAYS, minlength=DAYS)
    return years


def share_of(past_years: PastYears, stretch: Stretch, kernel: Kernel) -> float:
    """Probability that a new year keeps one stretch: that of `promised_share`."""
    # Neighbours by days of one start only: their weights need no smoothing over all starts.
    start, reach = (stretch.start - past_years.cut) % DAYS, kernel.days.size // 2
    around = (start + np.arange(-reach, reach + 1)) % DAYS
    kept, failed = year_weights(past_years, stretch.nights, 0.0, kernel.spread_c, around)
    good, bad = float((kept @ kernel.days).sum()), float((failed @ kernel.days).sum())
    speaks = past_years.supported[start::DAYS][: past_years.counts.size] >= stretch.nights
    few = (speaks & past_years.counts).sum() < FEWEST_YEARS
    return 0.0 if few or good <= 0.0 else good / (good + bad)


def share_by_warming(
    past_years: PastYears, stretch: Stretch, kernel: Kernel
) -> Callable[[float], float]:
    """
    Probability that a new year keeps one stretch, as a function of a warming, K.

    What missing nights may hide is not looked at, so that it is never less than `promised_share`.
    """
    start, reach = (stretch.start - past_years.cut) % DAYS, kernel.days.size // 2
    around = (start + np.arange(-reach, reach + 1)) % DAYS
    starts = (np.flatnonzero(past_years.counts)[:, None] * DAYS + around).reshape(-1)
    shortfall, room = stretch_shortfall(past_years, stretch.nights, starts)
    spoken = past_years.supported[starts] >= stretch.nights
    days = np.tile(kernel.days, starts.size // around.size)
    speaking = days * spoken

    def share(warmer_c: float) -> float:
        free = free_weight(shortfall, room, warmer_c, kernel.spread_c)
        kept, failed = float(free @ speaking), float((1.0 - free) @ days)
        return kept / (kept + failed) if kept > 0.0 else 0.0

    return share
