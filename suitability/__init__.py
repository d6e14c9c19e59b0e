"""
Where a tender orchid can live, and when it must move, from hourly temperature records.

The names below are the public Python face. Each is looked up when it is first asked for, so that
`import suitability` loads none of the rooms behind it.
"""

from importlib import import_module

TYPE_CHECKING = False  # type checkers take it for true; `typing` is slow where all begins
if TYPE_CHECKING:
    from suitability.advice.card import Card, CardResult
    from suitability.advice.carding import make_cards
    from suitability.advice.cases import Rules
    from suitability.advice.checking import check_groups
    from suitability.advice.comparison import compare_sites
    from suitability.advice.growing_weeks import GroupCare, plan_growth
    from suitability.advice.growth_year import GrowthYear, GrowthYearResult
    from suitability.advice.moves import plan_moves
    from suitability.advice.moves_result import Move, MoveDate, MovesResult
    from suitability.advice.needs import judge_needs
    from suitability.advice.plant_state import PlantState
    from suitability.advice.plant_year import PlantYear
    from suitability.advice.preparing import CheckOptions
    from suitability.advice.profile import Profile
    from suitability.advice.profiling import Subject, make_profiles
    from suitability.advice.protection import plan_protection
    from suitability.advice.result import CheckResult, Finding
    from suitability.advice.terms import Season, Verdict
    from suitability.climate.climatology import MonthlyNormals, monthly_normals
    from suitability.climate.exposure import MonthlyExposure, monthly_exposure
    from suitability.errors import SuitabilityError
    from suitability.groups import Catalogue, Caution, Group, Needs, read_catalogue
    from suitability.output.charts import draw_hours, draw_year
    from suitability.output.document import check_document
    from suitability.places import Place, place_at
    from suitability.spots.collection import Collection, read_collection
    from suitability.spots.spot import OPEN_AIR, ROOFED, Spot
    from suitability.units import TemperatureUnit
    from suitability.weather.fetching import record_for_place
    from suitability.weather.quality import check_quality
    from suitability.weather.record import Origin, Record, Station, from_dataset, to_dataset
    from suitability.weather.sources.demo import demo_place, demo_record
    from suitability.weather.sources.files import read_file_record

    __version__: str

__all__ = [
    "OPEN_AIR",
    "ROOFED",
    "Card",
    "CardResult",
    "Catalogue",
    "Caution",
    "CheckOptions",
    "CheckResult",
    "Collection",
    "Finding",
    "Group",
    "GroupCare",
    "GrowthYear",
    "GrowthYearResult",
    "MonthlyExposure",
    "MonthlyNormals",
    "Move",
    "MoveDate",
    "MovesResult",
    "Needs",
    "Origin",
    "Place",
    "PlantState",
    "PlantYear",
    "Profile",
    "Record",
    "Rules",
    "Season",
    "Spot",
    "Station",
    "Subject",
    "SuitabilityError",
    "TemperatureUnit",
    "Verdict",
    "__version__",
    "check_document",
    "check_groups",
    "check_quality",
    "compare_sites",
    "demo_place",
    "demo_record",
    "draw_hours",
    "draw_year",
    "from_dataset",
    "judge_needs",
    "make_cards",
    "make_profiles",
    "monthly_exposure",
    "monthly_normals",
    "place_at",
    "plan_growth",
    "plan_moves",
    "plan_protection",
    "read_catalogue",
    "read_collection",
    "read_file_record",
    "record_for_place",
    "to_dataset",
]

_MODULE = {  # public name: where it lives; type checkers read the same list above
    "Card": "advice.card",
    "CardResult": "advice.card",
    "make_cards": "advice.carding",
    "compare_sites": "advice.comparison",
    "judge_needs": "advice.needs",
    "PlantState": "advice.plant_state",
    "PlantYear": "advice.plant_year",
    "Profile": "advice.profile",
    "Subject": "advice.profiling",
    "make_profiles": "advice.profiling",
    "plan_protection": "advice.protection",
    "Collection": "spots.collection",
    "read_collection": "spots.collection",
    "check_groups": "advice.checking",
    "GroupCare": "advice.growing_weeks",
    "plan_growth": "advice.growing_weeks",
    "GrowthYear": "advice.growth_year",
    "GrowthYearResult": "advice.growth_year",
    "Move": "advice.moves_result",
    "MoveDate": "advice.moves_result",
    "MovesResult": "advice.moves_result",
    "plan_moves": "advice.moves",
    "CheckOptions": "advice.preparing",
    "CheckResult": "advice.result",
    "Finding": "advice.result",
    "Season": "advice.result",
    "Rules": "advice.cases",
    "Verdict": "advice.verdicts",
    "MonthlyNormals": "climate.climatology",
    "monthly_normals": "climate.climatology",
    "MonthlyExposure": "climate.exposure",
    "monthly_exposure": "climate.exposure",
    "SuitabilityError": "errors",
    "Catalogue": "groups",
    "Caution": "groups",
    "Group": "groups",
    "Needs": "groups",
    "read_catalogue": "groups",
    "draw_hours": "output.charts",
    "draw_year": "output.charts",
    "check_document": "output.document",
    "Place": "places",
    "place_at": "places",
    "OPEN_AIR": "spots.spot",
    "ROOFED": "spots.spot",
    "Spot": "spots.spot",
    "TemperatureUnit": "units",
    "record_for_place": "weather.fetching",
    "check_quality": "weather.quality",
    "Origin": "weather.record",
    "Record": "weather.record",
    "Station": "weather.record",
    "from_dataset": "weather.record",
    "to_dataset": "weather.record",
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
