"""Nights that nobody saw: gaps in the cold, or in the heat, that chance would hardly put there."""

from __future__ import annotations

from math import comb

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from suitability.climate.unseen import COLD, find_missed

YEAR = 365
Nights = NDArray[np.float64]


def a_year(nights: int = 10 * YEAR) -> Nights:
    """Nights noon to noon that get colder by one step each, so that their rank is their number."""
    return np.repeat(np.linspace(30.0, 0.0, nights)[:, None], 24, axis=1)


def losing(*lost: int, hours: slice = slice(24), of: Nights | None = None) -> Nights:
    """The nights without some hours of some of them; the last ones are the coldest."""
    temp_c = a_year() if of is None else of.copy()
    for night in lost:
        temp_c[night, hours] = np.nan
    return temp_c


def told(temp_c: Nights) -> list[int]:
    missed = find_missed(temp_c)
    assert not (missed.cold & missed.hot).any()
    return np.flatnonzero(missed.cold | missed.hot).tolist()


def test_a_whole_record_missed_nothing() -> None:
    assert told(a_year()) == []


def test_one_gap_is_told_in_the_coldest_or_hottest_twentieth() -> None:
    """
    A single gap is judged by its rank: 182 of 3650 nights are a twentieth.

    The night itself is not among those that it is compared with, and one is counted for it.
    """
    assert told(losing(3650 - 100)) == [3550]
    assert told(losing(100)) == [100]
    assert told(losing(3650 - 200)) == told(losing(200)) == told(losing(1800)) == []


def test_more_gaps_need_more_of_them_in_the_cold() -> None:
    """Of ten, one in the coldest 3 % is chance (26 %, said by a bound of 30 %); three are not.

    C(10, 3) x 0.03^3 = 0.0032, below a tenth of one in twenty.
    """
    assert comb(10, 3) * 0.03**3 < 0.05 / 10 < comb(10, 2) * 0.03**2
    elsewhere = [400, 800, 1200, 1600, 2000, 2400, 2800]
    cold = [3650 - 40, 3650 - 70, 3650 - 100]
    assert told(losing(*elsewhere, 3000, 3200, cold[0])) == []
    assert told(losing(*elsewhere, *cold)) == sorted(cold)


def test_one_far_gap_among_few_is_told() -> None:
    """Four gaps, one within the coldest 0.3 %: 4 x 0.003 is below a quarter of one in twenty."""
    assert told(losing(1000, 1500, 2000, 3650 - 8)) == [3642]
    assert told(losing(1000, 1500, 2000, 3650 - 80)) == []


def test_many_gaps_need_not_lie_far_down() -> None:
    """
    Six gaps, all in the coldest 15 %: C(6, 6) x 0.15^6 = 0.00001, though the coldest is no news.

    With a seventh in summer they are still the ones that are told.
    """
    cold = [3650 - 540 + 60 * number for number in range(6)]
    assert told(losing(*cold)) == cold
    assert told(losing(500, *cold)) == cold
    assert told(losing(500, 1000, cold[0])) == []


def test_a_run_of_nights_is_one_gap() -> None:
    """Five lost in a row are one outage, judged by the nights around it; more than a week none."""
    run = range(3550, 3555)
    assert told(losing(*run)) == list(run)
    assert told(losing(*range(3550, 3558))) == []


@pytest.mark.parametrize("night", [0, 3649])
def test_a_record_begins_and_ends_within_a_night(night: int) -> None:
    assert told(losing(night)) == []


@pytest.mark.parametrize(
    ("hours", "lost"),
    [(slice(6, 14), True), (slice(14, 22), True), (slice(6, 13), False), (slice(22, 24), False)],
    ids=["until 2", "from 2", "one hour less", "no night hour"],
)
def test_half_of_a_night_is_told_of_sooner(hours: slice, *, lost: bool) -> None:
    """18:00 to 09:00 are sixteen hours: eight of them."""
    assert told(losing(3600, hours=hours)) == [3600] * lost


@pytest.mark.parametrize(("hours", "lost"), [(slice(3), True), (slice(4, 6), False)])
def test_half_of_a_hot_afternoon_is_told_of_sooner(hours: slice, *, lost: bool) -> None:
    """Noon to 18:00: three of its hours."""
    assert told(losing(50, hours=hours)) == [50] * lost


def test_shorter_gaps_must_be_more_or_lie_farther_down() -> None:
    """
    What five lost hours hide, those beside them tell rather well: one chance in a thousand.

    Three gaps within the coldest 2.8 % (C(3, 3) x 0.028^3 = 0.00002, below a third of a thousandth)
    are told, two are not (C(2, 2) x 0.028^2 = 0.0008, below a half of one in twenty alone).
    """
    dawn = slice(15, 20)
    cold = [3650 - 10, 3650 - 40, 3650 - 100]
    assert told(losing(*cold, hours=dawn)) == sorted(cold)
    assert told(losing(*cold[::2], hours=dawn)) == []
    assert told(losing(*cold[::2])) == sorted(cold[::2])


def test_nothing_hangs_on_what_the_lost_night_was() -> None:
    """Hours that it has left do not count, nor would those that it lost."""
    colder = a_year()
    colder[2000] = -20.0
    part = slice(4, 20)
    for kept in (a_year(), colder):
        assert told(losing(2000, hours=part, of=kept)) == []
        assert told(losing(3600, hours=part, of=kept)) == [3600]


def test_where_a_minimum_is_held_no_night_is_extreme() -> None:
    """A third of the nights are at the heater's 12 °C: an equal night is no colder."""
    held = np.maximum(a_year(), 10.0)
    assert told(losing(3600, of=held)) == []


@given(st.integers(min_value=0, max_value=10_000))
def test_losses_by_lot_are_hardly_ever_told(seed: int) -> None:
    """
    3 % of ten years drawn by lot; what is told all the same lies in the coldest or hottest quarter.

    That it is told seldom is counted in `tests/bench/test_unseen.py`.
    """
    lost = np.random.default_rng(seed).permutation(10 * YEAR)[:110]
    found = np.array(told(losing(*lost.tolist())), int)
    assert np.isin(found, lost).all()
    rank = np.minimum(found, 3649 - found) / 3650
    assert (rank <= COLD + 0.01).all()


@pytest.mark.parametrize("colder_c", [6.0, 0.0])
def test_a_frost_lost_in_spring_is_told_by_its_date(colder_c: float) -> None:
    """One night of each of three Aprils, amid nights colder than usual, and milder than January's.

    Ten years with nights from 0 °C in mid-January to 20 in July; as cold as half of the year.
    """
    nights = np.arange(10 * YEAR)
    level = 10.0 - 10.0 * np.cos(2.0 * np.pi * (nights - 15) / 365.25)
    temp_c = np.repeat((level + np.sin(nights * 1.7))[:, None], 24, axis=1)
    lost = [year * YEAR + 105 for year in (2, 5, 8)]
    for night in lost:
        temp_c[night - 1 : night + 2] -= colder_c
        temp_c[night] = np.nan
    assert told(temp_c) == (lost if colder_c else [])
