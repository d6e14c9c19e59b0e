"""
The coming nights of each plant, by a forecast with its own error, after the nights just endured.

Forecast hours stand behind the observed ones in memory alone. A night is held twice against what a
plant stands: as forecast, and lowered by the allowance for the forecast's error. Hours that were
not observed in the last 14 days are taken to have been as cold as the coldest that were; what is
only then too much cannot be told.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from functools import cache

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.advice.moves import tonight_of
from suitability.advice.outlook import (
    TOO_MUCH,
    Act,
    Alert,
    Allowance,
    Doubt,
    ForecastTold,
    NightAhead,
    Outlook,
    PlantOutlook,
    RestSoFar,
    State,
    Strain,
    UsualWeek,
)
from suitability.advice.plant_state import Subject
from suitability.advice.preparing import thresholds_of
from suitability.advice.question import Question
from suitability.advice.resting import flower_need_of
from suitability.advice.result import Credit
from suitability.advice.stays import EPOCH, Stays, needs_in_state, spots_by_night
from suitability.advice.terms import whose
from suitability.climate.cold import DOSE_NIGHTS, trailing_sum
from suitability.climate.days import (
    DAYS,
    NIGHT_HOURS,
    coldest_day,
    fold_axis,
    gather,
    hours_by_night,
    local_hour,
    night_minima,
    position_of,
    turn,
)
from suitability.climate.floor import mean_of_years
from suitability.climate.forecast_error import (
    FEWEST_NIGHTS,
    PUBLISHED_NIGHTS,
    learned_allowance_c,
    stated_allowance_c,
)
from suitability.climate.heat import hours_above
from suitability.climate.rest import dry_nights, judge_rest, lay_out_rest, period_of
from suitability.climate.rest_need import RestState
from suitability.climate.states import (
    HOT_HOURS,
    SEASONAL_AMPLITUDE_C,
    SpotNights,
    lacking_warmth,
)
from suitability.errors import CatalogueError
from suitability.groups.group import Needs
from suitability.places import Place
from suitability.spots.diary import Diary, as_on
from suitability.spots.plants import Plant
from suitability.spots.spot import Spot
from suitability.weather.forecasts import Forecast
from suitability.weather.record import (
    Origin,
    Record,
    clip_record,
    datetime_of_hour,
    fill_short_gaps,
)

__all__ = ["first_evening", "look_ahead"]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

NIGHT_ENDS = 9  # local hour up to which the night in progress is tonight
NIGHT_BEGINS = 18  # local hour from which a night must be known
MOST_NIGHTS = 10  # ahead
NEEDED_NIGHTS = 2  # tonight and tomorrow: without them nothing is judged
STALE_HOURS = 24  # age of a forecast beyond which it is said, and rings
MOST_BRIDGED = 24  # h since the last observed hour that a forecast may bridge
LEARNED_WITHIN_DAYS = 60  # of the day of the year: errors have seasons
CAP_DAYS, LEAST_CAP_C = 10, 1.0  # d either way whose spread caps an allowance, and its least, K
SEASON_DAYS = 400  # nights before tonight that are laid out, for the rest
USUAL_DAYS = 3  # either way of a day of past years
USUAL_NIGHTS = 7
COLD_SHARE = 0.1  # of nights: one in ten


# Time -------------------------------------------------------------------------------------------


def first_evening(hour: int, utc_offset_hours: float) -> int:
    """
    The evening of the night that is tonight at an hour, days from 1970-01-01.

    Up to nine in the morning that is the night in progress.

    Examples
    --------
    >>> [first_evening(24 * 10 + hour, 0.0) for hour in (8, 9, 23)]
    [9, 10, 10]
    """
    return (local_hour(hour, utc_offset_hours) - NIGHT_ENDS) // 24


class _Timeline(Struct, frozen=True, kw_only=True):
    """
    Observed hours, and forecast ones behind them.

    Attributes
    ----------
    record
    ahead : h
        First hour that is no longer observed.
    missing
        Hours of the last 14 days that are neither.
    told
        Whether enough of them is known to tell a dose.
    filled
        With these hours as cold as the coldest known; the same record where none is missing.
    holed
        Whether the forecast lacks an hour of tonight, however short the gap.
    """

    record: Record
    ahead: int
    missing: int
    told: bool
    filled: Record
    holed: bool


def _timeline(question: Question, forecast: Forecast | None, now: int, tonight: int) -> _Timeline:
    """The hours up to now and ahead."""
    record, offset = question.record, question.place.utc_offset_hours
    past = clip_record(record, record.start_hour, now + 1)
    known = np.flatnonzero(~np.isnan(past.temp_c))
    ahead = past.start_hour + (int(known[-1]) + 1 if known.size else 0)
    noon = tonight * 24 + 12 - int(np.floor(offset))  # UTC, as nights are cut
    whole = fill_short_gaps(_extend(past, forecast, ahead, max(now + 1, noon + 24)))
    window = slice(
        max(0, noon - 24 * DOSE_NIGHTS - whole.start_hour), max(0, now + 1 - whole.start_hour)
    )
    hours = whole.temp_c[window]
    gaps = np.isnan(hours)
    late = now + 1 - ahead > MOST_BRIDGED
    told = not late and hours.size >= 24 * DOSE_NIGHTS // 2 and gaps.sum() < hours.size / 2
    filled = whole
    if told and gaps.any():
        temp_c = whole.temp_c.copy()
        temp_c[window][gaps] = np.nanmin(hours)
        filled = replace(whole, temp_c=temp_c)
    return _Timeline(
        record=whole,
        ahead=ahead,
        missing=int(gaps.sum()),
        told=bool(told),
        filled=filled,
        holed=forecast is not None and _is_holed(forecast.hours, ahead, noon),
    )


def _is_holed(hours: Record, ahead: int, noon: int) -> bool:
    """Whether a forecast lacks an hour, behind the observed ones, of the night after a noon."""
    gap = hours.start_hour + np.flatnonzero(np.isnan(hours.temp_c))
    begins, ends = noon + NIGHT_HOURS.start, noon + NIGHT_HOURS.stop
    return bool(((gap >= max(ahead, begins)) & (gap < ends)).any())


def _extend(past: Record, forecast: Forecast | None, ahead: int, stop: int) -> Record:
    """The record up to the end of the forecast, whose hours stand where none is observed."""
    hours = None if forecast is None else forecast.hours
    stop = stop if hours is None else max(stop, hours.stop_hour)
    size, start = stop - past.start_hour, past.start_hour

    def column(seen: FloatArray | None, told: FloatArray | None) -> FloatArray | None:
        if seen is None:
            return None
        values = np.full(size, np.nan)
        values[: seen.size] = seen
        if hours is not None and told is not None:
            first = max(ahead, hours.start_hour)
            part = told[first - hours.start_hour :]
            values[first - start : first - start + part.size] = part
        return values

    told_mm = None if hours is None else hours.prcp_mm
    seen_mm = past.prcp_mm
    if seen_mm is None and told_mm is not None:  # what fell before is not known
        seen_mm = np.full(past.temp_c.size, np.nan)
    temp_c = column(past.temp_c, None if hours is None else hours.temp_c)
    assert temp_c is not None
    origin = np.full(size, Origin.MISSING, np.uint8)
    origin[: past.origin.size] = past.origin
    origin[ahead - start :] = np.where(
        np.isnan(temp_c[ahead - start :]), Origin.MISSING, Origin.FORECAST
    )
    return replace(
        past,
        temp_c=temp_c,
        origin=origin,
        rhum_pct=None,
        prcp_mm=column(seen_mm, told_mm),
        lowest_c=None,
    )


# The forecast's own error -----------------------------------------------------------------------


def _allowances(
    question: Question, past: Sequence[Forecast], now: int, tonight: int, ahead: range
) -> tuple[Allowance, ...]:
    """What each coming night is lowered by; `ahead`: which of the forecast's own it is."""
    place, record = question.place, question.record
    seen = fill_short_gaps(clip_record(record, record.start_hour, now + 1))
    start = local_hour(seen.start_hour, place.utc_offset_hours)
    first_day, nights = hours_by_night(seen.temp_c, start)
    minima = night_minima(nights)
    errors = _past_errors(past, first_day, minima, place)
    cap_c = _usual_spread(minima, first_day, tonight)
    return tuple(_allowance(night, errors, tonight, cap_c) for night in ahead)


