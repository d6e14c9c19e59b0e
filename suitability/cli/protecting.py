"""`suitability spots protect`: what would let a group stay out all year, and what heating takes."""

from typing import Annotated

import typer

from suitability.cli import options
from suitability.cli.asking import read_wishes, wishes_of
from suitability.cli.terminal import print_json
from suitability.errors import OptionError

__all__ = ["protect"]


def protect(
    *,
    group: Annotated[
        list[str], typer.Option("--group", metavar="KEY", help="The group to protect; one.")
    ],
    groups: options.GroupsFileOption = None,
    collection: options.CollectionOption = None,
    spot: Annotated[
        list[str] | None,
        typer.Option(
            "--spot", metavar="NAME", help="A spot of the collection, or a ready kind; one."
        ),
    ] = None,
    area: Annotated[
        float | None, typer.Option("--area", metavar="M2", help="Of all that covers the plants.")
    ] = None,
    covering: Annotated[
        str | None,
        typer.Option("--covering", metavar="single|double|twin-wall", help="What covers them."),
    ] = None,
    u: Annotated[
        float | None, typer.Option("--u", metavar="W/M2K", help="U-value, instead of --covering.")
    ] = None,
    volume: Annotated[
        float, typer.Option("--volume", metavar="M3", help="Of the air inside.")
    ] = 0.0,
    air_changes: Annotated[
        float, typer.Option("--air-changes", metavar="N", help="Of that air, an hour.")
    ] = 1.0,
    price: Annotated[
        float | None, typer.Option("--price", metavar="AMOUNT", help="Of a kilowatt-hour.")
    ] = None,
    outage: Annotated[
        int, typer.Option("--outage", metavar="HOURS", help="Length of a power cut, 1 to 72.")
    ] = 6,
    demo: options.DemoFlag = False,
    place: options.PlaceOption = None,
    at: options.AtOption = None,
    record: options.RecordOption = None,
    station: options.StationOption = None,
    utc_offset: options.UtcOffsetOption = None,
    years: options.YearsOption = None,
    promise: options.PromiseOption = 0.9,
    caution: options.CautionOption = "usual",
    offline: options.OfflineFlag = False,
    units: options.UnitsOption = "c",
    json: options.JsonFlag = False,
) -> None:
    """Say what would let a group stay out all year at a spot: lift, measures, watts and energy."""
    wishes = wishes_of(locals())
    from suitability.advice.protection import plan_protection
    from suitability.output.protection_words import render_protection

    for option, given in (("--group", group), ("--spot", spot or ())):
        if len(given) > 1:
            raise OptionError(f"{option}: one at a time is protected; ask once for each.")
    loss = _loss(area, covering, u, volume, air_changes)
    options.check_range("--outage", outage, 1, 72)
    if price is not None:
        options.check_range("--price", price, 0.0, 1e6)
    asked = read_wishes(wishes)
    if len(asked.spots) > 1:
        raise OptionError("--collection: say with --spot which of its spots is to be protected.")
    if asked.spots[0].room is not None:
        raise OptionError("--spot: a room needs no protection from the weather; name one outdoors.")
    found = plan_protection(
        asked.record,
        asked.place,
        asked.spots[0],
        asked.needs[0],
        asked.options,
        loss_w_per_k=loss,
        price=price,
        outage_hours=outage,
    )
    if json:
        print_json(found)
    else:
        typer.echo(render_protection(found, asked.units))


def _loss(
    area: float | None,
    covering: str | None,
    u: float | None,
    volume: float,
    air_changes: float,
) -> float | None:
    """
    Watts lost for each degree, from what is said of the enclosure; None if nothing is.

    Raises
    ------
    OptionError
        A number is out of range, or one lacks another.
    """
    from suitability.spots.heating import COVERINGS, Enclosure

    if covering is not None and u is not None:
        raise OptionError("--covering and --u say the same; give one of them.")
    if area is None:
        if covering is not None or u is not None or volume:
            raise OptionError("--area: say how many square metres cover the plants.")
        return None
    if covering is None and u is None:
        raise OptionError("--area: say what covers the plants with --covering or --u.")
    options.check_range("--area", area, 0.1, 10_000.0)
    options.check_range("--volume", volume, 0.0, 100_000.0)
    options.check_range("--air-changes", air_changes, 0.0, 60.0)
    if u is None:
        assert covering is not None
        u = COVERINGS[options.parse_choice("--covering", covering, tuple(COVERINGS))].usual
    options.check_range("--u", u, 0.1, 20.0)
    return Enclosure(
        area_m2=area, u_w_m2k=u, volume_m3=volume, air_changes_per_hour=air_changes
    ).loss_w_per_k
