"""The package's own modules, read as text: none of them is imported here."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "suitability"


@cache
def module_files() -> dict[str, Path]:
    """File of every module, by its dotted name; a package stands for its `__init__`."""
    files = {}
    for file in sorted(PACKAGE.rglob("*.py")):
        name = ".".join(file.relative_to(ROOT).with_suffix("").parts)
        files[name.removesuffix(".__init__")] = file
    return files


@cache
def parsed(name: str) -> ast.Module:
    """Syntax tree of a module."""
    return ast.parse(module_files()[name].read_text(encoding="utf-8"))


def imported_by(tree: ast.AST) -> set[str]:
    """Dotted names of the modules that a piece of code imports, from ours as far as they go."""
    names: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "relative imports hide which room is meant"
            assert node.module is not None
            below = {f"{node.module}.{alias.name}" for alias in node.names}
            names |= {name for name in below if name in module_files()} or {node.module}
    return names


def imported_at_once(name: str) -> set[str]:
    """What a module imports whenever it is imported: not in functions, not for type checkers."""
    return imported_by(ast.Module(body=_run_at_once(parsed(name).body), type_ignores=[]))


def _run_at_once(body: list[ast.stmt]) -> list[ast.stmt]:
    """Statements that run on import, those of classes among them."""
    found: list[ast.stmt] = []
    for node in body:
        if isinstance(node, ast.ClassDef):
            found += _run_at_once(node.body)
        elif not isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef, ast.If)):
            found.append(node)
    return found


def ours(names: set[str]) -> set[str]:
    """Those of the names that belong to this package."""
    return {name for name in names if name.split(".")[0] == "suitability"}
