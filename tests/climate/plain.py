"""Nights that no other group shares, and years that stand for no others: what tests begin with."""

from __future__ import annotations

import numpy as np

from suitability.climate.past_years import Kernel
from suitability.climate.shortfall_tables import (
    FloatArray,
    Raised,
    RangeHighest,
    ShortfallTables,
    _laid_out,
)
from suitability.climate.states import Shortfall

PLAIN = Kernel(days=np.ones(1), spread_c=0.0)


def own_tables(shortfall: Shortfall, cut: int) -> ShortfallTables:
    """
    Tables of nights that no other group shares.

    Parameters
    ----------
    shortfall
        Over (position).
    cut
        Day of the folded year at which plant years begin.
    """

    def table(by_position: FloatArray) -> Raised:
        return Raised((RangeHighest(_laid_out(by_position, cut)), 0.0))

    return ShortfallTables(
        at_once=table(shortfall.hard_c),
        dose=table(shortfall.dose_c),
        room=None if shortfall.heat_room_c is None else table(-shortfall.heat_room_c),
    )
