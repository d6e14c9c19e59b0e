"""The coming nights, on invented weather whose answers are worked out beside them."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.advice.coming_nights import look_ahead
from suitability.advice.hours_ahead import first_evening
from suitability.advice.outlook import (
    Act,
    Alert,
    Doubt,
    RestSoFar,
    State,
    Strain,
)
from suitability.answers.outlook import outlook_calendar, outlook_sheet
from suitability.answers.sheet import Table, Text
from suitability.climate.forecast_error import stated_allowance_c
from suitability.spots.diary import Entry, What, diary_file, read_diary, with_entries
from suitability.units import TemperatureUnit
from suitability.weather.forecasts import Forecast
from suitability.weather.record import Origin, datetime_of_hour

from .own import OWN, SPOTS, ask_own

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import ArrayLike

    from suitability.advice.outlook import Outlook, PlantOutlook
    from suitability.advice.question import Question
    from tests.conftest import Hourly

COLLECTION = f"""{SPOTS}[[plant]]
name = "one"
group = "mine"
spot = "bench"
[[plant]]
name = "many"
group = "mine"
number = 5
spot = "bench"
shift_c = 0.2
"""
DAYS = 60


@pytest.fixture
def mine(tmp_path: Path) -> Path:
    path = tmp_path / "mine.toml"
    path.write_text(COLLECTION, "utf-8")
    return path


def asked(
    hourly: Hourly, mine: Path, temp_c: ArrayLike | None = None, *, group: str = ""
) -> Question:
    """60 days at 18 °C from 1 January 2001 on, unless other hours are given."""
    values = np.full(DAYS * 24, 18.0) if temp_c is None else temp_c
    return ask_own(mine, hourly(values), group=group)


def now_of(question: Question) -> int:
    """The hour after the last one of the record less nine: 15:00 where it ends with a day."""
    return question.record.stop_hour - 9


def told(question: Question, lows: list[float], *, hours: int | None = None) -> Forecast:
    """A forecast of 18 °C from now on, with six hours from midnight on of each night's low."""
    now = now_of(question)
    size = 24 * len(lows) + 9 if hours is None else hours
    temp_c = np.full(24 * len(lows) + 9, 18.0)
    for night, low_c in enumerate(lows):
        temp_c[9 + 24 * night : 15 + 24 * night] = low_c
    record = question.record
    return Forecast(
        issued=now,
        hours=replace(
            record,
            start_hour=now,
            temp_c=temp_c[:size],
            origin=np.full(size, Origin.FORECAST, np.uint8),
        ),
    )


def outlook(question: Question, forecast: Forecast | None, **more: object) -> Outlook:
    return look_ahead(question, now_of(question), forecast=forecast, **more)  # type: ignore[arg-type]


def sentences_of(found: Outlook) -> list[str]:
    """All that an outlook says in sentences."""
    return [
        sentence
        for section in outlook_sheet(found, TemperatureUnit.C).sections
        for block in section.blocks
        if isinstance(block, Text)
        for sentence in block.sentences
    ]


def first(found: Outlook, name: str = "one") -> PlantOutlook:
    return next(one for one in found.plants if name in one.plants)


@pytest.mark.parametrize(
    ("lows", "states", "act"),
    [
        ([4.9, 18.0, 18.0], [State.EXPECTED, State.FINE, State.FINE], Act.MOVE),
        ([5.0, 18.0, 18.0], [State.POSSIBLE, State.FINE, State.FINE], Act.MOVE),
        ([18.0, 18.0, 5.5], [State.FINE, State.FINE, State.POSSIBLE], Act.WATCH),
        ([18.0, 18.0, 18.0], [State.FINE, State.FINE, State.FINE], Act.NOTHING),
    ],
)
def test_a_night_below_the_limit_is_told_with_the_forecast_and_with_its_error(
    hourly: Hourly, mine: Path, lows: list[float], states: list[State], act: Act
) -> None:
    """A limit of 5 °C: at it nothing is expected, lowered by an allowance it is possible."""
    question = asked(hourly, mine)
    found = outlook(question, told(question, lows))
    one = first(found)
    assert [night.state for night in one.nights[:3]] == states
    assert one.act is act
    assert one.nights[0].evening == found.tonight
    assert one.nights[0].lowest_c == lows[0]
    assert one.nights[0].lowest_allowed_c == pytest.approx(
        lows[0] - stated_allowance_c(1), abs=1e-3
    )
    assert found.alert is (Alert.MOVE if act is Act.MOVE else Alert.NOTHING)
    assert one.would_do == (("room",) if act is Act.MOVE else ())


