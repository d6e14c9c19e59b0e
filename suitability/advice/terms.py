"""The words, seasons and counts that answers of several questions hold."""

from enum import StrEnum
from typing import Annotated, Any, Protocol

from msgspec import Meta

from suitability.groups.group import Needs
from suitability.quantities import (
    Celsius,
    Chance,
    Count,
    Hours,
    MonthDay,
    Promise,
    Result,
    TwelveHours,
)

FEWEST_INDOORS = 30  # days; reasoned: with fewer, the promise gains under a tenth at real places

UnseenNights = Annotated[
    Count,
    Meta(
        title="Unseen nights",
        description="Nights, or hot days, not observed for which what is said may look better than "
        "it is: the record lost them in its cold or heat, and hardly by chance, or all year rests "
        "on them. 0 otherwise.",
    ),
]


class Whose(Result, frozen=True, kw_only=True):
    """Whose a row is: a group at a spot, or plants of it that stand there in one state."""

    spot: Annotated[str, Meta(title="Spot", description="Name of the growing spot.")]
    group: Annotated[str, Meta(title="Group", description="Key of the group.")]
    group_name: str
    plants: Annotated[
        tuple[str, ...],
        Meta(
            title="Plants",
            description="Names of the plants of the collection that the row is about; empty for a "
            "group.",
        ),
    ] = ()
    numbers: Annotated[
        tuple[int, ...], Meta(description="How many there are of each plant, in that order.")
    ] = ()
    caveat: Annotated[
        str,
        Meta(
            title="Caveat",
            description="Why the group is only a guess at what the plant is, as for a hybrid; "
            "empty where it is known.",
        ),
    ] = ""
    in_state: Annotated[
        bool,
        Meta(description="The plants are judged in a state of their own, which may pass."),
    ] = False
    unseen_nights: UnseenNights = 0


def whose(spot: str, needs: Needs, unseen_nights: int) -> dict[str, Any]:
    """The fields of `Whose` that needs at a spot have."""
    return {
        "spot": spot,
        "group": needs.key,
        "group_name": needs.name,
        "plants": needs.plants,
        "numbers": needs.numbers,
        "caveat": needs.caveat,
        "in_state": needs.in_state,
        "unseen_nights": unseen_nights,
    }


class Span(Result, frozen=True, kw_only=True):
    """From a low to a high number, in the unit of the field that holds it."""

    low: float
    high: float


class Verdict(StrEnum):
    """Whether a group can live at a spot."""

    ALL_YEAR = "outdoor-all-year"
    SEASONAL = "outdoor-seasonal"
    INDOOR = "indoor-only"
    NONE = "no-verdict"

    @property
    def rank(self) -> int:
        """Higher is better for the grower; `no-verdict` is beside the scale."""
        return {"outdoor-all-year": 2, "outdoor-seasonal": 1, "indoor-only": 0}.get(self.value, -1)


class Survives(StrEnum):
    """Where the cold (and, for groups that it excludes, heat) lets the group live."""

    ALL_YEAR = "all-year"
    IN_SEASON = "in-season"
    INDOORS = "indoors-only"
    UNKNOWN = "unknown"


class Grows(StrEnum):
    """When the floor rule lets it grow or rest outdoors, rather than only survive."""

    ALL_YEAR = "all-year"
    IN_SEASON = "in-season"
    HARDLY = "hardly"
    UNKNOWN = "unknown"


class Rests(StrEnum):
    """What most years do, on the nights that it spends out, for what its flowers hang on."""

    MET = "met"
    PARTLY = "partly"
    HARDLY = "hardly"
    NOT_NEEDED = "not-needed"
    AFTER_BLOOM = "after-bloom"  # a rest once the flowers are over, which no weather brings
    COOL_DAYS = "cool-days"  # start the flowers, and are not counted
    NOT_TOLD = "not-told"  # no name tells the rest of a hybrid
    UNKNOWN = "unknown"


class Flowers(StrEnum):
    """Whether what starts the flowers comes; nothing else is asked."""

    CAN = "can"
    SHYLY = "shyly"
    AFTER_COOL_ROOM = "after-cool-room"
    AFTER_DRY_REST = "after-dry-rest"  # kept dry where it spends the winter indoors
    HARDLY = "hardly"
    UNKNOWN = "unknown"


class Missing(StrEnum):
    """What a year lacked for flowers, the first of it."""

    COLD = "cold"
    DRYNESS = "dryness"
    LENGTH = "length"


class Rain(StrEnum):
    """What is known of the rain on the pot."""

    KEPT_OFF = "kept-off"
    KNOWN = "known"
    NOT_KNOWN = "not-known"


class HeatWord(StrEnum):
    """What the heat of the days spent out does."""

    LITTLE = "little"
    AT_TIMES = "at-times"
    EXPECT_DAMAGE = "expect-damage"
    IF_DRY = "if-dry"  # of a group that great heat does not trouble in air of about 50 % humidity
    UNKNOWN = "unknown"


