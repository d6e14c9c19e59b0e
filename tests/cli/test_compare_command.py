"""`suitability compare` as a user types it: text, JSON, CSV, page, and mistakes."""

from __future__ import annotations

import csv
import html
import io
import json
import re
from pathlib import Path

import numpy as np
import openpyxl
import pytest

from suitability.answers.words import CAUTIONS
from suitability.cli.compare import Candidates, _one_by_one
from suitability.cli.main import main
from suitability.cli.options import Fetched, Where
from suitability.groups import read_catalogue
from tests.output.drawn import drawn_on

from .running import keeps_schema, refused, running

pytestmark = pytest.mark.slow

DATA = Path(__file__).parents[1] / "data"
SPOTS = ("--spot", "open-porch", "--spot", "frost-hollow")


run = running("compare")


def test_few_groups_are_shown_in_full_and_keep_the_schema(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """80 columns; a porch before a hollow, with the difference in words."""
    asked = ("--demo", *SPOTS, "--group", "cattleya")
    code, out, err = run(capsys, *asked)
    assert code == 0, err
    assert "open-porch before frost-hollow: a season of 278 days against 212" in " ".join(
        out.split()
    )
    assert max(map(len, out.splitlines())) <= 80
    _, out, _ = run(capsys, *asked, "--json")
    document = json.loads(out)
    keeps_schema(document, "compare")
    (difference,) = document["differences"]
    assert difference["better"]["spot"] == "open-porch"
    assert difference["told_apart"] is True


def test_many_groups_are_a_matrix_and_csv_has_a_line_each(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every group stands in both; the page is the same twice and its axes are named."""
    pages = []
    for name in ("a.html", "b.html"):
        target = str(tmp_path / name)
        _, out, _ = run(
            capsys, "--demo", *SPOTS, "--csv", str(tmp_path / "all.csv"), "--chart", target
        )
        pages.append((tmp_path / name).read_text("utf-8"))
    keys = read_catalogue().keys
    assert all(any(line.startswith(key) for line in out.splitlines()) for key in keys)
    assert max(map(len, out.splitlines())) <= 80
    rows = list(csv.DictReader(io.StringIO((tmp_path / "all.csv").read_text("utf-8-sig"))))
    assert [(row["spot"], row["group"]) for row in rows] == [
        (spot, key) for spot in ("open-porch", "frost-hollow") for key in keys
    ]
    assert pages[0] == pages[1]
    figures = drawn_on(pages[0])
    matrix = figures["matrix"]["data"][0]
    assert (matrix["x"], matrix["y"]) == (["open-porch", "frost-hollow"], list(keys))
    at = keys.index("nobile")
    assert matrix["text"][at][0].split("<br>") == ["outdoor-all-year", "borderline"]
    assert matrix["customdata"][at][0].split() == [
        "year",
        "b",
    ]  # where a phone has no room for words
    outdoors = dict.fromkeys(("open-porch", "frost-hollow"), 0)
    for row in rows:
        outdoors[row["spot"]] += row["verdict"].startswith("outdoor")
    (most, at_most), (fewest, at_fewest) = sorted(
        ((n, spot) for spot, n in outdoors.items()), reverse=True
    )
    assert (
        f"{most} of {len(keys)} groups can live outdoors at {at_most}, for a season or all year; "
        f"{fewest} at {at_fewest}." in pages[0]
    )
    title = figures["hours"]["layout"]["xaxis"]["title"]["text"]
    assert title == "hours a year below the growth floor"
    first = figures["hours"]["data"][0]
    assert first["x"][0] == pytest.approx(float(rows[0]["hours_below_year"]), abs=0.06)


def test_marks_stand_in_cells_and_are_explained(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """As `check` words them: in table, narrow table, chart and numbers; and once where all are."""
    target, file = tmp_path / "marks.html", tmp_path / "marks.csv"
    _, out, _ = run(capsys, "--demo", *SPOTS, "--chart", str(target), "--csv", str(file))
    line = next(at for at, text in enumerate(out.splitlines()) if text.startswith("oxyglossum"))
    assert "borderline" in out.splitlines()[line + 1]
    explained = "Borderline: a spot 1.0 °C colder or warmer has another verdict."
    assert explained in " ".join(out.split())
    assert "provisional" not in out
    rows = list(csv.DictReader(io.StringIO(file.read_text("utf-8-sig"))))
    marked = {(row["spot"], row["group"]) for row in rows if row["borderline"] == "true"}
    assert ("open-porch", "oxyglossum") in marked
    page = target.read_text("utf-8")
    assert f"b: borderline; n: nearly all year. {explained}" in page
    matrix = drawn_on(page)["matrix"]["data"][0]
    keys = matrix["y"]
    for row in rows:
        column, at = matrix["x"].index(row["spot"]), keys.index(row["group"])
        borderline = (row["spot"], row["group"]) in marked
        assert ("<br>borderline" in matrix["text"][at][column]) is borderline
        assert ("b" in matrix["customdata"][at][column].split()) is borderline
        nearly = row["nearly_all_year"] == "true"
        assert (", nearly all year" in matrix["text"][at][column]) is nearly
        assert ("n" in matrix["customdata"][at][column].split()) is nearly
    many = [one for row in ("open-bench", "room", "window-sill") for one in ("--spot", row)]
    _, out, _ = run(capsys, "--demo", *SPOTS, *many)
    assert re.search(r"^nobile +year b ", out, re.MULTILINE)
    assert "b: borderline" in " ".join(out.split())
    assert max(map(len, out.splitlines())) <= 80


def test_where_all_are_provisional_it_is_said_once(capsys: pytest.CaptureFixture[str]) -> None:
    """Six calendar years; some alone stand in their cells."""
    asked = ("--demo", *SPOTS, "--group", "nobile", "--years", "2015-2020")
    _, out, _ = run(capsys, *asked)
    assert "All verdicts are provisional: fewer than ten" in " ".join(out.split())
    assert out.count("provisional") == 1
    _, out, _ = run(capsys, *asked, "--json")
    assert [row["provisional"] for row in json.loads(out)["results"]] == [True, True]


def test_indoors_no_season_is_given_by_any_command(capsys: pytest.CaptureFixture[str]) -> None:
    """The longest stretch is too short to use; the outdoor season and its days are told."""
    told = {}
    for command in ("check", "moves", "year", "compare", "cards"):
        with pytest.raises(SystemExit):
            main([command, "--demo", "--group", "victoriae-reginae", "--json"])
        document = json.loads(capsys.readouterr().out)
        (told[command],) = document["cards" if command == "cards" else "results"]
    assert {one["verdict"] for one in told.values()} == {"indoor-only"}
    assert {one["season"] for one in told.values()} == {None}
    assert told["check"]["reason"]["numbers"]["season_days"] > 0
    assert told["check"]["survival_season"] is not None
    assert told["compare"]["carried_nights"] == told["check"]["carried_nights"]


def test_imported_records_know_where_they_were_measured(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One, or several, without a position; with too few positions it is said what would do."""
    monkeypatch.setenv("SUITABILITY_HOME", str(tmp_path))
    for name, at in (("north", "33.9,-118.4"), ("south", "-30.0,-51.2")):
        source = tmp_path / f"{name}.csv"
        hours = np.datetime64("2019-01-01T00") + np.arange(4 * 8766).astype("timedelta64[h]")
        rows = (f"{str(hour).replace('T', ' ')}:00,20.0" for hour in hours)
        source.write_text("\n".join(["time,temp", *rows, ""]), "utf-8")
        with pytest.raises(SystemExit):
            main(["weather", "import", str(source), "--name", name, "--at", at])
    capsys.readouterr()
    asked = ("--group", "nobile", "--quality", "off", "--json")
    code, out, err = run(capsys, "--record", "north", "--record", "south", *asked)
    assert code == 0, err
    places = json.loads(out)["places"]
    assert [(one["name"], one["latitude"]) for one in places] == [("north", 33.9), ("south", -30.0)]
    assert run(capsys, "--record", "north", *asked)[0] == 0
    for wrong, words in (
        (("--record", "north", "--record", "north"), "stands twice"),
        (("--record", "north", "--record", "south", "--at", "1,2"), "imported records alone know"),
        (("--record", "north", "--record", "south", "--place", "Porto Alegre"), "2 for 1 --place"),
    ):
        code, _, err = run(capsys, *wrong, *asked)
        assert code == 2
        assert words in err


def test_what_a_hybrid_is_judged_as_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    """In compare and in protect, text and JSON, by the sentence of a check."""
    asked = ("--demo", "--group", "phalaenanthe x nobile")
    with pytest.raises(SystemExit):
        main(["check", *asked, "--json"])
    (note,) = json.loads(capsys.readouterr().out)["settings"]["understood"]
    for command in (("compare",), ("spots", "protect")):
        with pytest.raises(SystemExit):
            main([*command, *asked, "--json"])
        assert json.loads(capsys.readouterr().out)["understood"] == [note]
        with pytest.raises(SystemExit):
            main([*command, *asked])
        assert note in " ".join(capsys.readouterr().out.split())


def test_no_difference_is_said_in_words(capsys: pytest.CaptureFixture[str]) -> None:
    """Two rooms of 20 °C never differ, and no number with a sign says so."""
    asked = ("--demo", "--spot", "room", "--spot", "window-sill", "--group", "phalaenopsis")
    flat = " ".join(run(capsys, *asked)[1].split())
    assert "as many unsafe nights a year" in flat
    assert "+0 unsafe" not in flat


def test_an_error_turns_no_line_around(capsys: pytest.CaptureFixture[str]) -> None:
    """A direction mark in a name is written out in the sentence that refuses it."""
    code, _, err = run(capsys, "--demo", "--spot", "a\u202eb")
    assert code == 1
    assert r'"a\u202eb": there is none of this name' in err


def test_without_a_verdict_it_is_said_where_to_look(capsys: pytest.CaptureFixture[str]) -> None:
    """Two calendar years hold one plant year."""
    asked = ("--demo", *SPOTS, "--group", "nobile")
    _, out, _ = run(capsys, *asked, "--years", "2020-2021")
    assert "No verdict: too little of the record is known" in " ".join(out.split())
    assert "No verdict" not in run(capsys, *asked)[1]


def flat_columns(name: str, value: object) -> dict[str, object]:
    """The columns of a key: those of an object and of twelve months joined to its name."""
    if isinstance(value, list):
        joined = name.removesuffix("_months")
        return {f"{joined}_{month:02d}": one for month, one in enumerate(value, 1)}
    if not isinstance(value, dict):
        return {name: value}
    columns: dict[str, object] = {}
    for key, one in value.items():
        columns |= flat_columns(f"{name}_{key}", one)
    return columns


def test_tables_hold_what_the_document_holds(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """A row each, keys of nested objects joined; the credit at the end; no text is a formula."""
    file, book, folder = tmp_path / "all.csv", tmp_path / "all.xlsx", tmp_path / "tables"
    folder.mkdir()
    asked = ["--demo", *SPOTS, "--group", "nobile", "--group", "den-phal", "--json"]
    written = ["--csv", str(file), "--tables", str(folder), "--xlsx", str(book)]
    code, out, err = run(capsys, *asked, *written)
    assert code == 0, err
    document = json.loads(out)
    rows = list(csv.DictReader(io.StringIO(file.read_text("utf-8-sig"))))
    assert len(rows) == len(document["results"]) == 4
    for row, result in zip(rows, document["results"], strict=True):
        for name, value in result.items():
            if name == "limiting":
                assert row[name].split()[0] == value[0]["cause"] if value else row[name] == ""
                continue
            if value is None and name not in row:
                assert not any(row[column] for column in row if column.startswith(f"{name}_"))
                continue
            for column, one in flat_columns(name, value).items():
                if re.fullmatch(r"\d\d-\d\d", str(one)):  # a day of the year is two numbers
                    stem = column.removesuffix("_date")
                    month, day = row[f"{stem}_month"], row[f"{stem}_day"]
                    assert one == f"{int(month):02d}-{int(day):02d}"
                    continue
                if one is None and column not in row:  # an object that is not there
                    assert not any(row[other] for other in row if other.startswith(f"{column}_"))
                    continue
                assert row[column].casefold() == ("" if one is None else str(one).casefold()), (
                    column
                )
        assert row["attribution"] == document["credits"][0]["attribution"]
    credits_ = (folder / "credits.csv").read_text("utf-8-sig")
    flat = [
        {**credit, **{f"period_{end}": at for end, at in credit["period"].items()}}
        for credit in document["credits"]
    ]
    for credit in flat:
        del credit["period"]
    assert list(csv.DictReader(io.StringIO(credits_))) == flat
    spots = (folder / "results.csv").read_text("utf-8-sig")
    assert [line["verdict"] for line in csv.DictReader(io.StringIO(spots))] == [
        result["verdict"] for result in document["results"]
    ]
    sheets = openpyxl.load_workbook(book, read_only=True)
    assert sheets.sheetnames == [
        *("about", "places", "credits", "results", "results months", "differences")
    ]
    about = {row[0].value: row[1].value for row in sheets["about"].iter_rows(min_row=2)}
    assert set(about) == {"Invented", "Place", "Weather", "Promise", "Understood", "Cautions"}
    assert about["Place"].startswith(document["places"][0]["name"])
    assert all(about["Weather"].count(flat[0][key]) for key in ("source", "licence", "attribution"))
    assert about["Promise"] == "what 90% of new years keep"
    assert about["Cautions"] == CAUTIONS
    told = [row[0].value for row in sheets["differences"].iter_rows(min_row=2, max_col=1)]
    assert told == [one["group"] for one in document["differences"]]


def test_whose_weather_it_is_is_said(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """In table, page and document, for every place."""
    target = tmp_path / "spots.html"
    asked = ("--demo", *SPOTS, "--group", "nobile")
    _, text, _ = run(capsys, *asked, "--chart", str(target))
    _, document, _ = run(capsys, *asked, "--json")
    (credit,) = json.loads(document)["credits"]
    assert credit["attribution"] == "Invented demo record of the suitability authors"
    told = f"Weather, 2013 to 2024: {credit['source']} {credit['attribution']}"
    assert told in " ".join(text.split())
    assert f"<p>{told}" in html.unescape(target.read_text("utf-8"))


def test_candidate_places_are_compared(capsys: pytest.CaptureFixture[str]) -> None:
    """Los Angeles before Reno for a hard-cane dendrobium; records pair with places in order."""
    places = ("--at", "39.5,-119.8,1344", "--at", "33.938,-118.389,30")
    records = [str(DATA / f"{name}.hourly") for name in ("reno", "los_angeles")]
    paired = (*places, "--record", records[0], "--record", records[1])
    code, out, err = run(capsys, *paired, "--group", "den-phal", "--json")
    assert code == 0, err
    document = json.loads(out)
    assert [place["latitude"] for place in document["places"]] == [39.5, 33.938]
    assert len(document["credits"]) == 2
    (difference,) = document["differences"]
    assert difference["better"]["place"] == document["places"][1]["name"]


def test_towns_are_compared_under_their_own_names_or_the_growers(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Records, names and towns pair in order; a roof stands at each; the charts are pictures."""
    towns = ("--place", "Reno", "--place", "Los Angeles, CA")
    records = [str(DATA / f"{name}.hourly") for name in ("reno", "los_angeles")]
    asked = (*towns, "--record", records[0], "--record", records[1], "--group", "den-phal")
    code, out, err = run(capsys, *asked, "--json")
    assert code == 0, err
    places = json.loads(out)["places"]
    assert [place["name"] for place in places] == [
        "Reno, United States",
        "Los Angeles, United States",
    ]
    assert [round(place["latitude"]) for place in places] == [40, 34]
    named = ("--name", "hills", "--name", "coast", "--roof")
    picture = tmp_path / "both.svg"
    code, out, err = run(capsys, *asked, *named, "--json", "--figure", str(picture))
    assert code == 0, err
    document = json.loads(out)
    assert [place["name"] for place in document["places"]] == ["hills", "coast"]
    assert [(row["place"], row["spot"]) for row in document["results"]] == [
        ("hills", "roofed"),
        ("coast", "roofed"),
    ]
    pictures = sorted(path.name for path in tmp_path.iterdir())
    assert pictures == ["both-hours.svg", "both-matrix.svg", "both-seasons.svg"]
    assert "coast: roofed" in (tmp_path / "both-hours.svg").read_text("utf-8")


def test_towns_and_positions_are_compared_together() -> None:
    """Towns first; nothing pairs with them, for the order of two options is not known."""
    places = _one_by_one(
        Where(at=["33.938,-118.389,30"]), Candidates(place=["Reno", "Denver"]), Fetched()
    )
    assert [where.place for where, _ in places] == [
        *("Reno, United States", "Denver, United States", None)
    ]
    assert [where.at[0].split(".")[0] for where, _ in places if where.at] == ["39", "39", "33"]


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (("--at", "1,1", "--at", "1,1"), 2, "--at 1,1: stands twice"),
        (("--place", "Lisboa", "--place", "Lisbon, Portugal"), 2, "--place Lisboa: stands twice"),
        (
            ("--place", "Reno", "--at", "1,1", "--record", "a", "--record", "b"),
            2,
            "--record beside --place and --at: it pairs with places in the order typed",
        ),
        (("--place", "Reno", "--at", "1,1", "--name", "a"), 2, "--name beside --place and --at"),
        (("--place", "Reno", "--place", "Denver", "--station", "1"), 2, "--station: 1 for 2"),
        (("--at", "1,1", "--at", "2,2", "--name", "a"), 2, "--name: 1 for 2 --at"),
        (("--at", "1,1", "--at", "2,2", "--name", "a", "--name", " a"), 2, "--name a: stands"),
        (("--at", "1,1", "--name", " "), 2, "--name: one of them is empty"),
        (("--demo", "--roof", "--spot", "open-porch"), 2, "--roof is for the open air alone"),
        (("--at", "1,1", "--at", "2,2", "--record", "a.csv"), 2, "1 for 2 --at"),
        (("--demo", "--spot", "open-prch"), 1, "Near: open-porch"),
        (("--demo", "--json", "--csv", "-"), 2, "both want standard output"),
        (("--demo", "--units", "k"), 2, "--units k: expected c or f"),
    ],
)
def test_mistakes_are_told_in_one_sentence(
    capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], code: int, words: str
) -> None:
    """Before any work."""
    refused(run(capsys, *arguments), code, words)


def test_no_plant_is_moved_to_where_it_would_hardly_flower(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """
    Common practice, no source: Callista left all winter in a warm room lives, and does not flower.

    At Los Angeles the room is the only spot for all year, and the bench the best one outdoors.
    """
    record = DATA / "los_angeles.hourly"
    file = tmp_path / "plants.toml"
    file.write_text(
        f'[place]\nname = "yard"\nat = "33.938,-118.389,30"\nrecord = "{record}"\n'
        '[[spot]]\nname = "bench"\nkind = "open-bench"\n[[spot]]\nname = "room"\nkind = "room"\n'
        '[[plant]]\nname = "honey"\ngroup = "callista"\nspot = "bench"\n'
    )
    code, out, err = run(capsys, "--collection", str(file), "--json")
    assert code == 0, err
    (placement,) = json.loads(out)["placements"]
    assert [spot["spot"] for spot in placement["best"]] == ["bench"]
    assert [spot["spot"] for spot in placement["best_rooms"]] == ["room"]
    assert placement["standing"][0]["well"] is True
    _, out, _ = run(capsys, "--collection", str(file))
    told = " ".join(out.split())
    assert "hardly flowers if it stays in room" in told
    assert "move it" not in told
