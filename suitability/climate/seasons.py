"""
Seasons: stretches of nights that a new year keeps free of unsafe ones with a promised probability.

For every start and length each past year is one witness: how much warmer it would have had to be
for the stretch to be free of unsafe nights (`stretch_lack`). The best stretch of past years
flatters itself, because it was chosen to fit them. So each year also stands for its neighbours:
shifted by some days and run some degrees warmer or colder, with weights that fade out (`Kernel`).
The widths were chosen by leaving years and stations out; `docs/method.md` has the evidence. Nothing
is torn at New Year: stretches run on into the next year.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

import numpy as np
from numpy.typing import NDArray

from suitability.climate.days import DAYS, turn

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.climate.states import Lack

__all__ = [
    "Kernel",
    "Observed",
    "Stretch",
    "Witnesses",
    "call_witnesses",
    "find_longest",
    "find_separate",
    "kernel_for",
    "longest_around",
    "observe",
    "plant_years",
    "promised_share",
    "run_from",
    "share_and_error",
    "stretch_lack",
    "support",
    "usable_years",
]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]
Scalar = TypeVar("Scalar", bound=np.generic)

DOSE_NIGHTS = 14
SHORTEST_LOOKED_FOR = 14  # nights; within fewer no dose is whole
UNKNOWN_SHARE = 0.03  # of a season's nights that may be unknown
UNKNOWN_SHARE_OF_YEAR = 0.05  # of a plant year's nights
UNKNOWN_RUN = 5  # unknown nights in a row
SHORTEST_JUDGED = 70  # nights; shorter stretches tolerate as many unknown nights as this one
FEWEST_YEARS = 3  # that must speak for a stretch
APART = 28  # nights between separate seasons


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A run of calendar days: first day (0 to 364) and number of nights (1 to 365)."""

    start: int
    nights: int

    @property
    def stop(self) -> int:
        """The day after the last night; it may lie in the next year (up to 729)."""
        return self.start + self.nights


@dataclass(frozen=True, slots=True, kw_only=True)
class Kernel:
    """
    How far a past year stands for years like it.

    Attributes
    ----------
    days : (odd number)
        Weights of shifts by so many days, centred, summing to 1; `[1]` for none.
    spread_c : K
        Standard deviation of the triangular weight over temperature; 0 for none.
    whole_year_spread_c : K
        The same for the question "all year?": no stretch is chosen to fit the years there, so
        that less is needed.
    """

    days: FloatArray
    spread_c: float
    whole_year_spread_c: float


PLAIN = Kernel(days=np.ones(1), spread_c=0.0, whole_year_spread_c=0.0)


