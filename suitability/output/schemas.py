"""
JSON schemas (draft 2020-12) of every document, made from the types of the results.

`python -m suitability.output.schemas docs/schema` writes them; a test holds the files to the types.
"""

import json
import sys
from importlib import import_module
from pathlib import Path
from typing import Any

import msgspec

__all__ = ["DOCUMENTS", "render_schema", "write_schemas"]

DOCUMENTS = {  # name of the document: module and type of its result
    "check": "suitability.advice.result:CheckResult",
    "moves": "suitability.advice.moves_result:MovesResult",
    "cards": "suitability.advice.card:CardResult",
    "year": "suitability.advice.growth_year:GrowthYearResult",
    "compare": "suitability.advice.compared:Comparison",
    "protect": "suitability.advice.protection:Protection",
    "fit": "suitability.advice.calibration:Calibration",
    "spots": "suitability.spots.listing:SpotList",
    "kinds": "suitability.spots.listing:KindList",
    "groups": "suitability.groups.listing:GroupList",
    "weather-list": "suitability.weather.listing:StoreList",
    "weather-show": "suitability.weather.listing:RecordShown",
    "weather-check": "suitability.weather.upkeep:StoreCheck",
    "weather-prune": "suitability.weather.upkeep:Cleared",
    "weather-stations": "suitability.weather.listing:StationsNear",
    "weather-fetch": "suitability.weather.listing:YearsFetched",
}


def render_schema(name: str) -> str:
    """
    The schema of one document as indented JSON.

    Every key of an object is always there and no other is, which the types alone do not say.

    Parameters
    ----------
    name
        One of `DOCUMENTS`.
    """
    module, kind = DOCUMENTS[name].split(":")
    schema = msgspec.json.schema(getattr(import_module(module), kind))
    whole = {"$schema": "https://json-schema.org/draft/2020-12/schema", **_closed(schema)}
    return json.dumps(whole, indent=1, ensure_ascii=False) + "\n"


def _closed(part: Any) -> Any:
    """The same schema with all keys required, no others allowed, and no defaults."""
    if isinstance(part, list):
        return [_closed(one) for one in part]
    if not isinstance(part, dict):
        return part
    closed = {key: _closed(value) for key, value in part.items() if key != "default"}
    if isinstance(part.get("properties"), dict):
        closed["properties"] = {key: _closed(value) for key, value in part["properties"].items()}
        closed["required"] = list(part["properties"])
        closed["additionalProperties"] = False
    return closed


def write_schemas(folder: Path) -> None:
    """Write the schema of every document into a folder."""
    for name in DOCUMENTS:
        (folder / f"{name}.json").write_text(render_schema(name), encoding="utf-8")


if __name__ == "__main__":
    write_schemas(Path(sys.argv[1]))
