"""One group in full, before buying or in its state: labels with sentences, and its months."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from suitability.advice.terms import Flowers, Grows, HeatWord, Rests, Survives, Verdict
from suitability.answers import flowers, words
from suitability.answers.head import HEATING, QUARANTINE
from suitability.answers.sheet import (
    Cell,
    Column,
    Fact,
    Facts,
    On,
    Table,
    build_table,
    month_columns,
)
from suitability.brief import joined
from suitability.groups.group import Trigger
from suitability.spots.spot import OPEN_AIR
from suitability.units import TemperatureUnit, show_difference, show_temperature

if TYPE_CHECKING:
    from collections.abc import Iterator

    from suitability.advice.plant_state import StateChange
    from suitability.advice.plant_year import DryAir, HeatOutlook, RestOutlook
    from suitability.advice.profile import (
        FirstFailure,
        HourRange,
        NotedDamage,
        Profile,
        Remedies,
        RoofRest,
    )
    from suitability.advice.result import Finding
    from suitability.advice.terms import Season

MONTHS_DENSE_BELOW = 104  # columns of a terminal

SURVIVES = {
    Survives.ALL_YEAR: "all year outdoors, by the nights on record",
    Survives.IN_SEASON: "for a season outdoors",
    Survives.INDOORS: "indoors only: no season outdoors is long enough",
    Survives.UNKNOWN: "cannot be said",
}
GROWS = {
    Grows.ALL_YEAR: "all year, or rests",
    Grows.IN_SEASON: "in its season",
    Grows.HARDLY: "hardly, outdoors",
    Grows.UNKNOWN: "cannot be said",
}
RESTS = {
    Rests.MET: "yes, in most years",
    Rests.PARTLY: "only partly, in most years",
    Rests.HARDLY: "hardly, on the nights that it spends out",
    Rests.NOT_NEEDED: "needs no rest for its flowers",
    Rests.AFTER_BLOOM: "needs no cold or drought for its flowers, and likes a drier spell after "
    "them",
    Rests.COOL_DAYS: "needs no cool or dry nights for its flowers; cool days start them, which are "
    "not counted here",
    Rests.NOT_TOLD: words.REST_NOT_TOLD,
    Rests.UNKNOWN: "cannot be said",
}
FIRST = {
    "hard-night": "a night below its limit",
    "wet-cold": "a cold night in a wet pot",
    "dose": "cold that had added up over a fortnight",
    "heat": "the fourth hot day in a row",
}
STATE = {
    "first-winter": "its first winter",
    "in-bud": "its buds",
    "shift": "what you know of it",
    "damage": "damage noted",
}
FIELDS = {"limit_c": "dry limit", "limit_wet_c": "wet limit", "chill_base_c": "chill base"}
RANGES = {"label": "Its label", "lives": "Lives between", "grows": "Grows between"}


# A group by its finding -------------------------------------------------------------------------


def group_facts(finding: Finding, units: TemperatureUnit, profile: Profile | None = None) -> Facts:
    """
    All that is said of one group, in the order in which a grower asks.

    Parameters
    ----------
    profile
        Of a group that was asked for by name, or of a plant.
    """
    rows = [("Verdict", _marked_verdict(finding))]
    if words.group_of(finding):
        rows.append(("Group", words.group_of(finding)))
    if profile is not None:
        rows += profile_rows(profile, units, finding)
        rows += _newly_bought(profile, finding)
        if profile.first_winter is not None or profile.state.first_winter:
            rows.append(("New plants", QUARANTINE))
    if finding.reason is not None:
        rows.append(("Why", words.why(finding)))
    if finding.unseen_nights and not (finding.verdict is Verdict.ALL_YEAR and finding.reason):
        rows.append(("Not seen", _not_seen(finding)))
    if finding.verdict is not Verdict.NONE:
        rows += [*_seasons(finding), *words.comfort_rows(finding, units)]
        rows += _robustness(finding, units, told=profile is not None)
        rows.append(("Limited by", words.causes(finding)))
    rows.append(("Thresholds", _thresholds(finding, units)))
    if finding.rest.needed and profile is None:
        rows.append(("Flowers", _rest(finding, units)))
    return Facts(rows=tuple(Fact(*row) for row in rows))


def _not_seen(finding: Finding) -> str:
    """How many nights the record lost in its cold or heat, and when."""
    months = [one.months for one in finding.limiting if one.cause == "missing-nights"]
    when = f" ({words.month_ranges(months[0])})" if months else ""
    return (
        f"{finding.unseen_nights} nights, or hot days{when}: chance would hardly lose so many just "
        "in the cold or heat of the record"
    )


def brief_facts(
    finding: Finding, units: TemperatureUnit, profile: Profile | None, *, rain_known: bool = True
) -> Facts:
    """
    What a grower must know of one group beside its verdict and dates.

    Parameters
    ----------
    rain_known
        Whether the record holds rain; else every pot without a roof counts as wet.
    """
    rows: list[tuple[str, str]] = []
    if finding.plants:
        rows.append(("Group", words.group_of(finding)))
    if profile is not None:
        rows += [(_state_label(change), _change(change, units)) for change in profile.changes]
        if profile.fails_first is not None:
            there = "there" if finding.indoors else "out"
            told = _fails(
                profile.fails_first, "cold", units, short=True, left=there, steady=finding.steady
            )
            rows.append(("Fails first", told))
    elif finding.limiting:
        rows.append(("Limited by", words.causes(finding, 2)))
    if finding.reason is not None and finding.verdict is Verdict.INDOOR:
        rows.append(("Why", words.why(finding)))
    if finding.borderline:
        rows.append(("Borderline", _edge(finding, units)))
    if profile is not None and profile.heat is not None:
        rows.append(("Heat", words.heat_told(profile.heat, units)))
    if finding.verdict is not Verdict.NONE:
        rows.append(("Flowers", _flowers(finding, units)))
    if profile is not None:
        rows += _newly_bought(profile, finding)
        label = _label_against_floor(profile, units)
        rows += [("Label", label)] if label else []
        roof = _better_roof(profile, finding, rain_known=rain_known)
        warmth = [] if finding.nearly_all_year else _more_warmth(profile, units)
        rows += [("Roof", roof)] if roof else warmth
    return Facts(rows=tuple(Fact(*row) for row in rows))


def _edge(finding: Finding, units: TemperatureUnit) -> str:
    """What a degree more or less would make of it."""
    degree = show_difference(1.0, units)
    beside = {"colder": finding.verdict_colder, "warmer": finding.verdict_warmer}
    other = [
        f"{degree} {word}: {words.verdict_words(verdict, indoors=finding.indoors)}"
        f"{_for_gaps(verdict)}"
        for word, verdict in beside.items()
        if verdict is not finding.verdict
    ]
    own = "; name yours with --spot" if finding.spot == OPEN_AIR.name else ""
    return f"a spot {'; '.join(other)}{own}"


def _for_gaps(verdict: Verdict) -> str:
    """Why there is none beside a verdict, which enough years gave: nights that nobody measured."""
    return ", for nights that nobody measured would decide" if verdict is Verdict.NONE else ""


def _flowers(finding: Finding, units: TemperatureUnit) -> str:
    """Whether it flowers, what is missing, and what would bring it."""
    return flowers.in_short(
        finding.rest, finding.flowers, finding.verdict, units, indoors=finding.indoors
    )


def _better_roof(profile: Profile, finding: Finding, *, rain_known: bool) -> str:
    """What a roof would make of it, if that is another answer; empty where it is none."""
    remedies = profile.remedies
    if remedies is None or remedies.roof_verdict is None:
        return ""
    if remedies.roof_verdict is Verdict.NONE:
        return ""
    rest, parts = remedies.roof_rest, []
    longer = remedies.roof_nearly_all_year and not finding.nearly_all_year
    if remedies.roof_verdict is not finding.verdict or longer:
        parts.append(_under_roof(remedies))
    if rest is not None and rest.flowers is Flowers.CAN is not profile.flowers:
        parts.append(f"its rest met in {rest.met_years} of {rest.of_years} years")
    if not parts:
        return ""
    why = "" if rain_known else " (no rain on record: open counts wet)"
    return f"kept dry: {', '.join(parts)}{why}"


def _under_roof(remedies: Remedies) -> str:
    """The verdict with rain kept off."""
    nearly = ", nearly all year" if remedies.roof_nearly_all_year else ""
    return "" if remedies.roof_verdict is None else f"{_verdict(remedies.roof_verdict)}{nearly}"


def _more_warmth(profile: Profile, units: TemperatureUnit) -> list[tuple[str, str]]:
    """The least shelter that changes the verdict; nothing where none does."""
    remedies = profile.remedies
    if remedies is None or remedies.shelter_c is None or remedies.shelter_verdict is None:
        return []
    shelter = show_difference(remedies.shelter_c, units)
    return [("Shelter", f"{shelter} warmer, it would be {_verdict(remedies.shelter_verdict)}")]


def _marked_verdict(finding: Finding) -> str:
    """The verdict with what weakens it."""
    text = words.verdict_words(finding.verdict, indoors=finding.indoors)
    if finding.provisional:
        text += f"; provisional, from {finding.years_usable} usable years"
    if finding.thresholds.low_confidence_limit:
        text += "; its limit is of low confidence"
    return text


def _seasons(finding: Finding) -> list[tuple[str, str]]:
    """Season, survival season, years and carried nights."""
    season, outdoor = finding.season, finding.survival_season
    rows = [
        (
            "Season",
            "none that is long enough to use"
            if finding.verdict is Verdict.INDOOR
            else f"{_stretch(finding, 'season')}: {_in_season(finding)}",
        ),
        ("Survival season", f"{_stretch(finding, 'survival')}: free of nights that harm"),
    ]
    if season is not None and finding.verdict is Verdict.SEASONAL and season.days < 365:
        rows.append(
            (
                "Move out",
                f"from {words.day_month(season.out)}, the first two weeks are for hardening",
            )
        )
        rows.append(("Carry in", f"on {words.day_month(season.inn)}: its night is not spent out"))
    if season is not None and outdoor is not None and outdoor != season:
        rows.append(
            ("In between", "outside the season, in the survival season: survives, does not grow")
        )
    if len(finding.survival_seasons) > 1:
        listed = "; ".join(words.season(one) for one in finding.survival_seasons)
        rows.append(("Separate ones", listed))
    if finding.verdict in (Verdict.ALL_YEAR, Verdict.SEASONAL):
        rows.append(("Promise", words.promise(finding)))
    carried = finding.carried_nights
    if carried is not None:
        text = f"typically {carried.typical} a year, {carried.worst} in the worst year"
        rows.append(("Carried nights", f"{text}, for cold, were it left out all year"))
    return rows


def _in_season(finding: Finding) -> str:
    """What it does outdoors, from the first day or later."""
    not_yet = words.no_growth_yet(finding)
    return f"outdoors; {not_yet}" if not_yet else "outdoors and growing or resting"


def _stretch(finding: Finding, which: str) -> str:
    """A season with its length."""
    if which == "season":
        stretch, told = finding.season, words.season_of(finding)
    else:
        stretch, told = finding.survival_season, words.season(finding.survival_season)
    return told + ("" if stretch is None else f" ({stretch.days} days)")


def _headroom(finding: Finding, units: TemperatureUnit) -> str:
    """How much colder a spot may be for the same verdict: never how much colder a plant stands."""
    colder = f"a spot up to {show_difference(finding.headroom_c or 0.0, units)} colder"
    if finding.verdict is Verdict.ALL_YEAR:
        return f"{colder} would still be {Verdict.ALL_YEAR}"
    return f"{colder} would still have some season of 70 days, with other dates"


def _robustness(finding: Finding, units: TemperatureUnit, *, told: bool) -> list[tuple[str, str]]:
    """How near the verdict is to another one; a profile has told of shelter and roof."""
    rows = []
    if finding.margin_c is not None and not told:
        margin = show_difference(finding.margin_c, units)
        rows.append(("Margin", f"{margin} warmer would raise the verdict"))
    if finding.headroom_c is not None:
        rows.append(("Headroom", _headroom(finding, units)))
    degree = show_difference(1.0, units)
    colder, warmer = (
        words.verdict_words(verdict, indoors=finding.indoors)
        for verdict in (finding.verdict_colder, finding.verdict_warmer)
    )
    if finding.borderline:
        cold, warm = map(_for_gaps, (finding.verdict_colder, finding.verdict_warmer))
        beside = f"{degree} colder: {colder}{cold}; {degree} warmer: {warmer}{warm}"
        rows.append(("Borderline", beside))
    else:
        rows.append(("Not borderline", f"the same {degree} colder and warmer"))
    if finding.dry_verdict is not None and not told:
        rows.append(("With rain kept off", words.VERDICT_WORDS[finding.dry_verdict]))
    if finding.stability is not None:
        rows.append(("Stability", f"the same in {finding.stability:.0%} of resamples of the years"))
    return rows


def _thresholds(finding: Finding, units: TemperatureUnit) -> str:
    """The numbers that decided."""
    used = finding.thresholds

    def shown(temp_c: float) -> str:
        return show_temperature(temp_c, units)

    parts = [
        f"limit {shown(used.limit_c)} dry and {shown(used.limit_wet_c)} wet",
        f"chill base {shown(used.chill_base_c)}",
        f"dose {show_difference(used.dose_limit_c_h, units, 0)}·h in 14 days",
    ]
    if used.ceiling_c is not None:
        parts.append(f"ceiling {shown(used.ceiling_c)}")
    return ", ".join(parts)


def _rest(finding: Finding, units: TemperatureUnit) -> str:
    """Whether it flowers, with what is missing, and when what brings flowers is complete."""
    rest = finding.rest
    if rest.met_years is None or rest.of_years is None:
        return "needed for flowers; not judged, for there is no verdict"
    if rest.of_years == 0:
        return "needed for flowers; not judged, for no winter is observed well enough"
    parts = [_flowers(finding, units)]
    if rest.usual_date is not None and rest.latest_date is not None:
        usual, latest = words.day_month(rest.usual_date), words.day_month(rest.latest_date)
        parts.append(f"complete by {usual} in a usual year, by {latest} in the latest")
    return "; ".join(parts)


# Its months --------------------------------------------------------------------------------------


class _Line(Struct, frozen=True, kw_only=True):
    """A line of a group's months; a terminal has its name in short, and a word beside it."""

    name: str
    short: str
    beside: str
    months: tuple[str, ...]
    year: str = ""


