"""Our own catalogue: complete, with evidence, as transcribed, and found by every name."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from suitability.errors import CatalogueError
from suitability.groups import (
    Catalogue,
    Caution,
    Confidence,
    Group,
    Mark,
    RestNeed,
    Value,
    read_catalogue,
)
from suitability.groups.group import Bloom, BroughtBy, Trigger, Weight
from suitability.groups.naming import understand
from suitability.groups.reading import OUR_FOLDER
from suitability.groups.species import read_names
from suitability.groups.validation import REST_VALUES, VALUES
from suitability.groups.words import read_general_words, read_words

KEYS = [
    *("phalaenanthe", "spatulata", "nobile", "pendulous", "anosmum", "callista", "formosae"),
    *("latouria", "dendrocoryne", "calcarifera", "victoriae-reginae", "pedilonum"),
    *("stachyobium", "aporum", "oxystophyllum", "oxyglossum", "rhizobium", "phalaenopsis"),
    *("cattleya", "cymbidium", "oncidium", "vanda", "paphiopedilum-warm", "paphiopedilum-cool"),
    *("masdevallia", "zygopetalum", "coelogyne-cool", "laelia-anceps"),
]
CATALOGUE = read_catalogue()


def all_values(catalogue: Catalogue) -> list[tuple[str, Value]]:
    holders = [(group.key, group, VALUES) for group in catalogue.groups]
    rests = [(group.key, group.rest, REST_VALUES) for group in catalogue.groups if group.rest]
    return [
        (f"{key} {field}", found)
        for key, holder, fields in [*holders, *rests]
        for field in fields
        if isinstance(found := getattr(holder, field), Value)
    ]


def transcribed() -> list[dict[str, str]]:
    lines = (
        Path(__file__)
        .with_name("thresholds_typed_twice.csv")
        .read_text(encoding="utf-8")
        .splitlines()
    )
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def test_every_group_key_is_there_in_its_order() -> None:
    """The keys are fixed points that other people's scripts rely on."""
    assert list(CATALOGUE.keys) == KEYS


def test_every_value_carries_evidence() -> None:
    """Range in order, a mark that is not `own`, a confidence, and sources that are listed."""
    values = all_values(CATALOGUE)
    assert len(values) > 28 * 14
    for where, value in values:
        assert value.low <= value.best <= value.high, where
        assert value.mark is not Mark.OWN, where
        assert value.confidence is not Confidence.OWN, where
        assert value.sources, where
        assert all(source in CATALOGUE.sources for source in value.sources), where


def test_marks_and_sources_agree() -> None:
    """A found value names a publication or report; the other marks name what they stand on."""
    unsourced = {"common-practice", "memory", "reasoned"}
    stands_on = {
        Mark.PRACTICE: "common-practice",
        Mark.MEMORY: "memory",
        Mark.REASONED: "reasoned",
    }
    for where, value in all_values(CATALOGUE):
        if value.mark is Mark.FOUND:
            assert set(value.sources) - unsourced, where
        else:
            assert stands_on[value.mark] in value.sources, where


@pytest.mark.parametrize("row", transcribed(), ids=lambda row: row["key"])
def test_thresholds_are_as_transcribed(row: dict[str, str]) -> None:
    """Every threshold equals its second typing; an empty cell means there is none."""
    group = CATALOGUE.find(row["key"])
    for field in list(row)[1:]:
        value = getattr(group, field)
        assert (None if value is None else value.best) == (
            float(row[field]) if row[field] else None
        )


def test_the_second_typing_covers_every_group() -> None:
    """No group escapes the check by a second typing."""
    assert [row["key"] for row in transcribed()] == KEYS


