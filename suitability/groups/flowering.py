"""What brings the flowers of a group and when they come, as its TOML table has it, checked."""

from __future__ import annotations

from suitability.fields import (
    Span,
    Where,
    check_fields,
    check_present,
    parse_number,
    parse_text,
    parse_word,
    shown,
)
from suitability.groups.evidence import EVIDENCE, evidence_needed, parse_evidence
from suitability.groups.group import Bloom, BroughtBy, Rest, RestNeed, Trigger, Weight

TRIGGERS = {trigger.value: trigger for trigger in Trigger}
WEIGHTS = {weight.value: weight for weight in Weight}
MONTH = Span(1.0, 12.0, "month")
BROUGHT_BY, BLOOM = ("what", "weight"), ("first_month", "last_month")
COUNTED = (Trigger.COLD, Trigger.DROUGHT, Trigger.AUTUMN_NIGHTS)  # by the nights of a record


def parse_triggers(raw: object, where: Where) -> tuple[BroughtBy, ...]:
    """
    The triggers of a rest, each once.

    Raises
    ------
    CatalogueError
        The first thing that is wrong.
    """
    if not isinstance(raw, list):
        where.refuse("rest.triggers", shown(raw), "a list of { what, weight } tables")
    triggers = tuple(_parse_trigger(one, where) for one in raw)
    said = [one.what for one in triggers]
    twice = next((what for what in said if said.count(what) > 1), None)
    if twice is not None:
        where.refuse("rest.triggers", f'"{twice}" twice', "each of them once")
    return triggers


def _parse_trigger(raw: object, where: Where) -> BroughtBy:
    if not isinstance(raw, dict):
        where.refuse("rest.triggers", shown(raw), "{ what, weight } tables")
    field = "rest.triggers"
    check_fields(raw, EVIDENCE | {*BROUGHT_BY}, where, f"{field}.")
    check_present(raw, (*BROUGHT_BY, *evidence_needed(where)), where, f"{field}.")
    return BroughtBy(
        what=parse_word(raw["what"], TRIGGERS, f"{field}.what", where),
        weight=parse_word(raw["weight"], WEIGHTS, f"{field}.weight", where),
        **parse_evidence(raw, field, where),
    )


def parse_bloom(raw: object, where: Where) -> Bloom:
    """
    The months of the flowers.

    Raises
    ------
    CatalogueError
        The first thing that is wrong.
    """
    if not isinstance(raw, dict):
        where.refuse("bloom", shown(raw), "a table { first_month, last_month }")
    check_fields(raw, EVIDENCE | {*BLOOM, "told_of"}, where, "bloom.")
    check_present(raw, (*BLOOM, *evidence_needed(where)), where, "bloom.")
    first, last = (_parse_month(raw[field], f"bloom.{field}", where) for field in BLOOM)
    return Bloom(
        first_month=first,
        last_month=last,
        told_of=parse_text(raw.get("told_of", ""), "bloom.told_of", where),
        **parse_evidence(raw, "bloom", where),
    )


def _parse_month(raw: object, field: str, where: Where) -> int:
    month = parse_number(raw, MONTH, field, where)
    if month != int(month):
        where.refuse(field, f"{month:g}", "a whole month, 1 to 12")
    return int(month)


def flowers_lack(rest: Rest) -> tuple[str, str, str] | None:
    """What contradicts the triggers of a rest: field, found, what would be right; None: nothing."""
    needed = rest.needed is RestNeed.YES
    if rest.triggers and needed is not any(one.weight is Weight.NEEDED for one in rest.triggers):
        found = f"none that is needed, needed is {rest.needed.value}" if needed else "one needed"
        return "rest.triggers", found, 'one of weight "needed" where needed is "yes", and only then'
    for one in rest.triggers:
        if one.weight is Weight.NEEDED and one.what not in COUNTED:
            return "rest.triggers", f'"{one.what}" as needed', "it can only help: no night tells it"
    return _numbers_lack(rest)


def _numbers_lack(rest: Rest) -> tuple[str, str, str] | None:
    """The number that a trigger cannot be counted without."""
    night = rest.night_c
    point = "" if night is None or night.low < night.high else f"low and high both {night.low:g}"
    asked = (  # trigger, field, whether it lacks, what was found, what would be right
        (Trigger.COLD, "night_c", night is None, "nothing", "the band of nights"),
        (Trigger.COLD, "night_c", bool(point), point, "a band with low below high"),
        (Trigger.COLD, "weeks", rest.nights_needed is None, "nothing", "weeks or nights"),
        (Trigger.DROUGHT, "must_be_dry", not rest.must_be_dry, "false", "true"),
        (
            *(Trigger.DROUGHT, "dry_nights", rest.dry_nights_needed is None),
            *("nothing", "weeks or dry_nights"),
        ),
        *(
            (trigger, field, getattr(rest, field) is None, "nothing", f"a value {field}")
            for trigger, field in (
                (Trigger.AUTUMN_NIGHTS, "autumn_night_c"),
                (Trigger.AUTUMN_NIGHTS, "autumn_nights"),
                (Trigger.COOL_DAYS, "day_below_c"),
            )
        ),
    )
    for trigger, field, lacks, found, right in asked:
        if lacks and rest.weight_of(trigger) is not None:
            because = f'because of the trigger "{trigger}"'
            because = because if rest.triggers else "because the rest is needed"
            return f"rest.{field}", found, f"{right}, {because}"
    return None