def months_table(finding: Finding, units: TemperatureUnit, name: str) -> Table:
    """
    Month by month: hours below comfort mark and floors, days of growth or rest, unsafe nights.

    Parameters
    ----------
    name
        Of the table, the only one of it in its sheet.
    """
    columns: list[Column[_Line]] = [
        Column.of(
            "In a month", lambda line: Cell(line.name, short=line.short), short=" ", widest=18
        ),
        Column.of("Kind", lambda line: line.beside, short=" ", number=True, on=On.TERMINAL),
        *month_columns(lambda line, at: line.months[at]),
        Column.field("Year", "year", str, number=True),
    ]
    return build_table(
        name,
        columns,
        _lines(finding, units),
        stacked=False,
        dense_below=MONTHS_DENSE_BELOW,
    )


def _lines(finding: Finding, units: TemperatureUnit) -> Iterator[_Line]:
    """The lines; without a verdict too little is known for what would read as an answer."""
    judged, used = finding.verdict is not Verdict.NONE, finding.thresholds
    for mark, mark_c, below, in_bad in (
        ("growth floor", used.floor_c, finding.hours_below, finding.hours_below_bad),
        ("rest floor", used.rest_floor_c, finding.hours_below_rest, finding.hours_below_rest_bad),
        ("comfort mark", used.comfort_c, finding.hours_below_comfort, None),
    ):
        if mark_c is None or below is None:
            continue
        threshold = show_temperature(mark_c, units)
        told = f"Hours below the {mark}, {threshold}"
        yield _Line(
            name=f"{told}, mean year",
            short=f"h below {threshold}",
            beside=mark.split()[0],
            months=tuple(map(words.hours, below.months)),
            year=words.hours(below.year),
        )
        if judged and in_bad is not None:
            yield _Line(
                name=f"{told}, bad year (one in ten)",
                short="  one year in ten",
                beside="bad year",
                months=tuple(map(words.hours, in_bad)),
            )
    if judged:
        yield _Line(
            name="Days on which it grows or rests",
            short="days it grows",
            beside="or rests",
            months=tuple(map(str, finding.growing_days)),
        )
        yield _Line(
            name="Unsafe nights, %",
            short="unsafe nights",
            beside="%",
            months=tuple(
                words.UNKNOWN if share is None else words.hours(100 * share)
                for share in finding.unsafe_share
            ),
        )