def test_the_tenderest_stands_first_and_of_equals_the_one_of_many_pots(
    hourly: Hourly, mine: Path
) -> None:
    """They differ by 0.2 °C, which is less than is told of them."""
    question = asked(hourly, mine)
    found = outlook(question, told(question, [3.0, 18.0]))
    assert [one.plants for one in found.plants] == [("many",), ("one",)]
    assert found.plants[0].nights[0].beyond_c == pytest.approx(2.2)


def test_a_night_at_the_limit_is_near_it(hourly: Hourly, mine: Path) -> None:
    """Limits of 5.2 and 5 °C, nights of 6.2 and 5.2 °C that err by 1 °C: five pots stand first."""
    question = asked(hourly, mine)
    question = replace(question, record=hourly(np.full(1100 * 24, 18.0)))
    found = outlook(question, told(question, [18.0, 18.0, 6.2]))
    assert [one.nights[2].beyond_allowed_c for one in found.plants] == [0.0, -0.2]
    assert [one.plants for one in found.plants] == [("many",), ("one",)]


def test_no_plant_is_told_otherwise_for_the_company_it_is_in(hourly: Hourly, mine: Path) -> None:
    """Its dose of 18.1 °C is farther off than is told; a group beside it is told up to 24 °C."""
    alone = asked(hourly, mine)
    tender = OWN.replace("mine", "tender").replace("floor_c = 15", "floor_c = 24")
    more = '[[plant]]\nname = "tender one"\ngroup = "tender"\nspot = "bench"\n'
    mine.write_text(COLLECTION + more, "utf-8")
    together = asked(hourly, mine, group=tender)
    forecast = told(alone, [11.9, 18.0])
    assert first(outlook(together, forecast)) == first(outlook(alone, forecast))


def test_a_dose_carries_on_from_observed_hours_into_the_forecast(
    hourly: Hourly, mine: Path
) -> None:
    """50 °C·h last night, 6 h x 3 K tonight: 68 of 60. As forecast at 10 °C it is 62."""
    temp_c = np.full(DAYS * 24, 18.0)
    temp_c[-24:-14] = 7.0  # ten hours from midnight on, 5 K below the chill base
    question = asked(hourly, mine, temp_c)
    found = outlook(question, told(question, [9.0, 18.0]))
    one = first(found)
    assert (one.dose_c_h, one.nights[0].dose_c_h) == (50.0, 68.0)
    assert (one.nights[0].state, one.nights[0].strain) == (State.EXPECTED, Strain.DOSE)
    warm = first(outlook(question, told(question, [10.5, 18.0])))
    assert warm.nights[0].state is State.POSSIBLE  # 59 °C·h, and 65 with the allowance
    assert first(outlook(question, told(question, [18.0, 18.0]))).act is Act.NOTHING


def test_who_has_suffered_enough_is_left_where_nothing_is_added(hourly: Hourly, mine: Path) -> None:
    """100 °C·h are too much already; a warm night asks for no move, a cool one does."""
    temp_c = np.full(DAYS * 24, 18.0)
    temp_c[-34:-14] = 7.0
    question = asked(hourly, mine, temp_c)
    assert first(outlook(question, told(question, [14.0, 18.0]))).act is Act.NOTHING
    cool = first(outlook(question, told(question, [11.0, 18.0])))
    assert (cool.act, cool.would_do) == (Act.MOVE, ("room",))


def test_missing_hours_are_as_cold_as_the_coldest_or_cannot_be_told(
    hourly: Hourly, mine: Path
) -> None:
    """Ten missing hours beside a night of 8 °C may have added 40 to its 24 °C·h; tonight adds 6."""
    temp_c = np.full(DAYS * 24, 18.0)
    temp_c[-5 * 24 : -5 * 24 + 6] = 8.0
    temp_c[-3 * 24 : -3 * 24 + 10] = np.nan
    question = asked(hourly, mine, temp_c)
    found = outlook(question, told(question, [11.0, 18.0]))
    assert found.missing_hours == 10
    assert first(found).nights[0].state is State.UNKNOWN
    assert (first(found).act, found.alert) == (Act.CANNOT_TELL, Alert.CANNOT_TELL)
    assert Doubt.OBSERVED in found.doubts
    harmless = outlook(question, told(question, [18.0, 18.0]))
    assert (harmless.alert, harmless.doubts) == (Alert.NOTHING, ())
    hard = outlook(question, told(question, [2.0, 18.0]))
    assert first(hard).act is Act.MOVE


