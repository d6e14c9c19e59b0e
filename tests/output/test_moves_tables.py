"""Moves for the terminal, their words, and their CSV."""

from __future__ import annotations

import re

import pytest
from msgspec.structs import replace

from suitability.advice.moves import Decades, ThresholdDates
from suitability.advice.result import Reason
from suitability.answers import dates, words
from suitability.answers.moves import moves_sheet
from suitability.output.terminal import render_terminal
from suitability.units import TemperatureUnit

from . import examples, moves_examples

C, F = TemperatureUnit.C, TemperatureUnit.F


def shown(*moves: object, units: TemperatureUnit = C, width: int = 80, **changes: object) -> str:
    result = moves_examples.result(*moves, **changes)  # type: ignore[arg-type]  # by hand
    return render_terminal(moves_sheet(result, units), width=width, colour=False)


def flat(text: str) -> str:
    return " ".join(text.split())


def lines_of(text: str, start: str) -> list[str]:
    return [line for line in text.splitlines() if line.startswith(start)]


def test_all_year_that_rests_on_unseen_nights_says_so() -> None:
    """What nobody saw stands beside the share of new years."""
    sentence = "3 nights that may have been unsafe were not observed (February)."
    reason = Reason(code="rests-on-unseen-nights", text=sentence, numbers={"nights_unseen": 3})
    sure, unsure = (moves_examples.staying(reason=one) for one in (None, reason))
    assert dates.not_moved(unsure, 0.9) == f"{dates.not_moved(sure, 0.9)} {sentence}"
    assert sentence in flat(shown(unsure))


@pytest.mark.parametrize("width", [60, 80, 104, 160])
def test_no_line_is_wider_than_asked(width: int) -> None:
    """Few groups and many, short keys and long ones."""
    many = [moves_examples.moving(group=f"paphiopedilum-{number:02d}") for number in range(28)]
    for moves in ([], many, [moves_examples.moving(group="x" * 80)]):
        for line in shown(*moves, width=width).splitlines():
            assert len(line) <= width, line


def test_plain_text_has_no_escape_codes_and_no_boxes() -> None:
    """Without colour nothing but letters, digits and plain signs is printed."""
    assert set(shown()) - set(map(chr, range(32, 127))) <= {"\n", "°", "·"}


def test_colour_only_adds_colour() -> None:
    """The coloured table says the same words."""
    result = moves_examples.result(moves_examples.moving(), moves_examples.indoor())
    coloured = render_terminal(moves_sheet(result, C), width=80, colour=True)
    assert "\x1b[" in coloured
    plain = re.sub(r"\x1b\[[0-9;]*m", "", coloured)
    expected = render_terminal(moves_sheet(result, C), width=80, colour=False)
    assert [line.rstrip() for line in plain.splitlines()] == expected.splitlines()


def test_dates_stand_in_two_lines_a_group() -> None:
    """Out and in, each with promised, interval, typical, watch weeks and its own odds."""
    text = shown()
    start = next(n for n, line in enumerate(text.splitlines()) if line.startswith("phalaenanthe"))
    out, inn = text.splitlines()[start : start + 2]
    assert out.split() == (
        "phalaenanthe out 8 Jun 4 Jun to 20 Jun 19 May 19 May to 8 Jun 94%".split()  # noqa: SIM905
    )
    assert inn.split() == "in 3 Oct 29 Sep to 5 Oct 19 Nov 3 Oct to 19 Nov 96%".split()  # noqa: SIM905


def test_single_date_odds_are_called_so() -> None:
    """Nobody takes the odds of one date for those of the season."""
    assert f"Alone: {dates.ALONE}" in flat(shown())


def test_how_sure_it_is_holds_odds_years_and_range() -> None:
    """117 days; 90.5 %, 60.7 % and 36.9 % are shown whole; Wilson 0.6226 to 0.9838."""
    _, odds, years = lines_of(shown(), "phalaenanthe")
    assert odds.split()[1:] == "117 90% 61% 37% 10 of 11 62-98% - 13/45".split()  # noqa: SIM905
    assert years.split()[1:] == "9 of 10 1 of 1 +23 none clear 0.72 model".split()  # noqa: SIM905


def test_years_without_a_failure_are_told_in_words() -> None:
    """1 - 0.05^(1/11) = 0.2384: about one year in four."""
    safe = moves_examples.moving(years_kept=11, risk_not_excluded=0.2384)
    text = flat(shown(safe))
    assert (
        "11 years without a failure cannot exclude a yearly risk of up to 24%, about one year in 4"
        in text
    )
    assert "cannot exclude a" not in flat(shown(moves_examples.moving()))


