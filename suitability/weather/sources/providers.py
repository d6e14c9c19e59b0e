"""Who stands behind the values of a Meteostat file, and the words that credit them."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct


class Provider(Struct, frozen=True, kw_only=True):
    """
    What the register of the meteostat package says of a provider.

    `observes` tells whether its values are observed; else they are a model's, past hours included.
    """

    identifier: str
    name: str
    observes: bool
    licence: str = ""
    attribution: str = ""


def say_credits(providers: Iterable[Provider]) -> tuple[str, str]:
    """
    Licence and attribution, in words, of a record made from these providers.

    Meteostat is always credited; providers without a licence of their own are named all the same.

    Examples
    --------
    >>> licence, attribution = say_credits(
    ...     [Provider(identifier="a", name="A", observes=True, licence="CC0")]
    ... )
    >>> attribution
    'Meteostat (https://meteostat.net); A'
    >>> licence
    'CC BY 4.0 (Meteostat); CC0 (A)'
    """
    licences, names = ["CC BY 4.0 (Meteostat)"], ["Meteostat (https://meteostat.net)"]
    for one in sorted(providers, key=lambda provider: provider.identifier):
        licences.append(f"{one.licence or 'no licence named'} ({one.name})")
        plain = one.attribution in {"", one.name}
        names.append(one.name if plain else f"{one.attribution} ({one.name})")
    return "; ".join(licences), "; ".join(names)


def join_credits(texts: Iterable[str]) -> str:
    """
    Parts of several credits, each once.

    Examples
    --------
    >>> join_credits(["A; B", "", "A; C"])
    'A; B; C'
    """
    return "; ".join(dict.fromkeys(part for text in texts for part in text.split("; ") if part))
