"""The check of a record: counts, years, lists, and what must not matter."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.advice.cases import Rules
from suitability.advice.checking import check_groups
from suitability.advice.preparing import CheckOptions, lay_out, years_asked
from suitability.advice.result import CarriedNights
from suitability.advice.terms import Verdict
from suitability.errors import RecordError
from suitability.groups import read_catalogue
from suitability.places import Place
from suitability.spots.spot import OPEN_AIR, ROOFED
from suitability.weather.record import Origin, Record

from .conftest import OPTIONS, PLACE

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.advice.result import CheckResult, Finding
    from suitability.groups.group import Needs
    from tests.advice.conftest import Ask, Group
    from tests.conftest import Hourly

    OpenExtract = Callable[[str], tuple[Record, Place]]

EVERY_GROUP = [one.needs() for one in read_catalogue().groups]


def test_raw_counts_of_each_month(hourly: Hourly, ask: Ask) -> None:
    """From 30 December 2000 23:00 for three days at 14 °C: one degree-hour an hour below 15.

    25 hours in December (23:00 of the 30th and the 31st), 47 in January.
    """
    finding = ask(hourly(np.full(72, 14.0), start="2000-12-30T23"))
    rows = [
        (row.year, row.month, row.hours_valid, row.hours_below, row.degree_hours_below)
        for row in finding.by_month
    ]
    assert rows == [(2000, 12, 25, 25.0, 25.0), (2001, 1, 47, 47.0, 47.0)]


@pytest.mark.parametrize(("offset", "december"), [(-8.0, 33), (5.5, 20), (0.0, 25)])
def test_months_are_those_of_standard_time(
    hourly: Hourly, ask: Ask, offset: float, december: int
) -> None:
    """The same hours belong to other months in other zones.

    23:00 UTC is 15:00 eight hours west, with 9 + 24 hours left of December; at +5:30 it is 04:30 of
    the 31st, which counts as 04:00, with 20 hours left.
    """
    record = hourly(np.full(72, 14.0), start="2000-12-30T23")
    finding = ask(record, place=replace(PLACE, utc_offset_hours=offset))
    assert finding.by_month[0].hours_valid == december


def test_filled_hours_do_not_count(hourly: Hourly, ask: Ask) -> None:
    """A gap of two hours is filled for nights, never for counts."""
    temp_c = np.full(72, 14.0)
    temp_c[10:12] = np.nan
    finding = ask(hourly(temp_c))
    assert finding.by_month[0].hours_valid == 70
    assert finding.by_month[0].hours_below == 70


@pytest.mark.parametrize(
    ("origin", "counted"),
    [(Origin.MODEL, 0), (Origin.BLENDED, 0), (Origin.FORECAST, 0), (Origin.INVENTED, 72)],
)
def test_only_observed_hours_count(hourly: Hourly, ask: Ask, origin: Origin, counted: int) -> None:
    """What a model says is not an observation; the demo's invented hours stand for observed."""
    record = hourly(np.full(72, 14.0))
    finding = ask(replace(record, origin=np.full(72, origin, np.uint8)))
    assert finding.by_month[0].hours_valid == counted
    assert finding.by_month[0].hours_below == (counted or None)


def test_the_last_thirty_calendar_years_are_used(hourly: Hourly) -> None:
    """Of 35 years the last 30; of a record that ends on 1 January that year is the last."""
    record = hourly(start="1980-01-01T00", years=35)
    used = years_asked(record, PLACE, OPTIONS)
    assert (used.start_hour - 87672) // 24 == 1826  # 87672: 1980-01-01; 1826 days to 1985-01-01
    assert used.stop_hour == record.stop_hour


def test_calendar_years_begin_in_standard_time(hourly: Hourly) -> None:
    """--years 2002-2003 at UTC-8 begins at 08:00 UTC of 1 January 2002 and ends as late."""
    record = hourly(years=4)
    west = replace(PLACE, utc_offset_hours=-8.0)
    used = years_asked(record, west, replace(OPTIONS, first_year=2002, last_year=2003))
    assert used.start_hour - record.start_hour == 365 * 24 + 8
    assert used.temp_c.size == 730 * 24
    half = years_asked(
        record,
        replace(PLACE, utc_offset_hours=5.5),
        replace(OPTIONS, first_year=2002, last_year=2002),
    )
    # 00:00 at +5:30 is 18:30 UTC of the day before: the first full hour is 19:00
    assert half.start_hour - record.start_hour == 364 * 24 + 19


