"""Which spot is the best for whom, and by how much: the first sentences of a comparison."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from msgspec import Struct

from suitability.advice.comparison import apart, best_first, harms_more
from suitability.advice.terms import HeatWord, Verdict
from suitability.answers import words
from suitability.brief import first_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

    from suitability.advice.comparison import (
        Comparison,
        DecidedBy,
        Difference,
        Placement,
        Row,
        SpotOfPlace,
    )

    Case = tuple[str, tuple[str, ...]]
    Labels = Mapping[tuple[str, str], str]
    Pairs = Sequence[tuple[Row, Row]]

NAMED = 4  # plants that a sentence names before it counts the others
OUTDOORS = (Verdict.ALL_YEAR, Verdict.SEASONAL)
BEST_NAMED = 2  # spots of which a headline says how much better they are
TIES_NAMED = 2  # different ties of which it names the spots
SHADE = "shade and air it"
NOT_SURE = "with what is known of the spots that is not sure"


def headline(found: Comparison) -> str:
    """Which spot is best for whom, by how much, or that no difference can be told."""
    labels = spot_labels(found)
    choices = list(_choices(found, labels))
    rooms = _in_rooms(found, labels)
    if not found.placements and len(choices) == 1:
        return f"{_of_one(choices[0], labels)} {rooms}".strip()
    answer = ""
    if found.placements or len(labels) > 1:
        what, every = words.who(found.results).lower(), _number(choices)
        told = ", ".join(_parts(choices, labels))
        of = "" if every == 1 else f"Of {every} {what}s: "
        answer = f"{of}{told}."
        answer = f"{answer[0].upper()}{answer[1:]}" if answer.startswith("no") else answer
    more = _better_moved(found, labels) if found.placements else _outdoors(found, labels)
    return " ".join(filter(None, (answer, rooms, more)))


# Names and rows ---------------------------------------------------------------------------------


def spot_labels(found: Comparison) -> dict[tuple[str, str], str]:
    """By place and spot: the spot, with its place where there are several; all different."""
    labels: dict[tuple[str, str], str] = {}
    for row in found.results:
        if (row.place, row.spot) in labels:
            continue
        name = words.clean(row.spot, 24)
        label = name if len(found.places) == 1 else f"{words.clean(row.place, 24)}: {name}"
        alike = sum(other == label for other in labels.values())
        labels[row.place, row.spot] = f"{label} ({alike + 1})" if alike else label
    return labels


def label_of(row: Row | SpotOfPlace, labels: Labels) -> str:
    """The spot as it is called here."""
    return labels[row.place, row.spot]


def case_of(one: Row | Difference | Placement) -> Case:
    """What rows of the same group, or plants, share."""
    return one.group, one.plants


def cases_of(found: Comparison) -> dict[Case, list[Row]]:
    """The rows of each group, or of plants that are judged alike, at every spot."""
    cases: dict[Case, list[Row]] = {}
    for row in found.results:
        cases.setdefault(case_of(row), []).append(row)
    return cases


def placed_rows(found: Comparison) -> list[tuple[Placement, list[Row]]]:
    """Each placement with its rows."""
    cases = cases_of(found)
    return [(one, cases[case_of(one)]) for one in found.placements]


# Choices ----------------------------------------------------------------------------------------


class Choice(Struct, frozen=True, kw_only=True):
    """
    What one group, or plants judged alike, choose among.

    Attributes
    ----------
    row
        At the first spot of their order.
    best
        The first spot, and those that cannot be told from it; empty: none is fit.
    dark
        Those of them that are too dark.
    other
        With which it is compared, and in what they differ; None: with none.
    """

    row: Row
    best: tuple[str, ...]
    dark: tuple[str, ...]
    other: Row | None
    decided_by: DecidedBy | None
    told_apart: bool | None


def _choices(found: Comparison, labels: Labels) -> Iterator[Choice]:
    """One for each case, in the order of the rows."""
    by_better = {
        (*case_of(one), one.better.place, one.better.spot): one
        for one in reversed(found.differences)
    }
    for case, rows in () if found.placements else cases_of(found).items():
        outdoors, rooms = apart(rows)
        ordered = best_first(outdoors or rooms)
        told = by_better.get((*case, ordered[0].place, ordered[0].spot))
        yield _choice_of_group(ordered, told, labels)
    for one, rows in placed_rows(found):
        by_spot = {(row.place, row.spot): row for row in rows}
        other = one.against
        yield Choice(
            row=by_spot[one.best[0].place, one.best[0].spot] if one.best else rows[0],
            best=tuple(label_of(spot, labels) for spot in one.best),
            dark=_too_dark((by_spot[spot.place, spot.spot] for spot in one.best), labels),
            other=None if other is None else by_spot[other.place, other.spot],
            decided_by=one.decided_by,
            told_apart=one.told_apart,
        )


def _choice_of_group(ordered: Sequence[Row], told: Difference | None, labels: Labels) -> Choice:
    """Of a group: the first spot of its order, and whether the next one can be told from it."""
    first, *others = ordered
    best = [first] if first.verdict in OUTDOORS else []
    if best and told is not None and told.told_apart is not True:
        best += [other for other in others[:1] if other.verdict is first.verdict]
    return Choice(
        row=first,
        best=tuple(label_of(row, labels) for row in best),
        dark=_too_dark(best, labels),
        other=others[0] if others else None,
        decided_by=None if told is None else told.decided_by,
        told_apart=None if told is None else told.told_apart,
    )


def _too_dark(rows: Iterable[Row], labels: Labels) -> tuple[str, ...]:
    """At which of the spots it gets too little light."""
    return tuple(label_of(row, labels) for row in rows if row.light == "darker")


def _number(choices: Iterable[Choice]) -> int:
    """How many groups or plants they are about."""
    return sum(words.weight(choice.row) for choice in choices)


# Sentences --------------------------------------------------------------------------------------


def _of_one(choice: Choice, labels: Labels) -> str:
    """The answer for one group."""
    row, other, name = choice.row, choice.other, words.full_name(choice.row)
    at = label_of(row, labels)
    if other is None:
        days = f", {_time(row)}" if row.verdict is Verdict.SEASONAL else ""
        return f"{name}: {words.verdict_words(row.verdict, indoors=row.indoors)} at {at}{days}."
    if not choice.best:
        return f"None of these spots is fit for {name}: {row.verdict}."
    if len(choice.best) > 1:
        times = list(dict.fromkeys([_time(row), _time(other)]))
        both = f"{' and '.join(choice.best)}{_dark_at([choice])}"
        told = " against ".join(times) if len(times) > 1 else f"{times[0]} at both"
        return f"No difference can be told for {name} between {both}: {told}."
    beside = [_by_how_much([choice], labels), "expect heat damage there" if _hot([choice]) else ""]
    doubt = NOT_SURE if choice.told_apart is False else ""
    return f"{at} is best for {name}: {'; '.join(filter(None, (*beside, doubt)))}."


def _parts(choices: Sequence[Choice], labels: Labels) -> Iterator[str]:
    """The best spot of how many and by how much; then the ties, and those that fit nowhere."""
    by_spot: dict[str, list[Choice]] = {}
    alone = _number(choices) == 1

    def whom(number: int) -> str:
        return words.short_name(choices[0].row, 40) if alone else str(number)

    for choice in choices:
        if len(choice.best) == 1:
            by_spot.setdefault(choice.best[0], []).append(choice)
    ordered = sorted(by_spot.items(), key=lambda one: -_number(one[1]))
    for spot, alike in ordered[:BEST_NAMED]:
        dark = _number(choice for choice in alike if choice.row.light == "darker")
        hot = _hot(alike)
        beside = [
            _by_how_much(alike, labels),
            f"too dark there for {dark}" if dark else "",
            f"expect heat damage there for {hot}" if hot else "",
        ]
        told = "; ".join(filter(None, beside))
        yield f"{spot} is best for {whom(_number(alike))}{f' ({told})' if told else ''}"
    others = sum(_number(alike) for _, alike in ordered[BEST_NAMED:])
    if others:
        yield f"another spot for {others}"
    yield from _ties(choices, whom)
    nowhere = _number(choice for choice in choices if not choice.best)
    if nowhere:
        yield f"none is fit for {whom(nowhere)}"


def _ties(choices: Sequence[Choice], whom: Callable[[int], str]) -> Iterator[str]:
    """Which spots are the best together and for how many; of many different ties only these."""
    tied: dict[frozenset[str], list[Choice]] = {}
    for choice in choices:
        if len(choice.best) > 1:
            tied.setdefault(frozenset(choice.best), []).append(choice)
    if len(tied) > TIES_NAMED:
        yield f"several spots tie for {sum(map(_number, tied.values()))}"
    for alike in tied.values() if len(tied) <= TIES_NAMED else ():
        best = " or ".join(alike[0].best)
        yield f"no spot is better than {best} for {whom(_number(alike))}{_dark_at(alike)}"


def _dark_at(tied: Sequence[Choice]) -> str:
    """At which of the spots that tie it is too dark, and for how many of several."""
    dark = [(spot, _number(one for one in tied if spot in one.dark)) for spot in tied[0].best]
    if all(number == _number(tied) for _, number in dark):
        return " (too dark there)"
    told = [
        f"{spot}{'' if number == _number(tied) else f' for {number}'}"
        for spot, number in dark
        if number
    ]
    return f" (too dark at {' and '.join(told)})" if told else ""


def _hot(choices: Iterable[Choice]) -> int:
    """How many groups heat damages at their best spot, and less at the next; plants are told so."""
    return _number(
        choice
        for choice in choices
        if not choice.row.plants
        and choice.row.heat is HeatWord.EXPECT_DAMAGE
        and harms_more(choice.row, choice.other)
    )


def _better_moved(found: Comparison, labels: Labels) -> str:
    """Which plants would be better moved, and where."""
    moved: dict[str, list[str]] = {}
    for one, rows in placed_rows(found):
        where = " or ".join(label_of(best, labels) for best in one.best)
        when = season_there(one, rows)
        for standing in one.standing:
            if standing.well is False:
                stands = words.clean(standing.spot or "", 24)
                there = f"{where}{if_moved(one, rows, standing.spot)}"
                moved.setdefault(there, []).append(
                    f"{words.clean(standing.plant, 40)} from {stands}{when}"
                )
    if moved:
        most = NAMED if len(moved) <= 2 else NAMED // 2
        better = "; ".join(f"to {spot}: {first_of(names, most)}" for spot, names in moved.items())
        return f"Better moved {better}."
    placed = any(one.well is not None for each in found.placements for one in each.standing)
    return "No plant would be better moved." if placed else ""


def if_moved(one: Placement, rows: Sequence[Row], *stands: str | None) -> str:
    """On what a move to the best spot hangs, and what heat does there to a plant from elsewhere."""
    best = {(spot.place, spot.spot) for spot in one.best}
    there = [row for row in rows if (row.place, row.spot) in best]
    told = " if it gets light there" if any(row.light == "darker" for row in there) else ""
    if any(row.heat is HeatWord.EXPECT_DAMAGE for row in there):
        return f"{told}, but expect heat damage there: {SHADE}"
    from_here = [row for row in rows if row.spot in stands]
    if any(harms_more(row, other) for row in there for other in from_here):
        return f"{told}, but heat harms it there at times: {SHADE}"
    return told


def season_there(one: Placement, rows: Sequence[Row]) -> str:
    """Behind a plant that is better moved: its season at the best spot, or at each of them."""
    best = {(spot.place, spot.spot) for spot in one.best}
    seasons = dict.fromkeys(
        words.season_of(row, short=True)
        for row in rows
        if (row.place, row.spot) in best and row.verdict is Verdict.SEASONAL
    )
    return f" ({' or '.join(seasons)})" if seasons else ""


def _in_rooms(found: Comparison, labels: Labels) -> str:
    """Beside spots outdoors: which room is best for how many, as its nights go."""
    best = Counter[str]()
    for rows in cases_of(found).values():
        outdoors, rooms = apart(rows)
        first = best_first(rooms)[0] if outdoors and rooms else None
        if first is not None and first.verdict in OUTDOORS:
            best[label_of(first, labels)] += words.weight(first)
    if not best:
        return ""
    every = sum(words.weight(rows[0]) for rows in cases_of(found).values())
    told = ", ".join(
        label if number == every else f"{label} for {number}"
        for label, number in best.most_common()
    )
    return f"Indoors: {told}."


def _outdoors(found: Comparison, labels: Labels) -> str:
    """At which spot outdoors most groups can live, and at which fewest."""
    counts = Counter[str]()
    for row in found.results:
        if not row.indoors:
            counts[label_of(row, labels)] += row.verdict in OUTDOORS
    if not counts:
        return ""
    (most, number), *_, (fewest, least) = [*counts.most_common(), counts.most_common()[-1]]
    told = (
        f"{number} of {len(cases_of(found))} groups can live outdoors at {most}, for a season or "
        "all year"
    )
    if number == least:
        return f"{told}{' as at every other spot outdoors' if len(counts) > 1 else ''}."
    return f"{told}; {least} at {fewest}."


# By how much ------------------------------------------------------------------------------------


def _by_how_much(choices: Sequence[Choice], labels: Labels) -> str:
    """How far their best spot is from the next one, in what decides most of them."""
    kinds: dict[str, list[Choice]] = {}
    for choice in choices:
        if choice.other is not None and choice.decided_by is not None:
            kinds.setdefault(choice.decided_by.replace("verdict", "season"), []).append(choice)
    if not kinds:
        return ""
    most = max(kinds, key=lambda kind: _number(kinds[kind]))
    pairs = [(one.row, one.other) for one in kinds[most] if one.other is not None]
    others = {label_of(other, labels) for _, other in pairs}
    where = f"at {others.pop()}" if len(others) == 1 else "elsewhere"
    return f"{'mostly ' if len(kinds) > 1 else ''}{TOLD[most](pairs, where)}"


def _longer(pairs: Pairs, where: str) -> str:
    """Days of a year: of one both, of several the others' or what is gained."""
    if len(pairs) == 1:
        ((row, other),) = pairs
        return f"{_time(row)} against {_time(other)} {where}"
    if all(row.verdict is Verdict.ALL_YEAR for row, _ in pairs):
        return _all_year_against([_days(other) for _, other in pairs], where)
    gained = [_days(row) - _days(other) for row, other in pairs]
    return f"{words.whole_span(gained)} days longer than {where}"