def test_groups_that_do_not_move_have_one_entry_with_the_reason() -> None:
    """All year, indoors and no verdict: each says why it has no dates."""
    text = flat(shown())
    assert "nobile outdoor-all-year: 11 of 11 plant years kept it, and 99%" in text
    assert "spatulata indoor-only. The longest outdoor season that 90% of years keep has" in text
    assert "masdevallia no-verdict. Only 1 usable plant year, 3 are needed." in text
    for key in ("nobile", "spatulata", "masdevallia"):
        assert len(lines_of(shown(), key)) == 1


def test_nobody_moves_a_plant_out_of_a_room() -> None:
    """A room keeps the plant all year or does not; how to read the rest is said below."""
    staying = moves_examples.staying(spot="room", indoors=True)
    refused = moves_examples.indoor(spot="room", indoors=True)
    text = flat(shown(staying, refused))
    assert (
        "can stand in this room all year (outdoor-all-year), without moving: 11 of 11 plant" in text
    )
    assert "spatulata not in this room (indoor-only). The longest outdoor season" in text
    assert "1 outdoor-all-year in a room, 1 not in that room." in text
    assert text.count("Indoors, where nothing is carried in or out: read 'outdoors' as 'at") == 1
    assert "Indoors" not in flat(shown(moves_examples.staying()))
    assert dates.evidence_title(staying, moves_examples.result(staying), C).startswith(
        "Nobile type (soft-cane): can stand in this room all year (outdoor-all-year). 11 of 11"
    )
    moving = moves_examples.moving(spot="bay", indoors=True)
    assert "Indoors: 'out' is there, 'in' is away; read" in flat(shown(moving))
    told = (
        "at Testing Cove: can stand in this room for a season (outdoor-seasonal). There from 8 "
        "June, away by 3 October"
    )
    assert told in flat(shown(moving))


def test_the_same_reason_is_said_once() -> None:
    """Twenty groups without a verdict do not repeat one sentence twenty times."""
    many = [moves_examples.unjudged(group=f"group-{number}") for number in range(20)]
    text = flat(shown(*many))
    assert text.count("Only 1 usable plant year") == 1
    assert text.count("the same") == 19


def test_a_group_alone_is_described_in_full() -> None:
    """Sentences with full month names."""
    text = flat(shown(moves_examples.moving()))
    for part in (
        "Out 8 June; typically 19 May; watch 19 May to 8 June; 90% interval 4 June to 20 June",
        "In 3 October; typically 19 November",
        "Length 117 days; typically 184",
        "Survival season 20 May to 20 October: survives, but grows only in the season",
        "90% asked for; 90% of new years are expected to keep it, all of 5 years with 61%",
        "kept by 10 of 11 (95%: 62-98%)",
        "typically 13 a year, 45 in the worst year",
        "Not all year 15 nights on record would likely have done lasting harm.",
    ):
        assert part in text, part


def test_any_day_where_half_of_the_years_set_no_date() -> None:
    """A typical date at the edge of the rows is no date, and the watch weeks are open."""
    move = moves_examples.moving()
    assert move.out is not None
    assert move.inn is not None
    edge = moves_examples.FIRST_DAY
    open_ended = replace(
        move,
        out=replace(move.out, typical=edge, watch_from=edge),
        inn=replace(move.inn, typical=edge, watch_to=edge),
    )
    text = flat(shown(open_ended))
    assert "any day until 8 Jun" in text
    assert "any day from 3 Oct" in text
    assert "Any day: half of the years set no date" in text
    assert "ny day" not in flat(shown(move))


def test_doubts_are_named_and_explained() -> None:
    """Model-based and provisional stand in the line and below it."""
    text = flat(shown(moves_examples.moving(provisional=True)))
    assert "provisional, model" in text
    assert "Provisional: fewer than ten usable years" in text
    sure = flat(shown(moves_examples.moving(model_based=False)))
    assert "Provisional" not in sure
    assert "Model:" not in sure


def test_thresholds_print_both_conventions_and_the_reader_s_unit() -> None:
    """5 °C is 41 °F; a date that does not exist is a hyphen; no event at all is a sentence."""
    text = shown(units=F)
    assert "Days of 41.0 °F or colder, at the station" in text
    assert "10 of 11 winters had such a day." in text
    rows = [line.split() for line in text.splitlines() if re.match(r"\s+[19]0%", line)]
    assert rows == [
        ["10%", "12", "Mar", "11", "Mar", "12", "Dec", "13", "Dec"],
        ["90%", "17", "Dec", "-", "3", "Mar", "-"],
    ]
    assert "Days of -4.0 °F or colder" in text
    assert "None of 11 winters had such a day" in text
    assert f"These are {dates.ALONE}." in flat(text)
    assert "°C" not in text


