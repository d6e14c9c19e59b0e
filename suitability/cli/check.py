"""The command `check`: may I buy this plant, and can it live here."""

import re
from typing import TYPE_CHECKING, Annotated

import typer

from suitability.cli import options
from suitability.cli.asking import read_wishes, wishes_of, write_answer
from suitability.errors import OptionError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.plant_state import PlantState
    from suitability.advice.result import CheckResult
    from suitability.cli.asking import Asked
    from suitability.groups import Needs
    from suitability.output.images import NamedFigure
    from suitability.output.workbook import Sheet

__all__ = ["check"]


def check(
    *,
    demo: options.DemoFlag = False,
    place: options.PlaceOption = None,
    at: options.AtOption = None,
    record: options.RecordOption = None,
    group: options.GroupOption = None,
    groups: options.GroupsFileOption = None,
    collection: options.CollectionOption = None,
    spot: options.SpotOption = None,
    roof: options.RoofFlag = False,
    promise: options.PromiseOption = 0.9,
    years: options.YearsOption = None,
    caution: options.CautionOption = "usual",
    quality: options.QualityOption = "on",
    minimum_allowance: options.MinimumAllowanceOption = None,
    utc_offset: options.UtcOffsetOption = None,
    units: options.UnitsOption = "c",
    label: Annotated[
        str | None,
        typer.Option(
            "--label", metavar="LOW-HIGH", help="The range on the plant's label, in your unit."
        ),
    ] = None,
    first_winter: Annotated[
        bool, typer.Option("--first-winter", help="The plant has not wintered here yet.")
    ] = False,
    in_bud: Annotated[bool, typer.Option("--in-bud", help="The plant is in bud.")] = False,
    shift: Annotated[
        float,
        typer.Option(
            "--shift", metavar="K", help="How much tenderer than its group: -3 to 3 °C, your unit."
        ),
    ] = 0.0,
    worst: Annotated[
        bool, typer.Option("--worst", help="Also the ten worst nights and fortnights.")
    ] = False,
    json: options.JsonFlag = False,
    csv: options.CsvOption = None,
    xlsx: options.XlsxOption = None,
    tables: options.TablesOption = None,
    chart: options.ChartOption = None,
    figure: options.FigureOption = None,
    offline: options.OfflineFlag = False,
    allow_missing: options.AllowMissingFlag = False,
    station: options.StationOption = None,
    neighbours: options.NeighboursOption = 0,
    lapse_rate: options.LapseRateOption = None,
    seed: options.SeedOption = 20,
) -> None:
    """
    Say for each plant group whether it can live here, and what the hours below its floor are.

    The verdict is outdoor-all-year, outdoor-seasonal, indoor-only, or no-verdict with its reason.
    """
    wishes = wishes_of(locals())
    from suitability.advice.checking import check_groups

    state = _read_state(first_winter=first_winter, in_bud=in_bud, shift=shift, units=units)
    if not group:
        _refuse_state(state, label)
    label_c = _read_label(label, units)
    asked = read_wishes(wishes)
    needs = asked.needs if state is None else _in_state(asked.needs, state)
    if asked.by_name or asked.plants:
        result = _with_profiles(asked, needs, state, label_c)
    else:
        result = check_groups(asked.record, asked.place, asked.spots, needs, asked.options)

    def page() -> str:
        from suitability.output.charts import render_chart_page

        return render_chart_page(result, asked.units)

    def table() -> str:
        from suitability.output.csvfile import render_csv

        return render_csv(result)

    def document() -> str:
        from suitability.output.document import check_document, render_json

        return render_json(check_document(result))

    def text(width: int, colour: bool) -> str:
        from suitability.output.tables import render_check, render_worst

        shown = render_check(result, units=asked.units, width=width, colour=colour)
        if not worst:
            return shown
        return f"{shown}\n{render_worst(result, units=asked.units, width=width, colour=colour)}"

    def sheets() -> "Sequence[Sheet]":
        from suitability.output.sheets import check_sheets

        return check_sheets(result)

    def figures() -> "Sequence[NamedFigure]":
        from suitability.output.figures import check_figures

        return check_figures(result, asked.units)

    write_answer(
        wishes,
        page=page,
        table=table,
        document=document,
        text=text,
        sheets=sheets,
        figures=figures,
    )


def _in_state(needs: "tuple[Needs, ...]", state: "PlantState") -> "tuple[Needs, ...]":
    """The needs of plants in a state."""
    from suitability.advice.plant_state import apply_state

    return tuple(apply_state(one, state)[0] for one in needs)


def _with_profiles(
    asked: "Asked",
    needs: "tuple[Needs, ...]",
    state: "PlantState | None",
    label_c: "tuple[float, float] | None",
) -> "CheckResult":
    """The check with groups asked for by name, and plants in their own state, shown in full."""
    from msgspec.structs import replace

    from suitability.advice.checking import check_groups
    from suitability.advice.plant_state import PlantState
    from suitability.advice.preparing import lay_out
    from suitability.advice.profiling import Subject, make_profiles, needs_of_plant, profile_needs

    about, options = (asked.record, asked.place), asked.options
    asks = []
    if asked.by_name:
        state = state or PlantState()
        subjects = [Subject(group=one, caution=asked.caution, state=state) for one in asked.groups]
        asks.append((asked.spots, subjects))
    asks += [((spot,), [subject]) for subject, spot in asked.plants]
    everywhere = tuple(dict.fromkeys((*asked.spots, *(spot for _, spot in asked.plants))))
    also = profile_needs([subject for _, some in asks for subject in some])
    laid_out = lay_out(*about, everywhere, (), options, also=[*needs, *also])  # once for all of it
    shared = laid_out.of(asked.spots, needs)
    result = check_groups(*about, asked.spots, needs, options, laid_out=shared)
    profiles = [
        profile
        for spots, some in asks
        for profile in make_profiles(
            *about, spots, some, options, label_c=label_c, laid_out=laid_out
        )
    ]
    findings = list(result.findings)
    for subject, spot in asked.plants:
        own = needs_of_plant(*about, spot, subject, options, laid_out=laid_out)
        here = laid_out.of((spot,), [own])
        findings += check_groups(*about, (spot,), [own], options, laid_out=here).findings
    return replace(result, findings=tuple(findings), profiles=tuple(profiles))


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


def _refuse_state(state: "PlantState | None", label: str | None) -> None:
    """
    Refuse what tells of one plant where no group is named.

    Raises
    ------
    OptionError
        There is a label or a state.
    """
    if state is not None or label is not None:
        raise OptionError(
            "--label, --first-winter, --in-bud and --shift tell of one plant: name its --group."
        )


def _read_state(
    *, first_winter: bool, in_bud: bool, shift: float, units: str
) -> "PlantState | None":
    """
    The state of the plant; None where nothing was said of it.

    Raises
    ------
    OptionError
        It differs too much from its group.
    """
    if not (first_winter or in_bud or shift):
        return None
    from suitability.advice.plant_state import LARGEST_SHIFT_C, PlantState

    scale = 1.8 if options.parse_choice("--units", units, ("c", "f")) == "f" else 1.0
    options.check_range("--shift", shift, -LARGEST_SHIFT_C * scale, LARGEST_SHIFT_C * scale)
    return PlantState(first_winter=first_winter, in_bud=in_bud, shift_c=shift / scale)