def test_years_the_record_does_not_have(hourly: Hourly, ask: Ask) -> None:
    with pytest.raises(RecordError, match="no hours between 2010-01-01 and"):
        ask(hourly(), options=replace(OPTIONS, first_year=2010, last_year=2012))


def by_group(result: CheckResult) -> dict[str, Finding]:
    """Findings without their ranks, by group."""
    return {finding.group: unranked(finding) for finding in result.results}


@pytest.mark.parametrize("name", ["los_angeles", "manaus"])
def test_the_order_of_groups_only_reorders(extract: OpenExtract, name: str) -> None:
    """Again, backwards, and each of three alone: nothing but its rank hangs on its neighbours.

    Manaus has days that are not whole, which matters to groups that heat excludes and to no
    other.
    """
    record, place = extract(name)
    options = CheckOptions(rules=Rules(), worst=True)

    def found(groups: list[Needs]) -> CheckResult:
        return check_groups(lay_out(record, place, (OPEN_AIR,), groups, options))

    def ask_for(groups: list[Needs]) -> dict[str, Finding]:
        return by_group(found(groups))

    whole = found(EVERY_GROUP)
    if name == "los_angeles":
        assert found(EVERY_GROUP) == whole
    forwards, backwards = by_group(whole), ask_for(EVERY_GROUP[::-1])
    alone: dict[str, Finding] = {}
    for needs in EVERY_GROUP:
        if needs.key in ("spatulata", "nobile", "masdevallia"):
            alone |= ask_for([needs])
    different = {
        (key, name)
        for others in (backwards, alone)
        for key, finding in others.items()
        for name in type(finding).__struct_fields__
        if getattr(finding, name) != getattr(forwards[key], name)
    }
    assert not different


def test_carried_nights_hang_on_no_neighbour(hourly: Hourly, group: Group) -> None:
    """Years count for a group by what it asks of them, not by what another does.

    Two hard nights in each of five years, eight in each of the next five, whose afternoons are
    missing: those years are usable only for the group that heat does not exclude.
    """
    record = hourly(years=10, mean_c=20.0, year_c=3.0)
    temp_c = record.temp_c.copy()
    hour = np.arange(temp_c.size)
    temp_c[(hour > 5 * 8766) & (hour % 24 >= 13) & (hour % 24 < 17)] = np.nan
    for year in range(10):
        first = int(year * 8766) // 24 * 24 + 10 * 24
        for night in range(2 if year < 5 else 8):
            temp_c[first + 24 * night + 3] = 4.0
    record = replace(record, temp_c=temp_c)
    usual, cool = group(), group(key="cool", heat_limited=True, ceiling_c=35.0)

    def carried(*groups: Needs) -> dict[str, CarriedNights | None]:
        findings = check_groups(lay_out(record, PLACE, (ROOFED,), groups, OPTIONS)).results
        return {finding.group: finding.carried_nights for finding in findings}

    assert carried(usual, cool) == carried(cool, usual) == carried(usual) | carried(cool)


def test_the_record_is_left_alone(hourly: Hourly, ask: Ask) -> None:
    record = hourly(years=4, year_c=5.0, day_c=4.0, prcp_mm=np.full(35064, 0.1))
    gaps = record.temp_c.copy()
    gaps[1000:1002] = gaps[5000:5100] = np.nan
    record = replace(record, temp_c=gaps)
    copies = [
        array.copy()
        for array in (record.temp_c, record.origin, record.prcp_mm)
        if array is not None
    ]
    for array in (record.temp_c, record.origin, record.prcp_mm):
        assert array is not None
        array.flags.writeable = False
    ask(record, spot=OPEN_AIR, options=replace(OPTIONS, worst=True))
    for array, copy in zip((record.temp_c, record.origin, record.prcp_mm), copies, strict=True):
        np.testing.assert_array_equal(array, copy)