def _all_year_against(days: Sequence[int], where: str) -> str:
    """All year against what others allow at most; a span from none to nearly all says nothing."""
    most, never = max(days), days.count(0)
    if most >= words.DAYS:
        return f"all year, as is promised for none of them {where}"
    if most == 0:
        return f"all year against no day {where}"
    bound = "" if min(days) == most else "at most "
    none = f" and none for {never}" if never else ""
    return f"all year against {bound}{most} days{none} {where}"


def _fewer_nights(pairs: Pairs, where: str) -> str:
    fewer = _fewer((row.unsafe_nights, other.unsafe_nights) for row, other in pairs)
    if fewer is None:
        return f"unsafe nights are not known {where}"
    return f"{fewer} fewer unsafe nights a year than {where}"


def _fewer(pairs: Iterable[tuple[float | None, float | None]]) -> str | None:
    """How much less the first of each has; None where no pair is known."""
    less = [other - own for own, other in pairs if own is not None and other is not None]
    return words.whole_span(less) if less else None


def _rested(pairs: Pairs, where: str) -> str:
    if len(pairs) > 1:
        return f"their rest is met in more winters than {where}"
    ((row, other),) = pairs
    met, of = (f"{one.rest.met_years or 0} of {one.rest.of_years or 0}" for one in (row, other))
    return f"its rest is met in {met} winters against {of} {where}"


