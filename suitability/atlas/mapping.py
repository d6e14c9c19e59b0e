"""
A verdict for each cell of a grid: the check of one place, asked of the record of every cell.

Space is cut, never time: nights, doses and seasons need the whole record. Each block is read and
answered by one process, here or on a dask cluster, and the answers do not depend on who worked.
"""

import gc
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability import parallel
from suitability.advice.check import check
from suitability.advice.preparing import records_at_spots, years_asked
from suitability.advice.question import Question, Subjects, ask_about
from suitability.advice.result import Finding
from suitability.advice.terms import Season, Verdict
from suitability.atlas.cells import LONGEST_STEP, cell_record, check_range
from suitability.atlas.counts import MonthAxis, count_block, month_axis
from suitability.atlas.grid import BLOCK_BYTES, Block, Grid, Surface, open_grid
from suitability.atlas.pool import in_order
from suitability.errors import OptionError, OutputError, PlaceError
from suitability.groups.reading import Catalogue
from suitability.places import Place, place_at
from suitability.spots.spot import Spot
from suitability.weather.record import datetime_of_hour
from suitability.weather.sources.readings import exact_values

CODES = (Verdict.NONE, Verdict.INDOOR, Verdict.SEASONAL, Verdict.ALL_YEAR)  # numbered from 0
PER_CELL = (
    *("verdict", "provisional", "borderline", "years_usable"),
    *("season_out", "season_in", "season_days", "margin_c", "headroom_c"),
    *(f"hours_below_{month}" for month in range(1, 13)),
    *(f"degree_hours_below_{month}" for month in range(1, 13)),
)
FEWEST = 16  # cells for which another process is worth its start
PIECES = 4  # of a small grid, for each process
COLLECTED = 16  # cells, after which what they left behind is given back
ANSWER_S = 3  # within which a scheduler has to answer


class Asked(Struct, frozen=True, kw_only=True):
    """
    What is asked of every cell.

    Attributes
    ----------
    subjects
        One group at one spot, from `choose_subjects`.
    """

    subjects: Subjects
    promise: float = 0.9
    years: tuple[int | None, int | None] = (None, None)
    minimum_allowance_c: float | None = None
    seed: int = 20

    @property
    def thresholds_c(self) -> dict[str, float]:
        """What hours are counted below: the floor, the comfort mark and the chill base."""
        needs = self.subjects.asked[0].needs()[0]
        found = {"floor": needs.floor_c, "comfort": needs.comfort_c, "chill": needs.chill_base_c}
        return {name: value for name, value in found.items() if value is not None}


class CellMap(Struct, frozen=True, kw_only=True):
    """
    What was found of every cell.

    Attributes
    ----------
    grid
        Where its cells lie.
    cells : name to (row, column)
        nan where there is none. `verdict` is the number of one of `CODES`; days of a season are
        days of the year from 1, "days" are in - out.
    axis
        Months of the counts.
    counts : name to (month, row, column)
        `hours_valid`, and hours and degree-hours below each threshold, each value counted for the
        hours of its step: of all values of the grid, or, at a spot that is not as warm as the open
        air, of those of the years asked for.
    """

    grid: Grid
    asked: Asked
    cells: dict[str, NDArray[np.float64]]
    axis: MonthAxis
    counts: dict[str, NDArray[np.float32]]


def standard_offsets(grid: Grid) -> NDArray[np.float64]:
    """Hours of standard time ahead of UTC at each cell, (row, column); 0 without a position."""
    year = datetime_of_hour(grid.start_hour + grid.steps * grid.step_hours - 1).year
    latitude, longitude = grid.positions()
    flat = zip(latitude.ravel(), longitude.ravel(), strict=True)
    found = [_offset(float(north), float(east), year) for north, east in flat]
    return np.array(found).reshape(latitude.shape)


def _offset(latitude: float, longitude: float, year: int) -> float:
    """As a place has it; by its longitude alone where no zone is known, as at the poles."""
    if np.isnan(latitude + longitude):
        return 0.0
    try:
        return place_at(latitude, longitude, None, year=year).utc_offset_hours
    except PlaceError:
        return float(round(longitude / 15.0))


