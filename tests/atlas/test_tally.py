"""What many places come to, counted from their rows."""

from __future__ import annotations

from types import SimpleNamespace

from suitability.answers.places import places_sheet
from suitability.atlas.tally import tally_places

COLUMNS = ("spot", "group", "group_name", "verdict", "unseen_nights")


def test_places_with_nights_that_nobody_saw_are_counted_and_told() -> None:
    """Of three places one has three such nights; where there is none nothing is said."""
    rows = [("porch", "nobile", "Nobile", "outdoor-all-year", nights) for nights in ("0", "3", 0)]
    for some, counted in ((rows, 1), (rows[:1], 0)):
        done = [SimpleNamespace(line=2, name="a", failure="", rows=[row]) for row in some]
        found = tally_places(
            done,  # type: ignore[arg-type]  # all that is read of a journal
            COLUMNS,
            list_file="list.csv",
            results_file="rows.csv",
        )
        assert [one.with_unseen for one in found.results] == [counted]
        assert [one.all_year for one in found.results] == [len(some)]
        told = "At 1 place nights nobody saw may have been worse" in places_sheet(found).headline
        assert told == (counted > 0)
