"""Flips a sign or drops a factor, one at a time, in every term of the model and wherever terms are added up.

Each mutant is a copy of the package with one exact edit. The smallest set of default tests that should see
it is run until the first fails; what no test sees is printed, and the exit code is 1. Run as

    uv run --no-sync python tests/mutations.py [--only PART OF A FILE'S NAME] [--every] [--list]

Of each line the outermost sum and the outermost product are changed; ``--every`` changes those within, too.
Where the system can fork, libraries are loaded once and each mutant is tried in a child.
"""

from __future__ import annotations

import argparse
import ast
import importlib
import os
import shutil
import subprocess
import sys
import tempfile
import time
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
LIBRARIES = ("numpy", "pandas", "scipy.stats", "xarray", "numba", "jax", "pymc", "sqlalchemy", "pytest")
PATIENCE = 600
"""Seconds after which a mutant that runs on is taken for caught."""
TERMS = "tests/unit/model/test_terms.py"
AT_TESTS = "tests/unit/model/test_golfers_at_tests.py"
LIKELIHOOD = tuple(
    f"tests/unit/model/test_likelihood.py::test_{name}"
    for name in (
        "the_evidence_of_each_golfer_adds_up_to_the_integrated_likelihood",
        "integrated_likelihood_equals_the_dense_normal",
        "observed_measurements_are_the_same_model",
        "drawn_golfers_have_the_posterior_mean_and_covariance",
        "golfers_are_recovered_with_the_stated_spread",
    )
)
LUCK = "tests/unit/model/test_luck.py"
FORECAST = "tests/unit/forecast"
BY_HAND = f"{FORECAST}/test_paths_by_hand.py"


@dataclass(frozen=True)
class Target:
    """A file under ``src/paryield``, functions of it (all where none is named), and tests, quickest first."""

    file: str
    tests: tuple[str, ...]
    functions: tuple[str, ...] = ()


TARGETS = (
    *(
        Target(f"model/terms/{name}.py", (TERMS,))
        for name in ("background", "drift", "events", "form", "growth", "joining", "season", "programme")
    ),
    Target("model/terms/level.py", (TERMS,)),
    Target("model/terms/practice.py", (TERMS,), ("start_share", "gap_left", "cover", "reference_gap")),
    Target("model/terms/round_terms.py", (TERMS,), ("columns", "strokes")),
    Target("model/terms/term.py", (TERMS,), ("strokes", "spread_before", "independent")),
    Target("model/terms/__init__.py", (TERMS,), ("shared_strokes",)),
    Target("model/terms/stats.py", (TERMS,), ("load", "cover")),
    Target(
        "model/terms/coach_tests.py",
        (f"{AT_TESTS}::test_newness_counts_days_with_a_test_of_the_kind",),
        ("newness",),
    ),
    Target("dose/stock.py", ("tests/unit/dose", TERMS)),
    Target(
        "model/likelihood.py",
        (LUCK, *LIKELIHOOD),
        ("path", "_area", "_stat", "_leaning", "_score", "_test", "total_noise", "leaning_on_stats"),
    ),
    Target(
        "model/golfers.py",
        LIKELIHOOD,
        ("information", "directions", "latent_directions", "effect_path", "log_likelihood"),
    ),
    Target(
        "forecast/outlook.py",
        tuple(f"{FORECAST}/test_{name}.py" for name in ("paths_by_hand", "outlook", "split")),
        ("practised", "form_path", "drift_path", "steady_path", "gap_left", "_left_and_turn", "stock_ahead"),
    ),
    Target("forecast/past.py", (f"{FORECAST}/test_split.py",), ("golfer_past", "beside_practice", "by_part")),
    Target("forecast/split.py", (f"{FORECAST}/test_split.py",), ("whole", "split_draws", "practice_credit")),
    Target("forecast/split.py", (BY_HAND, f"{FORECAST}/test_because.py"), ("change_ahead",)),
    Target(
        "forecast/areas.py",
        (BY_HAND, f"{FORECAST}/test_areas.py"),
        ("area_now", "form_by_area", "same_index"),
    ),
    Target(
        "plan/trial.py",
        (BY_HAND, "tests/unit/plan/test_block.py"),
        ("stock", "cost", "make_trial", "_to_come"),
    ),
)
SAME = ("0.0 * ", "+ 0.0", "np.zeros(", "np.zeros_like(", "one + zero")
"""Sums with nothing in them, which only give a shape: a sign changes nothing there."""


