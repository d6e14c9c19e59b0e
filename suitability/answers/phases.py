"""The words of a year: phases, places, changes and what must be said beside a calendar."""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.advice.growth_year import WEEKS, AirWord, Note, Phase, RestKind, SetBy, Where
from suitability.advice.terms import Verdict
from suitability.answers import flowers, words
from suitability.answers.head import HARDENING, INDOOR_AIR, LOOK_IN
from suitability.brief import MONTHS, first_of
from suitability.groups.group import Trigger
from suitability.groups.words import unsaid
from suitability.units import show_not_below, show_temperature, temperatures_in

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.growth_year import (
        Change,
        GrowthYear,
        GrowthYearResult,
        PhaseRun,
        SpotCourse,
        Stay,
    )
    from suitability.units import TemperatureUnit

STANDING_WORDS = {
    Where.INDOORS: "indoors",
    Where.MOVING_OUT: "moving out",
    Where.OUTDOORS: "outdoors",
    Where.MOVING_IN: "moving in",
}
_IN_A_ROOM = {  # a spot in a room: nobody carries a plant out of it for warmth
    Where.INDOORS: "not in this room",
    Where.MOVING_OUT: "moving there",
    Where.OUTDOORS: "in this room",
    Where.MOVING_IN: "moving away",
}
BASIS_WORDS = {
    SetBy.NIGHTS: "by the nights at the spot and the day's length",
    SetBy.DAY_LENGTH: "by the day's length, indoors",
    SetBy.ROOM: "by the day's length and the room",
    SetBy.MOVE: "with the move",
}
SHORT_BASIS = {
    SetBy.NIGHTS: "nights",
    SetBy.DAY_LENGTH: "day length",
    SetBy.ROOM: "room",
    SetBy.MOVE: "move",
}
FEEDING_CAUTION = (
    "Fertiliser, sprays and slug bait stay out of reach of children and pets; follow the label, "
    "never stronger. Feed only moist roots. Empty saucers every week."
)
SHORT_CAUTION = "Feed, sprays and slug bait: by the label, out of reach of children and pets."
NAMED = 6  # plants that a sentence names
REST_INDOORS = {  # part of it falls indoors
    Trigger.COLD: "Part of its rest falls indoors: it counts only in a room cool enough.",
    Trigger.DROUGHT: "Part of its rest falls indoors: keep it dry there.",
    Trigger.AUTUMN_NIGHTS: "Part of its cool winter falls indoors: buds drop in a warm room.",
}
_NO_REST = "It has no rest in this calendar, and flowers hang on one: it would have to be given."
NOT_BROUGHT = {
    Trigger.COLD: _NO_REST,
    Trigger.DROUGHT: _NO_REST,
    Trigger.AUTUMN_NIGHTS: "It has no cool winter in this calendar: buds drop in warmth.",
}
TOO_WARM = {
    Trigger.COLD: "will hardly flower there",
    Trigger.AUTUMN_NIGHTS: "buds drop there",
}
_COUNTED = {
    Phase.GROWING: ("grows", "grow"),
    Phase.SLOWING: ("slows down", "slow down"),
    Phase.RESTING: ("rests", "rest"),
    Phase.WAKING: ("wakes", "wake"),
}


def year_label(
    year: GrowthYear, result: GrowthYearResult, *, key: bool = True, longest: int = 60
) -> str:
    """Whose calendar it is, with the spot where the result has several."""
    return words.finding_label(year, result, key=key, longest=longest)


def days_from(first: str, last: str, *, short: bool = True) -> str:
    """
    Days from one to another, both included.

    Examples
    --------
    >>> days_from("11-05", "02-11"), days_from("01-01", "12-31")
    ('5 Nov-11 Feb', 'all year')
    """
    if (first, last) == ("01-01", "12-31"):
        return "all year"
    joined = "-" if short else " to "
    return joined.join(words.day_month(day, short=short) for day in (first, last))


def run_dates(run: PhaseRun | Stay, *, short: bool = True) -> str:
    """First and last day of a run; all year where it closes the ring."""
    if run.weeks == WEEKS:
        return "all year"
    return days_from(run.first_day, run.last_day, short=short)


def phase_dates(year: GrowthYear, phase: Phase) -> list[str]:
    """The stretches of a year with one phase; none where it does not come."""
    return [run_dates(run) for run in year.runs if run.phase is phase]


def run_of_week(year: GrowthYear, week: int) -> PhaseRun | None:
    """The run that holds a week; None without a calendar."""
    return next((run for run in year.runs if (week - run.first_week) % WEEKS < run.weeks), None)


def next_run(year: GrowthYear, week: int) -> PhaseRun | None:
    """The run after the one that holds a week; None if nothing changes."""
    now = run_of_week(year, week)
    if now is None or len(year.runs) < 2:
        return None
    return year.runs[(year.runs.index(now) + 1) % len(year.runs)]


