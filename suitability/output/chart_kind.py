"""A kind of chart: how what a sheet asks to be drawn becomes a figure of the plotting script."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from msgspec import Struct


class Kind(Struct, frozen=True, kw_only=True):
    """
    How charts of one type of specification are drawn.

    Functions are given specifications whose texts hold no markup any more (see `drawing`).

    Attributes
    ----------
    name
        Under which the page's script knows it.
    spec
        The type of its specifications.
    figure
        From a specification to the whole figure as plain values, its traces named for a legend.
    data
        From a specification to what the kind's script makes that figure of; None: the page holds
        the figure itself.
    script, style
        Files among the assets; empty: it has none. The script gives `chartKinds` an object of its
        name with, as far as needed, `figure(data)` and `onPhone(figure)`.
    colours
        What stands for `@name@` in its style.
    """

    name: str
    spec: type[Struct]
    figure: Callable[[Any], dict[str, Any]]
    data: Callable[[Any], dict[str, Any]] | None = None
    script: str = ""
    style: str = ""
    colours: Mapping[str, str] = {}
