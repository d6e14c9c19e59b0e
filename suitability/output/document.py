"""
The JSON document of a result: its type, encoded; docs/schema holds the schema made from that type.

Every key is always there; what is not known is null, never NaN and never 0. Temperatures are in °C.
"""

import json
import re

from msgspec import Struct, to_builtins
from msgspec.json import encode


def render_json(result: Struct) -> str:
    r"""
    One JSON document, a result encoded, on one line, without a line end.

    Only ASCII characters, others escaped, so that it passes any terminal and pipe unharmed.

    Examples
    --------
    >>> class Named(Struct):
    ...     name: str
    >>> render_json(Named("Å"))
    '{"name":"\\u00c5"}'
    """
    try:
        text = encode(result).decode("utf-8")
    except UnicodeEncodeError:  # a name holds half of a pair of surrogates, which UTF-8 refuses
        return json.dumps(to_builtins(result), allow_nan=False, separators=(",", ":"))
    return text if text.isascii() else re.sub(r"[^\x00-\x7f]", _escaped, text)


def _escaped(found: re.Match[str]) -> str:
    """One character as JSON escapes it, a pair of surrogates beyond the basic plane."""
    return json.dumps(found[0])[1:-1]