def test_each_number_of_hours_is_its_own(hourly: Hourly, ask: Ask, group: Group) -> None:
    """Ten Januaries with 10 hours of 14 °C and, of 5 °C, 0 four times, 24, 24, 48, 72, 96 and 240.

    Below 15 °C: mean 50.4 + 10, median 24 + 10, bad year (type 8, position 9.6333) 96 + 0.6333 x
    144 + 10; degree-hours 50.4 x 10 + 10. Below 13 °C, without the hours of 14 °C: 50.4 x 8.
    """
    parts = []
    for year, cold in enumerate((0, 24, 240, 0, 48, 0, 96, 24, 0, 72)):
        temp_c = np.full((366 if year % 4 == 3 else 365) * 24, 20.0)
        temp_c[:cold], temp_c[cold : cold + 10] = 5.0, 14.0
        parts.append(temp_c)
    finding = ask(hourly(np.concatenate(parts)), group(rest_floor_c=13.0))
    assert finding.hours_below_rest is not None
    assert finding.hours_below_rest_bad is not None
    assert finding.degree_hours_below_rest is not None
    assert finding.hours_below.months[0] == pytest.approx(60.4)
    assert finding.hours_below_median[0] == pytest.approx(34.0)
    assert finding.hours_below_bad[0] == pytest.approx(197.2)
    assert finding.degree_hours_below[0] == pytest.approx(514.0)
    assert finding.years_of_month[0] == 10
    assert finding.hours_below_rest.months[0] == pytest.approx(50.4)
    assert finding.hours_below_rest_bad[0] == pytest.approx(187.2)
    assert finding.degree_hours_below_rest[0] == pytest.approx(403.2)


def test_each_threshold_told_is_its_own(hourly: Hourly, ask: Ask, group: Group) -> None:
    """All have another value, so that none can stand for another."""
    used = {
        "floor_c": 15.5,
        "rest_floor_c": 11.5,
        "chill_base_c": 12.25,
        "dose_limit_c_h": 321.0,
        "limit_c": 3.75,
        "limit_wet_c": 6.5,
        "ceiling_c": 33.5,
        "low_confidence_limit": True,
        "comfort_c": 17.5,
        "heat_signs": "leaves curl",
    }
    told = ask(hourly(years=2), group(**used)).thresholds
    assert {name: getattr(told, name) for name in told.__struct_fields__} == used


def test_several_spots_stand_beside_each_other(hourly: Hourly, ask: Ask, group: Group) -> None:
    """Findings spot by spot; each is what the spot alone gives."""
    record = hourly(years=4, year_c=5.0, day_c=4.0)
    groups = [group(), group(key="other", floor_c=12.0)]
    result = check_groups(lay_out(record, PLACE, (OPEN_AIR, ROOFED), groups, OPTIONS))
    assert [(found.spot, found.group) for found in result.results] == [
        ("open-air", "invented"),
        ("open-air", "other"),
        ("roofed", "invented"),
        ("roofed", "other"),
    ]
    for found, spot in ((result.results[0], OPEN_AIR), (result.results[2], ROOFED)):
        assert unranked(found) == unranked(ask(record, spot=spot))


def unranked(finding: Finding) -> Finding:
    """A finding as if it were compared with none."""
    return replace(finding, ranking=replace(finding.ranking, rank=1))


def wet_winter(hourly: Hourly) -> Record:
    """Twelve years with nights down to 6.5 °C in winter, which the wet limit (8) forbids."""
    return hourly(years=12, mean_c=18.0, year_c=7.0, day_c=3.0)


def test_the_dry_verdict_is_that_of_a_roof(hourly: Hourly, ask: Ask, group: Group) -> None:
    """Winter nights of 8 °C against a dry limit of 4 and a wet one of 11, floor and dose aside."""
    record = wet_winter(hourly)
    needs = group(limit_c=4.0, limit_wet_c=11.0, floor_c=5.0, chill_base_c=5.0)
    open_air, roofed = ask(record, needs, spot=OPEN_AIR), ask(record, needs, spot=ROOFED)
    assert open_air.verdict is Verdict.SEASONAL
    assert roofed.verdict is Verdict.ALL_YEAR
    assert open_air.dry_verdict is Verdict.ALL_YEAR
    assert roofed.dry_verdict is None


def test_without_rain_there_is_no_dry_verdict(hourly: Hourly, ask: Ask) -> None:
    dry = replace(wet_winter(hourly), prcp_mm=np.zeros(105192))
    assert ask(dry, spot=OPEN_AIR).dry_verdict is None