class Season(Result, frozen=True, kw_only=True):
    """
    A stretch of the year outdoors.

    `in` (`inn` in Python) is the day on which the plant is carried in: its night is not
    spent out. The whole year is 01-01, 01-01, 365.
    """

    out: Annotated[MonthDay, Meta(title="Out", description="First day out.")]
    inn: Annotated[
        MonthDay, Meta(title="In", description="Day of carrying in: its night is not spent out.")
    ]
    days: Annotated[
        int,
        Meta(ge=1, le=365, title="Days", description="From out to in; 365 is the whole year."),
    ]


class Moved(Protocol):
    """What is judged with a season of its own."""

    @property
    def season(self) -> Season | None:
        """Null: it has none."""

    @property
    def nearly_all_year(self) -> bool:
        """Whether it may stay out but for the few nights that ask it in."""


def dates_help(one: Moved) -> bool:
    """
    Whether moving by dates spares a plant much: not where these leave it out but for few days.

    So few days promise hardly more than all year does, and are cut round single nights on record.
    """
    season = one.season
    return not one.nearly_all_year or season is None or 365 - season.days >= FEWEST_INDOORS


class PromiseWorth(Result, frozen=True, kw_only=True):
    """What a promise may be worth: shares of new years between which it lies four times in five."""

    promised: Promise
    low: Chance
    high: Chance


IfProvisional = Annotated[
    PromiseWorth | None,
    Meta(
        description="What a promise made from so few years may be worth; null with ten usable "
        "years and more, and where nothing is promised."
    ),
]
NearlyAllYear = Annotated[
    bool,
    Meta(
        description="Seasonal, yet it may stay out all year if carried in, or covered, on the few "
        "cold nights that ask for it: three or fewer in the median year."
    ),
]
InARoom = Annotated[
    bool,
    Meta(
        description="The spot is in a room: outdoor-all-year means that it can stand there all "
        "year, indoor-only that it cannot."
    ),
]
Steady = Annotated[
    bool,
    Meta(
        description="A room away from its window: its nights are the same whatever the weather, so "
        "that past years and odds say nothing of it."
    ),
]
RestsThere = Annotated[
    bool,
    Meta(
        description="Not all year in this room, yet it may stand there while it rests: it lives "
        "there, and most years meet its rest."
    ),
]
ComfortMark = Annotated[
    Celsius | None,
    Meta(
        description="Comfort mark, of nights: below it they are cold though it grows. It decides "
        "nothing; null where none is known."
    ),
]
ComfortSeason = Annotated[
    Season | None,
    Meta(
        description="Longest stretch of the year, out or not, in which the night minimum of the "
        "mean year (over 31 days) is not below the comfort mark; null where no night reaches it, "
        "or none is known."
    ),
]
GrowsFrom = Annotated[
    MonthDay | None,
    Meta(
        description="Before it a plant that goes out survives and does not grow: the first day out "
        "on which the night minimum of the mean year reaches the floor. Null where the first "
        "fortnight's nights do on average."
    ),
]
CoolRest = Annotated[
    bool, Meta(description="Flowers hang on a cool rest: nights below the comfort mark bring them.")
]
FirstMissing = Annotated[
    Missing | None,
    Meta(
        description="What most of the years that did not meet it lacked first: `cold`, `dryness`, "
        "or `length`, where the nights were too few or the stay too short. Null where all did."
    ),
]
HeatOut = Annotated[
    HeatWord | None,
    Meta(
        description="What the heat of the days spent out does (of all days where it spends none); "
        "null for a group without a ceiling."
    ),
]
WarmNights = Annotated[
    float | None,
    Meta(
        extra={"unit": "nights a year", "decimals": 3},
        extra_json_schema={"unit": "nights a year"},
        description="Nights a year out above the warm-night limit, where more than 14 are and do "
        "harm; else null.",
    ),
]


class RestRoom(Result, frozen=True, kw_only=True):
    """A room held anywhere from one temperature to another meets a rest in so many nights."""

    low_c: Annotated[Celsius | None, Meta(description="Null where any will do, if it is dry.")]
    high_c: Celsius | None
    nights: Count


class MonthlyHours(Result, frozen=True, kw_only=True):
    """Hours of the mean year by month, January first, and their sum."""

    months: Annotated[TwelveHours, Meta(description="Null where a month is not known.")]
    year: Annotated[
        Hours | None, Meta(description="Sum of the months; null if one of them is not known.")
    ]

    @classmethod
    def of(cls, months: tuple[float | None, ...]) -> "MonthlyHours":
        """
        Twelve months with their sum.

        Examples
        --------
        >>> MonthlyHours.of((2.5,) * 12).year, MonthlyHours.of((None,) + (2.5,) * 11).year
        (30.0, None)
        """
        known = [hours for hours in months if hours is not None]
        return cls(months=months, year=sum(known) if len(known) == len(months) else None)
