"""Answers as pandas frames and plotly figures, from Python."""

from __future__ import annotations

import pytest

import suitability
from suitability.errors import OptionError
from suitability.output.datatables import main_table

pytestmark = pytest.mark.slow  # all ask about the demo


@pytest.fixture(scope="module")
def found() -> suitability.CheckResult:
    """A check of two groups at the demo place."""
    question = suitability.ask(
        suitability.demo_record(), suitability.demo_place(), ["nobile", "phalaenanthe"]
    )
    return suitability.check(question)


def test_a_frame_has_the_columns_and_rows_of_the_csv(found: suitability.CheckResult) -> None:
    """And other lists of the answer are tables of their own."""
    frame, told = suitability.to_frame(found), main_table(found)
    assert list(frame.columns) == [column.name for column in told.columns]
    assert frame["group"].tolist() == ["nobile", "phalaenanthe"]
    assert frame["season_days"].tolist() == [one.season.days for one in found.results if one.season]
    months = suitability.to_frame(found, "results by_month")
    assert set(months["group"]) == {"nobile", "phalaenanthe"}


def test_what_is_no_table_unit_or_chart_is_refused_in_a_sentence(
    found: suitability.CheckResult,
) -> None:
    """With what there is instead."""
    with pytest.raises(OptionError, match=r"no table 'verdicts'; it has spots, results, "):
        suitability.to_frame(found, "verdicts")
    with pytest.raises(OptionError, match="units 'K': expected one of c, f"):
        suitability.figures(found, units="K")
    with pytest.raises(OptionError, match="Place has no charts"):
        suitability.figures(suitability.demo_place())


def test_figures_are_those_of_the_pictures_by_name(found: suitability.CheckResult) -> None:
    """Titled by their finding, in the degrees asked for."""
    charts = suitability.figures(found, units="f")
    assert list(charts) == ["year", "hours"]
    assert "January" in charts["hours"].layout.title.text
    assert "Invented" in charts["year"].layout.title.subtitle.text
