"""
The nights of one plant that is moved between spots: each night at the spot where it stood.

A move counts from the evening of its day on. What was endured at one spot is carried to the next.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from suitability.advice.preparing import lay_out, records_at, thresholds_of
from suitability.climate.cold import trailing_sum
from suitability.climate.days import hours_by_night, local_hour, position_of
from suitability.climate.exposure import EPSILON_C
from suitability.climate.states import SpotNights, lacking_warmth, lay_out_nights, wet_hours
from suitability.spots.spot import End

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.plant_state import Subject
    from suitability.advice.question import Question
    from suitability.climate.states import BoolArray, FloatArray
    from suitability.groups.group import Needs
    from suitability.places import Place
    from suitability.spots.diary import Lot
    from suitability.spots.spot import Spot
    from suitability.weather.record import Record

EPOCH = date(1970, 1, 1)
Where = tuple[str | None, ...]  # name of the spot, by night; None: nobody knows
MORE_C = 4.0  # K above a chill base up to which it is told how much warmer a night had to be


class Stays(Struct, frozen=True, kw_only=True):
    """
    The same nights at every spot of a place.

    Attributes
    ----------
    first_day : d
        Days from 1970-01-01 to the evening of the first night.
    spots
        By name.
    temp_c, wet : (night, 24)
        At each spot, noon to noon: °C, and whether its pots were wet.
    prcp_mm : (night, 24), mm, or None
    """

    first_day: int
    spots: dict[str, Spot]
    temp_c: dict[str, FloatArray]
    wet: dict[str, FloatArray]
    prcp_mm: FloatArray | None

    @classmethod
    def of(
        cls,
        record: Record,
        place: Place,
        spots: Sequence[Spot],
        first: date,
        *,
        weather: Record | None = None,
    ) -> Stays:
        """
        The nights of a record from an evening on, or from its first.

        Parameters
        ----------
        record
            Its whole length warms up what is damped.
        weather
            Of the same hours, which tells the nights that are clear; None: the record.
        """
        start = local_hour(record.start_hour, place.utc_offset_hours)
        begins = (start - 12) // 24
        skipped = max(0, (first - EPOCH).days - begins)
        ends = [(spot, End.USUAL) for spot in spots]
        at_spots = records_at(record, place, ends, weather=weather)

        def by_night(values: FloatArray) -> FloatArray:
            return hours_by_night(values, start)[1][skipped:]

        wet = {
            roofed: by_night(
                wet_hours(record.prcp_mm, record.temp_c.size, roofed=roofed).astype(np.float64)
            )
            for roofed in {spot.roofed for spot in spots}
        }
        return cls(
            first_day=begins + skipped,
            spots={spot.name: spot for spot in spots},
            temp_c={
                spot.name: by_night(at_spot.temp_c)
                for spot, at_spot in zip(spots, at_spots, strict=True)
            },
            wet={spot.name: wet[spot.roofed] for spot in spots},
            prcp_mm=None if record.prcp_mm is None else by_night(record.prcp_mm),
        )

    def from_night(self, night: int) -> Stays:
        """The same from one of its nights on."""

        def later(by_name: dict[str, FloatArray]) -> dict[str, FloatArray]:
            return {name: values[night:] for name, values in by_name.items()}

        return replace(
            self,
            first_day=self.first_day + night,
            temp_c=later(self.temp_c),
            wet=later(self.wet),
            prcp_mm=None if self.prcp_mm is None else self.prcp_mm[night:],
        )

    @property
    def nights(self) -> int:
        """How many there are."""
        return len(next(iter(self.temp_c.values())))

    def index_of(self, evening: date) -> int:
        """Where the night of an evening stands; negative before the first."""
        return (evening - EPOCH).days - self.first_day

    def evening(self, night: int) -> date:
        """The day whose evening begins a night."""
        return EPOCH + timedelta(days=self.first_day + night)

    def lay_out(
        self,
        where: Where,
        groups: Sequence[Needs],
        minimum_allowance_c: float,
        *,
        doses: bool = True,
    ) -> SpotNights:
        """
        The nights of one stay, laid out once for every group that will be asked about.

        Parameters
        ----------
        where : (night)
            Name of the spot; None: nobody knows, and the night is unknown.
        doses
            Whether doses will be asked for; quicker without.
        """
        temp_c = np.full((self.nights, 24), np.nan)
        wet = np.zeros_like(temp_c)
        named = np.array([name or "" for name in where])
        for name in filter(None, set(where)):
            here = named == name
            temp_c[here], wet[here] = self.temp_c[name][here], self.wet[name][here]
        return lay_out_nights(
            temp_c.reshape(-1),
            wet.reshape(-1) == 1.0,
            self.first_day * 24 + 12,
            minimum_allowance_c=minimum_allowance_c,
            highest_c=max(map(_highest_c, groups)),
            dose_limits_c_h=frozenset(needs.dose_limit_c_h for needs in groups if doses),
        )


def _highest_c(needs: Needs) -> float:
    """Up to which threshold a stay of a group is told, °C."""
    cool_c = needs.rest_cool_high_c
    return max(needs.floor_c, needs.chill_base_c + MORE_C, 0.0 if cool_c is None else cool_c + 0.1)


class Endured(Struct, frozen=True, kw_only=True):
    """
    What each night of a stay does to one plant.

    Attributes
    ----------
    temp_c : (night, 24), °C
        Noon to noon.
    dry_c, wet_c, dose_c, heat_c : (night), K
        How far it goes beyond the limit, dry and wet, beyond the dose and beyond the heat that the
        plant stands; below 0: how far not; -inf: never, and a dose that is farther off than is
        told.
    known_heat_c : (night), K
        The same if no missing hour had been hot.
    own_dose_c_h, dose_c_h : (night), °C·h
        What the night adds to the dose, and the dose of the 14 nights that end with it.
    wet, unknown : (night)
    """

    temp_c: FloatArray
    dry_c: FloatArray
    wet_c: FloatArray
    dose_c: FloatArray
    heat_c: FloatArray
    known_heat_c: FloatArray
    own_dose_c_h: FloatArray
    dose_c_h: FloatArray
    wet: BoolArray
    unknown: BoolArray

    @property
    def added_dose_c(self) -> FloatArray:
        """
        `dose_c` of nights that add to the dose, -inf of others, (night), K.

        A night that adds nothing asks for nothing, however much was suffered before.
        """
        added_c: FloatArray = np.where(self.own_dose_c_h > 0.0, self.dose_c, -np.inf)
        return added_c

    @property
    def cold_c(self) -> FloatArray:
        """How far each night goes beyond the cold that the plant stands, (night), K."""
        return np.maximum(np.maximum(self.dry_c, self.wet_c), self.dose_c)

    @property
    def lowest_c(self) -> FloatArray:
        """Lowest known hour of each night, noon to noon, (night), °C."""
        lowest_c: FloatArray = np.fmin.reduce(self.temp_c, axis=1)
        return lowest_c


def endure(nights: SpotNights, needs: Needs) -> Endured:
    """What the nights of a stay do to one plant of the groups that they were laid out for."""
    limits, night = thresholds_of(needs), position_of(nights.axis)
    lack = lacking_warmth(nights, limits)
    dose_c = lack.dose_c[night]
    # Whoever else was asked about, a dose is told equally far.
    dose_c[dose_c < needs.chill_base_c - _highest_c(needs)] = -np.inf
    own_dose_c_h = nights.dose.degree_hours_below(needs.chill_base_c)
    heat_c = known_heat_c = np.full(night.size, -np.inf)
    if limits.ceiling_c is not None:
        heat_c, known_heat_c = (
            run_c[night] - limits.ceiling_c - EPSILON_C
            for run_c in (nights.hot_run_c, nights.known_hot_run_c)
        )
    return Endured(
        temp_c=nights.temp_c,
        dry_c=lack.dry_c[night],
        wet_c=lack.wet_c[night],
        dose_c=dose_c,
        heat_c=heat_c,
        known_heat_c=known_heat_c,
        own_dose_c_h=own_dose_c_h,
        dose_c_h=trailing_sum(own_dose_c_h),
        wet=np.isfinite(nights.wet_minimum_c[night]),
        unknown=nights.unknown[night],
    )


def worst_of(lots: Sequence[Endured]) -> Endured:
    """Each night as it was for those pots of a plant that it harmed most."""
    worst = {
        name: (np.fmin if name == "temp_c" else np.fmax).reduce(
            [getattr(lot, name) for lot in lots]
        )
        for name in Endured.__struct_fields__
    }
    return Endured(**worst)


def spots_by_night(lot: Lot, stays: Stays) -> Where:
    """Where pots stood, or are to stand, on each night."""
    where = [lot.stays[0][1]] * stays.nights
    for day, spot in lot.stays[1:]:
        night = max(0, stays.index_of(day))
        where[night:] = [spot] * (stays.nights - night)
    return tuple(where)


def needs_in_state(question: Question, subject: Subject) -> Needs:
    """What a group or plant needs in its state, damage that its file notes included."""
    own = question.subjects.collection
    if not subject.damage or own is None:
        return subject.needs()[0]
    from suitability.advice.profiling import needs_at, profile_needs  # noqa: PLC0415  (slow)

    stood = next((plant.spot for plant in subject.plants if plant.spot), None)
    spot = question.spots[0] if stood is None else own.find_spot(stood)
    also = profile_needs([subject])
    laid = lay_out(question.record, question.place, [spot], (), question.options, also=also)
    return needs_at(subject, laid.at(spot).judged)
