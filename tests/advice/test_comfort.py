"""How a group does while it is out: comfortable nights, when it begins to grow, heat."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd
import pytest
from numpy.typing import NDArray

from suitability.advice.check import check
from suitability.advice.comfort import comfortable_nights, first_growth
from suitability.advice.moves import moves
from suitability.advice.needs import cause_of_harm, heat_word
from suitability.advice.question import ask
from suitability.advice.result import CheckResult
from suitability.advice.terms import HeatWord, Verdict
from suitability.climate.days import DAYS, day_of_year
from suitability.climate.floor import CalendarCold, cool_season
from suitability.climate.heat import HeatYears
from suitability.climate.past_years import Stretch
from suitability.groups import read_catalogue
from suitability.groups.group import Needs
from suitability.places import Place
from suitability.spots.spot import Offset, Room, Spot
from suitability.weather.record import Record, datetime_of_hour

FloatArray = NDArray[np.float64]
Extract = Callable[[str], tuple[Record, Place]]
Group = Callable[..., Needs]
PLACES = ["los_angeles", "porto_alegre", "guangzhou", "lansing", "dallas"]
WHOLE = Stretch(start=0, nights=DAYS)


def mean_year(night_c: FloatArray) -> CalendarCold:
    """A mean year of which only the nights are asked."""
    coldest = int(np.argmin(night_c))
    return CalendarCold(
        mean_hours_below=lambda _: np.zeros(DAYS),
        known_hours_below=lambda _: np.zeros(DAYS),
        night_minimum_c=night_c,
        cool_below=lambda floor_c, _: cool_season(night_c < floor_c, coldest),
    )


def nights(**by_stretch: float) -> FloatArray:
    """Nights of 10 °C, but for stretches such as d100_120=18.0 (from day 100 to day 119)."""
    night_c = np.full(DAYS, 10.0)
    for name, temp_c in by_stretch.items():
        first, stop = map(int, name[1:].split("_"))
        night_c[np.arange(first, stop) % DAYS] = temp_c
    return night_c


@pytest.mark.parametrize(
    ("night_c", "found"),
    [
        (nights(), None),
        (nights(d0_365=18.0), WHOLE),
        (nights(d100_150=18.0), Stretch(start=100, nights=50)),  # at the mark is comfortable
        (nights(d100_150=17.9), None),
        (nights(d50_80=19.0, d100_150=18.0), Stretch(start=100, nights=50)),
        (nights(d340_400=18.0), Stretch(start=340, nights=60)),  # across New Year
    ],
)
def test_the_longest_run_of_nights_at_the_mark_is_comfortable(
    night_c: FloatArray, found: Stretch | None
) -> None:
    assert comfortable_nights(mean_year(night_c), 18.0) == found


def test_without_a_mark_no_night_is_told_comfortable() -> None:
    assert comfortable_nights(mean_year(nights(d0_365=25.0)), None) is None


MAY_TO_OCTOBER = Stretch(start=day_of_year("05-01"), nights=180)  # from day 120


@pytest.mark.parametrize(
    ("night_c", "day"),
    [
        (nights(d100_300=15.0), None),
        (nights(d131_300=15.0), "05-12"),  # eleven of fourteen nights are cold
        (nights(d120_125=16.0, d140_300=15.0), "05-21"),  # a few warm nights first do not count
        (nights(d122_300=20.0), None),  # the fortnight is warm enough on average
        (nights(d200_210=18.0), "10-28"),  # no fortnight is: the day of coming in
    ],
)
def test_growth_begins_with_the_first_fortnight_at_the_floor(
    group: Group, night_c: FloatArray, day: str | None
) -> None:
    """Floor 15 °C, out from 1 May to 28 October; a night at the floor grows."""
    assert first_growth(mean_year(night_c), group(floor_c=15.0), MAY_TO_OCTOBER) == day


def test_a_resting_plant_is_not_told_that_it_does_not_grow(group: Group) -> None:
    """Its rest floor counts in the cool season; one whose flowers hang on no rest has none."""
    cool = mean_year(nights(d131_300=15.0))
    resting = group(floor_c=15.0, rest_floor_c=8.0, rest_needed=True)
    assert first_growth(cool, resting, MAY_TO_OCTOBER) is None
    colder = group(floor_c=15.0, rest_floor_c=12.0, rest_needed=True)
    assert first_growth(cool, colder, MAY_TO_OCTOBER) == "05-12"
    optional = group(floor_c=15.0, rest_floor_c=8.0, rest_needed=False)
    assert first_growth(cool, optional, MAY_TO_OCTOBER) == "05-12"


def test_who_stays_out_or_in_has_no_first_day_of_growth(group: Group) -> None:
    cool = mean_year(nights(d131_300=15.0))
    assert first_growth(cool, group(floor_c=15.0), WHOLE) is None
    assert first_growth(cool, group(floor_c=15.0), None) is None


@pytest.mark.parametrize(
    ("hours", "plain", "hardy"),
    [
        ([200.0] * 4, HeatWord.EXPECT_DAMAGE, HeatWord.IF_DRY),
        ([200.0, 0.0, 0.0, 0.0], HeatWord.AT_TIMES, HeatWord.IF_DRY),
        ([0.0] * 4, HeatWord.LITTLE, HeatWord.LITTLE),
        ([200.0] * 2, HeatWord.UNKNOWN, HeatWord.UNKNOWN),
    ],
)
def test_heat_that_harms_others_asks_only_for_moist_air(
    hours: list[float], plain: HeatWord, hardy: HeatWord
) -> None:
    """Of a group that great heat does not trouble with about 50 % humidity."""
    years = HeatYears(
        hours=np.array(hours), longest_run=np.zeros(len(hours), np.int64), warm_nights=None
    )
    usable = np.ones(len(hours), np.bool_)
    assert heat_word(years, usable, hardy=False) is plain
    assert heat_word(years, usable, hardy=True) is hardy


@pytest.mark.parametrize(
    ("hours", "runs", "warm", "cause"),
    [
        ([200.0, 200.0, 0.0], [0, 0, 4], [0, 0, 0], "hours"),
        ([200.0, 0.0, 0.0], [4, 4, 0], [0, 0, 0], "run"),
        ([2.0, 0.0, 0.0], [1, 0, 0], [15, 14, 3], "warm-nights"),
        ([200.0, 0.0, 0.0], [4, 0, 0], [15, 0, 0], "warm-nights"),
        ([200.0, 0.0, 0.0], [4, 0, 0], None, "hours"),
        ([150.0, 0.0, 0.0], [3, 0, 0], [14, 0, 0], None),
        ([0.0, 0.0, 0.0, 200.0], [0, 0, 0, 4], [0, 0, 0, 15], None),
    ],
)
def test_what_of_heat_harms(
    hours: list[float], runs: list[int], warm: list[int] | None, cause: str | None
) -> None:
    """That which harms in most of the years observed well enough, the first three here."""
    years = HeatYears(
        hours=np.array(hours),
        longest_run=np.array(runs),
        warm_nights=None if warm is None else np.array(warm),
    )
    usable = np.arange(len(hours)) < 3
    assert cause_of_harm(years, usable) == cause


# On real records ----------------------------------------------------------------------------------


def local_hours(record: Record, place: Place) -> pd.Series[float]:
    """Observed temperatures by standard time."""
    start = pd.Timestamp(datetime_of_hour(record.start_hour)).tz_localize(None)
    times = pd.date_range(start, periods=record.temp_c.size, freq="h")
    times += pd.Timedelta(hours=place.utc_offset_hours)
    return pd.Series(record.temp_c, index=times).where(record.counted)


def test_los_angeles_counted_from_the_record_independently_with_pandas(
    extract: Extract, checked: Callable[[str], CheckResult]
) -> None:
    """
    Hard-canes: 4717 hours a year below 18 °C against 2078 below 15; comfortable from early July.

    Hours by month from months with 90 % of their readings. The minima by month are of days from
    midnight; the dates are of nights from noon to noon, each calendar day averaged over the years,
    then over 31 days.
    """
    record, place = extract("los_angeles")
    finding = next(one for one in checked("los_angeles").results if one.group == "phalaenanthe")
    hours = local_hours(record, place)
    by_month = hours.dropna().groupby([hours.dropna().index.year, hours.dropna().index.month])
    days = np.array([31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    share = by_month.agg(lambda month: (month < 18.0 - 1e-6).mean())
    full = by_month.size() >= 0.9 * 24 * 28
    mean = share[full].groupby(level=1).mean() * days * 24.0
    cool = finding.hours_below_comfort
    assert cool is not None
    assert np.allclose(np.array(cool.months, float), mean.to_numpy(), atol=0.01)
    assert cool.year == pytest.approx(4717, abs=1)
    assert finding.hours_below.year == pytest.approx(2078, abs=1)
    by_day = hours.resample("D").min()
    months = by_day.groupby(by_day.index.month).mean().round(1).tolist()
    expected = [10.6, 10.8, 12.0, 13.5, 14.8, 16.6, 18.5, 18.9, 18.9, 16.8, 13.0, 10.5]
    assert months == expected
    nightly = hours.groupby((hours.index - pd.Timedelta(hours=12)).floor("D"))
    lowest = nightly.min()[nightly.count() >= 22]
    plain = lowest[~((lowest.index.month == 2) & (lowest.index.day == 29))]
    calendar = plain.groupby(plain.index.strftime("%m-%d")).mean()
    smooth = pd.concat([calendar] * 3).rolling(31, center=True).mean().iloc[DAYS : 2 * DAYS]
    warm = smooth.index[smooth >= 18.0]
    assert finding.comfort_season is not None
    season = finding.comfort_season
    assert abs(day_of_year(season.out) - day_of_year(warm[0])) <= 2
    assert abs(day_of_year(season.inn) - 1 - day_of_year(warm[-1])) <= 2
    assert (season.out[:2], season.inn[:2]) == ("07", "09")


@pytest.mark.parametrize("name", PLACES)
def test_comfort_stands_above_the_floor_in_every_finding(
    checked: Callable[[str], CheckResult], name: str
) -> None:
    """No month has fewer hours below the mark than below the floor; growth begins in the season."""
    for finding in checked(name).results:
        cool = finding.hours_below_comfort
        assert cool is not None
        assert all(
            below is not None and floor is not None and below >= floor
            for below, floor in zip(cool.months, finding.hours_below.months, strict=True)
        )
        if finding.grows_from is not None:
            season = finding.season
            assert season is not None
            assert finding.verdict is Verdict.SEASONAL
            late = (day_of_year(finding.grows_from) - day_of_year(season.out)) % DAYS
            assert 0 < late <= season.days


@pytest.mark.slow
@pytest.mark.parametrize("name", ["los_angeles", "dallas"])
def test_check_profile_and_moves_say_the_same(extract: Extract, name: str) -> None:
    """Comfort, growth and heat are worked out once a question, by one rule."""
    question = ask(*extract(name), [group.key for group in read_catalogue().groups])
    result = check(question)
    for finding, move, profile in zip(
        result.results, moves(question).results, result.profiles, strict=True
    ):
        for field in ("comfort_season", "grows_from", "cool_rest", "heat", "warm_nights"):
            assert getattr(finding, field) == getattr(move, field)
        assert profile.heat is not None
        assert finding.heat is profile.heat.word
        if finding.warm_nights is not None:
            assert finding.warm_nights == profile.heat.warm_nights_mean


def of(result: CheckResult, key: str) -> Any:
    """The finding of a group."""
    return next(one for one in result.results if one.group == key)


@pytest.mark.parametrize("key", ["phalaenanthe", "spatulata", "pedilonum"])
def test_on_the_californian_coast_hard_canes_go_out_before_they_grow(
    checked: Callable[[str], CheckResult], key: str
) -> None:
    """Common practice, no source: cool springs by the sea; they are happy only in high summer."""
    finding = of(checked("los_angeles"), key)
    assert finding.comfort_season.days < 100
    assert "06-15" <= finding.comfort_season.out <= "07-31"
    assert finding.hours_below_comfort.year > finding.hours_below.year + 1500


def test_great_heat_alarms_the_cool_and_not_the_hard_canes(
    checked: Callable[[str], CheckResult],
) -> None:
    """Common practice, no source: a Texan summer harms cool growers, hard-canes if it is dry."""
    dallas = checked("dallas")
    for key in ("phalaenanthe", "spatulata"):
        assert of(dallas, key).heat is HeatWord.IF_DRY
    for key in ("cymbidium", "formosae", "paphiopedilum-cool"):
        assert of(dallas, key).heat is HeatWord.EXPECT_DAMAGE


def test_a_warm_room_is_told_by_its_nights(extract: Extract) -> None:
    """Oxyglossum in a room of 21 °C: its nights of 16 °C never come."""
    held = Room(temp_c=21.0, glass_u_w_m2k=2.8, near_glass=Offset(low=0.0, usual=0.0, high=0.0))
    room = Spot(name="room", roofed=True, room=held)
    result = check(ask(*extract("lansing"), ["oxyglossum"], spots=room))
    (finding,) = result.results
    assert finding.verdict is Verdict.ALL_YEAR
    assert finding.heat is HeatWord.EXPECT_DAMAGE
    assert finding.warm_nights is not None
    assert finding.warm_nights > 350
