"""From a TOML table to groups: every field checked, and contradictions between them refused."""

from __future__ import annotations

from collections.abc import Mapping

from suitability.fields import (
    Span,
    Where,
    check_fields,
    check_present,
    is_key,
    parse_flag,
    parse_list,
    parse_number,
    parse_text,
    parse_word,
    shown,
)
from suitability.groups.evidence import EVIDENCE, OWN_SOURCE, evidence_needed, parse_evidence
from suitability.groups.flowering import flowers_lack, parse_bloom, parse_triggers
from suitability.groups.group import (
    FLOOR_HOURS_LIMIT,
    FULL_SUN_KLX,
    WET_LIMIT_LIFT_C,
    Confidence,
    Group,
    Mark,
    Rest,
    RestNeed,
    Value,
)

Contradiction = tuple[str, str, str]  # field, what was found, what would be right

# lower field, higher field, which of the two is blamed, and why
ORDERS = (
    ("limit_c", "limit_wet_c", "limit_wet_c", "a wet plant stands no more than a dry one"),
    ("limit_c", "floor_c", "limit_c", "a plant does not grow where one night harms it"),
    ("limit_wet_c", "floor_c", "limit_wet_c", "a plant does not grow where one night harms it"),
    ("chill_base_c", "floor_c", "chill_base_c", "a plant does not grow while it takes chill"),
    ("rest_floor_c", "floor_c", "rest_floor_c", "the rest is cooler than growth"),
    ("limit_c", "rest_floor_c", "rest_floor_c", "one routine night of the rest must not harm"),
    ("floor_c", "comfort_c", "comfort_c", "a comfortable night is one of growth"),
    ("floor_c", "comfort_night_c", "comfort_night_c", "a good night is one of growth"),
    ("floor_c", "warm_night_c", "warm_night_c", "a night cannot be too cold and too warm"),
    ("floor_c", "ceiling_c", "ceiling_c", "heat harms above the floor, not below it"),
    ("warm_night_c", "ceiling_c", "warm_night_c", "nights are judged more strictly than days"),
)
ENDS = ("best", "low", "high")


def find_contradiction(group: Group, *, wet_limit_given: bool = True) -> Contradiction | None:
    """
    The first contradiction as field, what was found and what would be right; None if there is none.

    Two values that must stand in an order are compared best with best, low with low and high with
    high, as `Caution` moves them; equal is in order. A wet limit that was not given (but derived
    from the dry one) is not held to the floor.
    """
    for lower, higher, blamed, why in ORDERS:
        if lower == "limit_wet_c" and not wet_limit_given:
            continue
        found = _out_of_order(getattr(group, lower), getattr(group, higher))
        if found:
            end, below, above = found
            other = higher if blamed == lower else lower
            value, bound = (below, above) if blamed == lower else (above, below)
            side = "at most" if blamed == lower else "at least"
            right = f"{side} {bound:g}, the {end} value of {other}: {why}"
            return blamed, f"{value:g} as {end} value", right
    if group.heat_limited and group.ceiling_c is None:
        return "ceiling_c", "nothing", "a ceiling, because heat_limited is true"
    return _rest_contradiction(group.rest) if group.rest else None


def _out_of_order(lower: Value | None, higher: Value | None) -> tuple[str, float, float] | None:
    if lower is None or higher is None:
        return None
    for end in ENDS:
        below: float = getattr(lower, end)
        above: float = getattr(higher, end)
        if below > above:
            return end, below, above
    return None


def _rest_contradiction(rest: Rest) -> Contradiction | None:
    lacking = flowers_lack(rest)
    if lacking:
        return lacking
    if (rest.cool_hours is None) is not (rest.cool_band_c is None):
        absent = "rest.cool_band_c" if rest.cool_band_c is None else "rest.cool_hours"
        return absent, "nothing", "cool_hours and cool_band_c together, or neither"
    partly, night = rest.partly_above_c, rest.night_c
    if partly is not None and not (night is not None and night.low <= partly.best <= night.high):
        return "rest.partly_above_c", f"{partly.best:g}", "a temperature inside the band of night_c"
    return None


LONGEST_NAME = 80  # characters, so that tables and cards keep their shape

