"""A result rounds its numbers once, by what its fields say that they are."""

from typing import Annotated

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import Meta

from suitability.output.document import render_json
from suitability.quantities import Celsius, Difference, Probability, Result, TwelveHours


class Told(Result, frozen=True, kw_only=True):
    """A result with a number of each kind."""

    temp_c: Celsius | None
    lift_c: Annotated[Difference, Meta(description="Described as well.")]
    chance: Probability
    months: TwelveHours | None = None
    words: str = "as they are"


class ToldMore(Told, frozen=True, kw_only=True):
    """What is inherited is rounded too."""

    high_c: Celsius


def test_each_number_is_rounded_as_its_quantity_says() -> None:
    """Six decimals, three, four; in lists too; a subclass like its parent."""
    told = ToldMore(
        temp_c=1.23456789,
        lift_c=1.23456789,
        chance=0.123456789,
        months=(1.23456789, *(None,) * 11),
        high_c=9.87654321,
    )
    assert (told.temp_c, told.lift_c, told.chance) == (1.234568, 1.235, 0.1235)
    assert told.months == (1.235, *(None,) * 11)
    assert told.high_c == 9.876543
    assert told.words == "as they are"


@given(st.sampled_from([float("nan"), float("inf"), float("-inf")]))
def test_what_is_not_finite_is_not_known(value: float) -> None:
    """JSON has no such numbers, and 0 would be a lie."""
    told = Told(temp_c=value, lift_c=-1e-9, chance=0, months=(value,) * 12)
    assert told.temp_c is None
    assert told.months == (None,) * 12
    assert render_json(told).startswith('{"temp_c":null,"lift_c":0.0,"chance":0')


def test_a_type_whose_fields_are_told_by_texts_is_refused() -> None:
    """Annotations that are texts would leave numbers as they come, without a word."""

    class Unread(Result, frozen=True, kw_only=True):
        temp_c: "Celsius"

    with pytest.raises(TypeError, match=r"Unread\.temp_c is annotated by a text"):
        Unread(temp_c=1.23456789)