# Before buying -----------------------------------------------------------------------------------


def profile_rows(
    profile: Profile, units: TemperatureUnit, finding: Finding | None = None
) -> list[tuple[str, str]]:
    """
    Labels and sentences, in the order in which a buyer asks.

    Parameters
    ----------
    finding
        Of the same group at the same spot; None: of one outdoors.
    """
    year, indoors = profile, finding is not None and finding.indoors
    rows = [
        ("In short", _in_short(profile)),
        ("Survives", SURVIVES[year.survives]),
        ("Grows", GROWS[year.grows]),
        ("Rests", _rests(profile, units, indoors=indoors)),
        ("Flowers", _flowers_in_full(profile, indoors=indoors)),
    ]
    rows += [("Bloom", told)] if (told := flowers.bloom_text(profile.bloom)) else []
    rows += [("Light", told)] if (told := flowers.light_text(profile.light)) else []
    rows += [(_state_label(change), _change(change, units)) for change in profile.changes]
    rows += [("Damage noted", _damage(noted, units)) for noted in profile.damage]
    if profile.fails_first is not None:
        rows.append(("Fails first", _fails(profile.fails_first, "cold", units)))
    if profile.fails_in_heat is not None:
        rows.append(("In heat", _fails(profile.fails_in_heat, "heat", units)))
    if profile.buds is not None:
        rows.append(("Buds", _buds(profile, units)))
    rows += [(RANGES[one.kind], _range(one, units)) for one in profile.ranges]
    label = _label_against_floor(profile, units)
    if label:
        rows.append(("", label))
    if year.heat is not None:
        rows.append(("Heat", heat_sentence(year.heat, units)))
        if year.heat.hours_mean is not None:
            rows.append(("", _heat_against_ranges(year.heat)))
    if year.dry_air is not None:
        rows.append(("Dry air", dry_air_sentence(year.dry_air, units)))
    if profile.remedies is not None:
        rows += _remedies(profile, profile.remedies, units)
    if profile.by_caution:
        rows.append(("By caution", _by_caution(profile)))
    return rows


