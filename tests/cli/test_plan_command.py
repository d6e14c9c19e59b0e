"""`suitability plan` as a user types it: the page's example, files, mistakes in one sentence."""

from __future__ import annotations

import json
import re
from collections import Counter
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from .running import keeps_schema, running

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[2]
DATA = ROOT / "tests" / "data"
PAGE = (ROOT / "docs" / "plan.md").read_text("utf-8")
EXAMPLE = re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)[0]
NARROW = EXAMPLE.replace("places = 15", "places = 9")  # the sill, for fifteen in winter
TIGHT = EXAMPLE.replace("places = 15", "places = 11")  # pots of a plant go several ways
FROM = ("--from", "2027-02-10")


run = running("plan")


@pytest.fixture
def garden(tmp_path: Path) -> Path:
    """The collection of the page beside its record."""
    (tmp_path / "los_angeles.hourly").write_bytes((DATA / "los_angeles.hourly").read_bytes())
    path = tmp_path / "garden.toml"
    path.write_text(EXAMPLE, encoding="utf-8")
    return path


def document(capsys: pytest.CaptureFixture[str], path: Path, *more: str) -> dict[str, Any]:
    """What --json tells, held to its schema."""
    code, out, _ = run(capsys, "--collection", str(path), *FROM, "--json", *more)
    assert code == 0
    found: dict[str, Any] = json.loads(out)
    keeps_schema(found, "plan")
    return found


def test_the_example_of_the_page_is_what_is_printed(
    capsys: pytest.CaptureFixture[str], garden: Path
) -> None:
    """Each command of the page with the lines that stand under it, in order."""
    blocks = re.findall(r"```text\n\$ suitability plan (.*?)\n(.*?)```", PAGE, re.DOTALL)
    assert len(blocks) >= 2
    for typed, shown in blocks:
        words = re.findall(r'"[^"]*"|\S+', typed)
        words = [str(garden) if word == "garden.toml" else word.strip('"') for word in words]
        code, out, _ = run(capsys, *words)
        assert code == 0
        printed = iter(out.splitlines())
        for line in shown.splitlines():
            if line not in {"", "…"}:
                assert any(line == other for other in printed), line


def test_no_spot_is_fuller_than_its_room_and_every_pot_is_counted(
    capsys: pytest.CaptureFixture[str], garden: Path
) -> None:
    """By the document alone: stays and moving days agree with the room used, week by week."""
    found = document(capsys, garden)
    for spot in found["spots"]:
        assert all(week["pots"] <= spot["places"] for week in spot["weeks"])
        for week in spot["weeks"]:
            there = sum(
                sum(stay["numbers"])
                for stay in found["results"]
                if stay["spot"] == spot["spot"] and stay["first"] <= week["first"] <= stay["last"]
            )
            assert there == week["pots"]
    assert found["moved"] == sum(day["pots"] for day in found["days"])
    assert {day["day"] for day in found["days"] if not day["against"]} <= {
        week["first"] for week in found["spots"][0]["weeks"]
    }
    assert all(row["chance"] >= 0.9 for row in found["plants"])


def test_on_no_evening_of_a_weekend_a_spot_is_fuller_than_its_room(
    capsys: pytest.CaptureFixture[str], garden: Path
) -> None:
    """Four pots a day on two days: who makes room goes before who comes."""
    weekend = 'days = ["saturday", "sunday"]\nmost_a_day = 4'
    text = NARROW.replace('days = ["saturday"]\nmost_a_day = 8', weekend)
    garden.write_text(text.replace("places = 10", "places = 7"), encoding="utf-8")
    found = document(capsys, garden)
    places = {spot["spot"]: spot["places"] for spot in found["spots"]}
    days = sorted({stay[end] for stay in found["results"] for end in ("first", "last")})
    assert len({day["day"] for day in found["days"]}) > 12
    for day in days:
        at = Counter[str]()
        for stay in found["results"]:
            if stay["first"] <= day <= stay["last"]:
                at[stay["spot"]] += sum(stay["numbers"])
        assert all(number <= places[spot] for spot, number in at.items()), (day, at)


