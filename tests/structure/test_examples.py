"""The examples in docstrings of the package run and give what they show."""

from __future__ import annotations

import doctest
from importlib import import_module

import pytest

from .sources import module_files

SHOWING = [name for name, file in module_files().items() if ">>> " in file.read_text("utf-8")]


@pytest.mark.parametrize("name", SHOWING)
def test_examples_give_what_they_show(name: str) -> None:
    """All of one module; what differs is printed."""
    found = doctest.testmod(import_module(name))
    assert found.attempted > 0
    assert found.failed == 0
