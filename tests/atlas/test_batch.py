"""A journal of many places: in order, resumable, nothing twice and nothing lost."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from suitability.atlas.batch import Done, journal_of, read_journal, work_through
from suitability.atlas.listing import Listed, count_places, read_places
from suitability.errors import OptionError, OutputError, PlaceError

if TYPE_CHECKING:
    from pathlib import Path

    from suitability.atlas.batch import Work

PLACES = [Listed(line=number + 2, name=f"p{number}", at="0,0") for number in range(7)]


def make(refused: int = -1) -> Work:
    """Work whose rows tell the place, and which refuses one."""

    def work(place: Listed) -> tuple[tuple[object, ...], ...]:
        if place.line == refused:
            raise PlaceError("no such place.")
        return ((place.name, place.line / 4, None, True),)

    return work


def through(journal: Path, *, processes: int = 1, refused: int = -1, question: str = "q") -> bytes:
    """The journal's bytes after all places."""
    work_through(
        iter(PLACES), partial(make, refused), journal, question=question, processes=processes
    )
    return journal.read_bytes()


def test_places_come_in_their_order_whatever_the_number_of_processes(tmp_path: Path) -> None:
    """And a place that fails says why, the others are answered."""
    alone = through(tmp_path / "one", refused=4)
    assert through(tmp_path / "three", processes=3, refused=4) == alone
    found = list(read_journal(tmp_path / "one"))
    assert [one.name for one in found] == [place.name for place in PLACES]
    assert found[2] == Done(line=4, name="p2", failure="no such place.")
    assert found[3].rows == (("p3", 1.25, None, True),)


@settings(max_examples=15)
@given(cut=st.integers(min_value=0))
def test_a_journal_cut_anywhere_goes_on_to_the_same_end(
    tmp_path_factory: pytest.TempPathFactory, cut: int
) -> None:
    """As a kill leaves it: whole lines stand, the line cut short is done anew."""
    folder = tmp_path_factory.mktemp("cut")
    whole = through(folder / "whole")
    head = whole.index(b"\n") + 1
    journal = folder / "cut"
    journal.write_bytes(whole[: head + cut % (len(whole) - head + 1)])
    assert through(journal) == whole


def test_the_journal_of_other_work_is_refused_and_stays(tmp_path: Path) -> None:
    """Its answers belong to another question."""
    before = through(tmp_path / "j")
    with pytest.raises(OutputError, match="beginning of other work"):
        through(tmp_path / "j", question="another")
    assert (tmp_path / "j").read_bytes() == before
    assert journal_of(tmp_path / "out.csv").name == "out.csv.unfinished"


def test_a_list_says_where_its_places_are(tmp_path: Path) -> None:
    """Columns in any order; a record that is a file is looked for beside the list."""
    (tmp_path / "a.hourly").touch()
    path = tmp_path / "places.csv"
    path.write_text(
        'record,name,at,utc_offset\na.hourly,Home,"33.9,-118.4",-8\n\nkept,,,\n', encoding="utf-8"
    )
    home, kept = read_places(path)
    assert (home.line, home.name, home.at, home.utc_offset_hours) == (2, "Home", "33.9,-118.4", -8)
    assert home.record == tmp_path / "a.hourly"
    assert (kept.line, kept.name, str(kept.record)) == (4, "kept", "kept")
    assert count_places(path) == 2


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "found nothing"),
        ("name,town\n", "found name, town"),
        ("name,at\n", "no place below its header"),
        ("name,at\nHome,33.9,-118.4\n", "line 2: expected name, at"),
        ("name,at\nHome,\n", "line 2: expected name, at"),
        ('at,utc_offset\n"1,2",x\n', "'x' is no number of hours"),
        ("at,at\n1,2\n", "found at, at"),
        ("at\n\xff", "cannot be read"),
    ],
)
def test_an_odd_list_is_one_sentence(tmp_path: Path, text: str, told: str) -> None:
    """It says the line, before any place is worked on."""
    path = tmp_path / "places.csv"
    path.write_bytes(text.encode("latin-1"))
    with pytest.raises(OptionError, match=told):
        count_places(path)
