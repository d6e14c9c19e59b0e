"""Data sets as NetCDF or Zarr, whole at their place or not there at all."""

from __future__ import annotations

import os
import shutil
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from suitability.errors import OptionError, OutputError
from suitability.output.writing import check_target

if TYPE_CHECKING:
    import xarray as xr

PACKAGES = {".nc": "netCDF4", ".zarr": "zarr"}


def check_grid_target(path: Path) -> None:
    """
    Nothing if a grid can be expected to be written there.

    Raises
    ------
    OptionError
        Its ending is neither of a NetCDF file nor of a Zarr store.
    OutputError
        A package is missing, or the folder is or refuses.
    """
    package = PACKAGES.get(path.suffix.lower())
    if package is None:
        raise OptionError(f"--out {path}: expected a name that ends in .nc or .zarr.")
    if find_spec(package) is None:
        raise OutputError(f"--out {path}: needs the package {package}; install suitability[atlas].")
    if package == "zarr" and path.exists():
        raise OutputError(f"--out {path}: is there already; delete it, or choose another name.")
    check_target(path)


def write_grid(path: Path, dataset: xr.Dataset) -> None:
    """
    The data set in a file or store; what was there before stays until all of it is written.

    Raises
    ------
    OutputError
        It cannot be written.
    """
    check_grid_target(path)
    beside = path.with_name(f".suitability-{os.getpid()}-{path.name[:60]}.part")
    try:
        if path.suffix.lower() == ".nc":
            packed = {name: {"zlib": True, "complevel": 4} for name in dataset.data_vars}
            dataset.to_netcdf(beside, engine="netcdf4", encoding=packed)
        else:
            dataset.to_zarr(beside, mode="w", consolidated=False)
        beside.replace(path)
    except (OSError, RuntimeError) as reason:
        raise OutputError(
            f"{path}: cannot be written ({reason}); free the disk or choose another place."
        ) from reason
    finally:
        if beside.is_dir():
            shutil.rmtree(beside, ignore_errors=True)
        else:
            beside.unlink(missing_ok=True)