@dataclass(frozen=True)
class Mutant:
    """One edit of a file: the text before and after it, and where."""

    target: Target
    line: int
    what: str
    text: str


def mutants_of(target: Target, every: bool = False) -> Iterator[Mutant]:
    """Edits of a file, in the order of its lines: one sign and one factor a line, or all."""
    done: set[tuple[int, bool]] = set()
    for kind, one in _edits(target):
        if every or (one.line, kind) not in done:
            yield one
        done.add((one.line, kind))


def _edits(target: Target) -> Iterator[tuple[bool, Mutant]]:
    """All edits of a file, outermost first, and whether each is one of a sign."""
    source = (ROOT / "src/paryield" / target.file).read_text(encoding="utf-8")
    starts = [0]
    for line in source.encode().splitlines(keepends=True):
        starts.append(starts[-1] + len(line))
    whole = source.encode()

    def text_of(node: ast.expr) -> bytes:
        return whole[starts[node.lineno - 1] + node.col_offset : end_of(node)]

    def end_of(node: ast.expr) -> int:
        return starts[(node.end_lineno or node.lineno) - 1] + (node.end_col_offset or 0)

    def edited(node: ast.expr, new: bytes) -> Mutant:
        first, last = starts[node.lineno - 1] + node.col_offset, end_of(node)
        old = " ".join(whole[first:last].decode().split())
        what = f"{old}  ->  {' '.join(new.decode().split())}"
        return Mutant(target, node.lineno, what, (whole[:first] + new + whole[last:]).decode())

    for node in _inside(ast.parse(source), target.functions):
        if isinstance(node, ast.AugAssign):
            if isinstance(node.op, ast.Add | ast.Sub):
                old, new = (b"+=", b"-=") if isinstance(node.op, ast.Add) else (b"-=", b"+=")
                first, last = end_of(node.target), starts[node.value.lineno - 1] + node.value.col_offset
                change = whole[first:last].replace(old, new)
                what = f"{text_of(node.target).decode()} {old.decode()}  ->  {new.decode()}"
                yield (
                    True,
                    Mutant(target, node.lineno, what, (whole[:first] + change + whole[last:]).decode()),
                )
        elif isinstance(node, ast.UnaryOp):
            yield True, edited(node, b"(" + text_of(node.operand) + b")")
        elif isinstance(node, ast.BinOp):
            left, right = (b"(" + text_of(part) + b")" for part in (node.left, node.right))
            if any(mark in text_of(node).decode() for mark in SAME):
                continue
            if isinstance(node.op, ast.Add | ast.Sub):
                sign = b" - " if isinstance(node.op, ast.Add) else b" + "
                yield True, edited(node, b"(" + left + sign + right + b")")
            elif isinstance(node.op, ast.Mult | ast.Div | ast.Pow):
                yield False, edited(node, left)


def _inside(tree: ast.Module, functions: tuple[str, ...]) -> Iterator[ast.AST]:
    """Arithmetic in functions of these names, places and types left aside."""

    def walk(node: ast.AST, counts: bool) -> Iterator[ast.AST]:
        for name, child in ast.iter_fields(node):
            if name in ("slice", "annotation", "returns", "decorator_list"):
                continue
            for one in child if isinstance(child, list) else [child]:
                if not isinstance(one, ast.AST):
                    continue
                here = counts
                if isinstance(one, ast.FunctionDef):
                    here = counts or not functions or one.name in functions
                if here and _arithmetic(one):
                    yield one
                yield from walk(one, here)

    return walk(tree, False)


