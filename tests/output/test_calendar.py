"""The calendar for other programs: form, identity, repeats, and what it says."""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from suitability.advice.occasions import OccasionKind, list_occasions
from suitability.answers import words
from suitability.answers.calendar import KIND_WORDS, calendar_sheet
from suitability.output.calendar import render_calendar
from suitability.units import TemperatureUnit

from . import examples, moves_examples, weeks_examples

if TYPE_CHECKING:
    from suitability.advice.growth_year import GrowthYearResult
    from suitability.advice.moves import MovesResult

DAY = date(2026, 11, 25)


def render(
    result: MovesResult | GrowthYearResult | None = None,
    *,
    day: date = DAY,
    units: TemperatureUnit = TemperatureUnit.C,
) -> bytes:
    """The calendar of hand-built results; of moves where none is given."""
    result = moves_examples.result() if result is None else result
    occasions = list_occasions(result, day)
    return render_calendar(calendar_sheet(occasions, result, first_day=day, units=units))


BOTH = (moves_examples.result(), weeks_examples.result())


def events_of(data: bytes) -> list[Any]:
    """The events as the first reader takes them."""
    from icalendar import Calendar

    return list(Calendar.from_ical(data).walk("VEVENT"))


def by_title(data: bytes) -> dict[str, Any]:
    return {str(event["summary"]): event for event in events_of(data)}


def check_form(data: bytes) -> None:
    """RFC 5545, 3.1: lines of at most 75 octets, each ended by CR LF, no character cut."""
    assert data.endswith(b"\r\n")
    lines = data.removesuffix(b"\r\n").split(b"\r\n")
    for line in lines:
        assert len(line) <= 75
        assert b"\n" not in line
        assert b"\r" not in line
        line.decode("utf-8")


def test_form_and_required_properties() -> None:
    """3.6 and 3.6.1: what must be there, once, and in the right form."""
    assert [check_properties(render(result)) for result in BOTH] == [6, 8]


def check_properties(data: bytes) -> int:
    """Of the calendar and of each event; how many events there are."""
    check_form(data)
    text = re.sub("\r\n[ \t]", "", data.decode("utf-8"))
    head = text.partition("BEGIN:VEVENT")[0]
    assert head.count("VERSION:2.0\r\n") == 1
    assert head.count("PRODID:") == 1
    assert "METHOD" not in text
    parts = re.findall("BEGIN:VEVENT\r\n(.*?)END:VEVENT\r\n", text, re.DOTALL)
    for part in parts:
        names = [re.split("[;:]", line)[0] for line in part.split("\r\n") if line]
        for name in ("UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY", "DESCRIPTION", "SEQUENCE"):
            assert names.count(name) == 1, name
        assert re.search(r"^DTSTAMP:20261125T000000Z\r$", part, re.MULTILINE)
        assert re.search(r"^DTSTART;VALUE=DATE:\d{8}\r$", part, re.MULTILINE)
        assert re.search(r"^DTEND;VALUE=DATE:\d{8}\r$", part, re.MULTILINE)
        assert "TRANSP:TRANSPARENT\r\n" in part
    return len(parts)


@pytest.mark.parametrize("result", BOTH)
def test_a_second_reader_finds_the_same(result: MovesResult | GrowthYearResult) -> None:
    """Writer and first reader are one library and could share a mistake."""
    import vobject

    data = render(result)
    found = vobject.readOne(data.decode("utf-8"))
    ours = events_of(data)
    theirs = {event.uid.value: event for event in found.vevent_list}
    assert len(theirs) == len(ours)
    for event in ours:
        other = theirs[str(event["uid"])]
        assert other.summary.value == str(event["summary"])
        assert other.description.value == str(event["description"])
        assert other.dtstart.value == event.decoded("dtstart")
        assert other.dtend.value == event.decoded("dtend")
        assert hasattr(other, "rrule") == ("rrule" in event)


def test_the_end_is_the_day_after_the_last() -> None:
    """Hardening from 8 to 21 June; carrying in on one day."""
    events = by_title(render())
    out = events["Move out and harden: Phalaenanthe and hybrids"]
    assert (out.decoded("dtstart"), out.decoded("dtend")) == (date(2027, 6, 8), date(2027, 6, 22))
    inn = events["Carry in before sunset: Phalaenanthe and hybrids"]
    assert inn.decoded("dtend") - inn.decoded("dtstart") == timedelta(days=1)


