"""The tables of the documents, read as rows."""

from __future__ import annotations

from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def rows(document: str, first: str) -> list[list[str]]:
    """Return the rows of the table whose first column is headed ``first``; backticks of the key are off."""
    lines = (ROOT / document).read_text(encoding="utf-8").splitlines()
    found: list[list[str]] = []
    for start, line in enumerate(lines):
        if not line.startswith(f"| {first} |"):
            continue
        for row in lines[start + 2 :]:
            if not row.startswith("|"):
                break
            cells = [cell.strip() for cell in row.strip("|").split("|")]
            found.append([cells[0].strip("`"), *cells[1:]])
        return found
    raise AssertionError(f"{document} has no table whose first column is {first!r}")