@pytest.mark.parametrize(
    ("lost", "state"),
    [
        (slice(0), State.EXPECTED),
        (slice(-10 * 24, -10 * 24 + 10), State.EXPECTED),  # of a week before
        (slice(-36, -24), State.UNKNOWN),  # of yesterday afternoon, which may have been hot
    ],
)
def test_missing_hours_hide_no_hot_day(
    hourly: Hourly, mine: Path, lost: slice, state: State
) -> None:
    """Three afternoons of 31 °C and a fourth today, for a group that 30 °C exclude."""
    hour = np.arange((DAYS + 4) * 24)
    temp_c = np.where((hour % 24 >= 12) & (hour >= (DAYS - 4) * 24), 31.0, 18.0)
    seen_c = temp_c[: DAYS * 24].copy()
    seen_c[lost] = np.nan
    question = asked(hourly, mine, seen_c, group="heat_limited = true\nceiling_c = 30\n")
    forecast = told(question, [18.0] * 3)
    ahead_c = temp_c[DAYS * 24 - 9 :][: forecast.hours.temp_c.size]
    forecast = replace(forecast, hours=replace(forecast.hours, temp_c=ahead_c))
    night = first(outlook(question, forecast)).nights[0]
    assert (night.state, night.strain) == (state, Strain.HEAT)


def test_daily_minima_of_lost_hours_change_nothing(hourly: Hourly, mine: Path) -> None:
    """They reach no farther than the record, and the hours ahead lie behind it."""
    question = asked(hourly, mine)
    found = outlook(question, told(question, [9.0, 6.0]))
    lost_c = np.full(question.record.temp_c.size, np.nan)
    record = replace(question.record, lost_minimum_c=lost_c)
    assert outlook(replace(question, record=record), told(question, [9.0, 6.0])) == found


@pytest.mark.parametrize("kind", ["none", "stale", "ends tonight", "gap", "unobserved"])
def test_what_is_missing_rings_and_a_hard_night_rings_louder(
    hourly: Hourly, mine: Path, kind: str
) -> None:
    """No forecast, one of yesterday morning, of tonight alone, with a hole, a record that ended."""
    temp_c = np.full(DAYS * 24, 18.0)
    if kind == "unobserved":
        temp_c[-10 * 24 :] = np.nan
    question = asked(hourly, mine, temp_c)
    forecast: Forecast | None = told(question, [18.0, 18.0])
    assert forecast is not None
    if kind == "stale":
        forecast = replace(forecast, issued=forecast.issued - 25)
    if kind == "ends tonight":
        forecast = told(question, [18.0, 18.0], hours=20)
    if kind == "gap":
        holed = forecast.hours.temp_c.copy()
        holed[8:12] = np.nan
        forecast = replace(forecast, hours=replace(forecast.hours, temp_c=holed))
    found = outlook(question, None if kind == "none" else forecast)
    assert found.alert is Alert.CANNOT_TELL
    expected = {"none": Doubt.NO_FORECAST, "stale": Doubt.STALE, "unobserved": Doubt.OBSERVED}
    assert expected.get(kind, Doubt.PARTIAL) in found.doubts
    if kind == "stale":
        cold = told(question, [3.0, 18.0])
        assert outlook(question, replace(cold, issued=cold.issued - 25)).alert is Alert.MOVE


@pytest.mark.parametrize(
    ("at", "act", "doubts"),
    [
        (12, Act.CANNOT_TELL, (Doubt.PARTIAL,)),  # 3 o'clock of tonight
        (2, Act.NOTHING, ()),  # 17:00, before the night
        (12 + 24, Act.NOTHING, ()),  # of tomorrow night, which is asked about again
    ],
)
def test_no_missing_hour_of_tonight_is_filled(
    hourly: Hourly, mine: Path, at: int, act: Act, doubts: tuple[Doubt, ...]
) -> None:
    """A line from 18 to 18 °C would hide any frost at dawn; what is known to be too cold is not."""
    question = asked(hourly, mine)

    def holed(low_c: float) -> Outlook:
        forecast = told(question, [low_c, 18.0, 18.0])
        temp_c = forecast.hours.temp_c.copy()
        temp_c[at] = np.nan
        return outlook(question, replace(forecast, hours=replace(forecast.hours, temp_c=temp_c)))

    assert (first(holed(18.0)).act, holed(18.0).doubts) == (act, doubts)
    assert first(holed(2.0)).act is Act.MOVE


