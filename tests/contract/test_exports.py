"""What a folder exports exists, is documented, and is cheap to reach."""

from __future__ import annotations

import importlib
import inspect
import subprocess
import sys

import pytest
from docs import rows

FOLDERS = [row[0] for row in rows("DEVELOPERS.md", "folder")]


@pytest.mark.parametrize("folder", FOLDERS)
def test_exports_exist_and_are_documented(folder):
    module = importlib.import_module(f"paryield.{folder}")
    assert module.__doc__
    for name in getattr(module, "__all__", []):
        thing = getattr(module, name)
        if inspect.isclass(thing) or inspect.isfunction(thing):
            assert inspect.getdoc(thing), f"paryield.{folder}.{name} has no docstring"


def test_the_arithmetic_of_handicaps_needs_no_tables():
    script = "import sys, paryield.scoring; print('pandas' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


def test_help_is_quick_to_reach():
    """Help and usage errors load neither tables nor draws nor figures."""
    script = (
        "import sys\nfrom paryield.cli import main\nmain(['--help'])\n"
        "print(sorted({'pandas', 'xarray', 'matplotlib', 'pymc'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"
