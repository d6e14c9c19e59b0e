"""
A name as it stands on a label, taken apart into what names a plant and what does not.

Cultivars in quotes, awards, ploidy and remarks in brackets name no group and are left out; crosses
are split into their parents.
"""

from __future__ import annotations

import re
import unicodedata

from msgspec import Struct

from suitability.errors import CatalogueError

LONGEST = 100  # characters; the longest names of crosses on labels have some 70
SHOWN = 40  # characters of a name that is refused for its length
AWARDS = re.compile(
    r"\b(?:AD|AM|AQ|BM|CBM|CBR|CCE|CCM|CHM|FCC|GM|HCC|JC|SM)(?:-(?:AM|FCC|HCC))?/[A-Z]{2,5}\b"
)
CULTIVAR = re.compile(r"""(?:(?<=[\s(])|^)(['"])(?!\s).*?\1(?=[\s,.;)]|$)""")
PLOIDY = re.compile(r"#\s*\d+|\b\d+\s*[nN]\b")
BRACKETS = re.compile(r"\(([^()]*)\)|\[([^\[\]]*)\]")
SIGNS = frozenset(("x", "X", "×", "/", "+"))  # noqa: RUF001  the hybrid sign
ALONE = re.compile(r"([×/+])")  # noqa: RUF001  signs that need no space around them
SELVES = frozenset(("self", "selfed", "selfing", "selfs", "sib", "sibs", "sibling"))
QUOTES = str.maketrans("‘’‚‛`´“”„‟", "''''''" + '"' * 4)  # noqa: RUF001
NO_BRACKETS = str.maketrans("()[]", "    ")
NOT_WORDS = re.compile(r"[\s.,;:_()\[\]#*!\"–—-]+")  # noqa: RUF001  dashes as labels have them


class Label(Struct, frozen=True, kw_only=True):
    """
    The parents of a plant as words with their case, one for a plant that is no cross.

    `natural` is True where a hybrid sign stands after the first part: "Genus x epithet" is no cross
    if that part is the name of a genus. `inside` is what stands in brackets behind a name: its
    parents, or a remark.
    """

    parents: tuple[tuple[str, ...], ...]
    natural: bool = False
    inside: str = ""


def read_label(text: str) -> Label:
    """
    A label's name in its parts.

    Raises
    ------
    CatalogueError
        It is too long, has no letter, or letters of another alphabet.
    """
    text = _readable(text)
    for left_out in (AWARDS, PLOIDY, CULTIVAR):
        text = left_out.sub(" ", text) if left_out.sub(" ", text).strip() else text
    inside = " ".join(a or b for a, b in BRACKETS.findall(text))
    outside = BRACKETS.sub(" ", text)
    crossed = not SIGNS.isdisjoint(_pieces(inside))
    behind = SIGNS.isdisjoint(_pieces(outside)) and len(words_of(outside)) > 1
    if not words_of(outside) or (crossed and not behind):
        outside, inside = text, ""
    signs, parts = _split(outside)
    if parts and len(signs) == len(parts):  # a sign at the end: whose other parent is not named
        parts[-1] = (*parts[-1], "hybrid")
    parents = tuple(part for part in parts if not SELVES.issuperset(map(str.lower, part)))
    natural = len(parents) > 1 and signs[0] not in "/+"
    return Label(parents=parents, natural=natural, inside=inside)


def words_of(text: str) -> tuple[str, ...]:
    """The words of a text, without stops, dashes and brackets."""
    words = (word.strip("'") for word in NOT_WORDS.split(text))
    return tuple(word for word in words if word)


def printable(text: str) -> str:
    """A text that can be shown in a sentence: short, with a mark for what cannot be printed."""
    shown = "".join(one if one.isprintable() else "?" for one in text.strip())
    return shown if len(shown) <= LONGEST else shown[:SHOWN] + "…"


def _pieces(text: str) -> list[str]:
    """Words and crossing signs, brackets left out."""
    return ALONE.sub(r" \1 ", text.translate(NO_BRACKETS)).split()


def _split(text: str) -> tuple[list[str], list[tuple[str, ...]]]:
    """The crossing signs between names, and the words of each name that has some."""
    signs: list[str] = []
    parts: list[list[str]] = [[]]
    for word in _pieces(text):
        if word in SIGNS:
            if parts[-1]:
                signs.append(word)
                parts.append([])
        else:
            parts[-1] += words_of(word)
    return signs, [tuple(part) for part in parts if part]


def _readable(text: str) -> str:
    """One line of Latin letters without accents, quotes straight, invisible characters gone."""
    where = f'group "{printable(text)}"'
    if len(text) > LONGEST:
        raise CatalogueError(
            f"{where}: has {len(text)} characters, a name at most {LONGEST}: give the species, or "
            "the parents alone."
        )
    plain = unicodedata.normalize("NFKD", text.translate(QUOTES))
    plain = "".join(one for one in plain if unicodedata.category(one) not in ("Mn", "Cf"))
    letters = [one for one in plain if one.isalpha()]
    latin = [one for one in letters if unicodedata.name(one, "").startswith("LATIN")]
    if len(latin) < len(letters):
        found = "letters of another alphabet among Latin ones" if latin else "no Latin letters"
        raise CatalogueError(f'{where}: has {found}; type it anew, as in "Dendrobium nobile".')
    unseen = any(unicodedata.category(one) == "Cc" and not one.isspace() for one in plain)
    if unseen or not (letters or "?" in plain):
        raise CatalogueError(f'{where}: cannot be read; type a name, as in "Dendrobium nobile".')
    return " ".join(plain.split())
