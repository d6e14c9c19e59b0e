"""
What is being read, fetched, kept and computed, told to the logger "suitability" of the library.

Nobody who does not listen pays for it: `logging` is never loaded here, and whoever listens has it.
"""

from __future__ import annotations

import sys
from contextlib import contextmanager
from time import perf_counter
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

LOGGER = "suitability"


def tell_step(words: str, *values: object) -> None:
    """Tell of one step, at the level INFO; `values` are put into the words only if it is heard."""
    logging = sys.modules.get("logging")
    if logging is not None:
        logging.getLogger(LOGGER).info(words, *values)


@contextmanager
def timed_step(words: str, *values: object) -> Iterator[None]:
    """Tell of a step when it has succeeded, with the seconds that it took."""
    begun_s = perf_counter()
    yield
    tell_step(f"{words}, in %.3f s", *values, perf_counter() - begun_s)