def kernel_for(years: int) -> Kernel:
    """
    The calibrated kernel for so many years: the fewer, the wider.

    Shifts are Gaussian with a standard deviation of 9 days over the cube root of the number of
    years, temperatures triangular with one of 2 °C over it (0.75 °C for the whole year).
    """
    narrowing = max(years, 1) ** (-1.0 / 3.0)
    deviation = 9.0 * narrowing
    reach = int(np.ceil(3.0 * deviation))
    days = np.exp(-0.5 * (np.arange(-reach, reach + 1) / deviation) ** 2)
    return Kernel(
        days=days / days.sum(),
        spread_c=2.0 * narrowing,
        whole_year_spread_c=0.75 * narrowing,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Witnesses:
    """
    What the nights of one group at one spot say about every stretch, by range-maximum tables.

    Row j of a table holds the greatest lack of the 2^j nights from each position on, so that any
    stretch is covered by two of them.

    Attributes
    ----------
    at_once : tables over (position), °C
        Lack of nights unsafe whatever the day of moving out.
    dose : tables over (position), °C
        Lack by dose; the dose starts at the day of moving out, so that a stretch is not judged by
        it before its 14th night.
    room : tables over (position), °C, or None
        Negative of the warmth that days still stand, where heat excludes.
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

    at_once: tuple[FloatArray, ...]
    dose: tuple[FloatArray, ...]
    room: tuple[FloatArray, ...] | None
    supported: IntArray
    seen: IntArray
    cut: int
    counts: BoolArray
    all_seen: bool


def call_witnesses(lack: Lack, supported: IntArray, seen: IntArray, cut: int) -> Witnesses:
    """
    Prepare what a group's nights say.

    Parameters
    ----------
    lack
        From `lacking_warmth`, over (position).
    supported, seen : (position)
    cut
        Day of the folded year.
    """

    def tables(by_position: FloatArray) -> tuple[FloatArray, ...]:
        before = np.full((DAYS - cut) % DAYS, -np.inf)
        after = np.full(2 * DAYS + DOSE_NIGHTS, -np.inf)
        return _range_tables(np.concatenate([before, by_position, after]))

    spoken = plant_years(supported, cut, 0)
    return Witnesses(
        at_once=tables(lack.hard_c),
        dose=tables(lack.dose_c),
        room=None if lack.heat_room_c is None else tables(-lack.heat_room_c),
        supported=spoken.reshape(-1),
        seen=plant_years(seen, cut, DAYS).reshape(-1),
        cut=cut,
        counts=np.ones(spoken.shape[0], np.bool_),
        all_seen=bool((seen >= DAYS).all()),
    )


def _range_tables(values: FloatArray) -> tuple[FloatArray, ...]:
    """Greatest of the 1, 2, 4, … 256 values from each position on."""
    tables = [values]
    for power in range(8):
        step = 1 << power
        last = tables[-1]
        wider = last.copy()
        np.maximum(last[:-step], last[step:], out=wider[:-step])
        tables.append(wider)
    return tuple(tables)


def _greatest(tables: tuple[FloatArray, ...], first: int, nights: int, size: int) -> FloatArray:
    """Greatest value of so many nights, beginning `first` nights after each position."""
    power = nights.bit_length() - 1
    table, last = tables[power], first + nights - (1 << power)
    return np.maximum(table[first : first + size], table[last : last + size])


def stretch_lack(witnesses: Witnesses, nights: int) -> tuple[FloatArray, FloatArray | None]:
    """
    What stretches of a length lack, from every start of every plant year.

    Parameters
    ----------
    nights
        At least 1.

    Returns
    -------
    lack : (plant year * 365), °C
        Warming that would free the stretch of nights unsafe by cold; -inf where none is known.
    room : (plant year * 365), °C, or None
        Warming it stands before heat makes it unsafe, where heat excludes.
    """
    size = witnesses.supported.size
    lack = _greatest(witnesses.at_once, 0, nights, size)
    if nights >= DOSE_NIGHTS:
        dose = _greatest(witnesses.dose, DOSE_NIGHTS - 1, nights - DOSE_NIGHTS + 1, size)
        np.maximum(lack, dose, out=lack)
    if witnesses.room is None:
        return lack, None
    return lack, -_greatest(witnesses.room, 0, nights, size)


def _weight_below(lack_c: FloatArray, warmer_c: float, spread_c: float) -> FloatArray:
    """Weight of a year's neighbours in temperature whose lack is met by a warming."""
    if spread_c == 0.0:
        return (lack_c <= warmer_c).astype(np.float64)
    # Triangular, half width = sqrt(6) x deviation: its running sum is 1/2 + x - x|x|/2.
    place = warmer_c - lack_c
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
    lack: FloatArray, room: FloatArray | None, warmer_c: float, spread_c: float
) -> FloatArray:
    """
    Weight of each witness's neighbours that are free of unsafe nights, 0 to 1, same shape.

    Parameters
    ----------
    lack, room : °C
        From `stretch_lack`.
    warmer_c : K
        Constant added to every hour of the spot.
    spread_c : K
    """
    weight = _weight_below(lack, warmer_c, spread_c)
    if room is not None:
        weight = np.maximum(weight + _weight_below(-room, -warmer_c, spread_c) - 1.0, 0.0)
    return weight


def witness_weights(
    witnesses: Witnesses, nights: int, warmer_c: float, spread_c: float
) -> tuple[FloatArray, FloatArray]:
    """
    How far each plant year kept, and failed, a stretch of a length from each start.

    With a spread of 0 the years are taken as they were.

    Returns
    -------
    kept, failed : (plant year, 365)
        Starts are counted from the cut. A year without enough known nights keeps nothing, but its
        unsafe nights still count.
    """
    lack, room = stretch_lack(witnesses, nights)
    free = free_weight(lack, room, warmer_c, spread_c)
    if not witnesses.all_seen:
        free[witnesses.seen < nights] = 0.0
    failed = 1.0 - free
    free[witnesses.supported < nights] = 0.0
    kept_by_year, failed_by_year = free.reshape(-1, DAYS), failed.reshape(-1, DAYS)
    if not witnesses.counts.all():
        kept_by_year[~witnesses.counts] = 0.0
        failed_by_year[~witnesses.counts] = 0.0
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
    if ring.ndim == 1:
        return np.convolve(ring, days, mode="valid")
    return np.stack([np.convolve(row, days, mode="valid") for row in ring])