def test_descriptions_say_what_is_promised_and_what_to_do() -> None:
    """Dates, odds, the night rule in the reader's unit, and the usual caution."""
    events = by_title(render())
    out = str(events["Move out and harden: Phalaenanthe and hybrids"]["description"])
    for part in (
        "First day out: 8 June. Typical: 19 May.", "10 of 11 past years did",
        "10 °C or less", "4 June to 20 June", "five new years all do: 61%", "Wet pots are heavy",
    ):  # fmt: skip
        assert part in out, part
    care = by_title(render(weeks_examples.result()))
    rest = str(care["Rest begins: Nobile type (soft-cane)"]["description"])
    for part in (
        "Usually 30 October",
        "in 10 of 11 years",
        "Water: daily in heat.",
        "not a promise",
    ):
        assert part in rest, part
    assert "Rest ends. Waking: Nobile type (soft-cane)" in care
    assert "50 °F or less" in str(
        by_title(render(units=TemperatureUnit.F))["Move out and harden: Phalaenanthe and hybrids"][
            "description"
        ]
    )


def test_a_room_is_told_as_a_room() -> None:
    """Nothing is hardened or carried in from the cold there, and no forecast decides at night."""
    bay = moves_examples.moving(spot="bay", indoors=True)
    room = moves_examples.staying(spot="room", indoors=True)
    events = by_title(render(moves_examples.result(bay, room)))
    assert "Put in the room: Phalaenanthe and hybrids" in events
    assert not any(title.startswith(("Move out", "Carry in")) for title in events)
    told = " ".join(str(event["description"]) for event in events.values())
    assert (
        "nobile, room: can stand in this room all year (outdoor-all-year), without moving" in told
    )
    assert "room: Indoors, where nothing is carried in or out" in told
    assert "hardening" not in told
    assert "forecast low" not in told


def test_a_date_that_heat_sets_asks_for_no_mild_night() -> None:
    """A group that heat excludes comes in for hot days: another title, another rule."""
    hot = tuple(
        replace(year, nights="." * 250 + "t" * 60 + "." * 55)
        for year in moves_examples.moving().by_year
    )
    events = by_title(render(moves_examples.result(moves_examples.moving(by_year=hot))))
    inn = events["Carry in before the heat: Phalaenanthe and hybrids"]
    assert "Heat sets this date" in inn["description"]
    assert "sunset" not in inn["description"]
    watch = events["Still out only by the forecast: Phalaenanthe and hybrids"]
    assert "or less" not in watch["description"]
    assert "or less" in events["Move out and harden: Phalaenanthe and hybrids"]["description"]


def test_what_has_no_dates_is_told_with_licence_and_cautions() -> None:
    """No event for a group without a verdict, and no silence about it either."""
    data = render()
    events = by_title(data)
    assert not [title for title in events if "Masdevallia" in title]
    about = str(events["About: Plant moves at Testing Cove"]["description"])
    for part in (
        "No moving dates for masdevallia: no-verdict. Only 1 usable plant year",
        "No moving dates for nobile: outdoor-all-year",
        "Licence: CC0", "Attribution: Nobody", words.CAUTIONS,
    ):  # fmt: skip
        assert part in about, part
    care = by_title(render(weeks_examples.result()))["About: Plant care at Testing Cove"]
    for part in ("No phases for masdevallia", "Licence: CC0", words.CAUTIONS):
        assert part in str(care["description"]), part


def test_nothing_to_move_is_still_a_calendar() -> None:
    """A calendar must have a component (3.6): it says what there is, and when to ask again."""
    data = render(moves_examples.result(moves_examples.staying()))
    titles = list(by_title(data))
    assert titles == [
        "About: Plant moves at Testing Cove",
        "Make the calendar anew: Plant moves at Testing Cove",
    ]
    check_form(data)


def test_an_invented_place_says_so() -> None:
    """First of all."""
    result = moves_examples.result(place=examples.place(invented=True))
    about = by_title(render(result))["About: Plant moves at Testing Cove"]
    assert str(about["description"]).startswith(words.INVENTED)


