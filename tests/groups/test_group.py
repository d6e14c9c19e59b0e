"""What a group answers: ends of ranges by caution, its rest, its light class."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from suitability.groups import Caution, Confidence, Group, Mark, Rest, RestNeed, Value


def value(best: float, low: float | None = None, high: float | None = None) -> Value:
    return Value(
        best=best,
        low=best if low is None else low,
        high=best if high is None else high,
        mark=Mark.OWN,
        sources=("own value, no source",),
        confidence=Confidence.OWN,
    )


INVENTED = Group(
    key="invented",
    name="Invented group",
    floor_c=value(15, 13, 18),
    rest_floor_c=value(12, 11, 13),
    chill_base_c=value(12, 10, 15),
    dose_limit_c_h=value(60, 40, 120),
    limit_c=value(5, 3, 8),
    limit_wet_c=value(8, 6, 11),
    ceiling_c=value(36, 35, 38),
    warm_night_c=value(22, 21, 24),
)


def test_high_caution_takes_cold_thresholds_high_and_heat_and_dose_low() -> None:
    """The rule of `--caution high`, field by field."""
    needs = INVENTED.needs(Caution.HIGH)
    cold = (needs.floor_c, needs.rest_floor_c, needs.chill_base_c, needs.limit_c, needs.limit_wet_c)
    assert cold == (18, 13, 15, 8, 11)
    assert (needs.dose_limit_c_h, needs.ceiling_c, needs.warm_night_c) == (40, 35, 21)


def test_low_caution_is_the_reverse() -> None:
    """Low caution takes the other end of every range."""
    needs = INVENTED.needs(Caution.LOW)
    cold = (needs.floor_c, needs.rest_floor_c, needs.chill_base_c, needs.limit_c, needs.limit_wet_c)
    assert cold == (13, 11, 10, 3, 6)
    assert (needs.dose_limit_c_h, needs.ceiling_c, needs.warm_night_c) == (120, 38, 24)


def test_usual_caution_takes_the_best_values() -> None:
    """Without the option, the best values count."""
    needs = INVENTED.needs()
    assert (needs.floor_c, needs.limit_c, needs.dose_limit_c_h, needs.ceiling_c) == (15, 5, 60, 36)


def test_what_a_group_lacks_is_none_and_never_a_number() -> None:
    """No rest floor, ceiling, warm night or rest stays None in the flat needs."""
    bare = replace(INVENTED, rest_floor_c=None, ceiling_c=None, warm_night_c=None)
    needs = bare.needs(Caution.HIGH)
    absent = (needs.rest_floor_c, needs.ceiling_c, needs.warm_night_c, needs.rest_low_c)
    assert absent == (None, None, None, None)
    assert needs.rest_needed is False
    assert needs.rest_nights is None


def test_nights_of_rest_follow_from_the_shortest_rest() -> None:
    """Seven tenths of eight weeks are 39.2 nights, so 40 whole ones; ten weeks are exactly 49."""
    eight = Rest(needed=RestNeed.YES, night_c=value(12, 9, 14), weeks=value(10, 8, 12))
    ten = replace(eight, weeks=value(12, 10, 14))
    assert (eight.nights_needed, ten.nights_needed) == (40, 49)


def test_nights_given_override_the_weeks() -> None:
    """A number of nights in the catalogue is taken as it is."""
    rest = Rest(
        needed=RestNeed.YES, night_c=value(10, 5, 15), weeks=value(8, 6, 10), nights=value(21)
    )
    assert rest.nights_needed == 21


@pytest.mark.parametrize(
    ("klx", "word"),
    [(14.9, "low"), (15, "medium"), (30, "medium"), (45, "bright"), (45.1, "very bright")],
)
def test_light_class_by_klx(klx: float, word: str) -> None:
    """Classes: low below 15 klx, medium to 30, bright to 45, very bright above."""
    assert replace(INVENTED, light_klx=value(klx)).light_class == word


def test_only_a_limit_of_low_confidence_is_flagged() -> None:
    """The flag that makes a verdict show both ends of the range."""
    doubtful = replace(INVENTED, limit_c=replace(INVENTED.limit_c, confidence=Confidence.LOW))
    assert (INVENTED.needs().low_confidence_limit, doubtful.needs().low_confidence_limit) == (
        False,
        True,
    )


def test_a_group_cannot_be_changed() -> None:
    """A group is a value: it is replaced, not altered."""
    with pytest.raises(AttributeError, match="immutable"):
        INVENTED.key = "other"  # type: ignore[misc]  # the refusal is what is tested
