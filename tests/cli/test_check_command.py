"""`suitability check` as a user types it: answers, files, and one sentence for each mistake."""

from __future__ import annotations

import gzip
import json
import os
import subprocess
import sys
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from .running import LOS_ANGELES, keeps_schema, one_sentence, refused, running

DATA = Path(__file__).parent.parent / "data"


run = running()


def hours_csv(days: int = 800, value: str = "18.5", start: str = "2015-01-01") -> list[str]:
    """Lines of an hourly file whose temperature peaks in the early afternoon at Greenwich."""
    first = datetime.fromisoformat(start)
    lines = ["time,temp"]
    for hour in range(days * 24):
        moment = first + timedelta(hours=hour)
        temp = value or f"{18 + 5 * (1 - abs(moment.hour - 14) / 7):.1f}"
        lines.append(f"{moment:%Y-%m-%d %H:%M},{temp}")
    return lines


def test_demo_says_that_it_is_invented(capsys: pytest.CaptureFixture[str]) -> None:
    """The demo place answers offline and is labelled as invented."""
    code, out, err = run(capsys, "check", "--demo")
    assert code == 0
    assert "INVENTED" in out.upper()
    assert "phalaenanthe" in out
    assert err == ""


def test_json_alone_stands_on_standard_output(capsys: pytest.CaptureFixture[str]) -> None:
    """With --json standard output is one document and nothing else."""
    code, out, _ = run(capsys, "check", *LOS_ANGELES, "--group", "den-phal", "--json")
    document = json.loads(out)
    assert code == 0
    (result,) = document["results"]
    assert result["group"] == "phalaenanthe"
    assert result["verdict"] == "outdoor-seasonal"
    assert len(result["hours_below"]["months"]) == 12
    assert document["place"]["utc_offset_hours"] == -8.0