def test_days_of_several_seasons_in_turn_are_not_one_that_is_promised(
    capsys: pytest.CaptureFixture[str], garden: Path
) -> None:
    """Each season of the greenhouse keeps 90 %, together they are all days; the year does not."""
    garden.write_text(
        """
[place]
at = "33.938,-118.389,30"
record = "los_angeles.hourly"
[[spot]]
name = "greenhouse"
kind = "closed-greenhouse"
light = "bright"
[[spot]]
name = "room"
kind = "room"
room_c = 18
light = "bright"
[[plant]]
name = "callistas"
group = "callista"
number = 2
spot = "greenhouse"
""",
        "utf-8",
    )
    found = document(capsys, garden)
    assert all(row["chance"] >= 0.9 for row in found["plants"])
    assert {stay["spot"] for stay in found["results"]} == {"greenhouse", "room"}
    assert {row["moves"] for row in found["plants"]} == {found["moved"] // 2}


def test_files_are_written(capsys: pytest.CaptureFixture[str], garden: Path) -> None:
    """Page, carry list, calendar, table; the same bytes twice."""
    names = {"--chart": "p.html", "--carry": "c.html", "--ics": "m.ics", "--csv": "s.csv"}
    told = [word for option, name in names.items() for word in (option, str(garden.parent / name))]
    texts = []
    for _ in range(2):
        code, _, err = run(capsys, "--collection", str(garden), *FROM, *told)
        assert code == 0
        assert err.count("Wrote ") == len(names)
        texts.append([(garden.parent / name).read_bytes() for name in names.values()])
    assert texts[0] == texts[1]
    page, carry, calendar, table = (text.decode("utf-8-sig") for text in texts[0])
    days = document(capsys, garden)["days"]
    assert carry.count("<article") == len(days)
    assert "☐" in carry
    assert "no ladder alone" in carry
    assert 'id="room"' in page
    assert calendar.count("BEGIN:VEVENT") >= len(days)
    assert table.count("\n") == 1 + len(document(capsys, garden)["results"])


def test_more_plants_than_places_are_told_with_what_would_help(
    capsys: pytest.CaptureFixture[str], garden: Path
) -> None:
    """Making that change in the file gives every pot its place."""
    garden.write_text(NARROW, encoding="utf-8")
    found = document(capsys, garden)
    assert found["homeless"]
    more = next(one for one in found["changes"] if one["spot"] == "sill" and one["kind"] == "room")
    garden.write_text(NARROW.replace("places = 9", f"places = {9 + more['places']}"), "utf-8")
    assert document(capsys, garden)["homeless_nights"] == 0
    garden.write_text(NARROW.replace("places = 9", f"places = {8 + more['places']}"), "utf-8")
    assert document(capsys, garden)["homeless_nights"] != 0


def test_what_keeps_plants_from_a_place_is_told_once_for_all_of_them(
    capsys: pytest.CaptureFixture[str], garden: Path
) -> None:
    """Full spots apart from nights that no spot promises; each plant with its own days."""
    garden.write_text(NARROW, encoding="utf-8")
    out = run(capsys, "--collection", str(garden), *FROM)[1]
    assert (
        "Without a place: every spot that would do is full\n- formosum (3): 10 February to" in out
    )
    assert out.count("Without a place") == 1
    sill = EXAMPLE[EXAMPLE.index('[[spot]]\nname = "sill"') : EXAMPLE.index("[[plant]]")]
    garden.write_text(EXAMPLE.replace(sill, "").replace('"sill"', '"porch"'), encoding="utf-8")
    out = run(capsys, "--collection", str(garden), *FROM)[1]
    assert out.count("Without a place: no one spot promises all of these nights\n- ") == 1


def test_all_year_at_a_spot_is_told_of_a_plant_that_is_never_moved(
    capsys: pytest.CaptureFixture[str], garden: Path
) -> None:
    """Not of one that is carried on the first moving day and stays for the rest of the plan."""
    alone = EXAMPLE[: EXAMPLE.index("[[plant]]")] + '[[plant]]\nname = "solo"\ngroup = "nobile"\n'
    for spot, told in (
        ("porch", "porch all year."),
        ("sill", "sill 10 February to 12 February, porch 13 February to 11 February."),
    ):
        garden.write_text(f'{alone}spot = "{spot}"\n', encoding="utf-8")
        out = run(capsys, "--collection", str(garden), *FROM, "--explain", "solo")[1]
        assert " ".join(out.split()).startswith(f"solo by the plan: {told} Provisional")


def test_weeks_without_a_place_are_told_of_the_plant_asked_about(
    capsys: pytest.CaptureFixture[str], garden: Path
) -> None:
    """Between its stays, so that the whole year is told."""
    garden.write_text(NARROW, encoding="utf-8")
    first = next(iter(document(capsys, garden)["homeless"]))
    out = run(capsys, "--collection", str(garden), *FROM, "--explain", first["plant"])[1]
    days = [
        f"{day.day} {day:%B}" for day in (date.fromisoformat(first[at]) for at in ("first", "last"))
    ]
    assert f"no place {' to '.join(days)}" in " ".join(out.split())


def test_whoever_loses_its_place_is_carried_away_and_brought_back(
    capsys: pytest.CaptureFixture[str], garden: Path
) -> None:
    """A list of moves that left it out would leave the plant outdoors."""
    garden.write_text(NARROW, encoding="utf-8")
    found = document(capsys, garden)
    assert found["homeless"]
    for stretch in found["homeless"]:
        moves = [
            one
            for day in found["days"]
            if day["day"] == stretch["first"]
            for one in day["moves"]
            if one["plant"] == stretch["plant"] and one["to_spot"] is None
        ]
        assert sum(one["number"] for one in moves) >= stretch["number"]
    assert all(one["chance"] is None or one["chance"] >= 0.9 for one in found["plants"])


def test_pots_of_a_plant_that_are_carried_together_share_a_row(
    capsys: pytest.CaptureFixture[str], garden: Path
) -> None:
    """Wherever they go before and after: in the document, the carry list and the calendar."""
    garden.write_text(TIGHT, encoding="utf-8")
    files = {"--carry": garden.with_name("c.html"), "--ics": garden.with_name("m.ics")}
    written = [str(word) for pair in files.items() for word in pair]
    found = document(capsys, garden, *written)
    carry, calendar = (file.read_text(encoding="utf-8") for file in files.values())
    assert max(row["way"] for row in found["plants"]) > 1
    rows = [(day["day"], one) for day in found["days"] for one in day["moves"]]
    trips = {(day, one["plant"], one["from_spot"], one["to_spot"]) for day, one in rows}
    assert len(trips) == len(rows) == carry.count("☐")
    assert sum(one["number"] for _, one in rows) == found["moved"]
    texts = [f"{one['number']} x {one['plant']}" for _, one in rows]
    unfolded = calendar.replace("\r\n ", "").replace("\n ", "")
    assert Counter(re.findall(r"\d+ x [a-z -]+", unfolded)) == Counter(texts)


def test_each_trip_is_an_event_of_its_own(capsys: pytest.CaptureFixture[str], garden: Path) -> None:
    """Calendar programs keep one event of each identity."""
    garden.write_text(NARROW, encoding="utf-8")
    target = garden.with_name("moves.ics")
    found = document(capsys, garden, "--ics", str(target))
    lines = target.read_text(encoding="utf-8").splitlines()
    named = [line for line in lines if line.startswith("UID")]
    ways = {
        (day["day"], one["from_spot"], one["to_spot"])
        for day in found["days"]
        for one in day["moves"]
    }
    assert len(set(named)) == len(named) == len(ways)


def test_a_diary_tells_where_plants_stand(capsys: pytest.CaptureFixture[str], garden: Path) -> None:
    """A move noted on the first day counts, one noted for later does not."""
    diary = garden.with_name("garden.diary.csv")
    diary.write_text(
        "date,plant,what,words,lowest_c,spot\n"
        "2027-02-10,nobiles,move,,,porch\n2027-02-11,antelopes,move,,,patio\n"
    )
    found = document(capsys, garden)
    first = {stay["plants"][0]: stay["spot"] for stay in reversed(found["results"])}
    assert first["nobiles"] == "porch"
    assert first["antelopes"] == "sill"
    ahead = (
        "Noted ahead in the diary, and not counted by this plan: antelopes to patio (2027-02-11)."
    )
    assert ahead in found["settings"]["notes"]


def test_pots_that_go_apart_are_noted_and_planned_anew(
    capsys: pytest.CaptureFixture[str], garden: Path
) -> None:
    """The moves of a spring noted as they are carried: the next plan begins where they have led."""
    garden.write_text(NARROW, encoding="utf-8")
    found = document(capsys, garden)
    until = "2027-04-12"
    note = running("diary")
    ways = set()
    for day in found["days"]:
        for move in day["moves"]:
            if move["to_spot"] is None or day["day"] >= until:
                continue
            ways.add((move["plant"], move["from_spot"], move["to_spot"]))
            some = ["--to", move["to_spot"], "--date", day["day"], "--collection", str(garden)]
            if move["from_spot"] is not None:
                some += ["--number", str(move["number"]), "--leaving", move["from_spot"]]
            assert note(capsys, "add", "move", move["plant"], *some)[0] == 0
    assert ("nobiles", "patio", "porch") in ways
    code, out, _ = note(capsys, "now", "--on", until, "--json", "--collection", str(garden))
    assert code == 0
    now = Counter({(one["plant"], one["spot"]): one["number"] for one in json.loads(out)["plants"]})
    assert sum(plant == "nobiles" for plant, _ in now) == 2

    def standing(plan: dict[str, Any]) -> Counter[tuple[str, str]]:
        at = Counter[tuple[str, str]]()
        for stay in plan["results"]:
            if stay["first"] <= until <= stay["last"]:
                at[stay["plants"][0], stay["spot"]] += stay["numbers"][0]
        return at

    assert standing(found) == now
    code, out, _ = run(capsys, "--collection", str(garden), "--from", until, "--json")
    anew = json.loads(out)
    assert (code, standing(anew)) == (0, now)
    assert anew["days"][0]["day"] > until


def test_where_plants_stand_before_is_told_as_a_plan_sees_it(
    capsys: pytest.CaptureFixture[str], garden: Path
) -> None:
    """A spot without a plant is filled by the plan, and a plant without a spot begins anywhere."""
    text = EXAMPLE.replace('spot = "porch"', 'spot = "patio"')
    for changed, begins in (
        (text, []),
        (text.replace('spot = "patio"\n', ""), ["nobiles at porch, formosum at sill"]),
    ):
        garden.write_text(changed, encoding="utf-8")
        found = document(capsys, garden)
        assert "porch" in {stay["spot"] for stay in found["results"]}
        told = [note for note in found["settings"]["notes"] if not note.startswith("Provisional")]
        assert told == [f"Not placed yet, and by the plan to begin: {names}." for names in begins]


def test_wishes_that_contradict_are_broken_and_counted(
    capsys: pytest.CaptureFixture[str], garden: Path
) -> None:
    """Away all year: only what cold or room asks for is moved, each pot against the wish."""
    away = "away = [{ first = 2027-01-01, last = 2028-12-31 }]"
    garden.write_text(EXAMPLE.replace("most_a_day = 8", away), encoding="utf-8")
    found = document(capsys, garden)
    assert found["against_wishes"] == found["moved"]
    assert {"away", "day"} >= {wish for day in found["days"] for wish in day["against"]}


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["--explain", "nobile"], 'no plant "nobile"'),
        (["--buy", "nobody"], "nobody"),
        (["--from", "2027-02-30"], "2027-02-30"),
        (["--carry", "list.pdf"], "--carry list.pdf"),
        (["--carry", "-"], "--carry -: a page is no text"),
        (["--chart", "a.html", "--carry", "./a.html"], "is the same file as --chart a.html"),
    ],
)
def test_a_mistake_is_told_in_one_sentence(
    capsys: pytest.CaptureFixture[str], garden: Path, arguments: list[str], sentence: str
) -> None:
    """Name and remedy, nothing on standard output."""
    code, out, err = run(capsys, "--collection", str(garden), *arguments)
    assert code in (1, 2)
    assert out == ""
    assert err.count("\n") == 1
    assert sentence in err


