"""The question `check`: may I buy this plant, and can it live here."""

from __future__ import annotations

from msgspec.structs import replace

from suitability.advice.checking import check_groups
from suitability.advice.preparing import lay_out
from suitability.advice.question import Question
from suitability.advice.result import CheckResult

__all__ = ["check"]


def check(question: Question) -> CheckResult:
    """
    Whether each group can live at each spot, and the hours below its floor.

    Groups asked for by name, and plants of the collection in a state of their own, are also shown
    in full: what fails first and when, the hours outside their ranges, and what would help.

    Parameters
    ----------
    question
        From `ask`.

    Raises
    ------
    RecordError
        Nothing of the record lies in the years asked for.
    """
    record, place, options = question.record, question.place, question.options
    subjects = question.subjects
    if not (subjects.by_name or subjects.plants):
        return check_groups(record, place, question.spots, question.needs, options)
    # A quick check of all groups has no profiles, and they are slow to load.
    from suitability.advice.plant_state import PlantState, Subject  # noqa: PLC0415
    from suitability.advice.profiling import (  # noqa: PLC0415
        make_profiles,
        needs_of_plant,
        profile_needs,
    )

    asked = []
    if subjects.by_name:
        state = subjects.state or PlantState()
        groups = [
            Subject(group=one, caution=subjects.caution, state=state) for one in question.groups
        ]
        asked.append((question.spots, groups))
    asked += [((spot,), [plant]) for plant, spot in subjects.plants]
    # All of it is laid out once, and each case decided once.
    everywhere = tuple(dict.fromkeys((*question.spots, *(spot for _, spot in subjects.plants))))
    also = [*question.needs, *profile_needs([one for _, some in asked for one in some])]
    laid_out = lay_out(record, place, everywhere, (), options, also=also)
    result = check_groups(
        record,
        place,
        question.spots,
        question.needs,
        options,
        laid_out=laid_out.of(question.spots, question.needs),
    )
    profiles = [
        profile
        for spots, some in asked
        for profile in make_profiles(
            record, place, spots, some, options, label_c=subjects.label_c, laid_out=laid_out
        )
    ]
    findings = list(result.results)
    for plant, spot in subjects.plants:
        own = needs_of_plant(record, place, spot, plant, options, laid_out=laid_out)
        here = laid_out.of((spot,), [own])
        findings += check_groups(record, place, (spot,), [own], options, laid_out=here).results
    return replace(result, results=tuple(findings), profiles=tuple(profiles))
