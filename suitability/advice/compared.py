"""What a comparison of growing spots says: rows by place, spot and group, and differences."""

from typing import Annotated, Literal

import numpy as np
from msgspec import Meta, Struct
from numpy.typing import NDArray

from suitability.advice.result import (
    CarriedNights,
    Credit,
    Limiting,
    RestFinding,
    SpotEnds,
)
from suitability.advice.terms import MonthlyHours, Season, Verdict
from suitability.places import Place
from suitability.quantities import (
    SCHEMA_VERSION,
    Count,
    DegreeHours,
    Gap,
    Hours,
    NightsAYear,
    Promise,
    Result,
    SchemaVersion,
)

__all__ = ["Comparison", "Difference", "Interval", "LightWord", "Row", "SpotOfPlace", "Years"]

_THREE = Meta(extra={"decimals": 3})  # in the unit of the field that holds it

FloatArray = NDArray[np.float64]


LightWord = Literal["fits", "darker", "brighter", "not-said"]


class Years(Struct, frozen=True, kw_only=True):
    """By plant year, cut at mid-summer: unsafe nights, hours below the floor; nan if unknown."""

    first: int
    cut: int
    unsafe: FloatArray
    hours: FloatArray


class Row(Result, frozen=True, kw_only=True):
    """One group at one spot of one place."""

    place: Annotated[str, Meta(description="Name of the place.")]
    spot: Annotated[str, Meta(description="Name of the growing spot.")]
    group: Annotated[str, Meta(description="Key of the group.")]
    group_name: str
    verdict: Annotated[Verdict, Meta(description="At the usual numbers of the spot.")]
    provisional: Annotated[
        bool, Meta(description="The verdict rests on fewer than ten usable years.")
    ]
    borderline: Annotated[
        bool, Meta(description="The spot 1 °C colder or warmer has another verdict.")
    ]
    spot_ends: Annotated[SpotEnds | None, Meta(description="Null for a spot without a range.")]
    season: Annotated[
        Season | None,
        Meta(description="Outdoors; null where the verdict lets it out for none."),
    ]
    years_usable: Annotated[Count, Meta(description="Plant years observed well enough.")]
    unsafe_nights: Annotated[
        NightsAYear | None,
        Meta(
            description="A year, in the median of the usable years; null without any.",
        ),
    ]
    unsafe_nights_worst: Annotated[
        NightsAYear | None,
        Meta(
            description="In the worst of the usable years; null without any.",
        ),
    ]
    worst_dose_c_h: Annotated[
        DegreeHours, Meta(ge=0, description="Heaviest cold of 14 nights on record.")
    ]
    hours_below: Annotated[MonthlyHours, Meta(description="Hours below the growth floor.")]
    heat_hours: Annotated[
        Annotated[Hours, Meta(ge=0)] | None,
        Meta(
            description="Above the ceiling, a year on the mean; null without a ceiling.",
        ),
    ]
    rest: RestFinding
    carried_nights: Annotated[
        CarriedNights | None, Meta(description="Whatever the verdict; null without one.")
    ]
    moves: Annotated[
        int,
        Meta(ge=0, le=2, description="How often a year one plant is carried by its season."),
    ]
    margin_c: Annotated[
        Gap | None,
        Meta(description="Least warming that would raise the verdict."),
    ]
    light: Annotated[
        LightWord,
        Meta(description="The spot's beside what the group wants."),
    ]
    limiting: tuple[Limiting, ...]

    @property
    def days(self) -> int:
        """Days of the season outdoors; 0 where the verdict allows none."""
        return 0 if self.season is None else self.season.days


class SpotOfPlace(Result, frozen=True, kw_only=True):
    """A spot by its name and that of its place."""

    place: str
    spot: str


class Interval(Result, frozen=True, kw_only=True):
    """The mean difference a year with its 90 % interval, of which both ends are told."""

    difference: Annotated[float, _THREE, Meta(description="In the mean of years.")]
    low: Annotated[float, _THREE, Meta(description="Lower end of the interval.")]
    high: Annotated[float, _THREE, Meta(description="Upper end of the interval.")]


class Difference(Result, frozen=True, kw_only=True):
    """The better of two neighbours in a group's order, less the other."""

    group: Annotated[str, Meta(description="Key of the group.")]
    better: SpotOfPlace
    other: SpotOfPlace
    reason: Annotated[str, Meta(description="What the order hangs on.")]
    unsafe_nights_difference: Annotated[
        Interval | None,
        Meta(
            description="Null where too few years tell.",
            extra_json_schema={"unit": "nights a year"},
        ),
    ]
    hours_below_difference: Annotated[
        Interval | None,
        Meta(
            description="Below the growth floor; null where too few years tell.",
            extra_json_schema={"unit": "h a year"},
        ),
    ]
    years: Annotated[Count, Meta(description="Years, or pairs of them, behind it.")]
    told_apart: Annotated[
        bool | None,
        Meta(
            description="Whether an interval leaves out zero; null where neither difference could "
            "be formed."
        ),
    ]


class Comparison(Result, frozen=True, kw_only=True):
    """Spots of one place or several side by side: rows as asked for, and neighbours in order."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    promise: Promise
    understood: Annotated[
        tuple[str, ...], Meta(description="What names were taken for, in sentences.")
    ] = ()
    places: tuple[Place, ...]
    credits: Annotated[tuple[Credit, ...], Meta(description="One for each place.")]
    results: Annotated[tuple[Row, ...], Meta(description="By place, spot and group as asked for.")]
    differences: Annotated[
        tuple[Difference, ...], Meta(description="Of neighbours in each group's order.")
    ]