COLD = Span(-15.0, 30.0, "°C", celsius=True)
HEAT = Span(10.0, 55.0, "°C", celsius=True)
VALUES = {
    "floor_c": COLD,
    "rest_floor_c": COLD,
    "chill_base_c": COLD,
    "dose_limit_c_h": Span(1.0, 5000.0, "°C·h in 14 days"),
    "limit_c": COLD,
    "limit_wet_c": COLD,
    "ceiling_c": HEAT,
    "warm_night_c": Span(5.0, 40.0, "°C", celsius=True),
    "comfort_c": COLD,
    "comfort_night_c": COLD,
    "day_growth_c": HEAT,
    "light_klx": Span(0.0, 130.0, "klx"),
    "shade_pct": Span(0.0, 100.0, "%"),
    "humidity_pct": Span(0.0, 100.0, "%"),
}
REST_VALUES = {
    "night_c": COLD,
    "partly_above_c": COLD,
    "weeks": Span(0.0, 52.0, "weeks"),
    "nights": Span(0.0, 365.0, "nights"),
    "cool_hours": Span(0.0, 8784.0, "h"),
    "cool_band_c": COLD,
    "day_below_c": HEAT,
    "dry_nights": Span(1.0, 365.0, "nights"),
    "autumn_night_c": COLD,
    "autumn_nights": Span(1.0, 365.0, "nights"),
    "dry_tolerates_c": COLD,
}
FLOOR_HOURS = Span(0.0, 744.0, "h a month")
WORD_TEXTS = (
    *("leaves", "rhythm", "water_growth", "feed_growth", "water_rest", "feed_rest"),
    *("origin", "altitude", "first_signs", "notes"),
)
REST_FIELDS = frozenset(
    ("needed", "kind", "dry", "trigger_words", "must_be_dry", "triggers", *REST_VALUES)
)
GROUP_FIELDS = frozenset(
    (
        *("key", "name", "aliases", "heat_limited", "heat_hardy", "heat_signs"),
        *("floor_hours_limit", "rest", "bloom", "evergreen"),
        *VALUES,
        *WORD_TEXTS,
    )
)
VALUE_FIELDS = EVIDENCE | {"best", "low", "high"}
NEEDED = ("floor_c", "limit_c", "chill_base_c", "dose_limit_c_h")
OPTIONAL_IN_OURS = (  # some groups have none; shade is reckoned from light
    "rest_floor_c",
    "warm_night_c",
    "comfort_c",
    "shade_pct",
)
NEEDED_IN_OURS = (
    *(field for field in VALUES if field not in OPTIONAL_IN_OURS),
    *("aliases", "heat_limited", "rest"),
)
REST_NEEDS = {need.value: need for need in RestNeed}


def parse_groups(table: Mapping[str, object], where: Where) -> tuple[Group, ...]:
    """
    The groups of one parsed file, in the order of the file.

    Raises
    ------
    CatalogueError
        The first thing that is wrong, contradictions between values included.
    """
    unknown = sorted(table.keys() - {"group"})
    if unknown:
        where.refuse(unknown[0], "an unknown entry", "[[group]] tables and nothing beside them")
    entries = table.get("group", [])
    if isinstance(entries, dict):
        where.refuse("group", "[group]", "[[group]], with two brackets on each side")
    if not isinstance(entries, list) or not entries:
        where.refuse("", "no group", "at least one [[group]] table")
    groups = tuple(_parse_group(entry, number, where) for number, entry in enumerate(entries, 1))
    check_names_once(groups, where)
    return groups


def check_names_once(
    groups: tuple[Group, ...], where: Where, before: tuple[Group, ...] = ()
) -> None:
    """
    Refuse a key or alias that leads to two groups, among these and those read before.

    Raises
    ------
    CatalogueError
        A key or alias stands twice.
    """
    owners = {name: f'"{group.key}" of our catalogue' for group in before for name in _names(group)}
    for number, group in enumerate(groups, 1):
        for field, name in [("key", group.key), *(("aliases", alias) for alias in group.aliases)]:
            if name in owners:
                where.at(f'group {number} ("{group.key}")').refuse(
                    field, f'"{name}", which already leads to {owners[name]}', "a name used once"
                )
            owners[name] = f'"{group.key}" of this file'


def _names(group: Group) -> tuple[str, ...]:
    return (group.key, *group.aliases)


def _parse_group(entry: object, number: int, outer: Where) -> Group:
    where = outer.at(f"group {number}")
    if not isinstance(entry, dict):
        where.refuse("", shown(entry), "a [[group]] table")
    check_present(entry, ("key",), where)
    key = _parse_key(entry["key"], "key", where)
    where = outer.at(f'group "{key}"')
    check_fields(entry, GROUP_FIELDS, where)
    check_present(entry, ("name", *(NEEDED_IN_OURS if where.ours else NEEDED)), where)
    for field in WORD_TEXTS:
        parse_text(entry.get(field, ""), field, where)
    parse_flag(entry.get("evergreen", False), "evergreen", where)
    group = _build_group(entry, key, where)
    contradiction = find_contradiction(group, wet_limit_given="limit_wet_c" in entry)
    if contradiction:
        where.refuse(*contradiction)
    return group