def _past_errors(
    past: Sequence[Forecast], first_day: int, minima: FloatArray, place: Place
) -> dict[tuple[int, int], float]:
    """Forecast less observed minimum by night ahead and evening, K."""
    errors: dict[tuple[int, int], float] = {}
    for forecast in past:
        hours, issued = fill_short_gaps(forecast.hours), forecast.issued
        local = local_hour(hours.start_hour, place.utc_offset_hours)
        first, nights = hours_by_night(hours.temp_c, local)
        told = night_minima(nights)
        began = local_hour(issued, place.utc_offset_hours)
        for at in np.flatnonzero(~np.isnan(told)).tolist():
            evening, row = first + at, first + at - first_day
            if evening * 24 + NIGHT_BEGINS < began or not 0 <= row < minima.size:
                continue
            night = evening - first_evening(issued, place.utc_offset_hours) + 1
            errors[night, evening] = float(told[at] - minima[row])
    return errors


def _allowance(
    night: int, errors: dict[tuple[int, int], float], tonight: int, cap_c: float
) -> Allowance:
    """Of one night: learned where enough of its season is known, else stated, at most the cap."""
    own = [
        error
        for (ahead, evening), error in errors.items()
        if ahead == night and _days_apart(evening, tonight) <= LEARNED_WITHIN_DAYS
    ]
    own = [error for error in own if not np.isnan(error)]
    learned = learned_allowance_c(np.array(own))
    if learned is not None:
        return Allowance(night=night, allowance_c=learned, basis="learned", nights=len(own))
    stated = stated_allowance_c(night)
    basis = "published" if night <= PUBLISHED_NIGHTS else "reasoned"
    if stated > cap_c:
        stated, basis = cap_c, "spread"
    return Allowance(night=night, allowance_c=stated, basis=basis, nights=len(own))


