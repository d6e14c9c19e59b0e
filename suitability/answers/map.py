"""
The sheet of a map: in how many cells a group can live how, and where, with numbers.

Where no cell has a verdict, hours below the floor and the comfort mark are drawn instead.
"""

from __future__ import annotations

from datetime import date, timedelta
from itertools import chain, pairwise
from typing import TYPE_CHECKING, Literal

import numpy as np
from msgspec import Struct

from suitability.advice.terms import Verdict
from suitability.answers import words
from suitability.answers.sheet import (
    Chart,
    Column,
    Fact,
    Facts,
    Level,
    On,
    Section,
    Sheet,
    Table,
    Text,
    build_table,
)
from suitability.atlas.labelled import NAMES as MARKS
from suitability.atlas.labelled import period_hours, year_hours
from suitability.atlas.mapping import CODES
from suitability.units import TemperatureUnit, show_difference, show_temperature

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from suitability.atlas.labelled import CountedBelow, MapResult
    from suitability.atlas.mapping import CellMap
    from suitability.spots.spot import Spot

MOST_DRAWN = 20_000  # cells; of more every second, third ... row and column is drawn
SAID = {  # of the cells of each verdict, in a sentence
    Verdict.ALL_YEAR: "can live outdoors all year in {}",
    Verdict.SEASONAL: "can live outdoors for a season in {}",
    Verdict.INDOOR: "belongs indoors in {}",
    Verdict.NONE: "has no verdict in {}",
}
SAID_IN_A_ROOM = {
    Verdict.ALL_YEAR: "can stand in this room all year in {}",
    Verdict.SEASONAL: "can stand in this room for a season in {}",
    Verdict.INDOOR: "cannot stand in this room in {}",
    Verdict.NONE: SAID[Verdict.NONE],
}
DRAWN_MARKS = ("floor", "comfort")
HOURS_CLASSES = 4  # from fewest to most hours, as many as a map has tones and signs
KNOWN_SHARE = 0.9  # of the period; cells with fewer values are not comparable
RANGE = (
    "What a ready kind of spot adds is rough; its range is not carried into a map, check tells it."
)
CELL = (
    "A cell is the mean of many square kilometres and has one height: valleys and hills in it are "
    "colder on clear nights and in winter. Before you buy, ask of your own place with check."
)
SIX_HOURS = (
    "Values {} hours apart do not show how cold a night was: hours are counted, no cell has a "
    "verdict."
)
TOO_SHORT = "The values are too few years, or have too many gaps; hours are counted all the same."


class CellKind(Struct, frozen=True):
    """What the legend says of one verdict or class of hours, and the number that its cells have."""

    code: int
    text: str


class GridMap(Struct, frozen=True, kw_only=True):
    """
    What a map draws.

    Attributes
    ----------
    longitudes, latitudes : (column), (row), or both (cell)
        Degrees; longitudes may run beyond 180 where the grid crosses the date line.
    regular
        Whether cells stand in rows and columns; else each has its own position.
    codes : (row, column) or (1, cell)
        Number of the verdict, or of the class of hours, of each cell; below 0 it is not drawn.
    told : as codes
        Lines of what is said of each.
    kinds
        Verdicts that occur, the best first; or classes of hours, the fewest first.
    scale
        What the codes number: verdicts from no verdict to the best, or hours from few to many.
    title_across, title_up
    """

    longitudes: tuple[float, ...]
    latitudes: tuple[float, ...]
    regular: bool
    codes: tuple[tuple[int, ...], ...]
    told: tuple[tuple[tuple[str, ...], ...], ...]
    kinds: tuple[CellKind, ...]
    scale: Literal["verdicts", "hours"] = "verdicts"
    title_across: str = "degrees east"
    title_up: str = "degrees north"