def change_of(year: GrowthYear, run: PhaseRun) -> Change | None:
    """The change with which a run begins."""
    return next((change for change in year.changes if change.run_week == run.first_week), None)


def spread(change: Change, *, short: bool = True) -> str:
    """Earliest and latest of past years; what sets the date where the weather has no say."""
    if change.earliest_day is None or change.latest_day is None:
        return "-"
    if change.set_by is not SetBy.NIGHTS:
        return "every year"
    if change.earliest_day == change.latest_day:
        return words.day_month(change.earliest_day, short=short)
    joined = "-" if short else " to "
    return joined.join(
        words.day_month(day, short=short) for day in (change.earliest_day, change.latest_day)
    )


def years_text(change: Change) -> str:
    """How many past years had a change; nothing where the weather has no say."""
    return f"{change.years_with} of {change.of_years}" if change.of_years else ""


def change_text(change: Change) -> str:
    """One change in a sentence."""
    usual = words.day_month(change.day)
    how = BASIS_WORDS[change.set_by]
    if change.set_by is not SetBy.NIGHTS:
        return f"{usual}, {how}"
    if change.earliest_week is None or change.latest_week is None:
        return f"usually {usual}, {how}"
    years = f"in {change.years_with} of {change.of_years} years"
    if change.earliest_day == change.latest_day:
        return f"usually {usual}, the same {years}; {how}"
    return f"usually {usual}; from {spread(change, short=False)} {years}; {how}"


def standing_text(year: GrowthYear, *, short: bool = False) -> str:
    """Where the plant stands through the year, by the days of its moves."""
    season = year.season
    there, away = (standing_words(year, where) for where in (Where.OUTDOORS, Where.INDOORS))
    if not year.stays:
        return ""
    if season is None or len(year.stays) == 1:
        return stay_text(year, year.stays[0])
    out, inn = words.day_month(season.out), words.day_month(season.inn)
    told = f"{there} from {out}, {away} by {inn}"
    if not short:
        told += "; the first two weeks are for hardening"
    not_yet = words.no_growth_yet(year)
    return f"{told}; at first {not_yet}" if not_yet else told


def stay_text(year: GrowthYear, stay: Stay) -> str:
    """Where it stands for some weeks; a whole year is "all year" only where the verdict is."""
    where = standing_words(year, stay.where)
    if year.nearly_all_year:
        return f"{where} all year, if carried in or covered on the few cold nights"
    if year.indoors and stay.where is Where.INDOORS and stay.weeks == WEEKS:
        return where  # "all year" would deny only that
    if stay.where is Where.OUTDOORS and stay.weeks == WEEKS and year.verdict is Verdict.SEASONAL:
        return f"{where}: {words.nothing_asks_in(year.verdict)}"
    return f"{where} {run_dates(stay, short=False)}"


def standing_words(year: GrowthYear, where: Where) -> str:
    """Where the plant stands in one week."""
    return (_IN_A_ROOM if year.indoors else STANDING_WORDS)[where]


def weeks_title(result: GrowthYearResult, week: int, units: TemperatureUnit) -> str:
    """What the groups of a place do in a week; of one group also its care and what comes next."""
    span = result.courses[0].weeks[week - 1]
    danger = _room_danger(result, units)
    when = danger + f"Week {week}, {days_from(span.first_day, span.last_day, short=False)}"
    place = words.clean(result.place.name, 80)
    if len(result.results) == 1 and result.results[0].runs:
        (year,) = result.results
        name = words.clean(year.group_name, 80)
        return f"{when}: {name} at {place} {week_text(year, week, units)}"
    counts = dict.fromkeys(Phase, 0)
    unjudged = 0
    for year in result.results:
        run = run_of_week(year, week)
        if run is None:
            unjudged += words.weight(year)
        else:
            counts[run.phase] += words.weight(year)
    parts = [
        f"{number} {_COUNTED[phase][number != 1]}" for phase, number in counts.items() if number
    ]
    if unjudged:
        parts.append(f"{unjudged} cannot be judged")
    told = ", ".join(parts)
    return f"{when}: of {words.counted(result.results)} at {place}, {told}."


def _room_danger(result: GrowthYearResult, units: TemperatureUnit) -> str:
    """The sentence that comes before all others where the room that was stated would harm."""
    harmed = [year for year in result.results if Note.ROOM_HARMS in year.notes]
    if not harmed or result.room_c is None:
        return ""
    named = first_of([*dict.fromkeys(words.short_name(year) for year in harmed)], NAMED)
    return (
        f"A room at {show_temperature(result.room_c, units)} is too cold for {named} to live in. "
    )


