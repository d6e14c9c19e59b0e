"""The sheet of a year beside that of the place where a plant grows wild."""

from __future__ import annotations

from operator import attrgetter
from typing import TYPE_CHECKING

from suitability.advice.habitat import LEAST_C, LEAST_MM, Beside
from suitability.answers import words
from suitability.answers.curves import Along, Band, Curve, Curves, Role
from suitability.answers.head import sheet_of_places, years_of
from suitability.answers.sheet import (
    Chart,
    Column,
    Fact,
    Facts,
    Level,
    On,
    Section,
    Sheet,
    Text,
    build_table,
)
from suitability.brief import MONTHS, joined
from suitability.climate.past_years import FEWEST_YEARS
from suitability.spots.spot import OPEN_AIR
from suitability.units import (
    TemperatureUnit,
    show_difference,
    show_temperature,
    shown_apart,
    shown_value,
)
from suitability.weather.blending import LAPSE_K_PER_KM

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from suitability.advice.habitat import (
        AirMonth,
        HabitatGroup,
        HabitatMonth,
        HabitatResult,
        HabitatSpot,
        RestSeen,
    )
    from suitability.answers.sheet import Table

FEW_YEARS = 10  # below which it is said how few they are
DRY_MM = 43.0  # of a month that has less than 10 mm a week
MISSED_C = (0.2, 0.5)  # K, of the night minimum at 3 hours (docs/map.md)
SIDES = ("here", "there")
NOT_BEST = (
    "A wild place shows what a plant endures, not what is best for it: the values of its group "
    "rule, as `suitability check` judges them."
)
NO_FOREST = (
    "Wild plants live on trees and rocks, in air of their own: a station is no forest, and a grid "
    "cell no garden."
)
BAND = "The band about typical nights holds eight of ten of them."
ADVICE = {  # of which months, and what they ask for
    ("nights", Beside.COLDER): (
        "Colder nights than there ({}): a warmer spot, or indoors, wherever the values of its "
        "group ask for it (`suitability moves`)."
    ),
    ("nights", Beside.WARMER): (
        "Warmer nights than there ({}): where flowers hang on a cool rest in them, the coolest "
        "spot that does no harm."
    ),
    ("days", Beside.WARMER): "Hotter days than there ({}): shade and moving air.",
    ("rain", Beside.WETTER): "More rain than there ({}): keep it off, most of all in cold.",
    ("rain", Beside.DRIER): "Less rain than there ({}): water in its stead.",
}


def habitat_sheet(result: HabitatResult, units: TemperatureUnit) -> Sheet:
    """What the year of each spot has, and lacks, beside the habitat."""
    places, records = (result.place, result.habitat), (result.record, result.habitat_record)
    nights = [_nights_sentence(result, spot, units) for spot in result.results]
    opposite = ["Seasons are opposite: its July stands beside your January, and so on."]
    sections = [part for spot in result.results for part in _sections(result, spot, units)]
    return sheet_of_places(
        places,
        records,
        title=f"{result.place.name} beside {result.habitat.name}",
        headline=" ".join((*nights, *_cool_there(result, units), *opposite[: result.opposite])),
        sections=sections,
        notes=(*result.understood, *_thin(result), *result.notes, *_of_records(result, units)),
        closing=(NOT_BEST, NO_FOREST),
        years=[
            years_of(record.period, place) for record, place in zip(records, places, strict=True)
        ],
    )


# The answer ---------------------------------------------------------------------------------------


def _nights_sentence(result: HabitatResult, spot: HabitatSpot, units: TemperatureUnit) -> str:
    """In which months nights are colder or warmer than there, and by how much."""
    name = words.clean(result.habitat.name, 60)
    if all(month.nights is Beside.UNKNOWN for month in spot.months):
        here, there = (max(_years(spot, side)) for side in SIDES)
        return (
            f"Your nights {_where(spot)} cannot be set beside {name}: no month has {FEWEST_YEARS} "
            f"years at both (at most {here} here, {there} there)."
        )
    told = _apart(spot, "nights", "night_difference_c", units)
    return f"Beside {name}, your nights {_where(spot)} are {told}."


def _apart(spot: HabitatSpot, field: str, by: str, units: TemperatureUnit) -> str:
    """In which months it is colder, warmer and alike, and by how much."""
    parts = []
    for word in (Beside.COLDER, Beside.WARMER, Beside.ALIKE, Beside.UNKNOWN):
        told, months = word.value.replace("-", " "), _which(spot, field, word)
        if word in {Beside.COLDER, Beside.WARMER} and months:
            apart = (abs(shown_apart(getattr(spot.months[at - 1], by), units)) for at in months)
            told = f"{words.whole_span(apart)} {units.symbol} {told}"
        if months:
            parts.append(f"{told} ({words.month_ranges(months)})")
    return joined(parts)


