"""
Watts and kilowatt-hours to hold a minimum, and what a power cut does.

Steady loss: Q = (sum of U A + 0.335 n V) (inside - outside), n air changes an hour of a volume V.
0.335 W h/(m³ K) is the heat of a cubic metre of air: 1.2 kg/m³ x 1005 J/(kg K) / 3600. Sun and the
heat of the ground are left out, so that nights are reckoned right and days a little high.
"""

from typing import Annotated

import numpy as np
from msgspec import Meta, Struct
from numpy.typing import NDArray

from suitability.quantities import Result, WattsPerKelvin

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

AIR_HEAT_W_H_M3K = 1.2 * 1005.0 / 3600.0
AIR_CHANGES = (1.0, 2.0)  # an hour, usual and high, where nobody says; from memory


class Covering(Struct, frozen=True, kw_only=True):
    """A covering with its U-value, W/(m² K): usual and range; and where it comes from."""

    name: str
    usual: float
    low: float
    high: float
    source: str


_SANFORD = "eXtension, Glazing materials (Sanford)"
_TRADE = "greenhouse trade note, Consider the R-value, 2012"
COVERINGS = {
    "single": Covering(name="single glazing", usual=6.2, low=5.7, high=6.8, source=_SANFORD),
    "double": Covering(
        name="double glazing or film", usual=3.7, low=3.4, high=4.0, source=_SANFORD
    ),
    "twin-wall": Covering(
        name="twin-wall polycarbonate, 6 to 8 mm", usual=3.6, low=3.4, high=3.7, source=_TRADE
    ),
}


class Enclosure(Struct, frozen=True, kw_only=True):
    """
    What holds the warmth: area (m²) and U-value (W/(m² K)) of its cover, volume and air changes.

    Attributes
    ----------
    area_m2, u_w_m2k
    volume_m3, air_changes_per_hour
        What leaks: 0.5 to 1 an hour for a tight house, 1.5 to 2 for an old one (from memory).
    """

    area_m2: float
    u_w_m2k: float
    volume_m3: float = 0.0
    air_changes_per_hour: float = 0.0

    @property
    def loss_w_per_k(self) -> float:
        """
        Watts lost for each degree between inside and outside.

        Examples
        --------
        >>> house = Enclosure(area_m2=20, u_w_m2k=6.0, volume_m3=10, air_changes_per_hour=1.5)
        >>> round(15 * house.loss_w_per_k)
        1875
        """
        leaking = AIR_HEAT_W_H_M3K * self.air_changes_per_hour * self.volume_m3
        return self.area_m2 * self.u_w_m2k + leaking


class Loss(Result, frozen=True, kw_only=True):
    """What an enclosure loses, the air that leaks always with it; usual, and on the safe side."""

    w_per_k: Annotated[WattsPerKelvin, Meta(description="With the usual numbers.")]
    high_w_per_k: Annotated[
        WattsPerKelvin, Meta(description="With the high end of U and of the air changes.")
    ]
    volume_m3: Annotated[
        float | None,
        Meta(
            description="Air that leaks; null where the loss was said as a whole.",
            extra_json_schema={"unit": "m³"},
            extra={"decimals": 3},
        ),
    ] = None
    air_changes_high: Annotated[
        float | None, Meta(description="Of that air, an hour, on the safe side; null likewise.")
    ] = None
    volume_assumed: Annotated[bool, Meta(description="Nobody said the volume.")] = False
    air_changes_assumed: Annotated[bool, Meta(description="Nobody said the air changes.")] = False

    @classmethod
    def whole(cls, w_per_k: float) -> "Loss":
        """A loss that was said as a whole; it is taken to hold the air that leaks."""
        return cls(w_per_k=w_per_k, high_w_per_k=w_per_k)

    @classmethod
    def of(
        cls,
        area_m2: float,
        u_w_m2k: float,
        high_u_w_m2k: float,
        *,
        volume_m3: float | None = None,
        air_changes: float | None = None,
    ) -> "Loss":
        """
        The loss of an enclosure of which perhaps not all is said.

        Parameters
        ----------
        area_m2, u_w_m2k, high_u_w_m2k
            Of the cover.
        volume_m3
            None: the most that so much cover can hold.
        air_changes
            An hour; None: 1, and 2 on the safe side.
        """
        volume = largest_volume_m3(area_m2) if volume_m3 is None else volume_m3
        usual, high = AIR_CHANGES if air_changes is None else (air_changes, air_changes)
        losses = [
            Enclosure(
                area_m2=area_m2, u_w_m2k=u, volume_m3=volume, air_changes_per_hour=changes
            ).loss_w_per_k
            for u, changes in ((u_w_m2k, usual), (high_u_w_m2k, high))
        ]
        return cls(
            w_per_k=losses[0],
            high_w_per_k=losses[1],
            volume_m3=volume,
            air_changes_high=high,
            volume_assumed=volume_m3 is None,
            air_changes_assumed=air_changes is None,
        )


