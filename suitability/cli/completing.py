"""Completion by the shell: what asks for it, and what is offered for the values of options."""

from collections.abc import Iterable, Mapping
from typing import Any

ASKED = "_SUITABILITY_COMPLETE"  # the variable in which a shell says what it asks for
SHELLS = ("bash", "zsh", "fish")


def ready_shells() -> None:
    """Have typer know how each shell asks, which it otherwise does with an option of its own."""
    from typer.completion import get_completion_inspect_parameters

    get_completion_inspect_parameters()


def command_typed(environment: Mapping[str, str]) -> str | None:
    """The command in the line that a shell asks about, once a blank ends it."""
    line = environment.get("COMP_WORDS") or environment.get("_TYPER_COMPLETE_ARGS") or ""
    words = line.split()
    ended = len(words) > 2 or line[-1:].isspace()
    return words[1] if len(words) > 1 and ended else None


def choices(*words: str) -> dict[str, Any]:
    """Of an option that takes one of these words: how its value is shown, and what is offered."""

    def offer(incomplete: str) -> list[str]:
        return _beginning(incomplete, words)

    return {"metavar": "|".join(words), "autocompletion": offer}


def offer_groups(incomplete: str) -> list[str]:
    """Keys of the catalogue."""
    from suitability.groups import read_catalogue

    return _beginning(incomplete, (group.key for group in read_catalogue().groups))


def offer_spots(incomplete: str) -> list[str]:
    """Ready kinds of spots."""
    from suitability.spots.kinds import read_kinds

    return _beginning(incomplete, read_kinds().by_key)


def offer_records(incomplete: str) -> list[str]:
    """Names of imported records; where none begins so, shells offer files."""
    from suitability.weather.store import default_store_folder, list_imported

    return _beginning(incomplete, list_imported(default_store_folder()))


def offer_stations(incomplete: str) -> list[str]:
    """Stations of which something is stored."""
    from suitability.weather.disk import find_manifests
    from suitability.weather.store import default_store_folder

    found = find_manifests(default_store_folder() / "hourly")
    return _beginning(incomplete, (path.parent.name for path in found))


def offer_kept(incomplete: str) -> list[str]:
    """All that is stored."""
    return offer_stations(incomplete) + offer_records(incomplete)


def _beginning(incomplete: str, words: Iterable[str]) -> list[str]:
    """The words that begin as what was typed does."""
    return [word for word in words if word.startswith(incomplete)]