def promised_share(
    witnesses: Witnesses, nights: int, kernel: Kernel, warmer_c: float = 0.0
) -> FloatArray:
    """
    Probability that a new year keeps a stretch of a length, by its start.

    Parameters
    ----------
    nights
    kernel
    warmer_c : K

    Returns
    -------
    (365)
        By day of the folded year; 0 where fewer than 3 years are observed well enough to keep it.
    """
    kept, failed = witness_weights(witnesses, nights, warmer_c, kernel.spread_c)
    good = smooth_starts(kept.sum(axis=0), kernel.days)
    bad = smooth_starts(failed.sum(axis=0), kernel.days)
    share = np.divide(good, good + bad, out=np.zeros(DAYS), where=good > 0.0)
    share[_years_speaking(witnesses, nights) < FEWEST_YEARS] = 0.0
    return turn(share, witnesses.cut)


def _years_speaking(witnesses: Witnesses, nights: int) -> IntArray:
    """Years observed well enough to keep a stretch of a length, by start from the cut, (365)."""
    observed = (witnesses.supported >= nights).reshape(-1, DAYS)
    years: IntArray = observed[witnesses.counts].sum(axis=0)
    return years


def share_and_error(witnesses: Witnesses, stretch: Stretch, kernel: Kernel) -> tuple[float, float]:
    """
    Probability that a new year keeps one stretch, and its standard error over resampled years.

    The error is that of a ratio of means over years (Cochran 1977, section 2.11): what resampling
    the years would give, without drawing.

    Parameters
    ----------
    stretch
    kernel
    """
    kept, failed = witness_weights(witnesses, stretch.nights, 0.0, kernel.spread_c)
    start, reach = (stretch.start - witnesses.cut) % DAYS, kernel.days.size // 2
    around = (start + np.arange(-reach, reach + 1)) % DAYS
    good, bad = kept[:, around] @ kernel.days, failed[:, around] @ kernel.days
    total = float((good + bad).sum())
    if _years_speaking(witnesses, stretch.nights)[start] < FEWEST_YEARS or total <= 0.0:
        return 0.0, 0.0
    share = float(good.sum()) / total
    error = float(np.sqrt(np.square(good - share * (good + bad)).sum())) / total
    return share, error


def support(unknown: BoolArray, *, beyond: bool = True) -> IntArray:
    """
    Nights from each start for which a year may speak, at most 365.

    A stretch is not supported from its third unknown night on while that is more than 3 % of it
    (stretches under 70 nights tolerate as many as 70 do), nor from the sixth unknown night in a
    row on.

    Parameters
    ----------
    unknown : (position)
    beyond
        Whether nights after the end of the record count as unknown.

    Returns
    -------
    (position)
    """
    size = unknown.size
    reach = np.concatenate([unknown, np.full(DAYS + UNKNOWN_RUN + 1, beyond)])
    where = np.append(np.flatnonzero(reach), size + 4 * DAYS)
    here = np.arange(size, dtype=np.int64)
    kept = np.full(size, DAYS, np.int64)
    first = np.searchsorted(where, here)
    for number in range(1, int(UNKNOWN_SHARE * DAYS) + 2):
        at = where[np.minimum(first + number - 1, where.size - 1)]
        nights = at - here + 1
        too_many = number > UNKNOWN_SHARE * np.maximum(nights, SHORTEST_JUDGED)
        kept = np.where(too_many, np.minimum(kept, nights - 1), kept)
    total: IntArray = np.cumsum(np.concatenate([[0], reach]))
    runs: BoolArray = total[UNKNOWN_RUN + 1 :] - total[: -UNKNOWN_RUN - 1] == UNKNOWN_RUN + 1
    run_start = _next(runs)[:size]
    reached: IntArray = np.minimum(kept, run_start + UNKNOWN_RUN - here)
    return reached


def _next(flags: BoolArray) -> IntArray:
    """Position of the first flag at or after each position; far beyond the end if none."""
    far = 4 * DAYS + flags.size
    where = np.where(flags, np.arange(flags.size, dtype=np.int64), far)
    following: IntArray = np.minimum.accumulate(where[::-1])[::-1]
    return following


def plant_years(by_position: NDArray[Scalar], cut: int, outside: float) -> NDArray[Scalar]:
    """
    Positions cut into plant years.

    Parameters
    ----------
    by_position : (position)
    cut
        Day of the folded year at which each plant year begins.
    outside
        Value before the first and after the last position.

    Returns
    -------
    (plant year, 365)
        One row more than calendar years unless the cut is 1 January.
    """
    if cut == 0:
        return by_position.reshape(-1, DAYS)
    before = np.full(DAYS - cut, outside, by_position.dtype)
    after = np.full(cut, outside, by_position.dtype)
    return np.concatenate([before, by_position, after]).reshape(-1, DAYS)


