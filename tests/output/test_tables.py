"""A check on the terminal."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from suitability.advice.terms import Flowers
from suitability.answers import words
from suitability.answers.check import check_sheet
from suitability.brief import MONTHS
from suitability.output.terminal import render_terminal
from suitability.units import TemperatureUnit

from . import examples

if TYPE_CHECKING:
    from suitability.advice.result import CheckResult

C, F = TemperatureUnit.C, TemperatureUnit.F


def shown(*findings: object, units: TemperatureUnit = C, width: int = 80, **changes: object) -> str:
    result = examples.result(*findings, **changes)  # type: ignore[arg-type]  # findings by hand
    return render_terminal(check_sheet(result, units), width=width, colour=False)


def with_worst(result: CheckResult, units: TemperatureUnit = C) -> str:
    return render_terminal(check_sheet(result, units, worst=True), width=80, colour=False)


def line_of(text: str, start: str) -> str:
    return next(line for line in text.splitlines() if line.startswith(start))


@pytest.mark.parametrize("width", [60, 70, 80, 100, 118, 160])
def test_no_line_is_wider_than_asked(width: int) -> None:
    """Tables fit the width, with few groups and many."""
    many = [examples.seasonal(group=f"group-{number:02d}") for number in range(28)]
    for findings in ([], many, [examples.all_year(), examples.indoor()]):
        for line in shown(*findings, width=width).splitlines():
            assert len(line) <= width, line


def test_plain_text_has_no_escape_codes_and_no_boxes() -> None:
    """Without colour nothing but letters, digits and plain signs is printed."""
    text = shown()
    assert "\x1b" not in text
    assert set(text) - set(map(chr, range(32, 127))) <= {"\n", "°", "·"}


def test_colour_only_adds_colour() -> None:
    """The coloured table says the same words."""
    result = examples.result()
    coloured = render_terminal(check_sheet(result, C), width=80, colour=True)
    assert "\x1b[" in coloured
    plain = re.sub(r"\x1b\[[0-9;]*m", "", coloured)
    assert [line.rstrip() for line in plain.splitlines()] == shown().splitlines()


def test_output_does_not_hang_on_the_terminal_around(monkeypatch: pytest.MonkeyPatch) -> None:
    """Environment variables of terminals change nothing: the caller decides."""
    before = shown()
    for name, value in (
        ("FORCE_COLOR", "1"),
        ("COLUMNS", "40"),
        ("TERM", "dumb"),
        ("NO_COLOR", "1"),
    ):
        monkeypatch.setenv(name, value)
    assert shown() == before


def test_verdict_table_says_verdict_dates_years_margin_and_cause() -> None:
    """The line of a seasonal group holds all a grower asks first."""
    line = line_of(shown(width=104), "phalaenanthe")
    for part in ("outdoor-seasonal", "1 Jun to 8 Oct", "129", "10/11", "+3.1", "floor, wet"):
        assert part in line, part


def test_wide_table_adds_hours_and_months() -> None:
    """With room, worst month, year and the months that limit stand in the same line."""
    finding = examples.seasonal(**examples.below((*examples.HOURS[:11], 500.0)))
    text = shown(finding, width=160)
    line = line_of(text, "phalaenanthe")
    # 400.04+350+300+150+40+0.2+0+0+5+60+200+500 = 2005.24
    for part in ("outdoor-seasonal", "500 Dec", "2005", "(Oct to May)"):
        assert part in line, part


def test_months_without_observation_are_question_marks() -> None:
    """An unseen month is no zero, and the year is then not known."""
    table = shown().split("Hours below the growth floor")[1]
    line = line_of(table, "phalaenanthe").split()
    # floor, eleven months, an unknown December, an unknown year
    assert line[1:] == "15.0 400 350 300 150 40 <1 0 0 5 60 200 ? ?".split()  # noqa: SIM905  (as the table shows it)
    assert "?: not observed well enough." in " ".join(table.split())


def test_no_verdict_gives_its_reason_in_numbers() -> None:
    """A group without a verdict is listed with its reason, not left out."""
    text = shown(examples.no_verdict())
    assert "no-verdict" in line_of(text, "masdevallia")
    assert "No verdict for masdevallia: Only 0 usable plant years, 3 are needed." in text
    assert re.search(r"Limited by +nothing", text) is None  # without a verdict it is not known
    for row in ("unsafe nights", "days it grows", "one year in ten"):  # would read as an answer
        assert row not in text
        assert row in shown(examples.seasonal())


def test_who_flowers_after_a_cool_room_is_told_apart() -> None:
    """One stays out and gets no rest, one comes in and can be given it, one needs none."""
    text = " ".join(
        shown(
            examples.all_year(flowers=Flowers.HARDLY),
            examples.seasonal(flowers=Flowers.AFTER_COOL_ROOM),
            examples.indoor(flowers=Flowers.CAN),
        ).split()
    )
    assert "Will hardly flower here: nobile." in text
    assert "unless their room is cool in winter: phalaenanthe." in text
    assert text.count("hardly flower") == 2


def test_same_reason_is_said_once() -> None:
    """Twenty groups without a verdict do not repeat one sentence twenty times."""
    many = [examples.no_verdict(group=f"group-{number}") for number in range(20)]
    text = " ".join(shown(*many).split())
    assert text.count("Only 0 usable plant years") == 1
    assert "group-0, group-1 and 18 more" in text


def test_fahrenheit_changes_temperatures_and_differences_apart() -> None:
    """15 °C is 59 °F; a margin of 3.1 °C is one of 5.6 °F; 60 °C·h are 108 °F·h."""
    text = shown(examples.seasonal(), units=F)
    for part in ("59.0", "+5.6", "5.6 °F warmer", "108 °F·h", "limit 41.0 °F dry"):
        assert part in text, part
    assert "°C" not in text


def test_details_say_all_of_a_seasonal_group() -> None:
    """Three groups or fewer are described in full."""
    text = " ".join(shown(examples.seasonal()).split())
    for part in (
        "Season 1 June to 8 October (129 days)",
        "Survival season 20 May to 20 October (153 days)",
        "survives, does not grow",
        "kept by 10 of 11 years; 90% of new years are to keep it",
        "Model-based: 11 years alone cannot carry such a promise",
        "3.1 °C warmer would raise the verdict",
        "a spot up to 1.4 °C colder would still have some season of 70 days",
        "With rain kept off outdoor-seasonal",
        "the same in 98% of resamples",
        "nights too cool for it to grow (Oct to May), nights too cold for a wet pot (Nov to Mar)",
        "h below 15.0 °C growth",
        "h below 13.0 °C rest",
    ):
        assert part in text, part


def test_details_of_a_group_that_stays_out() -> None:
    """Carried nights, borderline, provisional and the rest are said in words."""
    text = " ".join(shown(examples.all_year()).split())
    for part in (
        "typically 2 a year, 9 in the worst year",
        "1.0 °C colder: outdoor-seasonal",
        "provisional",
        "in 8 of 11 years, partly in 2",
    ):
        assert part in text, part


def test_details_only_for_few_groups() -> None:
    """Four groups get the tables alone."""
    assert "Thresholds" not in shown()
    assert "Thresholds" in shown(examples.seasonal(), examples.all_year(), examples.indoor())


def test_indoor_group_gets_no_moving_dates() -> None:
    """Who stays in is not told when to move out."""
    text = shown(examples.indoor())
    assert "Move out" not in text
    assert "its limit is of low confidence" in text


def test_record_stands_at_the_head() -> None:
    """Station, distance, coverage, licence, flags and notes come with the answer."""
    text = " ".join(shown(record=examples.record(station=examples.station())).split())
    for part in (
        "Testing Point (00000), 14 km away, 12 m lower",
        "99.5% of the readings",
        "CC0",
        "spike 3 h (taken out)",
        "2 doubled hours were kept once.",
        "1 January 2013 00:00 UTC to 31 December 2024 23:00 UTC",
    ):
        assert part in text, part


@pytest.mark.parametrize(
    ("coverage", "said"),
    [(1.0, "100.0%"), (0.999996, "over 99.9%"), (0.0, "0.0%"), (0.0001, "under 0.1%")],
)
def test_coverage_is_not_rounded_to_all_or_nothing(coverage: float, said: str) -> None:
    """One missing hour in thirty years is not "100%"."""
    assert f"Coverage     {said} of" in shown(record=examples.record(coverage=coverage))


def test_invented_place_is_labelled() -> None:
    """An invented place says so at both ends; a real one does not."""
    assert shown(place=examples.place(invented=True)).count(words.INVENTED) == 2
    assert words.INVENTED not in shown()


def test_never_says_safe_and_always_cautions() -> None:
    """The word "safe" promises too much; the limits of the answer are always said."""
    for text in (shown(), shown(examples.seasonal()), shown(examples.all_year())):
        assert not re.search(r"\bsafe", text, re.IGNORECASE)
        assert words.CAUTIONS in " ".join(text.split())


def test_several_spots_get_tables_of_their_own() -> None:
    """Spots are told apart by their heading."""
    text = shown(examples.seasonal(), examples.seasonal(spot="porch"))
    assert "Verdicts at the spot open-air" in text
    assert "Verdicts at the spot porch" in text


def test_worst_nights_and_fortnights() -> None:
    """Dates and degrees of the worst nights, in the unit asked for."""
    result = examples.result(examples.seasonal())
    text = with_worst(result)
    for part in ("8 January 2017", "2.5 °C", "3.1 °C", "14 January 2017", "1234 °C·h"):
        assert part in text, part
    in_fahrenheit = with_worst(result, F)
    # 1234.5 x 1.8 = 2222.1 and 2.5 x 1.8 + 32 = 36.5
    assert "2222 °F·h" in in_fahrenheit
    assert "36.5 °F" in in_fahrenheit


def test_worst_says_when_there_is_nothing() -> None:
    """No list, but a sentence."""
    result = examples.result(examples.no_verdict())
    assert "Masdevallia: no nights are listed." in with_worst(result).splitlines()


@pytest.mark.parametrize("text", examples.HOSTILE)
def test_hostile_text_cannot_steer_the_terminal(text: str) -> None:
    """No control or reordering character gets through, markup is plain text, lines stay short."""
    result = examples.hostile_result(text)
    shown = with_worst(result)
    assert not set(shown) & set("\x00\x07\x1b\r\t\u202e\u2066\u2069\u200f\ud800")
    assert max(map(len, shown.splitlines())) <= 80
    assert len(shown) < 20_000


def test_markup_is_shown_not_obeyed() -> None:
    """Square brackets are letters like others."""
    assert "[bold red]markup[/bold red]" in shown(place=examples.place(name=examples.HOSTILE[10]))


@given(st.text())
def test_clean_text_is_short_and_one_line(text: str) -> None:
    """Whatever comes in, one short line without control characters goes out."""
    cleaned = words.clean(text)
    assert len(cleaned) <= words.LONGEST
    assert len(cleaned.splitlines()) <= 1
    cleaned.encode("utf-8")
    assert words.clean(cleaned) == cleaned


@given(st.sets(st.integers(1, 12), min_size=1))
def test_month_ranges_name_first_and_last_months(months: set[int]) -> None:
    """Every range starts after a month that is not in it and ends before one."""
    text = words.month_ranges(sorted(months))
    if len(months) == 12:
        assert text == "all year"
        return
    named = {name[:3]: number for number, name in enumerate(MONTHS, start=1)}
    covered: set[int] = set()
    for part in text.split(", "):
        ends = [named[word] for word in part.split(" to ")]
        month = ends[0]
        covered.add(month)
        while month != ends[-1]:
            month = month % 12 + 1
            covered.add(month)
    assert covered == months