def test_same_input_gives_the_same_bytes(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Document and chart do not change from run to run."""
    first, second = tmp_path / "a.html", tmp_path / "b.html"
    texts = [
        run(capsys, "check", "--demo", "--group", "nobile", "--json", "--chart", str(path))[1]
        for path in (first, second)
    ]
    assert texts[0] == texts[1]
    assert first.read_bytes() == second.read_bytes()


def test_fahrenheit_is_shown_on_request(capsys: pytest.CaptureFixture[str]) -> None:
    """--units f shows the floor of 15 °C as 59 °F, and leaves the verdict alone."""
    code, out, _ = run(capsys, "check", "--demo", "--group", "phalaenanthe", "--units", "f")
    assert code == 0
    assert "59.0" in out
    assert "°F" in out


def test_csv_goes_to_standard_output(capsys: pytest.CaptureFixture[str]) -> None:
    """--csv - prints the table alone."""
    code, out, _ = run(capsys, "check", "--demo", "--group", "nobile", "--csv", "-")
    assert code == 0
    header, row = out.strip().splitlines()
    assert "verdict" in header
    assert "outdoor-all-year" in row


OPTION_MISTAKES = [
    (["check", "--demo", "--promise", "1.5"], "--promise 1.5"),
    (["check", "--record", "x.csv"], "--at"),
    (["check", "--record", "x.csv", "--at", "100,0"], "latitude 100"),
    (["check", "--record", "x.csv", "--at", "somewhere"], "LATITUDE,LONGITUDE"),
    (["check", "--demo", "--units", "k"], "--units k"),
    (["check", "--demo", "--years", "2020-2010"], "--years 2020-2010"),
    (["check", "--demo", "--caution", "none"], "--caution none"),
    (["check", "--demo", "--at", "1,1"], "--demo"),
    (["check", "--demo", "--minimum-allowance", "nan"], "--minimum-allowance nan"),
    (["check", "--demo", "--promise", "often"], "--promise"),
    (["check", "--no-such-option"], "--no-such-option"),
    (["moves", "--demo", "--threshold", "1e300"], "--threshold 1e+300: expected a number from -60"),
    (["year", "--demo", "--room", "1e300"], "--room 1e+300: expected a number from -10 to 40"),
    (["check"], "--demo"),
    (["check", "--demo", "--json", "--csv", "-"], "--csv -"),
    (["check", "--demo", "--chart", "-"], "--chart -"),
    (["check", "--demo", "--station", "10637"], "--station"),
]


@pytest.mark.parametrize(("arguments", "told"), OPTION_MISTAKES)
def test_a_mistaken_option_is_one_sentence_and_exit_2(
    arguments: list[str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Malformed and out-of-range options leave with 2 and name what was typed."""
    refused(run(capsys, *arguments), 2, told)


def test_the_page_says_what_a_spot_adds_and_how_to_read_a_room(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As the terminal does, below the verdicts at that spot."""
    target = tmp_path / "spots.html"
    asked = ["--demo", "--group", "nobile", "--chart", str(target)]
    for spots, heading, told in (
        (["room"], "Verdicts", "<p>Indoors, in a room of 20.0 °C all year: read"),
        (["room", "open-porch"], "Verdicts at the spot room", "<p>Indoors, in a room of 20.0 °C"),
        (
            ["room", "open-porch"],
            "Verdicts at the spot open-porch",
            "<p>Against the open air: +1.0",
        ),
    ):
        named = [word for spot in spots for word in ("--spot", spot)]
        assert run(capsys, "check", *asked, *named)[0] == 0
        _, _, after = target.read_text("utf-8").partition(f">{heading}</h2>")
        assert told in after.partition("</section>")[0]


@pytest.mark.parametrize("option", ["--csv", "--chart"])
def test_a_result_never_overwrites_an_input(
    option: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The record and the groups of the user stay as they are, however their name is written."""
    record, groups = tmp_path / "porch.csv", tmp_path / "mine.toml"
    record.write_text("\n".join(hours_csv(60, "")) + "\n")
    groups.write_text("# mine\n")
    inputs = ["--record", str(record), "--at", "51.5,0", "--groups-file", str(groups)]
    for path in (record, groups):
        before = path.read_bytes()
        code, _, err = run(capsys, "check", *inputs, option, f"{tmp_path}/./{path.name}")
        assert code == 2
        assert path.name in one_sentence(err)
        assert path.read_bytes() == before


def test_two_results_need_two_files(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One file cannot hold the table and the page."""
    target = str(tmp_path / "both.html")
    code, _, err = run(capsys, "check", "--demo", "--csv", target, "--chart", target)
    assert code == 2
    assert "both.html" in one_sentence(err)
    assert list(tmp_path.iterdir()) == []


def test_the_version_is_told_without_a_command(capsys: pytest.CaptureFixture[str]) -> None:
    """--version alone stops there."""
    code, out, _ = run(capsys, "--version")
    assert code == 0
    assert out.startswith("suitability ")


def test_no_command_shows_the_help_as_it_stands(capsys: pytest.CaptureFixture[str]) -> None:
    """A newcomer who types the name alone can read what there is."""
    code, out, _ = run(capsys)
    assert code == 0
    assert len(out.splitlines()) > 8


def test_a_name_that_is_nothing_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    """Neither a file nor an imported record."""
    code, _, err = run(capsys, "check", "--record", "no-such-porch")
    assert code == 1
    assert "imported" in one_sentence(err)


def test_hours_that_have_not_been_are_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One mistyped year must not push the whole record aside in silence."""
    path = tmp_path / "porch.csv"
    path.write_text("\n".join([*hours_csv(60, ""), "2199-01-01 00:00,10.0"]) + "\n")
    code, _, err = run(capsys, "check", "--record", str(path), "--at", "51.5,0")
    assert code == 1
    assert "2199" in one_sentence(err)


def test_a_full_disk_behind_standard_output_is_one_sentence() -> None:
    """Results that cannot be shown are not a success."""
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "suitability", "check", "--demo", "--group", "nobile"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode == 1
    one_sentence(done.stderr)


def test_unknown_group_offers_near_names(capsys: pytest.CaptureFixture[str]) -> None:
    """A name that is too far from any to be a slip is exit 1 and names what is near."""
    code, _, err = run(capsys, "check", "--demo", "--group", "Den. moniliferum")
    assert code == 1
    assert "Near: moniliforme" in one_sentence(err)


def test_a_slip_and_an_alias_are_understood_and_said(capsys: pytest.CaptureFixture[str]) -> None:
    """Table and document say what was taken for what; a key alone needs no word."""
    words = ["--group", "phalenanthe", "--group", "D. superbum", "--group", "nobile"]
    code, out, err = run(capsys, "check", "--demo", *words)
    assert (code, err) == (0, "")
    assert '"phalenanthe" is no name here: taken for phalaenanthe.' in " ".join(out.split())
    assert '"D. superbum" belongs to the group anosmum' in " ".join(out.split())
    _, out, _ = run(capsys, "check", "--demo", *words, "--json")
    document = json.loads(out)
    assert len(document["settings"]["understood"]) == 2
    assert [one["group"] for one in document["profiles"]] == ["phalaenanthe", "anosmum", "nobile"]


def test_a_group_asked_for_by_name_is_shown_in_full(capsys: pytest.CaptureFixture[str]) -> None:
    """Survives, grows, rests, flowers; what fails first; the label; what would have to change."""
    asked = ["check", *LOS_ANGELES, "--group", "hard-cane", "--label", "10-30", "--first-winter"]
    code, out, err = run(capsys, *asked, "--details")
    assert (code, err) == (0, "")
    text = " ".join(out.split())
    for label in ("In short", "Survives", "Grows", "Rests", "Flowers", "Fails first", "Heating"):
        assert f"{label} " in text
    assert "Its chill base 14.0 °C instead of 12.0 °C, for its first winter" in text
    assert "h a year are fine by the label and below the 15.0 °C" in text
    assert "licensed electrician" in text
    assert "carbon-monoxide alarm" in text
    _, out, _ = run(capsys, *asked, "--json")
    document = json.loads(out)
    (profile,), (result,) = document["profiles"], document["results"]
    assert result["thresholds"]["chill_base_c"] == 14.0
    assert profile["by_caution"][1]["season"] == result["season"]
    assert profile["remedies"]["shelter_c"] == result["margin_c"]
    assert profile["flowers"] == result["flowers"]
    assert profile["line"] == result["line"]
    label = profile["ranges"][0]
    assert (label["kind"], label["low_c"], label["high_c"]) == ("label", 10.0, 30.0)


def test_label_and_shift_are_in_the_unit_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    """50 to 86 °F is 10 to 30 °C, and a shift of 1.8 °F is one of 1 °C."""
    asked = ["check", "--demo", "--group", "nobile", "--units", "f", "--json"]
    _, out, _ = run(capsys, *asked, "--label", "50-86", "--shift", "1.8")
    (profile,) = json.loads(out)["profiles"]
    assert (profile["ranges"][0]["low_c"], profile["ranges"][0]["high_c"]) == (10.0, 30.0)
    assert profile["state"]["shift_c"] == 1.0


def test_all_groups_have_no_profiles(capsys: pytest.CaptureFixture[str]) -> None:
    """The whole catalogue stays a table; that some will hardly flower is said below it."""
    _, out, _ = run(capsys, "check", "--demo", "--json")
    assert json.loads(out)["profiles"] == []


@pytest.fixture
def fahrenheit(tmp_path: Path) -> tuple[Path, Path]:
    """Half a year at Greenwich in °F: in our own form, and as a logger on a clock two hours on."""
    ours, logged = ["time,temp"], ["When;Degrees F"]
    for hour in range(183 * 24):
        moment = datetime(2015, 4, 1) + timedelta(hours=hour)  # noqa: DTZ001  (a clock knows no zone)
        value = f"{65 + 9 * (1 - abs(moment.hour - 14) / 7):.1f}"
        ours.append(f"{moment:%Y-%m-%d %H:%M},{value}")
        logged.append(f"{moment + timedelta(hours=2):%Y-%m-%d %H:%M};{value}")
    for name, lines in (("ours.csv", ours), ("log.csv", logged)):
        (tmp_path / name).write_text("\n".join([*lines, ""]), "utf-8")
    return tmp_path / "ours.csv", tmp_path / "log.csv"


def test_a_record_in_fahrenheit_is_read_where_that_is_declared(
    capsys: pytest.CaptureFixture[str], fahrenheit: tuple[Path, Path]
) -> None:
    """The refusal names the option; with it, and with columns and zone, both files say the same."""
    ours, logged = (["check", "--record", str(path), "--at", "51.5,0"] for path in fahrenheit)
    asked = ["--group", "nobile", "--json"]
    code, _, err = run(capsys, *ours, *asked)
    assert code == 1
    assert "--record-unit f" in one_sentence(err)
    code, _, err = run(capsys, *logged, *asked)
    assert code == 1
    assert "--record-columns" in one_sentence(err)
    declared = ["--record-columns", "time=When,temp=Degrees", "--record-unit", "f"]
    found = []
    for words in ([*ours, "--record-unit", "f"], [*logged, *declared, "--record-zone", "+02:00"]):
        code, out, err = run(capsys, *words, *asked)
        assert code == 0, err
        assert "Unit of temperature: °F, converted to °C." in err
        found.append(json.loads(out)["results"])
    assert found[0] == found[1]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--demo", "--record-unit", "f"], "tell how the file of --record is read"),
        (["--record", "FILE", "--record-unit", "k"], "--record-unit k: expected c or f"),
        (["--record", "FILE", "--record-zone", "UTC"], "declare its columns too"),
        (["--record", "FILE", "--record-columns", "time=When,temp=D"], "with --record-unit c or f"),
        (
            [
                *("--record", "FILE", "--record-columns", "when=When"),
                *("--record-unit", "f", "--record-zone", "UTC"),
            ],
            "--record-columns when=When: 'when=When' is none of",
        ),
    ],
)
def test_half_a_declaration_of_a_record_is_refused(
    capsys: pytest.CaptureFixture[str],
    fahrenheit: tuple[Path, Path],
    words: list[str],
    told: str,
) -> None:
    """Exit code 2, and the option as it was typed."""
    typed = [str(fahrenheit[1]) if word == "FILE" else word for word in words]
    where = [] if "--demo" in words else ["--at", "51.5,0"]
    refused(run(capsys, "check", *typed, *where), 2, told)


@pytest.mark.parametrize(
    ("option", "value", "wrong"),
    [
        ("--label", "30-10", "lower one first"),
        ("--label", "warm", "10-30"),
        ("--shift", "4", "-3 to 3"),
        ("--shift", "1e300", "--shift 1e+300: expected a number from -3 to 3"),
    ],
)
def test_a_wrong_label_or_shift_is_one_sentence(
    capsys: pytest.CaptureFixture[str], option: str, value: str, wrong: str
) -> None:
    code, _, err = run(capsys, "check", "--demo", "--group", "nobile", option, value)
    assert code == 2
    assert wrong in one_sentence(err)


@pytest.mark.parametrize("option", [("--first-winter",), ("--in-bud",), ("--label", "10-30")])
def test_the_state_of_a_plant_needs_its_group(
    capsys: pytest.CaptureFixture[str], option: tuple[str, ...]
) -> None:
    code, _, err = run(capsys, "check", "--demo", *option)
    assert code == 2
    assert "--group" in one_sentence(err)


FILE_MISTAKES = {
    "empty": (b"", "empty"),
    "header only": (b"time,temp\n", "no"),
    "not a table": (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", ""),
    "wrong columns": (b"when,degrees\n2015-01-01 00:00,5\n", "time"),
    "unparsable time": (b"time,temp\n2015-01-01 00:00,5.0\nyesterday,5.0\n", "line 3"),
    "word for a number": (b"time,temp\n2015-01-01 00:00,5.0\n2015-01-01 01:00,cold\n", "line 3"),
    "filler": (b"time,temp\n2015-01-01 00:00,5.0\n2015-01-01 01:00,9999\n", "line 3"),
    "too hot": (b"time,temp\n2015-01-01 00:00,5.0\n2015-01-01 01:00,61.2\n", "line 3"),
    "doubled": (b"time,temp\n2015-01-01 00:00,5.0\n2015-01-01 00:00,6.0\n", "line"),
}


@pytest.mark.parametrize("mistake", FILE_MISTAKES)
def test_a_bad_file_is_one_sentence_and_exit_1(
    mistake: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is found in a file leaves with 1, names the file and, where there is one, the line."""
    content, told = FILE_MISTAKES[mistake]
    path = tmp_path / "porch.csv"
    path.write_bytes(content)
    code, out, err = run(capsys, "check", "--record", str(path), "--at", "51.5,0")
    assert code == 1
    message = one_sentence(err)
    assert "porch.csv" in message
    assert told in message
    assert out == ""


def test_a_missing_file_and_a_folder_are_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Neither is a traceback."""
    for path in (tmp_path / "nowhere.csv", tmp_path):
        code, _, err = run(capsys, "check", "--record", str(path), "--at", "51.5,0")
        assert code == 1
        assert path.name in one_sentence(err)


@pytest.mark.parametrize(("value", "unit"), [("68.5", "ahrenheit"), ("291.5", "elvin")])
def test_other_units_are_recognised(
    value: str, unit: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A file in °F or kelvin is refused by name, not computed with."""
    path = tmp_path / "porch.csv"
    path.write_text("\n".join(hours_csv(60, value)) + "\n")
    code, _, err = run(capsys, "check", "--record", str(path), "--at", "51.5,0")
    assert code == 1
    assert unit in one_sentence(err)


def test_clock_time_passed_as_utc_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A file whose afternoons fall at night by the sun is refused with a hint at its zone."""
    path = tmp_path / "porch.csv"
    path.write_text("\n".join(hours_csv(90, "")) + "\n")
    code, _, err = run(capsys, "check", "--record", str(path), "--at", "35,139")
    assert code == 1
    assert "UTC" in one_sentence(err)


def test_a_truncated_gzip_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A download that broke off is not read as far as it goes."""
    path = tmp_path / "porch.csv.gz"
    path.write_bytes(gzip.compress("\n".join(hours_csv(90)).encode())[:-200])
    code, _, err = run(capsys, "check", "--record", str(path), "--at", "51.5,0")
    assert code == 1
    assert "porch.csv.gz" in one_sentence(err)


@pytest.mark.parametrize(
    ("days", "value"), [(180, ""), (1500, "21.5")], ids=["half a year", "one value for years"]
)
def test_too_little_is_no_verdict_with_numbers(
    days: int, value: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Half a year, or a stuck sensor, is not an error: no verdict, and why in numbers."""
    path = tmp_path / "porch.csv"
    path.write_text("\n".join(hours_csv(days, value)) + "\n")
    code, out, _ = run(capsys, "check", "--record", str(path), "--at", "51.5,0", "--json")
    assert code == 0
    results = json.loads(out)["results"]
    assert {result["verdict"] for result in results} == {"no-verdict"}
    for result in results:
        assert result["reason"]["code"] == "too-few-years"
        assert result["reason"]["numbers"]["years_usable"] == 0
        assert result["season"] is None


def test_all_hours_missing_is_no_verdict(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A file of empty cells is answered, not refused."""
    path = tmp_path / "porch.csv"
    lines = [line.split(",")[0] + "," for line in hours_csv(400)[1:]]
    path.write_text("time,temp\n" + "\n".join(lines) + "\n")
    code, out, _ = run(capsys, "check", "--record", str(path), "--at", "51.5,0", "--json")
    assert code == 0
    document = json.loads(out)
    assert document["record"]["hours_valid"] == 0
    assert {result["verdict"] for result in document["results"]} == {"no-verdict"}


@pytest.mark.parametrize("option", ["--chart", "--csv"])
def test_a_folder_that_does_not_exist_is_told_before_the_work(
    option: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing is computed for a result that cannot be written, and nothing is left behind."""
    target = tmp_path / "nowhere" / "result.html"
    refused(run(capsys, "check", "--demo", option, str(target)), 1, "nowhere")
    assert list(tmp_path.iterdir()) == []


def test_the_installed_program_runs_and_its_help_is_quick() -> None:
    """The console script answers, and help loads none of the heavy libraries."""
    code = (
        "import sys, suitability.cli.main\n"
        "heavy = {'numpy', 'pandas', 'xarray', 'plotly', 'meteostat', 'rich', 'scipy', 'dask'}\n"
        "sys.exit(' '.join(sorted(heavy & set(sys.modules))) or 0)"
    )
    found = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False
    )
    assert found.returncode == 0, found.stderr
    program = Path(sys.executable).with_name("suitability")
    shown = subprocess.run([program, "--help"], capture_output=True, text=True, check=True)
    assert "check" in shown.stdout


def test_a_closed_pipe_is_no_traceback() -> None:
    """`suitability check | head -1` ends quietly."""
    command = f"{sys.executable} -m suitability check --demo --json | head -c 10"
    found = subprocess.run(
        ["/bin/sh", "-c", command], capture_output=True, text=True, check=False, env=os.environ
    )
    assert "Traceback" not in found.stderr


@pytest.mark.slow
def test_the_rest_of_a_hybrid_is_not_told_by_any_command(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """What it is judged as needs none: that would be a flat answer to what no name tells."""
    told = "not known from its name: read its label, or ask its seller, for its parents"
    asked = ("--demo", "--group", "phalaenanthe x nobile")
    for command in ("check", "cards", "year"):
        code, out, _ = run(capsys, command, *asked, "--details")
        assert code == 0
        assert told in " ".join(out.split())
        assert not [words for words in ("needs no rest", "need no rest") if words in out]
        document = json.loads(run(capsys, command, *asked, "--json")[1])
        keeps_schema(document, command)
        (note,) = document["settings"]["understood"]
        assert "Its rest is not known: read its label" in note
        if command == "year":
            assert "rest-not-told" in document["results"][0]["notes"]
        else:
            (one,) = document["profiles" if command == "check" else "cards"]
            assert (one["rests"], one["flowers"], one["rest"]) == ("not-told", "unknown", None)
        if command == "check":
            assert document["results"][0]["rest"]["needed"] is None
        if command == "cards":
            assert "resting:" not in out
            assert "in its rest" not in out
    _, out, _ = run(capsys, "check", "--demo", "--group", "phalaenanthe")
    assert "Flowers need no rest; a cool one helps" in " ".join(out.split())


def test_a_group_named_beside_its_hybrid_stands_once_with_its_own_rest(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The answer is the group's; the note alone speaks of the hybrid."""
    asked = ("--demo", "--group", "phalaenanthe x nobile", "--group", "phalaenanthe", "--json")
    document = json.loads(run(capsys, "check", *asked)[1])
    (profile,) = document["profiles"]
    assert profile["rests"] == "not-needed"
    assert "Its rest is not known" in document["settings"]["understood"][0]


def test_hours_of_heat_are_told_apart_from_those_of_a_mean_year(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """They stand beside the hours outside its range, which are of other days and years."""
    out = " ".join(
        run(capsys, "check", "--demo", "--group", "phalaenanthe", "--details")[1].split()
    )
    assert "hours on days spent out of the " in out
    assert "those of the ranges are of a whole mean year" in out
    indoors = " ".join(
        run(capsys, "check", "--demo", "--group", "victoriae-reginae", "--details")[1].split()
    )
    assert "hours on all days of the " in indoors


def test_a_group_that_stays_in_is_told_of_no_season(capsys: pytest.CaptureFixture[str]) -> None:
    """Its longest stretch is in the reason; what it does in between, nobody can say of it."""
    out = " ".join(
        run(capsys, "check", "--demo", "--group", "victoriae-reginae", "--details")[1].split()
    )
    assert "Season none that is long enough to use" in out
    assert "In between" not in out


@pytest.mark.parametrize(
    ("place", "day"), [("los_angeles", "1 October"), ("porto_alegre", "1 April")]
)
@pytest.mark.parametrize("command", ["cards", "year"])
def test_days_of_the_catalogue_are_those_of_the_place_s_half(
    capsys: pytest.CaptureFixture[str], command: str, place: str, day: str
) -> None:
    """The last feed of a nobile type: the other half's day would be half a year off."""
    record = str(DATA / f"{place}.hourly")
    position = "33.938,-118.389" if place == "los_angeles" else "-29.99,-51.17"
    asked = ("--record", record, "--at", position, "--group", "nobile")
    code, out, err = run(capsys, command, *asked, "--details")
    assert code == 0, err
    assert f"the last about {day}" in " ".join(out.split())
    assert "in the south" not in out
