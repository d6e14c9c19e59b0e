"""The question `check`: may I buy this plant, and can it live here."""

from __future__ import annotations

from msgspec.structs import replace

from suitability.advice.checking import check_groups
from suitability.advice.question import Question
from suitability.advice.result import CheckResult


def check(question: Question) -> CheckResult:
    """
    Whether each group, or plant, can live at each spot, and the hours below its floor.

    Groups asked for by name, and plants of the collection, are also shown in full: what fails first
    and when, the hours outside their ranges, and what would help.

    Parameters
    ----------
    question
        From `ask`.

    Raises
    ------
    RecordError
        Nothing of the record lies in the years asked for.
    """
    subjects = question.subjects
    laid_out = question.lay_out(in_full=subjects.in_full)
    result = check_groups(laid_out)
    if not subjects.in_full:
        return result
    # A quick check of all groups has no profiles, and they are slow to load.
    from suitability.advice.profiling import make_profiles  # noqa: PLC0415

    profiles = [
        profile
        for spot, some in subjects.by_spot()
        for profile in make_profiles(laid_out, spot, some, label_c=subjects.label_c)
    ]
    return replace(result, profiles=tuple(profiles))
