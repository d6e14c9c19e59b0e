"""The pages say what is there: links, commands, options, examples and shown output."""

from __future__ import annotations

import doctest
import gzip
import os
import re
import shlex
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from suitability.cli.command import HEADINGS
from tests.cli.running import running

from .pages import anchors_of, blocks_of, links_of, page_files, section_of, text_of
from .sources import ROOT

EVERYWHERE = {"--verbose"}  # written once, for all commands
COMMANDS_PAGE = ROOT / "docs" / "commands.md"
NAMES = [str(page.relative_to(ROOT)) for page in page_files()]


def environment(home: Path) -> dict[str, str]:
    """Surroundings in which no example reaches the network or this computer's store."""
    nowhere = "http://127.0.0.1:9"
    return {
        **os.environ,
        "SUITABILITY_HOME": str(home),
        "http_proxy": nowhere,
        "https_proxy": nowhere,
        "COLUMNS": "80",
        "PATH": os.pathsep.join([str(Path(sys.executable).parent), os.environ["PATH"]]),
    }


@pytest.mark.parametrize("name", NAMES)
def test_links_lead_somewhere(name: str) -> None:
    """Every link within the project names a file that exists, and a heading that it has."""
    page, dead = ROOT / name, []
    for link in links_of(page):
        target, _, anchor = link.partition("#")
        if re.match(r"[a-z]+:", target):
            assert target.startswith("https:"), f"{name}: {link}"
            continue
        file = (page.parent / target).resolve() if target else page
        if not file.exists() or (anchor and anchor not in anchors_of(file)):
            dead.append(link)
    assert dead == []


REFERENCE = {  # pages to look things up in, and logs: of any length
    "calibration-figures",
    "changes",
    "commands",
    "decisions",
    "fields",
    "groups",
    "performance",
}
MOST_WORDS = 2500  # of any other page: what one reads at a sitting


def test_pages_that_are_read_are_short() -> None:
    """No page over the limit that is not reference; and none called reference without need."""
    words = {page.stem: len(text_of(page).split()) for page in (ROOT / "docs").glob("*.md")}
    assert {name for name, number in words.items() if number > MOST_WORDS} == REFERENCE


def question_pages() -> list[Path]:
    """The pages that the site lists under Questions."""
    settings = (ROOT / ".mkdocs.yml").read_text(encoding="utf-8")
    found = re.search(r"^  - Questions:\n((?:      - .*\n)+)", settings, re.MULTILINE)
    assert found is not None
    return [ROOT / "docs" / name for name in re.findall(r": (\S+\.md)$", found[1], re.MULTILINE)]


def test_a_page_of_a_question_begins_with_the_command_that_answers_it() -> None:
    """Before its first section, in a block or in a sentence."""
    pages = question_pages()
    assert len(pages) > 8
    assert [
        page.name
        for page in pages
        if not re.search(
            r"^\$? ?suitability [a-z]|`suitability [a-z]",
            text_of(page).partition("\n## ")[0],
            re.MULTILINE,
        )
    ] == []


def test_a_page_of_a_question_leads_to_the_glossary_before_its_first_section() -> None:
    """Words of the trade are a click away where they are first met."""
    assert [
        page.name
        for page in question_pages()
        if "(glossary.md#words)" not in text_of(page).partition("\n## ")[0]
    ] == []


def test_every_page_is_reached_from_the_index() -> None:
    """A page that nothing leads to is not found."""
    folder = ROOT / "docs"
    linked = {(folder / link.partition("#")[0]).resolve() for link in links_of(folder / "index.md")}
    assert {page for page in folder.glob("*.md") if page.name != "index.md"} <= linked


# Commands and options --------------------------------------------------------------------------