def map_sheet(result: MapResult, found: CellMap, units: TemperatureUnit) -> Sheet:
    """Shares of the cells, the ends of what was found, and the map."""
    headline = _headline(result, found)
    judged = result.all_year + result.seasonal + result.indoor_only
    every = _drawn_of(found)
    thinned = (f"Every {words_of(every)} row and column is drawn; the file has all.",)
    notes = (
        "Coast: Natural Earth. Point at a cell for its numbers.",
        *(thinned if every > 1 else ()),
    )
    charts = (
        [Chart(name="map", title=headline, spec=_verdicts(found, units, every), notes=notes)]
        if judged
        else _hours_charts(result, found, units, every, notes)
    )
    ranged = (RANGE,) if _spot(found).has_range else ()
    sections = [
        Section(
            name="cells",
            title="In how many cells each verdict holds",
            blocks=(_shares(result, found), Text(sentences=(*_few_years(result), *ranged, CELL))),
        ),
        Section(name="where", title="Where", on=On.PAGE, blocks=tuple(charts)),
        Section(
            name="hours",
            title="Hours in the whole period",
            level=Level.DETAIL if judged else Level.BRIEF,
            blocks=(_counted(result, units),),
        ),
        Section(
            name="found", title="What was found", level=Level.DETAIL, blocks=(_ends(result, units),)
        ),
    ]
    return Sheet(
        title=f"Map of {words.clean(result.group_name)}",
        headline=headline,
        about=_about(result),
        sections=tuple(sections),
        notes=tuple(words.clean(note, 400) for note in result.notes),
        closing=(words.CAUTIONS,),
        basis=f"{result.cells} cells of {words.clean(result.grid)}, {_period(result)}.",
        more="More with --details.",
        credit=f"Weather: {words.clean(result.credit, 400) or 'source not said'}",
    )


def words_of(every: int) -> str:
    """An ordinal number.

    Examples
    --------
    >>> words_of(2), words_of(12)
    ('second', '12th')
    """
    return {2: "second", 3: "third"}.get(every, f"{every}th")


def _by_verdict(result: MapResult) -> list[tuple[Verdict, int]]:
    """Verdicts that occur, the best first, and their cells."""
    every = (
        (Verdict.ALL_YEAR, result.all_year),
        (Verdict.SEASONAL, result.seasonal),
        (Verdict.INDOOR, result.indoor_only),
        (Verdict.NONE, result.no_verdict),
    )
    return [(verdict, cells) for verdict, cells in every if cells]


def _spot(found: CellMap) -> Spot:
    return found.asked.subjects.spots[0]


def _with_values(result: MapResult) -> int:
    return result.cells - result.without_values - result.sea


def _headline(result: MapResult, found: CellMap) -> str:
    """Shares of the cells that have values."""
    with_values, spot = _with_values(result), _spot(found)
    at = "" if spot.is_as_outside else f" at the spot {words.clean(spot.name, 40)}"
    name = f"{words.clean(result.group_name)}{at}"
    said = SAID if spot.room is None else SAID_IN_A_ROOM
    if not with_values:
        return f"None of {result.cells} cells has a value, so nothing can be said of {name}."
    told = [
        said[verdict].format(f"{_share(cells, with_values)} ({cells})")
        for verdict, cells in _by_verdict(result)
    ]
    sentence = f"Of {with_values} cells {name} {', '.join(told)}."
    if result.no_verdict == with_values and result.step_hours > 3:
        return f"{sentence} {SIX_HOURS.format(result.step_hours)}"
    return f"{sentence} {TOO_SHORT}" if result.no_verdict == with_values else sentence


def _share(cells: int, of: int) -> str:
    """
    In whole per cent, so that none and all are said of none and all alone.

    Examples
    --------
    >>> _share(1, 1000), _share(999, 1000), _share(1, 2), _share(2, 2)
    ('under 1 %', 'over 99 %', '50 %', '100 %')
    """
    share = 100.0 * cells / of
    if 0.0 < share < 1.0:
        return "under 1 %"
    return "over 99 %" if 99.0 < share < 100.0 else f"{share:.0f} %"


def _shares(result: MapResult, found: CellMap) -> Table:
    """Cells and shares of each verdict."""
    of = max(1, _with_values(result))
    indoors = _spot(found).room is not None
    columns: list[Column[tuple[Verdict, int]]] = [
        Column.of("Verdict", lambda row: words.verdict_cell(row[0], indoors=indoors)),
        Column.of("Cells", lambda row: str(row[1]), number=True),
        Column.of("Share", lambda row: _share(row[1], of), number=True),
    ]
    left_out = {"Without any value": result.without_values, "Sea": result.sea}
    notes = [
        f"{what}, and left out: {_cells(number)}." for what, number in left_out.items() if number
    ]
    return build_table("verdicts", columns, _by_verdict(result), notes=notes)