def usable_years(unknown: BoolArray) -> BoolArray:
    """
    Plant years observed well enough: at least 95 % of the nights known, no unknown run over 5.

    Parameters
    ----------
    unknown : (plant year, 365)

    Returns
    -------
    (plant year)
    """
    total: IntArray = np.cumsum(np.pad(unknown, ((0, 0), (1, 0))), axis=1)
    run: IntArray = (total[:, UNKNOWN_RUN + 1 :] - total[:, : -UNKNOWN_RUN - 1]).max(axis=1)
    return (total[:, -1] <= UNKNOWN_SHARE_OF_YEAR * DAYS) & (run <= UNKNOWN_RUN)


@dataclass(frozen=True, slots=True, kw_only=True)
class Observed:
    """
    How well a record observes the nights of a spot.

    Attributes
    ----------
    supported : (position)
        From `support`.
    winter_usable, summer_usable : (plant year)
        Plant years observed well enough, cut at mid-winter and at mid-summer.
    """

    supported: IntArray
    winter_usable: BoolArray
    summer_usable: BoolArray


def observe(unknown: BoolArray, winter: int, summer: int) -> Observed:
    """How well a record observes the nights, from the unknown ones (position) and the cuts."""
    return Observed(
        supported=support(unknown),
        winter_usable=usable_years(plant_years(unknown, winter, outside=True)),
        summer_usable=usable_years(plant_years(unknown, summer, outside=True)),
    )


def run_from(days: BoolArray) -> IntArray:
    """
    Days in a row from each day on that pass, closing into a ring, at most 365.

    Parameters
    ----------
    days : (365)
    """
    stop = _next(~np.concatenate([days, days]))[:DAYS]
    run: IntArray = np.minimum(stop - np.arange(DAYS), DAYS)
    return run


def find_longest(
    witnesses: Witnesses,
    kernel: Kernel,
    promise: float,
    longest: IntArray | None = None,
    shortest: int = SHORTEST_LOOKED_FOR,
) -> Stretch | None:
    """
    The longest stretch that reaches the promise; of equals the surest, of these the first.

    The share falls with the length, so that halving finds the greatest length.

    Parameters
    ----------
    promise : 0 to 1
    longest : (365), or None
        Nights that a stretch from each day may have.
    shortest
        Nights below which none is looked for.
    """

    def starts(nights: int) -> FloatArray | None:
        allowed = None if longest is None else longest >= nights
        if allowed is not None and not allowed.any():
            return None
        share = promised_share(witnesses, nights, kernel)
        if allowed is not None:
            share = np.where(allowed, share, -1.0)
        return share if share.max() >= promise - 1e-9 else None

    return _halve(starts, shortest)


def longest_around(witnesses: Witnesses, kernel: Kernel, promise: float, inner: Stretch) -> Stretch:
    """
    The longest stretch that reaches the promise and holds another within it.

    Parameters
    ----------
    promise : 0 to 1
    inner
        A stretch that itself reaches the promise.
    """
    back = (inner.start - np.arange(DAYS)) % DAYS  # days by which each start comes earlier

    def starts(nights: int) -> FloatArray | None:
        holds = back + inner.nights <= nights
        share = np.where(holds, promised_share(witnesses, nights, kernel), -1.0)
        return share if share.max() >= promise - 1e-9 else None

    return _halve(starts, inner.nights) or inner


def _halve(starts: Callable[[int], FloatArray | None], shortest: int) -> Stretch | None:
    """The greatest length for which some start is good, with its best start."""
    best = starts(shortest)
    if best is None:
        return None
    low, high = shortest, DAYS + 1
    while high - low > 1:
        middle = (low + high) // 2
        found = starts(middle)
        if found is None:
            high = middle
        else:
            low, best = middle, found
    return Stretch(start=0 if low == DAYS else int(np.argmax(best)), nights=low)


def find_separate(
    witnesses: Witnesses, kernel: Kernel, promise: float, first: Stretch | None
) -> tuple[Stretch, ...]:
    """
    All stretches that reach the promise and lie four weeks apart: the first, then the longest left.

    Where heat or a wet month splits the year there are two; what only touches the first is no
    season of its own.
    """
    if first is None:
        return ()
    found = [first]
    free = np.ones(DAYS, np.bool_)
    while True:
        nights = np.arange(found[-1].start - APART, found[-1].stop + APART)
        free[nights % DAYS] = False
        stretch = find_longest(witnesses, kernel, promise, run_from(free))
        if stretch is None:
            return tuple(found)
        found.append(stretch)