def test_with_a_gap_in_the_forecast_spots_that_are_kept_warm_are_offered(
    hourly: Hourly, mine: Path
) -> None:
    """
    Rooms at 20 and 11 °C and houses held at 13 °C, one by a weak heater; chill base 12 °C.

    The rooms hang on no forecast, and 24 °C·h of a night in the cool one are fine.
    """
    heated = '[[spot]]\nname = "{}"\nroofed = true\nheld_minimum_c = 13\n{}'
    weak = "heater_watts = 500\nheat_loss_w_per_k = 40\n"
    cool = '[[spot]]\nname = "cool"\nkind = "room"\nroom_c = 11\n'
    mine.write_text(COLLECTION + heated.format("held", "") + heated.format("weak", weak) + cool)
    question = asked(hourly, mine)
    forecast = told(question, [2.0, 18.0])
    temp_c = forecast.hours.temp_c.copy()
    temp_c[12] = np.nan
    forecast = replace(forecast, hours=replace(forecast.hours, temp_c=temp_c))
    one = first(outlook(question, forecast))
    assert (one.act, one.would_do) == (Act.MOVE, ("room", "held", "cool"))


@pytest.mark.parametrize("kind", ["gap", "none", "unobserved"])
def test_a_room_away_from_its_window_hangs_on_no_weather(
    hourly: Hourly, mine: Path, kind: str
) -> None:
    """At 11 °C it has 14 x 24 °C·h below 12, and a plant there must go; at 20 none must."""
    temp_c = np.full(DAYS * 24, 18.0)
    if kind == "unobserved":
        temp_c[-10 * 24 :] = np.nan
    cool = '[[spot]]\nname = "cool"\nkind = "room"\nroom_c = 11\n'
    for spot, act in (("room", Act.NOTHING), ("cool", Act.MOVE)):
        mine.write_text(COLLECTION.replace('spot = "bench"', f'spot = "{spot}"') + cool, "utf-8")
        question = asked(hourly, mine, temp_c)
        forecast: Forecast | None = None
        if kind == "gap":
            forecast = told(question, [18.0, 18.0])
            holed = forecast.hours.temp_c.copy()
            holed[8:40] = np.nan
            forecast = replace(forecast, hours=replace(forecast.hours, temp_c=holed))
        found = outlook(question, forecast)
        assert (first(found).act, found.doubts) == (act, ())
        assert first(found).nights[0].lowest_c == {"room": 20.0, "cool": 11.0}[spot]
        assert [week.spot for week in found.usual if week.spot != "bench"] == []
        says = outlook_sheet(found, TemperatureUnit.C).headline
        assert says.startswith("Nothing must move" if act is Act.NOTHING else "Tonight move")
        assert ("forecast" in says) is (kind == "gap" and act is Act.NOTHING)


def test_who_must_leave_a_cool_room_is_told_with_who_cannot_be_judged(
    hourly: Hourly, mine: Path
) -> None:
    """Without a forecast, at half an hour off: a room of 11 °C is too cool, a bench not known."""
    cool = '[[spot]]\nname = "cool"\nkind = "room"\nroom_c = 11\n'
    mine.write_text(COLLECTION.replace('spot = "bench"', 'spot = "cool"', 1) + cool, "utf-8")
    question = asked(hourly, mine)
    for offset in (0.0, 5.5, -3.5):
        there = replace(question, place=replace(question.place, utc_offset_hours=offset))
        found = outlook(there, None)
        assert (first(found).act, first(found, "many").act) == (Act.MOVE, Act.CANNOT_TELL)
        assert first(found).would_do == ("room",)
        assert outlook_sheet(found, TemperatureUnit.C).headline == (
            "Tonight move one (cool); not every plant could be judged: there is no forecast."
        )


@pytest.mark.parametrize(
    ("hot", "told_days"),
    [
        ([0, 1, 2], (0, 3, 0)),
        ([1, 2, 3], (0, 3, 1)),  # today is cool: the spell begins tomorrow
        ([-3, -2, -1, 0], (3, 4, -3)),
        ([-2, -1, 1, 2, 3], (2, 3, 1)),
        ([], (0, 0, None)),
    ],
)
def test_hot_days_in_a_row_are_told_wherever_they_begin(
    hourly: Hourly, mine: Path, hot: list[int], told_days: tuple[int, int, int | None]
) -> None:
    """Days from noon to noon of 31 °C, counted from today, for a group that 30 °C only harm."""
    temp_c = np.full((DAYS + 6) * 24, 18.0)
    for day in hot:
        noon = (DAYS - 1 + day) * 24 + 12
        temp_c[noon : noon + 24] = 31.0
    question = asked(hourly, mine, temp_c[: DAYS * 24], group="ceiling_c = 30\n")
    forecast = told(question, [18.0] * 5)
    ahead_c = temp_c[DAYS * 24 - 9 :][: forecast.hours.temp_c.size]
    found = outlook(question, replace(forecast, hours=replace(forecast.hours, temp_c=ahead_c)))
    one, (behind, run, begins) = first(found), told_days
    assert (one.hot_days, one.hot_days_ahead) == (behind, run)
    assert one.hot_from == (None if begins is None else found.tonight + timedelta(days=begins))
    says = sentences_of(found)
    assert [f"{run} hot days in a row from " in sentence for sentence in says] == (
        [] if begins is None else [True, True]
    )


