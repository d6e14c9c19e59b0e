"""`suitability spots`, and spots in `check` and `moves`, as a user types them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from .running import keeps_schema, refused, running

DATA = Path(__file__).parents[1] / "data"
LISBON_LIKE = """
[place]
name = "rooftop"
at = "33.938,-118.389,30"
record = "{record}"

[[spot]]
name = "bench"

[[spot]]
name = "shelter"
roofed = true

[[plant]]
group = "den-phal"
number = 2
spot = "shelter"
"""


run = running()


@pytest.fixture
def file(tmp_path: Path) -> str:
    """A collection at a real record: a bench as outside and a roofed shelter."""
    path = tmp_path / "mine.toml"
    path.write_text(LISBON_LIKE.format(record=DATA / "los_angeles.hourly"), encoding="utf-8")
    return str(path)


def test_init_writes_an_example_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is there is never written over, a dangling link neither."""
    monkeypatch.chdir(tmp_path)
    assert run(capsys, "spots", "init")[0] == 0
    text = (tmp_path / "collection.toml").read_text("utf-8")
    assert "[[spot]]" in text
    code, out, err = run(capsys, "spots", "init")
    assert (code, out) == (1, "")
    assert "collection.toml: is there already" in err
    assert (tmp_path / "collection.toml").read_text("utf-8") == text
    (tmp_path / "link.toml").symlink_to(tmp_path / "nowhere.toml")
    assert run(capsys, "spots", "init", "link.toml")[0] == 1
    assert not (tmp_path / "nowhere.toml").exists()


def test_the_example_is_listed_and_shown(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """80 columns; numbers in the unit asked for; JSON keeps its schema."""
    monkeypatch.chdir(tmp_path)
    run(capsys, "spots", "init")
    _, listed, _ = run(capsys, "spots", "list")
    row = next(line for line in listed.splitlines() if line.startswith("porch"))
    assert " ".join(row.split()) == "porch +1 (0 to +2.5) +0.5 (0 to +1) -1 (-2 to 0) no"
    assert "  3 plants" in listed
    _, shown, _ = run(capsys, "spots", "show", "Porch", "--units", "f")
    assert "clear, calm nights  +1.8 (0 to +4.5) °F" in shown
    assert "3 x white hard-cane (phalaenanthe), first winter here" in shown
    for words in (("list",), ("show", "porch")):
        _, out, _ = run(capsys, "spots", *words, "--json")
        keeps_schema(json.loads(out), "spots")
    assert max(map(len, (listed + shown).splitlines())) <= 80


def test_kinds_are_listed_in_80_columns_and_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    """In both units."""
    for unit in ("c", "f"):
        _, text, _ = run(capsys, "spots", "kinds", "--units", unit)
        assert max(map(len, text.splitlines())) <= 80
        assert "frost-hollow" in text
        assert ("Notes and sources are in °C." in text) is (unit == "f")
    _, out, _ = run(capsys, "spots", "kinds", "--json")
    document = json.loads(out)
    keeps_schema(document, "kinds")
    by_key = {kind["key"]: kind for kind in document["kinds"]}
    assert by_key["frost-hollow"]["spot"]["clear_night_c"] == {"low": -6, "usual": -3, "high": -1}
    assert by_key["room"]["spot"]["clear_night_c"] is None


def test_check_takes_place_record_and_spots_from_the_file(
    file: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every spot has a finding; `--spot` chooses; a spot as outside is the open air."""
    common = ("--group", "nobile", "--json")
    code, out, err = run(capsys, "check", "--collection", file, *common)
    assert code == 0, err
    document = json.loads(out)
    assert document["place"]["name"] == "rooftop"
    assert [found["spot"] for found in document["results"]] == ["bench", "shelter"]
    record = ("--record", str(DATA / "los_angeles.hourly"), "--at", "33.938,-118.389,30")
    for flag, found in zip(((), ("--roof",)), document["results"], strict=True):
        _, plain, _ = run(capsys, "check", *record, *flag, *common)
        (alone,) = json.loads(plain)["results"]
        assert {**alone, "spot": ""} == {**found, "spot": ""}
    _, out, _ = run(capsys, "check", "--collection", file, "--spot", "Shelter", *common)
    assert [found["spot"] for found in json.loads(out)["results"]] == ["shelter"]


def test_moves_has_a_part_for_each_spot(file: str, capsys: pytest.CaptureFixture[str]) -> None:
    """In JSON and in the tables."""
    code, out, _ = run(capsys, "moves", "--collection", file, "--group", "nobile", "--json")
    assert code == 0
    assert [move["spot"] for move in json.loads(out)["results"]] == ["bench", "shelter"]
    _, out, _ = run(capsys, "moves", "--collection", file, "--group", "nobile")
    assert "nobile, shelter" in " ".join(out.split())
    _, out, _ = run(capsys, "moves", "--collection", file, "--group", "nobile", "--details")
    assert "Not moved at the spot shelter" in out


def test_a_place_that_is_typed_is_another_place(
    file: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """The demo, or --at with a record, leaves the file's place and record alone."""
    _, out, _ = run(capsys, "check", "--demo", "--collection", file, "--group", "nobile", "--json")
    assert json.loads(out)["place"]["invented"] is True
    reno = ("--record", str(DATA / "reno.hourly"), "--at", "39.5,-119.8")
    _, out, _ = run(capsys, "check", *reno, "--collection", file, "--group", "nobile", "--json")
    assert json.loads(out)["place"]["latitude"] == 39.5


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (("check", "--collection", "none.toml"), 1, "none.toml: no such file"),
        (("spots", "list"), 1, "collection.toml: no such file"),
        (("check", "--collection", "FILE", "--spot", "benc"), 1, "Near: bench"),
        (("check", "--demo", "--spot", "open-prch"), 1, "Near: open-porch"),
        (("check", "--collection", "FILE", "--roof"), 2, "--roof is for the open air alone"),
        (("moves", "--demo", "--spot", "open-porch", "--roof"), 2, "--roof is for the open air"),
        (("check", "--collection", "FILE", "--csv", "FILE"), 2, "is the same file as --collection"),
        (("spots", "show", "nowhere", "--collection", "FILE"), 1, 'no spot "nowhere"'),
    ],
)
def test_mistakes_are_told_in_one_sentence(  # noqa: PLR0917
    file: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    arguments: tuple[str, ...],
    code: int,
    words: str,
) -> None:
    """Exit code 2 for options, 1 for what files hold."""
    monkeypatch.chdir(tmp_path)
    refused(run(capsys, *(file if word == "FILE" else word for word in arguments)), code, words)


