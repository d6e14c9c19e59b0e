"""Reasons in words and numbers, and what limits a group when."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.advice.cases import Rules
from suitability.advice.preparing import CheckOptions
from suitability.advice.terms import Verdict
from suitability.spots.spot import OPEN_AIR, ROOFED
from suitability.weather.quality import check_quality

if TYPE_CHECKING:
    from suitability.advice.result import Finding
    from suitability.weather.record import Record
    from tests.advice.conftest import Ask, Group
    from tests.conftest import Hourly


def numbers_of(finding: Finding) -> dict[str, float]:
    """The numbers of the reason."""
    assert finding.reason is not None
    return dict(finding.reason.numbers)


def code_of(finding: Finding) -> str:
    assert finding.reason is not None
    return finding.reason.code


def assert_no_verdict(finding: Finding) -> None:
    """Everything that hangs on a verdict is unknown, not zero."""
    assert finding.verdict is Verdict.NONE
    assert finding.season is None
    assert finding.survival_season is None
    assert finding.survival_seasons == ()
    assert finding.carried_nights is None
    assert finding.margin_c is None
    assert finding.headroom_c is None
    assert finding.stability is None
    assert finding.dry_verdict is None
    assert finding.limiting == ()
    assert not finding.provisional
    assert not finding.borderline
    assert not finding.model_based
    assert finding.verdict_colder is finding.verdict_warmer is Verdict.NONE


def test_half_a_year(hourly: Hourly, ask: Ask) -> None:
    """Half a year is not an error: none of three needed years is usable.

    181 days from 1 January hold 180 nights between their first and their last noon, and touch the
    night before and the one after.
    """
    year = hourly(years=1, year_c=5.0, day_c=4.0)
    hours = slice(0, 181 * 24)
    finding = ask(replace(year, temp_c=year.temp_c[hours], origin=year.origin[hours]))
    assert_no_verdict(finding)
    assert code_of(finding) == "too-few-years"
    assert numbers_of(finding) == {
        "years_usable": 0, "years_needed": 3, "nights_known": 180, "nights": 182
    }  # fmt: skip
    assert "180 of 182 nights" in str(finding.reason)
    assert "Plant years begin on" in str(finding.reason)
    assert "at least 95% of its nights known and no more than 5 unknown" in str(finding.reason)
    assert finding.years_of_month[0] == 1  # what was observed is counted all the same
    assert finding.hours_below.months[11] is None


def test_how_few_years_is_said_plainly(hourly: Hourly, ask: Ask) -> None:
    """Not one whole plant year, none of those there well enough, or one of three.

    Plant years begin on 15 January here, so that three calendar years hold two.
    """
    record = hourly(years=3, year_c=5.0, day_c=4.0)
    hour = np.arange(record.temp_c.size)
    one = replace(record, temp_c=record.temp_c[:8760], origin=record.origin[:8760])
    torn = replace(record, temp_c=np.where(hour % (24 * 10) < 24, np.nan, record.temp_c))
    half = replace(record, temp_c=np.where((hour > 9500) & (hour < 12000), np.nan, record.temp_c))
    told = []
    for lossy in (one, torn, half):
        reason = ask(lossy).reason
        assert reason is not None
        told.append(reason.text.split(":")[0])
    assert told == [
        (
            "The record holds not one whole plant year and 3 are needed, so give one of 4 calendar "
            "years or more"
        ),
        "None of the 2 plant years of the record was observed well enough, 3 are needed",
        "Only 1 usable plant year, 3 are needed",
    ]


def test_all_hours_missing(hourly: Hourly, ask: Ask) -> None:
    """Six years without a single hour: nothing known, nothing zero."""
    finding = ask(hourly(np.full(6 * 8766, np.nan)))
    assert_no_verdict(finding)
    assert numbers_of(finding)["nights_known"] == 0
    assert numbers_of(finding)["years_usable"] == 0
    assert set(finding.hours_below.months) == {None}
    assert all(row.hours_below is None and row.hours_valid == 0 for row in finding.by_month)
    assert set(finding.unsafe_share) == {None}


def test_one_value_repeated_for_years(hourly: Hourly, ask: Ask) -> None:
    """A stuck sensor: after the checks of quality nothing is left of six years of 20.0 °C."""
    finding = ask(check_quality(hourly(years=6, mean_c=20.0)))
    assert_no_verdict(finding)
    assert numbers_of(finding)["nights_known"] == 0


def test_nights_of_the_winters_missing(hourly: Hourly, ask: Ask) -> None:
    """Twelve years, each without the nights of January: no plant year is usable."""
    record = hourly(years=12, mean_c=25.0, year_c=5.0)
    hour = np.arange(record.temp_c.size)
    january = (hour % 8766 < 31 * 24) & (hour % 24 < 7)
    finding = ask(replace(record, temp_c=np.where(january, np.nan, record.temp_c)))
    assert_no_verdict(finding)
    assert numbers_of(finding)["years_usable"] == 0


def test_all_year_needs_no_reason(hourly: Hourly, ask: Ask) -> None:
    finding = ask(hourly(years=12, mean_c=25.0, year_c=3.0))
    assert finding.verdict is Verdict.ALL_YEAR
    assert finding.reason is None
    assert finding.limiting == ()


def test_a_season_too_short(hourly: Hourly, ask: Ask) -> None:
    """The longest season and what would be needed, as numbers and in words."""
    finding = ask(hourly(years=12, mean_c=9.0, year_c=9.0, day_c=3.0))
    assert finding.verdict is Verdict.INDOOR
    assert code_of(finding) == "season-too-short"
    assert finding.season is None  # what is too short to use is no season to go by
    assert finding.survival_season is not None
    days = int(numbers_of(finding)["season_days"])
    assert numbers_of(finding) == {"season_days": days, "days_needed": 70}
    assert 0 < days < 70
    assert finding.reason is not None
    assert f"{days} days, 70 are needed" in finding.reason.text


def test_too_few_years_for_all_year(hourly: Hourly, ask: Ask) -> None:
    """Always safe, but only seven plant years."""
    finding = ask(hourly(years=8, mean_c=25.0, year_c=3.0))
    assert code_of(finding) == "too-few-years-for-all-year"
    assert numbers_of(finding)["years_usable"] == 7
    assert numbers_of(finding)["all_year_chance"] == 0.99  # the highest that is told


def test_nights_far_below_the_limit_are_counted(hourly: Hourly, ask: Ask) -> None:
    """Two nights of twelve years at 1.5 °C, 3.5 below the limit."""
    record = hourly(years=12, mean_c=22.0, year_c=3.0)
    temp_c = record.temp_c.copy()
    for day in (400, 2000):
        temp_c[day * 24 + 4] = 1.5
    finding = ask(replace(record, temp_c=temp_c))
    assert finding.verdict is Verdict.SEASONAL
    assert code_of(finding) == "far-below-limit"
    assert numbers_of(finding)["nights_far_below"] == 2
    assert finding.reason is not None
    assert finding.reason.text == (
        "2 nights on record, far below its limit, would likely have done lasting harm outdoors "
        "(leaf loss, dieback)."
    )


def test_high_caution_does_not_multiply_harm(hourly: Hourly, ask: Ask) -> None:
    """The same two nights by limits at their cautious end are told as a question of caution."""
    record = hourly(years=12, mean_c=22.0, year_c=3.0)
    temp_c = record.temp_c.copy()
    for day in (400, 2000):
        temp_c[day * 24 + 4] = 1.5
    options = CheckOptions(rules=Rules(cautious=True), minimum_allowance_c=0.0)
    finding = ask(replace(record, temp_c=temp_c), options=options)
    assert code_of(finding) == "far-below-limit"
    assert finding.reason is not None
    assert "2 nights on record are too cold" in finding.reason.text
    assert "a question of caution" in finding.reason.text


def test_unsafe_nights(hourly: Hourly, ask: Ask) -> None:
    """A hard night every other January: about half of the years keep all year."""
    record = hourly(years=12, mean_c=22.0, year_c=3.0)
    temp_c = record.temp_c.copy()
    for year in range(0, 12, 2):
        temp_c[(year * 8766 // 24 + 10) * 24 + 4] = 4.0
    finding = ask(replace(record, temp_c=temp_c))
    assert code_of(finding) == "unsafe-nights"
    assert 0.3 < numbers_of(finding)["all_year_chance"] < 0.7
    assert [(cause.cause, cause.months) for cause in finding.limiting] == [("hard-night", (1,))]


def test_it_would_survive_but_not_grow(hourly: Hourly, ask: Ask, group: Group) -> None:
    """Winters at 12 °C: far above limit and chill base, below a floor of 15."""
    record = hourly(years=12, mean_c=18.0, year_c=6.0)
    finding = ask(record, group(limit_c=2.0, chill_base_c=4.0))
    assert finding.verdict is Verdict.SEASONAL
    assert code_of(finding) == "floor"
    assert numbers_of(finding)["growing_days"] == sum(finding.growing_days)
    (cause,) = finding.limiting
    assert cause.cause == "floor"
    assert {1, 2} <= set(cause.months) <= {1, 2, 3, 4, 11, 12}
    assert finding.survival_season is not None
    assert finding.season is not None
    assert finding.survival_season.days == 365
    assert finding.season.days < 300


def causes(finding: Finding) -> dict[str, tuple[int, ...]]:
    return {cause.cause: cause.months for cause in finding.limiting}


def with_hours(record: Record, day_of_year: int, hours: range, value: float) -> Record:
    """The record with some hours after midnight of a day of every year set to a value."""
    temp_c = record.temp_c.copy()
    for year in range(12):
        first = (year * 8766 // 24 + day_of_year) * 24
        temp_c[first + hours.start : first + hours.stop] = value
    return replace(record, temp_c=temp_c)


@pytest.fixture
def warm(hourly: Hourly) -> Record:
    """Twelve years at 22 ± 3 °C."""
    return hourly(years=12, mean_c=22.0, year_c=3.0)


def test_hard_nights_limit_in_their_month(warm: Record, ask: Ask) -> None:
    """4 °C in March and in November of every year."""
    record = with_hours(with_hours(warm, 75, range(3, 5), 4.0), 320, range(3, 5), 4.0)
    for spot in (ROOFED, OPEN_AIR):
        assert causes(ask(record, spot=spot)) == {"hard-night": (3, 11)}


def test_cold_that_only_a_wet_plant_minds(warm: Record, ask: Ask) -> None:
    """6 °C lies between the dry limit of 5 and the wet one of 8."""
    record = with_hours(warm, 75, range(3, 5), 6.0)
    assert causes(ask(record, spot=OPEN_AIR)) == {"wet-cold": (3,)}
    assert causes(ask(record)) == {}


def test_cold_that_adds_up(warm: Record, ask: Ask) -> None:
    """A night of 10 h at 5 °C: 70 °C·h below 12, not below the limit; felt for 14 nights."""
    record = with_hours(warm, 75, range(10), 5.0)
    assert causes(ask(record)) == {"dose": (3,)}


def test_heat_limits_only_whom_it_excludes(warm: Record, ask: Ask, group: Group) -> None:
    """Five days at 35 °C in July of every year."""
    record = with_hours(warm, 200, range(5 * 24), 35.0)
    limited = group(heat_limited=True, ceiling_c=30.0)
    assert causes(ask(record, limited)) == {"heat": (7,)}
    assert causes(ask(record, group(ceiling_c=30.0))) == {}


def test_nights_that_were_not_observed_limit_too(hourly: Hourly, ask: Ask) -> None:
    """What was missed may have been cold.

    A mild record without the small hours of January in four of sixteen years; at other times days
    fall by as much as 10 °C.
    """
    record = hourly(years=16, mean_c=24.0, year_c=3.0, day_c=6.0)
    assert ask(record).verdict is Verdict.ALL_YEAR
    hour = np.arange(record.temp_c.size)
    missing = (hour % 8766 < 31 * 24) & (hour % 24 < 7) & (hour // 8766 % 4 == 1)
    torn = replace(record, temp_c=np.where(missing, np.nan, record.temp_c))
    finding = ask(torn)
    assert finding.verdict is Verdict.SEASONAL
    assert causes(finding) == {"missing-nights": (1,)}
    # A cold night that was seen is told beside them, rare as it is.
    torn.temp_c[(3 * 8766 // 24 + 75) * 24 + 4] = 1.0
    assert causes(ask(torn)) == {"missing-nights": (1,), "hard-night": (3,)}


def test_rare_causes_are_told_where_nothing_else_is(warm: Record, ask: Ask) -> None:
    """One night of twelve years lies within the promise of its month, and is the reason."""
    temp_c = warm.temp_c.copy()
    temp_c[(3 * 8766 // 24 + 75) * 24 + 4] = 1.0
    finding = ask(replace(warm, temp_c=temp_c))
    assert code_of(finding) == "far-below-limit"
    assert causes(finding) == {"hard-night": (3,)}