def test_repeats_by_the_second_reader_fall_on_the_same_days() -> None:
    """Five years of 8 June, as dateutil counts the rule; once where it is provisional."""
    from dateutil.rrule import rrulestr

    events = by_title(render()) | by_title(render(weeks_examples.result()))
    out = events["Move out and harden: Phalaenanthe and hybrids"]
    rule = out["rrule"].to_ical().decode()
    from datetime import datetime

    days = list(rrulestr(rule, dtstart=datetime(2027, 6, 8)))  # noqa: DTZ001  (days have no zone)
    assert [day.date() for day in days] == [date(year, 6, 8) for year in range(2027, 2032)]
    assert "rrule" not in events["Slowing, less water and feed: Phalaenanthe and hybrids"]
    for event in events.values():
        assert ("rrule" in event) == ("Repeated for 5 years" in str(event["description"]))
        assert event.decoded("dtstart").strftime("%m-%d") != "02-29"


def test_same_bytes_for_the_same_answer() -> None:
    """No clock and no chance."""
    assert render() == render()


def test_a_new_export_takes_the_place_of_the_old() -> None:
    """Other dates on a later day: the same identities, a later stamp, a higher sequence."""
    made = moves_examples.moving()
    assert made.out is not None
    later = replace(made, out=replace(made.out, promised="05-30"), season=moves_examples.season())
    old = render(moves_examples.result(made))
    new = render(moves_examples.result(later), day=date(2027, 1, 10))
    for title, event in by_title(old).items():
        other = by_title(new)[title]
        assert other["uid"] == event["uid"]
        assert other["sequence"] > event["sequence"]
        assert other.decoded("dtstamp") > event.decoded("dtstamp")


def test_identities_hang_on_place_spot_group_plant_and_kind() -> None:
    """All differ in both files, and with each of these; within a kilometre they are the same."""
    made = moves_examples.moving()
    uids = [str(event["uid"]) for result in BOTH for event in events_of(render(result))]
    assert len(set(uids)) == len(uids)

    def out(**changes: object) -> str:
        place = changes.pop("place", examples.place())
        result = moves_examples.result(
            replace(made, **changes),
            place=place,
        )
        return next(str(e["uid"]) for e in events_of(render(result)) if "harden" in e["summary"])

    assert out() == out(place=examples.place(latitude=35.001, name="Elsewhere"))
    assert out() == out(spot="OPEN-AIR")
    others = {
        out(place=examples.place(latitude=35.1)),
        out(spot="porch"),
        out(group="nobile"),
        out(plants=("old one",), numbers=(1,)),
    }
    assert len(others | {out()}) == 5


@pytest.mark.parametrize("text", examples.HOSTILE)
def test_hostile_text_stays_in_its_value(text: str) -> None:
    """No new property, no reordering, no cut character; both readers read it back."""
    for result in (moves_examples.hostile_result(text), weeks_examples.hostile_result(text)):
        check_hostile(render(result))
        rows = (replace(row, plants=(text,), numbers=(2,)) for row in result.results)
        check_hostile(render(replace(result, results=tuple(rows))))


def check_hostile(data: bytes) -> None:
    """Nothing of a text has left its value."""
    import vobject

    check_form(data)
    decoded = data.decode("utf-8")
    for mark in ("\u202e", "\u2066", "\u200f", "\x1b", "\x00"):
        assert mark not in decoded
    names = {
        re.split("[;:]", line)[0] for line in re.sub("\r\n[ \t]", "", decoded).split("\r\n") if line
    }
    assert names <= {
        "BEGIN", "END", "VERSION", "PRODID", "CALSCALE", "NAME", "X-WR-CALNAME", "DESCRIPTION",
        "SUMMARY", "DTSTART", "DTEND", "DTSTAMP", "UID", "SEQUENCE", "RRULE", "CATEGORIES",
        "LOCATION", "TRANSP",
    }  # fmt: skip
    found = vobject.readOne(decoded)
    assert len(found.vevent_list) == len(events_of(data)) >= 4


@settings(max_examples=60)
@given(st.text(max_size=300))
def test_any_name_folds_and_comes_back(text: str) -> None:
    """Octets are counted, not letters; commas, semicolons and backslashes are escaped."""
    made = replace(moves_examples.moving(), group_name=text, reason=None)
    data = render(moves_examples.result(made))
    check_form(data)
    (event,) = [e for e in events_of(data) if "harden" in e["summary"]]
    name = words.clean(text, 60) or "unnamed"
    assert str(event["summary"]) == f"{KIND_WORDS[OccasionKind.OUT].format(many='')}: {name}"


def test_never_says_safe() -> None:
    """Nothing is."""
    assert not re.search(rb"\bsafe", render(), re.IGNORECASE)