def _flowers_in_full(profile: Profile, *, indoors: bool) -> str:
    """Whether it flowers, with what is missing; the years stand beside its rest."""
    rest = profile.rest
    lack = "" if rest is None or not rest.missing else f", {flowers.lack(rest)}"
    room = "unless it winters in a cool room"
    if rest is not None and rest.trigger is Trigger.AUTUMN_NIGHTS:
        room = "unless its room is cool in autumn"
    return {
        Flowers.CAN: "nothing in its rest stands against it",
        Flowers.SHYLY: f"shyly{lack}",
        Flowers.AFTER_COOL_ROOM: f"hardly, {room}; {flowers.lack_outdoors(rest, indoors=indoors)}"
        if rest is not None and lack
        else f"hardly, {room}",
        Flowers.AFTER_DRY_REST: "hardly, unless kept dry in its winter indoors",
        Flowers.HARDLY: f"hardly{lack}",
        Flowers.UNKNOWN: "not promised: what starts them cannot be said",
    }[profile.flowers]


def _in_short(profile: Profile) -> str:
    """The line of the verdict, with the heat that it does not count."""
    heat = profile.heat
    harmed = heat is not None and heat.word in (HeatWord.EXPECT_DAMAGE, HeatWord.IF_DRY)
    return (
        f"{profile.line}; {words.HEAT_WORDS[heat.word]}"
        if heat is not None and harmed
        else profile.line
    )


