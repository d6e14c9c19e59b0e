"""Nights that nobody saw: what became better for them says so once, on every surface."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.advice.card import cards
from suitability.advice.check import check
from suitability.advice.comparison import compare
from suitability.advice.growing_weeks import year
from suitability.advice.moves import moves
from suitability.advice.occasions import list_occasions
from suitability.advice.protection import protect
from suitability.advice.question import Question, ask
from suitability.advice.report import report
from suitability.answers.calendar import calendar_sheet
from suitability.answers.cards import cards_sheet
from suitability.answers.check import check_sheet
from suitability.answers.comparison import comparison_sheet
from suitability.answers.moves import moves_sheet
from suitability.answers.protection import protection_sheet
from suitability.answers.report import report_sheet
from suitability.answers.year import year_sheet
from suitability.output.datatables import main_table
from suitability.output.page import render_page
from suitability.output.terminal import render_terminal
from suitability.places import Place
from suitability.units import TemperatureUnit
from suitability.weather.record import Record

pytestmark = pytest.mark.slow

Extract = Callable[[str], tuple[Record, Place]]
C = TemperatureUnit.C
SAID = "nights nobody saw may have been worse: this may look better than it is."


def question(extract: Extract, lost: int) -> Question:
    """Cattleyas under a roof at Los Angeles, its coldest nights lost."""
    record, place = extract("los_angeles")
    temp_c = record.temp_c.copy()
    days = temp_c[20 : 20 + (temp_c.size - 48) // 24 * 24].reshape(-1, 24)  # noon to noon, UTC-8
    lowest = np.where(np.isnan(days), np.inf, days).min(axis=1)
    days[np.argsort(lowest, kind="stable")[:lost]] = np.nan
    return ask(replace(record, temp_c=temp_c), place, "cattleya", roof=True)


@pytest.mark.parametrize("lost", [0, 36])
def test_every_surface_says_it_once(extract: Extract, lost: int) -> None:
    """1 % of the nights; nothing of the kind of the whole record."""
    asked, day = question(extract, lost), date(2023, 5, 1)
    checked, moved, grown = check(asked), moves(asked), year(asked)
    sheets = {
        "check": check_sheet(checked, C),
        "moves": moves_sheet(moved, C),
        "year": year_sheet(grown, 20, C),
        "cards": cards_sheet(cards(asked), C),
        "compare": comparison_sheet(compare([asked]), C),
        "report": report_sheet(report(asked, on="05-01"), C),
        "protect": protection_sheet(protect(asked), C),
    }
    for name, sheet in sheets.items():
        for details in (True, False):
            text = " ".join(render_terminal(sheet, width=80, colour=False, details=details).split())
            assert text.count(SAID) == (lost > 0), name
        assert (SAID in render_page(sheet)) == (lost > 0), name
    for result in (moved, grown):
        events = calendar_sheet(list_occasions(result, day), result, first_day=day, units=C)
        assert (SAID in "\n".join(events.events[0].lines)) == (lost > 0)
    found = {one.unseen_nights > 0 for one in (*checked.results, *moved.results, *grown.results)}
    assert found == {lost > 0}
    for told in (checked, moved, grown):
        table = main_table(told)
        at = [column.name for column in table.columns].index("unseen_nights")
        assert table.rows[0][at] == told.results[0].unseen_nights
