"""
JSON schemas (draft 2020-12) of every document, and a page of all their keys, made from the types.

`python -m suitability.output.schemas docs` writes them; a test holds the files to the types.
"""

import json
import sys
from importlib import import_module
from pathlib import Path
from typing import Any

import msgspec

DOCUMENTS = {  # name of the document: module and type of its result
    "check": "suitability.advice.result:CheckResult",
    "check-places": "suitability.atlas.tally:PlacesResult",
    "map": "suitability.atlas.labelled:MapResult",
    "moves": "suitability.advice.moves:MovesResult",
    "plan": "suitability.advice.plan_result:PlanResult",
    "cards": "suitability.advice.card:CardResult",
    "year": "suitability.advice.growth_year:GrowthYearResult",
    "compare": "suitability.advice.comparison:Comparison",
    "habitat": "suitability.advice.habitat:HabitatResult",
    "protect": "suitability.advice.protection:Protection",
    "fit": "suitability.advice.calibration:Calibration",
    "spots": "suitability.spots.listing:SpotList",
    "kinds": "suitability.spots.listing:KindList",
    "groups": "suitability.groups.listing:GroupList",
    "outlook": "suitability.advice.outlook:Outlook",
    "diary-now": "suitability.advice.diary:DiaryNow",
    "diary-review": "suitability.advice.diary:DiaryReview",
    "doctor": "suitability.weather.health:Health",
    "weather-list": "suitability.weather.listing:StoreList",
    "weather-show": "suitability.weather.listing:RecordShown",
    "weather-check": "suitability.weather.upkeep:StoreCheck",
    "weather-prune": "suitability.weather.upkeep:Cleared",
    "weather-stations": "suitability.weather.listing:StationsNear",
    "weather-fetch": "suitability.weather.listing:YearsFetched",
}

COMMANDS = {  # what writes a document that has not the name of its command
    **{name: f"spots {name}" for name in ("protect", "fit", "kinds")},
    "spots": "spots list",
    "check-places": "check --places FILE --results FILE",
    "map": "map GRID --group KEY",
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
    schema = msgspec.json.schema(_kind(name))
    whole = {"$schema": "https://json-schema.org/draft/2020-12/schema", **_closed(schema)}
    return json.dumps(whole, indent=1, ensure_ascii=False) + "\n"


def _kind(name: str) -> Any:
    """The type whose value a document is."""
    module, kind = DOCUMENTS[name].split(":")
    return getattr(import_module(module), kind)


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


INTRODUCTION = """# Every key

The keys of every JSON document, made from the types of the results by the program itself.
In CSV files and workbooks a column has the name of its key, nested ones joined by underscores.
There a day of the year, `MM-DD`, is a month and a day ([spreadsheets.md](spreadsheets.md)).
Every key is always there; what is not known is `null`.
[json.md](json.md) says how documents are read, `docs/schema` holds a schema of each.

| document | command | object |
|---|---|---|
"""


def render_reference() -> str:
    """The page of all keys: which object each document is, then every object with its keys."""
    kinds = {name: _kind(name) for name in DOCUMENTS}
    each = list(dict.fromkeys(kinds.values()))
    told, parts = msgspec.json.schema_components(each, ref_template="#/$defs/{name}")
    roots = dict(zip(each, told, strict=True))
    lines = [
        f"| [{name}](schema/{name}.json) | `{_command(name)}` | {_link(roots[kind]['$ref'])} |"
        for name, kind in kinds.items()
    ]
    sections = [_section(name, part) for name, part in parts.items()]
    return INTRODUCTION + "\n".join(lines) + "\n" + "".join(sections)


def _command(name: str) -> str:
    return f"suitability {COMMANDS.get(name, name.replace('-', ' '))} --json"


def _section(name: str, part: dict[str, Any]) -> str:
    """One object with its keys, or one word with what it may be."""
    told = part.get("description", "").split("\n\n")[0].replace("\n", " ")
    if "properties" not in part:
        return f"\n## {name}\n\n{told}\n\nOne of {_type_words(part, ' or ')}.\n"
    rows = [
        f"| `{key}` | {_type_words(value, choice=' or ')} | {_unit(value)} | "
        f"{value.get('description', '')} |"
        for key, value in part["properties"].items()
    ]
    head = "| key | value | unit | meaning |\n|---|---|---|---|\n"
    return f"\n## {name}\n\n{told}\n\n{head}" + "\n".join(rows) + "\n"


def _link(reference: str) -> str:
    name = reference.rsplit("/", 1)[-1]
    return f"[{name}](#{name.lower()})"


def _unit(value: dict[str, Any]) -> str:
    """The unit of a key, or of what it may hold beside null."""
    parts = [value, value.get("items") or {}, *value.get("anyOf", [])]
    return next((str(part["unit"]) for part in parts if "unit" in part), "")


def _type_words(value: dict[str, Any], choice: str) -> str:
    """What a key may hold, in words."""
    if "$ref" in value:
        return _link(value["$ref"])
    if "anyOf" in value:
        return choice.join(_type_words(one, choice) for one in value["anyOf"])
    if "enum" in value:
        return ", ".join(f"`{one}`" for one in value["enum"])
    return _plain_words(value)


def _plain_words(value: dict[str, Any]) -> str:
    """What a key holds that is neither an object of ours nor one of several things."""
    kind = str(value.get("type", "anything"))
    if "prefixItems" in value:
        return "list: " + ", ".join(_type_words(one, "/") for one in value["prefixItems"])
    if kind == "array":
        twelve = "twelve times " if value.get("minItems") == 12 else "list of "
        return twelve + _type_words(value.get("items", {}), "/")
    plain = {"boolean": "true or false", "string": "text", "object": "numbers by name"}
    return plain.get(kind, kind)


def write_schemas(docs: Path) -> None:
    """Write the schema of every document, and the page of all keys, into the folder of the docs."""
    for name in DOCUMENTS:
        (docs / "schema" / f"{name}.json").write_text(render_schema(name), encoding="utf-8")
    (docs / "fields.md").write_text(render_reference(), encoding="utf-8")


if __name__ == "__main__":
    write_schemas(Path(sys.argv[1]))
