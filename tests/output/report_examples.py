"""Reports of real places, and the same with any text in the place of every name."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from msgspec.structs import replace

from suitability.advice.cases import Rules
from suitability.advice.preparing import CheckOptions, lay_out
from suitability.advice.report import make_report
from suitability.advice.result import Reason
from suitability.groups import read_catalogue
from suitability.groups.words import read_general_words, read_words
from suitability.spots.spot import OPEN_AIR, ROOFED
from suitability.weather.record import FlagCount
from tests.conftest import open_extract

from . import examples

if TYPE_CHECKING:
    from suitability.advice.report import ReportResult
    from suitability.spots.spot import Spot

CATALOGUE = read_catalogue()


@cache
def reported(name: str, keys: tuple[str, ...] = (), spots: tuple[Spot, ...] = ()) -> ReportResult:
    """The report of a real place from 10 March on; without keys of the whole catalogue."""
    groups = [CATALOGUE.find(key) for key in keys] or list(CATALOGUE.groups)
    (record, place), options = open_extract(name), CheckOptions(rules=Rules())
    needs = [group.needs() for group in groups]
    return make_report(
        lay_out(record, place, spots or (OPEN_AIR,), needs, options),
        {group.key: group for group in groups},
        words=read_words(CATALOGUE),
        general=read_general_words(),
        on="03-10",
    )


def few(*, two_spots: bool = False) -> ReportResult:
    """One that moves, one that stays out, one that heat keeps in."""
    spots = (OPEN_AIR, ROOFED) if two_spots else (OPEN_AIR,)
    return reported("los_angeles", ("phalaenanthe", "nobile", "oxyglossum"), spots)


def named(result: ReportResult, texts: list[str]) -> ReportResult:
    """
    A report in which every text that comes from users and files is one of these.

    The first stands for place and record, each of them for a group, a plant and its spot.
    """

    def text(number: int) -> str:
        return texts[number % len(texts)]

    reason = [Reason(code="x", text=text(number), numbers={}) for number in range(len(texts))]
    check = replace(
        result.check,
        place=examples.place(name=texts[0], zone=texts[0]),
        record=examples.record(
            source=texts[0],
            licence=texts[0],
            attribution=texts[0],
            notes=tuple(texts),
            flags=(FlagCount(name=texts[0], hours=1, removed=False),),
            station=examples.station(name=texts[0], identifier=texts[0]),
        ),
        results=tuple(
            replace(
                finding,
                spot=text(number),
                group=text(number),
                group_name=text(number),
                plants=(text(number),),
                numbers=(1,),
                reason=reason[number % len(texts)],
            )
            for number, finding in enumerate(result.check.results)
        ),
        spots=tuple(
            replace(spot, name=text(number), damping_hours=2.0)
            for number, spot in enumerate(result.check.spots)
        ),
    )
    return replace(
        result,
        check=check,
        moves=replace(
            result.moves,
            results=tuple(
                replace(
                    move,
                    spot=text(number),
                    group=text(number),
                    group_name=text(number),
                    plants=(text(number),),
                    numbers=(1,),
                )
                for number, move in enumerate(result.moves.results)
            ),
        ),
        growth=replace(
            result.growth,
            results=tuple(
                replace(
                    year,
                    spot=text(number),
                    group=text(number),
                    group_name=text(number),
                    rest_words=text(number),
                    runs=tuple(
                        replace(
                            run,
                            water=text(number),
                            feed=text(number),
                            look_for=text(number),
                        )
                        for run in year.runs
                    ),
                )
                for number, year in enumerate(result.growth.results)
            ),
        ),
        cards=replace(
            result.cards,
            cards=tuple(
                replace(
                    card,
                    spot=text(number),
                    group_name=text(number),
                    plants=(text(number),),
                    numbers=(1,),
                    aliases=(text(number),),
                    leaves=text(number),
                    first_signs=text(number),
                    notes=text(number),
                    pets=text(number),
                )
                for number, card in enumerate(result.cards.cards)
            ),
            after_cold=texts[0],
            trade=texts[0],
        ),
        courses=tuple(
            replace(result.courses[0], spot=spot)
            for spot in dict.fromkeys(finding.spot for finding in check.results)
        ),
    )