def test_who_has_had_too_much_stands_first_where_tonight_cannot_be_told(
    hourly: Hourly, mine: Path
) -> None:
    """100 °C·h of 60 and no forecast; missing hours say perhaps. The calendar is not empty."""
    temp_c = np.full(DAYS * 24, 18.0)
    temp_c[-34:-14] = 7.0
    gaps = temp_c.copy()
    gaps[-60:-55] = np.nan
    plants = "many (5) (bench), one (bench)"
    for values_c, begins in ((temp_c, "Too much"), (gaps, "Perhaps too much")):
        found = outlook(asked(hourly, mine, values_c), None)
        past = f"{begins} cold already for {plants}"
        assert outlook_sheet(found, TemperatureUnit.C).headline == (
            f"{past}; whether anything must move tonight cannot be told: there is no forecast."
        )
        (event,) = outlook_calendar(found, TemperatureUnit.C).events
        assert (event.first, event.title) == (
            found.tonight,
            "Tonight cannot be told of every plant",
        )
        assert event.lines == (
            "Why: there is no forecast.",
            f"{past}.",
            f"{plants}: look at a thermometer tonight.",
        )


def test_a_spot_that_fails_on_a_later_night_is_for_tonight_only(hourly: Hourly, mine: Path) -> None:
    """Under an eave that adds 6 °C: 8 °C tonight, 4 °C on the third night, and a limit of 5 °C."""
    eave = '[[spot]]\nname = "eave"\nroofed = true\nclear_night_c = 6\nother_night_c = 6\n'
    mine.write_text(COLLECTION + eave, "utf-8")
    question = asked(hourly, mine)
    one = first(outlook(question, told(question, [2.0, 18.0, -2.0])))
    assert (one.would_do, one.tonight_only) == (("room", "eave"), ("eave",))
    one = first(outlook(question, told(question, [2.0, 18.0, 12.0])))
    assert (one.would_do, one.tonight_only) == (("room", "eave"), ())


def test_a_forecasts_error_makes_no_night_a_clear_one(hourly: Hourly, mine: Path) -> None:
    """
    At a spot that gains 4 °C in clear nights alone, where nights usually fall by 6 °C.

    13 °C is a fall of 5; lowered by the allowance it is still no clear night, and 11 °C is one.
    """
    wall = '[[spot]]\nname = "wall"\nroofed = true\nclear_night_c = 4\n'
    mine.write_text(COLLECTION.replace('spot = "bench"', 'spot = "wall"') + wall, "utf-8")
    question = asked(hourly, mine, np.tile([12.0] * 6 + [18.0] * 18, DAYS))
    for low_c, at_the_wall_c in ((13.0, 13.0), (11.0, 15.0)):
        night = first(outlook(question, told(question, [low_c, 18.0]))).nights[0]
        assert night.lowest_c == at_the_wall_c
        assert night.lowest_allowed_c == pytest.approx(
            at_the_wall_c - stated_allowance_c(1), abs=0.051
        )


@pytest.mark.parametrize(
    ("second_c", "expected", "perhaps"),
    [
        (4.0, "Friday 2 March", ""),
        (6.0, "Saturday 3 March", "Friday 2 March"),  # lowered by 2.1 °C it is below 5
    ],
)
def test_the_first_expected_the_first_possible_and_the_worst_night_are_shown(
    hourly: Hourly, mine: Path, second_c: float, expected: str, perhaps: str
) -> None:
    """A limit of 5 °C, 4 and 1 °C on the nights behind; also where the past is not known."""
    known = np.full(DAYS * 24, 18.0)
    gaps = known.copy()
    gaps[-16 * 24 : -12] = np.nan
    for temp_c, act in ((known, Act.WATCH), (gaps, Act.CANNOT_TELL)):
        question = asked(hourly, mine, temp_c)
        found = outlook(question, told(question, [18.0, second_c, 4.0, 1.0]))
        assert first(found).act is act
        sheet = outlook_sheet(found, TemperatureUnit.C)
        (table,) = next(one for one in sheet.sections if one.name == "watch").blocks
        assert isinstance(table, Table)
        (row,) = (row for row in table.rows if str(row[0].text) == "one")
        assert [str(cell.text).partition("; ")[0] for cell in row[2:]] == [
            expected,
            perhaps,
            f"Sunday 4 March: 1.0 °C, perhaps {1.0 - stated_allowance_c(4):.1f} °C",
        ]
        if act is Act.WATCH:
            events = outlook_calendar(found, TemperatureUnit.C).events
            told_days = [f"{one.first:%A} {one.first.day} {one.first:%B}" for one in events]
            assert told_days == [*filter(None, [perhaps]), expected]