def _days_apart(evening: int, other: int) -> float:
    """How far two evenings stand apart in the year, whatever their years."""
    apart = abs(evening - other) % 365.2425
    return min(apart, 365.2425 - apart)


def _usual_spread(minima: FloatArray, first_day: int, tonight: int) -> float:
    """From the median to the coldest tenth of nights around this day of past years, K."""
    evenings = first_day + np.arange(minima.size)
    apart = np.abs(evenings - tonight) % 365.2425
    near = minima[np.minimum(apart, 365.2425 - apart) <= CAP_DAYS]
    near = near[~np.isnan(near)]
    if near.size < FEWEST_NIGHTS:
        return np.inf
    middle, cold = np.quantile(near, (0.5, COLD_SHARE), method="median_unbiased")
    return max(LEAST_CAP_C, float(middle - cold))


# Nights of one plant ----------------------------------------------------------------------------


class _Look(Struct, frozen=True, kw_only=True):
    """What each night does to one plant, all (night) or (strain, night)."""

    beyond_c: FloatArray
    lowest_c: FloatArray
    wet: BoolArray
    dose_c_h: FloatArray
    unknown: BoolArray
    nights: SpotNights


_Where = tuple[str | None, ...]
STRAINS = (Strain.COLD, Strain.WET_COLD, Strain.DOSE, Strain.HEAT)


def _look(stays: Stays, where: _Where, needs: Needs, allowance_c: float) -> _Look:
    """Every night of a plant under one scenario."""
    laid = stays.lay_out(where, needs, allowance_c)
    lack, night = lacking_warmth(laid, thresholds_of(needs)), position_of(laid.axis)
    room = lack.heat_room_c
    heat = np.full(night.size, -np.inf) if room is None else -room[night]
    wet = np.isfinite(laid.wet_minimum_c[night])
    own_dose = laid.dose.degree_hours_below(needs.chill_base_c)
    # A night that adds nothing to a dose asks for nothing, however much was suffered before.
    dose = np.where(own_dose > 0.0, lack.dose_c[night], -np.inf)
    return _Look(
        beyond_c=np.stack([lack.dry_c[night], lack.wet_c[night], dose, heat]),
        lowest_c=night_minima(laid.temp_c),
        wet=wet,
        dose_c_h=trailing_sum(own_dose),
        unknown=laid.unknown[night],
        nights=laid,
    )