# Plants in their own state --------------------------------------------------------------------

PLANTS = """
[place]
name = "invented garden"

[[spot]]
name = "porch"
kind = "open-porch"

[[spot]]
name = "bench"
kind = "open-bench"

[[plant]]
name = "white hard-cane"
group = "den-phal"
spot = "porch"
first_winter = true

[[plant.damage]]
date = 2019-02-12
words = "leaves shed"

[[plant]]
group = "nobile x kingianum"
spot = "bench"
in_bud = true

[[plant]]
name = "settled"
group = "nobile"
spot = "bench"
"""


@pytest.mark.slow
def test_plants_have_one_row_each_in_their_state_at_their_spot(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """No other group, no row of the group beside; a hybrid keeps its caveat in every answer."""
    file = tmp_path / "plants.toml"
    file.write_text(PLANTS, encoding="utf-8")
    asked = ["--demo", "--collection", str(file)]
    names = [["white hard-cane"], ["nobile x kingianum"], ["settled"]]
    for command, rows in (
        ("check", "results"), ("moves", "results"), ("year", "results"), ("cards", "cards"),
    ):  # fmt: skip
        code, out, err = run(capsys, command, *asked, "--json")
        assert (code, err) == (0, "")
        found = json.loads(out)[rows]
        assert [row["plants"] for row in found] == names
        assert [row["spot"] for row in found] == ["porch", "bench", "bench"]
        assert [row["caveat"][:25] for row in found] == ["", "hybrid nobile x kingianum", ""]
        assert [row["in_state"] for row in found] == [True, True, False]


@pytest.mark.slow
def test_a_plant_is_judged_by_its_state_and_its_group_as_it_is(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """With --group, and with --all-groups, groups are asked for and no plants."""
    file = tmp_path / "plants.toml"
    file.write_text(PLANTS, encoding="utf-8")
    asked = ["check", "--demo", "--collection", str(file), "--json"]
    document = json.loads(run(capsys, *asked)[1])
    plant, profile = document["results"][0], document["profiles"][0]
    assert plant["thresholds"]["chill_base_c"] >= 14.0
    assert profile["plants"] == ["white hard-cane"]
    assert profile["state"]["first_winter"] is True
    assert [one["words"] for one in profile["damage"]] == ["leaves shed"]
    named = json.loads(run(capsys, *asked, "--group", "phalaenanthe")[1])["results"]
    assert [(row["spot"], row["plants"]) for row in named] == [("porch", []), ("bench", [])]
    assert named[0]["thresholds"]["chill_base_c"] == 12.0
    every = json.loads(run(capsys, *asked, "--all-groups")[1])["results"]
    assert len(every) == 2 * len({row["group"] for row in every}) > 40
    code, _, err = run(capsys, *asked, "--group", "nobile", "--all-groups")
    assert (code, err.count("\n")) == (2, 1)


def test_a_plants_rows_bear_its_name_in_the_tables(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = tmp_path / "plants.toml"
    file.write_text(PLANTS, encoding="utf-8")
    asked = ["--demo", "--collection", str(file), "--spot", "porch"]
    _, out, _ = run(capsys, "check", *asked, "--details")
    assert "\nwhite\n" in "\n".join(line[:5] for line in out.splitlines())
    assert "settled" not in out
    assert "Its chill base" in out
    assert "Damage noted" in out
    _, out, _ = run(capsys, "moves", *asked)
    assert out.startswith("white ")


@pytest.mark.slow
def test_what_is_wrong_with_one_plant_is_told_and_the_others_are_answered(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Beside the answer, on every surface; with nothing left it is an error."""
    file = tmp_path / "plants.toml"
    bad = '[[plant]]\nname = "lost"\ngroup = "nobile"\nspot = "terrace"\n'
    file.write_text(PLANTS + bad, encoding="utf-8")
    line = PLANTS.count("\n") + 1
    told = f'plants.toml, line {line}: plant "lost" stands at "terrace", which is no spot of the'
    asked = ("--demo", "--collection", str(file))
    for command in ("check", "moves", "year", "cards", "compare"):
        code, out, _ = run(capsys, command, *asked)
        assert code == 0
        assert told in " ".join(out.split())
        document = json.loads(run(capsys, command, *asked, "--json")[1])
        notes = document["notes"] if command == "compare" else document["settings"]["notes"]
        assert [note.startswith(told) for note in notes] == [True]
    file.write_text(PLANTS[: PLANTS.index("[[plant]]")] + bad, encoding="utf-8")
    code, out, err = run(capsys, "check", *asked)
    assert (code, out, err.count("\n")) == (1, "", 1)
    assert "which is no spot of the file" in err
    assert run(capsys, "check", *asked, "--all-groups")[0] == 0


def test_a_spot_without_plants_has_no_rows(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = tmp_path / "plants.toml"
    file.write_text(PLANTS + '[[spot]]\nname = "lawn"\n', encoding="utf-8")
    asked = ("check", "--demo", "--collection", str(file))
    out = " ".join(run(capsys, *asked)[1].split())
    assert "No plant stands at lawn." in out
    assert "the spot lawn" not in out
    code, out, err = run(capsys, *asked, "--spot", "lawn")
    assert (code, out) == (1, "")
    assert 'no plant of the collection stands at "lawn"' in err


def test_a_name_beside_an_imported_record_is_only_shown(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The record knows where it was measured; one that does not leaves the name to be looked up."""
    monkeypatch.setenv("SUITABILITY_HOME", str(tmp_path / "store"))
    file = tmp_path / "mine.toml"
    for name, where in (("here", ["--at=33.938,-118.389,30"]), ("nowhere", [])):
        source = str(DATA / "los_angeles.hourly")
        assert run(capsys, "weather", "import", source, "--name", name, *where)[0] == 0
        file.write_text(
            f'[place]\nname = "my own rooftop"\nrecord = "{name}"\n[[spot]]\nname = "bench"\n',
            encoding="utf-8",
        )
        asked = ("check", "--collection", str(file), "--group", "nobile", "--json")
        code, out, err = run(capsys, *asked)
        if name == "here":
            place = json.loads(out)["place"]
            assert code == 0
            assert (place["name"], place["latitude"]) == ("my own rooftop", 33.938)
        else:
            assert code == 1
            assert "No town" in err


def test_plants_and_their_damage_are_listed_in_the_degrees_asked_for(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """A temperature that was noted, and a difference, each turned in its own way."""
    file = tmp_path / "plants.toml"
    noted = 'words = "leaves shed"\nlowest_c = 1.5'
    text = PLANTS.replace('words = "leaves shed"', noted)
    file.write_text(text.replace("first_winter = true", "shift_c = 0.5"), encoding="utf-8")
    asked = ["spots", "show", "porch", "--collection", str(file), "--units", "f"]
    code, out, err = run(capsys, *asked)
    assert (code, err) == (0, "")
    flat = " ".join(out.split())
    assert "+0.9 °F against its group" in flat
    assert "2019-02-12: leaves shed, at 34.7 °F" in flat
