"""The sheet of the coming nights: what to do tonight, what to watch, and how each plant stands."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from suitability.advice.outlook import TOO_MUCH, URGENCY, Act, Alert, Doubt, State, Strain
from suitability.answers import words
from suitability.answers.calendar import CalendarEvent, CalendarSheet
from suitability.answers.head import ANIMALS, LIFTING, sheet_of_places
from suitability.answers.sheet import Column, Level, Section, Text, build_table
from suitability.units import TemperatureUnit, show_difference, show_temperature

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date

    from suitability.advice.outlook import NightAhead, Outlook, PlantOutlook, RestSoFar
    from suitability.answers.sheet import Sheet, Table

_Row = tuple["date", str]  # evening and spot

NAMED, UNSURE_NAMED = 4, 12  # plants that a sentence names
SPOTS_NAMED = 2
BRIDGED = timedelta(hours=3)  # from now to a forecast's first hour; two missing hours are filled
OLD_HOURS = 48  # age of a forecast up to which it is told in hours
LOW_DOSE = 0.25  # of what a plant stands, from which its dose is worth a line
STRAINS = {
    Strain.COLD: "too cold",
    Strain.WET_COLD: "too cold for a wet pot",
    Strain.DOSE: "too much cold in 14 days",
    Strain.HEAT: "the fourth hot day in a row",
}
BASES = {
    "learned": "learned from its own past",
    "published": "as published of forecasts elsewhere",
    "reasoned": "published figures carried on, reasoned",
    "spread": "the usual spread of these nights",
}
REASONS = {
    Doubt.NO_FORECAST: "there is no forecast",
    Doubt.STALE: "the forecast is older than a day",
    Doubt.PARTIAL: "hours of the forecast are missing",
    Doubt.OBSERVED: "too many observed hours are missing",
    Doubt.NOT_PLACED: "it is not said where every plant stands",
    Doubt.LEFT_OUT: "not every plant of the file can be read",
    Doubt.DIARY: "a row of the diary cannot be read, so that a plant may stand elsewhere",
}
APART = (Doubt.NOT_PLACED, Doubt.LEFT_OUT, Doubt.DIARY)  # say nothing against the plants judged
DOUBTS = {
    Doubt.PARTIAL: "The forecast does not hold every hour of tonight and tomorrow night.",
    Doubt.OBSERVED: (
        "Too many hours of the last 14 days were not observed, so that cold or heat already "
        "suffered may be more than is known: give a record that goes up to yesterday."
    ),
}
FLAWS = ("", "tonight only", "full")  # of a spot that would do
COUNT_AGAIN = "Each is asked about alone: count the room again where several go to one spot."
SAYS_OUT = "out of the coldest part of the spot"  # in a room nothing is carried in


def outlook_sheet(outlook: Outlook, units: TemperatureUnit) -> Sheet:
    """What the coming nights ask for."""
    moved, unsure, watched, _ = (_acting(outlook, act) for act in URGENCY)
    later = [one for one in outlook.plants if one.act is not Act.MOVE and _first(one, *TOO_MUCH)]
    untold = [Text(sentences=(_unsure(unsure),))] if unsure else []
    sections = [
        *_section("tonight", "Tonight", [_move_table(moved, units)] if moved else []),
        *_section("cannot-tell", "Cannot be told", untold),
        *_section("watch", "Nights to watch", [_watch_table(later, units)] if later else []),
        *_section("usual", "What these days usually bring", _usual(outlook, units)),
        *_section("so-far", "So far, and to come", _so_far(outlook, units)),
        *_section("nights", "Night by night", _every_night(outlook, units), level=Level.DETAIL),
    ]
    return sheet_of_places(
        [outlook.place],
        [outlook.credit],
        title=f"The nights from {words.day(outlook.tonight)} on",
        headline=_headline(outlook, moved, unsure, watched),
        sections=sections,
        notes=(*_doubts(outlook), *outlook.notes, *_caveats(outlook)),
        closing=(*_basis(outlook, units), *((LIFTING,) if moved else ()), ANIMALS)
        if moved
        else tuple(_basis(outlook, units)),
    )


def _caveats(outlook: Outlook) -> list[str]:
    """Of which plants the group is a guess."""
    told = words.caveat_sentences(outlook.plants)
    return [sentence for sentence in told if sentence.startswith("*")]


def _acting(outlook: Outlook, act: Act) -> list[PlantOutlook]:
    return [one for one in outlook.plants if one.act is act]


def _section(
    name: str, title: str, blocks: Sequence[Table | Text], level: Level = Level.BRIEF
) -> list[Section]:
    """A section, where there is something in it."""
    return [Section(name=name, title=title, blocks=tuple(blocks), level=level)] if blocks else []


def _headline(
    outlook: Outlook,
    moved: Sequence[PlantOutlook],
    unsure: Sequence[PlantOutlook],
    watched: Sequence[PlantOutlook],
) -> str:
    """What is to be done, in a sentence; and what it leaves open."""
    why = _reasons(outlook)
    if moved:
        open_ = unsure or any(one in APART for one in outlook.doubts)
        rest = f"; not every plant could be judged: {why}" if open_ else ""
        return f"Tonight move {_named(moved)}{rest}."
    if outlook.alert is Alert.CANNOT_TELL:
        others = outlook.plants and all(one in APART for one in outlook.doubts)
        rest = "; for the others nothing must move" if others else ""
        told = f"whether anything must move tonight cannot be told: {why}{rest}."
        past = _past(outlook, unsure)
        return f"{past}; {told}" if past else f"{told[0].upper()}{told[1:]}"
    if watched:
        first = min(night.evening for one in watched for night in _first_nights(one))
        return f"Nothing must move tonight; watch {_named(watched)} from {words.weekday(first)} on."
    later = ", and no night of the forecast asks for it" if outlook.forecast else ""
    return f"Nothing must move tonight{later}."


def _past(outlook: Outlook, unsure: Sequence[PlantOutlook]) -> str:
    """Who has had more cold than it stands, and may have to stand more tonight."""
    past = [one for one in unsure if (one.dose_c_h or 0.0) > one.dose_limit_c_h]
    begins = "Perhaps too" if outlook.missing_hours else "Too"
    return f"{begins} much cold already for {_named(past)}" if past else ""


def _reasons(outlook: Outlook) -> str:
    """Why not everything could be told, in a few words each."""
    begins = _begins_later(outlook)
    late = {Doubt.PARTIAL: f"the forecast begins only on {begins}"} if begins else {}
    return " and ".join((REASONS | late)[one] for one in outlook.doubts)


def _begins_later(outlook: Outlook) -> str | None:
    """The moment, in words, at which a forecast begins that says nothing of the next hours."""
    told = outlook.forecast
    if told is None:
        return None
    wait = datetime.fromisoformat(told.begins) - datetime.fromisoformat(outlook.now)
    return words.moment(told.begins) if wait > BRIDGED else None


def _named(plants: Sequence[PlantOutlook], most: int = NAMED) -> str:
    """Plants with their spots, the first of many."""
    names = [
        words.in_list(words.short_name(one)) if len(one.plants) == 1 else words.short_name(one)
        for one in plants[:most]
    ]
    told = [
        f"{name} ({words.clean(one.spot, 40)})" for name, one in zip(names, plants, strict=False)
    ]
    more = sum(words.weight(one) for one in plants[most:])
    return ", ".join(told) + (f" and {more} more" if more > 0 else "")


def _first(one: PlantOutlook, *states: State) -> NightAhead | None:
    """The first night in one of these states."""
    return next((night for night in one.nights if night.state in states), None)


def _first_nights(one: PlantOutlook) -> list[NightAhead]:
    """The first night that is perhaps too much, and the first that is so as forecast."""
    perhaps, expected = _first(one, *TOO_MUCH), _first(one, State.EXPECTED)
    return [night for night in dict.fromkeys((perhaps, expected)) if night is not None]


def _lowest(night: NightAhead, units: TemperatureUnit) -> str:
    """As forecast, and with its error where that matters: a heater may make up for it."""
    if night.lowest_c is None or night.lowest_allowed_c is None:
        return words.UNKNOWN
    lowest, allowed = (
        show_temperature(one, units) for one in (night.lowest_c, night.lowest_allowed_c)
    )
    return lowest if lowest == allowed else f"{lowest}, perhaps {allowed}"


def _why(night: NightAhead, units: TemperatureUnit) -> str:
    """What is too much, or perhaps is, and by how much."""
    expected = night.state is State.EXPECTED
    beyond = night.beyond_c if expected else night.beyond_allowed_c
    what = STRAINS[night.strain] if night.strain else "too much"
    return f"{'' if expected else 'perhaps '}{what}, by {show_difference(beyond or 0.0, units)}"


def _strain(night: NightAhead, units: TemperatureUnit) -> str:
    """What is too much in a night, with how cold it becomes where that is what harms."""
    why = _why(night, units) + _moved(night)
    return why if night.strain is Strain.HEAT else f"{_lowest(night, units)}; {why}"


def _moved(night: NightAhead) -> str:
    """Where a plant stands that night, if not where it does now."""
    return "" if night.moved_to is None else f", at {words.clean(night.moved_to, 40)}"


def _move_table(moved: Sequence[PlantOutlook], units: TemperatureUnit) -> Table:
    """What must move tonight, what comes nearest to harm first."""
    columns: list[Column[PlantOutlook]] = [
        words.who_column(moved, wraps=True),
        Column.of("From", lambda one: words.clean(one.spot, 40), widest=14, wraps=True),
        Column.of("To", _where_to, widest=20, wraps=True),
        Column.of("Lowest", lambda one: _lowest(one.nights[0], units), widest=16, wraps=True),
        Column.of("Why", lambda one: _why(one.nights[0], units), widest=26, wraps=True),
    ]
    asked = [spot for one in moved for spot in one.would_do[:SPOTS_NAMED]]
    notes = (COUNT_AGAIN,) if len(set(asked)) < len(asked) else ()
    return build_table("tonight", columns, moved, notes=notes)


def _where_to(one: PlantOutlook) -> str:
    """Spots that would do, those with room first."""
    if one.would_do:
        flaws = dict.fromkeys(one.tonight_only, "tonight only")
        flaws |= dict.fromkeys(one.full, "full")
        spots = sorted(one.would_do, key=lambda spot: FLAWS.index(flaws.get(spot, "")))
        told = (
            f"{spot} ({flaws[spot]})" if spot in flaws else spot for spot in spots[:SPOTS_NAMED]
        )
        return words.clean(", ".join(told), 80)
    if one.nights[0].strain is Strain.HEAT:
        return "a cooler place, in shade"
    return SAYS_OUT if one.indoors else "a room"


def _unsure(unsure: Sequence[PlantOutlook]) -> str:
    return f"{_named(unsure, UNSURE_NAMED)}: look at a thermometer tonight."


def _watch_table(later: Sequence[PlantOutlook], units: TemperatureUnit) -> Table:
    """The first night that is too much for each, one that perhaps is before it, the worst."""

    def expected(one: PlantOutlook) -> str:
        night = _first(one, State.EXPECTED)
        return "" if night is None else words.weekday(night.evening)

    def perhaps(one: PlantOutlook) -> str:
        night = _first(one, *TOO_MUCH)
        return (
            "" if night is None or night.state is State.EXPECTED else words.weekday(night.evening)
        )

    def worst(one: PlantOutlook) -> str:
        night = max(
            (night for night in one.nights if night.state in TOO_MUCH),
            key=lambda night: night.beyond_allowed_c or 0.0,
        )
        return f"{words.weekday(night.evening)}: {_strain(night, units)}"

    columns: list[Column[PlantOutlook]] = [
        words.who_column(later, wraps=True),
        Column.of("Spot", lambda one: words.clean(one.spot, 40), widest=14, wraps=True),
        Column.of("Too much from", expected, widest=9, wraps=True),
        Column.of("Perhaps from", perhaps, widest=9, wraps=True),
        Column.of("Worst night", worst, wraps=True),
    ]
    return build_table("watch", columns, later)


def _so_far(outlook: Outlook, units: TemperatureUnit) -> list[Text]:
    """Dose, rest, heat and wet cold, of plants of which there is something to say."""
    told = []
    for one in outlook.plants:
        parts = tuple(_plant_so_far(one, units, sure=not outlook.missing_hours))
        if parts:
            name = f"{words.short_name(one)} ({words.clean(one.spot, 40)})"
            told.append(f"{name}: {'; '.join(parts)}.")
    return [Text(sentences=tuple(told), listed=True)] if told else []


def _plant_so_far(one: PlantOutlook, units: TemperatureUnit, *, sure: bool) -> Iterator[str]:
    """What one plant has behind it."""
    if one.dose_c_h is not None and one.dose_c_h >= LOW_DOSE * one.dose_limit_c_h:
        scale = 1.0 if units is TemperatureUnit.C else 1.8
        most = "" if sure else "up to "
        yield (
            f"{most}{one.dose_c_h * scale:.0f} of the {one.dose_limit_c_h * scale:.0f} "
            f"{units.symbol}·h of cold that it stands in 14 days"
        )
    rest = one.rest
    if rest is not None and (rest.nights or rest.cool_hours):
        yield _rest(rest)
    if one.hot_from is not None and one.hot_days_ahead >= 2:
        yield f"{one.hot_days_ahead} hot days in a row from {words.weekday(one.hot_from)} on"
    if one.wet_cold and one.act is not Act.MOVE:
        first, *more = map(words.weekday, one.wet_cold)
        nights = f"{first} and {len(more)} more" if more else first
        at = next(_moved(night) for night in one.nights if night.evening == one.wet_cold[0])
        yield f"wet and cold in the night of {nights}{at}: keep it dry, under a roof or indoors"


def _rest(rest: RestSoFar) -> str:
    """What this season has brought of a rest."""
    counts: list[tuple[float, float, str]] = [(rest.nights, rest.needed, "nights")]
    if rest.cool_hours is not None and rest.cool_hours_needed is not None:
        counts.append((rest.cool_hours, rest.cool_hours_needed, "cool hours"))
    dry = ", if kept dry" if rest.if_kept_dry else ""
    if rest.met or all(n >= needed for n, needed, _ in counts):
        told = "; ".join(f"{n:.0f} {what}, {needed:.0f} needed" for n, needed, what in counts)
        # Where a drought is long enough, nights cold enough may still be wanting.
        state, wants = ("met", "") if rest.met else ("partly met", "; too warm so far")
        return f"rest {state} ({told}{wants}){dry}"
    told = " and ".join(
        f"{min(n, needed):.0f} of {needed:.0f} {what}" for n, needed, what in counts
    )
    return f"rest {told}{dry}"


def _every_night(outlook: Outlook, units: TemperatureUnit) -> list[Table]:
    """Each night at each spot: its lowest hour, and for which plants it is too much."""
    rows: dict[tuple[date, str], list[tuple[PlantOutlook, NightAhead]]] = {}
    for one in outlook.plants:
        for night in one.nights:
            rows.setdefault((night.evening, one.spot), []).append((one, night))
    if not rows:
        return []

    def too_much(row: _Row, state: State) -> str:
        told = [words.short_name(one) for one, night in rows[row] if night.state is state]
        return ", ".join(told)

    columns: list[Column[_Row]] = [
        Column.of(
            "Night of", lambda row: words.weekday(row[0]), repeats=True, widest=14, wraps=True
        ),
        Column.of("Spot", lambda row: words.clean(row[1], 40), widest=14, wraps=True),
        Column.of("Lowest", lambda row: _lowest(rows[row][0][1], units), widest=14, wraps=True),
        Column.of("Too much for", lambda row: too_much(row, State.EXPECTED), wraps=True),
        Column.of("Perhaps for", lambda row: too_much(row, State.POSSIBLE), wraps=True),
    ]
    return [build_table("nights", columns, sorted(rows, key=lambda row: row[0]))]


def _usual_nights(lowest_c: float, cold_c: float, units: TemperatureUnit) -> str:
    """The middle night and the cold one in ten; one temperature where both are shown the same."""
    middle, cold = show_temperature(lowest_c, units), show_temperature(cold_c, units)
    return (
        middle if middle == cold else f"{middle} as often above as below, one in ten below {cold}"
    )


def _usual(outlook: Outlook, units: TemperatureUnit) -> list[Text]:
    """Past years of the same days, where there is no forecast."""
    told = [
        f"{words.clean(week.spot, 40)}: nights of "
        f"{_usual_nights(week.lowest_c, week.cold_c, units)} "
        f"({words.number_of(week.years, 'year')})."
        for week in outlook.usual
        if week.lowest_c is not None and week.cold_c is not None
    ]
    told += [
        f"{words.short_name(one)} ({words.clean(one.spot, 40)}): a night of these seven was below "
        f"its limit in {one.usual_years} of {one.of_years} years on record."
        for one in outlook.plants
        if one.usual_years and one.of_years
    ]
    return [Text(sentences=tuple(told), listed=True)] if told else []


def _doubts(outlook: Outlook) -> Iterator[str]:
    """Why not everything could be told, in sentences."""
    for doubt in outlook.doubts:
        if doubt is Doubt.NO_FORECAST:
            yield (
                "No forecast is there: the source gave none, or none was fetched. Give one with "
                "--forecast, or go by another forecast and the lows on the cards."
            )
        elif doubt is Doubt.STALE and outlook.forecast is not None:
            hours = outlook.forecast.age_hours
            age = f"{hours:.0f} hours" if hours <= OLD_HOURS else f"{hours / 24:,.0f} days"
            yield f"The forecast is {age} old, and the weather may have turned: get a new one."
        elif doubt in DOUBTS:
            yield DOUBTS[doubt]


def _basis(outlook: Outlook, units: TemperatureUnit) -> Iterator[str]:
    """Which forecast, how far it is trusted, and since when nothing is observed."""
    told = outlook.forecast
    if told is not None:
        source = words.clean(words.credit_text(told.credit) or "source not said", 200)
        rain = "" if told.rain else "; no rain in it, so every pot without a roof counts as wet"
        begins = _begins_later(outlook)
        of = f"only from {begins} on" if begins else f"of {words.moment(told.issued)}"
        yield f"Forecast: {source}, {of}, up to {words.moment(told.until)}{rain}."
        first = outlook.allowances[0] if outlook.allowances else None
        if first is not None:
            lowered = show_difference(first.allowance_c, units)
            nights = f" ({first.nights} nights)" if first.basis == "learned" else ""
            yield (
                f'"Perhaps" is tonight {lowered} lower, {BASES[first.basis]}{nights}: on one night '
                "in ten it errs farther."
            )
    if outlook.observed_until is not None:
        missing = f", {outlook.missing_hours} h of 14 days missing" if outlook.missing_hours else ""
        yield f"Observed up to {words.moment(outlook.observed_until)}{missing}."


def outlook_calendar(outlook: Outlook, units: TemperatureUnit) -> CalendarSheet:
    """Tonight's moves, the nights to watch, a day each, and what cannot be told tonight."""
    by_day: dict[date, list[tuple[PlantOutlook, NightAhead]]] = {}
    for one in outlook.plants:
        nights = _first_nights(one) if one.act in (Act.MOVE, Act.WATCH) else []
        for night in nights[:1] if one.act is Act.MOVE else nights:
            by_day.setdefault(night.evening, []).append((one, night))
    unsure = _acting(outlook, Act.CANNOT_TELL)
    past = _past(outlook, unsure)
    doubt = CalendarEvent(
        identity=("outlook", "cannot-tell"),
        first=outlook.tonight,
        days=1,
        title="Tonight cannot be told of every plant",
        lines=(
            f"Why: {_reasons(outlook)}.",
            *([f"{past}."] if past else []),
            *([_unsure(unsure)] if unsure else []),
        ),
        category="watch",
    )
    return CalendarSheet(
        name=f"Nights to watch, {words.clean(outlook.place.name, 60)}",
        about=f"As of {words.moment(outlook.now)}; a forecast changes, so make it anew each day.",
        first_day=outlook.tonight,
        latitude=outlook.place.latitude,
        longitude=outlook.place.longitude,
        events=((doubt,) if outlook.doubts else ())
        + tuple(
            CalendarEvent(
                identity=("outlook", f"{evening}"),
                first=evening,
                days=1,
                title=f"{'Move' if evening == outlook.tonight else 'Watch'} "
                f"{_named([one for one, _ in rows])}",
                lines=tuple(
                    f"{words.short_name(one)} ({words.clean(one.spot, 40)}): "
                    f"{_strain(night, units)}"
                    for one, night in rows
                ),
                category="move" if evening == outlook.tonight else "watch",
            )
            for evening, rows in sorted(by_day.items())
        ),
    )
