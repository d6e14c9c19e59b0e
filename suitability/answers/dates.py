"""The words of moving: dates, odds, years and causes as tables, calendars and charts say them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.advice.terms import Verdict
from suitability.answers import words
from suitability.units import show_difference, show_not_below

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.card import Card
    from suitability.advice.moves import Decades, Move, MoveDate, MovesResult, Tonight
    from suitability.units import TemperatureUnit

ANY_DAY = "any day"
ALONE = "odds of that one date alone, not of the whole season"
TREND_P = 0.05  # two-sided; above it a drift of this size is common by chance


def move_label(move: Move, result: MovesResult, *, key: bool = True, longest: int = 60) -> str:
    """Whose moves they are, with the spot where the result has several."""
    return words.finding_label(move, result, key=key, longest=longest)


def percent(share: float | None) -> str:
    """
    A chance in whole per cent; none is told to be higher than 99.

    Examples
    --------
    >>> [percent(share) for share in (0.904, 0.99, 0.001, 0.0, None)]
    ['90%', '99%', '<1%', '0%', '?']
    """
    if share is None:
        return words.UNKNOWN
    return "<1%" if 0.0 < share < 0.005 else f"{share:.0%}"


def typical_date(date: MoveDate, move: Move, *, short: bool = True) -> str:
    """The date of half of the years, or that half of them set none on this side."""
    if move.sets_no_date(date):
        return ANY_DAY
    return words.day_month(date.typical, short=short)


def watch(date: MoveDate, move: Move, *, short: bool = True) -> str:
    """The days on which the forecast decides."""
    if date.watch_from is None or date.watch_to is None:
        return "none"
    first = words.day_month(date.watch_from, short=short)
    last = words.day_month(date.watch_to, short=short)
    if move.sets_no_date(date):
        return f"until {last}" if date is move.out else f"from {first}"
    return f"{first} to {last}"


def carry_in(move: Move) -> str:
    """By when on the day in: before the cold of its night, or before the hot days that follow."""
    heat = move.inn is not None and move.set_by_heat(move.inn)
    return "before the heat" if heat else "before sunset"


def interval(date: MoveDate, *, short: bool = True) -> str:
    """Where the promised date lies in nine of ten resamples of the years."""
    first = words.day_month(date.earliest, short=short)
    last = words.day_month(date.latest, short=short)
    return first if first == last else f"{first} to {last}"


def kept(move: Move) -> str:
    """Years that kept the season, of those that tell."""
    return f"{move.years_kept} of {move.years_counted}"


def kept_range(move: Move) -> str:
    """The 95 % Wilson interval of the share of years that keep it; one-sided if none failed."""
    if move.kept_low is None or move.kept_high is None:
        return words.UNKNOWN
    if move.years_kept == move.years_counted:
        return f"over {move.kept_low:.0%}"
    return f"{100 * move.kept_low:.0f}-{move.kept_high:.0%}"


def not_excluded(move: Move, *, short: bool = False) -> str:
    """What years without a failure cannot exclude, in words; empty if some failed or none tell."""
    risk = move.risk_not_excluded
    if risk is None:
        return ""
    often = f", about one year in {1.0 / risk:.0f}" if risk <= 0.5 else ""
    told = f"a yearly risk of up to {risk:.0%}{often}"
    if short:
        return f"{told} (95% confidence)"
    years = f"{move.years_counted} years" if move.years_counted != 1 else "One year"
    return f"{years} without a failure cannot exclude {told} (with 95% confidence)."


def tonight(rule: Tonight, units: TemperatureUnit) -> str:
    """The forecast low at which a plant comes in, and what brings it in below its chill base."""
    text = f"{show_not_below(rule.low_c, units)} or less"
    if rule.dry_low_c is not None:
        text += f" (dry: {show_not_below(rule.dry_low_c, units)})"
    if rule.chill_base_c is None or rule.lows_short_c is None:
        return text
    base = show_not_below(rule.chill_base_c, units)
    short = show_difference(rule.lows_short_c, units, 0)
    return (
        f"{text}; below {base} if in bud, or once the degrees below that add up to {short} over 14 "
        "nights"
    )


def is_out(one: Card | Move) -> bool:
    """Whether a forecast may bring it in: not of one in a room, or without a verdict to be out."""
    return one.verdict in (Verdict.SEASONAL, Verdict.ALL_YEAR) and not one.indoors


def bring_in(one: Card | Move, units: TemperatureUnit) -> str:
    """The same as an order, with its nights a year, on a card and among the dates of a group."""
    if one.tonight is None or not is_out(one):
        return ""
    told = f"bring it in at a forecast low of {tonight(one.tonight, units)}"
    stays = one.verdict is Verdict.ALL_YEAR or one.nearly_all_year
    if not stays or one.tonight_nights is None or one.tonight_nights < 0.5:
        return told
    return f"{told}. Such lows come on about {_nights(one.tonight_nights)} a year; not all harm"


def _nights(number: float) -> str:
    """So many nights, in whole ones."""
    whole = round(number)
    return f"{whole} night{'' if whole == 1 else 's'}"


def carried_in(move: Move) -> str:
    """On how many nights a plant that is moved would be carried in, left out; empty if on many."""
    carried = move.carried_nights
    if move.verdict is not Verdict.SEASONAL or carried is None or move.nearly_all_year:
        return ""
    told = f"left out all year, {words.carried(carried)}"
    if move.tonight_nights is None or move.tonight_nights < 0.5:
        return told
    return f"{told}; at the lows of Tonight on about {round(move.tonight_nights)}, not all harm"


def carried(move: Move) -> str:
    """Typical and worst number of carried nights a year, for a narrow cell."""
    if move.carried_nights is None:
        return "-"
    return f"{move.carried_nights.typical}/{move.carried_nights.worst}"


def last_years(decades: Decades) -> str:
    """How many of the last ten years kept the season."""
    return f"{decades.last_kept} of {decades.last_years}"


def earlier_years(decades: Decades) -> str:
    """How many of the years before kept it."""
    if not decades.earlier_years:
        return "none"
    return f"{decades.earlier_kept} of {decades.earlier_years}"


def days_a_decade(decades: Decades) -> str:
    """
    How fast the length of the years' own seasons drifts.

    It is the Theil-Sen slope, in days a decade.
    """
    slope = decades.days_per_decade
    return words.UNKNOWN if slope is None else f"{round(slope):+d}"


def trend(decades: Decades) -> tuple[str, str]:
    """Whether the drift is more than chance, in words, and the p of the rank test."""
    p_value = decades.trend_p
    if p_value is None:
        return "not to tell", words.UNKNOWN
    shown = "<0.01" if p_value < 0.01 else f"{p_value:.2f}"
    slope = decades.days_per_decade or 0.0
    if p_value >= TREND_P or slope == 0.0:
        return "none clear", shown
    return ("longer" if slope > 0 else "shorter"), shown


def doubts(move: Move) -> str:
    """What weakens a promise, for a narrow cell."""
    marks = {"provisional": move.provisional, "model": move.model_based}
    return ", ".join(mark for mark, holds in marks.items() if holds) or "none"


def not_moved(move: Move, promise: float) -> str:
    """Why a group has no moving dates, in a sentence or two."""
    if move.verdict is Verdict.ALL_YEAR:
        where = words.verdict_words(move.verdict, indoors=move.indoors)
        staying = ", without moving" if move.indoors else ""
        if move.steady:  # no year tells of it
            return f"{where}{staying}."
        unseen = "" if move.reason is None else f" {words.clean(move.reason.text, 400)}"
        return (
            f"{where}{staying}: {kept(move)} plant years kept it, and {percent(move.chance)} of "
            f"new ones are expected to ({promise:.0%} asked for).{unseen}"
        )
    return verdict_and_reason(move)


def verdict_and_reason(move: Move) -> str:
    """Verdict and reason of a group without dates."""
    verdict = words.verdict_words(move.verdict, indoors=move.indoors)
    if move.nearly_all_year:
        return f"{verdict}, nearly all year. {words.stays(move)}"
    if move.verdict is Verdict.SEASONAL:  # the whole year was fine, in too few years to say so
        verdict = words.nothing_asks_in(move.verdict)
    reason = "" if move.reason is None else words.clean(move.reason.text, 400)
    return f"{verdict}. {reason}".strip()


def in_a_room(moves: Sequence[Move]) -> str:
    """How to read what is said of the groups of one spot in a room; empty for one outdoors."""
    if not any(move.indoors for move in moves):
        return ""
    if any(move.out is not None for move in moves):
        return f"Indoors: 'out' is there, 'in' is away; {words.READ_IN_A_ROOM}"
    return f"Indoors, where nothing is carried in or out: {words.READ_IN_A_ROOM}"


def moves_title(result: MovesResult, units: TemperatureUnit) -> str:
    """What the moves of a place come to, in a sentence."""
    place = words.clean(result.place.name, 80)
    if len(result.results) == 1:
        at = words.at_place(result.results[0], result.place.name)
        return evidence_title(result.results[0], result, units, at=f" {at}")
    told = words.counted_verdicts(
        [one.verdict for one in result.results],
        [one.indoors for one in result.results],
        [words.weight(one) for one in result.results],
    )
    return f"Of {words.counted(result.results)} at {place}: {told}."


def evidence_title(move: Move, result: MovesResult, units: TemperatureUnit, *, at: str = "") -> str:
    """What the evidence of one group finds, in a sentence; `at` follows its name."""
    name = move_label(move, result, key=False, longest=80) + at
    return words.answer(move, units, name)


def year_label(year: int, first_day: str) -> str:
    """
    The year of a row that begins on a day: both calendar years if its middle lies in the second.

    Examples
    --------
    >>> year_label(2013, "02-05"), year_label(2014, "07-20"), year_label(2000, "08-01")
    ('2013', '2013/14', '1999/00')
    """
    if first_day <= "07-02":  # the middle, half a year on, is of the year in which the row begins
        return str(year)
    return f"{year - 1}/{year % 100:02d}"