@pytest.mark.parametrize(
    ("key", "field", "ends"),
    [
        ("phalaenanthe", "limit_c", (3, 8)),
        ("nobile", "limit_c", (-4, 2)),
        ("nobile", "rest_floor_c", (2, 10)),
        ("pendulous", "limit_c", (0, 6)),
        ("callista", "limit_c", (1, 5)),
        ("dendrocoryne", "limit_c", (-7, 0)),
        ("oxyglossum", "floor_c", (7, 10)),
        ("phalaenopsis", "chill_base_c", (9, 15)),
        ("cattleya", "limit_c", (1.5, 7)),
        ("cymbidium", "floor_c", (7, 13)),
        ("masdevallia", "ceiling_c", (26, 29)),
        ("coelogyne-cool", "limit_c", (-1, 4)),
        ("laelia-anceps", "limit_c", (-5, 0)),
    ],
)
def test_ranges_as_transcribed(key: str, field: str, ends: tuple[float, float]) -> None:
    """Printed ranges, typed a second time."""
    value: Value = getattr(CATALOGUE.find(key), field)
    assert (value.low, value.high) == ends


@pytest.mark.parametrize("key", KEYS)
def test_wet_range_is_the_dry_one_shifted(key: str) -> None:
    """The wet limit has no range of its own in any source: it keeps the dry limit's width."""
    group = CATALOGUE.find(key)
    shift = group.limit_wet_c.best - group.limit_c.best
    assert shift > 0
    assert group.limit_wet_c.low == group.limit_c.low + shift
    assert group.limit_wet_c.high == group.limit_c.high + shift


@pytest.mark.parametrize("key", KEYS)
def test_shade_lets_through_the_light_that_the_group_wants(key: str) -> None:
    """Under full summer sun of 105 klx (about 100 to 110 at noon, from memory), no more or less."""
    group = CATALOGUE.find(key)
    assert group.light_klx is not None
    assert group.shade_pct is not None
    for shade_pct, klx in (
        (group.shade_pct.low, group.light_klx.high),
        (group.shade_pct.best, group.light_klx.best),
        (group.shade_pct.high, group.light_klx.low),
    ):
        assert 105.0 * (1.0 - shade_pct / 100.0) == pytest.approx(klx, abs=0.06)


@pytest.mark.parametrize("key", ["phalaenanthe", "spatulata", "formosae"])
def test_nights_under_18_count_as_cold_only_with_high_caution(key: str) -> None:
    """Common practice, no source: mild Mediterranean climate; 18 °C cold, 20 °C comfortable."""
    group = CATALOGUE.find(key)
    assert group.needs(Caution.HIGH).floor_c == 18
    assert group.needs(Caution.USUAL).floor_c < 18
    assert group.comfort_night_c is not None
    assert (group.comfort_night_c.best, group.comfort_night_c.mark) == (20, Mark.PRACTICE)
    assert "common-practice" in group.floor_c.sources


@pytest.mark.parametrize("key", ["phalaenanthe", "spatulata", "formosae"])
def test_18_is_the_comfort_mark_of_three_groups(key: str) -> None:
    """Common practice, no source: unhappy below 18 °C, comfortable at 20, whatever the caution."""
    group = CATALOGUE.find(key)
    assert group.comfort_c is not None
    assert (group.comfort_c.best, group.comfort_c.high, group.comfort_c.mark) == (
        18,
        20,
        Mark.PRACTICE,
    )
    assert {group.needs(caution).comfort_c for caution in Caution} == {18}


def test_the_other_groups_are_comfortable_from_the_best_of_their_nights() -> None:
    """No group has a mark below its floor, at any caution."""
    for group in CATALOGUE.groups:
        assert group.comfort_night_c is not None
        used = group.needs().comfort_c
        assert used == (group.comfort_c or group.comfort_night_c).best
        for caution in Caution:
            needs = group.needs(caution)
            assert needs.comfort_c is not None
            assert needs.comfort_c >= needs.floor_c


def test_great_heat_does_not_trouble_two_groups() -> None:
    """Common practice, no source: with about 50 % humidity."""
    hardy = {group.key for group in CATALOGUE.groups if group.heat_hardy}
    assert hardy == {"phalaenanthe", "spatulata"}


@pytest.mark.parametrize("key", ["phalaenanthe", "spatulata"])
def test_half_humidity_is_enough_for_the_warm_evergreens(key: str) -> None:
    """Common practice, no source: about 50 % is enough."""
    humidity = CATALOGUE.find(key).humidity_pct
    assert humidity is not None
    assert (humidity.best, humidity.mark) == (50, Mark.PRACTICE)


