"""
TOML files read, and single fields of their tables checked: numbers, texts, flags, words of a list.

Every refusal names the file, the entry, the field, what was found and what would be right. Parsed
by tomli, whose compiled form takes 3.5 ms for our catalogue where the standard library's parser
takes 9: it is read at every start.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NoReturn, TypeVar

import tomli
from msgspec import Struct

from suitability.errors import CatalogueError
from suitability.steps import timed_step

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from pathlib import Path

KEY_CHARACTERS = frozenset("abcdefghijklmnopqrstuvwxyz0123456789-")
LONGEST_SHOWN = 40  # characters of what was found, in a refusal

Word = TypeVar("Word")


class Span(Struct, frozen=True):
    """What a number may be, ends included; `celsius` where Fahrenheit is the likely slip."""

    low: float
    high: float
    unit: str
    celsius: bool = False


class Where(Struct, frozen=True):
    """
    Where in which file, and by which rules it is read.

    `known_sources` None means a user's own file; otherwise it is our own, and every source must
    be one of these ids.
    """

    file: str
    entry: str = ""
    known_sources: Mapping[str, str] | None = None

    @property
    def ours(self) -> bool:
        """Whether this is our own catalogue, which must give range and evidence everywhere."""
        return self.known_sources is not None

    def at(self, entry: str) -> Where:
        """The same file and rules, at another entry."""
        return Where(self.file, entry, self.known_sources)

    def refuse(self, field: str, found: str, right: str, hint: str = "") -> NoReturn:
        """
        Raise the one sentence that says where, what was found and what would be right.

        Raises
        ------
        CatalogueError
            Always.
        """
        place = ", ".join(part for part in (self.file, self.entry, field) if part)
        tail = f" {hint}" if hint else ""
        raise CatalogueError(f"{place}: found {found}; right would be {right}.{tail}")


def read_table(path: Path) -> dict[str, object]:
    """
    A TOML file as a table.

    Raises
    ------
    CatalogueError
        The file is missing, cannot be read, is empty, or is not TOML (with the line).
    """
    name = path.name or str(path)
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError as error:
        raise CatalogueError(f"{path}: no such file. Check the name and the folder.") from error
    except OSError as error:
        reason = error.strerror or "unknown reason"
        raise CatalogueError(f"{path}: cannot be read ({reason}).") from error
    except UnicodeDecodeError as error:
        raise CatalogueError(
            f"{name}: found bytes that are not UTF-8; right would be a text file in TOML, saved "
            "as UTF-8."
        ) from error
    if not text.strip():
        raise CatalogueError(f"{name}: found an empty file; right would be TOML.")
    try:
        with timed_step("Read %s", name):
            return tomli.loads(text)
    except tomli.TOMLDecodeError as error:
        raise CatalogueError(
            f"{name}, line {error.lineno}: found something that is not TOML "
            f"({error.msg}, column {error.colno})."
        ) from error
    except RecursionError as error:
        raise CatalogueError(f"{name}: found tables or lists nested too deeply.") from error


def is_key(word: str) -> bool:
    """
    Whether the word has the form of a key: lower-case letters, digits, single hyphens inside.

    Examples
    --------
    >>> is_key("soft-cane"), is_key("Soft cane"), is_key("soft--cane")
    (True, False, False)
    """
    return bool(word) and set(word) <= KEY_CHARACTERS and all(word.split("-"))


def check_fields(
    table: Mapping[str, object], known: frozenset[str], where: Where, inside: str = ""
) -> None:
    """
    Refuse a field that is not known, offering the nearest that is.

    Raises
    ------
    CatalogueError
        A field is not among the known ones.
    """
    if table.keys() <= known:
        return
    from difflib import get_close_matches  # noqa: PLC0415  needed only when something is wrong

    field = min(table.keys() - known)
    near = get_close_matches(field, sorted(known), n=1)
    right = f'"{near[0]}"' if near else f"one of {', '.join(sorted(known))}"
    where.refuse(inside + field, "an unknown field", right)


def check_present(
    table: Mapping[str, object], needed: Iterable[str], where: Where, inside: str = ""
) -> None:
    """
    Refuse a table that lacks a field.

    Raises
    ------
    CatalogueError
        A needed field is absent.
    """
    for field in needed:
        if field not in table:
            where.refuse(inside + field, "nothing", f"the field {field}, which must be there")


def parse_number(raw: object, span: Span, field: str, where: Where) -> float:
    """
    A finite number inside the span, ends included.

    Raises
    ------
    CatalogueError
        Not a number (true and texts are none), not finite, or outside the span.
    """
    hint = ""
    if isinstance(raw, int) and abs(raw) > 10**9:
        return where.refuse(field, "a number of many digits", f"{span.low:g} to {span.high:g}", "")
    if isinstance(raw, (int, float)) and not isinstance(raw, bool):
        if span.low <= raw <= span.high:
            return float(raw)
        hint = _fahrenheit_hint(float(raw), span) if span.celsius else ""
    elif isinstance(raw, str):
        hint = "Write numbers without quotes."
    right = f"a number from {span.low:g} to {span.high:g} {span.unit}"
    return where.refuse(field, shown(raw), right, hint)


def _fahrenheit_hint(number: float, span: Span) -> str:
    if not math.isfinite(number):
        return ""
    from suitability.units import celsius_from_fahrenheit  # noqa: PLC0415  only when wrong

    celsius = celsius_from_fahrenheit(number)
    if not span.low <= celsius <= span.high:
        return ""
    return f"If that is Fahrenheit, {number:g} °F is {celsius:.1f} °C: write °C."


def parse_text(raw: object, field: str, where: Where, longest: int = 2000) -> str:
    """
    A text of one line, not longer than so many characters.

    Raises
    ------
    CatalogueError
        Not a text, too long, or with line breaks or control characters in it.
    """
    right = f"a text of one line, at most {longest} characters"
    if not isinstance(raw, str) or len(raw) > longest:
        where.refuse(field, shown(raw), right)
    if not raw.isprintable():
        at = next(at for at, character in enumerate(raw) if not character.isprintable())
        found = f"{shown(raw)}, whose character {at + 1} is {_unseen(raw[at])}"
        where.refuse(field, found, right, "Delete that character, or type the text anew.")
    return raw


def _unseen(character: str) -> str:
    """A character that cannot be seen, by its number and name."""
    from unicodedata import name  # noqa: PLC0415  only when wrong

    kinds = {"\n": "a line break", "\r": "a line break", "\t": "a tab"}
    told = kinds.get(character) or f"the invisible {name(character, 'control character')}"
    return f"{told} (U+{ord(character):04X})"


def parse_flag(raw: object, field: str, where: Where) -> bool:
    """
    True or false, not a text or a number that looks like it.

    Raises
    ------
    CatalogueError
        Anything else.
    """
    if not isinstance(raw, bool):
        where.refuse(field, shown(raw), "true or false, without quotes")
    return raw


def parse_word(raw: object, words: Mapping[str, Word], field: str, where: Where) -> Word:
    """
    What one word of a closed list stands for.

    Raises
    ------
    CatalogueError
        The word is not in the list.
    """
    if not isinstance(raw, str) or raw not in words:
        where.refuse(field, shown(raw), "one of " + ", ".join(words))
    return words[raw]


def parse_list(raw: object, field: str, where: Where) -> tuple[str, ...]:
    """
    A list of texts, possibly empty.

    Raises
    ------
    CatalogueError
        Not a list, or something in it is not a text.
    """
    if not isinstance(raw, list) or not all(isinstance(item, str) and item for item in raw):
        where.refuse(field, shown(raw), "a list of texts in quotes, in square brackets")
    return tuple(raw)


def shown(raw: object) -> str:
    """What was found, short and with its kind where that is the mistake."""
    if isinstance(raw, bool):
        return "true" if raw else "false"
    if isinstance(raw, str):
        return "an empty text" if not raw else f"the text {_cut(raw)!r}"
    if isinstance(raw, (int, float)):
        return repr(raw)
    if isinstance(raw, list):
        return f"a list of {len(raw)}"
    if isinstance(raw, dict):
        return "a table"
    return f"{_cut(str(raw))!r}"


def _cut(text: str) -> str:
    return text if len(text) <= LONGEST_SHOWN else text[:LONGEST_SHOWN] + "…"