def help_of(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    """What `--help` of a command prints."""
    from suitability.cli.main import main

    with pytest.raises(SystemExit) as left:
        main([*arguments, "--help"])
    assert left.value.code == 0
    return capsys.readouterr().out


def listed_in(text: str, heading: str) -> list[str]:
    """First words of the entries that help lists under a heading."""
    found = re.search(rf"^{heading}:\n((?:  .*\n?)+)", text, re.MULTILINE)
    return re.findall(r"^  (\S+)", found[1], re.MULTILINE) if found else []


def real_commands(capsys: pytest.CaptureFixture[str]) -> dict[str, set[str]]:
    """Every command with its options and arguments, from the help of the real program."""
    found: dict[str, set[str]] = {}
    waiting: list[list[str]] = [[]]
    while waiting:
        path = waiting.pop()
        text = help_of(path, capsys)
        options = {name for heading in HEADINGS for name in listed_in(text, heading)} - {"-h,"}
        options -= EVERYWHERE if path else set()
        found[" ".join(["suitability", *path])] = options | set(listed_in(text, "Arguments"))
        waiting += [[*path, command] for command in listed_in(text, "Commands")]
    return found


def written_commands() -> dict[str, set[str]]:
    """Every command with its options and arguments, from docs/commands.md."""
    text = text_of(COMMANDS_PAGE)
    found = {}
    for title in re.findall(r"^## `(suitability[^`]*)`$", text, re.MULTILINE):
        rows = re.findall(
            r"^\| `([^`]+)` \|", section_of(COMMANDS_PAGE, f"`{title}`"), re.MULTILINE
        )
        assert len(rows) == len(set(rows)), title
        found[title] = {row.split()[0] for row in rows}
    return found


def test_the_manual_has_every_command_and_option_and_no_other(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """docs/commands.md and the program's own help name the same things."""
    real, written = real_commands(capsys), written_commands()
    assert len(real) > 5
    assert written.keys() == real.keys()
    assert {name: written[name] ^ real[name] for name in real if written[name] != real[name]} == {}


def test_the_manual_gives_the_values_and_defaults_that_help_gives(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The form of each option's value is written as in the help, and so is its default."""
    for command in real_commands(capsys):
        flat = " ".join(help_of(command.split()[1:], capsys).split())
        section = section_of(COMMANDS_PAGE, f"`{command}`")
        for cell, rest in re.findall(r"^\| `(--[^`]+)` \| (.*) \|$", section, re.MULTILINE):
            entry = cell.replace("\\|", "|")
            found = re.search(rf"{re.escape(entry)} (.*?)(?= --[a-z]| [A-Z][a-z ]+: |$)", flat)
            assert found, f"{command}: help does not show {entry!r}"
            default = re.search(r"\[default: (\S+?)\]", found[1])
            if default:
                assert f"`{default[1]}`" in rest, f"{command} {entry}: default {default[1]}"


def test_the_manual_says_that_a_roof_is_not_for_spots() -> None:
    """Beside --spot it is refused: each command that has both says so, or sends to `check`."""
    of_roof = re.compile(r"^\| `--roof` \| (.*) \|$", re.MULTILINE)
    rows = of_roof.findall(text_of(COMMANDS_PAGE))
    assert len(rows) > 5
    assert all("eside" in row and "--spot" in row for row in rows if row != "As for `check`.")
    (told,) = of_roof.findall(section_of(COMMANDS_PAGE, "`suitability check`"))
    assert "refused" in told


def shown_commands() -> list[tuple[str, list[str]]]:
    """Command lines of the program that any page shows in a block, with the place of the block."""
    found = []
    for page in page_files():
        for block in blocks_of(page):
            if block.language in {"sh", "console"}:
                whole = block.text.replace("\\\n", " ")
                lines = whole.splitlines()
                for line in lines[:1] if block.language == "console" else lines:
                    for part in line.removeprefix("$ ").split("&&"):
                        words = shlex.split(part, comments=True)
                        if words and words[0].split("/")[-1] == "suitability":
                            found.append((block.where, words[1:]))
    return found


def test_command_lines_in_pages_use_commands_and_options_that_exist(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """A reader who pastes one is not told that there is no such option."""
    real = real_commands(capsys)
    shown = shown_commands()
    assert shown
    for where, words in shown:
        path = ["suitability"]
        for word in words:
            if " ".join([*path, word]) not in real:
                break
            path.append(word)
        options = {word.partition("=")[0] for word in words if word.startswith("--")}
        assert options - {"--help", *EVERYWHERE} <= real[" ".join(path)], (
            f"{where}: {' '.join(words)}"
        )


# Shown output and examples ---------------------------------------------------------------------


EXAMPLE = "docs/examples/los-angeles.csv.gz"  # ten years: a second and more a run


def shown_runs() -> dict[tuple[str, ...], list[tuple[str, str]]]:
    """Commands that pages show with output: by arguments, each place and its lines of output."""
    runs: dict[tuple[str, ...], list[tuple[str, str]]] = {}
    for page in page_files():
        for block in blocks_of(page):
            if block.language == "console":
                command, _, output = block.text.partition("\n")
                runs.setdefault(tuple(shlex.split(command)[2:]), []).append((block.where, output))
    return runs


def test_some_output_is_shown() -> None:
    """Otherwise the next test would hold of nothing."""
    assert shown_runs()


@pytest.mark.slow
@pytest.mark.parametrize(
    ("arguments", "shown"),
    [
        pytest.param(arguments, shown, id=f"{shown[0][0]} {' '.join(arguments[:2])}")
        for arguments, shown in shown_runs().items()
    ],
)
def test_shown_output_is_what_the_program_prints(
    arguments: tuple[str, ...],
    shown: list[tuple[str, str]],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Line by line and in order, wherever it is shown; a line of … stands for lines left out."""
    for room in ("docs", "tests"):
        (tmp_path / room).symlink_to(ROOT / room)
    for key, value in environment(tmp_path).items():
        monkeypatch.setenv(key, value)
    monkeypatch.chdir(tmp_path)
    _, said, told = running(*arguments)(capsys)
    for where, output in shown:
        printed = iter((said + told).splitlines())
        for line in output.splitlines():
            if line.strip() not in {"…", ""}:
                assert any(line == other.rstrip() for other in printed), f"{where}: {line}"


@pytest.mark.parametrize(
    "name",
    [
        pytest.param(name, marks=pytest.mark.slow if name == "docs/python.md" else ())
        for name in NAMES
    ],
)
def test_python_examples_run_and_give_what_they_show(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Prompts are doctests, in one namespace a page; other blocks run as one program a page."""
    for key, value in environment(tmp_path).items():
        monkeypatch.setenv(key, value)
    monkeypatch.chdir(tmp_path)
    texts = [block.text for block in blocks_of(ROOT / name) if block.language == "python"]
    prompts = "\n".join(text for text in texts if ">>> " in text)
    test = doctest.DocTestParser().get_doctest(prompts, {}, name, name, 0)
    report: list[str] = []
    doctest.DocTestRunner(optionflags=doctest.ELLIPSIS).run(test, out=report.append)
    assert report == []
    program = "\n".join(text for text in texts if ">>> " not in text)
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", program],
        capture_output=True,
        text=True,
        check=False,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        timeout=60,
    )
    assert done.returncode == 0, done.stderr


# Set-up ----------------------------------------------------------------------------------------


def set_up_lines() -> list[str]:
    """The lines of the README's section on setting up that are to be pasted."""
    section = section_of(ROOT / "README.md", "Set up")
    return [
        line
        for block in re.findall(r"^```sh\n(.*?)^```$", section, re.DOTALL | re.MULTILINE)
        for line in block.splitlines()
    ]


def test_two_lines_set_everything_up_and_the_checks_run_the_same_two() -> None:
    """Pasted as they are, each in one line; `.ci/run` holds both, each in a shell of its own."""
    lines = set_up_lines()
    assert len(lines) == 2
    checks = (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()
    assert [line for line in checks if line.startswith("bash -ec")] == [
        f"bash -ec '{line}'" for line in lines
    ]


def test_the_checks_build_the_site_so_that_each_warning_is_an_error() -> None:
    """Strictly, and never quietly: then the builder counts no warnings."""
    checks = (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()
    builds = [line.split() for line in checks if "mkdocs build" in line]
    assert len(builds) == 1
    assert "--strict" in builds[0]
    assert not {"-q", "--quiet"} & set(builds[0])


def test_the_site_asks_nothing_of_a_network_and_checks_links_and_anchors() -> None:
    """The settings that say so; the build itself is run by `.ci/run`."""
    settings = (ROOT / ".mkdocs.yml").read_text(encoding="utf-8")
    assert "\n  highlightjs: false\n" in settings
    assert "anchors: warn" in settings
    assert "omitted_files: warn" in settings


def test_the_citation_names_the_version_that_is_built() -> None:
    """One version in the project's own file, in the citation and in the program."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    cited = (ROOT / "docs" / "CITATION.cff").read_text(encoding="utf-8")
    assert f"\nversion: {project['version']}\n" in cited
    assert f"\nlicense: {project['license']}\n" in cited


def test_the_readme_is_short() -> None:
    """It is read in a minute; the rest stands in the pages."""
    assert len(text_of(ROOT / "README.md").splitlines()) < 150


def test_pictures_are_made_by_a_command_that_a_page_shows() -> None:
    """Every picture is shown by a page, and named as `--figure` of a shown command names it."""
    stems = {
        Path(words[words.index("--figure") + 1]).stem
        for _, words in shown_commands()
        if "--figure" in words and words[words.index("--figure") + 1].startswith("docs/pictures/")
    }
    pictures = set((ROOT / "docs" / "pictures").iterdir())
    shown = {
        (page.parent / link).resolve() for page in page_files() for link in links_of(page)
    } & pictures
    assert pictures
    assert shown == pictures
    assert all(picture.stem.startswith(tuple(f"{stem}-" for stem in stems)) for picture in pictures)


@pytest.mark.slow
def test_the_example_record_is_the_extract_of_a_real_one() -> None:
    """Hour for hour, as the CSV that a grower would make; the log of a spot is made from it."""
    from tests.data.make_example import LOG, make_example, make_log

    kept, made = (ROOT / EXAMPLE).read_bytes(), make_example()
    assert gzip.decompress(kept) == gzip.decompress(made)
    assert LOG.read_text(encoding="utf-8") == make_log()


def test_every_example_file_is_used_by_a_page() -> None:
    """A file that no page names teaches nobody."""
    pages = "".join(text_of(page) for page in page_files())
    files = [file.name for file in (ROOT / "docs" / "examples").iterdir()]
    assert files
    assert [name for name in files if f"docs/examples/{name}" not in pages] == []


def test_the_first_paragraph_of_the_readme_states_the_job() -> None:
    """Who it is for and what it answers stand before anything else."""
    first = text_of(ROOT / "README.md").split("\n\n")[1]
    assert not first.startswith(("#", "[", "!", "```"))
    for word in ("orchid", "temperature", "outdoors", "verdict", "move"):
        assert word in first
