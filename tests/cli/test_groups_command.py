"""`suitability groups`: the list, one group, JSON, CSV, and errors in one sentence."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from suitability.cli.groups import groups_app
from suitability.errors import CatalogueError, OptionError, OutputError
from suitability.groups import read_catalogue

from .running import keeps_schema

OWN = (
    '[[group]]\nkey = "my-orchids"\nname = "My orchids"\nfloor_c = 15.0\nlimit_c = 5.0\n'
    "chill_base_c = 12.0\ndose_limit_c_h = 60.0\n"
)


def run(*arguments: str) -> str:
    """Standard output of a run that must succeed; what it raised is raised here."""
    result = CliRunner().invoke(groups_app, list(arguments))
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    assert result.exit_code == 0
    return result.stdout


def line_of(text: str, start: str) -> list[str]:
    return next(line for line in text.splitlines() if line.startswith(start)).split()


@pytest.fixture
def own_file(tmp_path: Path) -> Path:
    path = tmp_path / "own.toml"
    path.write_text(OWN, encoding="utf-8")
    return path


@pytest.mark.parametrize("arguments", [(), ("--units", "f"), ("--caution", "high")])
def test_list_has_every_group_in_80_columns_without_colour(arguments: tuple[str, ...]) -> None:
    """One line a group, nothing wider than a plain terminal, no escape codes."""
    text = run(*arguments)
    starts = {line.split()[0] for line in text.splitlines() if line}
    assert set(read_catalogue().keys) <= starts
    assert max(map(len, text.splitlines())) <= 80
    assert "\x1b" not in text


def test_list_shows_the_best_values() -> None:
    """Nobile: floor 13, limit -1, wet 2 of low confidence, ceiling 36, rest 5 to 15."""
    assert line_of(run(), "nobile ")[-5:] == ["13", "-1", "2?", "36", "5-15"]


def test_list_with_high_caution_moves_to_the_careful_end() -> None:
    """Phalaenanthe: nights under 18 °C count as cold, limit 8 dry and 11 wet, ceiling 35."""
    cells = line_of(run("--caution", "high"), "phalaenanthe ")
    assert cells[-5:] == ["18", "8", "11?", "35", "(13-15)"]


def test_list_in_fahrenheit() -> None:
    """15 °C is 59 °F, 5 °C is 41 °F, 36 °C is 96.8 °F."""
    cells = line_of(run("--units", "f"), "phalaenanthe ")
    assert cells[-5:] == ["59", "41", "46.4?", "96.8", "(55-59)"]


def test_show_in_fahrenheit_says_where_notes_stay_in_celsius() -> None:
    """Sentences about care are turned as elsewhere; notes of the catalogue say their unit."""
    text = " ".join(run("show", "nobile", "--units", "f").split())
    assert "almost no water from about 41 °F up in winter" in text
    assert "species-like plants -1, unlabelled hybrids 2" in text
    assert "Notes beside the values, and what sources disagree on" in text
    assert "their temperatures are in °C" in text
    assert "Notes beside the values" not in run("show", "nobile")


@pytest.mark.parametrize("key", read_catalogue().keys)
def test_show_is_readable_for_every_group(key: str) -> None:
    """Values, words and numbered sources, 80 columns, no colour."""
    text = run("show", key)
    assert text.startswith(f"{key}: ")
    assert all(word in text for word in ("floor (growth)", "limit, wet", "water in growth", "[1]"))
    assert max(map(len, text.splitlines())) <= 80
    assert "\x1b" not in text


def test_show_gives_range_mark_confidence_and_source() -> None:
    """One row in full: the dry limit of nobile."""
    text = run("show", "nobile", "--caution", "high")
    assert line_of(text, "limit, dry")[2:] == ["2", "-1", "-4", "2", "found", "medium"]
    assert "American Orchid Society, Cold tolerance of warm-growing orchids, 2024" in text
    assert "sources disagree, minimum" in text


def test_show_takes_an_alias() -> None:
    """A name of the trade shows its group, and what it was taken for."""
    by_alias, by_key = (
        " ".join(run("show", word).split()) for word in ("den-phal", "phalaenanthe")
    )
    assert '"den-phal" belongs to the group phalaenanthe' in by_alias
    assert by_alias.partition("also ")[2] == by_key.partition("also ")[2]
    assert "understood" not in by_key


def test_show_takes_a_name_on_a_label_and_refuses_what_is_in_no_group() -> None:
    """As every other command does."""
    assert "belongs to the group nobile" in " ".join(run("show", "D. moniliforme").split())
    with pytest.raises(CatalogueError, match="Lycaste is not in the catalogue; nearest in need"):
        run("show", "Lycaste skinneri")


def test_show_of_an_unknown_group_offers_near_names() -> None:
    """The error that the program turns into one line and exit code 1."""
    with pytest.raises(CatalogueError, match="Near: moniliforme") as caught:
        run("show", "Dendrobium moniliferum")
    assert caught.value.exit_code == 1


def test_own_groups_are_listed_and_shown(own_file: Path) -> None:
    """`--groups-file FILE` adds to ours, in both commands."""
    assert line_of(run("--groups-file", str(own_file)), "my-orchids")[-4:] == ["5", "8?", "-", "no"]
    assert "own value, no source" in run("show", "my-orchids", "--groups-file", str(own_file))


def test_broken_own_file_is_refused(own_file: Path) -> None:
    """File, entry, field, what was found, what would be right."""
    own_file.write_text(OWN.replace("limit_c = 5.0", "limit_c = 41.0"), encoding="utf-8")
    with pytest.raises(CatalogueError, match=r'own\.toml, group "my-orchids", limit_c: found 41'):
        run("--groups-file", str(own_file))


def test_json_is_one_document_with_every_key(own_file: Path) -> None:
    """All keys are there for every group; what it lacks is null."""
    document = json.loads(run("--json", "--groups-file", str(own_file)))
    keeps_schema(document, "groups")
    assert list(document) == [
        *("schema_version", "caution", "groups", "plants_by_mark", "understood", "sources"),
    ]
    assert sum(document["plants_by_mark"].values()) > 700
    groups = {group["key"]: group for group in document["groups"]}
    assert tuple(groups) == (*read_catalogue().keys, "my-orchids")
    assert len({tuple(group) for group in groups.values()}) == 1
    assert groups["my-orchids"]["ceiling_c"] is None
    assert groups["my-orchids"]["rest"] is None
    assert groups["my-orchids"]["plants"] == []
    assert "Dendrobium Comet King" in groups["nobile"]["plants"]
    assert groups["nobile"]["limit_c"]["low"] == -4
    assert groups["nobile"]["limit_c"]["mark"] == "found"
    assert set(groups["nobile"]["limit_c"]["sources"]) <= set(document["sources"])


def test_json_needs_follow_the_caution() -> None:
    """The flat numbers that a run uses stand beside the ranges."""
    document = json.loads(run("show", "nobile", "--json", "--caution", "high"))
    (group,) = document["groups"]
    assert (document["caution"], group["needs"]["limit_c"], group["limit_c"]["best"]) == (
        "high",
        2,
        -1,
    )


def test_csv_has_a_row_for_every_value() -> None:
    """Header, then values in °C with the used, best, low and high number."""
    rows = list(csv.DictReader(io.StringIO(run("show", "nobile", "--csv", "-"))))
    by_field = {row["field"]: row for row in rows}
    assert by_field["limit_c"]["best"] == "-1.0"
    assert (by_field["rest.cool_hours"]["best"], by_field["rest.cool_hours"]["unit"]) == (
        "504.0",
        "h",
    )
    assert all(row["mark"] and row["confidence"] and row["sources"] for row in rows)


def test_csv_into_a_file_leaves_nothing_else(tmp_path: Path) -> None:
    """The file is whole, with its byte order mark, and no part file stays behind."""
    target = tmp_path / "values.csv"
    shown = run("--csv", str(target))
    assert shown == run()
    assert target.read_text(encoding="utf-8") == "\ufeff" + run("--csv", "-")
    assert list(tmp_path.iterdir()) == [target]


def test_csv_into_a_folder_that_is_not_there(tmp_path: Path) -> None:
    """Refused by name, with nothing written."""
    with pytest.raises(OutputError, match="does not exist; create it first"):
        run("--csv", str(tmp_path / "absent" / "values.csv"))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("--units", "k"), "--units k"),
        (("--caution", "none"), "--caution none"),
        (("--json", "--csv", "-"), "both want standard output"),
        (("--json", "show", "nobile"), "go after the word show"),
    ],
)
def test_malformed_options_are_refused(arguments: tuple[str, ...], message: str) -> None:
    """Exit code 2: an option is malformed or in the wrong place."""
    with pytest.raises(OptionError, match=message) as caught:
        run(*arguments)
    assert caught.value.exit_code == 2