def _cool_there(result: HabitatResult, units: TemperatureUnit) -> Iterator[str]:
    """Nights and rain of its coolest months, by its own calendar."""
    there = {one.habitat_month: one.there for one in result.results[0].months}

    def nights(months: Sequence[AirMonth]) -> str:
        known = [month.night.typical_c for month in months]
        told = words.whole_span(shown_value(one, units) for one in known if one is not None)
        return f"{told} {units.symbol}"

    if not result.winter_there and None not in [one.night.typical_c for one in there.values()]:
        yield f"It has no cool season: nights of {nights(list(there.values()))} all year."
    if not result.coolest_there:
        return
    cool = [there[month] for month in result.coolest_there]
    rain = [mm for month in cool if (mm := _rain_mm(month)) is not None]
    first, last = (MONTHS[result.coolest_there[at] - 1] for at in (0, -1))
    told = f"The coolest months there, {first} to {last}, have nights of {nights(cool)}"
    if len(rain) == len(cool):
        told += f" and {words.whole_span(rain)} mm of rain a month"
        told += ": cool and dry" if max(rain) < DRY_MM else ""
    yield f"{told}."


def _thin(result: HabitatResult) -> Iterator[str]:
    """How few years are behind it, where they are few."""
    for side, where in zip(SIDES, ("here", "in the habitat"), strict=True):
        told = [years for years in _years(result.results[0], side) if years >= FEWEST_YEARS]
        fewest = min(told, default=FEW_YEARS)
        if fewest < FEW_YEARS:
            yield f"Only {fewest} years {where}: other years may differ more."


def _of_records(result: HabitatResult, units: TemperatureUnit) -> Iterator[str]:
    """What both records have to tell, and seasons that could not be set beside each other."""
    if not result.opposite and result.place.latitude * result.habitat.latitude < 0.0:
        yield (
            "It lies across the equator, yet its winter is not half a year from yours, or one of "
            "the two has none: months stand as in the calendar."
        )
    step = result.habitat_record.step_hours
    if step > result.record.step_hours:
        least, most = (show_difference(miss, units) for miss in MISSED_C)
        yield (
            f"Readings there stand {step} hours apart: its nights are told {least} to {most} too "
            "warm on the mean."
        )
    yield from result.record.notes
    yield from (f"Habitat: {note}" for note in result.habitat_record.notes)


# Words of months ----------------------------------------------------------------------------------


def _where(spot: HabitatSpot) -> str:
    return "in the open air" if spot.spot == OPEN_AIR.name else f"at {words.clean(spot.spot, 40)}"


def _years(spot: HabitatSpot, side: str) -> list[int]:
    return [getattr(month, side).night.years for month in spot.months]


def _rain_mm(month: AirMonth) -> float | None:
    return None if month.rain is None else month.rain.mean_mm


def _has_rain(spot: HabitatSpot, side: str) -> bool:
    return getattr(spot.months[0], side).rain is not None


def _which(spot: HabitatSpot, field: str, word: Beside) -> list[int]:
    return [month.month for month in spot.months if getattr(month, field) is word]


# Sections -----------------------------------------------------------------------------------------


def _sections(
    result: HabitatResult, spot: HabitatSpot, units: TemperatureUnit
) -> Iterator[Section]:
    """The chart, the months, what to do, and the groups of one spot."""
    several = len(result.results) > 1
    name = f"-{result.results.index(spot) + 1}" if several else ""
    where = f" {_where(spot)}" if several else ""
    finding = f"Days{where} are {_apart(spot, 'days', 'day_difference_c', units)}."
    chart = Chart(
        name=f"habitat{name}",
        title=finding,
        told=f"{_nights_sentence(result, spot, units)} {finding}",
        spec=_curves(spot, units),
        notes=(BAND,),
    )
    yield Section(name=f"chart{name}", lead=True, blocks=(chart,), on=On.PAGE)
    title = f"Month by month{where}, {units.symbol}"
    yield Section(name=f"months{name}", title=title, blocks=(months_table(spot, units),))
    yield Section(
        name=f"do{name}",
        title=f"What to do about it{where} (common practice, no source)",
        blocks=(Text(sentences=tuple(_advice(spot)), listed=True),),
    )
    for number, group in enumerate(spot.groups, 1):
        yield Section(
            name=f"group{name}-{number}",
            title=f"{words.full_name(group, 80)}{where}: its own needs, were it out all year",
            blocks=(
                Text(sentences=tuple(_meant(group, spot)), listed=True),
                Facts(rows=tuple(_group_facts(group, result.habitat.elevation_m, units))),
            ),
        )
    yield Section(
        name=f"bands{name}",
        level=Level.DETAIL,
        blocks=(bands_table(spot, units, f"Nights, years and rain{where}, {units.symbol}"),),
    )