def test_formosae_should_stay_under_30() -> None:
    """Common practice, no source; above it leaves drop, but heat does not exclude the group."""
    group = CATALOGUE.find("formosae")
    assert group.ceiling_c is not None
    assert (group.ceiling_c.best, group.ceiling_c.mark) == (30, Mark.PRACTICE)
    assert "leaves drop" in group.ceiling_c.note
    assert group.heat_limited is False


def test_heat_excludes_four_groups_only() -> None:
    """Oxyglossum and allies, Masdevallia, cool Coelogyne and D. victoriae-reginae."""
    assert {group.key for group in CATALOGUE.groups if group.heat_limited} == {
        "oxyglossum",
        "masdevallia",
        "coelogyne-cool",
        "victoriae-reginae",
    }


def test_groups_without_rest_floor() -> None:
    """Where the table says none, the growth floor counts all year."""
    assert {group.key for group in CATALOGUE.groups if group.rest_floor_c is None} == {
        "oxyglossum",
        "paphiopedilum-warm",
        "masdevallia",
    }


def test_flowers_hang_on_the_rest_of_these_groups() -> None:
    """Groups whose rest is needed, each with a band of nights and a number of them."""
    needed = [group for group in CATALOGUE.groups if group.needs().rest_needed]
    assert {group.key for group in needed} == {
        *("nobile", "pendulous", "anosmum", "callista", "dendrocoryne", "stachyobium"),
        *("cymbidium", "coelogyne-cool"),
    }
    for group in needed:
        needs = group.needs()
        assert needs.rest_low_c is not None
        assert needs.rest_high_c is not None
        assert needs.rest_low_c < needs.rest_high_c
        assert needs.rest_nights is not None


def test_rest_of_nobile_in_numbers() -> None:
    """21 nights of 5 to 15 °C; 504 cool hours of 2 to 15 °C, 336 of them partly; kept dry."""
    needs = CATALOGUE.find("nobile").needs()
    assert (needs.rest_low_c, needs.rest_high_c, needs.rest_nights) == (5, 15, 21)
    assert (needs.rest_cool_hours, needs.rest_cool_hours_partly) == (504, 336)
    assert (needs.rest_cool_low_c, needs.rest_cool_high_c) == (2, 15)
    assert needs.rest_must_be_dry


def test_rest_of_the_pendulous_species_begins_at_5() -> None:
    """Common practice, no source: cool, bright, almost no water from about 5 °C up; not anosmum."""
    assert CATALOGUE.find("pendulous").needs().rest_low_c == 5
    assert CATALOGUE.find("anosmum").needs().rest_low_c == 12


def test_callista_rests_from_15_degrees_down() -> None:
    """Common practice, no source: nights of 13 to 15 °C count, about 5 °C is stood dry."""
    needs = CATALOGUE.find("callista").needs()
    assert (needs.rest_low_c, needs.rest_partly_above_c, needs.rest_high_c) == (5, None, 15)


def test_latouria_is_kept_like_phalaenanthe_and_takes_it_no_warmer() -> None:
    """Common practice, no source: none of its cold thresholds asks for more."""
    latouria, hard_cane = (CATALOGUE.find(key) for key in ("latouria", "phalaenanthe"))
    for field in ("floor_c", "rest_floor_c", "chill_base_c", "limit_c", "limit_wet_c"):
        mine, other = (getattr(group, field) for group in (latouria, hard_cane))
        assert mine.best <= other.best, field
        assert mine.high <= other.high, field
    assert latouria.comfort_mark is not None
    assert hard_cane.comfort_mark is not None
    assert latouria.comfort_mark.best < hard_cane.comfort_mark.best


