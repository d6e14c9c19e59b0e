"""
Seconds a place and peak memory of `check --places`, as the list grows.

Run as `python tests/bench/many_places.py [PLACES ...]`. Records are those of `tests/data`, over and
over; memory is the peak of the largest process.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

DATA = Path(__file__).parent.parent / "data"
POSITIONS = {
    "los_angeles": "33.938,-118.389,30",
    "porto_alegre": "-29.99,-51.17,41",
    "nashville": "36.12,-86.68,180",
    "lansing": "42.78,-84.58,256",
    "reno": "39.48,-119.77,1344",
    "dallas": "32.9,-97.0,180",
}


def measure(number: int, folder: Path) -> tuple[float, float]:
    """Seconds, and MB of the largest process so far."""
    known = list(POSITIONS.items())
    lines = ["name,at,record"]
    for at in range(number):
        name, position = known[at % len(known)]
        lines.append(f'{name} {at},"{position}",{DATA / name}.hourly')
    places = folder / "places.csv"
    places.write_text("\n".join(lines) + "\n", encoding="utf-8")
    command = [sys.executable, "-m", "suitability", "check", "--places", str(places)]
    start = time.perf_counter()
    subprocess.run(
        [*command, "--results", str(folder / f"{number}.csv")], check=True, capture_output=True
    )
    peak_kb = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    return time.perf_counter() - start, peak_kb / 1024


def main(numbers: list[int]) -> None:
    """One line for each length of the list, the shortest first: the peak only ever grows."""
    with tempfile.TemporaryDirectory() as folder:
        for number in sorted(numbers):
            seconds, peak_mb = measure(number, Path(folder))
            print(f"{number:6d} places {seconds / number:7.3f} s each, peak {peak_mb:6.0f} MB")


if __name__ == "__main__":
    main([int(text) for text in sys.argv[1:]] or [6, 60, 240])