def _rests(profile: Profile, units: TemperatureUnit, *, indoors: bool) -> str:
    """The rest, year by year, and in a room."""
    rest, word = profile.rest, RESTS[profile.rests]
    if rest is None or not rest.needed or rest.of_years == 0:
        return word
    parts = [f"{word}: {flowers.enough(rest, indoors=indoors)}"]
    if rest.usual_date is not None and rest.latest_date is not None:
        seldom = 2 * (rest.met_years or 0) <= rest.of_years
        parts.append(
            f"{'where met, ' if seldom else ''}complete by {words.day_month(rest.usual_date)} in "
            f"{'the middle one' if seldom else 'a usual year'}, "
            f"{words.day_month(rest.latest_date)} in the latest"
        )
    if rest.left_usual:
        parts.append(
            f"{rest.left_usual} nights are still wanting in a usual year, {rest.left_most} at most"
        )
    parts.append(_rooms(rest, units))
    return "; ".join(parts)


def _rooms(rest: RestOutlook, units: TemperatureUnit) -> str:
    """Which of the rooms asked about would do."""
    if rest.room is not None and rest.room.low_c is None:
        return f"kept dry for {rest.room.nights} nights in a row it meets it in any room"
    shown: dict[str, list[str]] = {"met": [], "partly": [], "not": []}
    for room in rest.rooms:
        shown[room.state].append(show_temperature(room.room_c, units, 0))
    parts = []
    if not shown["met"] and not shown["partly"] and rest.nights_indoors:
        return f"its {rest.nights_indoors} nights indoors are too few for a room to bring it"
    if shown["met"]:
        nights = f" in {rest.room.nights} nights" if rest.room is not None else ""
        parts.append(f"at {joined(shown['met'], 'or')} it meets it{nights}")
    if shown["partly"]:
        parts.append(f"at {joined(shown['partly'], 'or')} partly")
    if shown["not"]:
        parts.append(f"at {joined(shown['not'], 'or')} not")
    if rest.trigger is Trigger.AUTUMN_NIGHTS:
        return f"in a room, in late summer and autumn, {', '.join(parts)}"
    return f"in a bright{', dry' if rest.must_be_dry else ''} room {', '.join(parts)}"


