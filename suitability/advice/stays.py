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

from suitability.advice.preparing import lay_out, records_at
from suitability.climate.days import hours_by_night, local_hour
from suitability.climate.states import SpotNights, lay_out_nights, wet_hours
from suitability.spots.spot import End

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.plant_state import Subject
    from suitability.advice.question import Question
    from suitability.climate.states import FloatArray
    from suitability.groups.group import Needs
    from suitability.places import Place
    from suitability.spots.diary import Diary
    from suitability.spots.plants import Plant
    from suitability.spots.spot import Spot
    from suitability.weather.record import Record

__all__ = ["Stays", "needs_in_state", "spots_by_night"]

EPOCH = date(1970, 1, 1)
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
        where: Sequence[str | None],
        needs: Needs,
        minimum_allowance_c: float,
        *,
        doses: bool = True,
    ) -> SpotNights:
        """
        The nights of one plant.

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
        cool_c = needs.rest_cool_high_c
        return lay_out_nights(
            temp_c.reshape(-1),
            wet.reshape(-1) == 1.0,
            self.first_day * 24 + 12,
            minimum_allowance_c=minimum_allowance_c,
            highest_c=max(
                needs.floor_c, needs.chill_base_c + MORE_C, 0.0 if cool_c is None else cool_c + 0.1
            ),
            dose_limits_c_h=frozenset((needs.dose_limit_c_h,) if doses else ()),
        )


def spots_by_night(plant: Plant, diary: Diary, stays: Stays) -> list[str | None]:
    """Where a plant stood, or is to stand, on each night."""
    where = [plant.spot] * stays.nights
    for entry in diary.of(plant.name):
        if entry.spot is not None:
            night = max(0, stays.index_of(entry.day))
            where[night:] = [entry.spot] * (stays.nights - night)
    return where


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
