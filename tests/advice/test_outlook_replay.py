"""Alarms replayed over real records, by forecasts whose error is invented and known."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.advice.coming_nights import look_ahead
from suitability.advice.outlook import Act
from suitability.advice.question import ask
from suitability.climate.days import hours_by_night, local_hour, night_minima
from suitability.climate.forecast_error import stated_deviation_c
from suitability.groups import read_catalogue
from suitability.weather.forecasts import Forecast
from suitability.weather.record import Origin, clip_record, fill_short_gaps

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from numpy.typing import NDArray

    from suitability.advice.question import Question
    from suitability.places import Place
    from suitability.weather.record import Record

pytestmark = pytest.mark.slow

ASKED_AT = 15  # o'clock, standard time
NIGHTS = 150
LIMITS_C = {"los_angeles": 8.0, "dallas": -1.0, "reno": -5.0}
OWN = """[[group]]
key = "mine"
name = "mine"
floor_c = 15
limit_c = {limit_c}
limit_wet_c = {limit_c}
chill_base_c = {limit_c}
dose_limit_c_h = 5000
"""  # no dose: hard nights alone ring


def forecast_of(question: Question, now: int, errors_c: NDArray[np.float64]) -> Forecast:
    """What was to come, each night of 24 hours from noon on off by its error."""
    ahead = fill_short_gaps(clip_record(question.record, now, now + 24 * errors_c.size))
    night = np.clip((np.arange(ahead.temp_c.size) + ASKED_AT - 12) // 24, 0, errors_c.size - 1)
    hours = replace(
        ahead,
        temp_c=ahead.temp_c + errors_c[night],
        origin=np.full(ahead.temp_c.size, Origin.FORECAST, np.uint8),
    )
    return Forecast(issued=now, hours=hours)


def evenings_of(question: Question, limit_c: float, *, hard: bool) -> NDArray[np.int64]:
    """Evenings of whole nights within two degrees of the limit, below it or not, after a year."""
    filled = fill_short_gaps(question.record)
    start = local_hour(filled.start_hour, question.place.utc_offset_hours)
    first, nights = hours_by_night(filled.temp_c, start)
    minima = night_minima(nights)
    true_c = minima - question.options.minimum_allowance_c
    near = np.abs(true_c - limit_c) < 2.0
    chosen = np.flatnonzero(near & ((true_c < limit_c) == hard))
    whole = ~np.isnan(minima)
    chosen = chosen[(chosen > 420) & (chosen < minima.size - 4)]
    chosen = np.array([at for at in chosen.tolist() if whole[at - 15 : at + 3].all()], np.int64)
    picked = np.random.default_rng(5).permutation(chosen)[:NIGHTS]
    return first + picked


def rung(
    question: Question, evenings: NDArray[np.int64], errors: NDArray[np.float64], taught: int = 0
) -> float:
    """Share of the evenings that rang, with so many earlier forecasts to learn from."""
    rings = 0
    for evening, own in zip(evenings.tolist(), errors, strict=True):
        now = int(evening * 24 + ASKED_AT - question.place.utc_offset_hours)
        past = [
            forecast_of(question, now - 24 * day, error)
            for day, error in enumerate(errors[:taught], 1)
        ]
        found = look_ahead(question, now, forecast=forecast_of(question, now, own), past=past)
        (one,) = found.plants
        assert not found.doubts
        rings += one.act is Act.MOVE
    return rings / evenings.size


def asked(
    opened: Callable[[str], tuple[Record, Place]], name: str, folder: Path
) -> tuple[Question, float]:
    record, place = opened(name)
    path, limit_c = folder / "own.toml", LIMITS_C[name]
    path.write_text(OWN.format(limit_c=limit_c), "utf-8")
    return ask(record, place, "mine", roof=True, catalogue=read_catalogue(path)), limit_c


@pytest.mark.parametrize("name", LIMITS_C)
def test_hard_nights_ring_as_often_as_is_stated(
    extract: Callable[[str], tuple[Record, Place]], tmp_path: Path, name: str
) -> None:
    """At least nine in ten, within two standard errors, by errors as large as is stated."""
    question, limit_c = asked(extract, name, tmp_path)
    evenings = evenings_of(question, limit_c, hard=True)
    assert evenings.size > 40
    deviations = np.array([stated_deviation_c(1), stated_deviation_c(2)])
    errors = np.random.default_rng(8).normal(0.0, deviations, (evenings.size, 2))
    assert rung(question, evenings, errors) >= 0.9 - 2.0 * np.sqrt(0.09 / evenings.size)


def test_a_learned_error_keeps_the_rate_and_rings_less_in_vain(
    extract: Callable[[str], tuple[Record, Place]], tmp_path: Path
) -> None:
    """A forecast that errs by half a degree: 50 nights teach it, and fewer mild ones ring."""
    question, limit_c = asked(extract, "los_angeles", tmp_path)
    shares = {}
    for hard in (True, False):
        evenings = evenings_of(question, limit_c, hard=hard)
        errors = np.random.default_rng(9).normal(0.0, 0.5, (evenings.size, 2))
        shares[hard] = [rung(question, evenings, errors, taught) for taught in (50, 0)]
        least = 0.9 - 2.0 * np.sqrt(0.09 / evenings.size)
    assert min(shares[True]) >= least
    assert shares[False][0] < 0.7 * shares[False][1]
