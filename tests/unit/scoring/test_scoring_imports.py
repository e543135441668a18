"""The plain arithmetic imports quickly; the engine works where no cache can be written."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import paryield

HEAVY = ("pandas", "numba", "scipy", "pymc", "matplotlib")


def run(code: str, **environment: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, **environment},
    )
    return done.stdout.strip()


def test_importing_scoring_loads_nothing_heavy():
    code = f"import sys, paryield.scoring; print([name for name in {HEAVY} if name in sys.modules])"
    assert run(code) == "[]"


def test_engine_works_from_a_folder_that_cannot_be_written(tmp_path: Path):
    """A copy of the package whose cache folders are plain files, and no home to fall back on."""
    copy = tmp_path / "paryield"
    source = Path(paryield.__file__).parent
    copy.mkdir()
    for name in ("__init__.py", "errors.py", "units.py"):
        shutil.copy(source / name, copy)
    shutil.copytree(source / "scoring", copy / "scoring", ignore=shutil.ignore_patterns("__pycache__"))
    for folder in (copy, copy / "scoring"):
        (folder / "__pycache__").write_text("no folder")
    blocked = tmp_path / "blocked"
    blocked.write_text("no folder")
    code = (
        "import paryield.scoring as s; from paryield.scoring import kernel; print(kernel.__file__); "
        "print(s.index_paths(s.IndexState(), [1, 2, 3], [[15.3, 15.2, 16.6]])[0, 2])"
    )
    places = {"HOME": str(blocked), "XDG_CACHE_HOME": str(blocked), "PYTHONPATH": str(tmp_path)}
    where, index = run(code, **places).splitlines()
    assert Path(where) == copy / "scoring" / "kernel.py"
    assert index == "13.2"
