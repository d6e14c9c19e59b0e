"""Frozen records behave as frozen dataclasses do."""

from __future__ import annotations

import copy
from dataclasses import FrozenInstanceError, asdict, dataclass, fields, is_dataclass, replace

import pytest

from suitability.frozen import frozen


@frozen
class Quick:
    """Made here."""

    north: float
    name: str = "x"

    @property
    def south(self) -> float:
        """Methods stay."""
        return -self.north


@dataclass(frozen=True, slots=True, kw_only=True)
class Usual:
    """Made by the standard library."""

    north: float
    name: str = "x"


def test_values_defaults_and_text_are_those_of_a_dataclass() -> None:
    quick, usual = Quick(north=1.5), Usual(north=1.5)
    assert (quick.north, quick.name, quick.south) == (1.5, "x", -1.5)
    assert repr(quick) == repr(usual).replace("Usual", "Quick")
    assert is_dataclass(quick)
    assert asdict(quick) == asdict(usual)
    assert [field.name for field in fields(quick)] == ["north", "name"]
    assert replace(quick, name="y") == Quick(north=1.5, name="y")
    assert copy.deepcopy(quick) == copy.copy(quick) == quick
    assert not hasattr(quick, "__dict__")


def test_equal_records_are_equal_and_count_once() -> None:
    assert Quick(north=1.0) == Quick(north=1.0, name="x")
    assert Quick(north=1.0) != Quick(north=2.0)
    usual: object = Usual(north=1.0)
    assert Quick(north=1.0) != usual
    assert len({Quick(north=1.0), Quick(north=1.0), Quick(north=2.0)}) == 2


def test_nothing_can_be_changed_or_taken_away() -> None:
    quick = Quick(north=1.0)
    with pytest.raises(FrozenInstanceError, match="north"):
        quick.north = 2.0  # type: ignore[misc]  # what is tried here
    with pytest.raises(FrozenInstanceError, match="other"):
        quick.other = 2.0  # type: ignore[attr-defined]  # what is tried here
    with pytest.raises(FrozenInstanceError, match="north"):
        del quick.north
    assert quick.north == 1.0


def test_missing_and_unknown_fields_are_refused() -> None:
    with pytest.raises(TypeError, match="north is missing"):
        Quick()  # type: ignore[call-arg]  # what is tried here
    with pytest.raises(TypeError, match="has no other"):
        Quick(north=1.0, other=2)  # type: ignore[call-arg]  # what is tried here
    with pytest.raises(TypeError):
        Quick(1.0)  # type: ignore[call-arg]  # what is tried here
