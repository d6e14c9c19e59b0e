"""
Where a tender orchid can live, and when it must move, from hourly temperature records.

Ask, then answer: `ask` makes one question of a record, a place, spots and groups, with the defaults
of the command line; `check`, `moves`, `year`, `plan`, `cards`, `report`, `protect`, `compare` and
`fit` answer it; `to_frame`, `render_json` and `figures` hand the answer on. Recipes stand in
docs/python.md.

    question = suitability.ask(suitability.demo_record(), suitability.demo_place(), "phalaenanthe")
    print(suitability.check(question).results[0].verdict)

Each name is looked up when it is first asked for, so that `import suitability` loads none of the
rooms behind it.
"""

from importlib import import_module

TYPE_CHECKING = False  # type checkers take it for true; `typing` is slow where all begins
if TYPE_CHECKING:
    from suitability.advice.calibration import Calibration, fit
    from suitability.advice.card import CardResult, cards
    from suitability.advice.check import check
    from suitability.advice.comparison import Comparison, compare
    from suitability.advice.growing_weeks import year
    from suitability.advice.growth_year import GrowthYearResult
    from suitability.advice.moves import MovesResult, moves
    from suitability.advice.plan_result import PlanResult
    from suitability.advice.planning import plan
    from suitability.advice.plant_state import PlantState
    from suitability.advice.protection import Protection, protect
    from suitability.advice.question import Question, ask
    from suitability.advice.report import ReportResult, report
    from suitability.advice.result import CheckResult
    from suitability.atlas.region import map_grid
    from suitability.errors import SuitabilityError
    from suitability.groups.reading import read_catalogue
    from suitability.output.document import render_json
    from suitability.output.frames import figures, to_frame
    from suitability.places import Place, place_at
    from suitability.spots.spot import Spot
    from suitability.weather.fetching import record_for_place
    from suitability.weather.record import Record, from_dataset, to_dataset
    from suitability.weather.sources.demo import demo_place, demo_record
    from suitability.weather.sources.files import read_file_record
    from suitability.weather.sources.logger import read_log

    __version__: str

__all__ = [
    "Calibration",
    "CardResult",
    "CheckResult",
    "Comparison",
    "GrowthYearResult",
    "MovesResult",
    "Place",
    "PlanResult",
    "PlantState",
    "Protection",
    "Question",
    "Record",
    "ReportResult",
    "Spot",
    "SuitabilityError",
    "__version__",
    "ask",
    "cards",
    "check",
    "compare",
    "demo_place",
    "demo_record",
    "figures",
    "fit",
    "from_dataset",
    "map_grid",
    "moves",
    "place_at",
    "plan",
    "protect",
    "read_catalogue",
    "read_file_record",
    "read_log",
    "record_for_place",
    "render_json",
    "report",
    "to_dataset",
    "to_frame",
    "year",
]

_MODULE = {  # public name: where it lives; type checkers read the same list above
    "ask": "advice.question",
    "check": "advice.check",
    "render_json": "output.document",
    "map_grid": "atlas.region",
    "figures": "output.frames",
    "to_frame": "output.frames",
    "read_catalogue": "groups.reading",
    "from_dataset": "weather.record",
    "to_dataset": "weather.record",
    "read_log": "weather.sources.logger",
    "fit": "advice.calibration",
    "Calibration": "advice.calibration",
    "moves": "advice.moves",
    "year": "advice.growing_weeks",
    "plan": "advice.planning",
    "compare": "advice.comparison",
    "cards": "advice.card",
    "protect": "advice.protection",
    "report": "advice.report",
    "Question": "advice.question",
    "PlantState": "advice.plant_state",
    "CheckResult": "advice.result",
    "MovesResult": "advice.moves",
    "GrowthYearResult": "advice.growth_year",
    "PlanResult": "advice.plan_result",
    "Comparison": "advice.comparison",
    "CardResult": "advice.card",
    "Protection": "advice.protection",
    "ReportResult": "advice.report",
    "SuitabilityError": "errors",
    "Place": "places",
    "place_at": "places",
    "Spot": "spots.spot",
    "record_for_place": "weather.fetching",
    "Record": "weather.record",
    "demo_place": "weather.sources.demo",
    "demo_record": "weather.sources.demo",
    "read_file_record": "weather.sources.files",
}


def __getattr__(name: str) -> object:
    """The public thing of that name; the version is that of the installed package."""
    if name == "__version__":
        from importlib.metadata import version  # noqa: PLC0415  (slow, and seldom asked for)

        return version("suitability")
    if name not in _MODULE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_MODULE[name]}"), name)


def __dir__() -> list[str]:
    """Every public name, looked up already or not."""
    return sorted({*globals(), *__all__})