def _build_group(entry: Mapping[str, object], key: str, where: Where) -> Group:
    values = {
        field: _parse_value(entry[field], span, field, where)
        for field, span in VALUES.items()
        if field in entry
    }
    values.setdefault("limit_wet_c", _derived_wet_limit(values["limit_c"]))
    if "light_klx" in values:
        values.setdefault("shade_pct", _derived_shade(values["light_klx"]))
    return Group(
        key=key,
        name=_parse_name(entry["name"], where),
        aliases=_parse_aliases(entry.get("aliases", []), where),
        floor_hours_limit=parse_number(
            entry.get("floor_hours_limit", FLOOR_HOURS_LIMIT),
            FLOOR_HOURS,
            "floor_hours_limit",
            where,
        ),
        heat_limited=parse_flag(entry.get("heat_limited", False), "heat_limited", where),
        heat_hardy=parse_flag(entry.get("heat_hardy", False), "heat_hardy", where),
        heat_signs=parse_text(entry.get("heat_signs", ""), "heat_signs", where),
        rest=_parse_rest(entry["rest"], where) if "rest" in entry else None,
        bloom=parse_bloom(entry["bloom"], where) if "bloom" in entry else None,
        rest_told=True,
        **values,
    )


def _parse_rest(raw: object, where: Where) -> Rest:
    if not isinstance(raw, dict):
        where.refuse("rest", shown(raw), "a [group.rest] table")
    check_fields(raw, REST_FIELDS, where, "rest.")
    check_present(raw, ("needed",), where, "rest.")
    return Rest(
        needed=parse_word(raw["needed"], REST_NEEDS, "rest.needed", where),
        kind=parse_text(raw.get("kind", ""), "rest.kind", where),
        dry=parse_text(raw.get("dry", ""), "rest.dry", where),
        trigger_words=parse_text(raw.get("trigger_words", ""), "rest.trigger_words", where),
        must_be_dry=parse_flag(raw.get("must_be_dry", False), "rest.must_be_dry", where),
        triggers=parse_triggers(raw.get("triggers", []), where),
        **{
            field: _parse_value(raw[field], span, f"rest.{field}", where)
            for field, span in REST_VALUES.items()
            if field in raw
        },
    )


def _parse_value(raw: object, span: Span, field: str, where: Where) -> Value:
    if not isinstance(raw, dict):
        return _parse_plain_value(raw, span, field, where)
    inside = f"{field}."
    check_fields(raw, VALUE_FIELDS, where, inside)
    needed = ("best", "low", "high") if where.ours else ("best",)
    check_present(raw, (*needed, *evidence_needed(where)), where, inside)
    best = parse_number(raw["best"], span, f"{inside}best", where)
    low = parse_number(raw.get("low", best), span, f"{inside}low", where)
    high = parse_number(raw.get("high", best), span, f"{inside}high", where)
    if not low <= best <= high:
        where.refuse(field, f"low {low:g}, best {best:g}, high {high:g}", "low <= best <= high")
    return Value(best=best, low=low, high=high, **parse_evidence(raw, field, where))


def _parse_plain_value(raw: object, span: Span, field: str, where: Where) -> Value:
    number = parse_number(raw, span, field, where)
    if where.ours:
        right = "a table { best, low, high, mark, confidence, sources } in our own catalogue"
        where.refuse(field, shown(raw), right)
    return Value(
        best=number,
        low=number,
        high=number,
        mark=Mark.OWN,
        sources=(OWN_SOURCE,),
        confidence=Confidence.OWN,
    )


def _derived_wet_limit(dry: Value) -> Value:
    return Value(
        best=dry.best + WET_LIMIT_LIFT_C,
        low=dry.low + WET_LIMIT_LIFT_C,
        high=dry.high + WET_LIMIT_LIFT_C,
        mark=Mark.REASONED,
        sources=(OWN_SOURCE,),
        confidence=Confidence.LOW,
        note=f"not given: limit_c + {WET_LIMIT_LIFT_C:g} °C",
    )


def _derived_shade(light: Value) -> Value:
    """Shade that leaves this light of full summer sun; most light, least shade."""

    def kept_off(klx: float) -> float:
        return round(max(0.0, 100.0 * (1.0 - klx / FULL_SUN_KLX)), 1)

    return Value(
        best=kept_off(light.best),
        low=kept_off(light.high),
        high=kept_off(light.low),
        mark=Mark.REASONED,
        sources=light.sources if light.mark is Mark.OWN else ("reasoned",),
        confidence=Confidence.LOW,
        note=f"reckoned from light_klx under full summer sun of about {FULL_SUN_KLX:g} klx",
    )


def _parse_key(raw: object, field: str, where: Where) -> str:
    if not isinstance(raw, str) or not is_key(raw):
        right = "lower-case letters, digits and single hyphens, such as my-orchids"
        where.refuse(field, shown(raw), right)
    return raw


def _parse_name(raw: object, where: Where) -> str:
    name = parse_text(raw, "name", where, LONGEST_NAME)
    if not name.strip():
        where.refuse("name", shown(raw), "a name for people to read")
    return name


def _parse_aliases(raw: object, where: Where) -> tuple[str, ...]:
    return tuple(_parse_key(alias, "aliases", where) for alias in parse_list(raw, "aliases", where))