@pytest.mark.parametrize("group", CATALOGUE.groups, ids=lambda group: group.key)
def test_what_is_needed_for_flowers_has_a_trigger_with_evidence(group: Group) -> None:
    """Where flowers hang on something it is said on what; each trigger and bloom has its source."""
    rest = group.rest
    assert rest is not None
    needed = [one for one in rest.triggers if one.weight is Weight.NEEDED]
    assert len(needed) == (rest.needed is RestNeed.YES)
    assert (group.needs().trigger is None) is not bool(rest.triggers)
    told: list[BroughtBy | Bloom] = [*rest.triggers]
    told += [group.bloom] if group.bloom else []
    assert all(one.sources for one in told)
    for one in told:
        assert (one.mark is Mark.MEMORY) is ("memory" in one.sources), group.key
        assert one.mark is not Mark.PRACTICE or "common-practice" in one.sources, group.key
    if group.bloom is not None:  # nothing invented
        assert group.bloom.mark is Mark.FOUND


def test_triggers_are_those_of_the_trade() -> None:
    """Common practice, no source: cold, drought, autumn nights, a rest after bloom, cool days."""
    found = {
        group.key: group.needs().trigger for group in CATALOGUE.groups if group.needs().trigger
    }
    assert found == {
        **dict.fromkeys(("nobile", "callista", "dendrocoryne", "coelogyne-cool"), Trigger.COLD),
        **dict.fromkeys(("phalaenanthe", "rhizobium"), Trigger.COLD),  # only help
        **dict.fromkeys(("pendulous", "anosmum", "stachyobium"), Trigger.DROUGHT),
        "cymbidium": Trigger.AUTUMN_NIGHTS,
        "latouria": Trigger.AFTER_BLOOM,
        "phalaenopsis": Trigger.COOL_DAYS,
    }
    nobile, callista = (CATALOGUE.find(key).needs() for key in ("nobile", "callista"))
    assert nobile.rest_dry_helps
    assert callista.rest_dry_helps
    cymbidium = CATALOGUE.find("cymbidium").needs()
    assert (cymbidium.autumn_low_c, cymbidium.autumn_high_c) == (10, 16)


def test_bloom_is_half_a_year_later_in_the_south() -> None:
    """January to April in the north is July to October in the south."""
    bloom = CATALOGUE.find("nobile").bloom
    assert bloom is not None
    assert (bloom.months_at(35.0), bloom.months_at(0.0)) == ((1, 4), (1, 4))
    assert bloom.months_at(-30.0) == (7, 10)


def test_phalaenopsis_waits_for_cool_days_not_nights() -> None:
    """Days below 26 °C start the spikes; there is no rest at night."""
    rest = CATALOGUE.find("phalaenopsis").rest
    assert rest is not None
    assert rest.day_below_c is not None
    assert (rest.needed, rest.day_below_c.best) == (RestNeed.NO, 26)


@pytest.mark.parametrize("group", CATALOGUE.groups, ids=lambda group: group.key)
def test_more_caution_never_asks_less(group: Group) -> None:
    """From low to usual to high, cold thresholds never fall, heat and dose limits never rise."""
    low, usual, high = (group.needs(caution) for caution in Caution)
    for field in ("floor_c", "rest_floor_c", "chill_base_c", "limit_c", "limit_wet_c"):
        ends = [getattr(needs, field) for needs in (low, usual, high)]
        assert ends == [None] * 3 or ends == sorted(ends)
    for field in ("dose_limit_c_h", "ceiling_c", "warm_night_c"):
        ends = [getattr(needs, field) for needs in (high, usual, low)]
        assert ends == [None] * 3 or ends == sorted(ends)


@pytest.mark.parametrize(
    ("word", "key"),
    [
        ("densiflora", "callista"),
        ("aggregatum", "callista"),
        ("dockrillia", "rhizobium"),
        ("ceratobium", "spatulata"),
        ("antelope", "spatulata"),
        ("superbum", "anosmum"),
        ("pierardii", "pendulous"),
        ("cucullatum", "pendulous"),
        ("aureum", "nobile"),
        ("miyakei", "pedilonum"),
        ("nigrohirsutae", "formosae"),
        ("hercoglossum", "stachyobium"),
        ("Den-Phal", "phalaenanthe"),
        ("hard cane", "phalaenanthe"),
        ("soft_cane", "nobile"),
        ("Dendrobium phalaenopsis", "phalaenanthe"),
        ("Dendrobium kingianum", "dendrocoryne"),
        ("D. speciosum", "dendrocoryne"),
        ("Section Latouria", "latouria"),
        ("moth orchid", "phalaenopsis"),
    ],
)
def test_names_of_the_trade_lead_to_their_group(word: str, key: str) -> None:
    """Aliases, species, old names and spellings are recognised."""
    assert understand(CATALOGUE, word).group.key == key


