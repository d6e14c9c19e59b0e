"""Seasons: what past years say about every stretch, and the longest that keeps the promise."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.climate.days import DAYS
from suitability.climate.observing import plant_years, support, usable_years
from suitability.climate.past_years import (
    Kernel,
    PastYears,
    Stretch,
    free_weight,
    gather_past_years,
    kernel_for,
    promised_share,
    share_of,
    stretch_shortfall,
    year_weights,
)
from suitability.climate.seasons import (
    STEP,
    find_longest,
    find_longest_each,
    find_separate,
    longest_around,
    resampled_ends,
    run_from,
)
from suitability.climate.states import Shortfall
from tests.climate.plain import PLAIN, own_tables

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
FINE = -10.0  # shortfall of a night that is 10 °C warmer than it must be


def lack_of(
    hard_c: FloatArray, dose_c: FloatArray | None = None, room_c: FloatArray | None = None
) -> Shortfall:
    """What nights shortfall: by hard nights, by dose, and their room for heat."""
    none = np.full(hard_c.size, -np.inf)
    return Shortfall(
        dry_c=hard_c,
        wet_c=none,
        dose_c=none if dose_c is None else dose_c,
        heat_room_c=room_c,
        far_below_c=-np.inf,
    )


def witnesses_of(shortfall: Shortfall, unknown: BoolArray | None = None, cut: int = 0) -> PastYears:
    """PastYears of nights that are known but for those named."""
    size = shortfall.dry_c.size
    known = np.zeros(size, np.bool_) if unknown is None else unknown
    return gather_past_years(
        own_tables(shortfall, cut), support(known), np.full(size, DAYS, np.int64), cut
    )


def invent(seed: int, years: int = 5, *, heat: bool = False) -> Shortfall:
    """Years with a winter, a few hard nights besides, doses and, if wanted, a hot summer."""
    generator = np.random.default_rng(seed)
    day = np.arange(years * DAYS)
    wave = 6.0 * np.cos(2.0 * np.pi * (day - generator.integers(DAYS)) / DAYS)
    hard = wave - 1.0 + generator.normal(0.0, 1.5, day.size)
    hard[generator.random(day.size) < 0.002] = 4.0
    dose = wave - 2.0 + generator.normal(0.0, 1.0, day.size)
    room = 8.0 + wave + generator.normal(0.0, 2.0, day.size) if heat else None
    return lack_of(hard, dose, room)


def test_one_cold_week_by_hand() -> None:
    """Five years, all fine but for 1 to 10 July (181 to 190) of each.

    The longest stretch begins on 11 July and ends on the next 1 July: 355 nights. The last year
    has nobody to speak for its second half, four have.
    """
    hard = np.full(5 * DAYS, FINE)
    hard.reshape(5, DAYS)[:, 181:191] = 1.0
    found = find_longest(witnesses_of(lack_of(hard)), PLAIN, 0.9)
    assert found == Stretch(start=191, nights=355)
    assert found.stop == 546


def test_years_with_a_hard_night_do_not_keep_the_year() -> None:
    """A hard night on 1 July of one year of eleven: ten keep the year; of two years: nine do."""
    hard = np.full(11 * DAYS, FINE)
    hard[181] = 0.1
    share = promised_share(witnesses_of(lack_of(hard)), DAYS, PLAIN)
    assert share[0] == pytest.approx(10.0 / 11.0)
    hard[DAYS + 181] = 0.1
    share = promised_share(witnesses_of(lack_of(hard)), DAYS, PLAIN)
    assert share[0] == pytest.approx(9.0 / 11.0)


def test_a_lack_of_nothing_is_safe_and_a_warming_that_just_does_is_enough() -> None:
    hard = np.full(4 * DAYS, 0.0)
    assert promised_share(witnesses_of(lack_of(hard)), 100, PLAIN).max() == 1.0
    hard[:] = 1e-6
    assert promised_share(witnesses_of(lack_of(hard)), 100, PLAIN).max() == 0.0
    assert promised_share(witnesses_of(lack_of(hard)), 100, PLAIN, 1e-6).max() == 1.0


@pytest.mark.parametrize("kernel", [PLAIN, kernel_for(6)])
def test_always_safe(kernel: Kernel) -> None:
    found = find_longest(witnesses_of(lack_of(np.full(6 * DAYS, FINE))), kernel, 0.9)
    assert found is not None
    assert found.nights == DAYS


@pytest.mark.parametrize("kernel", [PLAIN, kernel_for(6)])
def test_never_safe(kernel: Kernel) -> None:
    assert find_longest(witnesses_of(lack_of(np.full(6 * DAYS, 10.0))), kernel, 0.9) is None


def test_two_years_promise_nothing() -> None:
    """Three must speak; the second half of the last is spoken for by nobody."""
    fine = lack_of(np.full(2 * DAYS, FINE))
    assert find_longest(witnesses_of(fine), PLAIN, 0.5) is None


def test_nothing_is_torn_at_new_year() -> None:
    """Southern summers: safe from 1 October (273) to 30 April (119), 212 nights."""
    hard = np.full(6 * DAYS, FINE)
    hard.reshape(6, DAYS)[:, 120:273] = 3.0
    for cut in (0, 197):
        found = find_longest(witnesses_of(lack_of(hard), cut=cut), PLAIN, 0.9)
        assert found == Stretch(start=273, nights=212)


def test_the_dose_starts_at_the_day_of_moving_out() -> None:
    """A night that is unsafe by dose alone does not count before the 14th night out."""
    size = 5 * DAYS
    dose = np.full(size, FINE)
    dose.reshape(5, DAYS)[:, 100] = 2.0
    past_years = witnesses_of(lack_of(np.full(size, FINE), dose))
    shortfall, _ = stretch_shortfall(past_years, 20, slice(0, past_years.supported.size))
    unsafe = np.flatnonzero(shortfall[:DAYS] > 0.0)
    # night 100 is the 14th to the 20th of a stretch that begins on day 81 to 87
    assert unsafe.tolist() == list(range(81, 88))


@settings(max_examples=25)
@given(st.integers(0, 2**32 - 1), st.sampled_from([0, 1, 14, 200, 364]), st.data())
def test_stretches_lack_what_their_worst_night_lacks(
    seed: int, cut: int, data: st.DataObject
) -> None:
    """Range-maximum tables against every night of every start, for any length and cut."""
    shortfall = invent(seed, 3, heat=True)
    assert shortfall.heat_room_c is not None
    past_years = witnesses_of(shortfall, cut=cut)
    nights = data.draw(st.one_of(st.integers(1, 20), st.integers(1, DAYS)))
    found, room = stretch_shortfall(past_years, nights, slice(0, past_years.supported.size))
    assert room is not None
    before, size = (DAYS - cut) % DAYS, shortfall.dry_c.size
    starts = data.draw(st.lists(st.integers(0, found.size - 1), min_size=30, max_size=30))
    for start in starts:
        at = np.arange(start - before, start - before + nights)
        inside = (at >= 0) & (at < size)
        hard = shortfall.hard_c[at[inside]].max(initial=-np.inf)
        late = inside & (np.arange(nights) >= 13)
        dose = shortfall.dose_c[at[late]].max(initial=-np.inf)
        assert found[start] == max(hard, dose)
        assert room[start] == shortfall.heat_room_c[at[inside]].min(initial=np.inf)


@settings(max_examples=12, deadline=None)
@given(
    seed=st.integers(0, 2**32 - 1),
    cut=st.sampled_from([0, 15, 197]),
    kind=st.sampled_from(["plain", "calibrated"]),
    promise=st.sampled_from([0.6, 0.9]),
    heat=st.booleans(),
)
def test_the_longest_is_the_longest_of_all(
    seed: int, cut: int, kind: str, promise: float, *, heat: bool
) -> None:
    """Halving against every length and start."""
    kernel = PLAIN if kind == "plain" else kernel_for(5)
    past_years = witnesses_of(invent(seed, 5, heat=heat), cut=cut)
    best: Stretch | None = None
    for nights in range(14, DAYS + 1):
        share = promised_share(past_years, nights, kernel)
        if share.max() >= promise - 1e-9:
            best = Stretch(start=int(np.argmax(share)), nights=nights)
    if best is not None and best.nights == DAYS:
        best = Stretch(start=0, nights=DAYS)  # a whole year has no first day
    assert find_longest(past_years, kernel, promise) == best


@settings(max_examples=40, deadline=None)
@given(
    seed=st.integers(0, 2**32 - 1),
    cut=st.sampled_from([0, 15, 197]),
    nights=st.integers(1, DAYS),
    first=st.integers(0, DAYS - 1),
    number=st.integers(0, DAYS),
    heat=st.booleans(),
)
def test_starts_asked_for_alone_have_the_same_shares_to_the_last_bit(
    seed: int, cut: int, nights: int, first: int, number: int, *, heat: bool
) -> None:
    """Some nights are unknown and one year may not speak; starts not asked for are 0."""
    unknown = np.random.default_rng(seed).random(5 * DAYS) < 0.01
    past_years = witnesses_of(invent(seed, 5, heat=heat), unknown, cut)
    counts = past_years.counts.copy()
    counts[seed % counts.size] = seed % 2 == 0
    past_years = replace(past_years, counts=counts)
    among = np.zeros(DAYS, np.bool_)
    among[(first + np.arange(number)) % DAYS] = True
    for kernel in (PLAIN, kernel_for(5)):
        share = promised_share(past_years, nights, kernel)
        alone = promised_share(past_years, nights, kernel, among=among)
        np.testing.assert_array_equal(alone, np.where(among, share, 0.0))


@settings(max_examples=25)
@given(st.integers(0, 2**32 - 1), st.integers(1, DAYS - 1), st.floats(0.0, 5.0))
def test_longer_is_never_surer_and_warmer_never_less_so(
    seed: int, nights: int, warmer: float
) -> None:
    """With the calibrated kernel."""
    past_years, kernel = witnesses_of(invent(seed, 6), cut=15), kernel_for(6)
    share = promised_share(past_years, nights, kernel)
    assert (share >= promised_share(past_years, nights + 1, kernel) - 1e-9).all()
    assert (share <= promised_share(past_years, nights, kernel, warmer) + 1e-9).all()
    assert ((share >= 0.0) & (share <= 1.0 + 1e-9)).all()


@settings(max_examples=25)
@given(
    st.integers(0, 2**32 - 1), st.integers(1, DAYS - 1), st.floats(0.0, 5.0), st.integers(0, 300)
)
def test_a_longer_stretch_is_kept_by_no_more_and_failed_by_no_fewer(
    seed: int, nights: int, warmer: float, holes: int
) -> None:
    """Year by year, also where some nights are unknown; a warmer spot the other way round."""
    shortfall = invent(seed, 6)
    unknown = np.zeros(shortfall.dry_c.size, np.bool_)
    unknown[np.random.default_rng(seed).integers(0, unknown.size, holes)] = True
    past_years, spread = witnesses_of(shortfall, unknown, cut=15), kernel_for(6).spread_c
    kept, failed = year_weights(past_years, nights, 0.0, spread)
    longer_kept, longer_failed = year_weights(past_years, nights + 1, 0.0, spread)
    assert (longer_kept <= kept + 1e-12).all()
    assert (longer_failed >= failed - 1e-12).all()
    warm_kept, warm_failed = year_weights(past_years, nights, warmer, spread)
    assert (warm_kept >= kept - 1e-12).all()
    assert (warm_failed <= failed + 1e-12).all()


@settings(max_examples=25)
@given(st.integers(0, 2**32 - 1), st.integers(1, DAYS), st.integers(1, 400))
def test_unknown_nights_never_prove_a_year_kept(seed: int, nights: int, holes: int) -> None:
    """Years keep no more and fail no less than with all nights known."""
    generator = np.random.default_rng(seed)
    shortfall = invent(seed, 4)
    unknown = np.zeros(shortfall.dry_c.size, np.bool_)
    first = generator.integers(0, unknown.size)
    unknown[first : first + holes] = True
    kept, failed = year_weights(witnesses_of(shortfall), nights, 0.0, 0.0)
    kept_less, failed_still = year_weights(witnesses_of(shortfall, unknown), nights, 0.0, 0.0)
    assert (kept_less <= kept).all()
    assert (failed_still >= failed).all()


def brute_support(unknown: BoolArray, start: int, *, beyond: bool) -> int:
    """The longest stretch from a start whose every beginning is well enough known."""
    reach = np.concatenate([unknown, np.full(DAYS + 10, beyond)])
    missing = run = 0
    for nights in range(1, DAYS + 1):
        dark = bool(reach[start + nights - 1])
        missing, run = missing + dark, run + 1 if dark else 0
        if missing > 0.03 * max(nights, 70) or run > 5:
            return nights - 1
    return DAYS


@settings(max_examples=25)
@given(
    seed=st.integers(0, 2**32 - 1),
    share=st.floats(0.0, 0.1),
    run=st.integers(0, 12),
    beyond=st.booleans(),
    data=st.data(),
)
def test_how_far_a_year_may_speak(
    seed: int, share: float, run: int, *, beyond: bool, data: st.DataObject
) -> None:
    """At most 3 % unknown nights (2 in up to 70 nights) and none six in a row, night by night."""
    generator = np.random.default_rng(seed)
    unknown = generator.random(800) < share
    first = generator.integers(0, 800)
    unknown[first : first + run] = True
    found = support(unknown, beyond=beyond)
    for start in data.draw(st.lists(st.integers(0, 799), min_size=10, max_size=10)):
        assert found[start] == brute_support(unknown, start, beyond=beyond)


def test_unknown_nights_that_are_tolerated_by_hand() -> None:
    """Two in 70 nights are (2.1), three are not; three in 100 are; six in a row never."""
    unknown = np.zeros(3 * DAYS, np.bool_)
    unknown[[10, 20]] = True
    assert support(unknown)[0] == DAYS
    unknown[30] = True  # the third, at the 31st night: 3 > 2.1
    assert support(unknown)[0] == 30
    late = np.zeros(3 * DAYS, np.bool_)
    late[[10, 20, 99]] = True  # the third is the 100th night: 3 of 100
    assert support(late)[0] == DAYS
    late[:] = False
    late[200:206] = True
    assert support(late)[0] == 205


def test_plant_years_lose_nothing() -> None:
    """Two years of positions cut on day 100 make three plant years, the first begun before."""
    years = plant_years(np.arange(2 * DAYS), 100, -1)
    assert years.shape == (3, DAYS)
    assert years[1].tolist() == list(range(100, 465))
    assert (years[0, : DAYS - 100] == -1).all()
    assert (years[2, DAYS - 100 :] == -1).all()
    assert plant_years(np.arange(2 * DAYS), 0, -1).tolist() == [
        list(range(DAYS)), list(range(DAYS, 2 * DAYS))
    ]  # fmt: skip


@pytest.mark.parametrize(("scattered", "run", "usable"), [
    (18, 0, True), (19, 0, False), (0, 5, True), (0, 6, False), (13, 5, True), (14, 5, False),
])  # fmt: skip
def test_usable_plant_years(scattered: int, run: int, *, usable: bool) -> None:
    """At least 95 % known (18.25 of 365 may be missing), no unknown run over five."""
    unknown = np.zeros((1, DAYS), np.bool_)
    unknown[0, 20 : 20 + 4 * scattered : 4] = True
    unknown[0, 200 : 200 + run] = True
    assert usable_years(unknown).tolist() == [usable]


def test_days_in_a_row_close_into_a_ring() -> None:
    days = np.zeros(DAYS, np.bool_)
    days[360:] = days[:10] = True
    runs = run_from(days)
    assert (runs[360], runs[364], runs[0], runs[9], runs[10]) == (15, 11, 10, 1, 0)
    assert run_from(np.ones(DAYS, np.bool_)).tolist() == [DAYS] * DAYS
    assert run_from(np.zeros(DAYS, np.bool_)).tolist() == [0] * DAYS


@pytest.mark.parametrize("years", [0, 1, 3, 10, 21, 30])
def test_the_kernel(years: int) -> None:
    """Weights sum to 1 and are symmetric; fewer years reach wider in days and degrees."""
    kernel = kernel_for(years)
    assert kernel.days.sum() == pytest.approx(1.0)
    assert kernel.days.size % 2 == 1
    np.testing.assert_allclose(kernel.days, kernel.days[::-1])
    assert kernel.spread_c == pytest.approx(2.0 / max(years, 1) ** (1 / 3))
    assert kernel_for(years + 5).spread_c <= kernel.spread_c
    assert kernel_for(years + 5).days.size <= kernel.days.size


def test_a_triangular_weight_by_hand() -> None:
    """Standard deviation 1 is a half width of sqrt(6) = 2.449: half of it is 7/8 of the weight."""
    half = np.sqrt(6.0) / 2.0
    shortfall = np.array([-2.0 * half, -half, 0.0, half, 2.0 * half])
    found = free_weight(shortfall, None, 0.0, 1.0)
    np.testing.assert_allclose(found, [1.0, 0.875, 0.5, 0.125, 0.0], atol=1e-12)
    np.testing.assert_allclose(free_weight(shortfall + 1.0, None, 1.0, 1.0), found, atol=1e-12)
    assert free_weight(shortfall, None, 0.0, 0.0).tolist() == [1, 1, 1, 0, 0]


def test_heat_takes_away_what_cold_left() -> None:
    """A year with 1 °C to spare from cold and 1 °C room for heat: no other share with neither."""
    shortfall, room = np.array([-1.0]), np.array([1.0])
    assert free_weight(shortfall, room, 0.0, 0.0).item() == 1.0
    assert free_weight(shortfall, room, 1.1, 0.0).item() == 0.0  # too hot
    assert free_weight(shortfall, room, -1.1, 0.0).item() == 0.0  # too cold
    blurred = free_weight(shortfall, room, 0.0, 1.0).item()
    assert blurred == pytest.approx(2.0 * free_weight(shortfall, None, 0.0, 1.0).item() - 1.0)


def test_a_wider_kernel_promises_no_more_at_the_brink() -> None:
    """A season that ends at the same night each year is cut shorter by neighbours in time."""
    hard = np.full(8 * DAYS, FINE)
    hard.reshape(8, DAYS)[:, 181:281] = 20.0
    plain = find_longest(witnesses_of(lack_of(hard)), PLAIN, 0.9)
    wide = find_longest(witnesses_of(lack_of(hard)), kernel_for(8), 0.9)
    assert plain == Stretch(start=281, nights=265)
    assert wide is not None
    assert plain.nights - 20 < wide.nights < plain.nights


def test_a_season_stays_within_the_days_allowed() -> None:
    allowed = np.zeros(DAYS, np.bool_)
    allowed[50:200] = True
    past_years = witnesses_of(lack_of(np.full(5 * DAYS, FINE)))
    found = find_longest(past_years, PLAIN, 0.9, run_from(allowed))
    assert found == Stretch(start=50, nights=150)
    none = find_longest(past_years, PLAIN, 0.9, np.zeros(DAYS, np.int64))
    assert none is None
    around = longest_around(past_years, PLAIN, 0.9, Stretch(start=50, nights=150))
    assert around.nights == DAYS


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(0, DAYS - 1), st.integers(14, 120))
def test_the_survival_season_around_holds_the_season(seed: int, start: int, nights: int) -> None:
    allowed = np.zeros(DAYS, np.bool_)
    allowed[np.arange(start, start + nights) % DAYS] = True
    past_years = witnesses_of(invent(seed, 5))
    inner = find_longest(past_years, PLAIN, 0.6, run_from(allowed))
    if inner is None:
        return
    outer = longest_around(past_years, PLAIN, 0.6, inner)
    back = (inner.start - outer.start) % DAYS
    assert back + inner.nights <= outer.nights
    assert promised_share(past_years, outer.nights, PLAIN)[outer.start] >= 0.6 - 1e-9


def test_a_split_year_has_two_seasons() -> None:
    """Unsafe in January (0 to 30) and in July (181 to 211): 150 and 153 nights between.

    The gaps have 31 nights, the seasons must lie 28 apart; what is left beside them is too near.
    """
    hard = np.full(6 * DAYS, FINE)
    by_year = hard.reshape(6, DAYS)
    by_year[:, :31] = by_year[:, 181:212] = 2.0
    past_years = witnesses_of(lack_of(hard))
    first = find_longest(past_years, PLAIN, 0.9)
    assert find_separate(past_years, PLAIN, 0.9, first) == (
        Stretch(start=212, nights=153),
        Stretch(start=31, nights=150),
    )
    assert find_separate(past_years, PLAIN, 0.9, None) == ()


@pytest.mark.parametrize(("second", "seasons"), [(168, 1), (169, 2)])
def test_seasons_lie_four_weeks_apart(second: int, seasons: int) -> None:
    """Unsafe are night 100 and a second one: what lies between is a season if it is long enough.

    It must begin and end 28 nights from the longer one: from day 128 to the second - 27 are 14
    nights, the shortest that are looked for, if the second night is that of day 169.
    """
    hard = np.full(6 * DAYS, FINE)
    hard.reshape(6, DAYS)[:, [100, second]] = 2.0
    past_years = witnesses_of(lack_of(hard))
    first = find_longest(past_years, PLAIN, 0.9)
    assert first == Stretch(start=second + 1, nights=DAYS - (second - 100) - 1)
    assert len(find_separate(past_years, PLAIN, 0.9, first)) == seasons


def test_the_share_of_one_stretch() -> None:
    """Plain counting: 8 of 10 years kept is 0.8; two years say nothing."""
    hard = np.full(11 * DAYS, FINE)
    hard[[100, DAYS + 100]] = 1.0
    known = np.ones(11, np.bool_)
    known[10] = False
    past_years = replace(witnesses_of(lack_of(hard)), counts=known)
    assert share_of(past_years, Stretch(start=50, nights=100), PLAIN) == pytest.approx(0.8)
    few = replace(past_years, counts=np.arange(11) < 2)
    assert share_of(few, Stretch(start=50, nights=100), PLAIN) == 0.0


@settings(max_examples=15)
@given(st.integers(0, 2**32 - 1), st.integers(0, DAYS - 1), st.integers(14, 300))
def test_the_share_of_one_stretch_is_that_of_all(seed: int, start: int, nights: int) -> None:
    past_years, kernel = witnesses_of(invent(seed, 6), cut=15), kernel_for(6)
    share = share_of(past_years, Stretch(start=start, nights=nights), kernel)
    assert share == pytest.approx(promised_share(past_years, nights, kernel)[start], abs=1e-9)


def test_ends_of_years_drawn_anew() -> None:
    """Five years, fine from day 100 to 249, 110 to 249, …, 140 to 249; all must keep the season.

    The years as they are give 140 to 249, and so does a draw with the last of them; a draw of the
    first alone begins 40 days earlier and ends as it did, one of the third 20.
    """
    hard = np.full((6, DAYS), 1.0)
    for year in range(5):
        hard[year, 100 + 10 * year : 250] = FINE
    known = np.arange(6) < 5
    past_years = replace(witnesses_of(lack_of(hard.reshape(-1))), counts=known)
    season = find_longest(past_years, PLAIN, 1.0)
    assert season == Stretch(start=140, nights=110)
    draws = np.zeros((4, 6))
    draws[0, :5] = 1.0
    draws[[1, 2, 3], [4, 0, 2]] = 5.0
    longest = np.full(DAYS, DAYS)
    start, stop = resampled_ends(past_years, PLAIN, 1.0, season, longest=longest, weights=draws)
    np.testing.assert_allclose(stop, [0, 0, 0, 0], atol=STEP)
    np.testing.assert_allclose(start, [0, 0, -40, -20], atol=STEP)
    longest[:130] = 0  # it grows from day 130 on
    start, _ = resampled_ends(past_years, PLAIN, 1.0, season, longest=longest, weights=draws)
    np.testing.assert_allclose(start, [0, 0, -10, -10], atol=STEP)


@settings(max_examples=10, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_the_years_as_they_are_move_no_end(seed: int) -> None:
    """Read off between lengths, a season found by halving is found again within some days."""
    past_years, kernel = witnesses_of(invent(seed, 12)), kernel_for(12)
    season = find_longest(past_years, kernel, 0.9)
    if season is None or not 60 < season.nights < DAYS:
        return
    start, stop = resampled_ends(
        past_years, kernel, 0.9, season, longest=np.full(DAYS, DAYS), weights=np.ones((1, 12))
    )
    assert abs(start[0]) <= STEP
    assert abs(stop[0]) <= STEP


def test_what_all_past_years_kept_a_new_one_keeps_with_n_minus_1_over_n_plus_1() -> None:
    """Exchangeable years, nine past ones: the plain stretch that all kept holds for 8 in 10.

    Each year's season begins and ends at random. Either end fails with 1/10; both together now and
    then (1/100), as they are independent here; days that are equal by chance only help. The share
    of 600 new years has a standard error of 0.016.
    """
    generator, years, kept = np.random.default_rng(11), 9, 0
    for _ in range(600):
        ends = np.rint(generator.normal([100.0, 280.0], 15.0, (years + 1, 2)))
        day = np.arange(DAYS)
        hard = np.where((day >= ends[:, :1]) & (day < ends[:, 1:]), FINE, 1.0)
        found = find_longest(witnesses_of(lack_of(hard[:years].reshape(-1))), PLAIN, 1.0)
        assert found is not None
        kept += bool((hard[years, found.start : found.stop] <= 0.0).all())
    assert 0.8 - 3 * 0.016 <= kept / 600 <= 0.81 + 3 * 0.016 + 0.01


def plant_years_told(rows: FloatArray, cut: int) -> PastYears:
    """PastYears of whole plant years, (plant year, 365); nothing is known before and after them."""
    before, after = np.full(cut, np.nan), np.full((DAYS - cut) % DAYS, np.nan)
    nights = np.concatenate([before, rows.reshape(-1), after])
    unknown = np.isnan(nights)
    nights[unknown] = FINE
    room = np.where(unknown, -FINE, nights + 9.5)
    return witnesses_of(lack_of(nights, nights - 0.5, room), unknown, cut=cut)


def seven_years(seed: int) -> FloatArray:
    """Plant years that all have the same two months of winter at both of their ends.

    So no stretch reaches from one year into the next, whichever that is.
    """
    wave = 6.0 * np.cos(2.0 * np.pi * (np.arange(DAYS) + 0.5) / DAYS)
    years = wave + np.random.default_rng(seed).normal(0.0, 1.5, (7, DAYS))
    years[:, :60] = years[:, -60:] = 9.0
    return years


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 2**32 - 1), st.permutations(range(7)), st.sampled_from([0, 15, 197]))
def test_the_order_of_the_years_plays_no_part(seed: int, order: list[int], cut: int) -> None:
    """Plant years told in another order promise the same season with the same error."""
    rows, kernel = seven_years(seed), kernel_for(7)
    one, other = plant_years_told(rows, cut), plant_years_told(rows[order], cut)
    for promise in (0.5, 0.8, 0.9):
        found = find_longest(one, kernel, promise)
        assert find_longest(other, kernel, promise) == found
        assert found is not None or promise > 0.5
        if found is not None:
            here, there = (share_of(each, found, kernel) for each in (one, other))
            assert here == pytest.approx(there, abs=1e-12)


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(0, DAYS - 1), st.integers(0, DAYS - 1))
def test_the_other_hemisphere_has_the_same_season_at_another_time(
    seed: int, north: int, south: int
) -> None:
    """The same plant years from another day of the calendar on: as long, as sure, and moved."""
    rows, kernel = seven_years(seed), kernel_for(7)
    here, there = plant_years_told(rows, north), plant_years_told(rows, south)
    for promise in (0.5, 0.8, 0.9):
        one, other = (find_longest(each, kernel, promise) for each in (here, there))
        assert (one is None) == (other is None)
        assert one is not None or promise > 0.5
        if one is not None and other is not None:
            assert one.nights == other.nights
            assert promised_share(here, one.nights, kernel)[one.start] == pytest.approx(
                promised_share(there, other.nights, kernel)[other.start], abs=1e-12
            )
            moved = Stretch(start=(one.start + south - north) % DAYS, nights=one.nights)
            assert share_of(here, one, kernel) == pytest.approx(
                share_of(there, moved, kernel), abs=1e-12
            )


def test_nothing_is_altered() -> None:
    shortfall = invent(1, 4, heat=True)
    assert shortfall.heat_room_c is not None
    before = [array.copy() for array in (shortfall.dry_c, shortfall.dose_c, shortfall.heat_room_c)]
    past_years = witnesses_of(shortfall, cut=20)
    table = past_years.tables.at_once.of(0, 1, np.arange(DAYS))
    find_separate(past_years, kernel_for(4), 0.9, find_longest(past_years, kernel_for(4), 0.9))
    for array, copy in zip(
        (shortfall.dry_c, shortfall.dose_c, shortfall.heat_room_c), before, strict=True
    ):
        np.testing.assert_array_equal(array, copy)
    np.testing.assert_array_equal(past_years.tables.at_once.of(0, 1, np.arange(DAYS)), table)


@settings(max_examples=30)
@given(
    st.integers(0, 2**32 - 1),
    st.lists(st.sampled_from([0.5, 0.7, 0.8, 0.9, 0.99]), min_size=1, unique=True),
    st.integers(1, 400),
)
def test_several_promises_at_once_are_as_one_by_one(
    seed: int, promises: list[float], guess: int
) -> None:
    """Whatever lengths are guessed: the answer is that of each promise alone."""
    past_years, kernel = witnesses_of(invent(seed)), kernel_for(5)
    found = find_longest_each(
        past_years,
        kernel,
        promises,
        longest=np.full(DAYS, DAYS),
        shortest=14,
        warmer_c=0.0,
        guesses={promises[0]: guess},
    )
    assert found == tuple(find_longest(past_years, kernel, one) for one in promises)