def test_the_dry_verdict_on_a_real_record(extract: OpenExtract) -> None:
    """For the whole catalogue in Porto Alegre, which has rain data."""
    record, place = extract("porto_alegre")
    result = check_groups(
        lay_out(record, place, (OPEN_AIR, ROOFED), EVERY_GROUP, CheckOptions(rules=Rules()))
    )
    size = len(EVERY_GROUP)
    for open_air, roofed in zip(result.results[:size], result.results[size:], strict=True):
        assert open_air.dry_verdict is roofed.verdict
        assert roofed.verdict.rank >= open_air.verdict.rank


def test_carried_nights_by_hand(hourly: Hourly, ask: Ask) -> None:
    """Ten years of 20 °C with three hard nights each January, and ten in one of them."""
    record = hourly(years=10, mean_c=20.0, year_c=3.0)
    temp_c = record.temp_c.copy()
    for year in range(10):
        first = int(year * 8766) // 24 * 24 + 10 * 24  # 11 January, 00:00
        for night in range(10 if year == 5 else 3):
            temp_c[first + 24 * night + 3] = 4.0
    finding = ask(replace(record, temp_c=temp_c))
    assert finding.carried_nights == CarriedNights(typical=3, worst=10)


def test_a_plant_that_is_hardly_ever_out_has_no_carried_nights(hourly: Hourly, ask: Ask) -> None:
    """More than 45 hard nights a year: it lives indoors in winter."""
    finding = ask(hourly(years=10, mean_c=15.0, year_c=12.0, day_c=3.0))
    assert finding.carried_nights is None


def test_provisional_under_ten_usable_years(hourly: Hourly, ask: Ask) -> None:
    """Always safe: ten calendar years hold nine plant years."""
    for years, provisional in ((10, True), (11, False)):
        finding = ask(hourly(years=years, mean_c=25.0, year_c=3.0))
        assert finding.verdict is Verdict.ALL_YEAR
        assert finding.provisional is provisional
        worth = finding.promise_worth
        assert (None if worth is None else (worth.promised, worth.low, worth.high)) == (
            (0.9, 0.75, 0.9818) if provisional else None  # odds of 3 and of 54 to 1
        )


def test_borderline(hourly: Hourly, ask: Ask) -> None:
    """By a headroom or margin of less than 1 °C, and only then."""
    for mean in np.arange(17.0, 22.0, 0.4):
        finding = ask(hourly(years=10, mean_c=float(mean), year_c=4.0, day_c=2.0))
        margin, headroom = finding.margin_c, finding.headroom_c
        near = (margin is not None and margin <= 1.0) or (headroom is not None and headroom < 1.0)
        assert finding.borderline is near
        assert finding.verdict_colder.rank <= finding.verdict.rank <= finding.verdict_warmer.rank


@pytest.mark.parametrize(("years", "leans"), [(19, True), (20, False)])
def test_nineteen_years_carry_nine_of_ten_without_a_model(
    hourly: Hourly, ask: Ask, years: int, *, leans: bool
) -> None:
    """Twenty calendar years hold 19 plant years, and (19 - 1) / (19 + 1) = 0.9."""
    finding = ask(hourly(years=years, mean_c=25.0, year_c=3.0))
    assert finding.years_kept == finding.years_counted == years - 1
    assert finding.model_based is leans


