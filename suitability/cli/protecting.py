"""`suitability spots protect`: what would let a group stay out all year, and what heating takes."""

from functools import partial
from typing import TYPE_CHECKING, Annotated

import typer
from msgspec import Struct

from suitability.cli import options
from suitability.cli.asking import read_question, write_answer
from suitability.cli.completing import choices
from suitability.cli.laying import Only, Told, Without
from suitability.cli.options import Fetched, Output, Plants, Spots, Sure, Where
from suitability.errors import OptionError

if TYPE_CHECKING:
    from suitability.answers.sheet import Sheet
    from suitability.spots.heating import Loss

enclosure_option = partial(typer.Option, rich_help_panel="Enclosure")


class Covered(Struct, frozen=True, kw_only=True):
    """What covers the plants, and what its heating costs."""

    area: Annotated[
        float | None,
        enclosure_option("--area", metavar="M2", help="Of all that covers the plants."),
    ] = None
    covering: Annotated[
        str | None,
        enclosure_option(
            "--covering", help="What covers them.", **choices("single", "double", "twin-wall")
        ),
    ] = None
    u: Annotated[
        float | None,
        enclosure_option("--u", metavar="W/M2K", help="U-value, instead of --covering."),
    ] = None
    volume: Annotated[
        float | None,
        enclosure_option(
            "--volume",
            metavar="M3",
            help="Of the air inside; default: the most that such a cover can hold.",
        ),
    ] = None
    air_changes: Annotated[
        float | None,
        enclosure_option(
            "--air-changes",
            metavar="N",
            help="Of that air, an hour; default: 1, and 2 on the safe side.",
        ),
    ] = None
    price: Annotated[
        float | None, enclosure_option("--price", metavar="AMOUNT", help="Of a kilowatt-hour.")
    ] = None
    outage: Annotated[
        int,
        enclosure_option("--outage", metavar="HOURS", help="Length of a power cut, 1 to 72."),
    ] = 6


def protect(
    *,
    where: Where,
    spots: Annotated[
        Spots,
        Without("roof"),
        Told(spot="A spot of the collection, or a ready kind; one."),
    ],
    plants: Annotated[Plants, Without("all_groups"), Told(group="The group to protect; one.")],
    sure: Annotated[Sure, Without("seed")],
    fetched: Fetched,
    covered: Covered,
    output: Annotated[Output, Only("units", "json")],
) -> None:
    """Say what would let a group stay out all year at a spot: lift, measures, watts and energy."""
    from suitability.advice.protection import protect as answer

    if not plants.group:
        raise OptionError("--group: name the group that is to be protected.")
    for option, given in (("--group", plants.group), ("--spot", spots.spot or ())):
        if len(given) > 1:
            raise OptionError(f"{option}: one at a time is protected; ask once for each.")
    loss = _loss(covered)
    options.check_range("--outage", covered.outage, 1, 72)
    if covered.price is not None:
        options.check_range("--price", covered.price, 0.0, 1e6)
    question = read_question(where, spots, plants, sure=sure, fetched=fetched, output=output)
    if len(question.spots) > 1:
        raise OptionError("--collection: say with --spot which of its spots is to be protected.")
    found = answer(question, loss=loss, price=covered.price, outage_hours=covered.outage)
    unit = options.unit_shown(output)

    def sheet() -> "Sheet":
        from suitability.answers.protection import protection_sheet

        return protection_sheet(found, unit)

    write_answer(output, found, sheet)


def _loss(covered: Covered) -> "Loss | None":
    """
    What the enclosure loses, from what is said of it; None if nothing is.

    Raises
    ------
    OptionError
        A number is out of range, or one lacks another.
    """
    from suitability.spots.heating import COVERINGS, Loss

    area, covering, u = covered.area, covered.covering, covered.u
    if covering is not None and u is not None:
        raise OptionError("--covering and --u say the same; give one of them.")
    if area is None:
        if any(one is not None for one in (covering, u, covered.volume, covered.air_changes)):
            raise OptionError("--area: say how many square metres cover the plants.")
        return None
    if covering is None and u is None:
        raise OptionError("--area: say what covers the plants with --covering or --u.")
    options.check_range("--area", area, 0.1, 10_000.0)
    if covered.volume is not None:
        options.check_range("--volume", covered.volume, 0.1, 100_000.0)
    if covered.air_changes is not None:
        options.check_range("--air-changes", covered.air_changes, 0.1, 60.0)
    if u is not None:
        options.check_range("--u", u, 0.1, 20.0)
        low, high = u, u
    else:
        assert covering is not None
        cover = COVERINGS[options.parse_choice("--covering", covering, tuple(COVERINGS))]
        low, high = cover.usual, cover.high
    return Loss.of(area, low, high, volume_m3=covered.volume, air_changes=covered.air_changes)
