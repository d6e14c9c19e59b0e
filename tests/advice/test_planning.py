"""Steps of a plan, and the chance of several stays taken together."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.advice import planning
from suitability.advice.plan_days import lay_out_steps
from suitability.advice.plan_model import solve_plan
from suitability.advice.plan_stands import allowed_days, chance_of_stays
from suitability.advice.preparing import LaidSpot
from suitability.advice.question import ask
from suitability.climate.days import DAYS, day_of_year
from suitability.climate.past_years import share_of
from suitability.places import Place, place_at
from suitability.spots.collection import Away, Moving
from suitability.weather.record import Record
from suitability.weather.sources.files import read_file_record

Extract = Callable[[str], tuple[Record, Place]]
MONDAY = date(2026, 11, 30)
SATURDAY, SUNDAY = 5, 6


def test_a_plan_begins_at_once_and_goes_on_from_the_first_moving_day() -> None:
    """Five nights to Saturday, then 52 weeks; nothing is to be moved on the Monday."""
    times = lay_out_steps(MONDAY, Moving())
    assert times.first[:2] == (MONDAY, date(2026, 12, 5))
    assert times.nights.tolist() == [5, *[7] * 52]
    assert times.most.tolist() == [0.0, *[np.inf] * 52]
    on_the_day = lay_out_steps(date(2026, 12, 5), Moving())
    assert on_the_day.nights.tolist() == [7] * 52
    assert np.isinf(on_the_day.most).all()


def test_days_that_lie_together_are_one_occasion() -> None:
    """Sunday after Saturday: a pot may stay one night longer. Friday and Monday: from Friday on."""
    times = lay_out_steps(MONDAY, Moving(days=(SATURDAY, SUNDAY), most_a_day=4))
    assert times.late == 1
    assert times.most[1:].tolist() == [8.0] * 52
    apart = lay_out_steps(MONDAY, Moving(days=(0, 4)))
    assert (apart.first[1].weekday(), apart.late) == (4, 3)


def test_nobody_is_asked_to_carry_while_away() -> None:
    """The last day away included; of two moving days one may be left."""
    away = (Away(first=date(2026, 12, 10), last=date(2026, 12, 19)),)
    alone = lay_out_steps(MONDAY, Moving(away=away))
    assert alone.most[:5].tolist() == [0.0, np.inf, 0.0, 0.0, np.inf]
    both = lay_out_steps(MONDAY, Moving(days=(SATURDAY, SUNDAY), away=away, most_a_day=4))
    assert both.most[:5].tolist() == [0.0, 8.0, 0.0, 4.0, 8.0]
    assert both.moving[3] == (date(2026, 12, 20),)


def test_who_waits_for_the_next_moving_day_stays_for_the_steps_before_it() -> None:
    """From a Monday to Saturday; while nobody is there for longer; to the end if no day is left."""
    away = (Away(first=date(2026, 12, 10), last=date(2026, 12, 19)),)
    times = lay_out_steps(MONDAY, Moving(away=away))
    assert times.until_moving(MONDAY) == slice(0, 1)
    assert times.until_moving(date(2026, 12, 12)) == slice(2, 4)
    for_ever = (Away(first=MONDAY, last=date(2028, 1, 1)),)
    assert lay_out_steps(MONDAY, Moving(away=for_ever)).until_moving(MONDAY) == slice(0, 53)


def test_a_step_is_allowed_only_if_all_its_nights_are() -> None:
    """A season to 10 December, carried in on that day: the week from the 5th holds two more."""
    times = lay_out_steps(MONDAY, Moving())
    days = np.ones(DAYS, np.bool_)
    days[day_of_year("12-10") :] = False
    assert [bool(nights.all()) for nights in times.by_step(days)][:3] == [True, False, False]
    ends_with_a_week = np.ones(DAYS, np.bool_)
    ends_with_a_week[day_of_year("12-12") :] = False
    told = [[bool(n.all()) for n in times.by_step(ends_with_a_week, late)] for late in (0, 1)]
    assert [one[1] for one in told] == [True, False]


def test_a_leap_day_is_a_night_and_no_day_of_the_year() -> None:
    """29 February counts as the 28th."""
    times = lay_out_steps(date(2028, 2, 26), Moving())
    days = np.arange(DAYS)
    assert times.by_step(days)[0].tolist() == [56, 57, 58, 58, 59, 60, 61][:7]
    assert planning._day(date(2028, 3, 1), date(2027, 11, 1)) == DAYS + 59


@pytest.fixture(scope="module")
def laid() -> LaidSpot:
    """Three groups in the open at a real place."""
    record = read_file_record(
        Path(__file__).parents[1] / "data" / "los_angeles.hourly", longitude=-118.389
    )
    place = place_at(33.938, -118.389, 30.0, year=2020)
    return ask(record, place, ["phalaenanthe", "formosae", "pendulous"]).lay_out().spots[0]


def test_one_stay_is_kept_as_often_as_its_season_is(laid: LaidSpot) -> None:
    """The same years and weights; two stays in turn are kept no more often than either."""
    for case, decision in zip(laid.cases, laid.decisions, strict=True):
        season = decision.survival_season
        assert season is not None
        alone = chance_of_stays([(case, season.start, season.nights)])
        assert alone == pytest.approx(share_of(case.past_years, season, case.kernel), abs=0.02)
        assert alone >= 0.9 - 0.02
        early, late = (season.start - 10, 40), (season.stop - 30, 40)
        each = [chance_of_stays([(case, *stay)]) for stay in (early, late)]
        both = chance_of_stays([(case, *early), (case, *late)])
        assert both <= min(each) + 1e-9
        assert both >= sum(each) - 1.0 - 0.05


def test_a_surer_season_lies_within_a_less_sure_one(laid: LaidSpot) -> None:
    """Days that keep 95 % are fewer than those that keep 90 %."""
    for case, decision in zip(laid.cases, laid.decisions, strict=True):
        usual, surer = (allowed_days(case, decision, promise) for promise in (0.9, 0.95))
        assert surer.sum() < usual.sum()
        assert (usual & surer).sum() >= surer.sum() - timedelta(14).days


ROOMY = """
[[spot]]
name = "porch"
kind = "open-porch"
light = "bright"
[[spot]]
name = "sill"
kind = "window-sill"
light = "low"
[[plant]]
name = "pierardii"
group = "pendulous"
number = 2
spot = "sill"
"""


def test_a_plant_is_explained_by_all_its_pots(extract: Extract, tmp_path: Path) -> None:
    """
    One of two may spend the summer on the porch, the other stays at spots that are sure all year.

    There is room for everybody: nobody loses a place where each stands at a spot when it may.
    """
    file = tmp_path / "mine.toml"
    file.write_text(ROOMY, encoding="utf-8")
    house = planning._house(ask(*extract("reno"), collection=file), date(2027, 1, 2), None)
    one, other = house.pots
    house = replace(house, pots=(replace(one, season=planning.NOWHERE), other), move_nights=0.0)
    solved = solve_plan(house.problem())
    house = planning._with_ways(house, solved)
    porch, sill = planning._explained(house, solved, "pierardii", lambda _: None).spots
    (season,) = porch.seasons
    assert (porch.pots, sill.pots) == (1, 2)
    assert 0 < porch.stands < porch.allowed <= season.days
    assert (sill.stands, sill.allowed) == (364, 364)
    assert (porch.homeless, sill.homeless) == (0, 0)


SPOTS = """
[[spot]]
name = "porch"
kind = "open-porch"
places = 2
[[spot]]
name = "sill"
kind = "window-sill"
places = {}
"""
COLD = '[[plant]]\nname = "formosum"\ngroup = "formosae"\nspot = "porch"\n'
HARDY = '[[plant]]\nname = "nobile"\ngroup = "nobile"\nspot = "{}"\n'
WEDNESDAY = date(2027, 2, 10)


@pytest.mark.parametrize(
    ("plants", "places", "pressing"),
    [
        (COLD, 2, ("nights",)),  # on the porch it is promised no night of February
        (HARDY.format("sill"), 0, ("room",)),  # more pots than places
        (COLD + HARDY.format("sill"), 1, ("nights", "room")),  # one gives the other its place
        (COLD + HARDY.format("sill"), "1\narea_cm2 = 200", ("nights", "room")),
        (COLD + HARDY.format("sill"), "2\narea_cm2 = 200", ("nights", "room")),  # one pot of 14 cm
    ],
)
def test_what_will_not_wait_for_the_next_moving_day_is_told(
    extract: Extract, tmp_path: Path, plants: str, places: int | str, pressing: tuple[str, ...]
) -> None:
    """Nights where a pot stands up to that day, or else room; of all pots of the day."""
    file = tmp_path / "mine.toml"
    file.write_text(SPOTS.format(places) + plants, encoding="utf-8")
    question = ask(*extract("los_angeles"), collection=file)
    day = planning.plan(question, WEDNESDAY).days[0]
    assert (day.day, day.against, day.pressing) == (WEDNESDAY, ("day",), pressing)
    wished = planning.plan(question, date(2027, 2, 13)).days[0]
    assert (wished.against, wished.pressing) == ((), ())


def test_nothing_presses_where_nights_and_room_would_wait(extract: Extract, tmp_path: Path) -> None:
    """So a day may be chosen that spares another wish: no reason is made up for it."""
    file = tmp_path / "mine.toml"
    file.write_text(SPOTS.format(2) + HARDY.format("sill"), encoding="utf-8")
    house = planning._house(ask(*extract("los_angeles"), collection=file), WEDNESDAY, None)
    solved = solve_plan(house.problem())
    house = planning._with_ways(house, solved)
    porch, sill = range(2)
    for spot, told in ((sill, ()), (planning.NOWHERE, ("room",))):
        trip = house.pots[0], spot, porch
        rooms = [*planning._rooms(house, solved)]
        assert planning._pressing(house, rooms, WEDNESDAY, [trip]) == told
