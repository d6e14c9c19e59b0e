"""The words that all answers share: verdicts, dates, months and causes as people say them."""

from __future__ import annotations

import html
import unicodedata
from collections import Counter
from datetime import datetime
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Protocol

from suitability.advice.terms import HeatWord, Verdict, dates_help
from suitability.answers.sheet import Cell, Column, Mark
from suitability.brief import MONTHS
from suitability.spots.spot import OPEN_AIR
from suitability.units import (
    TemperatureUnit,
    show_difference,
    show_not_above,
    show_not_below,
    show_temperature,
    shown_value,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence
    from datetime import date

    from suitability.advice.card import Card
    from suitability.advice.comparison import Row
    from suitability.advice.moves import Move
    from suitability.advice.plant_year import HeatOutlook
    from suitability.advice.result import CarriedNights, Credit, Finding, Limiting, RecordSummary
    from suitability.advice.terms import PromiseWorth, Season, Whose
    from suitability.weather.record import Record

DAYS = 365
MONTH_STARTS = (0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334)  # days since 1 January
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
UNKNOWN = "?"
NONE = "-"  # there is none, where "?" says that it is not known
WIDE = 104  # columns of a terminal from which the gaps between columns are wider
DETAILED = 3  # groups up to which every one is described in full on a terminal
REST_NOT_TOLD = (  # of a hybrid, or a plant without a label
    "not known from its name: read its label, or ask its seller, for its parents and their rest"
)
INVENTED = "INVENTED demo place: none of this was ever measured."
CAUTIONS = (
    "This informs a decision and guarantees nothing: a new winter can be colder than any on "
    "record, a garden is not a weather station, and plants differ."
)
VERDICT_WORDS = {verdict: verdict.value for verdict in Verdict}
IN_A_ROOM = {  # a spot in a room has the verdicts of one outdoors, and nobody carries it out
    Verdict.ALL_YEAR: f"can stand in this room all year ({Verdict.ALL_YEAR})",
    Verdict.SEASONAL: f"can stand in this room for a season ({Verdict.SEASONAL})",
    Verdict.INDOOR: f"not in this room ({Verdict.INDOOR})",
    Verdict.NONE: VERDICT_WORDS[Verdict.NONE],
}
COUNTED_IN_A_ROOM = {
    **{verdict: f"{verdict} in a room" for verdict in Verdict},
    Verdict.INDOOR: "not in that room",
}
SHORT_IN_A_ROOM = {Verdict.ALL_YEAR: "can stay\nall year", Verdict.INDOOR: "not here"}
READ_IN_A_ROOM = "read 'outdoors' as 'at this spot', and 'indoors' as 'not at this spot'."
VERDICT_MARKS = {verdict: Mark(verdict.value) for verdict in Verdict}
_CAUSES = {
    "hard-night": "nights colder than it stands",
    "wet-cold": "nights too cold for a wet pot",
    "dose": "cold that adds up over a fortnight",
    "heat": "days hotter than it stands",
    "floor": "nights too cool for it to grow",
    "missing-nights": "nights that nobody measured",
}
SHORT_CAUSES = {
    "hard-night": "limit",
    "wet-cold": "wet",
    "dose": "dose",
    "heat": "heat",
    "floor": "floor",
    "missing-nights": "unseen",
}
COOL_GROWER_C = 13.0  # comfort mark up to which nights are sooner too warm than too cold
NEAR_C = 1.0  # K, by which a garden easily differs from a station
FORTNIGHT = 14  # days of a season beyond the comfortable ones that go without a word
HEAT_IF_DRY = "does it no harm in air of about 50% humidity, dry air does"
HEAT_WORDS = {
    HeatWord.LITTLE: "little to fear",
    HeatWord.AT_TIMES: "harms at times",
    HeatWord.EXPECT_DAMAGE: "expect heat damage",
    HeatWord.IF_DRY: HEAT_IF_DRY,
    HeatWord.UNKNOWN: "too few years to say",
}
HEAT_MINDED = {
    HeatWord.EXPECT_DAMAGE: "expect heat damage",
    HeatWord.IF_DRY: "dry air in heat",
}
FEW_YEARS = "fewer than ten years on record are whole"
HARMED = (HeatWord.EXPECT_DAMAGE, HeatWord.AT_TIMES)
LONGEST = 200  # characters of a name or note that are shown
NAME_WIDEST = 18  # characters of a name in a table on a terminal
SPOT_WIDEST = 12
_REORDERING = frozenset("\u061c\u200e\u200f\u2028\u2029\ufeff") | frozenset(
    chr(code) for code in (*range(0x202A, 0x202F), *range(0x2066, 0x206A))
)


class Rows(Protocol):
    """A result, whatever its question."""

    @property
    def results(self) -> Sequence[Whose]:
        """Its rows."""
        ...


class GoesOut(Protocol):
    """A group that may go out, whatever the question."""

    @property
    def season(self) -> Season | None:
        """When it is out."""
        ...

    @property
    def grows_from(self) -> str | None:
        """The day before which it does not grow there."""
        ...


@lru_cache(maxsize=4096)  # the same names and notes stand in many cells
def clean(text: str, longest: int = LONGEST) -> str:
    r"""
    Foreign text made harmless to read: one line, cut, no control or reordering characters.

    Examples
    --------
    >>> clean("red" + chr(27) + "[31m " + chr(0x202E) + "pot")
    'red[31m pot'
    """
    spaced = "".join(" " if character in "\t\n\r\v\f" else character for character in text)
    kept = "".join(
        character
        for character in spaced
        if character not in _REORDERING and unicodedata.category(character) not in ("Cc", "Cs")
    ).strip()
    return kept if len(kept) <= longest else kept[: longest - 1].rstrip() + "…"


def in_list(name: str) -> str:
    """
    A name for a list in a sentence: in quotes where it holds what parts the list.

    Examples
    --------
    >>> [in_list(name) for name in ("nobiles", "white, scented")]
    ['nobiles', '"white, scented"']
    """
    return f'"{name}"' if any(mark in name for mark in ",;:") else name


def chart_text(text: str) -> str:
    """
    Text for a chart, where it may hold no markup; the charting script shows `&quot;` as it is.

    Examples
    --------
    >>> chart_text('<b>"my" porch')
    '&lt;b&gt;"my" porch'
    """
    return html.escape(text, quote=False)


def verdict_words(verdict: Verdict, *, indoors: bool) -> str:
    """
    A verdict in words, of a spot in a room or of one outdoors.

    Examples
    --------
    >>> verdict_words(Verdict.ALL_YEAR, indoors=True), verdict_words(Verdict.INDOOR, indoors=False)
    ('can stand in this room all year (outdoor-all-year)', 'indoor-only')
    """
    return (IN_A_ROOM if indoors else VERDICT_WORDS)[verdict]


def verdict_cell(verdict: Verdict, *, indoors: bool) -> Cell:
    """The same for a table: that of a spot in a room in two lines, short ones where narrow."""
    told = verdict_words(verdict, indoors=indoors)
    short = SHORT_IN_A_ROOM.get(verdict, told) if indoors else told
    return Cell(told.replace(" (", "\n("), short=short, mark=VERDICT_MARKS[verdict])


def nothing_asks_in(verdict: Verdict) -> str:
    """Of a group that no unsafe night sends in, in too few years to promise it all year."""
    return f"nothing on record asks it in, yet the verdict is only {verdict}"


def mark_sentences(judged: Sequence[Finding] | Sequence[Row], units: TemperatureUnit) -> list[str]:
    """What the marks of a table of verdicts mean; that all are provisional is said here alone."""
    sentences = []
    few = [short_name(one, 40) for one in on_years(judged) if one.provisional]
    if few and len(few) == len(judged):
        sentences.append(f"All verdicts are provisional: {FEW_YEARS}{worth(judged)}.")
    elif few:
        named = _at_most(list(dict.fromkeys(few)), 8)
        sentences.append(f"Provisional, {FEW_YEARS}{worth(judged)}: {named}.")
    if any(one.borderline for one in judged):
        sentences.append(borderline(units))
    return sentences


def on_years(judged: Iterable[Any]) -> list[Any]:
    """Those whose verdict hangs on past years: that of a room that no weather reaches does not."""
    return [one for one in judged if not getattr(one, "steady", False)]


def borderline(units: TemperatureUnit) -> str:
    """What that mark means."""
    degree = show_difference(1.0, units)
    return f"Borderline: a spot {degree} colder or warmer has another verdict."


def unseen_note(judged: Sequence[Whose]) -> str:
    """What nobody saw of the nights that an answer rests on, in a sentence; mostly empty."""
    marked = [one for one in judged if one.unseen_nights]
    if not marked:
        return ""
    whom = ", ".join(dict.fromkeys(short_name(one, 40) for one in marked))
    most = max(one.unseen_nights for one in marked)
    return unseen_sentence(most, "" if len(marked) == len(judged) else whom)


def unseen_sentence(nights: int, of: str = "") -> str:
    """
    That so many nights were seen by nobody, and what it is worth.

    Examples
    --------
    >>> unseen_sentence(3)
    '3 nights nobody saw may have been worse: this may look better than it is.'
    """
    number = "1 night" if nights == 1 else f"{nights} nights"
    return f"{number} nobody saw may have been worse: {of or 'this'} may look better than it is."


def worth(judged: Iterable[Finding | Move | Row | Card]) -> str:
    """What a promise from few years may be worth, after a semicolon; empty if none promises."""
    told = next((one.promise_worth for one in judged if one.promise_worth is not None), None)
    return "" if told is None else f"; {_worth(told)}"


def _worth(told: PromiseWorth) -> str:
    return f"{told.promised:.0%} may prove {100 * told.low:.0f} to {told.high:.0%}"


def credit_text(credit: Credit | RecordSummary | Record) -> str:
    """Source, attribution and licence of weather, as they must be said where it is shown."""
    told = ""
    for text in filter(None, map(clean, (credit.source, credit.attribution, credit.licence))):
        told += (" " if told.endswith(".") else "; ") + text if told else text
    return told


@lru_cache(maxsize=1024)  # the same days stand in many cells
def day_month(month_day: str, *, short: bool = False) -> str:
    """
    A day of the year in words.

    Examples
    --------
    >>> day_month("03-15"), day_month("03-15", short=True)
    ('15 March', '15 Mar')
    """
    month, number = month_day.split("-")
    name = MONTHS[int(month) - 1]
    return f"{int(number)} {name[:3] if short else name}"


def date_of(moment: date, *, short: bool = False) -> str:
    """A date near by, without its year, such as "8 January"."""
    return day_month(f"{moment:%m-%d}", short=short)


def day(moment: date, *, short: bool = False) -> str:
    """A date in words, such as "8 January 2007"."""
    return f"{date_of(moment, short=short)} {moment.year}"


def weekday(moment: date) -> str:
    """A date near by with its weekday, such as "Saturday 11 October"."""
    return f"{WEEKDAYS[moment.weekday()]} {date_of(moment)}"


def moment(iso: str) -> str:
    """
    An ISO moment in words; text of another form as it is.

    Examples
    --------
    >>> moment("2013-01-01T06:00Z")
    '1 January 2013 06:00 UTC'
    """
    try:
        parsed = datetime.fromisoformat(iso)
    except ValueError:
        return clean(iso)
    return f"{day(parsed)} {parsed:%H:%M} UTC"


def season(stretch: Season | None, *, short: bool = False) -> str:
    """
    A season in words.

    Its end is the day on which the plant is carried in: its night is not spent out.
    """
    if stretch is None:
        return "none"
    if stretch.days >= 365:
        return "all year"
    out, inn = day_month(stretch.out, short=short), day_month(stretch.inn, short=short)
    return f"{out} to {inn}"


def season_of(finding: Finding | Row, *, short: bool = False) -> str:
    """The season of a verdict in words; "all year" is said only where the verdict is that."""
    if is_never_asked_in(finding):
        return "nothing asks it in"
    if not dates_help(finding):
        return "nearly all year" if short else "all year but for a few nights"
    return season(finding.season, short=short)


def answer(one: Finding | Move, units: TemperatureUnit, name: str) -> str:
    """
    What a grower is told first of one group: verdict, dates, the room it needs, years that kept it.

    Parameters
    ----------
    name
        Of the group, with its place.
    """
    indoors = one.indoors
    if one.verdict is Verdict.NONE:
        why = "" if one.reason is None else f" {clean(one.reason.text, 400)}"
        return f"{name}: {one.verdict}.{why}"
    if one.verdict is Verdict.INDOOR:
        where = verdict_words(one.verdict, indoors=indoors)
        here = "; this one does while it rests" if one.rests_there else ""
        return f"{name}: {where}. All year it needs {room_needed(one, units)}{here}."
    told = _all_year(one, units, indoors=indoors) or _for_a_season(one, units, indoors=indoors)
    beyond = filter(None, (*_growth_and_comfort(one), _heat(one, units)))
    return " ".join(filter(None, (f"{name}: {told}", *beyond, kept(one))))


def _growth_and_comfort(one: Finding | Move) -> Iterator[str]:
    """Of a group that is out: that it does not grow at once, and when it is truly comfortable."""
    if one.grows_from is not None:
        yield f"It {no_growth_yet(one)}."
    comfort, season = one.comfort_season, one.season
    if one.thresholds.comfort_c is None or season is None:
        return
    if comfort is None:
        yield "Nowhere in the year truly comfortable."
    elif not one.cool_rest and season.days - comfort.days > FORTNIGHT:
        out, inn = day_month(comfort.out), day_month(comfort.inn)
        yield f"Truly comfortable only from {out} to {inn}."


def no_growth_yet(one: GoesOut) -> str:
    """That a group sent out does not grow at once, and until when; empty where it does."""
    if one.grows_from is None:
        return ""
    if one.season is not None and one.grows_from == one.season.inn:
        return "survives, does not grow"
    return f"survives, does not grow yet before {day_month(one.grows_from)}"


def growth_mark(one: GoesOut) -> str:
    """The same in few words; `growth_note` says what they mean."""
    if one.grows_from is None:
        return ""
    if one.season is not None and one.grows_from == one.season.inn:
        return "does not grow"
    return f"grows from {day_month(one.grows_from, short=True)}"


def _heat(one: Finding | Move, units: TemperatureUnit) -> str:
    """Of a group that is out: what heat does to it, in a sentence; empty where it does little."""
    used = one.thresholds
    if used.heat_signs and used.ceiling_c is not None and one.heat in HARMED:
        signs = f"{used.heat_signs} above {show_not_above(used.ceiling_c, units)}"
        often = "Expect heat damage" if one.heat is HeatWord.EXPECT_DAMAGE else "Heat at times"
        return f"{often}: {signs}."
    if one.warm_nights is not None:
        nights = f"{one.warm_nights:.0f} nights a year are too warm for it"
        expected = one.heat is HeatWord.EXPECT_DAMAGE
        return f"Expect heat damage: {nights}." if expected else f"{nights}."
    return {
        HeatWord.EXPECT_DAMAGE: "Expect heat damage.",
        HeatWord.IF_DRY: f"Great heat {HEAT_IF_DRY}.",
    }.get(one.heat or HeatWord.LITTLE, "")


def heat_told(heat: HeatOutlook, units: TemperatureUnit) -> str:
    """What heat does, and how much of what does it in most years: hours, days in a row, nights."""
    word = HEAT_WORDS[heat.word]
    if heat.hours_mean is None:
        return word
    where = "" if heat.spent_out else ", were it out"
    told = f"{hours(heat.hours_mean)} h a year"
    if heat.cause == "run":
        told = f"{heat.longest_run} days in a row"
    told += f" above {show_not_above(heat.ceiling_c, units)}"
    told += f" ({heat.signs})" if heat.signs else ""
    nights = heat.warm_nights_mean
    if heat.cause == "warm-nights" and nights is not None and heat.warm_night_c is not None:
        limit = show_not_above(heat.warm_night_c, units)
        told = f"{nights:.0f} nights a year stay above {limit}"
    return f"{word}: {told}{where}"


def minded(one: Finding | Move) -> list[str]:
    """The same in few words, for a list: what a plant that is out meets besides its verdict."""
    if one.verdict not in (Verdict.ALL_YEAR, Verdict.SEASONAL):
        return []
    marks = []
    if one.grows_from is not None:
        marks.append(growth_mark(one))
    if one.thresholds.comfort_c is not None and one.comfort_season is None:
        marks.append("nowhere comfortable")
    if one.warm_nights is not None:
        marks.append(f"{one.warm_nights:.0f} nights too warm")
    elif one.heat in HEAT_MINDED:
        marks.append(HEAT_MINDED[one.heat])
    elif one.heat in HARMED and one.thresholds.heat_signs:
        marks.append(f"{one.thresholds.heat_signs} in heat")
    return marks


def growth_note(rows: Iterable[GoesOut]) -> list[str]:
    """What "grows from" in a list means, where it stands there."""
    if not any(one.grows_from is not None for one in rows):
        return []
    return ["Grows from: before that day it survives out there, does not grow yet."]


def comfort_rows(one: Finding | Move, units: TemperatureUnit) -> list[tuple[str, str]]:
    """When its nights are truly comfortable, as a row of facts; none where no mark is known."""
    told = comfort(one, one.thresholds.comfort_c, units)
    return [("Comfortable", told)] if told else []


def comfort(one: Finding | Move | Card, mark_c: float | None, units: TemperatureUnit) -> str:
    """When its nights are truly comfortable; empty where no mark, or too little, is known."""
    if mark_c is None or one.verdict is Verdict.NONE:
        return ""
    mark = show_temperature(mark_c, units)
    if one.comfort_season is None:
        return f"nowhere in the year: no mean night reaches {mark}"
    told = season(one.comfort_season)
    when = told if one.comfort_season.days >= DAYS else f"from {told}"
    if one.cool_rest:  # which none are where all are comfortable
        return when if when == told else f"{when}; cooler nights bring its rest"
    cool = "warm enough " if mark_c <= COOL_GROWER_C else ""  # heat is what it suffers from
    return f"{cool}{when}, nights of {mark} or more"


def _all_year(one: Finding | Move, units: TemperatureUnit, *, indoors: bool) -> str:
    """Of a group that may stay all year, with or without being carried in on few nights."""
    where = verdict_words(one.verdict, indoors=indoors)
    season = one.season
    if one.verdict is Verdict.ALL_YEAR:
        return f"{where}." if indoors else f"{where}, it may stay out{_by_how_little(one, units)}."
    if season is None or season.days >= DAYS:
        why = "" if one.reason is None else f" {clean(one.reason.text, 400)}"
        return f"{nothing_asks_in(one.verdict)}.{why}"
    if not one.nearly_all_year or one.carried_nights is None:
        return ""
    without = " needs a more sheltered spot: no dates help much."
    if dates_help(one):
        without = f": out from {day_month(season.out)}, in by {day_month(season.inn)}."
    return f"{where}, nearly all year. {stays(one)} Who cannot watch it{without}"


def _by_how_little(one: Finding | Move, units: TemperatureUnit) -> str:
    """That a spot a degree colder or less would not let it stay out; empty where one would."""
    if one.headroom_c is None or one.headroom_c >= NEAR_C:
        return ""
    where = ", in the record's open air" if one.spot == OPEN_AIR.name else ""
    return f", by only {show_difference(one.headroom_c, units)}{where}"


def stays(one: Card | Finding | Move) -> str:
    """Of a group that is nearly all year out: on how many nights it is not, in a sentence."""
    if one.carried_nights is None:
        return ""
    there, away = ("there", "away") if one.indoors else ("out", "in")
    return (
        f"It may stay {there} if carried {away}, or covered, {carried(one.carried_nights)}; the "
        "forecast says which."
    )


def _for_a_season(one: Finding | Move, units: TemperatureUnit, *, indoors: bool) -> str:
    """Of a group that is moved: its dates, and the room for the rest of the year."""
    season = one.season
    if season is None:
        return f"{verdict_words(one.verdict, indoors=indoors)}."
    out, inn = day_month(season.out), day_month(season.inn)
    dates = f"Out from {out}, in by {inn} ({season.days} days)"
    if indoors:
        dates = f"There from {out}, away by {inn} ({season.days} days)"
    return (
        f"{verdict_words(one.verdict, indoors=indoors)}. {dates}; for the rest of the year it "
        f"needs {room_needed(one, units)}."
    )


def carried(nights: CarriedNights) -> str:
    """
    On how many nights a year a plant that stays out is carried in or covered.

    It ends a sentence that begins with "if carried in".
    """
    if nights.worst == 0:
        return "should a night come that is worse than all on record"
    if nights.typical == 0:
        return f"on no night of most years, {nights.worst} in the worst"
    several = "" if nights.typical == 1 else "s"
    return f"on about {nights.typical} night{several} a year, {nights.worst} in the worst"


def room_needed(one: Finding | Move, units: TemperatureUnit) -> str:
    """The room that a group needs while it is not out, by its floors, and by the heat."""
    used = one.thresholds
    room = f"a room that stays above {show_not_below(used.floor_c, units)} at night"
    if one.cool_rest and used.rest_floor_c is not None and used.rest_floor_c < used.floor_c:
        room += f", or {show_not_below(used.rest_floor_c, units)} while it rests"
    hot = any(limiting.cause == "heat" for limiting in one.limiting)
    if hot and used.ceiling_c is not None:
        room += f" and below {show_not_above(used.ceiling_c, units)} by day"
    return room


def kept(one: Finding | Move) -> str:
    """
    How many past years kept what is promised, and whether they are few, in a sentence.

    Empty of a room whose nights hang on no weather.
    """
    if one.steady:
        return ""
    if not dates_help(one):
        return f"Provisional, from only {one.years_usable} years." if one.provisional else ""
    told = f"{one.years_kept} of {one.years_counted} past years kept {_what_was_kept(one)}"
    if not one.provisional:
        return f"{told}."
    whole = "whole " if one.years_usable < one.years_counted else ""
    if one.promise_worth is None:
        return f"{told}: provisional, from only {one.years_usable} {whole}years."
    return f"{told}: provisional; from so few {_worth(one.promise_worth)}."


def _what_was_kept(one: Finding | Move) -> str:
    """Dates, or that it stayed out."""
    whole = one.season is None or one.season.days >= DAYS
    return "that" if whole else "these dates"


def month_ranges(months: Sequence[int]) -> str:
    """
    Months in words, neighbours joined, across New Year too.

    Examples
    --------
    >>> month_ranges((1, 2, 6, 12)), month_ranges(range(1, 13)), month_ranges((3,))
    ('Jun, Dec to Feb', 'all year', 'Mar')
    """
    held = set(months)
    if len(held) == 12:
        return "all year"
    starts = [month for month in sorted(held) if (month - 2) % 12 + 1 not in held]
    parts = []
    for start in starts:
        stop = start
        while stop % 12 + 1 in held:
            stop = stop % 12 + 1
        first, last = MONTHS[start - 1][:3], MONTHS[stop - 1][:3]
        parts.append(first if start == stop else f"{first} to {last}")
    return ", ".join(parts)


def why(one: Finding | Move) -> str:
    """
    The reason of a verdict; empty where there is none.

    A room whose nights hang on no weather has no years: what limits a plant there is the reason.
    """
    if one.reason is None:
        return ""
    if one.steady and one.verdict is Verdict.INDOOR:
        return causes(one)
    return clean(one.reason.text, 400)


def causes(finding: Finding | Move, most: int | None = None) -> str:
    """What limits a group and when, most months first; beyond `most` only how many more."""
    parts = []
    for limiting in _ordered(finding):
        when = f" ({month_ranges(limiting.months)})" if limiting.months else ""
        parts.append(_CAUSES.get(limiting.cause, clean(limiting.cause, 40)) + when)
    return _at_most(parts, most) or "nothing"


def short_causes(finding: Finding) -> str:
    """The first two of what limits a group, for a narrow cell."""
    ordered = _ordered(finding)
    return _at_most([SHORT_CAUSES.get(one.cause, clean(one.cause, 20)) for one in ordered], 2)


def first_cause(finding: Finding) -> str:
    """What limits a group in most months, and how many more causes there are."""
    return _at_most([_CAUSES[one.cause] for one in _ordered(finding)], 1) or "nothing"


def in_too_few_years(rows: Iterable[Finding | Move]) -> list[str]:
    """Of rows that nothing asks in, yet that are not promised all year: why that is so."""
    named = list(dict.fromkeys(short_name(one, 40) for one in rows if is_never_asked_in(one)))
    if not named:
        return []
    told = _at_most(named, 8)
    return [f"Nothing asks it in, by a record too thin to promise the whole year: {told}."]


def on_unknown_rain(rows: Sequence[Finding | Move], *, rain_known: bool) -> list[str]:
    """That rain was taken for granted, where wet cold limits one of the rows."""
    if rain_known or not any(told.cause == "wet-cold" for one in rows for told in one.limiting):
        return []
    return ["No rain is on record, so an open pot counts as wet: `check --group` tells of a roof."]


def is_never_asked_in(one: Finding | Move | Row) -> bool:
    """Whether no night on record asks in a group that is not promised all year."""
    season = one.season
    return one.verdict is Verdict.SEASONAL and season is not None and season.days >= DAYS


def _ordered(finding: Finding | Move) -> list[Limiting]:
    """Causes with most months first."""
    return sorted(finding.limiting, key=lambda limiting: -len(limiting.months))


def _at_most(parts: list[str], most: int | None) -> str:
    """The first parts, and how many more there are."""
    shown = parts if most is None else parts[:most]
    more = len(parts) - len(shown)
    return ", ".join(shown) + (f" +{more}" if more else "")


def cause_key(findings: Sequence[Finding]) -> str:
    """The short words of `short_causes` explained, only those in use."""
    used = {limiting.cause for finding in findings for limiting in finding.limiting}
    return "; ".join(
        f"{short}: {_CAUSES[cause]}" for cause, short in SHORT_CAUSES.items() if cause in used
    )


def number(value: float | None, decimals: int = 0) -> str:
    """A number for a narrow cell, "?" where it is not known."""
    return UNKNOWN if value is None else f"{value:.{decimals}f}"


def whole_span(values: Iterable[float]) -> str:
    """
    From the least to the greatest in whole numbers; one where both are shown the same.

    Examples
    --------
    >>> whole_span([2.2, 4.6, 3.0]), whole_span([2.2, 1.8])
    ('2 to 5', '2')
    """
    ends = sorted(map(round, values))
    return " to ".join(map(str, dict.fromkeys((ends[0], ends[-1]))))


def degrees(temp_c: float | None, units: TemperatureUnit, decimals: int = 1) -> str:
    """A temperature for a cell of a column that says its unit, "?" where it is not known."""
    return number(None if temp_c is None else shown_value(temp_c, units), decimals)


def hours(value: float | None) -> str:
    """
    Hours for a narrow cell: whole, "<1" for a trace, "?" where nothing was observed.

    Examples
    --------
    >>> [hours(value) for value in (0.0, 0.2, 311.6, None)]
    ['0', '<1', '312', '?']
    """
    return "<1" if value is not None and 0.0 < value < 0.5 else number(value)


def promise(finding: Finding) -> str:
    """The years that kept the season, and what the promise rests on."""
    kept = f"{finding.years_kept} of {finding.years_counted} years"
    asked = f"{finding.promise:.0%} of new years are to keep it"
    if finding.model_based:
        return (
            f"kept by {kept}; {asked}. Model-based: {finding.years_counted} years alone cannot "
            "carry such a promise."
        )
    return f"kept by {kept}; {asked}."


def short_name(row: Whose, longest: int = 60) -> str:
    """The names of the plants that a row is about, or its group's key."""
    return _plants(row, longest) if row.plants else clean(row.group, longest)


def full_name(row: Whose, longest: int = 60) -> str:
    """The names of the plants that a row is about, or its group's name."""
    return _plants(row, longest) if row.plants else clean(row.group_name, longest)


def _plants(row: Whose, longest: int) -> str:
    """Plants by name, how many there are of each, and of all; what has no room is counted."""
    named = [
        clean(name if number == 1 else f"{name} ({number})")
        for name, number in zip(row.plants, row.numbers, strict=True)
    ]
    if len(named) == 1:
        return clean(named[0], longest)
    for shown in range(len(named), 0, -1):
        more = f" +{len(named) - shown}" if shown < len(named) else ""
        told = f"{weight(row)} plants: {', '.join(named[:shown])}{more}"
        if len(told) <= longest:
            return told
    more = f" +{len(named) - 1}"
    return clean(named[0], longest - len(more)) + more


def weight(row: Whose) -> int:
    """How many plants, or groups, a row is about."""
    return sum(row.numbers) if row.plants else 1


def who_cell(row: Whose, *, key: bool = False) -> Cell:
    """
    Whose a row of a table is; a star where a caveat stands below the table.

    Parameters
    ----------
    key
        Whether a group has its key where there is room for its name too.
    """
    star = " *" if row.caveat else ""
    longest = LONGEST if row.plants else 60
    short = short_name(row, longest) + star
    return Cell(short if key else full_name(row, longest) + star, short=short)


def who_column(
    rows: Sequence[Any],
    whose: Callable[[Any], Whose] = lambda row: row,
    *,
    key: bool = False,
    **head: Any,
) -> Column[Any]:
    """
    The first column of a table of groups, or of plants.

    Parameters
    ----------
    whose
        From a row to what says whose it is.
    key
        As of `who_cell`.
    """
    told = [whose(row) for row in rows]
    head = {"widest": NAME_WIDEST, "wraps": any(row.plants for row in told)} | head
    return Column.of(who(told), lambda row: who_cell(whose(row), key=key), **head)


def spot_column() -> Column[Any]:
    """Where each row of a table of several spots is."""
    return Column.of("Spot", lambda row: clean(row.spot, 40), widest=SPOT_WIDEST, wraps=True)


def who(rows: Sequence[Whose]) -> str:
    """What the rows of an answer are."""
    return "Plant" if any(row.plants for row in rows) else "Group"


def caveat_sentences(rows: Sequence[Whose]) -> list[str]:
    """Of which rows the group is only a guess, each once; and which are judged in their state."""
    told = dict.fromkeys((short_name(row), row.caveat) for row in rows if row.caveat)
    own = dict.fromkeys(short_name(row) for row in rows if row.in_state)
    stated = [f"Judged in its own state, which may pass: {', '.join(own)}."] if own else []
    return [*(f"* {name}: {clean(caveat)}." for name, caveat in told), *stated]


def group_of(row: Whose) -> str:
    """Group of the plants of a row, why that is a guess, and their state; empty for a group."""
    if not (row.plants or row.caveat):
        return ""
    parts = [f"{clean(row.group_name)} ({clean(row.group)})"]
    parts += [clean(row.caveat)] if row.caveat else []
    parts += ["judged in a state of its own"] if row.in_state else []
    return "; ".join(parts)


def at_place(row: Whose, place: str) -> str:
    """Where the only row of an answer is: a plant at its spot too."""
    where = clean(place, 80)
    return f"at {clean(row.spot, 40)}, {where}" if row.plants else f"at {where}"


def at_spot(spot: str, rows: Sequence[Whose]) -> str:
    """The end of a title that tells one spot of several, or where plants stand."""
    told = len({row.spot for row in rows}) > 1 or any(row.plants for row in rows)
    return f" at the spot {clean(spot, 40)}" if told else ""


def number_of(number: int, what: str) -> str:
    """
    So many of something.

    Examples
    --------
    >>> number_of(1, "pot"), number_of(2, "pot")
    ('1 pot', '2 pots')
    """
    return f"{number} {what}{'' if number == 1 else 's'}"


def counted(rows: Sequence[Whose]) -> str:
    """What a title counts: groups or plants, or pairs where one is judged at several spots."""
    number = sum(map(weight, rows))
    names = [name for row in rows for name in row.plants]
    if names:
        told = "plant"
        several = len(set(names)) < len(names)  # some have no spot yet
    else:
        told, several = "group", len({row.spot for row in rows}) > 1
    if several:
        return f"{number} pairs of {told} and spot"
    return number_of(number, told)


def counted_verdicts(
    verdicts: Sequence[Verdict], indoors: Sequence[bool] = (), numbers: Sequence[int] = ()
) -> str:
    """
    How often each verdict occurs, the best first; those of spots in a room apart.

    Parameters
    ----------
    indoors
        Of each verdict, whether its spot is in a room; none given: no spot is.
    numbers
        How often each counts; none given: once.

    Examples
    --------
    >>> counted_verdicts([Verdict.INDOOR, Verdict.ALL_YEAR, Verdict.INDOOR])
    '1 outdoor-all-year, 2 indoor-only'
    >>> counted_verdicts([Verdict.ALL_YEAR, Verdict.ALL_YEAR], [False, True])
    '1 outdoor-all-year, 1 outdoor-all-year in a room'
    """
    counts: Counter[tuple[Verdict, bool]] = Counter()
    rooms, weights = indoors or [False] * len(verdicts), numbers or [1] * len(verdicts)
    for one, room, number in zip(verdicts, rooms, weights, strict=True):
        counts[one, room] += number
    return ", ".join(
        f"{counts[verdict, room]} {COUNTED_IN_A_ROOM[verdict] if room else verdict}"
        for room in (False, True)
        for verdict in Verdict
        if counts[verdict, room]
    )


def distinct(labels: Iterable[str]) -> tuple[str, ...]:
    """
    Labels of the rows of a chart, none empty and no two the same: blanks tell equal ones apart.

    Examples
    --------
    >>> distinct(["a", "", "a"])
    ('a', 'unnamed', 'a ')
    """
    found: list[str] = []
    for label in labels:
        told = label.strip() or "unnamed"
        while told in found:
            told += " "
        found.append(told)
    return tuple(found)


def finding_label(row: Whose, result: Rows, *, key: bool = True, longest: int = 60) -> str:
    """
    Whose a row is, a group by key or name, with its spot where the result has several.

    Parameters
    ----------
    longest
        Characters to which both are cut.
    """
    name = short_name(row, longest) if key else full_name(row, longest)
    several = len({other.spot for other in result.results}) > 1
    return f"{name}, {clean(row.spot, longest)}" if several else name
