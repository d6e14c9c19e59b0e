"""
The sheet of cards: what stands on each, line by line, in plain words that promise nothing.

Each card is a section of its own, which a page prints two to a sheet.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.advice.terms import Rests, Verdict, dates_help
from suitability.answers import dates, flowers, words
from suitability.answers.head import (
    ANIMALS,
    HARDENING,
    INDOOR_AIR,
    LIFTING,
    LOOK_IN,
    QUARANTINE,
    SPRAYING,
    make_sheet,
)
from suitability.answers.sheet import Fact, Facts, Section
from suitability.brief import MONTHS
from suitability.groups.words import unsaid
from suitability.units import (
    TemperatureUnit,
    bare,
    show_not_above,
    show_not_below,
    show_temperature,
    temperatures_in,
)

if TYPE_CHECKING:
    from suitability.advice.card import Card, CardResult, InGrowthAndRest
    from suitability.advice.moves import MoveDate
    from suitability.advice.terms import Span
    from suitability.answers.sheet import Sheet


def cards_sheet(result: CardResult, units: TemperatureUnit) -> Sheet:
    """A section for each card, in the order of the result."""
    return make_sheet(
        result,
        units,
        title=f"Cards for {result.place.name}",
        headline="",
        judged=result.cards,
        sections=[
            Section(
                name=f"card-{number}", title=card_title(card), blocks=(card_facts(card, units),)
            )
            for number, card in enumerate(result.cards, start=1)
        ],
        closing=(*_marks(result, units), *card_cautions(result)),
    )


def _marks(result: CardResult, units: TemperatureUnit) -> list[str]:
    """What the marks of verdicts mean, those that occur."""
    told = {
        words.borderline(units): "borderline",
        "Model-based: the years alone cannot carry the promise.": "model_based",
        "Provisional: the record has fewer than ten usable years"
        f"{words.worth(words.on_years(result.cards))}.": "provisional",
    }
    return [
        sentence
        for sentence, mark in told.items()
        if any(mark in _marked(card) for card in result.cards)
    ]


def card_title(card: Card) -> str:
    """Names of the plants, or that of the group, and the spot."""
    return f"{words.full_name(card, 80)} - {words.clean(card.spot, 40)}"


def card_facts(card: Card, units: TemperatureUnit) -> Facts:
    """Labels and sentences of one card, in the order in which they are needed at the bench."""
    rows = [
        ("Group", words.group_of(card)),
        ("Also", "" if card.caveat else ", ".join(words.clean(one, 30) for one in card.aliases)),
        ("Here", _verdict(card)),
        ("", card.line if card.verdict is not Verdict.NONE else ""),
        ("Survives", _survives(card, units)),
        ("Grows", _grows(card, units)),
        ("Comfort", words.comfort(card, card.comfort_c, units)),
        *_moves(card),
        ("Hard nights", _hard(card)),
        ("Tonight", dates.bring_in(card, units)),
        ("Rest", _rest(card, units)),
        ("Flowers", _flowers(card, units)),
        ("Bloom", flowers.bloom_text(card.bloom)),
        ("Heat", _heat(card, units)),
        ("Water", _two(card, card.water)),
        ("Feed", _two(card, card.feed)),
        ("Light", flowers.light_text(card)),
        ("Air", _air(card)),
        ("Leaves", words.clean(card.leaves)),
        ("First harm", words.clean(temperatures_in(card.first_signs, units))),
        ("Animals", ANIMALS if card.pets else ""),
    ]
    return Facts(rows=tuple(Fact(label, text) for label, text in rows if text))


def card_cautions(result: CardResult) -> list[str]:
    """What a card cannot know, and warnings: sentences that stand once below all cards."""
    return [
        words.clean(result.after_cold, 300),
        *dict.fromkeys(words.clean(card.pets, 400) for card in result.cards if card.pets),
        *((HARDENING, LOOK_IN, INDOOR_AIR) if any(card.out for card in result.cards) else ()),
        QUARANTINE,
        LIFTING,
        SPRAYING,
        words.clean(result.trade, 500),
    ]


def _marked(card: Card) -> list[str]:
    """What weakens its verdict."""
    marks = (
        ("borderline", "model_based", "provisional") if words.on_years([card]) else ("borderline",)
    )
    return [mark for mark in marks if getattr(card, mark)]


def _verdict(card: Card) -> str:
    """The verdict with the years behind it."""
    text = words.verdict_words(card.verdict, indoors=card.indoors)
    if words.on_years([card]):
        years = f"{card.years_usable} usable year{'' if card.years_usable == 1 else 's'}"
        text += f", by {years} on record"
    text += "".join(f"; {mark.replace('_', '-')}" for mark in _marked(card))
    if card.low_confidence_limit:
        text += "; its limit is of low confidence"
    if card.unseen_nights:
        nights = "a night" if card.unseen_nights == 1 else f"{card.unseen_nights} nights"
        text += f"; {nights} nobody saw may have been worse"
    return text


def _survives(card: Card, units: TemperatureUnit) -> str:
    """What it is likely to come through."""
    dry, wet = (show_not_below(temp_c, units) for temp_c in (card.limit_c, card.limit_wet_c))
    return f"single nights down to about {dry} dry, {wet} wet; below that expect lasting harm"


def _grows(card: Card, units: TemperatureUnit) -> str:
    """Nights from which it grows, and those that suit it."""
    text = f"with nights from {show_not_below(card.floor_c, units)}"
    good = card.good_nights_c
    if good is not None and good.high > card.floor_c:  # they may begin below: cooler is survived
        low = bare(show_not_below(max(good.low, card.floor_c), units), units)
        high = show_not_above(good.high, units)
        text += f", best {high if low == bare(high, units) else f'{low} to {high}'}"
    if card.rest_floor_c is not None and card.rests is not Rests.NOT_TOLD:
        text += f"; in its rest from {show_not_below(card.rest_floor_c, units)}"
    return text


def _moves(card: Card) -> list[tuple[str, str]]:
    """Move out by, move in by."""
    if card.indoors and (card.out is None or card.inn is None):
        return []
    if card.verdict is Verdict.ALL_YEAR:
        carried = card.carried_nights
        if carried is None or carried.worst == 0:
            return [("Moves", "stays out; watch the forecast all the same")]
        nights = f"{carried.typical} a year, {carried.worst} in the worst"
        return [("Moves", f"stays out; nights that would rather be indoors: {nights}")]
    if card.out is None or card.inn is None:
        told = {
            Verdict.SEASONAL: f"{words.nothing_asks_in(card.verdict)}; watch the forecast",
            Verdict.INDOOR: "stays indoors",
        }
        return [("Moves", told.get(card.verdict, ""))]
    out = _date(card.out, "from", any_day=card.out_any_day)
    out += f"; {words.no_growth_yet(card)}" if words.no_growth_yet(card) else ""
    moves = [
        ("There" if card.indoors else "Out", out),
        ("Away" if card.indoors else "In", _date(card.inn, "by", any_day=card.in_any_day)),
    ]
    if card.nearly_all_year and card.carried_nights is not None:
        nights = words.carried(card.carried_nights)
        stays = f"all year if carried in, or covered, {nights}: the forecast says which"
        if not dates_help(card):
            return [("Stays out", f"{stays}; no dates help much")]
        moves.insert(0, ("Stays out", f"{stays}. Or:"))
    return moves


def _date(date: MoveDate, word: str, *, any_day: bool) -> str:
    """A promised date with the typical one, or that half of the years set none."""
    promised = words.day_month(date.promised)
    if date.typical == date.promised:
        return f"{word} {promised}"
    if any_day:
        return f"{word} {promised} to be on the careful side, any day typical"
    return f"{word} {promised} to be on the careful side, {words.day_month(date.typical)} typical"


def _hard(card: Card) -> str:
    """Nights below the limit, were it left out."""
    hard = card.hard_nights
    if hard is None:
        return ""
    where = "there" if card.indoors else "out"
    if hard.month is None:
        return f"none on record, left {where} all year"
    mean = words.hours(hard.mean)
    worst = MONTHS[hard.month - 1]
    told = f"{mean} a year below its limit, left {where} all year"
    return f"{told}; {hard.worst} in the worst; most in {worst}"


def _rest(card: Card, units: TemperatureUnit) -> str:
    """The rest as the catalogue says it."""
    rest = card.rest_words
    if card.rests is Rests.NOT_TOLD:
        return words.REST_NOT_TOLD
    if rest is None:
        return ""
    told = words.clean(temperatures_in(rest.kind, units), 120)
    parts = [told]
    if rest.night_c is not None and (nights := unsaid(_degrees(rest.night_c, units), told)):
        parts.append(f"nights of {nights}")
    if rest.weeks is not None:
        parts.append(unsaid(f"{flowers.numbers(rest.weeks)} weeks", told))
    parts.append(unsaid(words.clean(rest.dry, 120), told))
    return ", ".join(part for part in parts if part)


def _flowers(card: Card, units: TemperatureUnit) -> str:
    """Whether it flowers here, what is missing, and when what brings flowers is complete."""
    rest = card.rest
    if card.rests is Rests.NOT_TOLD:
        return flowers.NOT_PROMISED
    if rest is None or not rest.needed:
        return flowers.by_no_nights(card.rests, rest)
    text = flowers.in_short(rest, card.flowers, card.verdict, units, indoors=card.indoors)
    if rest.usual_date is not None and rest.latest_date is not None:
        text += f"; complete by {words.day_month(rest.usual_date)} usually"
        if rest.latest_date != rest.usual_date:
            text += f", {words.day_month(rest.latest_date)} at the latest"
    if rest.left_usual:
        nights = "night is" if rest.left_usual == 1 else "nights are"
        text += f"; {rest.left_usual} {nights} still wanting in a usual year"
    return text


def _heat(card: Card, units: TemperatureUnit) -> str:
    """Where heat harms, and how often that is."""
    heat = card.heat
    if heat is None:
        return ""
    if heat.hours_mean is None:
        return f"harms above {show_not_above(heat.ceiling_c, units)}"
    text = words.heat_told(heat, units)
    if heat.longest_run and heat.cause != "run":
        text += f"; hot days in a row: {heat.longest_run} at most"
    return text


def _two(card: Card, words_of: InGrowthAndRest) -> str:
    """Words for growth and rest; for growth alone where nothing tells the rest."""
    told = card.rests is not Rests.NOT_TOLD
    growing, resting = words.clean(words_of.growth), words.clean(words_of.rest) if told else ""
    if growing == resting:
        return growing
    parts = [f"growing: {growing}" if growing else "", f"resting: {resting}" if resting else ""]
    return "; ".join(part for part in parts if part)


def _air(card: Card) -> str:
    """Humidity and drying out."""
    text = "" if card.humidity_pct is None else f"{flowers.numbers(card.humidity_pct)}% humidity"
    dry = card.dry_air
    if dry is not None and dry.warned:
        text += f"; dries out here: {words.hours(dry.hours_mean)} hot, dry hours a year"
    return text.removeprefix("; ")


def _degrees(span: Span, units: TemperatureUnit) -> str:
    """A range of temperatures."""
    low, high = (show_temperature(temp_c, units, 0) for temp_c in (span.low, span.high))
    if low == high:
        return low
    return f"{bare(low, units)} to {high}"
