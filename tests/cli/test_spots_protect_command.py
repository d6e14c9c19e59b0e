"""`suitability spots protect` as a user types it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.cli.main import main
from suitability.weather.stored import encode_record

from .running import LOS_ANGELES, keeps_schema, refused, running

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.places import Place
    from suitability.weather.record import Record

    OpenExtract = Callable[[str], tuple[Record, Place]]

pytestmark = pytest.mark.slow

DATA = Path(__file__).parents[1] / "data"
HOUSE = ("--area", "20", "--u", "6", "--volume", "10", "--air-changes", "1.5", "--price", "0.25")


run = running("spots", "protect")


def test_the_document_keeps_its_schema_and_the_loss_that_was_said(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """20 m² of U 6 and 10 m³ changed 1.5 times an hour: 125.0 W/K."""
    asked = ("--demo", "--group", "den-phal", "--spot", "open-porch", *HOUSE, "--json")
    code, out, err = run(capsys, *asked)
    assert code == 0, err
    document = json.loads(out)
    keeps_schema(document, "protect")
    assert document["loss"]["w_per_k"] == pytest.approx(125.0, abs=0.05)
    assert document["heating"]["watts_high"] >= document["heating"]["watts"] > 0
    assert document["heating"]["kwh_bad_year"] >= document["heating"]["kwh_typical"] > 0


@pytest.mark.parametrize("option", ["--group", "--spot"])
def test_one_group_at_one_spot_is_protected(
    capsys: pytest.CaptureFixture[str], option: str
) -> None:
    """A second one would be left out without a word."""
    asked = {"--group": ("nobile", "phalaenanthe"), "--spot": ("open-porch", "frost-hollow")}
    twice = [word for name in asked[option] for word in (option, name)]
    once = ("--group", "nobile") if option == "--spot" else ()
    code, _, err = run(capsys, "--demo", *twice, *once)
    assert code == 2
    assert f"{option}: one at a time is protected" in err


def test_all_year_that_rests_on_unseen_nights_is_told(
    capsys: pytest.CaptureFixture[str], extract: OpenExtract, tmp_path: Path
) -> None:
    """
    Los Angeles without its six coldest nights; the same in check, protect and compare.

    The short answers say it in one sentence, the details of a check say what hangs on it.
    """
    record, _ = extract("los_angeles")
    by_night = record.temp_c[12:][: (record.temp_c.size - 12) // 24 * 24].reshape(-1, 24)
    temp_c, origin = record.temp_c.copy(), record.origin.copy()
    for day in np.argsort(np.nan_to_num(by_night.min(axis=1), nan=99.0))[:6]:
        hours = slice(12 + 24 * day, 36 + 24 * day)
        temp_c[hours], origin[hours] = np.nan, 0
    file = tmp_path / "lost.hourly"
    file.write_bytes(encode_record(replace(record, temp_c=temp_c, origin=origin)))
    asked = ("--record", str(file), "--at", "33.938,-118.389,30")
    found = {}
    for command in (("check",), ("spots", "protect")):
        with pytest.raises(SystemExit):
            main([*command, *asked, "--group", "nobile", "--json"])
        document = json.loads(capsys.readouterr().out)
        found[command[0]] = document["results"][0] if command == ("check",) else document
    assert found["spots"]["reason"] == found["check"]["reason"]
    assert found["spots"]["reason"]["code"] == "rests-on-unseen-nights"
    text = " ".join(run(capsys, *asked, "--group", "nobile")[1].split())
    assert found["check"]["reason"]["text"] in text
    nights = found["check"]["unseen_nights"]
    assert nights == found["spots"]["unseen_nights"] > 0
    for words in ("check --details", "check", "moves", "compare", "year"):
        with pytest.raises(SystemExit):
            main([*words.split(), *asked, "--group", "nobile"])
        shown = " ".join(capsys.readouterr().out.split())
        said = f"{nights} nights nobody saw may have been worse: this may look better than it is."
        assert shown.count(said) == 1, words
        assert (found["check"]["reason"]["text"] in shown) == ("--details" in words)


def test_a_group_that_heat_excludes_is_not_told_to_be_heated(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Warmth cannot help it, and the answer says why that may be."""
    _, out, _ = run(capsys, "--demo", "--group", "masdevallia")
    assert " ".join(out.split()).count("heat may be what harms it") == 1
    assert "held minimum" not in out


def test_too_few_years_are_not_taken_for_heat(capsys: pytest.CaptureFixture[str]) -> None:
    """Three calendar years hold two plant years: nothing is said of a whole year."""
    asked = ("--demo", "--group", "nobile", "--years", "2019-2021")
    _, out, _ = run(capsys, *asked)
    flat = " ".join(out.split())
    assert flat.count("cannot be said. The record holds 2 usable plant years, 8 are needed") == 1
    assert "heat may be" not in flat


