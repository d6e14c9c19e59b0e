"""
Who stands behind each hour of a Meteostat file, what kind of value it is, and its licence.

The table repeats, as plain values that load at once, what the provider index of the meteostat
library (2.1) says; a test holds it to that index, so that a new provider is noticed.
"""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = [
    "DAILY_OBSERVERS",
    "FORECASTS",
    "OBSERVERS",
    "PROVIDERS",
    "Grade",
    "Provider",
    "say_credits",
]

CC_BY = "CC BY 4.0"
CC_BY_URL = "https://creativecommons.org/licenses/by/4.0/"


class Grade(StrEnum):
    """What kind of value a provider gives; `forecast` includes the past hours of a model."""

    RECORD = "record"
    OBSERVATION = "observation"
    ANALYSIS = "analysis"
    FORECAST = "forecast"


class Provider(Struct, frozen=True, kw_only=True):
    """A provider of hourly values: its identifier in the files, its name, its licence."""

    identifier: str
    name: str
    grade: Grade
    licence: str
    licence_url: str = ""
    attribution: str = ""


_TABLE = (
    Provider(
        identifier="dwd_hourly",
        name="DWD Hourly",
        grade=Grade.RECORD,
        licence=CC_BY,
        licence_url=CC_BY_URL,
        attribution="Deutscher Wetterdienst",
    ),
    Provider(
        identifier="dwd_poi",
        name="DWD POI",
        grade=Grade.OBSERVATION,
        licence=CC_BY,
        licence_url=CC_BY_URL,
        attribution="Deutscher Wetterdienst",
    ),
    Provider(
        identifier="dwd_mosmix",
        name="DWD MOSMIX",
        grade=Grade.FORECAST,
        licence=CC_BY,
        licence_url=CC_BY_URL,
        attribution="Deutscher Wetterdienst",
    ),
    Provider(
        identifier="eccc_hourly",
        name="ECCC Hourly",
        grade=Grade.RECORD,
        licence="Environment and Climate Change Canada Data Servers End-use Licence",
        licence_url="https://eccc-msc.github.io/open-data/licence/readme_en/",
        attribution="Environment and Climate Change Canada",
    ),
    Provider(
        identifier="isd_lite",
        name="NOAA ISD Lite",
        grade=Grade.OBSERVATION,
        licence="CC0 1.0 Universal",
        licence_url="https://creativecommons.org/publicdomain/zero/1.0/",
    ),
    Provider(identifier="metar", name="METAR", grade=Grade.OBSERVATION, licence=""),
    Provider(
        identifier="metno_forecast",
        name="MET Norway Forecast",
        grade=Grade.FORECAST,
        licence="NLOD 2.0",
        licence_url="https://data.norge.no/nlod/en/2.0",
        attribution="MET Norway",
    ),
    Provider(
        identifier="gsa_hourly",
        name="GeoSphere Austria Hourly",
        grade=Grade.RECORD,
        licence=CC_BY,
        licence_url=CC_BY_URL,
        attribution="GeoSphere Austria",
    ),
    Provider(
        identifier="gsa_synop",
        name="GeoSphere Austria SYNOP",
        grade=Grade.OBSERVATION,
        licence=CC_BY,
        licence_url=CC_BY_URL,
        attribution="GeoSphere Austria",
    ),
)

_DAILY_TABLE = (
    Provider(
        identifier="dwd_daily",
        name="DWD Daily",
        grade=Grade.RECORD,
        licence=CC_BY,
        licence_url=CC_BY_URL,
        attribution="Deutscher Wetterdienst",
    ),
    Provider(
        identifier="eccc_daily",
        name="ECCC Daily",
        grade=Grade.RECORD,
        licence="Environment and Climate Change Canada Data Servers End-use Licence",
        licence_url="https://eccc-msc.github.io/open-data/licence/readme_en/",
        attribution="Environment and Climate Change Canada",
    ),
    Provider(
        identifier="ghcnd",
        name="NOAA GHCN-Daily",
        grade=Grade.OBSERVATION,
        licence="CC0 1.0 Universal",
        licence_url="https://creativecommons.org/publicdomain/zero/1.0/",
    ),
    Provider(
        identifier="gsa_daily",
        name="GeoSphere Austria Daily",
        grade=Grade.RECORD,
        licence=CC_BY,
        licence_url=CC_BY_URL,
        attribution="GeoSphere Austria",
    ),
)

# Those that read a minimum thermometer; all others in a daily file were made from hourly readings.
DAILY_OBSERVERS = {provider.identifier: provider for provider in _DAILY_TABLE}
PROVIDERS = {provider.identifier: provider for provider in _TABLE}
OBSERVERS = frozenset(
    provider.identifier
    for provider in _TABLE
    if provider.grade in (Grade.RECORD, Grade.OBSERVATION)
)
FORECASTS = frozenset(PROVIDERS) - OBSERVERS


def say_credits(identifiers: Iterable[str]) -> tuple[str, str]:
    """
    Licence and attribution, in words, of a record made from these sources.

    Meteostat is always credited; providers without a licence of their own are named all the same.

    Examples
    --------
    >>> licence, attribution = say_credits(["isd_lite"])
    >>> attribution
    'Meteostat (https://meteostat.net); NOAA ISD Lite'
    >>> licence
    'CC BY 4.0 (Meteostat); CC0 1.0 Universal (NOAA ISD Lite)'
    """
    known = PROVIDERS | DAILY_OBSERVERS
    present = [known[name] for name in sorted(set(identifiers)) if name in known]
    licences = [f"{CC_BY} (Meteostat)"]
    licences += [
        f"{provider.licence or 'no licence named'} ({provider.name})" for provider in present
    ]
    names = ["Meteostat (https://meteostat.net)"]
    for provider in present:
        name = provider.name
        if provider.attribution and provider.attribution != name:
            name = f"{provider.attribution} ({name})"
        names.append(name)
    return "; ".join(licences), "; ".join(names)
