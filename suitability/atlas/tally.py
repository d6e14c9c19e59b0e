"""What many places come to: how many can keep each group how, and which could not be answered."""

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Annotated

from msgspec import Meta

from suitability.advice.terms import Verdict
from suitability.atlas.batch import Done
from suitability.quantities import SCHEMA_VERSION, Result, SchemaVersion


class GroupTally(Result, frozen=True, kw_only=True):
    """Of one group at one kind of spot: at how many places each verdict holds."""

    spot: str
    group: str
    group_name: str
    all_year: Annotated[int, Meta(description="Places where it can live there all year.")]
    seasonal: Annotated[int, Meta(description="Places where it can for a season.")]
    indoor_only: Annotated[int, Meta(description="Places where it cannot.")]
    no_verdict: Annotated[int, Meta(description="Places whose record does not carry a verdict.")]
    with_unseen: Annotated[
        int, Meta(description="Places of which nights that nobody saw may make it look too good.")
    ]


class FailedPlace(Result, frozen=True, kw_only=True):
    """A place that could not be answered."""

    line: Annotated[int, Meta(description="Of the list.")]
    name: str
    reason: str


class PlacesResult(Result, frozen=True, kw_only=True):
    """What a list of places comes to: `check --places`."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    list_file: Annotated[str, Meta(description="Name of the list's file.")]
    results_file: Annotated[str, Meta(description="Where the rows of all places stand.")]
    places: Annotated[int, Meta(description="In the list.")]
    answered: int
    results: tuple[GroupTally, ...]
    failed: tuple[FailedPlace, ...] = ()


def tally_places(
    done: "Iterable[Done]", columns: Sequence[str], *, list_file: str, results_file: str
) -> PlacesResult:
    """
    Counted from a journal, one place after the other.

    Parameters
    ----------
    columns
        Names of the values of a row; `spot`, `group`, `group_name`, `verdict` and `unseen_nights`
        are among them.
    """
    who = [columns.index(name) for name in ("spot", "group", "group_name")]
    verdict, nights = columns.index("verdict"), columns.index("unseen_nights")
    places, failed = 0, []
    counts: dict[tuple[str, str, str], Counter[str]] = {}
    for one in done:
        places += 1
        if one.failure:
            failed.append(FailedPlace(line=one.line, name=one.name, reason=one.failure))
        for row in one.rows:
            spot, group, name = (str(row[at]) for at in who)
            found = counts.setdefault((spot, group, name), Counter())
            found[str(row[verdict])] += 1
            found["unseen"] += str(row[nights]) not in {"", "0", "None"}
    return PlacesResult(
        list_file=list_file,
        results_file=results_file,
        places=places,
        answered=places - len(failed),
        results=tuple(
            GroupTally(
                spot=spot,
                group=group,
                group_name=name,
                all_year=found[Verdict.ALL_YEAR],
                seasonal=found[Verdict.SEASONAL],
                indoor_only=found[Verdict.INDOOR],
                no_verdict=found[Verdict.NONE],
                with_unseen=found["unseen"],
            )
            for (spot, group, name), found in counts.items()
        ),
        failed=tuple(failed),
    )