def test_whose_weather_it_is_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    """Source, attribution and licence, in text and document."""
    asked = LOS_ANGELES
    _, out, _ = run(capsys, *asked, "--group", "nobile")
    _, document, _ = run(capsys, *asked, "--group", "nobile", "--json")
    credit = json.loads(document)["credit"]
    assert all(credit.values())
    flat = " ".join(out.split())
    assert f"Weather: {credit['source']}; {credit['attribution']}; {credit['licence']}" in flat


DALLAS = ("--record", str(DATA / "dallas.hourly"), "--at", "32.9,-97.02,171")


def test_where_nothing_is_needed_the_answer_ends_there(capsys: pytest.CaptureFixture[str]) -> None:
    """Neither measures nor cautions about a heater that nobody spoke of; the document agrees."""
    _, out, _ = run(capsys, *LOS_ANGELES, "--group", "nobile")
    assert out.count("nothing is needed") == 1
    for word in ("fleece", "roof", "Cautions", "heater"):
        assert word not in out
    assert "Nothing here is a promise" in out
    _, document, _ = run(capsys, *LOS_ANGELES, "--group", "nobile", "--json")
    assert json.loads(document)["cautions"] == []


def test_a_heater_that_stands_already_keeps_its_cautions(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Nothing has to be held, but something is."""
    collection = tmp_path / "mine.toml"
    collection.write_text(
        '[[spot]]\nname = "porch"\nkind = "open-porch"\nheld_minimum_c = 6.0\n', encoding="utf-8"
    )
    asked = ("--collection", str(collection), "--spot", "porch", "--group", "nobile")
    code, out, err = run(capsys, *LOS_ANGELES, *asked)
    assert code == 0, err
    assert out.count("nothing is needed") == 1
    assert "carbon monoxide" in out


@pytest.mark.parametrize(
    ("source", "verdict", "years", "provisional"),
    [
        (LOS_ANGELES, "outdoor-all-year", 9, True),
        ((*DALLAS, "--years", "2012-2021"), "outdoor-seasonal", 9, True),
        (("--demo",), "outdoor-all-year", 10, False),
        (("--demo", "--years", "2019-2021"), "no-verdict", 2, False),
    ],
)
def test_few_years_make_the_answer_provisional(
    capsys: pytest.CaptureFixture[str],
    *,
    source: tuple[str, ...],
    verdict: str,
    years: int,
    provisional: bool,
) -> None:
    """Fewer than ten usable plant years, in text and document; there is nothing to no verdict."""
    _, out, _ = run(capsys, *source, "--group", "kingianum")
    said = " (provisional)" if provisional else ""
    told = f"unheated {verdict}{said}, from {years} usable plant years."
    assert told in " ".join(out.split())
    _, text, _ = run(capsys, *source, "--group", "kingianum", "--json")
    document = json.loads(text)
    assert (document["provisional"], document["years_usable"]) == (provisional, years)


def test_the_cautions_are_printed_where_a_heater_is_spoken_of(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Residual-current device, flue and alarm, local codes; 80 columns."""
    _, out, _ = run(capsys, "--demo", "--group", "nobile", "--spot", "frost-hollow")
    flat = " ".join(out.split())
    for words in ("residual-current device", "carbon monoxide alarm", "licensed electrician"):
        assert words in flat
    assert "Say what the enclosure loses" in flat
    assert "INVENTED" in flat
    assert max(map(len, out.splitlines())) <= 80


@pytest.mark.parametrize(
    ("more", "code", "words"),
    [
        (("--u", "-2", "--area", "20"), 2, "--u -2: expected a number from 0.1 to 20"),
        (("--area", "20"), 2, "--area: say what covers"),
        (("--covering", "double"), 2, "--area: say how many square metres"),
        (("--covering", "double", "--u", "3", "--area", "9"), 2, "give one of them"),
        (("--covering", "paper", "--area", "9"), 2, "expected single or double or twin-wall"),
        (("--outage", "0"), 2, "--outage 0: expected a number from 1 to 72"),
        (("--price", "-1"), 2, "--price -1"),
        (("--spot", "room"), 2, "a room needs no protection"),
    ],
)
def test_mistakes_are_told_in_one_sentence(
    capsys: pytest.CaptureFixture[str], more: tuple[str, ...], code: int, words: str
) -> None:
    """Negative U, missing parts, ranges."""
    refused(run(capsys, "--demo", "--group", "nobile", *more), code, words)
