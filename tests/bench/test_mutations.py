"""No broken file of any form leads to a traceback: some hundreds of those that the bench tries."""

from __future__ import annotations

import signal
from pathlib import Path

import pytest

from .broken_files import FORMS
from .mutations import Found, broken, run, try_one

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("form", FORMS)
def test_broken_files_are_read_or_refused_in_a_sentence(
    form: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Forty broken files of each form; nothing is wrong but perhaps the time on a busy machine."""
    monkeypatch.setattr(signal, "alarm", lambda seconds: seconds)
    found = Found()
    for number in range(40):
        try_one(FORMS[form], number, tmp_path, found)
    assert [words for words in found.wrong if not words.endswith(" MB")] == []
    assert (found.tried, found.read + found.refused) == (40, 40)


def test_a_batch_runs_in_a_process_of_its_own() -> None:
    """Its counts come back."""
    found = run(20, ["CSV"])["CSV"]
    assert (found.tried, found.read + found.refused, found.wrong) == (20, 20, [])


@pytest.mark.parametrize("form", FORMS)
def test_the_good_files_are_read(form: str, tmp_path: Path) -> None:
    """What is broken was whole before."""
    for good in FORMS[form].good:
        FORMS[form].read(good, tmp_path)


def test_a_broken_file_is_the_same_for_the_same_number() -> None:
    """So that what is found can be found again."""
    form = FORMS["CSV"]
    assert [broken(form, number) for number in range(20)] == [broken(form, n) for n in range(20)]
    assert len({broken(form, number) for number in range(20)}) == 20


def test_what_is_wrong_is_noticed(tmp_path: Path) -> None:
    """A reader that raises something else, or says two lines, is told with its number."""

    def fails(data: bytes, folder: Path) -> None:
        raise ValueError(f"{len(data)} bytes in {folder.name}")

    found = Found()
    form = FORMS["CSV"]
    try_one(type(form)(name="bad", good=form.good, read=fails), 3, tmp_path, found)
    assert found.wrong[0].startswith("bad 3: ValueError")
