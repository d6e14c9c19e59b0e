"""Imports run one way, from room to room and without circles, and start-up stays light."""

from __future__ import annotations

import ast
import inspect
import json
import pydoc
import re
import subprocess
import sys
from graphlib import CycleError, TopologicalSorter
from typing import TYPE_CHECKING, get_type_hints

import pandas as pd
import pytest
import xarray as xr
from plotly.graph_objects import Figure

import suitability

from .sources import ROOT, imported_at_once, imported_by, module_files, ours, parsed

if TYPE_CHECKING:
    from pathlib import Path

HEAVY = {
    "choreographer",
    "dask",
    "distributed",
    "icalendar",
    "ipykernel",
    "jinja2",
    "kaleido",
    "logging",  # loads slowly; steps are told only where somebody listens
    "markupsafe",
    "meteostat",
    "netCDF4",
    "numpy",
    "pandas",
    "plotly",
    "pyarrow",
    "pydantic",  # typer's, for options that need conversion
    "rich",
    "scipy",
    "xarray",
    "xlsxwriter",
    "zarr",
}
LIGHT = {"suitability.errors"}  # what commands import at once
LATE = HEAVY - {"numpy"}  # imported inside the functions that need them, everywhere


ROOMS = (  # a module imports from its own room and from those before it
    *("errors", "steps", "units", "brief", "quantities", "places", "towns", "parallel", "fields"),
    *("weather", "spots", "groups", "climate", "advice", "atlas", "answers", "output", "cli"),
    *("__init__", "__main__"),
)


def room_of(name: str) -> str:
    """The room, or single module, that a dotted name belongs to."""
    parts = name.split(".")
    return parts[1] if len(parts) > 1 else "__init__"


def test_imports_run_one_way_from_room_to_room() -> None:
    """Imports inside functions and for type checkers count as well."""
    rank = {room: number for number, room in enumerate(ROOMS)}
    assert {room_of(name) for name in module_files()} <= set(ROOMS)
    wrong = [
        f"{name} imports {other}"
        for name in module_files()
        for other in ours(imported_by(parsed(name)))
        if rank[room_of(other)] > rank[room_of(name)]
    ]
    assert wrong == []


def test_no_modules_import_each_other_in_a_circle() -> None:
    """Late imports do not hide one: each module can be understood after those that it names."""
    graph = {name: set(ours(imported_by(parsed(name)))) - {name} for name in module_files()}
    try:
        order = tuple(TopologicalSorter(graph).static_order())
    except CycleError as found:
        raise AssertionError(" -> ".join(found.args[1])) from found
    assert set(module_files()) <= set(order)


def test_the_core_knows_no_group_spot_record_or_file() -> None:
    """`climate/` takes arrays and numbers and does no input or output."""
    core = [name for name in module_files() if name.startswith("suitability.climate.")]
    assert core
    for name in core:
        imports = imported_by(parsed(name))
        assert {other.split(".")[1] for other in ours(imports)} <= {"climate", "quantities"}, name
        forbidden = {"os", "pathlib", "io", "time", "datetime", "random"}
        if name == "suitability.climate.chance":
            forbidden.remove("random")  # a generator of its own, which is given its seed
            assert "random" not in imported_at_once(name)
        assert imports.isdisjoint(forbidden), name


def test_surfaces_compute_nothing_and_choose_no_words() -> None:
    """`output/` shows results and sheets: it takes nothing from the core, catalogue or sources."""
    rooms = {"advice", "answers", "output", "places", "brief", "units", "quantities", "errors"}
    single = {"weather.record", "spots.spot"}
    for name in module_files():
        if name.startswith("suitability.output."):
            for other in ours(imported_by(parsed(name))):
                known = other.removeprefix("suitability.")
                assert known in single or known.split(".")[0] in rooms, f"{name} imports {other}"


def test_commands_import_only_the_standard_library_typer_msgspec_and_errors_at_the_top() -> None:
    """So that help is quick."""
    for name in module_files():
        if name.startswith("suitability.cli."):
            for other in imported_at_once(name):
                top = other.split(".")[0]
                light = top in sys.stdlib_module_names or top in {"typer", "msgspec"}
                own = other in LIGHT or other.startswith("suitability.cli")
                assert light or own, f"{name} imports {other}"


def test_heavy_libraries_are_imported_inside_the_functions_that_need_them() -> None:
    """Nothing that imports a module of ours pays for pandas, xarray, plotly, rich or scipy."""
    for name in module_files():
        found = {other.split(".")[0] for other in imported_at_once(name)} & LATE
        assert not found, f"{name} imports {found}"


def run_python(code: str, *arguments: str) -> list[str]:
    """What a fresh interpreter prints last, as JSON; warnings are errors."""
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", code, *arguments],
        capture_output=True,
        text=True,
        check=False,
        cwd=ROOT,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    found: list[str] = json.loads(done.stdout.splitlines()[-1])
    return found


