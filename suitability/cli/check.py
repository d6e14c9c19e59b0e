"""The command `check`: may I buy this plant, and can it live here."""

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from msgspec import Struct

from suitability.cli import options
from suitability.cli.asking import read_question, write_answer
from suitability.cli.laying import Without
from suitability.cli.options import Fetched, Output, Plants, Spots, Sure, Where
from suitability.errors import OptionError

if TYPE_CHECKING:
    from suitability.advice.plant_state import PlantState
    from suitability.answers.sheet import Sheet


class Plant(Struct, frozen=True, kw_only=True):
    """The one plant that is asked about, where more is known of it than its group."""

    label: Annotated[
        str | None,
        options.plant_option(
            "--label", metavar="LOW-HIGH", help="The range on the plant's label, in your unit."
        ),
    ] = None
    first_winter: Annotated[
        bool,
        options.plant_option("--first-winter", help="The plant has not wintered here yet."),
    ] = False
    in_bud: Annotated[bool, options.plant_option("--in-bud", help="The plant is in bud.")] = False
    shift: Annotated[
        float,
        options.plant_option(
            "--shift", metavar="K", help="How much tenderer than its group: -3 to 3 °C, your unit."
        ),
    ] = 0.0


class Many(Struct, frozen=True, kw_only=True):
    """A list of places instead of one."""

    places: Annotated[
        Path | None,
        options.where_option(
            "--places",
            metavar="FILE.csv",
            help="A list: columns at, place or record, also name and utc_offset.",
        ),
    ] = None
    results: Annotated[
        Path | None,
        options.output_option(
            "--results",
            metavar="FILE",
            help="Of --places: rows of all, as .csv, .jsonl or .parquet, in °C.",
        ),
    ] = None


def check(
    *,
    where: Where,
    spots: Spots,
    plants: Plants,
    plant: Plant,
    sure: Sure,
    fetched: Fetched,
    many: Many,
    output: Annotated[Output, Without("out", "pdf", "ics", "first_day")],
    worst: Annotated[
        bool, options.output_option("--worst", help="Also the ten worst nights and fortnights.")
    ] = False,
) -> None:
    """
    Say for each plant group whether it can live here, and what the hours below its floor are.

    The verdict is outdoor-all-year, outdoor-seasonal, indoor-only, or no-verdict with its reason.

    With --places the question is asked of each place of a list, and all rows go to --results.
    """
    if many.places is not None or many.results is not None:
        _check_many(
            many,
            plant,
            where=where,
            spots=spots,
            plants=plants,
            sure=sure,
            fetched=fetched,
            output=output,
            worst=worst,
        )
        return
    from suitability.advice.check import check as answer

    state = _read_state(plant, output.units)
    label_c = _read_label(plant.label, output.units)
    if not plants.group and (state is not None or label_c is not None):
        raise OptionError(
            "--label, --first-winter, --in-bud and --shift tell of one plant: name its --group."
        )
    question = read_question(
        where,
        spots,
        plants,
        sure=sure,
        fetched=fetched,
        output=output,
        state=state,
        label_c=label_c,
        worst=worst,
    )
    result, unit = answer(question), options.unit_shown(output)

    def sheet() -> "Sheet":
        from suitability.answers.check import check_sheet

        return check_sheet(result, unit, worst=worst)

    write_answer(output, result, sheet)


def _check_many(many: Many, plant: Plant, **asked: Any) -> None:
    """The question of a list of places; a single plant is asked about at one."""
    from suitability.cli.many import check_places

    if many.places is None or many.results is None:
        raise OptionError("--places FILE.csv and --results FILE go together: name both.")
    if plant != Plant() or asked.pop("worst"):
        raise OptionError(
            "--label, --first-winter, --in-bud, --shift and --worst ask about one place: leave "
            "them out with --places."
        )
    check_places(many.places, many.results, **asked)


def _read_label(text: str | None, unit: str) -> "tuple[float, float] | None":
    """
    The range on a label, in °C.

    Raises
    ------
    OptionError
        It is no range of temperatures.
    """
    from suitability.units import celsius_from_fahrenheit

    if text is None:
        return None
    match = re.fullmatch(r"\s*(-?\d+(?:\.\d+)?)\s*(?:-|\.\.|to|,)\s*(-?\d+(?:\.\d+)?)\s*", text)
    if match is None:
        raise OptionError(f"--label {text}: expected LOW-HIGH, such as 10-30.")
    low, high = float(match[1]), float(match[2])
    if options.parse_choice("--units", unit, ("c", "f")) == "f":
        low, high = celsius_from_fahrenheit(low), celsius_from_fahrenheit(high)
    if not -40.0 <= low < high <= 60.0:
        raise OptionError(
            f"--label {text}: expected two temperatures of a plant, the lower one first; "
            "with --units f in °F."
        )
    return low, high


def _read_state(plant: Plant, units: str) -> "PlantState | None":
    """
    The state of the plant; None where nothing was said of it.

    Raises
    ------
    OptionError
        It differs too much from its group.
    """
    if not (plant.first_winter or plant.in_bud or plant.shift):
        return None
    from suitability.advice.plant_state import PlantState
    from suitability.spots.plants import LARGEST_SHIFT_C

    scale = 1.8 if options.parse_choice("--units", units, ("c", "f")) == "f" else 1.0
    options.check_range("--shift", plant.shift, -LARGEST_SHIFT_C * scale, LARGEST_SHIFT_C * scale)
    return PlantState(
        first_winter=plant.first_winter, in_bud=plant.in_bud, shift_c=plant.shift / scale
    )
