"""
Seasons: the stretches of nights that a new year keeps with a promised probability.

The probability of a stretch falls with its length, so that halving finds the longest
(`past_years` says it).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

from suitability.climate.days import DAYS, next_flag
from suitability.climate.past_years import Kernel, PastYears, Stretch, promised_share, year_weights

ShareOf = Callable[[int, "NDArray[np.bool_] | None"], "NDArray[np.float64]"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

SHORTEST_LOOKED_FOR = 14  # nights; within fewer no dose is whole
APART = 28  # nights between separate seasons
FIRST_STEP = 4  # nights from a guess
LOST_WITH_LENGTH = 8  # nights by which a season is shorter than its ends would let it be
REACHES = (32, 64)  # days by which ends are moved when years are drawn anew; mostly the first does
STEP, START_STEP = 8, 2  # nights between lengths asked there, and between starts
ENOUGH_WITHIN = 0.99  # of the draws, that end within a reach


def run_from(days: BoolArray) -> IntArray:
    """
    Days in a row from each day on that pass, closing into a ring, at most 365.

    Parameters
    ----------
    days : (365)
    """
    stop = next_flag(~np.concatenate([days, days]))[:DAYS]
    run: IntArray = np.minimum(stop - np.arange(DAYS), DAYS)
    return run


def shares_of(past_years: PastYears, kernel: Kernel) -> ShareOf:
    """
    `promised_share` by the number of nights and the starts asked about; remembers the answers.

    The searches for one group halve the same lengths one after the other.
    """
    # By length, with the starts that were asked about: 0 elsewhere then means "not asked", so that
    # an answer serves again only where it covers all that is wanted.
    told: dict[int, tuple[BoolArray | None, FloatArray]] = {}

    def share_of(nights: int, among: BoolArray | None) -> FloatArray:
        if nights in told:
            held, share = told[nights]
            if held is None or (among is not None and not (among & ~held).any()):
                return share if among is None else np.where(among, share, 0.0)
        share = promised_share(past_years, nights, kernel, among=among)
        told[nights] = among, share
        return share

    return share_of


def find_longest(
    past_years: PastYears,
    kernel: Kernel,
    promise: float,
    longest: IntArray | None = None,
    *,
    share_of: ShareOf | None = None,
) -> Stretch | None:
    """
    The longest stretch that reaches the promise; of equals the surest, of these the first.

    The share falls with the length, so that halving finds the greatest length.

    Parameters
    ----------
    promise : 0 to 1
    longest : (365), or None
        Nights that a stretch from each day may have.
    share_of
        From `shares_of`, where several searches share it.
    """
    ask, shortest = share_of or shares_of(past_years, kernel), SHORTEST_LOOKED_FOR

    kept: list[BoolArray] = []  # starts of the longest stretch so far; no other has a longer one

    def starts(nights: int) -> FloatArray | None:
        among = kept[-1] if kept else None
        if longest is not None:
            among = longest >= nights if among is None else among & (longest >= nights)
            if not among.any():
                return None
        # A start that fails a length fails every longer one: only those that kept are asked again.
        share = ask(nights, among)
        good = share >= promise - 1e-9
        if not good.any():
            return None
        kept.append(good)
        return share

    if starts(shortest) is None:
        return None
    # Starts in a row that keep the shortest stretch are those of one season: from its first day to
    # the last on which the shortest still fits. Whole seasons are kept a little less surely.
    reach = int(run_from(kept[-1]).max()) + shortest - LOST_WITH_LENGTH
    return _halve(starts, shortest, guess=reach)


def find_longest_each(
    past_years: PastYears,
    kernel: Kernel,
    promises: Sequence[float],
    *,
    longest: IntArray,
    shortest: int,
    warmer_c: float,
    guesses: Mapping[float, int],
) -> tuple[Stretch | None, ...]:
    """
    What `find_longest` finds for each of several promises, with a constant added to every hour.

    A stretch that keeps a higher promise keeps a lower one, so that each length lies between those
    of the promises beside it, and what was asked for one of them is not asked again.

    Parameters
    ----------
    promises : 0 to 1
    longest : (365)
    warmer_c : K
    guesses : promise -> nights
        Lengths near which to look first; they change how soon the answer is found, not the answer.
    """

    @cache
    def share_of(nights: int) -> FloatArray:
        share = promised_share(past_years, nights, kernel, warmer_c)
        return np.where(longest >= nights, share, -1.0)

    found: dict[float, Stretch | None] = {}
    # The highest and the lowest promise first: those between lie between their lengths.
    for promise in sorted(promises, key=lambda one: (min(promises) < one < max(promises), -one)):

        def starts(nights: int, promise: float = promise) -> FloatArray | None:
            share = share_of(nights)
            return share if share.max() >= promise - 1e-9 else None

        surer = [one.nights for other, one in found.items() if other >= promise and one]
        below = [one.nights if one else 0 for other, one in found.items() if other <= promise]
        most = min([DAYS, int(longest.max()), *below])
        least = max([shortest, *surer])
        found[promise] = None if most < least else _halve(starts, least, most, guesses.get(promise))
    return tuple(found[promise] for promise in promises)


def longest_around(
    past_years: PastYears,
    kernel: Kernel,
    promise: float,
    inner: Stretch,
    *,
    share_of: ShareOf | None = None,
) -> Stretch:
    """
    The longest stretch that reaches the promise and holds another within it.

    Parameters
    ----------
    promise : 0 to 1
    inner
        A stretch that itself reaches the promise.
    share_of
        From `shares_of`, where several searches share it.
    """
    ask = share_of or shares_of(past_years, kernel)
    back = (inner.start - np.arange(DAYS)) % DAYS  # days by which each start comes earlier

    def starts(nights: int) -> FloatArray | None:
        holds = back + inner.nights <= nights
        share = ask(nights, holds)
        return share if share.max() >= promise - 1e-9 else None

    # The inner stretch itself is the least; a share within rounding of the promise may miss it.
    return _halve(starts, inner.nights) or inner


def _halve(
    starts: Callable[[int], FloatArray | None],
    shortest: int,
    most: int = DAYS,
    guess: int | None = None,
) -> Stretch | None:
    """
    The greatest length from `shortest` to `most` for which some start is good, with its best start.

    From the guess on steps grow until the answer lies between two of them; halving finds it there.
    """
    # `low` is the greatest length known to be good and `high` the least known not to be; both begin
    # outside of what is asked, so that neither end needs a case of its own.
    low, high, best = shortest - 1, most + 1, None
    probe, step = shortest if guess is None else min(max(guess, shortest), most), FIRST_STEP
    while high - low > 1:
        good = starts(probe)
        if good is None:
            high = probe
        else:
            low, best = probe, good
        # While all answers so far were alike, the edge lies on one side of the guess: go on there
        # by steps that double. The first different answer has it between two probes.
        probe = (low + high) // 2
        if guess is not None and low < shortest:
            probe, step = max(shortest, high - step), 2 * step
        elif guess is not None and high > most:
            probe, step = min(most, low + step), 2 * step
    if best is None:
        return None
    # A whole ring has no beginning to tell: 1 January is the plain one.
    return Stretch(start=0 if low == DAYS else int(np.argmax(best)), nights=low)


def find_separate(
    past_years: PastYears,
    kernel: Kernel,
    promise: float,
    first: Stretch | None,
    *,
    share_of: ShareOf | None = None,
) -> tuple[Stretch, ...]:
    """
    All stretches that reach the promise and lie four weeks apart: the first, then the longest left.

    Where heat or a wet month splits the year there are two; what only touches the first is no
    season of its own. `share_of` is from `shares_of`, where several searches share it.
    """
    if first is None:
        return ()
    ask = share_of or shares_of(past_years, kernel)
    found = [first]
    free = np.ones(DAYS, np.bool_)
    while True:
        # Four weeks free on either side: else the search would find the same season shifted by a
        # day, or its tail once more.
        nights = np.arange(found[-1].start - APART, found[-1].stop + APART)
        free[nights % DAYS] = False
        stretch = find_longest(past_years, kernel, promise, run_from(free), share_of=ask)
        if stretch is None:
            return tuple(found)
        found.append(stretch)


def resampled_ends(
    past_years: PastYears,
    kernel: Kernel,
    promise: float,
    season: Stretch,
    *,
    longest: IntArray,
    weights: FloatArray,
) -> tuple[IntArray, IntArray]:
    """
    Days by which a season would begin and end later, were the years drawn anew, both (draw).

    For every draw the longest stretch that reaches the promise is looked for again, as far as its
    ends lie within 64 days of the season's. Where there is none, both go that far to the safe side.

    Parameters
    ----------
    promise : 0 to 1
    season
        What the years as they are promise.
    longest : (365)
        Nights that a stretch from each day may have.
    weights : (draw, plant year)
        How often each year stands in each draw.
    """
    for reach in REACHES:
        share_of = _shares_near(past_years, kernel, season, reach, longest=longest, weights=weights)
        later_start, nights = _longest_each(share_of, season.nights, promise)
        if (np.abs(later_start) < reach).mean() > ENOUGH_WITHIN:
            break
    none = nights == 0
    later_stop = np.where(none, -reach, later_start + nights - season.nights)
    ends = np.stack([np.where(none, reach, later_start), later_stop])
    start, stop = np.rint(np.clip(ends, -REACHES[-1], REACHES[-1])).astype(np.int64)
    return start, stop


def _shares_near(
    past_years: PastYears,
    kernel: Kernel,
    season: Stretch,
    reach: int,
    *,
    longest: IntArray,
    weights: FloatArray,
) -> Callable[[int], tuple[FloatArray, IntArray]]:
    """For a number of nights the highest share in each draw, and from which start, days later."""
    shift = kernel.days.size // 2
    later = np.arange(-reach, reach + 1, START_STEP)
    columns = season.start - past_years.cut + np.arange(-reach - shift, reach + shift + 1)
    smooth = np.zeros((columns.size, later.size))  # shifts by days, from columns to starts
    for place, weight in enumerate(kernel.days):
        smooth[np.arange(later.size) * START_STEP + place, np.arange(later.size)] = weight
    allowed = longest[(season.start + later) % DAYS]

    def share_of(nights: int) -> tuple[FloatArray, IntArray]:
        kept, failed = year_weights(past_years, nights, 0.0, kernel.spread_c, columns % DAYS)
        good, bad = weights @ (kept @ smooth), weights @ (failed @ smooth)
        bad += good
        share = np.divide(good, bad, out=good, where=bad > 0.0)
        share[:, allowed < nights] = 0.0
        surest = share.argmax(axis=1)
        return share[np.arange(surest.size), surest], later[surest]

    return share_of


def _longest_each(
    share_of: Callable[[int], tuple[FloatArray, IntArray]], around: int, promise: float
) -> tuple[FloatArray, FloatArray]:
    """
    Start and length of the longest that reaches the promise in each draw; 0 nights where none does.

    Lengths are asked from one on, up until no draw reaches the promise and down until all do.
    """
    told = {around: share_of(around)}
    most, least = min(around + REACHES[-1], DAYS), max(around - REACHES[-1], SHORTEST_LOOKED_FOR)
    for nights in range(around + STEP, most + 1, STEP):
        told[nights] = share_of(nights)
        if told[nights][0].max() < promise:
            break
    for nights in range(around - STEP, least - 1, -STEP):
        told[nights] = share_of(nights)
        if told[nights][0].min() >= promise:
            break
    lengths = np.array(sorted(told))
    share, start = (
        np.stack([told[nights][part] for nights in lengths.tolist()]) for part in (0, 1)
    )
    draw = np.arange(share.shape[1])
    reached = share >= promise - 1e-9
    at = np.where(reached, np.arange(lengths.size)[:, None], -1).max(axis=0)
    above = np.minimum(at + 1, lengths.size - 1)
    # Between two lengths both are read off a line; but where nothing so long may be, it ends there.
    lost = np.where(share[above, draw] > 0.0, share[at, draw] - share[above, draw], 0.0)
    part = np.divide(share[at, draw] - promise, lost, out=np.zeros(at.size), where=lost > 0.0)
    earlier = np.clip(start[at, draw] - start[above, draw], 0, STEP)
    return start[at, draw] - part * earlier, np.where(at < 0, 0.0, lengths[at] + STEP * part)