def _state_label(change: StateChange) -> str:
    return f"Its {FIELDS[change.field]}"


def _change(change: StateChange, units: TemperatureUnit) -> str:
    """A threshold that the state of the plant has moved."""
    causes = " and ".join(STATE[cause] for cause in change.causes)
    plant = show_temperature(change.plant_c, units)
    return f"{plant} instead of {show_temperature(change.group_c, units)}, for {causes}"


def _damage(noted: NotedDamage, units: TemperatureUnit) -> str:
    """What the grower saw, beside the record."""
    text = f"{words.day(noted.day)}, {words.clean(noted.words, 120)}: "
    if noted.lowest_c is None or noted.dose_c_h is None:
        return text + "the record does not hold the fortnight before it"
    lowest = show_temperature(noted.lowest_c, units)
    dose = show_difference(noted.dose_c_h, units, 0)
    held = f"the fortnight before it went down to {lowest}, dose {dose}·h"
    if noted.expected:
        return text + held + "; its group's thresholds tell of harm there"
    return text + held + "; its group would have stood that: taken as tenderer"


def _fails(
    failure: FirstFailure,
    by: str,
    units: TemperatureUnit,
    *,
    short: bool = False,
    left: str = "out",
    steady: bool = False,
) -> str:
    """What fails first, left out or in a room, and when; in short the cause of most years alone."""
    if failure.of_years == 0:
        return "no year on record tells"
    seasons = "winters" if by == "cold" else "summers"  # cut short at an end where it failed too
    if not failure.failing_years:
        text = f"nothing, left {left} all year"
        text += "" if steady else f", in {failure.of_years} years"
        if failure.spare_c is None:
            return text
        spare = show_difference(failure.spare_c, units)
        spare += " colder" if by == "cold" else " warmer"
        if steady:  # its years are all the same
            return f"{text}; it would fail {spare}"
        return f"{text}; the worst of their nights would have failed {spare}"
    causes = [
        f"{FIRST[cause]} in {years}" if len(failure.causes) > 1 else FIRST[cause]
        for cause, years in ((one.cause, one.years) for one in failure.causes)
    ]
    if short and len(causes) > 1:
        causes = [f"mostly {FIRST[failure.causes[0].cause]}"]
    if steady:
        return f"left {left} all year: {', '.join(causes)}"
    usual = words.day_month(failure.usual_date or "01-01")
    earliest = words.day_month(failure.earliest_date or "01-01")
    when = f"on {usual}" if usual == earliest else f"usually on {usual}, earliest on {earliest}"
    share = f"{failure.failing_years} of {failure.of_years} {seasons}"
    return f"left {left} all year, in {share}: {', '.join(causes)}; {when}"