def _beside_month(month: HabitatMonth) -> str:
    """The month, with that of the habitat where it is another."""
    name, other = (MONTHS[at - 1][:3] for at in (month.month, month.habitat_month))
    return name if other == name else f"{name} ({other})"


def _columns(
    title: str, cell: Callable[[AirMonth], str], short: str = "", sides: Sequence[str] = SIDES
) -> list[Column[HabitatMonth]]:
    """Numbers here and there; on a terminal the side stands below the title."""

    def of(side: str) -> Callable[[HabitatMonth], str]:
        return lambda month: cell(getattr(month, side))

    return [
        Column.of(f"{title} {side}", of(side), short=f"{short or title}\n{side}", number=True)
        for side in sides
    ]


def _differs(word: Beside, apart: float | None, units: TemperatureUnit | None) -> str:
    """By how much, where it differs by the rule."""
    if word is Beside.UNKNOWN or apart is None:
        return words.UNKNOWN
    if word is Beside.ALIKE:
        return word.value
    return f"{abs(apart if units is None else shown_apart(apart, units)):.0f} {word}"


def months_table(spot: HabitatSpot, units: TemperatureUnit) -> Table:
    """Typical nights and days here and there, and rain where a place has it on record."""
    rainy = [side for side in SIDES if _has_rain(spot, side)]
    columns: list[Column[HabitatMonth]] = [
        Column.of("Month", _beside_month),
        *_columns("Night", lambda one: words.degrees(one.night.typical_c, units)),
        Column.of("Nights", lambda one: _differs(one.nights, one.night_difference_c, units)),
        *_columns("Day", lambda one: words.degrees(one.day.typical_c, units)),
        Column.of("Days", lambda one: _differs(one.days, one.day_difference_c, units)),
        *_columns("Rain", lambda one: words.number(_rain_mm(one)), sides=rainy),
    ]
    if len(rainy) == len(SIDES):
        columns.append(
            Column.of("Rain", lambda one: _differs(one.rain, one.rain_difference_mm, None))
        )
    what = "Typical night minimum and day maximum; rain, mm a month"
    what += "." if rainy else ", is on record at neither place."
    rule = (
        f"Different: by {show_difference(LEAST_C, units)}, or {LEAST_MM:.0f} mm, or more, and "
        "beyond what is typical of the habitat's own years."
    )
    return build_table(
        "months", columns, spot.months, notes=(what, rule), dense_below=100, stacked=False
    )


def bands_table(spot: HabitatSpot, units: TemperatureUnit, title: str) -> Table:
    """Eight of ten nights, eight of ten years, dry days, and years."""

    def span(low: float | None, high: float | None) -> str:
        if low is None or high is None:
            return words.UNKNOWN
        return f"{words.degrees(low, units, 0)} to {words.degrees(high, units, 0)}"

    def nights(air: AirMonth) -> str:
        return span(air.night.low_c, air.night.high_c)

    def years(air: AirMonth) -> str:
        return span(air.night.years_low_c, air.night.years_high_c)

    def dry(air: AirMonth) -> str:
        return words.number(None if air.rain is None else air.rain.dry_days)

    rainy = [side for side in SIDES if _has_rain(spot, side)]
    columns: list[Column[HabitatMonth]] = [
        Column.of("Month", _beside_month),
        *_columns("8 of 10 nights", nights, "8 of 10"),
        *_columns("8 of 10 years", years, "Years", ["there"]),
        *_columns("Dry days", dry, "Dry", rainy),
        *_columns("Years", lambda one: str(one.night.years), "Known"),
    ]
    note = (
        "8 of 10: nights of which one in ten is colder and one warmer; years: what is typical of "
        "eight of ten, or of all where they are fewer than nine; dry days: less than 1 mm."
    )
    return build_table(
        "bands", columns, spot.months, title=title, notes=(note,), dense_below=100, folded=True
    )


# What to do ---------------------------------------------------------------------------------------