def test_what_is_too_much_is_told_with_how_sure_it_is(hourly: Hourly, mine: Path) -> None:
    """3 °C are 2 below the limit; 5 °C are at it, and with the error 1.7 below."""
    question = asked(hourly, mine)
    for low_c, why in ((3.0, "too cold, by 2.0 °C"), (5.0, "perhaps too cold, by 1.7 °C")):
        found = outlook(question, told(question, [low_c, 18.0]))
        (table,) = outlook_sheet(found, TemperatureUnit.C).sections[0].blocks
        assert isinstance(table, Table)
        assert [str(row[4].text) for row in table.rows if str(row[0].text) == "one"] == [why]


def test_a_night_that_no_error_makes_colder_has_one_low(hourly: Hourly, mine: Path) -> None:
    """A house held at 4 °C: the forecast may err, the heater does not."""
    held = '[[spot]]\nname = "house"\nroofed = true\nheld_minimum_c = 4\n'
    mine.write_text(COLLECTION.replace('spot = "bench"', 'spot = "house"') + held, "utf-8")
    question = asked(hourly, mine)
    sheet = outlook_sheet(outlook(question, told(question, [2.0, 18.0])), TemperatureUnit.C)
    (table,) = sheet.sections[0].blocks
    assert isinstance(table, Table)
    assert {str(row[3].text) for row in table.rows} == {"4.0 °C"}


@pytest.mark.parametrize(
    ("nights", "met", "words"),
    [
        (14, False, "rest 14 of 40 nights and 100 of 100 cool hours"),
        (69, False, "rest partly met (69 nights, 40 needed; 120 cool hours, 100 needed; too warm "),
        (69, True, "rest met (69 nights, 40 needed; 120 cool hours, 100 needed)"),
    ],
)
def test_a_rest_is_told_by_what_it_has_and_needs(
    hourly: Hourly, mine: Path, nights: int, *, met: bool, words: str
) -> None:
    """What is complete is told so, with what it still wants; wet cold only of who stays there."""
    question = asked(hourly, mine)
    rest = RestSoFar(
        nights=nights,
        needed=40,
        cool_hours=120,
        cool_hours_needed=100,
        met=met,
        if_kept_dry=False,
    )
    for low_c, stays in ((18.0, True), (2.0, False)):
        found = outlook(question, told(question, [low_c, 18.0]))
        one = replace(first(found), rest=rest, wet_cold=(found.tonight,))
        sheet = outlook_sheet(replace(found, plants=(one,)), TemperatureUnit.C)
        section = next(part for part in sheet.sections if part.name == "so-far")
        (text,) = section.blocks
        assert isinstance(text, Text)
        assert words in text.sentences[0]
        assert ("wet and cold" in text.sentences[0]) is stays


@pytest.mark.parametrize(("places", "full"), [(1, ("room",)), (2, ()), (6, ())])
def test_a_spot_without_room_is_told(
    hourly: Hourly, mine: Path, places: int, full: tuple[str, ...]
) -> None:
    """One pot is in the room by the diary: the plant of five needs six places, the other two."""
    mine.write_text(
        COLLECTION.replace('kind = "room"', f'kind = "room"\nplaces = {places}')
        + '[[plant]]\nname = "in"\ngroup = "mine"\nspot = "bench"\n',
        "utf-8",
    )
    question = asked(hourly, mine)
    own = question.subjects.collection
    assert own is not None
    note = Entry(
        day=datetime_of_hour(now_of(question)).date(), plant="in", what=What.MOVE, spot="room"
    )
    diary_file(mine).write_text(with_entries("", [note]), "utf-8")
    found = outlook(question, told(question, [2.0, 18.0]), diary=read_diary(own))
    assert (first(found).would_do, first(found).full) == (("room",), full)
    assert first(found, "many").full == (() if places == 6 else ("room",))


def test_an_old_forecast_has_the_error_of_its_own_nights(hourly: Hourly, mine: Path) -> None:
    """Two days after its issue tonight is its third night."""
    question = asked(hourly, mine)
    forecast = told(question, [18.0, 18.0])
    found = outlook(question, replace(forecast, issued=forecast.issued - 48))
    assert [one.night for one in found.allowances] == [3, 4, 5]