def _buds(profile: Profile, units: TemperatureUnit) -> str:
    """What may blast buds."""
    buds = profile.buds
    if buds is None or buds.cold_nights is None or buds.jumps is None:
        return "no year on record tells what may blast them"
    jump = show_difference(8.0, units, 0)
    nights = f"{buds.cold_nights:.0f} night{'' if round(buds.cold_nights) == 1 else 's'}"
    return (
        f"{nights} a year out below its chill base, {buds.jumps:.0f} over "
        f"{jump} from the night before: either may blast them, and so may a move, dry air or fumes"
    )


def _range(one: HourRange, units: TemperatureUnit) -> str:
    """A range against the hours of the mean year."""
    low = show_temperature(one.low_c, units)
    if one.high_c is None:
        held = f"{low} and up"
    else:
        held = f"{low} and {show_temperature(one.high_c, units)}"
    below, above = words.hours(one.hours_colder), words.hours(one.hours_warmer)
    return f"{held}: {below} h a year are colder, {above} h warmer"


def _label_against_floor(profile: Profile, units: TemperatureUnit) -> str:
    """What the label hides: hours that it calls fine and in which the group does not grow."""
    by_kind = {one.kind: one for one in profile.ranges}
    label, grows = by_kind.get("label"), by_kind["grows"]
    if label is None or label.hours_colder is None or grows.hours_colder is None:
        return ""
    hidden = grows.hours_colder - label.hours_colder
    if hidden <= 0:
        return "the label asks for no less than the group does"
    floor = show_temperature(grows.low_c, units)
    return (
        f"{words.hours(hidden)} h a year are fine by the label and below the {floor} at which the "
        "group stops growing"
    )


def heat_sentence(heat: HeatOutlook, units: TemperatureUnit) -> str:
    """Hours above the ceiling, hot runs, warm nights."""
    word = words.HEAT_WORDS[heat.word]
    if heat.hours_mean is None or heat.hours_bad is None:
        return word
    where = f" ({heat.signs})" if heat.signs else ""
    where += "" if heat.spent_out else ", were it out"
    text = (
        f"{word}: {words.hours(heat.hours_mean)} h a year above "
        f"{show_temperature(heat.ceiling_c, units)}{where}, {words.hours(heat.hours_bad)} in a bad "
        "year"
    )
    if heat.longest_run:
        text += f"; hot days in a row: {heat.longest_run} at most"
    if heat.warm_nights_mean is not None and heat.warm_night_c is not None:
        limit = show_temperature(heat.warm_night_c, units)
        text += f"; {heat.warm_nights_mean:.0f} nights a year stay above {limit}"
    return text


def _heat_against_ranges(heat: HeatOutlook) -> str:
    """Why its hours are other ones than those warmer than a range."""
    days = "days spent out" if heat.spent_out else "all days"
    return (
        f"hours on {days} of the {heat.of_years} years observed well enough; those of the ranges "
        "are of a whole mean year, from all that was observed"
    )