def test_without_plants_it_says_what_is_wanted(capsys: pytest.CaptureFixture[str]) -> None:
    """The demo has none."""
    code, out, err = run(capsys, "--demo")
    assert (code, out) == (1, "")
    assert "--collection" in err


def test_an_unknown_spot_or_group_leaves_the_rest_planned(
    capsys: pytest.CaptureFixture[str], garden: Path
) -> None:
    """Named, and all others are planned; the headline says how many it does not speak of."""
    wrong = EXAMPLE + (
        '\n[[plant]]\nname = "lost"\ngroup = "nobile"\nspot = "attic"\n'
        '\n[[plant]]\nname = "odd"\ngroup = "nosuchgroup"\nnumber = 5\n'
        '\n[[plant]]\nname = "slip"\ngroup = "nobbile"\nspot = "patio"\n'
    )
    garden.write_text(wrong, encoding="utf-8")
    code, out, _ = run(capsys, "--collection", str(garden), *FROM)
    assert code == 0
    assert '"attic"' in out
    assert "nosuchgroup" in out
    first = " ".join(out.split("Provisional")[0].split())
    assert first.startswith("All 22 plants that could be planned have a place all year: ")
    assert "carried in all; 6 could not. " in first
    assert "* slip: " in out


def test_ctrl_c_in_the_middle_ends_it_at_once_with_nothing_written(tmp_path: Path) -> None:
    """While the solver works too, which by itself would first come to its end."""
    import os
    import signal
    import subprocess
    import sys
    import time

    plants = "".join(
        f'[[plant]]\ngroup = "{group}"\nnumber = {number + 1}\npot_cm = {9 + number}\n'
        for group in ("phalaenanthe", "spatulata", "formosae", "callista", "pendulous")
        for number in range(9)
    )
    kinds = {"bench": "open-bench", "porch": "open-porch", "sill": "window-sill"}
    spots = "".join(
        f'[[spot]]\nname = "{name}"\nkind = "{kind}"\narea_cm2 = 9000\n'
        for name, kind in kinds.items()
    )
    (tmp_path / "many.toml").write_text(
        f'[place]\nat = "33.938,-118.389,30"\nrecord = "{DATA / "los_angeles.hourly"}"\n'
        f"{spots}{plants}",
        encoding="utf-8",
    )
    work = subprocess.Popen(
        [
            *(sys.executable, "-m", "suitability", "plan", "--collection", "many.toml", *FROM),
            *("--chart", "page.html"),
        ],
        cwd=tmp_path,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    time.sleep(3.0)
    assert work.poll() is None
    work.send_signal(signal.SIGINT)
    out, err = work.communicate(timeout=30)
    assert (work.returncode, out) == (130, "")
    assert err == "suitability: Stopped; nothing was half-written.\n"
    assert not (tmp_path / "page.html").exists()


def test_a_cool_room_is_for_the_winter_and_brings_flowers(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """
    Who flowers after a cool rest spends the winter in it and the summer where it grows.

    Common practice, no source. A room that stays cool in August is not believed.
    """
    spots = {"sill": ("window-sill", 19), "cellar": ("room", 12)}
    groups = ("nobile", "callista", "pendulous", "cymbidium")
    path = tmp_path / "rooms.toml"
    path.write_text(
        f'[place]\nname = "N"\nat = "36.12,-86.68,180"\nrecord = "{DATA / "nashville.hourly"}"\n'
        + "".join(
            f'[[spot]]\nname = "{name}"\nkind = "{kind}"\nroom_c = {room_c}\nlight = "bright"\n'
            for name, (kind, room_c) in spots.items()
        )
        + "".join(f'[[plant]]\ngroup = "{group}"\nspot = "sill"\n' for group in groups),
        encoding="utf-8",
    )
    found: dict = document(capsys, path)  # type: ignore[type-arg]
    for plant in found["plants"]:
        assert plant["rest_met_years"] == plant["rest_of_years"] > 15

    def where(day: str) -> dict[str, str]:
        return {
            stay["group"]: stay["spot"]
            for stay in found["results"]
            if stay["first"] <= day <= stay["last"]
        }

    hard = {"nobile", "callista", "pendulous"}
    assert {where("2027-12-20")[group] for group in hard} == {"cellar"}
    assert set(where("2027-07-20").values()) == {"sill"}
