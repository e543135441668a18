"""Runs notebooks from top to bottom; as a script, stores the outputs of those that are kept with them."""

from __future__ import annotations

import warnings
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).resolve().parents[1] / "notebooks"
STORED = ("02_fit_and_forecast.ipynb", "04_evidence.ipynb")
"""Notebooks that are kept with their outputs."""


SHARING = """import sys
from pathlib import Path
sys.path.append({tests!r})
import kept_fits
kept_fits.share(Path({folder!r}))"""
"""Cell before the first: fits are taken from a folder, and left there."""


def executed(name: str, fits: Path | None = None) -> Any:
    """Run a notebook in its folder and return it with the outputs of its cells.

    Notebooks that are given the same folder of fits share those that they make of the same tables.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # those of the kernel's own packages
        import nbformat
        from nbclient import NotebookClient

        book = nbformat.read(FOLDER / name, as_version=4)
        where = {"metadata": {"path": str(FOLDER)}}
        if fits is not None:
            words = SHARING.format(tests=str(Path(__file__).parent), folder=str(fits))
            book.cells.insert(0, nbformat.v4.new_code_cell(words))
        NotebookClient(book, timeout=300, resources=where, record_timing=False).execute()
        if fits is not None:
            del book.cells[0]
    return book


def outputs_of(book: Any) -> list[Any]:
    """Outputs of all cells, in order."""
    return [output for cell in book["cells"] for output in cell.get("outputs", [])]


if __name__ == "__main__":
    import nbformat

    for name in STORED:
        book = executed(name)
        book.metadata = {"kernelspec": book.metadata["kernelspec"], "language_info": {"name": "python"}}
        nbformat.write(book, FOLDER / name)