def _counted(result: MapResult, units: TemperatureUnit) -> Table:
    """Hours below each mark, of all cells together."""
    columns: list[Column[CountedBelow]] = [
        Column.of(
            "Below", lambda row: f"{show_temperature(row.mark_c, units)}, the {MARKS[row.mark]}"
        ),
        Column.of("Least", lambda row: words.hours(row.least), number=True),
        Column.of("Median", lambda row: words.hours(row.median), number=True),
        Column.of("Most", lambda row: words.hours(row.most), number=True),
    ]
    return build_table("hours", columns, result.counted_below)


def _few_years(result: MapResult) -> tuple[str, ...]:
    """That verdicts are provisional, where there are some and all are."""
    judged = result.all_year + result.seasonal + result.indoor_only
    if not judged or result.years_usable is None or result.years_usable[1] >= 10:
        return ()
    years = result.years_usable[1]
    told = f"All verdicts are provisional: they rest on {years} usable years"
    few = ", and fewer than eight never carry outdoor-all-year" if years < 8 else ""
    return (f"{told}{few}.",)


def _ends(result: MapResult, units: TemperatureUnit) -> Facts:
    """The ends of what was found, where it is known."""
    rows = []
    if result.season_days is not None:
        low, high = result.season_days
        rows.append(Fact("Outdoor season", f"{low} to {high} days where it is seasonal"))
    if result.hours_below is not None:
        below = show_temperature(result.floor_c, units)
        low_h, high_h = map(words.hours, result.hours_below)
        rows.append(Fact(f"Hours below {below}", f"{low_h} to {high_h} in a mean year"))
    if result.smallest_headroom_c is not None:
        least = show_difference(result.smallest_headroom_c, units)
        rows.append(Fact("Smallest headroom", f"{least} of cooling changes the verdict of a cell"))
    return Facts(rows=tuple(rows))


def _about(result: MapResult) -> Facts:
    """The grid and what was asked."""
    roof = "under a roof" if result.roofed else "rain is not known"
    spot = f"at the spot {words.clean(result.spot, 40)}, {roof}"
    south, north = result.latitudes
    return Facts(
        rows=(
            Fact("Grid", f"{words.clean(result.grid)}, variable {words.clean(result.variable)}"),
            Fact("Values", f"{_period(result)}, {result.step_hours} h apart"),
            Fact("Latitudes", f"{_north(south)} to {_north(north)}"),
            Fact("Asked", f"{words.clean(result.group_name)} {spot}"),
            Fact("Promise", f"{result.promise:.0%} of new years"),
        )
    )


def _period(result: MapResult) -> str:
    return f"{words.moment(result.period.start)} to {words.moment(result.period.end)}"


def _north(degrees: float) -> str:
    return f"{abs(degrees):g}° {'N' if degrees >= 0 else 'S'}"


def _drawn_of(found: CellMap) -> int:
    """Of how many rows and columns one is drawn."""
    return max(1, int(np.ceil(np.sqrt(found.cells["verdict"].size / MOST_DRAWN))))


def _verdicts(found: CellMap, units: TemperatureUnit, every: int) -> GridMap:
    """Each cell with its verdict."""
    codes = np.nan_to_num(found.cells["verdict"], nan=-1.0).astype(int)
    kinds = [
        CellKind(code, f"{CODES[code]}: {_cells(number)}")
        for code in reversed(range(len(CODES)))
        if (number := int((codes == code).sum()))
    ]
    return _drawn(found, units, every, codes, kinds, "verdicts")


def _hours_charts(
    result: MapResult,
    found: CellMap,
    units: TemperatureUnit,
    every: int,
    notes: tuple[str, ...],
) -> list[Chart]:
    """Hours below the floor and the comfort mark, a map each."""
    charts = []
    for row in result.counted_below:
        if row.mark not in DRAWN_MARKS:
            continue
        codes, kinds = _hours_classes(found, row)
        title = (
            f"{words.hours(row.least)} to {words.hours(row.most)} hours below "
            f"{show_temperature(row.mark_c, units)}, the {MARKS[row.mark]}"
        )
        gaps = int(((codes < 0) & ~np.isnan(period_hours(found))).sum())
        left_out = (f"Not drawn, for they lack a tenth of the hours: {_cells(gaps)}.",)
        charts.append(
            Chart(
                name=f"map-{row.mark}",
                title=title,
                spec=_drawn(found, units, every, codes, kinds, "hours"),
                notes=(*notes, *(left_out if gaps else ())),
            )
        )
    return charts