def largest_volume_m3(area_m2: float) -> float:
    """
    Most that a box on the ground with so much cover can hold: a square one half as high as wide.

    Examples
    --------
    >>> largest_volume_m3(12.0)
    4.0
    """
    return float((area_m2 / 3.0) ** 1.5 / 2.0)


def heat_demand_w(
    unheated_c: FloatArray, held_c: float, loss_w_per_k: float, watts: float = np.inf
) -> FloatArray:
    """
    Watts that hold a minimum, hour by hour; never more than the heater has.

    Parameters
    ----------
    unheated_c : (hour), °C
        What it would be without the heater; nan where unknown, and then the demand is too.
    held_c : °C
    loss_w_per_k : W/K
    watts : W
    """
    demand: FloatArray = np.minimum(np.maximum(held_c - unheated_c, 0.0) * loss_w_per_k, watts)
    return demand


def kwh_by_year(demand_w: FloatArray, year_of: IntArray, fewest_share: float = 0.9) -> FloatArray:
    """
    Kilowatt-hours of each year; nan for a year observed too little.

    Hours without a value are taken to need what the others of their year do on the mean.

    Parameters
    ----------
    demand_w : (hour), W
    year_of : (hour)
        Running number of each hour's year, from 0.
    fewest_share
        Of 8,766 hours a year must have.

    Returns
    -------
    (year), kWh
    """
    known = ~np.isnan(demand_w)
    years = int(year_of.max()) + 1
    number = np.bincount(year_of[known], minlength=years)
    total = np.bincount(year_of[known], weights=demand_w[known], minlength=years)
    hours = np.bincount(year_of, minlength=years)
    with np.errstate(invalid="ignore", divide="ignore"):
        kwh: FloatArray = total / number * hours / 1000.0
    kwh[number < fewest_share * 8766.0] = np.nan
    return kwh


def held_after_outage(
    unheated_c: FloatArray, held_c: float, hours: int, damping_hours: float
) -> FloatArray:
    """
    Lowest temperature of a power cut that begins at each hour, °C.

    The enclosure falls from what was held towards what it would be without heating, with its time
    constant; without one it is there at once.

    Parameters
    ----------
    unheated_c : (hour), °C
        Without the lag that `damping_hours` brings.
    held_c : °C
    hours : h
        Length of the cut.
    damping_hours : h

    Returns
    -------
    (hour), °C
        nan where an hour of the cut is unknown or lies beyond the end.
    """
    keep = np.exp(-1.0 / damping_hours) if damping_hours > 0.0 else 0.0
    inside = np.maximum(unheated_c, held_c)
    lowest = np.full(unheated_c.size, np.inf)
    lowest[np.isnan(unheated_c)] = np.nan
    for step in range(1, hours + 1):
        ahead = np.full(unheated_c.size, np.nan)
        ahead[:-step] = unheated_c[step:]
        inside = keep * inside + (1.0 - keep) * ahead
        lowest = np.minimum(lowest, inside)
    return lowest
