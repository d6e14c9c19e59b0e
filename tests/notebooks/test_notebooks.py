"""The notebook runs from its first cell to its last, offline, and is kept without outputs."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import nbformat
import pytest
from nbclient import NotebookClient

pytestmark = pytest.mark.slow

FOLDER = Path(__file__).parents[2] / "notebooks"
NOTEBOOKS = sorted(FOLDER.glob("*.ipynb"))
WARNINGS = "import warnings\nwarnings.simplefilter('error')\n"  # in the kernel, as in the tests


def read(path: Path) -> Any:
    """A notebook, valid after its own format."""
    notebook = nbformat.read(path, as_version=4)  # type: ignore[no-untyped-call]  # has no types
    nbformat.validate(notebook)
    return notebook


def test_there_is_a_notebook() -> None:
    """Otherwise the next tests would hold of nothing."""
    assert [path.name for path in NOTEBOOKS] == ["record_to_verdict.ipynb"]


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: str(path.stem))
def test_it_is_kept_without_outputs(path: Path) -> None:
    """Stored outputs grow stale and hide what changed."""
    for cell in read(path).cells:
        assert cell.get("outputs", []) == []
        assert cell.get("execution_count") is None
        assert len(cell.source.splitlines()) <= 12


@pytest.fixture
def offline(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Surroundings without a network, a store or settings of this computer."""
    for name in ("http_proxy", "https_proxy", "HTTP_PROXY", "HTTPS_PROXY"):
        monkeypatch.setenv(name, "http://127.0.0.1:9")
    monkeypatch.setenv("SUITABILITY_HOME", str(tmp_path / "store"))
    monkeypatch.setenv("IPYTHONDIR", str(tmp_path / "ipython"))
    monkeypatch.setenv("JUPYTER_CONFIG_DIR", str(tmp_path / "jupyter"))


@pytest.mark.usefixtures("offline")
@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: str(path.stem))
def test_it_runs_and_shows_what_it_promises(path: Path, tmp_path: Path) -> None:
    """Every cell ends without an error or warning; verdicts and both figures come out."""
    notebook = read(path)
    first = nbformat.v4.new_code_cell(WARNINGS)  # type: ignore[no-untyped-call]  # has no types
    notebook.cells.insert(0, first)
    NotebookClient(
        notebook,
        timeout=60,
        startup_timeout=60,
        kernel_name="python3",
        resources={"metadata": {"path": str(tmp_path)}},
    ).execute()
    outputs = [output for cell in notebook.cells for output in cell.get("outputs", [])]
    assert not [output for output in outputs if output.get("name") == "stderr"]
    printed = "".join(output.text for output in outputs if output.output_type == "stream")
    for verdict in ("outdoor-all-year", "outdoor-seasonal"):
        assert verdict in printed
    figures = [
        output for output in outputs if "application/vnd.plotly.v1+json" in output.get("data", {})
    ]
    assert len(figures) == 2
    assert not list(tmp_path.glob("store/*")), "nothing was fetched or kept"
