"""The notebooks run from first cell to last, offline, by the public face, kept without outputs."""

from __future__ import annotations

import re
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


SHOWN = {  # name of a notebook: number of its figures, and what its cells print
    "promises_kept": (1, ("the same in 21 years", "promised 80 %, kept by 18 of 21 years: 86%")),
    "record_to_verdict": (2, ("outdoor-all-year", "outdoor-seasonal", "414 of 744 in a mean one")),
    "region_mapped": (2, ("no-verdict: 117 cells", "17 17.0", "kept by 20 of 21 years")),
    "spot_from_log": (
        2,
        ("at 2:00 1.5 °C; at 14:00 -1.0 °C", "other_night  +1.5 °C (+0.8 to +2.1)"),
    ),
}


def test_there_are_the_notebooks() -> None:
    """Otherwise the next tests would hold of nothing."""
    assert [path.stem for path in NOTEBOOKS] == sorted(SHOWN)


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: str(path.stem))
def test_it_uses_the_public_face_alone(path: Path) -> None:
    """`import suitability`, and nothing from a room behind it."""
    code = "\n".join(cell.source for cell in read(path).cells if cell.cell_type == "code")
    assert "import suitability\n" in code
    assert (
        re.findall(r"(?:from|import) suitability\.\S+|suitability\.(?:_|[a-z]+\.)\S*", code) == []
    )


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
    """In its own folder; every cell ends without an error or warning; text and figures come out."""
    notebook = read(path)
    first = nbformat.v4.new_code_cell(WARNINGS)  # type: ignore[no-untyped-call]  # has no types
    notebook.cells.insert(0, first)
    before = sorted(FOLDER.iterdir())
    NotebookClient(
        notebook,
        timeout=60,
        startup_timeout=60,
        kernel_name="python3",
        resources={"metadata": {"path": str(FOLDER)}},
    ).execute()
    outputs = [output for cell in notebook.cells for output in cell.get("outputs", [])]
    assert not [output for output in outputs if output.get("name") == "stderr"]
    printed = "".join(output.text for output in outputs if output.output_type == "stream")
    figures, texts = SHOWN[path.stem]
    assert [text for text in texts if text not in printed] == []
    drawn = [
        output for output in outputs if "application/vnd.plotly.v1+json" in output.get("data", {})
    ]
    assert len(drawn) == figures
    assert sorted(FOLDER.iterdir()) == before, "nothing was written beside it"
    assert not list(tmp_path.glob("store/*")), "nothing was fetched or kept"
