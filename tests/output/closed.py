"""Whether the schema of a document is closed: no object of it may lose or gain a key."""

from __future__ import annotations

import json
from typing import Any

import jsonschema
import pytest

__all__ = ["check_closed", "objects_in"]


def objects_in(value: object) -> list[dict[str, Any]]:
    """Every object of a document, itself among them."""
    if isinstance(value, dict):
        return [value, *(one for inner in value.values() for one in objects_in(inner))]
    if isinstance(value, list):
        return [one for inner in value for one in objects_in(inner)]
    return []


def check_closed(whole: dict[str, Any], schema: dict[str, Any], *, free: str, kinds: int) -> None:
    """
    Whatever object loses or gains a key, the schema sees it.

    Parameters
    ----------
    free
        A key of the numbers of a reason, which are named as they come.
    kinds
        Of objects that the document has at least.
    """
    found = {tuple(one): number for number, one in enumerate(objects_in(whole))}
    assert len(found) >= kinds
    validator = jsonschema.Draft202012Validator(schema)
    for keys, number in found.items():
        if not keys or free in keys:
            continue
        for change in ("lose", "gain"):
            copy = json.loads(json.dumps(whole))
            one = objects_in(copy)[number]
            if change == "lose":
                del one[keys[0]]
            else:
                one["unheard_of"] = 1
            with pytest.raises(jsonschema.ValidationError):
                validator.validate(copy)