def test_a_verdict_that_some_years_broke_leans_on_the_model(hourly: Hourly, ask: Ask) -> None:
    """One hard night in twenty-five years; the verdict stands, but not by the years alone."""
    record = hourly(years=25, mean_c=25.0, year_c=3.0)
    temp_c = record.temp_c.copy()
    temp_c[100_000 // 24 * 24 + 4] = 4.0
    finding = ask(replace(record, temp_c=temp_c))
    assert finding.verdict is Verdict.ALL_YEAR
    assert finding.years_counted - finding.years_kept == 1
    assert finding.model_based


def test_the_worst_nights_are_dated_by_their_evening(hourly: Hourly, ask: Ask) -> None:
    """3 °C at 05:00 of 12 March belongs to the night of 11 March; 4 °C at 21:00 to its own."""
    record = hourly(years=4, mean_c=20.0)
    temp_c = record.temp_c.copy()
    first = (date(2002, 3, 12) - date(2001, 1, 1)).days * 24
    temp_c[first + 5] = 3.0
    temp_c[first + 24 * 30 + 21] = 4.0
    finding = ask(replace(record, temp_c=temp_c), options=replace(OPTIONS, worst=True))
    one, other, third = finding.worst_nights[:3]
    assert (one.evening, one.minimum_c) == (date(2002, 3, 11), 3.0)
    assert one.below_limit_c == pytest.approx(2.0, abs=1e-6)
    assert (other.evening, other.minimum_c) == (date(2002, 4, 11), 4.0)
    assert third.minimum_c == 20.0
    assert third.below_limit_c == 0.0
    assert len(finding.worst_nights) == 10


def test_the_worst_nights_say_the_reading_and_judge_with_the_allowance(
    hourly: Hourly, ask: Ask
) -> None:
    record = hourly(years=4, mean_c=20.0)
    temp_c = record.temp_c.copy()
    temp_c[10_000 // 24 * 24 + 5] = 5.3
    options = replace(OPTIONS, worst=True, minimum_allowance_c=0.6)
    worst = ask(replace(record, temp_c=temp_c), options=options).worst_nights[0]
    assert worst.minimum_c == 5.3
    assert worst.below_limit_c == pytest.approx(0.3, abs=1e-6)  # 5 - (5.3 - 0.6)


def test_the_worst_fortnights_by_hand(hourly: Hourly, ask: Ask) -> None:
    """Sums of 14 nights, heaviest first, that do not overlap.

    Eleven nights in a row with 10 h at 7 °C: 50 °C·h each below 12, 550 in the fortnight that ends
    with the last of them; a single such night in June makes 50 and is listed too.
    """
    record = hourly(years=4, mean_c=20.0)
    temp_c = record.temp_c.copy()
    evening = date(2002, 1, 10)
    for night in [*range(11), 150]:
        first = ((evening - date(2001, 1, 1)).days + night) * 24
        temp_c[first + 20 : first + 30] = 7.0
    finding = ask(replace(record, temp_c=temp_c), options=replace(OPTIONS, worst=True))
    heaviest, second = finding.worst_fortnights
    assert heaviest.dose_c_h == pytest.approx(550.0)
    assert heaviest.last_evening == evening + timedelta(days=10)
    assert heaviest.lowest_c == 7.0
    assert second.dose_c_h == pytest.approx(50.0)
    assert second.last_evening == evening + timedelta(days=150)


def test_lists_are_left_out_unless_asked_for(hourly: Hourly, ask: Ask) -> None:
    finding = ask(hourly(years=4))
    assert finding.worst_nights == ()
    assert finding.worst_fortnights == ()


def test_the_share_of_unsafe_nights(hourly: Hourly, ask: Ask) -> None:
    """Five hard nights every January are 5/31 of its nights; other months have none.

    The dose stays within bounds: 5 h of 8 °C below 12 are 40 °C·h.
    """
    record = hourly(start="2001-01-01T12", years=4, mean_c=20.0)
    temp_c = record.temp_c.copy()
    for year in range(4):
        first = (date(2001 + year, 1, 5) - date(2001, 1, 1)).days * 24
        for night in range(5):
            temp_c[first + 24 * night + 16] = 4.0  # 04:00
    share = ask(replace(record, temp_c=temp_c)).unsafe_share
    assert share[0] == pytest.approx(5 / 31, abs=5e-7)  # told to six decimals
    assert share[1:] == (0.0,) * 11


def test_what_is_said_of_the_record(hourly: Hourly) -> None:
    temp_c = np.full(100, 20.0)
    temp_c[40:50] = np.nan
    result = check_groups(lay_out(hourly(temp_c), PLACE, (ROOFED,), EVERY_GROUP[:1], OPTIONS))
    said = result.record
    assert (said.period.start, said.period.end) == ("2001-01-01T00:00Z", "2001-01-05T03:00Z")
    assert (said.hours_valid, said.coverage) == (90, 0.9)
    assert said.origin.missing == 10
    assert not said.rain_known
    every_third = np.full(100, np.nan)
    every_third[::3] = 20.0
    record = hourly(every_third, step_hours=3)
    result = check_groups(lay_out(record, PLACE, (ROOFED,), EVERY_GROUP[:1], OPTIONS))
    assert (result.record.hours_valid, result.record.coverage) == (34, 1.0)