def dry_air_sentence(dry: DryAir, units: TemperatureUnit) -> str:
    """Hours of hot, dry air."""
    hot = show_temperature(30.0, units, 0)
    text = f"{words.hours(dry.hours_mean)} h a year warmer than {hot} and drier than 30%"
    text += f", {words.hours(dry.deficit_hours_mean)} h with a vapour deficit over 2 kPa"
    return f"{text}: it dries out, so water and mist the air" if dry.warned else text


def _remedies(
    profile: Profile, remedies: Remedies, units: TemperatureUnit
) -> list[tuple[str, str]]:
    """What would have to change for a better answer."""
    rows: list[tuple[str, str]] = []
    if remedies.shelter_c is not None and remedies.shelter_verdict is not None:
        shelter = show_difference(remedies.shelter_c, units)
        rows.append(("Shelter", f"{shelter} warmer: {_verdict(remedies.shelter_verdict)}"))
        if remedies.all_year_c is not None and remedies.all_year_c > remedies.shelter_c:
            more = show_difference(remedies.all_year_c, units)
            rows.append(("", f"{more} warmer: {_verdict(Verdict.ALL_YEAR)}"))
    elif profile.survives is not Survives.ALL_YEAR:
        most = show_difference(15.0, units, 0)
        rows.append(("Shelter", f"no shelter up to {most} warmer gives a better verdict"))
    if remedies.roof_verdict is not None:
        dry = f"with rain kept off: {_under_roof(remedies)}"
        rows.append(("Roof", f"{dry}{_roof_rest(profile, remedies.roof_rest)}"))
    if remedies.cooling_c is not None and remedies.cooling_verdict is not None:
        cooler = show_difference(remedies.cooling_c, units)
        rows.append(("Cooler spot", f"{cooler} colder: {_verdict(remedies.cooling_verdict)}"))
    if profile.survives is not Survives.ALL_YEAR:
        hold = show_temperature(remedies.hold_c, units)
        grow = show_temperature(remedies.hold_growing_c, units)
        held = f"at {hold} all night none of its cold thresholds is passed, at {grow} it grows"
        how = "`suitability spots protect` reckons what to hold for new years, watts and energy"
        rows.append(("Heating", f"{held}; {how}. {HEATING}"))
    return rows


def _roof_rest(profile: Profile, roof: RoofRest | None) -> str:
    """What a roof changes for the rest, after the verdict under it; empty if nothing."""
    rest = profile.rest
    if roof is None or rest is None:
        return ""
    if roof.met_years != rest.met_years:
        years = f"met in {roof.met_years} of {roof.of_years} years instead of {rest.met_years}"
    elif roof.partly_years != rest.partly_years:
        years = f"partly met in {roof.partly_years} of {roof.of_years} years instead of"
        years += f" {rest.partly_years}"
    else:
        return ""
    gained = roof.flowers is Flowers.CAN and profile.flowers is not Flowers.CAN
    flowers = ", and nothing in it would stand against flowers" if gained else ""
    return f"; its rest would be {years}{flowers}"


def _verdict(verdict: Verdict) -> str:
    return words.VERDICT_WORDS[verdict]


def _by_caution(profile: Profile) -> str:
    """Verdicts at the ends of the group's ranges."""
    return "; ".join(
        f"{one.caution}: {_verdict_in(one.season, one.verdict, short=True)}"
        for one in profile.by_caution
    )


def _newly_bought(profile: Profile, finding: Finding) -> list[tuple[str, str]]:
    """What a plant just bought may do, beside one that is established; nothing of what stays in."""
    winter, told = profile.first_winter, "the same in its first winter"
    if winter is None or finding.verdict is Verdict.INDOOR:
        return []
    here = _verdict_in(winter.season, winter.verdict)
    if here != _verdict_in(finding.season, finding.verdict):
        told = f"its first winter: {here}{_for_gaps(winter.verdict)}"
        if winter.only_gaps:
            told += ", for gaps in the record alone: no night on it was too cold"
    return [("Newly bought", told)]


def _verdict_in(season: Season | None, verdict: Verdict, *, short: bool = False) -> str:
    """A verdict, with its season where it has one."""
    told = words.VERDICT_WORDS[verdict]
    if verdict is Verdict.SEASONAL:
        told += f", {words.season(season, short=short)}"
    return told