def test_without_a_forecast_past_years_are_told(hourly: Hourly, mine: Path) -> None:
    """Five years that dip to 4 °C each night of late February, and one that does not yet."""
    question = asked(hourly, mine)
    long = hourly(years=5, mean_c=9.0, day_c=5.0)
    question = replace(question, record=long)
    found = look_ahead(question, long.stop_hour - 24 * 300, forecast=None)
    week = next(one for one in found.usual if one.spot == "bench")
    assert (week.lowest_c, week.years) == (4.0, 4)
    assert (first(found).usual_years, first(found).of_years) == (4, 4)
    alike, apart = (  # nights that are all the same are told once
        replace(found, usual=(replace(week, cold_c=cold_c),)) for cold_c in (3.96, 2.0)
    )
    assert "bench: nights of 4.0 °C (4 years)." in sentences_of(alike)
    assert (
        "bench: nights of 4.0 °C as often above as below, one in ten below 2.0 °C (4 years)."
        in sentences_of(apart)
    )


@pytest.mark.parametrize(("allowance_c", "years"), [(0.0, 0), (0.6, 4)])
def test_of_past_nights_too_what_hourly_values_miss_is_taken_off(
    hourly: Hourly, mine: Path, allowance_c: float, years: int
) -> None:
    """Four years of nights of 5.3 °C, and a limit of 5 °C."""
    question, long = asked(hourly, mine), hourly(years=5, mean_c=10.3, day_c=5.0)
    options = replace(question.options, minimum_allowance_c=allowance_c)
    question = replace(question, record=long, options=options)
    found = first(look_ahead(question, long.stop_hour - 24 * 300, forecast=None))
    assert (found.usual_years, found.of_years) == (years, 4)


def test_nothing_after_now_is_used_and_no_hour_of_the_record_is_touched(
    hourly: Hourly, mine: Path
) -> None:
    """Frost that is on record, but was still to come, changes nothing."""
    question = asked(hourly, mine)
    frost = question.record.temp_c.copy()
    frost[-8:] = -5.0
    before, forecast = question.record.temp_c.copy(), told(question, [9.0, 6.0])
    seen = outlook(replace(question, record=replace(question.record, temp_c=frost)), forecast)
    assert seen == outlook(question, forecast)
    np.testing.assert_array_equal(question.record.temp_c, before)
    assert set(question.record.origin.tolist()) == {Origin.OBSERVED}


def test_a_plant_stands_where_its_diary_says_and_moves_on_when_it_says(
    hourly: Hourly, mine: Path
) -> None:
    """In the room since today, and noted to go out tomorrow: that night is told at the bench."""
    question = asked(hourly, mine)
    today = datetime_of_hour(now_of(question)).date()
    tomorrow = datetime_of_hour(now_of(question) + 24).date()
    notes = [
        Entry(day=today, plant="one", what=What.MOVE, spot="room"),
        Entry(day=tomorrow, plant="one", what=What.MOVE, spot="bench"),
    ]
    diary_file(mine).write_text(with_entries("", notes), "utf-8")
    own = question.subjects.collection
    assert own is not None
    found = outlook(question, told(question, [2.0, 2.0]), diary=read_diary(own))
    one = first(found)
    assert (one.spot, one.indoors) == ("room", True)
    assert [night.state for night in one.nights[:2]] == [State.FINE, State.EXPECTED]
    assert first(found, "many").nights[0].state is State.EXPECTED


def test_who_is_moved_into_the_rain_is_warned_of_wet_cold(hourly: Hourly, mine: Path) -> None:
    """By the wet low, 9 °C, and not by that of the roof it leaves tomorrow, 7 °C."""
    mine.write_text(COLLECTION + '[[spot]]\nname = "open"\n', "utf-8")
    question = asked(hourly, mine)
    tomorrow = datetime_of_hour(now_of(question) + 24).date()
    note = Entry(day=tomorrow, plant="one", what=What.MOVE, spot="open")
    diary_file(mine).write_text(with_entries("", [note]), "utf-8")
    own = question.subjects.collection
    assert own is not None
    found = outlook(question, told(question, [8.0, 8.0]), diary=read_diary(own))
    assert first(found).wet_cold == (tomorrow,)
    assert [night.moved_to for night in first(found).nights[:2]] == [None, "open"]
    text = " ".join(str(outlook_sheet(found, TemperatureUnit.C)).split())
    assert ", at open: keep it dry" in text


def test_room_that_several_are_sent_to_is_to_be_counted_again(hourly: Hourly, mine: Path) -> None:
    """Two rows for one room, and one alone."""
    question = asked(hourly, mine)
    found = outlook(question, told(question, [2.0, 18.0]))
    alone = replace(found, plants=found.plants[:1])
    for one, again in ((found, True), (alone, False)):
        assert ("count the room again" in str(outlook_sheet(one, TemperatureUnit.C))) is again