def map_grid(
    grid: Grid,
    asked: Asked,
    *,
    processes: int | None = None,
    scheduler: str | None = None,
    tell: Callable[[int, int], None] = lambda _done, _total: None,
) -> CellMap:
    """
    Counts and a verdict for every cell.

    Parameters
    ----------
    processes
        None: as many as there are cores.
    scheduler
        Address of a dask scheduler whose workers see the same files; None: this computer alone.
    tell
        Called with the number of blocks done and that of all.

    Raises
    ------
    OptionError
        The spot needs what the grid does not tell.
    RecordError
        A piece of the files is damaged, or no temperatures are in it.
    OutputError
        A process was ended from outside, or the scheduler does not answer.
    """
    _check_spot(grid, asked.subjects.spots[0])
    offsets = standard_offsets(grid)
    axis = month_axis(grid.start_hour, grid.steps * grid.step_hours, offsets)
    hands = processes or max(1, min(parallel.cores(), offsets.size // FEWEST))
    share = 4 * grid.steps * offsets.size // (PIECES * hands)  # so that none waits for the last
    blocks = grid.blocks(grid.steps, min(BLOCK_BYTES, share))
    files = tuple(file.resolve() for file in grid.files)
    make = partial(_worker, files, grid.variable, _to_send(asked), axis)
    tasks = [(block, offsets[block].ravel(), grid.surface.of(block)) for block in blocks]
    if scheduler is None:
        answers = _answers_here(tasks, make, min(hands, len(blocks)))
    else:
        answers = _answers_there(tasks, make, scheduler)
    rows, columns = grid.shape
    cells = {name: np.full((rows, columns), np.nan) for name in PER_CELL}
    names = _count_names(asked)
    counts = {name: np.zeros((axis.months, rows, columns), np.float32) for name in names}
    for number, (block, found) in enumerate(zip(blocks, answers, strict=True)):
        size = tuple(part.stop - part.start for part in block)
        for at, name in enumerate(PER_CELL):
            cells[name][block] = found[at].reshape(size)
        for at, name in enumerate(names):
            first = len(PER_CELL) + at * axis.months
            counts[name][:, *block] = found[first : first + axis.months].reshape(-1, *size)
        tell(number + 1, len(blocks))
    return CellMap(grid=grid, asked=asked, cells=cells, axis=axis, counts=counts)


def _to_send(asked: Asked) -> Asked:
    """The same without the catalogue, of which cells ask nothing: it would travel with each."""
    none = Catalogue(groups=(), by_name={}, sources={})
    return replace(asked, subjects=replace(asked.subjects, catalogue=none, in_full=False))


def _count_names(asked: Asked) -> list[str]:
    below = list(asked.thresholds_c)
    return [
        "hours_valid",
        *(f"hours_below_{name}" for name in below),
        *(f"degree_hours_below_{name}" for name in below),
    ]


def _check_spot(grid: Grid, spot: Spot) -> None:
    """Refuse a spot that is of one place, or needs to know more of nights than the grid does."""
    if spot.measured:
        raise OptionError(
            f'--spot "{spot.name}": was measured at one place, which tells nothing of others; name '
            "the ready kind that is nearest to it."
        )
    if grid.step_hours > LONGEST_STEP and not spot.is_as_outside:
        raise OptionError(
            f'--spot "{spot.name}": values {grid.step_hours} h apart do not tell what it adds by '
            "night and by day; leave it out, or give a grid of 1 or 3 h."
        )


Task = tuple[Block, NDArray[np.float64], Surface]
Work = Callable[[Task], NDArray[np.float64]]


def _answers_here(
    tasks: list[Task], make: Callable[[], Work], processes: int
) -> Iterator[NDArray[np.float64]]:
    from concurrent.futures.process import BrokenProcessPool  # noqa: PLC0415  (slow to import)

    try:
        yield from in_order(tasks, make, processes)
    except BrokenProcessPool as reason:
        raise OutputError(
            "A process of this work was ended from outside, as by a lack of memory; nothing was "
            "written."
        ) from reason


def _answers_there(
    tasks: list[Task], make: Callable[[], Work], scheduler: str
) -> Iterator[NDArray[np.float64]]:
    """
    The same from the workers of a cluster; what a worker that died held is done anew by another.

    Raises
    ------
    OutputError
        The scheduler does not answer, has no workers, or is lost.
    """
    import logging  # noqa: PLC0415
    from importlib.util import find_spec  # noqa: PLC0415

    if find_spec("distributed") is None:
        raise OutputError("--scheduler needs the package distributed; install suitability[atlas].")
    from distributed import Client  # noqa: PLC0415  (slow to import)
    from distributed.client import FutureCancelledError  # noqa: PLC0415
    from distributed.scheduler import KilledWorker  # noqa: PLC0415

    logging.getLogger("distributed").setLevel(logging.CRITICAL)  # it prints tracebacks
    try:
        client = Client(scheduler, timeout=ANSWER_S, set_as_default=False)
    except (OSError, ValueError) as reason:
        raise OutputError(
            f"--scheduler {scheduler}: no dask scheduler answers there; start one with dask "
            "scheduler, or leave the option out."
        ) from reason
    with client:
        if not client.scheduler_info(n_workers=-1)["workers"]:
            raise OutputError(f"--scheduler {scheduler}: has no workers; start some first.")
        futures = client.map(partial(_answer_task, make), tasks, pure=False)
        try:
            while futures:
                yield futures.pop(0).result()
        except (OSError, FutureCancelledError, KilledWorker) as reason:
            raise OutputError(
                f"--scheduler {scheduler}: the scheduler was lost, or one block ended several "
                "workers, as by a lack of memory; nothing was written."
            ) from reason


def _answer_task(make: Callable[[], Work], task: Task) -> NDArray[np.float64]:
    return make()(task)


def _worker(files: tuple[Path, ...], variable: str, asked: Asked, axis: MonthAxis) -> Work:
    """From a block to its layers, (layer, cell): those of `PER_CELL`, then months of counts."""
    grid = open_grid(files, variable)
    return partial(_answer_block, grid, asked, axis)


def _answer_block(grid: Grid, asked: Asked, axis: MonthAxis, task: Task) -> NDArray[np.float64]:
    block, offsets, surface = task
    thresholds_c = np.array(list(asked.thresholds_c.values()))
    judged = np.full((len(PER_CELL), offsets.size), np.nan)
    if surface.land is not None and not surface.land.any():
        return np.concatenate(
            [judged, np.zeros((len(_count_names(asked)) * axis.months, offsets.size))]
        )
    values, offset_c = grid.to_count(grid.read(slice(0, grid.steps), block), surface)
    check_range(grid, values, offset_c)
    latitude, longitude = (degrees[block].ravel() for degrees in grid.positions())
    outside = asked.subjects.spots[0].is_as_outside
    counted = values if outside else np.full(values.shape, np.nan)
    for cell in range(offsets.size):
        if not np.isnan(values[:, cell]).all():
            temp_c = exact_values(values[:, cell], offset_c)
            where = place_at(
                latitude[cell], longitude[cell], None, year=1970, utc_offset_hours=offsets[cell]
            )
            question = _ask(grid, temp_c, where, asked)
            judged[:, cell] = _told(check(question).results[0])
            if not outside:
                counted[:, cell] = _at_spot(grid, question)
        if cell % COLLECTED == 0:
            gc.collect()  # the program rarely does, and circles would keep the arrays of every cell
    counts = count_block(
        counted,
        grid.start_hour,
        grid.step_hours,
        offsets,
        thresholds_c,
        axis,
        offset_c=offset_c if outside else 0.0,
    )
    step = float(grid.step_hours)
    layers = [judged, counts.hours_valid * step]
    layers += [below * step for below in (*counts.hours_below, *counts.degree_hours_below)]
    return np.concatenate(layers)


def _ask(grid: Grid, temp_c: NDArray[np.float64], place: Place, asked: Asked) -> Question:
    """The question of one cell."""
    record = cell_record(grid, temp_c)
    return ask_about(
        asked.subjects,
        record,
        place,
        promise=asked.promise,
        years=asked.years,
        quality=False,
        minimum_allowance_c=asked.minimum_allowance_c,
        seed=asked.seed,
    )


def _at_spot(grid: Grid, question: Question) -> NDArray[np.float64]:
    """The values of a cell at its spot in the years asked for, nan outside them, (step), °C."""
    used = years_asked(question.record, question.place, question.options)
    (there,) = records_at_spots(used, question.place, question.spots)
    temp_c = np.full(question.record.temp_c.size, np.nan)
    first = used.start_hour - grid.start_hour
    temp_c[first : first + used.temp_c.size] = np.where(there.counted, there.temp_c, np.nan)
    return temp_c[:: grid.step_hours]


def _told(finding: "Finding") -> list[float]:
    """A finding as the numbers of `PER_CELL`."""

    def known(value: float | None) -> float:
        return np.nan if value is None else float(value)

    return [
        float(CODES.index(finding.verdict)),
        float(finding.provisional),
        float(finding.borderline),
        float(finding.years_usable),
        *_days(finding.season),
        known(finding.margin_c),
        known(finding.headroom_c),
        *map(known, finding.hours_below.months),
        *map(known, finding.degree_hours_below),
    ]


def _days(season: "Season | None") -> tuple[float, float, float]:
    """First day out and day in, of a year of 365 from 1, and the days between."""
    if season is None:
        return np.nan, np.nan, np.nan
    out, inn = (_day_of_year(day) for day in (season.out, season.inn))
    return out, inn, float(season.days)


def _day_of_year(day: str) -> float:
    first = np.datetime64("2001-01-01", "D")
    return float((np.datetime64(f"2001-{day}", "D") - first).astype(int)) + 1.0
