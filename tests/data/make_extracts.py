"""
Makes the extracts of real records in this folder from the CSV files they were taken from.

Usage: `python tests/data/make_extracts.py SOURCE_FOLDER [TARGET_FOLDER]`. The source folder holds
the files named in `EXTRACTS`: CSV, gzip-compressed, with the columns `time` (UTC), `temp` (°C) and
where named `prcp` (mm). Only these columns are taken over, and of Falsterbo only the last 30 years;
no value is changed, filled or left out. `README.md` beside this script tells where each of them
comes from.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from msgspec.structs import replace

from suitability.weather.record import Station, clip_record, hour_of_datetime
from suitability.weather.sources.files import read_file_record
from suitability.weather.stored import encode_record

USA = (
    "NOAA/NCEI Local Climatological Data, airport routine reports",
    "public domain",
    "NOAA National Centers for Environmental Information",
)
BRAZIL = (
    "INMET automatic station, yearly public files",
    "Brazilian federal open data",
    "Source: INMET",
)
CHINA = (
    "PM2.5 Data of Five Chinese Cities, UCI Machine Learning Repository",
    "CC BY 4.0",
    "Liang et al. 2016, UCI Machine Learning Repository",
)
SWEDEN = ("SMHI open data, parameter 1 (air temperature)", "CC BY 4.0", "Source: SMHI")


@dataclass(frozen=True, slots=True, kw_only=True)
class Extract:
    """One extract: its source file, and what its header says (`said`: source, licence, credit)."""

    name: str
    file: str
    said: tuple[str, str, str]
    station: tuple[str, str, float, float, float]  # identifier, name, latitude, longitude, height m
    rain: bool = False
    first_year: int | None = None


EXTRACTS = (
    Extract(
        name="los_angeles",
        file="us_los_angeles_intl_2013-2022.csv.gz",
        said=USA,
        station=("USW00023174", "Los Angeles International Airport", 33.938, -118.389, 30.0),
    ),
    Extract(
        name="dallas",
        file="us_dallas_fort_worth_2012-2021.csv.gz",
        said=USA,
        station=("USW00003927", "Dallas/Fort Worth International Airport", 32.898, -97.019, 171.0),
    ),
    Extract(
        name="lansing",
        file="us_lansing_2012-2021.csv.gz",
        said=USA,
        station=("USW00014836", "Lansing Capital City Airport", 42.78, -84.579, 256.0),
    ),
    Extract(
        name="denver",
        file="us_denver_intl_2012-2021.csv.gz",
        said=USA,
        station=("USW00003017", "Denver International Airport", 39.833, -104.658, 1650.0),
    ),
    Extract(
        name="reno",
        file="us_reno_2013-2022.csv.gz",
        said=USA,
        station=("USW00023185", "Reno-Tahoe International Airport", 39.484, -119.771, 1344.0),
    ),
    Extract(
        name="nashville",
        file="us_nashville_2003-2023.csv.gz",
        said=USA,
        station=("USW00013897", "Nashville International Airport", 36.119, -86.689, 183.0),
    ),
    Extract(
        name="st_louis",
        file="us_st_louis_2012-2023.csv.gz",
        said=USA,
        station=("USW00013994", "St. Louis Lambert International Airport", 38.753, -90.374, 162.0),
    ),
    Extract(
        name="porto_alegre",
        file="br_porto_alegre_2007-2024.csv.gz",
        said=BRAZIL,
        station=("A801", "Porto Alegre", -30.05, -51.17, 41.0),
        rain=True,
    ),
    Extract(
        name="manaus",
        file="br_manaus_2000-2020.csv.gz",
        said=BRAZIL,
        station=("A101", "Manaus", -3.103, -60.016, 61.0),
        rain=True,
    ),
    Extract(
        name="falsterbo",
        file="se_falsterbo_1973-2015_3hourly.csv.gz",
        said=SWEDEN,
        station=("52230", "Falsterbo", 55.3836, 12.8203, 5.0),
        first_year=1986,
    ),
    Extract(
        name="guangzhou",
        file="cn_guangzhou_2010-2015.csv.gz",
        said=CHINA,
        station=("", "Guangzhou (position of the city)", 23.13, 113.26, 20.0),
    ),
)


def make_extract(extract: Extract, source: Path) -> bytes:
    """The extract in the stored form, read by the reader that reads users' files."""
    identifier, name, latitude, longitude, elevation_m = extract.station
    record = read_file_record(source / extract.file, longitude=longitude)
    if extract.first_year is not None:
        start = hour_of_datetime(datetime(extract.first_year, 1, 1, tzinfo=UTC))
        record = clip_record(record, start, record.stop_hour)
    text, licence, attribution = extract.said
    return encode_record(
        replace(
            record,
            rhum_pct=None,
            prcp_mm=record.prcp_mm if extract.rain else None,
            source=text,
            licence=licence,
            attribution=attribution,
            station=Station(
                identifier=identifier,
                name=name,
                latitude=latitude,
                longitude=longitude,
                elevation_m=elevation_m,
            ),
            notes=(),
        )
    )


def main() -> None:
    """Make all extracts."""
    source = Path(sys.argv[1])
    target = Path(sys.argv[2]) if len(sys.argv) > 2 else Path(__file__).parent
    for extract in EXTRACTS:
        (target / f"{extract.name}.hourly").write_bytes(make_extract(extract, source))


if __name__ == "__main__":
    main()
