"""The `profiles` of `check --json`, as docs/json.md explains and docs/schema/check.json holds."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from suitability.output.values import NORMAL_DECIMALS, RAW_DECIMALS, finite, season_values

if TYPE_CHECKING:
    from suitability.advice.plant_year import DryAir, HeatOutlook, PlantYear, RestOutlook
    from suitability.advice.profile import FirstFailure, HourRange, Profile, Remedies, RoofRest
    from suitability.advice.terms import RestRoom
    from suitability.advice.verdicts import Verdict

__all__ = ["profile_values", "rest_values", "year_values"]


def profile_values(profile: Profile) -> dict[str, Any]:
    """A group before buying, or a plant in its state, as plain values."""
    year, buds = profile.year, profile.buds
    return {
        "spot": profile.spot,
        "group": profile.group,
        "group_name": profile.group_name,
        "plant": profile.plant or None,
        **year_values(year),
        "fails_first": _failure(profile.cold),
        "fails_in_heat": _failure(profile.heat),
        "ranges": [_range(one) for one in profile.ranges],
        "remedies": None if profile.remedies is None else _remedies(profile.remedies),
        "by_caution": [
            {
                "caution": one.caution,
                "verdict": one.verdict.value,
                "season": season_values(one.season),
            }
            for one in profile.cautions
        ],
        "state": {
            "first_winter": profile.state.first_winter,
            "in_bud": profile.state.in_bud,
            "shift_c": finite(profile.state.shift_c, NORMAL_DECIMALS),
            "damage_c": finite(profile.state.damage_c, NORMAL_DECIMALS),
        },
        "changes": [
            {
                "field": change.field,
                "causes": list(change.causes),
                "group_c": finite(change.group_c, RAW_DECIMALS),
                "plant_c": finite(change.plant_c, RAW_DECIMALS),
            }
            for change in profile.changes
        ],
        "damage": [
            {
                "date": noted.day.isoformat(),
                "words": noted.words,
                "lowest_c": finite(noted.lowest_c, RAW_DECIMALS),
                "dose_c_h": finite(noted.dose_c_h, RAW_DECIMALS),
                "expected": noted.expected,
            }
            for noted in profile.damage
        ],
        "buds": None
        if buds is None
        else {
            "cold_nights": finite(buds.cold_nights, NORMAL_DECIMALS),
            "jumps": finite(buds.jumps, NORMAL_DECIMALS),
        },
    }


def year_values(year: PlantYear) -> dict[str, Any]:
    """What a group's year is like, as plain values."""
    return {
        "survives": year.survives.value,
        "grows": year.grows.value,
        "rests": year.rests.value,
        "flowers": year.flowers.value,
        "line": year.line,
        "rest": None if year.rest is None else rest_values(year.rest),
        "heat": None if year.heat is None else _heat(year.heat),
        "dry_air": None if year.dry_air is None else _dry_air(year.dry_air),
    }


def _failure(failure: FirstFailure | None) -> dict[str, Any] | None:
    if failure is None:
        return None
    return {
        "failing_years": failure.failing_years,
        "of_years": failure.of_years,
        "causes": [{"cause": cause, "years": years} for cause, years in failure.causes],
        "usual_date": failure.usual_date,
        "earliest_date": failure.earliest_date,
        "spare_c": finite(failure.spare_c, NORMAL_DECIMALS),
    }


def _range(one: HourRange) -> dict[str, Any]:
    return {
        "kind": one.kind,
        "low_c": finite(one.low_c, RAW_DECIMALS),
        "high_c": finite(one.high_c, RAW_DECIMALS),
        "hours_below": finite(one.hours_below, NORMAL_DECIMALS),
        "hours_within": finite(one.hours_within, NORMAL_DECIMALS),
        "hours_above": finite(one.hours_above, NORMAL_DECIMALS),
    }


def _remedies(remedies: Remedies) -> dict[str, Any]:
    return {
        "shelter_c": finite(remedies.shelter_c, NORMAL_DECIMALS),
        "shelter_verdict": _verdict(remedies.shelter_verdict),
        "all_year_c": finite(remedies.all_year_c, NORMAL_DECIMALS),
        "cooling_c": finite(remedies.cooling_c, NORMAL_DECIMALS),
        "cooling_verdict": _verdict(remedies.cooling_verdict),
        "roof_verdict": _verdict(remedies.roof_verdict),
        "roof_rest": None if remedies.roof_rest is None else _roof_rest(remedies.roof_rest),
        "hold_c": finite(remedies.hold_c, NORMAL_DECIMALS),
        "hold_growing_c": finite(remedies.hold_growing_c, NORMAL_DECIMALS),
    }


def _roof_rest(rest: RoofRest) -> dict[str, Any]:
    return {
        "rests": rest.rests.value,
        "flowers": rest.flowers.value,
        "met_years": rest.met_years,
        "partly_years": rest.partly_years,
        "of_years": rest.of_years,
    }


def _verdict(verdict: Verdict | None) -> str | None:
    return None if verdict is None else verdict.value


def rest_values(rest: RestOutlook) -> dict[str, Any]:
    """The rest outdoors and in a room, as plain values."""
    return {
        "needed": rest.needed,
        "met_years": rest.met_years,
        "partly_years": rest.partly_years,
        "of_years": rest.of_years,
        "usual_date": rest.usual_date,
        "latest_date": rest.latest_date,
        "rain": rest.rain.value,
        "must_be_dry": rest.must_be_dry,
        "by_year": [
            {
                "year": one.year,
                "state": one.state,
                "met_on": one.met_on,
                "nights": one.nights,
                "cool_hours": finite(one.cool_hours, NORMAL_DECIMALS),
            }
            for one in rest.by_year
        ],
        "nights_indoors": rest.nights_indoors,
        "room": None if rest.room is None else room_values(rest.room),
        "rooms": [
            {"room_c": one.room_c, "nights": one.nights, "state": one.state} for one in rest.rooms
        ],
        "left_usual": rest.left_usual,
        "left_most": rest.left_most,
    }


def room_values(room: RestRoom) -> dict[str, Any]:
    """A room that meets a rest, as plain values."""
    return {
        "low_c": finite(room.low_c, RAW_DECIMALS),
        "high_c": finite(room.high_c, RAW_DECIMALS),
        "nights": room.nights,
    }


def _heat(heat: HeatOutlook) -> dict[str, Any]:
    return {
        "word": heat.word.value,
        "ceiling_c": finite(heat.ceiling_c, RAW_DECIMALS),
        "warm_night_c": finite(heat.warm_night_c, RAW_DECIMALS),
        "hours_mean": finite(heat.hours_mean, NORMAL_DECIMALS),
        "hours_bad": finite(heat.hours_bad, NORMAL_DECIMALS),
        "hours_by_month": [finite(hours, NORMAL_DECIMALS) for hours in heat.hours_by_month],
        "longest_run": heat.longest_run,
        "usual_run": heat.usual_run,
        "warm_nights_mean": finite(heat.warm_nights_mean, NORMAL_DECIMALS),
        "harmful_years": heat.harmful_years,
        "of_years": heat.of_years,
        "spent_out": heat.spent_out,
    }


def _dry_air(dry: DryAir) -> dict[str, Any]:
    return {
        "hours_mean": finite(dry.hours_mean, NORMAL_DECIMALS),
        "hours_bad": finite(dry.hours_bad, NORMAL_DECIMALS),
        "deficit_hours_mean": finite(dry.deficit_hours_mean, NORMAL_DECIMALS),
        "warned": dry.warned,
    }