def week_text(year: GrowthYear, week: int, units: TemperatureUnit) -> str:
    """What a group with a calendar does in a week, its care, and what comes next."""
    run = run_of_week(year, week)
    assert run is not None
    stands = standing_words(year, year.weeks[week - 1].where)
    told = (
        f"{_COUNTED[run.phase][0]}, {stands}. Water: {words.clean(run.water, 200)}. "
        f"Feed: {words.clean(run.feed, 200)}."
    )
    if run.phase is Phase.GROWING and year.weeks[week - 1].where is Where.INDOORS:
        told = f"{told} {full_care(year, units)}".strip()
    later = next_run(year, week)
    if later is None:
        return told
    return f"{told} It {_COUNTED[later.phase][0]} from about {words.day_month(later.first_day)} on."


def full_care(year: GrowthYear, units: TemperatureUnit) -> str:
    """What care in full indoors hangs on, where no room was stated; empty where one was."""
    if Note.INDOORS_BY_LIGHT not in year.notes:
        return ""
    floor = show_not_below(year.floor_c, units)
    return f"Indoors full water and feed only where the room's nights stay above {floor}."


def full_care_where(year: GrowthYear, run: PhaseRun, units: TemperatureUnit) -> str:
    """The same, as a clause, of growth that begins indoors; else empty."""
    indoors = year.weeks[run.first_week - 1].where is Where.INDOORS
    if run.phase is not Phase.GROWING or not indoors or not full_care(year, units):
        return ""
    return f" where nights stay above {show_not_below(year.floor_c, units)}"


def moving_sentences(years: Sequence[GrowthYear], week: int) -> tuple[str, ...]:
    """What a week of moving asks for: hardening, a look for pests, air; no moves, nothing."""
    moving = {year.weeks[week - 1].where for year in years if year.weeks and not year.indoors}
    out = (HARDENING,) if Where.MOVING_OUT in moving else ()
    return (*out, LOOK_IN, INDOOR_AIR) if Where.MOVING_IN in moving else out


def air_text(year: GrowthYear, result: GrowthYearResult) -> str:
    """When the air outdoors is not what the group likes in growth, of the weeks spent out."""
    parts = []
    for said, phrases in (("night", _NIGHTS), ("day", _DAYS)):
        for word, phrase in phrases.items():
            held = [week.week for week in year.weeks if getattr(week, said) is word]
            if held:
                parts.append(f"{phrase} {_week_ranges(held, result)}")
    return "; ".join(parts) or "nights and days as it likes them"


_NIGHTS = {
    AirWord.BELOW_REST_FLOOR: "nights below its rest floor",
    AirWord.BELOW_FLOOR: "nights below its growth floor",
}
_DAYS = {
    AirWord.COOLER: "days cooler than it likes",
    AirWord.WARMER: "days warmer than it likes (shade, air, water)",
}


def _week_ranges(weeks: list[int], result: GrowthYearResult) -> str:
    """Weeks as dates, neighbours joined, across New Year too."""
    held = set(weeks)
    if len(held) == WEEKS:
        return "all year"
    course = result.courses[0].weeks
    parts = []
    for start in sorted(week for week in held if (week - 2) % WEEKS + 1 not in held):
        stop = start
        while stop % WEEKS + 1 in held:
            stop = stop % WEEKS + 1
        parts.append(days_from(course[start - 1].first_day, course[stop - 1].last_day, short=False))
    return ", ".join(parts)


def phases_title(result: GrowthYearResult) -> str:
    """How many groups rest, only slow down, or never stop in the course of the year."""
    if not any(year.runs for year in result.results):
        place = words.clean(result.place.name, 80)
        return f"No group has a calendar at {place}: too little is known."
    counts = dict.fromkeys(("rest", "only slow down", "grow all year", "have no calendar"), 0)
    for year in result.results:
        phases = {run.phase for run in year.runs}
        verb = "grow all year" if phases else "have no calendar"
        if Phase.RESTING in phases:
            verb = "rest"
        elif Phase.SLOWING in phases:
            verb = "only slow down"
        counts[verb] += words.weight(year)
    said = ", ".join(f"{count} {verb}" for verb, count in counts.items() if count)
    return f"Through the year: {said}."


def course_title(course: SpotCourse, result: GrowthYearResult, units: TemperatureUnit) -> str:
    """Coldest and warmest weeks of nights, and the shortest and longest day, in a sentence."""
    several = len(result.courses) > 1
    where = words.clean(result.place.name, 80)
    where += f", {words.clean(course.spot, 40)}" if several else ""
    lengths = [week.day_length_h for week in course.weeks]
    days = f"days {min(lengths):.1f} to {max(lengths):.1f} h long"
    nights = [(week.night_c, week.first_day) for week in course.weeks if week.night_c is not None]
    if not nights:
        return f"The year at {where}: nights not observed well enough; {days}."
    (coldest, winter), (warmest, summer) = min(nights), max(nights)
    return (
        f"Nights at {where} are mildest in {_month(summer)} "
        f"({show_temperature(warmest, units)} on the mean) and coldest in {_month(winter)} "
        f"({show_temperature(coldest, units)}); {days}."
    )


