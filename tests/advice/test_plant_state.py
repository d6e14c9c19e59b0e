"""What the state of a plant does to the needs of its group."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from suitability.advice.plant_state import PlantState, apply_state
from suitability.groups import read_catalogue
from suitability.spots.plants import LARGEST_SHIFT_C

NEEDS = read_catalogue().find("phalaenanthe").needs()  # limits 5 and 8 °C, chill base 12 °C


def test_a_plant_like_its_group_has_its_needs() -> None:
    assert apply_state(NEEDS, PlantState()) == (NEEDS, ())


def test_a_first_winter_raises_the_chill_base_and_drops_the_dry_limit() -> None:
    """12 to 14 °C; the wet limit of 8 °C counts for a dry plant too. Floor and rest stay."""
    needs, changes = apply_state(NEEDS, PlantState(first_winter=True))
    assert (needs.limit_c, needs.limit_wet_c, needs.chill_base_c) == (8.0, 8.0, 14.0)
    told = {change.field: (change.group_c, change.plant_c, change.causes) for change in changes}
    assert told == {
        "limit_c": (5.0, 8.0, ("first-winter",)),
        "chill_base_c": (12.0, 14.0, ("first-winter",)),
    }
    assert needs == replace(NEEDS, limit_c=8.0, chill_base_c=14.0)


def test_a_plant_in_bud_has_the_wet_limit() -> None:
    needs, changes = apply_state(NEEDS, PlantState(in_bud=True))
    assert (needs.limit_c, needs.chill_base_c) == (8.0, 12.0)
    assert [change.causes for change in changes] == [("in-bud",)]


def test_a_hardier_plant_by_hand() -> None:
    needs, changes = apply_state(NEEDS, PlantState(shift_c=-1.5))
    assert (needs.limit_c, needs.limit_wet_c, needs.chill_base_c) == (3.5, 6.5, 10.5)
    assert len(changes) == 3


@given(shift=st.floats(-3.0, 3.0), damage=st.floats(0.0, 5.0))
def test_no_plant_differs_from_its_group_by_more_than_three_degrees(
    shift: float, damage: float
) -> None:
    state = PlantState(shift_c=shift, damage_c=damage)
    needs, _ = apply_state(NEEDS, state)
    assert abs(needs.limit_c - NEEDS.limit_c) <= LARGEST_SHIFT_C + 1e-9
    assert needs.limit_c - NEEDS.limit_c == pytest.approx(min(shift + damage, 3.0), abs=1e-6)
    assert needs.floor_c == NEEDS.floor_c
