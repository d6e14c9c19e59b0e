"""The next moves, as a terminal says them."""

from suitability.advice.terms import Season, Verdict
from suitability.answers.ahead import next_sentence

SEASON = Season(out="05-04", inn="11-08", days=188)


def test_the_next_two_days_are_told_from_a_day_on_and_over_the_new_year() -> None:
    """Whose turn it is on each; a room is left and entered in its own words."""
    cases = [
        ("hard-cane", Verdict.SEASONAL, SEASON, False),
        ("nobile", Verdict.SEASONAL, Season(out="01-03", inn="12-29", days=360), False),
        ("cattleya", Verdict.ALL_YEAR, Season(out="01-01", inn="01-01", days=365), False),
        ("moth orchid", Verdict.SEASONAL, SEASON, True),
    ]
    assert next_sentence(cases, "11-09") == (
        "Inside by now: hard-cane. "
        "Next moves, from 9 November on. 29 December: nobile in. 3 January: nobile out."
    )
    assert next_sentence(cases, "11-08") == (
        "Inside by now: hard-cane. "
        "Next moves, from 8 November on. 8 November: hard-cane in, moth orchid taken away. "
        "29 December: nobile in."
    )


def test_who_is_inside_by_a_day_is_outside_its_season() -> None:
    """A season over the new year is over in the months between; its first day is not inside."""
    south = [("nobile", Verdict.SEASONAL, Season(out="09-02", inn="05-10", days=250), False)]
    for day, inside in (("05-09", False), ("05-10", True), ("09-01", True), ("09-02", False)):
        assert ("Inside by now: nobile." in next_sentence(south, day)) is inside


def test_of_many_that_move_on_one_day_the_first_are_named() -> None:
    """The others are counted; without a move there is no sentence."""
    cases = [(f"plant {number}", Verdict.SEASONAL, SEASON, False) for number in range(1, 7)]
    assert "plant 3 in, plant 4 in and 2 more. 4 May" in next_sentence(cases, "11-01")
    assert next_sentence([("one", Verdict.INDOOR, None, False)], "11-01") == ""