def _advice(spot: HabitatSpot) -> Iterator[str]:
    """What follows from the months that differ, and from rain there, in sentences."""
    for (field, word), sentence in ADVICE.items():
        months = _which(spot, field, word)
        if months and not (field == "rain" and spot.roofed):
            yield sentence.format(words.month_ranges(months))
    rain = {month.month: _rain_mm(month.there) for month in spot.months}
    known = {month: mm for month, mm in rain.items() if mm is not None}
    if not known:
        yield "Rain there is not on record: water and rest by its group (`suitability year`)."
        return
    (least, least_mm), (most, most_mm) = (
        find(known.items(), key=lambda one: one[1]) for find in (min, max)
    )
    yield (
        f"Rain there, a guide to water: least in {MONTHS[least - 1]} ({least_mm:.0f} mm), "
        f"most in {MONTHS[most - 1]} ({most_mm:.0f} mm)."
    )


def _meant(group: HabitatGroup, spot: HabitatSpot) -> Iterator[str]:
    """What its floor and rest come to, in sentences, by the months here."""
    season = {month.habitat_month: month.month for month in spot.months}
    here, there = set(group.below_floor_here), {season[at] for at in group.below_floor_there}
    if here - there:
        stopped = words.month_ranges(sorted(here - there))
        yield f"It stops growing here when it grows there: {stopped}."
    if there - here:
        only = words.month_ranges(sorted(there - here))
        yield f"It grows on here when nights stop it there: {only}."
    if here == there:
        yield "Nights let it grow in the same months at both."
    rest = group.rest_here
    if rest is not None and rest.of_years and 2 * rest.met_years <= rest.of_years:
        yield "Most years here do not bring what its flowers hang on."


def _group_facts(
    group: HabitatGroup, elevation_m: float | None, units: TemperatureUnit
) -> Iterator[Fact]:
    """What its own floor, comfort mark and rest say of both places."""

    def both(here: Sequence[int], there: Sequence[int]) -> str:
        told = (words.month_ranges(months) if months else "in no month" for months in (here, there))
        return ", ".join(f"{side} {months}" for side, months in zip(SIDES, told, strict=True))

    floor = show_temperature(group.floor_c, units)
    below = both(group.below_floor_here, group.below_floor_there)
    yield Fact("Nights below floor", f"({floor}) {below}")
    if group.comfort_c is not None:
        mark = show_temperature(group.comfort_c, units)
        reached = both(group.comfortable_here, group.comfortable_there)
        yield Fact("Comfortable nights", f"({mark} or more) {reached}")
    if group.rest_here is not None and group.rest_there is not None:
        rests = zip(SIDES, (group.rest_here, group.rest_there), strict=True)
        told = "; ".join(f"{side} {_rest_told(rest)}" for side, rest in rests)
        yield Fact("Rest for its flowers", told)
    if group.origin:
        altitude = group.altitude and f"; {group.altitude} ({group.altitude_mark})"
        yield Fact("Grows wild", words.clean(group.origin + altitude, 200))
        if altitude and elevation_m is not None:
            colder = show_difference(LAPSE_K_PER_KM, units)
            told = f"of {elevation_m:.0f} m; 1000 m higher it is about {colder} colder"
            yield Fact("Record there", told)


def _rest_told(rest: RestSeen) -> str:
    nights = "" if rest.nights is None else f", {rest.nights:.0f} nights a year"
    dry = ", if kept dry" if rest.if_kept_dry else ""
    needed = f"({rest.nights_needed:.0f} needed)"
    return f"in {rest.met_years} of {rest.of_years} years{dry}{nights} {needed}"


# The chart ----------------------------------------------------------------------------------------


def _curves(spot: HabitatSpot, units: TemperatureUnit) -> Curves:
    """Typical nights here and there, each in its band, and typical days."""
    along = tuple(map(_beside_month, spot.months))

    def shown(side: str, path: str) -> tuple[float | None, ...]:
        told = map(attrgetter(f"{side}.{path}"), spot.months)
        return tuple(None if one is None else round(shown_value(one, units), 1) for one in told)

    curves = []
    for what, banded in (("night", True), ("day", False)):
        for side, name in zip(SIDES, (words.clean(spot.spot, 20), "habitat"), strict=True):
            low, high, y = (shown(side, f"{what}.{at}_c") for at in ("low", "high", "typical"))
            band = Band(name=f"{name}: 8 of 10", low=low, high=high) if banded else None
            curves.append(Curve(name=f"{what}s, {name}", role=Role.SPOT, x=along, y=y, band=band))
    return Curves(
        curves=tuple(curves),
        upright=f"temperature, {units.symbol}",
        along="month" + ("" if along[0] == "Jan" else "; in brackets that of the habitat"),
        scale=Along.MONTHS,
        unit=units.symbol,
    )
