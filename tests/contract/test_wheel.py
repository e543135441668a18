"""What is installed: the wheel holds the package whole, and says that it has types."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest
from docs import ROOT
from hatchling.builders.wheel import WheelBuilder
from test_layout import SOURCE, tracked


@pytest.fixture(scope="module")
def shipped(tmp_path_factory: pytest.TempPathFactory) -> set[str]:
    """Return the names in a wheel that is built from this folder."""
    folder = tmp_path_factory.mktemp("wheel")
    (wheel,) = WheelBuilder(str(ROOT)).build(directory=str(folder), versions=["standard"])
    return set(zipfile.ZipFile(Path(wheel)).namelist())


def test_the_wheel_says_that_the_package_has_types(shipped: set[str]) -> None:
    assert "paryield/py.typed" in shipped


def test_the_wheel_holds_every_file_of_the_package(shipped: set[str]) -> None:
    files = {path.relative_to(SOURCE.parent).as_posix() for path in tracked() if SOURCE in path.parents}
    assert files - shipped == set()
    assert len(files) > 300
