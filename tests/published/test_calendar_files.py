"""
Calendar files beside the text of RFC 5545 (Desruisseaux, 2009).

3.1 folding, 3.3.11 escaping, 3.6.1 the example of an all-day event of several days.
"""

from __future__ import annotations

from datetime import date

from msgspec.structs import replace

from suitability.advice.occasions import list_occasions
from suitability.answers.calendar import calendar_sheet
from suitability.output.calendar import render_calendar
from suitability.units import TemperatureUnit
from tests.output import moves_examples


def calendar(name: str, start: str, stop: str, day: date) -> str:
    """A calendar with days to watch, of a group so named."""
    made = moves_examples.moving(group_name=name)
    assert made.out is not None
    out = replace(made.out, watch_from=start, watch_to=stop)
    result = moves_examples.result(replace(made, out=out))
    occasions = list_occasions(result, day)
    sheet = calendar_sheet(occasions, result, first_day=day, units=TemperatureUnit.C)
    return render_calendar(sheet).decode("utf-8")


def test_days_from_28_june_to_8_july() -> None:
    """3.6.1: "from June 28, 2007 to July 8, 2007 inclusively", DTEND 20070709."""
    text = calendar("x", "06-28", "07-08", date(2007, 1, 1))
    assert "DTSTART;VALUE=DATE:20070628\r\nDTEND;VALUE=DATE:20070709\r\n" in text


def test_special_characters_are_escaped() -> None:
    r"""3.3.11: `\\`, `\;`, `\,`; a colon stands as it is."""
    text = calendar(r"a\b; c, d: e", "06-28", "07-08", date(2007, 1, 1)).replace("\r\n ", "")
    assert "SUMMARY:Carry in before sunset: a\\\\b\\; c\\, d: e\r\n" in text
    description = text.partition("DESCRIPTION:Carry in by")[2].partition("\r\n")[0]
    assert "\\n" in description  # a line end within a text


def test_long_lines_are_folded_by_octets() -> None:
    """3.1: 75 octets at most without the line end; 60 letters of two octets each."""
    lines = calendar("ä" * 60, "06-28", "07-08", date(2007, 1, 1)).split("\r\n")
    assert max(len(line.encode("utf-8")) for line in lines) <= 75
    at = lines.index(next(line for line in lines if line.startswith("SUMMARY:Move out")))
    assert lines[at + 1].startswith(" ä")
