"""
The coming nights of each plant, by a forecast with its own error, after the nights just endured.

A night is held twice against what a plant stands: as forecast, and lowered by the allowance for the
forecast's error. What is too much only if hours that were not observed were as cold as the coldest
that were cannot be told.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from functools import cache
from itertools import pairwise

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.advice.hours_ahead import (
    NEEDED_NIGHTS,
    Timeline,
    allowances_of,
    first_evening,
    middle_and_cold,
    timeline_of,
)
from suitability.advice.moves import tonight_of
from suitability.advice.outlook import (
    TOO_MUCH,
    URGENCY,
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
from suitability.advice.preparing import thresholds_of
from suitability.advice.question import Question
from suitability.advice.resting import flower_need_of
from suitability.advice.result import Credit
from suitability.advice.stays import (
    EPOCH,
    Endured,
    Stays,
    Where,
    endure,
    needs_in_state,
    spots_by_night,
)
from suitability.advice.terms import whose
from suitability.climate.cold import DOSE_NIGHTS
from suitability.climate.days import (
    DAYS,
    day_of_year,
    fold_axis,
    hours_by_night,
    local_hour,
    night_minima,
    position_of,
    turn,
)
from suitability.climate.heat import hours_above
from suitability.climate.rest import RestPeriod, dry_nights, judge_rest, lay_out_rest, period_of
from suitability.climate.rest_need import RestState
from suitability.climate.states import HOT_HOURS, SpotNights, cut_days, lay_out_air
from suitability.errors import CatalogueError
from suitability.groups.group import Needs
from suitability.places import Place
from suitability.spots.diary import Diary, as_on, lots_of
from suitability.spots.plants import Plant
from suitability.spots.spot import Spot
from suitability.weather.forecasts import Forecast
from suitability.weather.record import (
    clip_record,
    datetime_of_hour,
)

FloatArray = NDArray[np.float64]

MOST_NIGHTS = 10  # ahead
STALE_HOURS = 24  # age of a forecast beyond which it is said, and rings
SEASON_DAYS = 400  # nights before tonight that are laid out, for the rest
USUAL_DAYS = 3  # either way of a day of past years
USUAL_NIGHTS = 7


# Nights of one plant ----------------------------------------------------------------------------


class _Scenarios:
    """
    The same nights as forecast, lowered and raised by the allowance, and with gaps left open.

    A stay is laid out when it is first asked for, and once for all plants.

    Attributes
    ----------
    allowance_c : K
        What hourly values miss of a minimum.
    season
        All nights that may be asked about, as forecast, with gaps left open.
    skipped
        Nights of the season before the last fifteen and those ahead, by which nights are judged.
    first, ahead
        Tonight among these, and the nights that the forecast tells.
    steady
        Names of the spots whose nights hang on no weather.
    """

    def __init__(
        self,
        question: Question,
        timeline: Timeline,
        allowances: Sequence[Allowance],
        tonight: int,
        groups: Sequence[Needs],
    ) -> None:
        own = question.subjects.collection
        names = {spot.name: spot for spot in (*question.spots, *(own.spots if own else ()))}
        self.spots = tuple(names.values())
        self.steady = frozenset(spot.name for spot in self.spots if spot.is_steady)
        self.timeline, self.tonight = timeline, tonight
        self._question, self._groups = question, groups
        self.allowance_c = question.options.minimum_allowance_c
        self._shift_c = _shift_by_hour(timeline, allowances, tonight, question.place)
        self._stays, self._nights = cache(self._lay), cache(self._lay_stay)
        self.rest, self._cuts = cache(self._lay_rest), cache(self._find_cuts)
        self._believed = cache(self._find_believed)
        self.season = self._stays(0, False)
        before = tonight - self.season.first_day
        self.first = min(before, DOSE_NIGHTS + 1)
        self.skipped = before - self.first
        self.ahead = range(self.first, self.first + len(allowances))

    def endured(self, where: Where, needs: Needs, sign: int = 0, *, filled: bool = True) -> Endured:
        """A stay of one plant: as forecast (0), colder (-1), warmer (1)."""
        filled = filled and self.timeline.filled is not None
        return endure(self._nights(where, sign, filled), needs)

    def _lay_stay(self, where: Where, sign: int, filled: bool) -> SpotNights:  # noqa: FBT001  (a key of the cache)
        stays = self._stays(sign, filled).from_night(self.skipped)
        return stays.lay_out(where, self._groups, self.allowance_c)

    def _lay(self, sign: int, filled: bool) -> Stays:  # noqa: FBT001
        record = weather = self.timeline.filled if filled else self.timeline.record
        assert record is not None
        if sign:  # an error of the forecast makes no night a clear one
            record = replace(record, temp_c=record.temp_c + sign * self._shift_c)
        first = EPOCH + timedelta(days=self.tonight - SEASON_DAYS)
        return Stays.of(record, self._question.place, self.spots, first, weather=weather)

    def _lay_rest(self, season: Where) -> RestPeriod:
        """The rest of the nights before tonight, rain on the pot going by where it stands now."""
        tonight = self.skipped + self.first
        where = (*season[:tonight], *(None,) * (len(season) - tonight))
        laid = self._believed().lay_out(where, self._groups, self.allowance_c, doses=False)
        winter, summer = self._cuts()
        roofed = self.season.spots[season[tonight] or ""].roofed
        rain = None if roofed or self._question.record.prcp_mm is None else self.season.prcp_mm
        dry = None if rain is None else dry_nights(rain.reshape(-1), laid.first_day * 24 + 12)
        return lay_out_rest(replace(laid, winter=winter, summer=summer), dry)

    def _find_believed(self) -> Stays:
        """The season with rooms as cool as they are believed to be while plants rest there."""
        season, record = self.season, self.timeline.record
        rooms = {spot.name: spot.room.temp_c for spot in self.spots if spot.room is not None}
        if not rooms:
            return season
        start = local_hour(record.start_hour, self._question.place.utc_offset_hours)
        air = lay_out_air(record.temp_c, start)
        day = position_of(fold_axis(season.first_day, season.nights)) % DAYS
        believed = {
            name: np.maximum(season.temp_c[name], air.rests_from_c(room_c)[day][:, None])
            for name, room_c in rooms.items()
        }
        return replace(season, temp_c=season.temp_c | believed)

    def _find_cuts(self) -> tuple[int, int]:
        """Mid-winter and mid-summer of the place, by all years of its record."""
        record, offset = self.timeline.record, self._question.place.utc_offset_hours
        first_day, nights = hours_by_night(record.temp_c, local_hour(record.start_hour, offset))
        axis = fold_axis(first_day, nights.shape[0])
        _, winter, summer = cut_days(nights.mean(axis=1), axis)
        return winter, summer


def _shift_by_hour(
    timeline: Timeline, allowances: Sequence[Allowance], tonight: int, place: Place
) -> FloatArray:
    """The allowance of the night of each forecast hour, 0 before, (hour), K."""
    record = timeline.record
    hour = record.start_hour + np.arange(record.temp_c.size)
    evening = (np.floor(hour + place.utc_offset_hours).astype(np.int64) - 12) // 24
    by_night = np.array([one.allowance_c for one in allowances] or [0.0])
    night = np.clip(evening - tonight, 0, by_night.size - 1)
    shift: FloatArray = np.where(hour >= timeline.ahead, by_night[night], 0.0)
    return shift


STRAINS = (Strain.COLD, Strain.WET_COLD, Strain.DOSE, Strain.HEAT)


def _beyond_c(cold: Endured, heat_c: FloatArray) -> FloatArray:
    """How far each night goes beyond what a plant stands, by (strain, night), K."""
    return np.stack([cold.dry_c, cold.wet_c, cold.added_dose_c, heat_c])


def _nights_ahead(scenarios: _Scenarios, where: Where, needs: Needs) -> tuple[NightAhead, ...]:
    """The coming nights of one plant."""
    timeline = scenarios.timeline
    usual, cold = (scenarios.endured(where, needs, sign) for sign in (0, -1))
    hot = warm = usual
    if needs.heat_limited:  # missing hours taken as cold would hide a hot day
        hot, warm = (scenarios.endured(where, needs, sign, filled=False) for sign in (0, 1))
    beyond_c, worst_c = _beyond_c(usual, hot.heat_c), _beyond_c(cold, warm.heat_c)
    known_c = worst_c
    if timeline.missing:
        known = scenarios.endured(where, needs, -1, filled=False)
        known_c = _beyond_c(known, warm.known_heat_c)
    lowest_c, lowest_allowed_c = (night_minima(one.temp_c) for one in (usual, cold))
    first, steady = scenarios.first, [name in scenarios.steady for name in where]
    ahead = scenarios.ahead
    if len(ahead) < NEEDED_NIGHTS and all(steady[first : first + NEEDED_NIGHTS]):
        ahead = range(first, first + NEEDED_NIGHTS)
    unknown = usual.unknown | (not timeline.told and not all(steady[: ahead.stop]))
    # A straight line through the coldest hours proves nothing.
    if timeline.holed and not steady[first]:
        unknown[first] = True
        lowest_c[first] = lowest_allowed_c[first] = np.nan
    told = []
    for night in ahead:
        expected, allowed = float(beyond_c[:, night].max()), float(worst_c[:, night].max())
        if allowed > 0.0 and not (known_c[:, night] > 0.0).any():
            state = State.UNKNOWN  # too much only if missing hours were as bad as can be
        elif expected > 0.0:
            state = State.EXPECTED
        elif allowed > 0.0:
            state = State.POSSIBLE
        else:
            state = State.UNKNOWN if unknown[night] else State.FINE
        told.append(
            NightAhead(
                evening=EPOCH + timedelta(days=scenarios.tonight + night - first),
                moved_to=None if where[night] == where[first] else where[night],
                lowest_c=float(lowest_c[night]),
                lowest_allowed_c=float(lowest_allowed_c[night]),
                wet=bool(usual.wet[night]),
                dose_c_h=float(usual.dose_c_h[night]) if timeline.told else None,
                beyond_c=expected,
                beyond_allowed_c=allowed,
                state=state,
                strain=STRAINS[int(worst_c[:, night].argmax())] if np.isfinite(allowed) else None,
            )
        )
    return tuple(told)


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
    evening = EPOCH + timedelta(days=tonight)
    timeline = timeline_of(question, forecast, now, tonight)
    since = 0 if forecast is None else tonight - first_evening(forecast.issued, offset)
    nights = range(since + 1, since + 1 + _nights_told(forecast, place, tonight))
    allowances = allowances_of(question, past, now, tonight, nights)
    groups = [needs_in_state(question, subject) for subject in question.subjects.asked]
    scenarios = _Scenarios(question, timeline, allowances, tonight, groups)
    asked, loose = _all_asked(question, scenarios, groups, diary, evening)
    usual = {} if nights else _past_minima(question, now, evening)
    left = _places_left(question, diary, evening)
    plants = sorted(
        (_judge(scenarios, needs, season, usual, left) for needs, season in asked), key=_urgency
    )
    own = question.subjects.collection
    notes = [*question.subjects.understood]
    if loose:
        notes.append(f"Not placed, so not judged: {'; '.join(loose)}.")
    notes += (*(own.left_out if own else ()), *(diary.left_out if diary else ()))
    doubts = (
        *_doubts(forecast, timeline, plants, now),
        *((Doubt.NOT_PLACED,) if loose else ()),
        *((Doubt.LEFT_OUT,) if own is not None and own.left_out else ()),
        *((Doubt.DIARY,) if diary is not None and diary.lost_moves else ()),
    )
    moved = any(one.act is Act.MOVE for one in plants)
    return Outlook(
        place=place,
        credit=Credit.of(question.record),
        now=_iso(now),
        tonight=evening,
        alert=Alert.MOVE if moved else Alert.CANNOT_TELL if doubts else Alert.NOTHING,
        doubts=doubts,
        forecast=None if forecast is None else _tell(forecast, now),
        allowances=allowances,
        observed_until=_iso(timeline.ahead - 1),
        missing_hours=timeline.missing,
        minimum_allowance_c=question.options.minimum_allowance_c,
        plants=tuple(plants),
        usual=tuple(_usual_week(spot, minima) for spot, minima in usual.items()),
        notes=tuple(notes),
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
    forecast: Forecast | None, timeline: Timeline, plants: Sequence[PlantOutlook], now: int
) -> Iterator[Doubt]:
    """Why not every plant that is asked about could be judged."""
    soon = [night for one in plants for night in one.nights[:NEEDED_NIGHTS]]
    short = len(soon) < NEEDED_NIGHTS * len(plants)
    if forecast is None and (short or not plants):
        yield Doubt.NO_FORECAST
    elif forecast is not None and now - forecast.issued > STALE_HOURS:
        yield Doubt.STALE
    if (short and not timeline.told) or any(
        night.state is State.UNKNOWN and (night.lowest_c is not None or not timeline.told)
        for night in soon
    ):
        yield Doubt.OBSERVED
    if forecast is not None and (short or any(night.lowest_c is None for night in soon)):
        yield Doubt.PARTIAL


def _urgency(one: PlantOutlook) -> tuple[int, float, int]:
    """What must be moved first, then what comes nearest to it; many pots before few."""
    nights = one.nights[:1] if one.act is Act.MOVE else one.nights
    beyond = [night.beyond_allowed_c for night in nights if night.beyond_allowed_c is not None]
    return (URGENCY.index(one.act), -round(max(beyond)) if beyond else 99, -sum(one.numbers))


def _all_asked(
    question: Question,
    scenarios: _Scenarios,
    groups: Sequence[Needs],
    diary: Diary | None,
    evening: date,
) -> tuple[list[tuple[Needs, Where]], list[str]]:
    """Groups at every spot, plants that stand alike; and plants that stand nowhere tonight."""
    season = scenarios.season
    asked: list[tuple[Needs, Where]] = []
    loose: list[str] = []
    for subject, needs in zip(question.subjects.asked, groups, strict=True):
        alike: dict[Where, Counter[str]] = {}
        if not subject.plants:
            alike = {(spot.name,) * season.nights: Counter() for spot in question.spots}
        for plant in subject.plants:
            for where, number in _standing(scenarios, plant, diary).items():
                alike.setdefault(where, Counter())[plant.name] += number
        for where, pots in alike.items():
            spot = where[season.index_of(evening)]
            if spot is None:
                loose += pots
            elif any(spot == shown.name for shown in question.spots):
                own = replace(needs, plants=tuple(pots), numbers=tuple(pots.values()))
                asked.append((own, where))
    if not (asked or loose):
        named = ", ".join(f'"{spot.name}"' for spot in question.spots)
        raise CatalogueError(f"no plant of the collection stands at {named} tonight.")
    return asked, loose


def _standing(scenarios: _Scenarios, plant: Plant, diary: Diary | None) -> dict[Where, int]:
    """
    How many pots of a plant have stood where.

    Those that have stood together in the nights by which they are judged are one, with the season
    of most of them.
    """
    together: dict[Where, Counter[Where]] = {}
    for lot in lots_of(plant, diary):
        where = spots_by_night(lot, scenarios.season)
        together.setdefault(where[scenarios.skipped :], Counter())[where] += lot.number
    return {seasons.most_common(1)[0][0]: seasons.total() for seasons in together.values()}


def _judge(
    scenarios: _Scenarios,
    needs: Needs,
    season: Where,
    usual: Mapping[str, FloatArray],
    left: Mapping[str, int],
) -> PlantOutlook:
    """
    One group, or plants that stand alike.

    Parameters
    ----------
    season
        Where on each night of the season.
    usual
        From `_past_minima`; empty with a forecast.
    left
        From `_places_left`.
    """
    where, first, told = season[scenarios.skipped :], scenarios.first, scenarios.timeline.told
    spot = scenarios.season.spots[where[first] or ""]
    nights, endured = _nights_ahead(scenarios, where, needs), scenarios.endured(where, needs)
    act = _act_of(nights)
    found = _elsewhere(scenarios, where, needs) if act is Act.MOVE else {}
    would_do = _would_do(found, needs, nights)
    hot_days, hot_days_ahead, hot_from = _hot_runs(endured.temp_c, scenarios.ahead, needs.ceiling_c)
    wet_low_c = tonight_of(needs, roofed=False).low_c
    beyond, years = None, None
    if spot.name in usual:
        beyond, years = _usual_years(usual[spot.name] - scenarios.allowance_c, needs)
    pots = max(1, sum(needs.numbers))
    return PlantOutlook(
        **whose(spot.name, needs, 0),
        indoors=spot.room is not None,
        act=act,
        would_do=would_do,
        full=tuple(name for name in would_do if left.get(name, pots) < pots),
        tonight_only=tuple(
            one.name
            for one, ahead in found.items()
            if _tonight(ahead) is State.FINE and any(night.state in TOO_MUCH for night in ahead)
        ),
        nights=nights,
        limit_c=needs.limit_c,
        limit_wet_c=needs.limit_wet_c,
        dose_c_h=float(endured.dose_c_h[first - 1]) if told else None,
        dose_limit_c_h=needs.dose_limit_c_h,
        rest=_rest_so_far(scenarios, needs, season) if told else None,
        hot_days=hot_days,
        hot_days_ahead=hot_days_ahead,
        hot_from=EPOCH + timedelta(days=scenarios.tonight + hot_from - first)
        if hot_days_ahead
        else None,
        wet_cold=tuple(
            night.evening
            for night in nights
            if night.wet and night.lowest_c is not None and night.lowest_c <= wet_low_c
        ),
        usual_years=beyond,
        of_years=years,
    )


def _tonight(nights: Sequence[NightAhead]) -> State:
    """What tonight does; unknown where no night is told."""
    return nights[0].state if nights else State.UNKNOWN


def _act_of(nights: Sequence[NightAhead]) -> Act:
    """By tonight first; a later night is watched, and asked about again before it comes."""
    if _tonight(nights) in TOO_MUCH:
        return Act.MOVE
    if len(nights) < NEEDED_NIGHTS or any(
        night.state is State.UNKNOWN for night in nights[:NEEDED_NIGHTS]
    ):
        return Act.CANNOT_TELL
    return Act.WATCH if any(night.state in TOO_MUCH for night in nights) else Act.NOTHING


def _elsewhere(
    scenarios: _Scenarios, where: Where, needs: Needs
) -> dict[Spot, tuple[NightAhead, ...]]:
    """The coming nights of one plant if it stood at each other spot from tonight on."""
    first = scenarios.first
    return {
        spot: _nights_ahead(
            scenarios, (*where[:first], *(spot.name,) * (len(where) - first)), needs
        )
        for spot in scenarios.spots
        if spot.name != where[first]
    }


def _would_do(
    found: Mapping[Spot, Sequence[NightAhead]], needs: Needs, stays: Sequence[NightAhead]
) -> tuple[str, ...]:
    """
    Spots at which tonight would be fine.

    Where it cannot be told, and cold is the strain where it stands: those that are kept so warm
    that no night adds anything.
    """
    states = {spot: _tonight(ahead) for spot, ahead in found.items()}
    return tuple(
        spot.name
        for spot, state in states.items()
        if state is State.FINE
        or (
            state is State.UNKNOWN
            and stays[0].strain is not Strain.HEAT
            and spot.least_c >= thresholds_of(needs).harmless_c
        )
    )


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


def _hot_runs(temp_c: FloatArray, ahead: range, ceiling_c: float | None) -> tuple[int, int, int]:
    """Hot days in a row up to today; the longest run of these and of days ahead, and its first."""
    if ceiling_c is None:
        return 0, 0, 0
    hot = hours_above(temp_c, ceiling_c)[: ahead.stop] >= HOT_HOURS
    cool = [-1, *np.flatnonzero(~hot).tolist(), hot.size]
    runs = [(last - first - 1, first + 1) for first, last in pairwise(cool) if last >= ahead.start]
    return ahead.start - runs[0][1], *max(runs, key=lambda run: run[0])


def _rest_so_far(scenarios: _Scenarios, needs: Needs, season: Where) -> RestSoFar | None:
    """The nights of this season's rest up to yesterday's."""
    need = flower_need_of(needs)
    if need is None or not needs.rest_told:
        return None
    part = period_of(scenarios.rest(season), need)
    evening = EPOCH + timedelta(days=scenarios.tonight)
    into = (evening.year - part.year) * DAYS + day_of_year(f"{evening:%m-%d}") - part.first_day
    rows = np.flatnonzero((into >= 0) & (into < part.minimum_c.shape[1]))
    if not rows.size:
        return None
    row = int(rows[-1])
    years = judge_rest(part, need, turn(np.arange(DAYS) < into[row], part.first_day))
    return RestSoFar(
        nights=int(years.nights[row]),
        needed=need.full_nights,
        cool_hours=None if need.cool_hours is None else float(years.cool_hours[row]),
        cool_hours_needed=need.cool_hours,
        met=bool(years.state[row] == RestState.MET),
        if_kept_dry=need.wants_dry and part.dry is None,
    )


# Without a forecast -----------------------------------------------------------------------------


def _past_minima(question: Question, now: int, evening: date) -> dict[str, FloatArray]:
    """
    Minima of the next seven nights in past years, and near them, (year, night).

    At each spot whose nights hang on the weather.
    """
    past = clip_record(question.record, question.record.start_hour, now + 1)
    spots = [spot for spot in question.spots if not spot.is_steady]
    if not spots:
        return {}
    stays = Stays.of(past, question.place, spots, date.min)
    day = min(evening.day, 28) if evening.month == 2 else evening.day
    years = range(stays.evening(0).year, evening.year)
    starts = [stays.index_of(date(year, evening.month, day)) - USUAL_DAYS for year in years]
    length = USUAL_NIGHTS + 2 * USUAL_DAYS
    held = [at for at in starts if at >= 0 and at + length <= stays.nights]
    rows = np.array(held, np.int64)[:, None] + np.arange(length)
    return {name: night_minima(temp_c)[rows] for name, temp_c in stays.temp_c.items()}


def _usual_years(minima: FloatArray, needs: Needs) -> tuple[int, int]:
    """Past years in which one of the next seven nights was below the limit, of how many."""
    week = minima[:, USUAL_DAYS : USUAL_DAYS + USUAL_NIGHTS]
    known = ~np.isnan(week).any(axis=1)
    return int((week[known] < needs.limit_c).any(axis=1).sum()), int(known.sum())


def _usual_week(spot: str, minima: FloatArray) -> UsualWeek:
    """What the next seven nights have usually brought to a spot."""
    middle, cold = middle_and_cold(minima)
    years = int((~np.isnan(minima)).any(axis=1).sum())
    return UsualWeek(spot=spot, lowest_c=middle, cold_c=cold, years=years)
