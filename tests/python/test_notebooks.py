"""The notebooks of the documentation run to their end."""

from pathlib import Path

import nbformat
import pytest
from nbclient import NotebookClient

FOLDER = Path(__file__).resolve().parents[2] / "docs" / "notebooks"


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.ipynb")), ids=lambda p: p.stem)
def test_a_notebook_runs(path):
    notebook = nbformat.read(path, as_version=4)
    nbformat.validate(notebook)
    assert not any(cell.get("outputs") for cell in notebook.cells), "kept without outputs"
    NotebookClient(notebook, timeout=120, resources={"metadata": {"path": FOLDER}}).execute()
    html = [o for cell in notebook.cells for o in cell.get("outputs", []) if "text/html" in o.get("data", {})]
    assert html
