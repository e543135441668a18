"""A folder written from a dict and read back."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from malformed import GOLFERS, ROUNDS, TODAY
from paryield.tables import Reading, read_folder

Read = Callable[..., Reading]


@pytest.fixture
def read(tmp_path: Path) -> Read:
    """Return a function that writes files (golfers and rounds sound unless given) and reads them."""

    def write_and_read(files: dict[str, str | bytes], *, bare: bool = False, **options: Any) -> Reading:
        sound: dict[str, str | bytes] = {} if bare else {"golfers.csv": GOLFERS, "rounds.csv": ROUNDS}
        for name, content in (sound | files).items():
            path = tmp_path / name
            path.write_bytes(content.encode() if isinstance(content, str) else content)
        return read_folder(tmp_path, **{"today": TODAY} | options)

    return write_and_read
