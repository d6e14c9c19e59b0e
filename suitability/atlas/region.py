"""A region mapped, for whoever works on in Python: what the command `map` writes, as a data set."""

from collections.abc import Sequence
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING

from suitability.advice.question import choose_subjects
from suitability.atlas.grid import open_grid
from suitability.atlas.labelled import to_cf
from suitability.atlas.mapping import Asked
from suitability.atlas.mapping import map_grid as map_cells
from suitability.groups import Caution

if TYPE_CHECKING:
    import xarray as xr


def map_grid(
    grid: Path | str | Sequence[Path | str],
    group: str,
    *,
    variable: str | None = None,
    roof: bool = False,
    caution: Caution | str = Caution.USUAL,
    promise: float = 0.9,
    years: tuple[int | None, int | None] = (None, None),
    processes: int | None = None,
) -> "xr.Dataset":
    """
    Verdict, season and hours below the floor of one group in every cell of a grid, after CF.

    Parameters
    ----------
    grid
        NetCDF files, Zarr stores, or a folder of them, with temperatures 1, 3 or 6 hours apart.
    group
        Key or name of the group.
    variable
        Of the temperature, where the files have several.
    roof
        Rain is kept off the pots.
    caution
        Which end of each range of the group is taken: "low", "usual" or "high".
    promise : 0.5 to 0.99
        Probability with which a new year keeps what is promised.
    years : (first, last)
        Calendar years that are used; None at either end: the last 30.
    processes
        How many work at once; None: as many as there are cores.

    Raises
    ------
    RecordError
        The files hold no such temperatures, or a piece of them is damaged.
    CatalogueError
        No group has that name; near names are offered.
    """
    given = [grid] if isinstance(grid, (Path, str)) else grid
    subjects = choose_subjects((group,), roof=roof, caution=caution)
    asked = Asked(subjects=subjects, promise=promise, years=years)
    found = map_cells(open_grid([Path(one) for one in given], variable), asked, processes=processes)
    return to_cf(found, made_by=f"suitability {version('suitability')} map_grid")