def test_a_winter_never_observed_is_said() -> None:
    """No season of cold was observed well enough: neither dates nor 'none of 0'."""
    never = ThresholdDates(
        threshold_c=0.0, seasons=0, seasons_with_event=0, summers_without_gap=0, levels=()
    )
    assert "No winter was observed well enough" in shown(thresholds=(never,))


def test_dates_that_hold_no_summer_between_them_say_so() -> None:
    """A threshold so high that its days come all summer through."""
    (asked, _) = moves_examples.thresholds()
    assert "warm season" not in flat(shown(thresholds=(asked,)))
    cold = flat(shown(thresholds=(replace(asked, summers_without_gap=3),)))
    assert "In 3 summers less than four weeks lay between" in cold
    assert "do not take the time between the two dates for a warm season" in cold


def test_several_spots_stand_apart() -> None:
    """The same group at two spots has two blocks, each named."""
    text = shown(moves_examples.moving(), moves_examples.moving(spot="porch"))
    assert "When to move at the spot open-air" in text
    assert "When to move at the spot porch" in text


def test_invented_places_say_so_twice() -> None:
    """At the head and at the end."""
    assert shown(place=examples.place(invented=True)).count(words.INVENTED) == 2


def test_nothing_is_called_safe() -> None:
    """Nothing is."""
    assert not re.search(r"\bsafe", shown() + shown(moves_examples.moving()), re.IGNORECASE)


@pytest.mark.parametrize("text", examples.HOSTILE)
def test_hostile_text_does_no_harm_in_the_terminal(text: str) -> None:
    """No control or reordering characters, no markup, no line wider than asked."""
    result = moves_examples.hostile_result(text)
    printed = render_terminal(moves_sheet(result, C), width=80, colour=False)
    assert not set(printed) & set("\x00\x07\x1b\u202e\u2066\u200f\ud800")
    assert max(map(len, printed.splitlines())) <= 80


# Words -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("slope", "p_value", "expected"),
    [
        (None, None, ("not to tell", "?")),
        (20.0, 0.001, ("longer", "<0.01")),
        (-20.0, 0.03, ("shorter", "0.03")),
        (20.0, 0.2, ("none clear", "0.20")),
        (0.0, 0.01, ("none clear", "0.01")),
    ],
)
def test_trend_in_words(
    slope: float | None, p_value: float | None, expected: tuple[str, str]
) -> None:
    """A drift is called one only if chance alone would rarely make it."""
    decades = Decades(
        last_years=10,
        last_kept=10,
        earlier_years=2,
        earlier_kept=2,
        days_per_decade=slope,
        trend_p=p_value,
    )
    assert dates.trend(decades) == expected


def test_titles_state_the_finding() -> None:
    """One sentence for the place, one for each group."""
    result = moves_examples.result()
    assert dates.moves_title(result, C) == (
        "Of 4 groups at Testing Cove: 1 outdoor-all-year, 1 outdoor-seasonal, 1 indoor-only, "
        "1 no-verdict."
    )
    moving, staying, indoor, unjudged = (
        dates.evidence_title(move, result, C) for move in result.results
    )
    assert moving == (
        "Phalaenanthe and hybrids: outdoor-seasonal. Out from 8 June, in by 3 October (117 days); "
        "for the rest of the year it needs a room that stays above 15 °C at night. 10 of 11 past "
        "years kept these dates."
    )
    assert staying == (
        "Nobile type (soft-cane): outdoor-all-year, it may stay out. 11 of 11 past years kept that."
    )
    assert indoor == (
        "Spatulata (antelope): indoor-only. All year it needs a room that stays above 15 °C at "
        "night."
    )
    assert unjudged == "Masdevallia: no-verdict. Only 1 usable plant year, 3 are needed."


def test_a_whole_year_of_too_few_years_has_no_dates_and_says_why() -> None:
    """Neither "1 January to 1 January" nor a bare "for a season"."""
    whole = moves_examples.season("01-01", "01-01", 365)
    move = moves_examples.moving(season=whole, typical_season=None, out=None, inn=None)
    expected = "nothing on record asks it in, yet the verdict is only outdoor-seasonal. 15 nights"
    assert expected in flat(shown(move))
    assert expected in dates.evidence_title(move, moves_examples.result(move), C)


# CSV -------------------------------------------------------------------------------------------
