"""The coast lines that maps are drawn with: Natural Earth (public domain), 1:50 million."""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suitability.output.embedding import ASSETS

TABLE = ASSETS / "coast-50m.bin"  # made by tests/data/make_coast.py
BETWEEN = -32768  # in the place of a longitude: between two lines


def pack_lines(lines: Sequence[NDArray[np.int16]]) -> bytes:
    """Lines of points (longitude, latitude), hundredths of a degree, as the table holds them."""
    between = np.array([[BETWEEN, 0]], np.int16)
    points = np.concatenate([part for line in lines for part in (line, between)])
    steps = np.diff(points.astype("<i2"), axis=0, prepend=np.zeros((1, 2), "<i2"))
    return zlib.compress(steps.T.astype("<i2").tobytes(), 9)


@cache
def _points() -> NDArray[np.float64]:
    """All points (longitude, latitude), degrees, nan between lines."""
    steps = np.frombuffer(zlib.decompress(TABLE.read_bytes()), "<i2").reshape(2, -1).T
    points = np.cumsum(steps, axis=0, dtype=np.int16)
    degrees = points / 100.0
    degrees[points[:, 0] == BETWEEN] = np.nan
    return degrees


def coast_within(
    longitudes: tuple[float, float], latitudes: tuple[float, float]
) -> tuple[list[Any], list[Any]]:
    """
    Longitudes and latitudes of the coast within a window, None between two lines.

    Longitudes of the window may run beyond 180 degrees either way, as those of a grid that crosses
    the date line do.
    """
    points = _points()
    xs: list[Any] = []
    ys: list[Any] = []
    for turn in (-360.0, 0.0, 360.0):
        x, y = points[:, 0] + turn, points[:, 1]
        inside = (longitudes[0] <= x) & (x <= longitudes[1])
        inside &= (latitudes[0] <= y) & (y <= latitudes[1])
        # One point more at either end, so that lines run to the edge of the map.
        wide = inside.copy()
        wide[1:] |= inside[:-1]
        wide[:-1] |= inside[1:]
        kept = np.flatnonzero(wide)
        for run in np.split(kept, np.flatnonzero(np.diff(kept) > 1) + 1):
            if run.size:
                shown = ~np.isnan(x[run])
                xs += [
                    *(
                        round(v, 2) if ok else None
                        for v, ok in zip(x[run].tolist(), shown, strict=True)
                    ),
                    None,
                ]
                ys += [
                    *(v if ok else None for v, ok in zip(y[run].tolist(), shown, strict=True)),
                    None,
                ]
    return xs, ys
