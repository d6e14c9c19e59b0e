"""A map: the coast where it is, each verdict with a sign and a word, numbers under the pointer."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from msgspec.structs import replace
from plotly.graph_objects import Figure

from suitability.answers.map import CellKind, GridMap
from suitability.answers.sheet import Chart, Facts, Section, Sheet
from suitability.output.coast import coast_within
from suitability.output.drawing import draw_figure
from suitability.output.look import DARK, GROUND
from suitability.output.page import render_page

from .legible import contrast, luminance

if TYPE_CHECKING:
    from collections.abc import Callable

    from selenium.webdriver import Chrome

SPEC = GridMap(
    longitudes=(-9.0, -8.0),
    latitudes=(40.0, 39.0, 38.0),
    regular=True,
    codes=((0, 1), (2, 3), (-1, 2)),
    told=tuple(tuple((f"cell <{row}{column}>", "1234 h") for column in (0, 1)) for row in range(3)),
    kinds=(
        CellKind(3, "outdoor-all-year: 1 cell"),
        CellKind(2, "outdoor-seasonal: 2 cells"),
        CellKind(1, "indoor-only: 1 cell"),
        CellKind(0, "no-verdict: 1 cell"),
    ),
)
ALONE = replace(
    SPEC,
    regular=False,
    longitudes=(-9.0, -8.0, -8.5),
    latitudes=(40.0, 39.5, 38.0),
    codes=((0, 3, 2),),
    told=((("a",), ("b",), ("c",)),),
    kinds=(SPEC.kinds[0], SPEC.kinds[1], SPEC.kinds[3]),
)


@pytest.mark.parametrize(
    ("longitude", "latitude"),
    [
        (-9.50, 38.78),  # Cabo da Roca, the west end of the European mainland (from memory)
        (20.00, -34.83),  # Cape Agulhas, the south end of Africa (from memory)
        (-5.72, 50.07),  # Land's End (from memory)
    ],
)
def test_the_coast_is_where_it_is(longitude: float, latitude: float) -> None:
    """Within 0.1 degrees, in a window on either side of the date line."""
    for turn in (0.0, 360.0):
        middle = longitude + turn
        xs, ys = coast_within((middle - 2, middle + 2), (latitude - 2, latitude + 2))
        x, y = (np.array(values, float) for values in (xs, ys))
        assert np.nanmin(np.hypot(x - middle, y - latitude)) < 0.1


def test_open_water_has_no_coast() -> None:
    """The middle of the South Pacific."""
    assert coast_within((-125.0, -115.0), (-50.0, -40.0)) == ([], [])


HOURS = replace(SPEC, scale="hours", kinds=tuple(reversed(SPEC.kinds)))


@pytest.mark.parametrize("spec", [SPEC, ALONE, HOURS])
def test_each_verdict_has_a_sign_of_its_own_and_stands_in_words(spec: GridMap) -> None:
    """Colour alone tells nothing; the signs stand on the cells of their verdict."""
    figure = Figure(draw_figure(spec))
    signs = [trace for trace in figure.data if trace.showlegend is None and trace.name]
    assert [trace.name for trace in signs] == [kind.text for kind in spec.kinds]
    assert len({trace.marker.symbol for trace in signs}) == len(spec.kinds)
    numbers = {trace.name: len([x for x in trace.x if x is not None]) for trace in signs}
    codes = sum(spec.codes, ())
    assert numbers == {kind.text: codes.count(kind.code) for kind in spec.kinds}


def test_a_cell_tells_its_numbers_and_one_without_a_value_is_not_drawn() -> None:
    """As text: markup in it is none."""
    (heat,) = (trace for trace in draw_figure(SPEC)["data"] if trace["type"] == "heatmap")
    assert heat["z"] == [[0, 1], [2, 3], [None, 2]]
    assert "1234 h" in heat["hovertext"][0][0]
    assert "<00>" not in heat["hovertext"][0][0]


def test_hours_are_the_darker_the_more() -> None:
    """In tones of one hue, so light that the black coast is seen on them (3 to 1, WCAG 1.4.11)."""
    (heat,) = (trace for trace in draw_figure(HOURS)["data"] if trace["type"] == "heatmap")
    lights = [luminance(fill) for _, fill in heat["colorscale"][::2]]
    assert lights == sorted(lights, reverse=True)
    assert contrast(heat["colorscale"][-1][1], "#000000") > 3.0


@pytest.mark.parametrize("spec", [SPEC, HOURS])
def test_a_sign_is_seen_on_its_cell_and_in_the_legend(spec: GridMap) -> None:
    """By day and on a dark screen, 3 to 1 (WCAG 1.4.11): its lines, or its fill on a cell."""
    data = draw_figure(spec)["data"]
    fills = [fill for _, fill in data[0]["colorscale"][::2]]
    for kind, trace in zip(spec.kinds, data[1:-1], strict=True):
        marker = trace["marker"]
        colour = marker["color"].replace("white", "#ffffff")
        assert contrast(colour, fills[kind.code]) > 3.0
        for ground in (GROUND, DARK[GROUND]):
            assert contrast(marker["line"]["color"], ground) > 3.0


@pytest.mark.parametrize("spec", [SPEC, ALONE])
def test_the_page_draws_it_without_a_network(
    spec: GridMap, open_page: Callable[..., Chrome]
) -> None:
    """In the real browser: cells, signs, coast and legend, and nothing that its policy refuses."""
    chart = Chart(name="map", title="Where", spec=spec)
    sections = (Section(name="where", title="Where", blocks=(chart,)),)
    sheet = Sheet(title="Map", headline="It can.", about=Facts(rows=()), sections=sections)
    browser = open_page(render_page(sheet))
    browser.execute_script("document.getElementById('map').scrollIntoView()")
    found = browser.execute_async_script(
        """
        const done = arguments[0];
        (function wait() {
          const legend = [...document.querySelectorAll("#map .legendtext")];
          if (!legend.length) { return setTimeout(wait, 50); }
          done([legend.map((one) => one.textContent),
                document.querySelectorAll("#map path.js-line").length,
                document.querySelectorAll("#map .points path").length]);
        })();
        """
    )
    assert found[0] == [kind.text for kind in spec.kinds]
    assert found[1] > 0
    assert found[2] == sum(code >= 0 for row in spec.codes for code in row)
    assert [one for one in browser.get_log("browser") if one["level"] == "SEVERE"] == []  # type: ignore[no-untyped-call]
