"""
Makes the table of coast lines that maps carry, from Natural Earth (public domain), 1:50 million.

Usage: `npm pack world-atlas@2.0.2`, unpack it, `python tests/data/make_coast.py
package/land-50m.json`. That package (ISC licence) holds Natural Earth 4.1 as TopoJSON. Kept are the
lines in hundredths of a degree, without those along the edge of the world map; repeated points are
left out, nothing else is changed.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import numpy as np

from suitability.output.coast import TABLE, pack_lines


def lines_of(topology: dict[str, Any]) -> list[np.ndarray]:
    """Lines of points (longitude, latitude) in hundredths of a degree."""
    scale, shift = (np.array(topology["transform"][name]) for name in ("scale", "translate"))
    found = []
    for arc in topology["arcs"]:
        points = np.rint((np.cumsum(arc, axis=0) * scale + shift) * 100).astype(np.int16)
        points = points[np.r_[True, np.any(np.diff(points, axis=0), axis=1)]]
        edge = (np.abs(points[:, 0]) >= 17999) | (points[:, 1] <= -8999)
        along = edge[1:] & edge[:-1]
        runs = np.split(points, np.flatnonzero(along) + 1)
        found += [run for run in runs if len(run) > 1]
    return found


if __name__ == "__main__":
    topology = json.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))
    TABLE.write_bytes(pack_lines(lines_of(topology)))
