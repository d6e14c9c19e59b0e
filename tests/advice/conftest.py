"""An invented group and place, and the check of a record for them."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

import pytest
from msgspec.structs import replace

from suitability.advice import question
from suitability.advice.cases import Case, Rules
from suitability.advice.check import check
from suitability.advice.checking import check_groups
from suitability.advice.preparing import CheckOptions, build_cases, lay_out, lay_out_spots
from suitability.groups.group import Needs
from suitability.places import Place
from suitability.spots.spot import ROOFED

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.advice.result import CheckResult, Finding
    from suitability.spots.spot import Spot
    from suitability.weather.record import Record

    Group = Callable[..., Needs]  # these three: see the fixtures below
    Ask = Callable[..., Finding]
    Prepare = Callable[..., Case]
    Extract = Callable[[str], tuple[Record, Place]]

PLACE = Place(name="invented", latitude=35.0, longitude=0.0)
OPTIONS = CheckOptions(rules=Rules(), minimum_allowance_c=0.0)
GROUP = Needs(
    key="invented",
    name="Invented",
    floor_c=15.0,
    rest_floor_c=None,
    floor_hours_limit=200.0,
    chill_base_c=12.0,
    dose_limit_c_h=60.0,
    limit_c=5.0,
    limit_wet_c=8.0,
    ceiling_c=None,
    warm_night_c=None,
    heat_limited=False,
    rest_needed=False,
    rest_low_c=None,
    rest_high_c=None,
    rest_partly_above_c=None,
    rest_nights=None,
    rest_cool_hours=None,
    rest_cool_hours_partly=None,
    rest_cool_low_c=None,
    rest_cool_high_c=None,
    rest_must_be_dry=False,
    low_confidence_limit=False,
)


@pytest.fixture(scope="session")
def group() -> Group:
    """Floor 15, chill base 12, dose 60, limit 5, wet limit 8; heat does not exclude."""

    def make(**changes: Any) -> Needs:
        return replace(GROUP, **changes)

    return make


@pytest.fixture(scope="session")
def ask() -> Ask:
    """Check of one group on a record; rain kept off and no allowance unless said."""

    def find(
        record: Record,
        needs: Needs = GROUP,
        *,
        spot: Spot = ROOFED,
        place: Place = PLACE,
        options: CheckOptions = OPTIONS,
    ) -> Finding:
        return check_groups(lay_out(record, place, (spot,), [needs], options)).results[0]

    return find


@pytest.fixture(scope="session")
def prepare() -> Prepare:
    """Case of one group on a record."""

    def make(
        record: Record, needs: Needs = GROUP, *, spot: Spot = ROOFED, rules: Rules | None = None
    ) -> Case:
        (nights,) = lay_out_spots(record, PLACE, (spot,), [needs], OPTIONS)
        (case,) = build_cases(nights, [needs], rules or Rules())
        return case

    return make


@pytest.fixture(scope="session")
def checked(extract: Extract) -> Callable[[str], CheckResult]:
    """All groups at a real place, checked once."""
    return cache(lambda name: check(question.ask(*extract(name))))