class _Scenarios:
    """
    The same nights as forecast, lowered and raised by the allowance, and with gaps left open.

    Each is laid out when it is first asked for.
    """

    def __init__(
        self,
        question: Question,
        timeline: _Timeline,
        allowances: Sequence[Allowance],
        tonight: int,
    ) -> None:
        own = question.subjects.collection
        names = {spot.name: spot for spot in (*question.spots, *(own.spots if own else ()))}
        self.spots = tuple(names.values())
        self.timeline, self.tonight = timeline, tonight
        self.rains = question.record.prcp_mm is not None
        self._question = question
        self._shift_c = _shift_by_hour(timeline, allowances, tonight, question.place)
        self._stays = cache(self._make_stays)
        self.season = cache(self._make_season)
        self.look, self.season_nights = cache(self._make_look), cache(self._lay_season)
        self._allowance_c = question.options.minimum_allowance_c
        self.cuts = cache(self._find_cuts)

    def stays(self, sign: int = 0, *, filled: bool = True) -> Stays:
        """The last fifteen nights and those ahead: as forecast (0), colder (-1), warmer (1)."""
        return self._stays(sign, filled and self.timeline.missing > 0)

    def _make_stays(self, sign: int, filled: bool) -> Stays:  # noqa: FBT001  (a key of the cache)
        long = self.season() if (sign, filled) == (0, False) else self._lay(sign, filled=filled)
        return long.from_night(max(0, self.tonight - DOSE_NIGHTS - 1 - long.first_day))

    def _make_season(self) -> Stays:
        return self._lay(0, filled=False)

    def _lay(self, sign: int, *, filled: bool) -> Stays:
        record = weather = self.timeline.filled if filled else self.timeline.record
        if sign:  # an error of the forecast makes no night a clear one
            record = replace(record, temp_c=record.temp_c + sign * self._shift_c)
        first = EPOCH + timedelta(days=self.tonight - SEASON_DAYS)
        return Stays.of(record, self._question.place, self.spots, first, weather=weather)

    def _make_look(self, where: _Where, asked: _Key, sign: int, filled: bool) -> _Look:  # noqa: FBT001
        stays = self.stays(sign, filled=filled)
        look = _look(stays, where, asked.needs, self._allowance_c)
        if self.timeline.holed:  # a straight line through its coldest hours proves nothing
            look.unknown[self.tonight - stays.first_day] = True
            look.lowest_c[self.tonight - stays.first_day] = np.nan
        return look

    def _lay_season(self, where: _Where, asked: _Key) -> SpotNights:
        """All nights before tonight, where a plant stood."""
        return self.season().lay_out(where, asked.needs, self._allowance_c, doses=False)

    def _find_cuts(self) -> tuple[int, int]:
        """Mid-winter and mid-summer of the place, by all years of its record."""
        record, offset = self.timeline.record, self._question.place.utc_offset_hours
        first_day, nights = hours_by_night(record.temp_c, local_hour(record.start_hour, offset))
        by_night = gather(fold_axis(first_day, nights.shape[0]), nights.mean(axis=1))
        coldest, amplitude_c = coldest_day(mean_of_years(by_night))
        seasonal = amplitude_c >= SEASONAL_AMPLITUDE_C
        return (coldest, (coldest + DAYS // 2) % DAYS) if seasonal else (0, 0)


class _Key:
    """Needs, told apart by their numbers and not by the plants that have them."""

    def __init__(self, needs: Needs) -> None:
        self.needs = needs
        self._same = (thresholds_of(needs), needs.rest_cool_high_c)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Key) and self._same == other._same

    def __hash__(self) -> int:
        return hash(self._same)


def _shift_by_hour(
    timeline: _Timeline, allowances: Sequence[Allowance], tonight: int, place: Place
) -> FloatArray:
    """The allowance of the night of each forecast hour, 0 before, (hour), K."""
    record = timeline.record
    hour = record.start_hour + np.arange(record.temp_c.size)
    evening = (np.floor(hour + place.utc_offset_hours).astype(np.int64) - 12) // 24
    by_night = np.array([one.allowance_c for one in allowances])
    night = np.clip(evening - tonight, 0, by_night.size - 1)
    shift: FloatArray = np.where(hour >= timeline.ahead, by_night[night], 0.0)
    return shift


def _nights_ahead(
    scenarios: _Scenarios, where: _Where, needs: Needs, nights: int
) -> tuple[NightAhead, ...]:
    """The coming nights of one plant."""
    key, stays = _Key(needs), scenarios.stays()
    first = scenarios.tonight - stays.first_day
    usual, cold = (scenarios.look(where, key, sign, True) for sign in (0, -1))
    worst = cold.beyond_c
    if needs.heat_limited:
        worst = np.vstack([worst[:-1], scenarios.look(where, key, 1, True).beyond_c[-1:]])
    open_worst = None
    if scenarios.timeline.missing and scenarios.timeline.told:
        open_worst = scenarios.look(where, key, -1, False).beyond_c.max(axis=0)
    looks, told = (usual, cold), scenarios.timeline.told
    return tuple(
        _night_ahead(stays.evening(night), night, looks, (worst, open_worst), told=told)
        for night in range(first, first + nights)
    )


def _night_ahead(
    evening: date,
    at: int,
    looks: tuple[_Look, _Look],
    worst: tuple[FloatArray, FloatArray | None],
    *,
    told: bool,
) -> NightAhead:
    """One night; `told`: whether the nights before it are known well enough."""
    usual, cold = looks
    beyond, allowed = float(usual.beyond_c[:, at].max()), float(worst[0][:, at].max())
    unknown = bool(usual.unknown[at]) or not told
    if worst[1] is not None and allowed > 0.0 and not worst[1][at] > 0.0:
        state = State.UNKNOWN  # too much only if the missing hours were as cold as can be
    elif beyond > 0.0:
        state = State.EXPECTED
    elif allowed > 0.0:
        state = State.POSSIBLE
    else:
        state = State.UNKNOWN if unknown else State.FINE
    strain = STRAINS[int(np.argmax(worst[0][:, at]))] if np.isfinite(allowed) else None
    return NightAhead(
        evening=evening,
        lowest_c=float(usual.lowest_c[at]),
        lowest_allowed_c=float(cold.lowest_c[at]),
        wet=bool(usual.wet[at]),
        dose_c_h=float(usual.dose_c_h[at]) if told else None,
        beyond_c=beyond,
        beyond_allowed_c=allowed,
        state=state,
        strain=strain,
    )


# The answer -------------------------------------------------------------------------------------


def look_ahead(
    question: Question,
    now: int,
    *,
    forecast: Forecast | None,
    past: Sequence[Forecast] = (),
    diary: Diary | None = None,
) -> Outlook:
    """
    The coming nights of every plant, or group, that is asked about.

    Parameters
    ----------
    question
        Its record may go on beyond now; nothing after now is used.
    now : h
        Hours from 1970-01-01 00:00 UTC.
    forecast
        None: none is there.
    past
        Earlier forecasts of the same source for the same place, from which its error is learned.
    diary
        By which plants stand elsewhere than the collection's file says.

    Raises
    ------
    RecordError
        The record has no hour up to now.
    CatalogueError
        No plant stands at the spots that are asked about.
    """
    place, offset = question.place, question.place.utc_offset_hours
    tonight = first_evening(now, offset)
    timeline = _timeline(question, forecast, now, tonight)
    nights = _nights_told(forecast, place, tonight)
    since = 0 if forecast is None else tonight - first_evening(forecast.issued, offset)
    ahead = range(1 + since, 1 + since + max(nights, 1))
    allowances = _allowances(question, past, now, tonight, ahead)
    scenarios = _Scenarios(question, timeline, allowances, tonight)
    plants, loose = _judge_all(question, scenarios, diary, nights)
    left = _places_left(question, diary, EPOCH + timedelta(days=tonight))
    plants = tuple(_with_full(one, left) for one in plants)
    own = question.subjects.collection
    lost_moves = diary is not None and diary.lost_moves
    left_out = (*(own.left_out if own else ()), *(diary.left_out if diary else ()))
    doubts = (
        *_doubts(forecast, timeline, plants, now),
        *((Doubt.NOT_PLACED,) if loose else ()),
        *((Doubt.LEFT_OUT,) if own is not None and own.left_out else ()),
        *((Doubt.DIARY,) if lost_moves else ()),
    )
    moved = any(one.act is Act.MOVE for one in plants)
    return Outlook(
        place=place,
        credit=Credit.of(question.record),
        now=_iso(now),
        tonight=EPOCH + timedelta(days=tonight),
        alert=Alert.MOVE if moved else Alert.CANNOT_TELL if doubts else Alert.NOTHING,
        doubts=doubts,
        forecast=None if forecast is None else _tell(forecast, now),
        allowances=allowances if nights else (),
        observed_until=_iso(timeline.ahead - 1),
        missing_hours=timeline.missing,
        minimum_allowance_c=question.options.minimum_allowance_c,
        plants=plants,
        usual=() if nights else _usual_weeks(question, now, tonight),
        notes=(*question.subjects.understood, *loose, *left_out),
    )


def _iso(hour: int) -> str:
    return f"{datetime_of_hour(hour):%Y-%m-%dT%H:%MZ}"


def _nights_told(forecast: Forecast | None, place: Place, tonight: int) -> int:
    """Nights from tonight on that a forecast reaches into; 0 without one, or with an old one."""
    if forecast is None:
        return 0
    last = (local_hour(forecast.hours.stop_hour - 1, place.utc_offset_hours) - 12) // 24
    return max(0, min(MOST_NIGHTS, last - tonight + 1))


def _tell(forecast: Forecast, now: int) -> ForecastTold:
    hours = forecast.hours
    return ForecastTold(
        credit=Credit.of(hours),
        issued=_iso(forecast.issued),
        begins=_iso(hours.start_hour),
        until=_iso(hours.stop_hour - 1),
        age_hours=max(0, now - forecast.issued),
        rain=hours.prcp_mm is not None and bool(np.isfinite(hours.prcp_mm).any()),
    )


def _doubts(
    forecast: Forecast | None,
    timeline: _Timeline,
    plants: Sequence[PlantOutlook],
    now: int,
) -> Iterator[Doubt]:
    """Why not every plant that is asked about could be judged."""
    if forecast is None:
        yield Doubt.NO_FORECAST
    elif now - forecast.issued > STALE_HOURS:
        yield Doubt.STALE
    if not timeline.told or any(
        night.state is State.UNKNOWN and night.lowest_c is not None
        for one in plants
        for night in one.nights[:NEEDED_NIGHTS]
    ):
        yield Doubt.OBSERVED
    if forecast is not None and any(
        len(one.nights) < NEEDED_NIGHTS
        or any(night.lowest_c is None for night in one.nights[:NEEDED_NIGHTS])
        for one in plants
    ):
        yield Doubt.PARTIAL


class _Asked(Struct, frozen=True, kw_only=True):
    """Plants, or a group, that stand alike: what they need, and where on each night."""

    needs: Needs
    season: _Where
    spot: str

    def where(self, stays: Stays) -> _Where:
        """Where on each of fewer nights, which end with the same."""
        return self.season[-stays.nights :]


def _judge_all(
    question: Question, scenarios: _Scenarios, diary: Diary | None, nights: int
) -> tuple[tuple[PlantOutlook, ...], tuple[str, ...]]:
    """Everything asked about, what is to be done first; and a sentence on plants without a spot."""
    asked, loose = _all_asked(question, scenarios, diary)
    if not (asked or loose):
        named = ", ".join(f'"{spot.name}"' for spot in question.spots)
        raise CatalogueError(f"no plant of the collection stands at {named} tonight.")
    usual = (
        _past_minima(question, scenarios.timeline.ahead - 1, scenarios.tonight)
        if not nights
        else None
    )
    plants = [_judge(scenarios, one, nights, usual) for one in asked]
    plants.sort(key=_urgency)
    told = (f"Not placed, so not judged: {'; '.join(loose)}.",) if loose else ()
    return tuple(plants), told


def _urgency(one: PlantOutlook) -> tuple[int, float, int]:
    """What must be moved first, then what comes nearest to it; many pots before few."""
    order = (Act.MOVE, Act.CANNOT_TELL, Act.WATCH, Act.NOTHING)
    worst = max((night.beyond_allowed_c or -np.inf for night in one.nights), default=-np.inf)
    if one.act is Act.MOVE:
        worst = one.nights[0].beyond_allowed_c or 0.0
    return (order.index(one.act), -round(worst) if np.isfinite(worst) else 99, -sum(one.numbers))


def _all_asked(
    question: Question, scenarios: _Scenarios, diary: Diary | None
) -> tuple[list[_Asked], list[str]]:
    """Groups at every spot, plants where they stand tonight; and plants that stand nowhere."""
    stays, shown = scenarios.season(), {spot.name for spot in question.spots}
    first = scenarios.tonight - stays.first_day
    asked: list[_Asked] = []
    loose: list[str] = []
    for subject in question.subjects.asked:
        needs = needs_in_state(question, subject)
        if not subject.plants:
            asked += [
                _Asked(needs=needs, season=(spot.name,) * stays.nights, spot=spot.name)
                for spot in question.spots
            ]
        for where, plants in _stand_alike(subject, diary, stays).items():
            spot = where[first]
            if spot is None:
                loose += [plant.name for plant in plants]
            elif spot in shown:
                names = tuple(plant.name for plant in plants)
                numbers = tuple(plant.number for plant in plants)
                own = replace(needs, plants=names, numbers=numbers)
                asked.append(_Asked(needs=own, season=where, spot=spot))
    return asked, loose


def _stand_alike(subject: Subject, diary: Diary | None, stays: Stays) -> dict[_Where, list[Plant]]:
    """The plants of a subject by where they stand on each night."""
    found: dict[_Where, list[Plant]] = {}
    for plant in subject.plants:
        where = (
            (plant.spot,) * stays.nights
            if diary is None
            else tuple(spots_by_night(plant, diary, stays))
        )
        found.setdefault(where, []).append(plant)
    return found


def _judge(
    scenarios: _Scenarios, asked: _Asked, nights: int, usual: dict[str, FloatArray] | None
) -> PlantOutlook:
    """One group, or plants that stand alike."""
    stays, needs = scenarios.stays(), asked.needs
    where = asked.where(stays)
    ahead = _nights_ahead(scenarios, where, needs, nights)
    act = _act_of(ahead)
    would_do, tonight_only = (
        _would_do(scenarios, asked, ahead[0].strain, nights) if act is Act.MOVE else ((), ())
    )
    first = scenarios.tonight - stays.first_day
    look = scenarios.look(where, _Key(needs), 0, True)
    spot = stays.spots[asked.spot]
    rule = tonight_of(needs, roofed=spot.roofed)
    low_c = rule.low_c if rule.dry_low_c is None else rule.dry_low_c
    run, longest = _hot_runs(look, first, nights, needs.ceiling_c)
    beyond, years = (None, None) if usual is None else _usual_years(usual, asked.spot, needs)
    return PlantOutlook(
        **whose(asked.spot, needs, 0),
        indoors=spot.room is not None,
        act=act,
        would_do=would_do,
        tonight_only=tonight_only,
        nights=ahead,
        limit_c=needs.limit_c,
        limit_wet_c=needs.limit_wet_c,
        dose_c_h=float(look.dose_c_h[first - 1]) if scenarios.timeline.told else None,
        dose_limit_c_h=needs.dose_limit_c_h,
        rest=_rest_so_far(scenarios, asked),
        hot_days=run,
        hot_days_ahead=longest,
        wet_cold=tuple(
            night.evening
            for night in ahead
            if night.wet and night.lowest_c is not None and night.lowest_c <= low_c
        ),
        usual_years=beyond,
        of_years=years,
    )


def _act_of(nights: Sequence[NightAhead]) -> Act:
    """By tonight first; a later night is watched, and asked about again before it comes."""
    if nights and nights[0].state in TOO_MUCH:
        return Act.MOVE
    if len(nights) < NEEDED_NIGHTS or any(
        night.state is State.UNKNOWN for night in nights[:NEEDED_NIGHTS]
    ):
        return Act.CANNOT_TELL
    return Act.WATCH if any(night.state in TOO_MUCH for night in nights) else Act.NOTHING


def _would_do(
    scenarios: _Scenarios, asked: _Asked, strain: Strain | None, nights: int
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """
    Spots at which tonight would be fine, and those of them where a later night may be too much.

    Where tonight cannot be told of any, and cold is the strain: those that are kept so warm that no
    night adds anything.
    """
    stays = scenarios.stays()
    first = scenarios.tonight - stays.first_day
    behind = asked.where(stays)[:first]

    def nights_at(spot: Spot) -> tuple[NightAhead, ...]:
        where = (*behind, *(spot.name,) * (stays.nights - first))
        return _nights_ahead(scenarios, where, asked.needs, nights)

    found = {spot: nights_at(spot) for spot in scenarios.spots if spot.name != asked.spot}
    fine = [spot.name for spot, ahead in found.items() if ahead[0].state is State.FINE]
    short = tuple(
        spot.name
        for spot, ahead in found.items()
        if spot.name in fine and any(night.state in TOO_MUCH for night in ahead)
    )
    kept_warm = (
        spot.name
        for spot, ahead in found.items()
        if strain is not Strain.HEAT
        and ahead[0].state is State.UNKNOWN
        and _is_kept_warm(spot, asked.needs)
    )
    return tuple(fine or kept_warm), short


def _is_kept_warm(spot: Spot, needs: Needs) -> bool:
    """Whether heat that has no limit keeps a spot above all cold that adds to a dose."""
    kept_c = spot.room.temp_c if spot.room else None if spot.heater else spot.held_minimum_c
    return kept_c is not None and kept_c >= max(needs.limit_wet_c, needs.chill_base_c)


def _places_left(question: Question, diary: Diary | None, evening: date) -> dict[str, int]:
    """Of each spot that says its places, how many more pots it takes that evening."""
    own = question.subjects.collection
    if own is None:
        return {}
    standing = own if diary is None else as_on(own, diary, evening)
    return {
        spot.name: spot.places - sum(plant.number for plant in standing.plants_at(spot.name))
        for spot in own.spots
        if spot.places is not None
    }


def _with_full(one: PlantOutlook, left: dict[str, int]) -> PlantOutlook:
    """With the spots that would do but have no room for all its pots."""
    pots = max(1, sum(one.numbers))
    return replace(one, full=tuple(spot for spot in one.would_do if left.get(spot, pots) < pots))


def _hot_runs(look: _Look, first: int, nights: int, ceiling_c: float | None) -> tuple[int, int]:
    """Hot days in a row up to today, and how long that run is forecast to become."""
    if ceiling_c is None:
        return 0, 0
    hot = hours_above(look.nights.temp_c, ceiling_c) >= HOT_HOURS
    cool = np.flatnonzero(~hot[:first])
    run = first - 1 - int(cool[-1]) if cool.size else first
    onward = np.flatnonzero(~hot[first : first + nights])
    return run, run + (int(onward[0]) if onward.size else nights)


def _rest_so_far(scenarios: _Scenarios, asked: _Asked) -> RestSoFar | None:
    """The nights of this season's rest up to yesterday's."""
    need = flower_need_of(asked.needs)
    if need is None or not (asked.needs.rest_told and scenarios.timeline.told):
        return None
    stays, tonight = scenarios.season(), scenarios.tonight
    first = tonight - stays.first_day
    where = (*asked.season[:first], *(None,) * (stays.nights - first))
    laid = scenarios.season_nights(where, _Key(asked.needs))
    winter, summer = scenarios.cuts()
    laid = replace(laid, winter=winter, summer=summer)
    rain = None if stays.spots[asked.spot].roofed or not scenarios.rains else stays.prcp_mm
    dry = None if rain is None else dry_nights(rain.reshape(-1), stays.first_day * 24 + 12)
    part = period_of(lay_out_rest(laid, dry), need)
    position = int(position_of(laid.axis)[first])
    into = position - (part.year - laid.axis.first_year) * DAYS - part.first_day
    rows = np.flatnonzero((into >= 0) & (into < part.minimum_c.shape[1]))
    if not rows.size:
        return None
    row = int(rows[-1])
    so_far = turn(np.arange(DAYS) < into[row], part.first_day)
    years = judge_rest(lay_out_rest(laid, dry), need, so_far)
    return RestSoFar(
        nights=int(years.nights[row]),
        needed=need.full_nights,
        cool_hours=None if need.cool_hours is None else float(years.cool_hours[row]),
        cool_hours_needed=need.cool_hours,
        met=bool(years.state[row] == RestState.MET),
        if_kept_dry=need.wants_dry and dry is None,
    )


# Without a forecast -----------------------------------------------------------------------------


def _past_minima(question: Question, now: int, tonight: int) -> dict[str, FloatArray]:
    """Minima at each spot of the next seven nights in past years, and near them, (year, night)."""
    record = question.record
    past = clip_record(record, record.start_hour, now + 1)
    stays = Stays.of(past, question.place, question.spots, date(1, 1, 1))
    evenings = EPOCH + timedelta(days=tonight)
    starts = []
    for year in range(stays.evening(0).year, evenings.year):
        day = min(evenings.day, 28) if evenings.month == 2 else evenings.day
        starts.append(stays.index_of(date(year, evenings.month, day)) - USUAL_DAYS)
    length = USUAL_NIGHTS + 2 * USUAL_DAYS
    held = [at for at in starts if at >= 0 and at + length <= stays.nights]
    rows = np.array(held, np.int64)[:, None] + np.arange(length)
    return {name: night_minima(temp_c)[rows] for name, temp_c in stays.temp_c.items()}


def _usual_years(
    minima: dict[str, FloatArray], spot: str, needs: Needs
) -> tuple[int | None, int | None]:
    """Past years in which one of the next seven nights was below the limit, of how many."""
    week = minima[spot][:, USUAL_DAYS : USUAL_DAYS + USUAL_NIGHTS]
    known = ~np.isnan(week).any(axis=1)
    return int((week[known] < needs.limit_c).any(axis=1).sum()), int(known.sum())


def _usual_weeks(question: Question, now: int, tonight: int) -> tuple[UsualWeek, ...]:
    """What the next seven nights have usually brought to each spot."""
    told = []
    for spot, minima in _past_minima(question, now, tonight).items():
        known = minima[~np.isnan(minima)]
        middle, cold = (
            np.quantile(known, (0.5, COLD_SHARE), method="median_unbiased").tolist()
            if known.size
            else (np.nan, np.nan)
        )
        years = int((~np.isnan(minima)).any(axis=1).sum())
        told.append(UsualWeek(spot=spot, lowest_c=middle, cold_c=cold, years=years))
    return tuple(told)
