"""The table of towns, held to the package it is made from."""

import runpy
from pathlib import Path

import pytest

from suitability.errors import PlaceError
from suitability.towns import find_town, read_towns

pytestmark = pytest.mark.slow

DATA = Path(__file__).parent / "data"


@pytest.mark.slow
def test_the_table_holds_what_the_package_holds() -> None:
    """Every town, unchanged; 34,006 of them in release 3.0.2 (GeoNames, CC BY 4.0)."""
    towns_of_package = runpy.run_path(str(DATA / "make_towns.py"))["towns_of_package"]
    towns = list(read_towns())
    assert towns == towns_of_package()
    assert len(towns) > 30_000


@pytest.mark.parametrize("text", ["Porto Alegre, Brazil", "porto alegre", "Porto Alegre, BR"])
def test_a_town_is_found_by_its_name_and_its_country(text: str) -> None:
    """In any case; GeoNames 3452925: 30.03 S, 51.23 W."""
    town = find_town(text)
    assert town.label == "Porto Alegre, Brazil"
    assert (town.latitude, town.longitude) == (-30.03283, -51.23019)


def test_another_name_of_a_town_leads_to_it() -> None:
    """The older and the local one."""
    assert find_town("Bombay").label == "Mumbai, India"
    assert find_town("Lisboa").label == "Lisbon, Portugal"


def test_towns_of_one_name_are_listed_with_the_largest_first() -> None:
    """And one is chosen by its region; what is not there is told with near names."""
    with pytest.raises(PlaceError, match=r"towns are named 'Portland': Portland, OR, United"):
        find_town("Portland")
    assert find_town("Portland, ME").latitude == pytest.approx(43.66, abs=0.01)
    with pytest.raises(PlaceError, match=r"No town 'Los Angles' .*near names: Los Angeles"):
        find_town("Los Angles")