def _arithmetic(node: ast.AST) -> bool:
    if isinstance(node, ast.UnaryOp):
        return isinstance(node.op, ast.USub) and not isinstance(node.operand, ast.Constant)
    return isinstance(node, ast.BinOp | ast.AugAssign)


def fails(copy: Path, tests: tuple[str, ...]) -> bool:
    """Whether a test of a copy fails; a run that does not end counts as failed."""
    asked = ["-x", "-q", "-p", "no:cacheprovider", "--no-header", *tests]
    if not hasattr(os, "fork"):
        environment = {**os.environ, "PYTHONPATH": str(copy / "src")}
        command = [sys.executable, "-m", "pytest", *asked]
        try:
            run = subprocess.run(command, cwd=copy, env=environment, capture_output=True, timeout=PATIENCE)
        except subprocess.TimeoutExpired:
            return True
        return run.returncode != 0
    child = os.fork()
    if child == 0:
        _try(copy, asked)
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status) != 0
        time.sleep(0.1)
    os.kill(child, 9)
    os.waitpid(child, 0)
    return True


def _try(copy: Path, asked: list[str]) -> None:
    """Run tests in this process, of which nothing is left."""
    import pytest

    code = 2
    try:
        null = os.open(os.devnull, os.O_WRONLY)
        os.dup2(null, 1)
        os.dup2(null, 2)
        os.chdir(copy)
        sys.path[:0] = [str(copy / "src"), str(copy / "tests")]
        code = int(pytest.main(asked))
    finally:
        os._exit(code)


def main() -> int:
    """Try all mutants; print those that no test sees."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    asked.add_argument("--only", default="", help="files whose name has this in it")
    asked.add_argument("--every", action="store_true", help="every sum and product, not the outermost alone")
    asked.add_argument("--list", action="store_true", help="name the mutants and try none")
    given = asked.parse_args()
    found = [
        one for target in TARGETS if given.only in target.file for one in mutants_of(target, given.every)
    ]
    if given.list:
        for one in found:
            print(f"{one.target.file}:{one.line}: {one.what}")
        print(f"{len(found)} mutants")
        return 0
    if hasattr(os, "fork"):
        for name in LIBRARIES:
            importlib.import_module(name)
        # Threads of the libraries sleep while a child is made: none of them has been asked for anything.
        warnings.filterwarnings("ignore", "This process .* is multi-threaded", DeprecationWarning)
    missed = []
    with tempfile.TemporaryDirectory() as place:
        copy = Path(place)
        for folder in ("src", "tests"):
            left_out = shutil.ignore_patterns("data" if folder == "tests" else "")
            shutil.copytree(ROOT / folder, copy / folder, ignore=left_out)
        for name in ("pyproject.toml", "DEVELOPERS.md", "README.md"):
            shutil.copy2(ROOT / name, copy / name)
        for tests in dict.fromkeys(one.target.tests for one in found):
            if fails(copy, tests):
                print(f"without any mutant {' '.join(tests)} fails")
                return 2
        for number, one in enumerate(found, 1):
            if not _caught(copy, one):
                missed.append(one)
                print(f"NOT CAUGHT {one.target.file}:{one.line}: {one.what}", flush=True)
            if number % 10 == 0:
                print(f"{number} of {len(found)} tried, {len(missed)} not caught", flush=True)
    print(f"{len(found)} mutants, {len(missed)} not caught")
    return 1 if missed else 0


def _caught(copy: Path, one: Mutant) -> bool:
    """Whether a test sees a mutant; the copy is whole again afterwards."""
    file = copy / "src/paryield" / one.target.file
    whole = file.read_bytes()
    try:
        _write(file, one.text.encode())
        return fails(copy, one.target.tests)
    finally:
        _write(file, whole)


def _write(file: Path, content: bytes) -> None:
    """Write a module; what was compiled of it may be as old and as long, and is taken away."""
    file.write_bytes(content)
    for old in (file.parent / "__pycache__").glob(f"{file.stem}.cpython-*.pyc"):
        old.unlink()


if __name__ == "__main__":
    sys.exit(main())