def _month(month_day: str) -> str:
    return MONTHS[int(month_day[:2]) - 1]


def withheld(year: GrowthYear) -> str:
    """Why there is no calendar."""
    return "" if year.reason is None else words.clean(year.reason.text, 400)


def rest_text(year: GrowthYear, units: TemperatureUnit) -> str:
    """The rest of a group, and what past years did for it."""
    if not year.rest.told:
        return words.REST_NOT_TOLD
    kind = words.clean(temperatures_in(year.rest_words, units), 100) or "none"
    if year.rest_kind is RestKind.NONE:
        told = "none that cool nights bring"
        return f"{told} ({unsaid(kind, told)})" if kind != "none" else "none"
    parts = [kind if year.rest_kind is RestKind.NEEDED else f"{kind}; helps, not needed"]
    if year.rest_weeks is not None:
        parts.append(f"usually {year.rest_weeks[0]:g} to {year.rest_weeks[1]:g} weeks")
    rest = year.rest
    if rest.needed:
        parts.append(f"flowers: {flowers_in_short(year, units)}")
    if rest.usual_date is not None and rest.latest_date is not None:
        text = f"complete usually by {words.day_month(rest.usual_date)}"
        if rest.latest_date != rest.usual_date:
            text += f", at the latest by {words.day_month(rest.latest_date)}"
        parts.append(text)
    return "; ".join(parts)


def flowers_in_short(year: GrowthYear, units: TemperatureUnit) -> str:
    """Whether a group flowers, what is missing, and what would bring it."""
    return flowers.in_short(year.rest, year.flowers, year.verdict, units, indoors=year.indoors)


def about(year: GrowthYear, units: TemperatureUnit) -> str:
    """What else the catalogue says; empty if nothing."""
    return words.clean(temperatures_in(year.about, units), 400)


def words_from(year: GrowthYear) -> str:
    """Where the words of a calendar come from."""
    return f"its catalogue (mark: {words.clean(year.mark, 20)})"


def first_signs(year: GrowthYear, units: TemperatureUnit) -> str:
    """The signs of harm by cold."""
    return words.clean(temperatures_in(year.first_signs, units), 300) or "not said"


def doubts(year: GrowthYear) -> str:
    """What weakens a calendar, for a narrow cell."""
    if year.reason is not None:
        return "no calendar"
    return f"only {year.of_years} years" if year.dates_may_shift else "none"


def notes(year: GrowthYear, result: GrowthYearResult, units: TemperatureUnit) -> list[str]:
    """What must be said beside the calendar of a group, a sentence each."""
    floor = show_temperature(year.floor_c, units)
    room = "" if result.room_c is None else show_temperature(result.room_c, units)
    sentences = {
        Note.FEW_YEARS: f"Only {year.of_years} years stand behind it; dates may be weeks off.",
        Note.NO_WINTER: "This place has no winter: nothing in its nights starts or ends a rest.",
        Note.NO_SHORT_DAYS: "The day's length hardly varies here, so that indoors light dates "
        "nothing: go by the plant.",
        Note.REST_NOT_TOLD: f"Its rest is {words.REST_NOT_TOLD}; the calendar is that of its "
        "group.",
        Note.REST_NOT_BROUGHT: NOT_BROUGHT.get(year.rest.trigger or Trigger.COLD, ""),
        Note.REST_INDOORS: REST_INDOORS.get(year.rest.trigger or Trigger.COLD, ""),
        Note.ROOM_TOO_WARM: f"A room at {room} is too warm for its rest: "
        f"{TOO_WARM.get(year.rest.trigger or Trigger.COLD, '')}.",
        Note.ROOM_TOO_COLD: f"A room at {room} is colder than the nights of its rest.",
        Note.ROOM_BELOW_FLOOR: f"A room at {room} is below its growth floor of {floor}: it waits.",
        Note.ROOM_HARMS: f"A room at {room} is too cold for it to live in.",
        Note.INDOORS_BY_LIGHT: "Indoors no temperature is known: those weeks go by the day's "
        f"length alone, and the plant's own signs come first. {full_care(year, units)}",
    }
    wanted = year.rest.trigger or Trigger.COLD
    if wanted is not Trigger.AUTUMN_NIGHTS and flowers.names_a_room(year.rest, year.flowers):
        sentences[Note.REST_INDOORS] = ""  # the line of its flowers says so, and which room
    return [sentences[note] for note in year.notes if sentences[note]]