def test_a_plant_without_a_spot_is_told_and_rings(hourly: Hourly, mine: Path) -> None:
    loose = "".join(f'[[plant]]\nname = "{name}"\ngroup = "mine"\n' for name in ("a, b", "c"))
    mine.write_text(COLLECTION + loose, "utf-8")
    question = asked(hourly, mine)
    found = outlook(question, told(question, [18.0, 18.0]))
    assert found.alert is Alert.CANNOT_TELL
    assert found.doubts == (Doubt.NOT_PLACED,)
    assert found.notes == ("Not placed, so not judged: a, b; c.",)


def test_the_error_is_learned_from_forecasts_that_were_kept(hourly: Hourly, mine: Path) -> None:
    """40 nights of 18 °C that were each forecast 2 °C warmer: tonight is taken 2 °C colder."""
    question = asked(hourly, mine)
    last = told(question, [18.0])

    def earlier(days: int, too_warm_c: float) -> Forecast:
        hours = replace(
            last.hours,
            start_hour=last.hours.start_hour - 24 * days,
            temp_c=last.hours.temp_c + too_warm_c,
        )
        return Forecast(issued=hours.start_hour, hours=hours)

    past = [earlier(days, 2.0) for days in range(1, 41)]
    found = outlook(question, told(question, [18.0, 18.0]), past=past)
    assert found.allowances[0].allowance_c == pytest.approx(2.0)
    assert (found.allowances[0].basis, found.allowances[0].nights) == ("learned", 40)
    assert found.allowances[1].basis == "published"
    few = outlook(question, told(question, [18.0, 18.0]), past=past[:29])
    assert few.allowances[0].basis == "published"


def test_where_nights_are_alike_no_forecast_errs_farther_than_they(
    hourly: Hourly, mine: Path
) -> None:
    """Three years without weather: 1 °C is the least. Nights of 8 and 28 °C: as published."""
    question = asked(hourly, mine)
    steady = hourly(np.full(1100 * 24, 18.0))
    wild = hourly(np.roll(np.repeat(np.tile([8.0, 28.0], 550), 24), 12))
    for record, allowance_c, basis in ((steady, 1.0, "spread"), (wild, 3.397, "reasoned")):
        there = replace(question, record=record)
        night = outlook(there, told(there, [18.0] * 5)).allowances[4]
        assert (round(night.allowance_c, 2), night.basis) == (round(allowance_c, 2), basis)


@pytest.mark.parametrize(("hour", "evening"), [(0, 9), (8, 9), (9, 10), (23, 10)])
def test_tonight_is_the_night_in_progress_until_nine(hour: int, evening: int) -> None:
    """Standard time: at UTC+2 two hours earlier."""
    assert first_evening(240 + hour, 0.0) == evening
    assert first_evening(240 + hour - 2, 2.0) == evening


@pytest.mark.parametrize("back", [3, 6, 9, 14, 20])
def test_every_hour_of_the_day_has_its_tonight(hourly: Hourly, mine: Path, back: int) -> None:
    """With a forecast and without, at 21, 18, 15, 10 and 4 o'clock."""
    question = asked(hourly, mine)
    now = question.record.stop_hour - back
    bare = look_ahead(question, now, forecast=None)
    assert (bare.alert, len(first(bare).nights)) == (Alert.CANNOT_TELL, 0)
    forecast = replace(told(question, [18.0, 3.0, 18.0]), issued=now)
    late = look_ahead(question, now, forecast=forecast)
    assert late.tonight.toordinal() == bare.tonight.toordinal()


def test_pots_that_stand_apart_are_told_apart(hourly: Hourly, mine: Path) -> None:
    """Of five, two came in yesterday; two that came in last autumn are no other than the rest."""
    question = asked(hourly, mine)
    own = question.subjects.collection
    assert own is not None
    today = datetime_of_hour(now_of(question)).date()

    def told_of(*days: int) -> dict[str, tuple[tuple[int, ...], State]]:
        notes = [
            Entry(day=today - timedelta(ago), plant="many", what=What.MOVE, spot="room", number=2)
            for ago in days
        ]
        diary_file(mine).write_text(with_entries("", notes), "utf-8")
        found = outlook(question, told(question, [2.0, 2.0]), diary=read_diary(own))
        rows = [one for one in found.plants if "many" in one.plants]
        assert len({one.spot for one in rows}) == len(rows)
        return {one.spot: (one.numbers, one.nights[0].state) for one in rows}

    assert told_of(1) == {"bench": ((3,), State.EXPECTED), "room": ((2,), State.FINE)}
    assert told_of(60, 40)["room"] == ((4,), State.FINE)
