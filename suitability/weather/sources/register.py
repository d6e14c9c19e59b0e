"""
What the meteostat package knows of its service: addresses, providers, quantities.

It is asked when something is fetched and at no other time, since loading it takes longer than a
whole check; what must be known later is stored with the years.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suitability.errors import SourceError
from suitability.weather.record import FloatArray
from suitability.weather.sources.providers import Provider

UNITS = {"temp": "°C", "tmin": "°C", "rhum": "%", "prcp": "mm"}  # as this program reads them
RANGE_C = (-90.0, 60.0)  # the records of the WMO archive are -89.2 and 56.7


@cache
def load_package() -> Any:
    """The meteostat package; what it logs of malformed settings stays unsaid, since we say it."""
    import logging  # noqa: PLC0415  (not on the everyday path)

    logging.getLogger("meteostat").addHandler(logging.NullHandler())
    import meteostat  # noqa: PLC0415  (it loads pandas)

    return meteostat


@cache
def read_register(*, daily: bool = False) -> Mapping[str, Provider]:
    """Every provider of hourly values, or of daily ones, by its identifier in the files."""
    package = load_package()
    granularity = package.Granularity.DAILY if daily else package.Granularity.HOURLY
    observation = package.enumerations.Grade.OBSERVATION
    found = {}
    for spec in package.core.providers.provider_service.providers:
        if spec.granularity is granularity and spec.grade is not None:
            found[str(spec.id)] = Provider(
                identifier=str(spec.id),
                name=spec.name,
                observes=spec.grade >= observation,
                licence=(spec.license and spec.license.name) or "",
                attribution=(spec.license and spec.license.attribution) or "",
            )
    return found


def flag_possible(values: FloatArray, name: str, *, daily: bool = False) -> NDArray[np.bool_]:
    """
    Whether each value of a quantity is one that it can have, (value); nan is not.

    The package tells, and for temperatures the records of the world, which are narrower.

    Raises
    ------
    SourceError
        The package has the quantity in another unit than this program.
    """
    import pandas as pd  # noqa: PLC0415  (loaded by the package)

    package = load_package()
    granularity = package.Granularity.DAILY if daily else package.Granularity.HOURLY
    known = package.core.parameters.parameter_service.get_parameter(name, granularity)
    unit = None if known is None else known.unit
    if unit != UNITS[name]:
        raise SourceError(
            f"meteostat {package.__version__} has {name} in {unit}, where this program reads "
            f"{UNITS[name]}: install another release of the one or the other"
        )
    frame = pd.DataFrame({name: values})
    cleaned = package.core.schema.schema_service.clean(frame, granularity)[name]
    if unit == "°C":
        cleaned = cleaned.where(cleaned.between(*RANGE_C))
    good: NDArray[np.bool_] = cleaned.notna().to_numpy()
    return good