def _fewer_hours(pairs: Pairs, where: str) -> str:
    fewer = _fewer((row.hours_below.year, other.hours_below.year) for row, other in pairs)
    if fewer is None:
        return f"hours below the floor are not known {where}"
    return f"{fewer} fewer hours a year below the floor than {where}"


def _less_heat(pairs: Pairs, where: str) -> str:
    fewer = _fewer((row.heat_hours, other.heat_hours) for row, other in pairs)
    if fewer is None or any(row.heat is not other.heat for row, other in pairs):
        return f"less heat than {where}"
    return f"{fewer} fewer hours a year too hot than {where}"


def _alike(pairs: Pairs, where: str) -> str:  # noqa: ARG001  (as the others)
    return f"alike {where}"


TOLD = {
    "season": _longer,
    "unsafe-nights": _fewer_nights,
    "rest": _rested,
    "hours-below": _fewer_hours,
    "heat": _less_heat,
    "nothing": _alike,
}


def _days(row: Row) -> int:
    """Days of a year that it can spend there."""
    return words.DAYS if row.verdict is Verdict.ALL_YEAR else row.days


def _time(row: Row) -> str:
    """The same in words; days that too few years promise are not all year."""
    if row.verdict is Verdict.SEASONAL:
        whole = row.days >= words.DAYS
        return "all year without a promise" if whole else f"{row.days} days"
    return {Verdict.ALL_YEAR: "all year", Verdict.NONE: "no verdict"}.get(row.verdict, "no day")