def test_every_name_leads_to_one_group() -> None:
    """No key or alias stands for two groups, and each leads home."""
    names = [name for group in CATALOGUE.groups for name in (group.key, *group.aliases)]
    assert len(names) == len(set(names))
    for group in CATALOGUE.groups:
        assert all(CATALOGUE.find(name) is group for name in (group.key, *group.aliases))


def test_unknown_group_offers_near_names() -> None:
    """A slip of the pen is answered with what was probably meant."""
    with pytest.raises(CatalogueError, match=r'"nobil": no group has .* Near: nobile'):
        CATALOGUE.find("nobil")
    assert CATALOGUE.near_names("phalanopsis")[0] == "phalaenopsis"


def test_unknown_group_without_a_near_name_says_where_to_look() -> None:
    """Nothing alike: the list is pointed to."""
    with pytest.raises(CatalogueError, match="suitability groups"):
        CATALOGUE.find("zzzzzz")


def test_words_are_there_for_every_group() -> None:
    """Habit, rhythm, water, feed, origin and pets are said of each group."""
    words = read_words(CATALOGUE)
    assert tuple(words) == CATALOGUE.keys
    for key, entry in words.items():
        said = (entry.leaves, entry.rhythm, entry.water_growth, entry.water_rest, entry.origin)
        assert all(said), key
        assert all((entry.feed_growth, entry.feed_rest, entry.altitude, entry.first_signs)), key
        assert "Not known to be toxic" in entry.pets, key
        assert all(source in CATALOGUE.sources for source in entry.sources), key


def test_both_sides_are_kept_where_sources_disagree() -> None:
    """Groups on which sources disagree show both sides."""
    words = read_words(CATALOGUE)
    assert {key for key, entry in words.items() if entry.disagreements} == {
        *("phalaenanthe", "nobile", "dendrocoryne", "zygopetalum", "coelogyne-cool"),
        *("formosae", "laelia-anceps", "cymbidium", "pendulous"),
    }
    assert len(read_general_words().disagreements) == 2


def test_evergreens_that_shed_have_been_chilled() -> None:
    """Common practice, no source: carried as such in the notes of the evergreen dendrobiums."""
    words = read_words(CATALOGUE)
    for key in ("phalaenanthe", "spatulata", "callista", "formosae", "latouria"):
        assert words[key].evergreen
        assert "weakens with each repeat (common practice)" in words[key].notes


def test_catalogue_names_no_shops_forums_or_web_addresses() -> None:
    """Sources are publications and institutions, or grower reports by region and year."""
    files = sorted(OUR_FOLDER.glob("*.toml"))
    assert len(files) == 6
    for path in files:
        text = path.read_text(encoding="utf-8").lower()
        for word in ("forum", "blog", ".com", ".net", ".org", "www", "http", "shop", "nursery"):
            assert word not in text, f"{word} in {path.name}"


def flower_sources(group: Group) -> list[str]:
    """Of what brings its flowers, and of when they come."""
    told: list[BroughtBy | Bloom] = [*(group.rest.triggers if group.rest else ())]
    told += [group.bloom] if group.bloom else []
    return [source for one in told for source in one.sources]


def test_every_source_is_used() -> None:
    """No citation hangs in the air."""
    words = read_words(CATALOGUE).values()
    general = read_general_words()
    used = {source for _, value in all_values(CATALOGUE) for source in value.sources}
    used |= {source for entry in words for source in entry.sources}
    used |= {*general.pets_sources, *general.after_cold_sources}
    used |= {source for group in CATALOGUE.groups for source in flower_sources(group)}
    names = read_names()
    used |= {source for _, listed in names.lists() for source in listed.sources}
    used |= {source for genus in names.genera.values() for source in genus.sources}
    assert used == set(CATALOGUE.sources)
