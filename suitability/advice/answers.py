"""The words, seasons and rooms that answer for a plant's year."""

from __future__ import annotations

from enum import StrEnum

from msgspec import Struct

__all__ = [
    "Flowers",
    "Grows",
    "HeatWord",
    "Rain",
    "RestRoom",
    "Rests",
    "Season",
    "Survives",
]


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
    """What most years do for its rest on the nights that it spends out."""

    MET = "met"
    PARTLY = "partly"
    HARDLY = "hardly"
    NOT_NEEDED = "not-needed"
    NOT_TOLD = "not-told"  # no name tells the rest of a hybrid
    UNKNOWN = "unknown"


class Flowers(StrEnum):
    """Whether the rest stands against flowers; nothing else is asked."""

    CAN = "can"
    SHYLY = "shyly"
    AFTER_COOL_ROOM = "after-cool-room"
    HARDLY = "hardly"
    UNKNOWN = "unknown"


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
    UNKNOWN = "unknown"


class Season(Struct, frozen=True, kw_only=True):
    """
    A stretch of the year outdoors.

    `out` is the first day out; on the day of `inn` the plant is carried in before sunset, so that
    its night is not spent out. `days` is their distance; the whole year is 01-01, 01-01, 365.
    """

    out: str
    inn: str
    days: int


class RestRoom(Struct, frozen=True, kw_only=True):
    """A room held anywhere from one temperature to another, °C, meets a rest in so many nights."""

    low_c: float
    high_c: float
    nights: int