LOADED = """
import json, sys
{code}
print()
print(json.dumps(sorted({{name.split(".")[0] for name in sys.modules}})))
"""
COMMAND = """
from suitability.cli.main import main
try:
    main({arguments})
except SystemExit as left:
    assert left.code == 0, left.code
"""


@pytest.mark.parametrize(
    ("code", "allowed"),
    [
        ("import suitability", set()),
        (COMMAND.format(arguments=["--help"]), set()),
        (COMMAND.format(arguments=["check", "--help"]), set()),
        (COMMAND.format(arguments=["groups"]), {"rich"}),
        (COMMAND.format(arguments=["check", "--demo", "--json"]), {"numpy"}),
        (COMMAND.format(arguments=["check", "--demo"]), {"numpy", "rich"}),
    ],
    ids=["import", "help", "help of check", "groups", "check as JSON", "check as tables"],
)
def test_start_up_loads_no_heavy_library(code: str, allowed: set[str]) -> None:
    """The everyday path needs numpy and, for tables, rich; never pandas or a plotting library."""
    assert set(run_python(LOADED.format(code=code))) & HEAVY == allowed


def test_public_names_are_listed_alike_for_programs_and_type_checkers() -> None:
    """`__all__`, the look-up table and the imports under TYPE_CHECKING say the same."""
    tree = parsed("suitability")
    guard = next(node for node in tree.body if isinstance(node, ast.If))
    checked = {
        alias.name: node.module.removeprefix("suitability.")
        for node in ast.walk(guard)
        if isinstance(node, ast.ImportFrom) and node.module
        for alias in node.names
    }
    assigned = {
        node.targets[0].id: ast.literal_eval(node.value)
        for node in tree.body
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name)
    }
    assert assigned["_MODULE"] == checked
    assert set(assigned["__all__"]) == {*checked, "__version__"}


def test_every_public_name_can_be_had() -> None:
    """Each is the very thing that its module holds, and the version is the installed one's."""
    import importlib
    from importlib.metadata import version

    for name in suitability.__all__:
        found = getattr(suitability, name)
        if name == "__version__":
            assert found == version("suitability")
        else:
            home = importlib.import_module(f"suitability.{suitability._MODULE[name]}")
            assert found is getattr(home, name)
        assert name in dir(suitability)


def test_a_name_that_is_not_public_is_refused_as_python_does() -> None:
    """So that a slip is not taken for a module that failed to load."""
    with pytest.raises(AttributeError, match="no attribute 'hours_bellow'"):
        _ = suitability.hours_bellow


def test_no_module_is_named_for_nothing() -> None:
    """A module has a name from the subject, not `utils`."""
    names = {file.stem for file in module_files().values()}
    assert names.isdisjoint({"utils", "helpers", "common", "manager", "base", "misc", "tools"})


def python_files() -> list[Path]:
    """All Python of the project."""
    return [file for room in ("suitability", "tests") for file in (ROOT / room).rglob("*.py")]


@pytest.mark.slow
def test_nothing_runs_code_that_it_reads() -> None:
    """
    No pickle, hook of it, eval, exec or shell anywhere, and no catching of everything.

    The names below are those that are refused. The linter refuses most of it, yet a comment in
    the line makes it look away, and it lets modules be imported that do the same.
    """
    wrong = []
    for file in python_files():
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            where = f"{file.relative_to(ROOT)}:{getattr(node, 'lineno', 0)}"
            if isinstance(node, ast.Call):
                called = node.func.id if isinstance(node.func, ast.Name) else ""
                shell = any(
                    keyword.arg == "shell" and getattr(keyword.value, "value", True)
                    for keyword in node.keywords
                )
                if called in {"eval", "exec"} or shell:
                    wrong.append(where)
            elif isinstance(node, (ast.Import, ast.ImportFrom)):
                names = {alias.name for alias in node.names} | {getattr(node, "module", None)}
                if names & {"pickle", "copyreg", "dill", "shelve", "marshal"}:
                    wrong.append(where)
            elif isinstance(node, ast.ExceptHandler):
                caught = node.type
                if caught is None or (isinstance(caught, ast.Name) and caught.id == "Exception"):
                    wrong.append(where)
    assert wrong == []


LATE_TYPES = {"pd": pd, "xr": xr, "Figure": Figure}  # of libraries that are loaded late


@pytest.mark.parametrize("name", [name for name in suitability.__all__ if name != "__version__"])
def test_every_public_name_can_be_asked_for_help(name: str) -> None:
    """`help` is written, and what is annotated can be resolved while the program runs."""
    found = getattr(suitability, name)
    assert pydoc.render_doc(found).strip()
    assert found.__doc__
    hints = get_type_hints(found, localns=LATE_TYPES)
    if not inspect.isclass(found):
        signature = inspect.signature(found)
        assert hints.keys() == {*signature.parameters, "return"}
        for parameter in signature.parameters:
            assert re.search(rf"^ *\w*.*\b{parameter}\b", found.__doc__, re.MULTILINE), parameter


def test_the_package_can_be_asked_for_help() -> None:
    assert "ask" in pydoc.render_doc(suitability)
