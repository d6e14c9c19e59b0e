"""What a calendar says, beside the occasions it is made of."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from msgspec.structs import replace

from suitability.advice.moves import Move, MoveDate, Tonight
from suitability.advice.occasions import OccasionKind, list_occasions
from suitability.advice.terms import Season
from suitability.answers import dates
from suitability.answers.calendar import CalendarEvent, CalendarSheet, calendar_sheet
from suitability.answers.moves import dates_table, moves_sheet
from suitability.answers.sheet import Facts
from suitability.units import TemperatureUnit
from tests.output import examples, moves_examples, weeks_examples

C, F = TemperatureUnit.C, TemperatureUnit.F
DAY = date(2026, 11, 25)
HOT = "." * 250 + "t" * 60 + "." * 55
CARRIED = {"before sunset": moves_examples.GOOD, "before the heat": HOT}


def told(*moves: Move, units: TemperatureUnit = C, low_c: float | None = 10.0) -> CalendarSheet:
    """The calendar of moves."""
    result = moves_examples.result(*moves)
    result = replace(
        result,
        results=tuple(
            replace(move, tonight=None if low_c is None else Tonight(low_c=low_c))
            for move in result.results
        ),
    )
    occasions = list_occasions(result, DAY)
    return calendar_sheet(occasions, result, first_day=DAY, units=units)


def by_kind(sheet: CalendarSheet) -> dict[str, CalendarEvent]:
    """Events of one group by the kind in their identity."""
    return {event.identity[3]: event for event in sheet.events if len(event.identity) > 3}


def distinct(**changes: object) -> Move:
    """Moves of which no two dates or odds are the same."""
    out = MoveDate(
        promised="06-08", typical="05-19", watch_from="05-20", watch_to="06-07",
        earliest="06-04", latest="06-20", holds_alone=0.941,
    )  # fmt: skip
    inn = MoveDate(
        promised="10-03", typical="11-19", watch_from="10-04", watch_to="11-18",
        earliest="09-29", latest="10-05", holds_alone=0.964,
    )  # fmt: skip
    return moves_examples.moving(**{"out": out, "inn": inn} | changes)


ODDS = (
    "90% of new years are expected to keep out and in together; 10 of 11 past years did. That five "
    "new years all do: 61%. This date alone: {alone}. 90% interval of the date: {interval}."
)
OUT = ODDS.format(alone="94%", interval="4 June to 20 June")
IN = ODDS.format(alone="96%", interval="29 September to 5 October")


def test_the_first_day_out_says_when_growth_begins() -> None:
    """And no other event does."""
    events = by_kind(told(distinct(grows_from="06-21")))
    assert events["out"].lines[0] == (
        "First day out: 8 June. Typical: 19 May. From then it survives, does not grow yet before "
        "21 June."
    )
    assert "grow yet" not in " ".join(events["in"].lines + events["watch-out"].lines)


@pytest.mark.parametrize(
    ("kind", "title", "span", "what", "odds"),
    [
        (
            "out",
            "Move out and harden",
            ("06-08", 14),
            "First day out: 8 June. Typical: 19 May.",
            OUT,
        ),
        (
            "in",
            "Carry in before sunset",
            ("10-03", 1),
            (
                "Carry in by 3 October, before sunset: its night is not spent out. "
                "Typical: 19 November."
            ),
            IN,
        ),
        (
            "watch-out",
            "Out early only by the forecast",
            ("05-20", 19),
            (
                "Between the typical date, 19 May, and the promised one, 8 June: out only if the "
                "forecast allows."
            ),
            OUT,
        ),
        (
            "watch-in",
            "Still out only by the forecast",
            ("10-04", 46),
            (
                "Between the promised date, 3 October, and the typical one, 19 November: what is "
                "still out stays only if the forecast allows."
            ),
            IN,
        ),
    ],
)
def test_each_event_tells_of_its_own_date(
    kind: str, title: str, span: tuple[str, int], what: str, odds: str
) -> None:
    """Days, title, what to do and how sure it is."""
    event = by_kind(told(distinct()))[kind]
    assert event.title == f"{title}: Phalaenanthe and hybrids"
    assert (f"{event.first:%m-%d}", event.days) == span
    assert event.lines[0] == what
    assert odds in event.lines
    assert event.where == "open-air, Testing Cove"


def test_dates_of_what_may_nearly_stay_out_say_so() -> None:
    """None are told where they leave out but few days, cut round single nights on record."""
    event = by_kind(told(distinct(nearly_all_year=True)))["in"]
    (line,) = (line for line in event.lines if line.startswith("It may stay out if carried in"))
    assert line.endswith("the forecast says which.")
    few = Season(out="08-02", inn="07-25", days=357)
    sheet = told(distinct(nearly_all_year=True, season=few))
    assert not {"out", "in", "watch-out", "watch-in"} & {*by_kind(sheet)}
    assert "nearly all year. It may stay out if carried in" in " ".join(sheet.events[0].lines)


def test_an_event_has_its_category_and_its_repeats() -> None:
    """Moves, watching, rest and feed; five years, or once."""
    sheet = by_kind(told(distinct()))
    assert {kind: event.category for kind, event in sheet.items()} == {
        "out": "move", "in": "move", "watch-out": "watch", "watch-in": "watch",
    }  # fmt: skip
    assert {event.years for event in sheet.values()} == {5}
    once = by_kind(told(distinct(provisional=True)))
    assert {event.years for event in once.values()} == {1}
    assert all("Provisional: fewer than ten usable years." in one.lines for one in once.values())
    growth = weeks_examples.result()
    occasions = list_occasions(growth, DAY)
    phases = by_kind(calendar_sheet(occasions, growth, first_day=DAY, units=C))
    assert phases["resting"].category == "rest"
    assert {phases[kind].category for kind in ("growing", "slowing", "waking")} == {"feed"}


@pytest.mark.parametrize(("units", "low"), [(C, "10 °C"), (F, "50 °F")])
def test_the_forecast_low_is_in_the_reader_s_unit(units: TemperatureUnit, low: str) -> None:
    """Where it is known; nothing is said where not."""
    line = f"In for the night at a forecast low for the spot of {low} or less."
    for kind, event in by_kind(told(distinct(), units=units)).items():
        assert (line in event.lines) == (kind != "in")
    for event in by_kind(told(distinct(), low_c=None)).values():
        assert "forecast low" not in " ".join(event.lines)


def test_a_phase_tells_its_own_care() -> None:
    """Water is not feed, and feed not what to look for."""
    care = {"water": "a sip", "feed": "none now", "look_for": "green tips"}
    year = weeks_examples.resting()
    runs = (weeks_examples.run(year.runs[0].phase, 44, 14, care), *year.runs[1:])
    growth = weeks_examples.result(replace(year, runs=runs))
    occasions = list_occasions(growth, DAY)
    sheet = calendar_sheet(occasions, growth, first_day=DAY, units=C)
    rest = by_kind(sheet)["resting"]
    assert rest.title == "Rest begins: Nobile type (soft-cane)"
    assert rest.lines[1:4] == ("Water: a sip.", "Feed: none now.", "Look for: green tips.")
    assert by_kind(sheet)["waking"].title.startswith("Rest ends. Waking: ")


@pytest.mark.parametrize(("by", "nights"), CARRIED.items())
def test_a_day_in_is_told_alike_everywhere(by: str, nights: str) -> None:
    """Before sunset, or before the heat: calendar, table of moves, and the group in full."""
    years = tuple(replace(year, nights=nights) for year in moves_examples.moving().by_year)
    move = distinct(by_year=years)
    heat = by == "before the heat"
    assert dates.carry_in(move) == by
    event = by_kind(told(move))["in"]
    assert event.title == f"Carry in {by}: Phalaenanthe and hybrids"
    assert event.lines[0].startswith(f"Carry in by 3 October, {by}: ")
    table = dates_table([move])
    (out, inn) = [row[1] for row in table.rows]
    assert (out.text, out.short) == ("out", "")
    assert (inn.text, inn.short) == (("in, before the heat", "in*") if heat else ("in", ""))
    assert ("In, before the heat (*)" in table.notes[0]) == heat
    (full,) = [
        section
        for section in moves_sheet(moves_examples.result(move), C).sections
        if section.name == "full-1"
    ]
    (facts,) = full.blocks
    assert isinstance(facts, Facts)
    (day_in,) = [fact.text for fact in facts.rows if fact.label == "In"]
    assert ("before the heat" in day_in) == heat
    other = next(one for one in CARRIED if one != by)
    assert other not in " ".join([event.title, *event.lines, day_in])


def test_heat_before_the_first_day_out_is_not_heat_at_the_end() -> None:
    """The nights beyond the date decide: after the day in, before the day out."""
    column = 365 - 35  # of 31 December, in rows that begin on 4 February
    late = "." * 241 + "h" * (column - 241) + "t" * (365 - column)
    early = "t" * 60 + "." * 181 + "h" * 124
    for nights, out_by, in_by in ((late, False, False), (early, True, False), (HOT, False, True)):
        years = tuple(replace(year, nights=nights) for year in moves_examples.years())
        move = distinct(by_year=years)
        assert move.out is not None
        assert move.inn is not None
        assert (move.set_by_heat(move.out), move.set_by_heat(move.inn)) == (out_by, in_by)


def test_a_calendar_says_what_it_is_and_when_to_ask_again() -> None:
    """First and last of its events; both of the calendar itself, on one day."""
    sheet = told(distinct())
    first, last = sheet.events[0], sheet.events[-1]
    assert (first.identity, first.first, first.days) == (("about", "moves"), DAY, 1)
    assert (last.identity, last.first) == (("renewal", "moves"), DAY + timedelta(days=365))
    assert first.title == f"About: {sheet.name}"
    assert sheet.about == first.lines[0]
    assert (first.category, first.where, first.years) == ("", "", 1)
    place = examples.place()
    assert (sheet.latitude, sheet.longitude) == (place.latitude, place.longitude)


def test_spots_are_named_where_there_are_several() -> None:
    """In titles; the place of an event is always told."""
    two = told(distinct(), distinct(spot="porch"))
    titles = {event.where: event.title for event in two.events if event.identity[-2:-1] == ("out",)}
    assert titles == {
        "open-air, Testing Cove": "Move out and harden: Phalaenanthe and hybrids (open-air)",
        "porch, Testing Cove": "Move out and harden: Phalaenanthe and hybrids (porch)",
    }


def test_every_kind_of_occasion_has_a_title() -> None:
    """Of moves or of care, never of both; none is left with a gap."""
    found: dict[str, set[OccasionKind]] = {}
    for result in (moves_examples.result(), weeks_examples.result()):
        occasions = list_occasions(result, DAY)
        sheet = calendar_sheet(occasions, result, first_day=DAY, units=C)
        found[sheet.events[0].identity[1]] = {one.kind for one in occasions}
        assert not [event.title for event in sheet.events if "{" in event.title]
    assert set.union(*found.values()) == set(OccasionKind)
    assert found["moves"] == set(list(OccasionKind)[:4])
    assert not found["moves"] & found["care"]


def collected(*rows: Move) -> CalendarSheet:
    """The calendar of moves of plants."""
    result = moves_examples.result(*rows)
    return calendar_sheet(list_occasions(result, DAY), result, first_day=DAY, units=C)


def plants(
    *names: str, spot: str = "porch", numbers: tuple[int, ...] = (), **changes: object
) -> Move:
    """The row of hard-canes."""
    return distinct(spot=spot, plants=names, numbers=numbers or (1,) * len(names), **changes)


def test_events_are_named_by_plant() -> None:
    """One plant with its spot; what is in a state of its own is not repeated."""
    sheet = collected(plants("white hard-cane", in_state=True))
    assert [event.title for event in sheet.events[1:-1]] == [
        "Out early only by the forecast: white hard-cane (porch)",
        "Move out and harden: white hard-cane (porch)",
        "Carry in before sunset: white hard-cane (porch)",
        "Still out only by the forecast: white hard-cane (porch)",
    ]
    for event in sheet.events[1:-1]:
        assert event.years == 1
        assert event.lines[-1] == "Not repeated: it is for this plant in its present state."
    assert "it is for plants in their present state" in sheet.about


def test_plants_of_one_day_and_action_share_an_event() -> None:
    """Spots too; their number stands in the title, all names in the description."""
    many = plants("hard-cane 1", "hard-cane 2", "hard-cane 3", numbers=(1, 2, 3))
    sheet = collected(many, plants("far one", spot="bench"))
    events = {event.title.partition(":")[0]: event for event in sheet.events[1:-1]}
    assert list(events) == [
        "Out early only by the forecast for 7 plants",
        "Move out and harden 7 plants",
        "Carry in 7 plants before sunset",
        "Still out only by the forecast for 7 plants",
    ]
    here = "hard-cane 1, 2 x hard-cane 2, 3 x hard-cane 3 (porch)"
    inn = events["Carry in 7 plants before sunset"]
    assert inn.lines[0] == f"far one (bench), {here}:"
    assert inn.lines[1] == "Group: Phalaenanthe and hybrids (phalaenanthe)."
    assert inn.lines[2].startswith("Carry in by 3 October, before sunset")
    assert inn.where == "bench, porch, Testing Cove"
    assert inn.years == 5
    assert sheet.about.count("repeat") == 0


def test_what_differs_between_plants_of_an_event_stands_below_their_names() -> None:
    """One day of two spots with other odds: apart what differs, once what is the same."""
    sheet = collected(plants("white"), plants("pink", spot="bench", chance_5_years=0.5))
    (inn,) = [event for event in sheet.events if event.title.startswith("Carry in 2 plants")]
    assert [line[:30] for line in inn.lines] == [
        "pink (bench):",
        ODDS[:30],
        "white (porch):",
        ODDS[:30],
        "Group: Phalaenanthe and hybrids (phalaenanthe)."[:30],
        "Carry in by 3 October, before sunset"[:30],
        *(line[:30] for line in inn.lines[6:]),
    ]
    assert "all do: 50%" in inn.lines[1]
    assert "all do: 61%" in inn.lines[3]


def test_a_day_that_repeats_is_not_shared_with_one_that_does_not() -> None:
    """Two plants of one day, one of them in a passing state; no identity is there twice."""
    sheet = collected(plants("usual"), plants("weak", in_state=True))
    told = {event.title: event.years for event in sheet.events}
    assert told["Carry in before sunset: usual (porch)"] == 5
    assert told["Carry in before sunset: weak (porch)"] == 1
    assert len({event.identity for event in sheet.events}) == len(sheet.events)
    assert "What is not repeated says why" in sheet.about


def test_a_short_record_gives_twelve_months() -> None:
    """Nothing repeats, and the calendar says so and why; each event is there once."""
    sheet = collected(plants("usual", provisional=True))
    said = "the next 12 months only: fewer than ten years of weather stand behind it"
    assert said in sheet.about
    assert said in " ".join(sheet.events[0].lines)
    for event in sheet.events[:-1]:
        assert event.years == 1
        assert event.first < DAY + timedelta(days=365)


def test_care_is_named_by_plant() -> None:
    """Plants of one row share an event."""
    row = weeks_examples.resting(group="phalaenanthe", spot="porch")
    growth = weeks_examples.result(replace(row, plants=("usual", "other"), numbers=(1, 1)))
    sheet = calendar_sheet(list_occasions(growth, DAY), growth, first_day=DAY, units=C)
    assert by_kind(sheet)["resting"].title == "Rest begins for 2 plants: usual, other (porch)"