def _hours_classes(found: CellMap, row: CountedBelow) -> tuple[NDArray[np.int64], list[CellKind]]:
    """The class of hours of each cell, -1 of one with gaps; classes are equally wide."""
    hours, valid = period_hours(found, row.mark), period_hours(found)
    known = np.nan_to_num(valid) >= KNOWN_SHARE * np.nanmax(valid)
    edges = np.unique(np.linspace(row.least, row.most, HOURS_CLASSES + 1).round())
    inner = edges[1:-1]
    codes = np.where(known, np.searchsorted(inner, np.nan_to_num(hours), side="right"), -1)
    ends = [edges[0], *inner, edges[-1]] if edges.size > 1 else [row.least, row.most]
    kinds = [
        CellKind(code, f"{words.hours(low)} to {words.hours(high)} h: {_cells(number)}")
        for code, (low, high) in enumerate(pairwise(ends))
        if (number := int((codes == code).sum()))
    ]
    return codes, kinds


def _drawn(  # noqa: PLR0917  (a map is all of these)
    found: CellMap,
    units: TemperatureUnit,
    every: int,
    codes: NDArray[np.int64],
    kinds: Sequence[CellKind],
    scale: Literal["verdicts", "hours"],
) -> GridMap:
    """What is drawn of the cells."""
    rows, columns = (range(0, size, every) for size in codes.shape)
    latitude, longitude = found.grid.positions()
    tell = _teller(found, units)
    told = [[tell(row, column) for column in columns] for row in rows]
    drawn = codes[::every, ::every]
    regular = found.grid.latitude.ndim == 1
    if regular:
        north, east = latitude[::every, 0], found.grid.columns_east()[::every]
    else:
        known = ~np.isnan(latitude[::every, ::every])
        north, east = (axis[::every, ::every][known] for axis in (latitude, longitude))
        drawn = drawn[known][None, :]
        flags = known.ravel()
        told = [[one for one, ok in zip(chain.from_iterable(told), flags, strict=True) if ok]]
        if east.size and np.ptp(east) > 180.0:
            east = east % 360.0
    return GridMap(
        longitudes=tuple(east.round(4).tolist()),
        latitudes=tuple(north.round(4).tolist()),
        regular=regular,
        codes=tuple(map(tuple, drawn.tolist())),
        told=tuple(map(tuple, told)),
        kinds=tuple(kinds),
        scale=scale,
    )


def _cells(number: int) -> str:
    return f"{number} cell{'s' if number != 1 else ''}"


def _teller(found: CellMap, units: TemperatureUnit) -> Callable[[int, int], tuple[str, ...]]:
    """From a cell to the lines that its pointer tells."""
    latitude, longitude = found.grid.positions()
    cells, hours = found.cells, year_hours(found)
    marks_c = found.asked.thresholds_c
    floor = show_temperature(marks_c["floor"], units)
    valid = period_hours(found)
    below = {mark: period_hours(found, mark) for mark in DRAWN_MARKS if mark in marks_c}

    def tell(row: int, column: int) -> tuple[str, ...]:
        at = row, column
        code, east = cells["verdict"][at], float(longitude[at])
        side = "E" if east >= 0 else "W"
        where = f"{_north(round(float(latitude[at]), 3))} {abs(round(east, 3)):g}° {side}"
        if np.isnan(code):
            return (where, "no value")
        lines = [
            where,
            str(CODES[int(code)]) + (" (borderline)" if cells["borderline"][at] else ""),
        ]
        if cells["season_days"][at] < 365:
            out, inn = (_day(cells[name][at]) for name in ("season_out", "season_in"))
            lines.append(f"out {out}, in {inn}: {cells['season_days'][at]:.0f} days")
        if not code:  # no verdict: what was counted is all there is
            lines += [
                f"{words.hours(float(counted[at]))} of {words.hours(float(valid[at]))} h below "
                f"{show_temperature(marks_c[mark], units)}"
                for mark, counted in below.items()
            ]
        elif not np.isnan(hours[at]):
            lines.append(f"{words.hours(float(hours[at]))} h a year below {floor}")
        if not np.isnan(cells["margin_c"][at]):
            more = show_difference(float(cells["margin_c"][at]), units)
            lines.append(f"{more} warmer would raise the verdict")
        if not np.isnan(cells["headroom_c"][at]):
            less = show_difference(float(cells["headroom_c"][at]), units)
            lines.append(f"holds with {less} less")
        return tuple(lines)

    return tell


def _day(day_of_year: float) -> str:
    """A day of a year of 365 in words."""
    found = date(2001, 1, 1) + timedelta(days=int(day_of_year) - 1)
    return words.date_of(found)
