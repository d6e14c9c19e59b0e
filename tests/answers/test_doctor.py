"""What `doctor` says of each finding, and what it tells to do next."""

from __future__ import annotations

from typing import Any

import pytest
from msgspec.structs import replace

from suitability.answers.doctor import doctor_sheet
from suitability.output.terminal import render_terminal
from suitability.weather.health import Health, Stored

EMPTY = Stored(stations=0, years=0, imported=(), station_list=None, faults=())
HEALTHY = Health(
    version="7.8.9",
    python="3.11.1",
    system="Linux 6",
    packages={"numpy": "2.4"},
    folder="/the/store",
    stored=EMPTY,
    service="answers",
    service_reason="",
    no_pictures="",
)


def said(**changes: Any) -> str:
    """The words on a terminal, in one line."""
    sheet = doctor_sheet(replace(HEALTHY, **changes))
    return " ".join(render_terminal(sheet, width=80, colour=False, details=False).split())


def test_versions_folder_and_contents_are_told() -> None:
    stored = replace(EMPTY, stations=2, years=1, imported=("a", "b"), station_list="2026-01-02T03Z")
    words = said(stored=stored)
    assert "suitability 7.8.9, Python 3.11.1, Linux 6" in words
    assert "numpy 2.4" in words
    assert "/the/store" in words
    assert "2 stations with 1 year; imported: a, b; the list of stations of 2026-01-02." in words
    assert "nothing yet" in said()


@pytest.mark.parametrize(
    ("changes", "first", "then"),
    [
        ({}, "All is in order", '--place "Town, Country"`.'),
        ({"service": "not-asked"}, "was not asked", "--record"),
        ({"service": "silent", "service_reason": "it sleeps"}, "does not answer now", "--record"),
        (
            {"service": "silent", "stored": replace(EMPTY, stations=1, years=3)},
            "does not answer now",
            "with --offline",
        ),
        ({"stored": replace(EMPTY, faults=("torn",))}, "not all that is stored", "weather check"),
    ],
)
def test_the_first_sentence_and_the_next_step_follow_from_what_was_found(
    changes: dict[str, Any], first: str, then: str
) -> None:
    words = said(**changes)
    assert first in words.split("Program")[0]
    assert then in words.split("Next")[1]


def test_reasons_and_faults_are_told() -> None:
    assert "does not answer: it sleeps." in said(service="silent", service_reason="it sleeps")
    assert "Amiss torn" in said(stored=replace(EMPTY, faults=("torn",)))
    assert "Pictures no browser" in said(no_pictures="no browser")


def test_it_stands_on_one_screen() -> None:
    """24 lines of 80 columns, with nothing amiss."""
    text = render_terminal(doctor_sheet(HEALTHY), width=80, colour=False, details=False)
    assert len(text.splitlines()) <= 22
