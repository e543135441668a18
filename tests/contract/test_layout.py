"""The house: what stands where, what may import what, and what must not be named."""

from __future__ import annotations

import ast
import re
import subprocess
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from docs import ROOT, rows

SOURCE = ROOT / "src" / "paryield"
FIRST = ("errors", "units", "results", "private", "arrays", "days")
SAMPLERS = {"pymc", "pytensor", "nutpie", "jax"}
VISIBLE = {"README.md", "DEVELOPERS.md", "pyproject.toml", "src", "tests", "notebooks", "demo_data"}
HOSTS = ("py" + "pi.org", "python" + "hosted.org", "ana" + "conda.org", "conda-" + "forge", "crates" + ".io")


def folders() -> list[str]:
    return [row[0] for row in rows("DEVELOPERS.md", "folder")]


def tracked() -> list[Path]:
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True)
    return [ROOT / name for name in listed.stdout.split("\0") if name]


def imports(path: Path) -> Iterator[str]:
    """Yield the modules that a file imports anywhere, those for types only left out."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for_types = {
        inner
        for node in ast.walk(tree)
        if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"
        for inner in ast.walk(node)
    }
    for node in ast.walk(tree):
        if node in for_types:
            continue
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: imports are written in full"
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def part(path: Path) -> str:
    return path.relative_to(SOURCE).parts[0].removesuffix(".py")


def test_the_folder_table_is_the_folders():
    found = {path.relative_to(SOURCE).parts[0] for path in SOURCE.rglob("*.py") if path.parent != SOURCE}
    assert set(folders()) == found
    assert len(folders()) == len(found)


def test_a_folder_imports_only_folders_above_it():
    order = [*FIRST, *folders(), "cli"]
    wrong = []
    for path in SOURCE.rglob("*.py"):
        own = part(path)
        if own == "__init__":
            continue
        for module in imports(path):
            words = module.split(".")
            if words[0] == "paryield" and len(words) > 1 and words[1] in order:
                allowed = own if own in folders() else order[order.index(own) - 1] if own != "errors" else own
                if order.index(words[1]) > order.index(allowed):
                    wrong.append(f"{path.relative_to(SOURCE)} imports {module}")
    assert wrong == []


def test_an_import_of_a_folder_below_would_be_seen(tmp_path):
    path = tmp_path / "any.py"
    path.write_text("def f():\n    from paryield.report import html\n", encoding="utf-8")
    assert list(imports(path)) == ["paryield.report.html"]


def test_only_the_model_imports_the_sampler():
    users = {
        part(path) for path in SOURCE.rglob("*.py") if SAMPLERS & {m.split(".")[0] for m in imports(path)}
    }
    assert users == {"model"}


WRITES = {"write_text", "write_bytes", "mkdir", "mkdtemp", "to_csv", "savefig", "NamedTemporaryFile"}
NOBODYS = {"private.py", "club/scratch.py", "synth/write.py", "commands/reference.py", "report/svg.py"}
"""What makes private files and folders, and what writes about nobody, or to memory."""


def test_what_is_written_is_written_for_its_owner_alone():
    wrong = []
    for path in SOURCE.rglob("*.py"):
        if path.relative_to(SOURCE).as_posix() in NOBODYS:
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute | ast.Name):
                name = node.func.attr if isinstance(node.func, ast.Attribute) else node.func.id
                modes = {one.value for one in node.args if isinstance(one, ast.Constant)}
                opens = name == "open" and any(str(mode).strip("bt+") in ("w", "x", "a") for mode in modes)
                if name in WRITES or opens:
                    wrong.append(f"{path.relative_to(SOURCE)}:{node.lineno} {name}")
    assert wrong == []


def test_the_visible_top_level_is_the_seven():
    top = {path.relative_to(ROOT).parts[0] for path in tracked()}
    assert {name for name in top if not name.startswith(".")} == VISIBLE


@pytest.mark.parametrize("host", HOSTS)
def test_no_package_registry_is_named(host):
    found = [path for path in tracked() if path.is_file() and host.encode() in path.read_bytes()]
    assert found == []


def wanted(project: dict[str, Any]) -> dict[str, set[str]]:
    """Return the packages that the base, each extra and each group ask for."""
    of_users = {"base": project["project"]["dependencies"], **project["project"]["optional-dependencies"]}
    parts = [*project["dependency-groups"].items(), *of_users.items()]
    return {
        part: {re.split(r"[<>=!~\[ ]", one)[0] for one in items if isinstance(one, str)}
        for part, items in parts
    }


def test_every_dependency_stands_in_one_line():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    table = rows("DEVELOPERS.md", "package")
    assert len({row[0] for row in table}) == len(table)
    assert {row[0] for row in table} == set().union(*wanted(project).values()) - {"paryield"}
    assert all(row[-1] for row in table)
    for name, where, _ in table:
        assert where in wanted(project), name
        assert name in wanted(project)[where], name


def test_the_changelog_ends_with_what_the_package_is_now():
    from paryield.club.layout import VERSION
    from paryield.posterior.store import FORMAT

    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    told = rows("DEVELOPERS.md", "version")
    version, _, _, stored, layout, _ = told[-1]
    assert version == project["version"]
    assert (stored.split()[-1], layout.split()[-1]) == (str(FORMAT), str(VERSION))
    assert [row[0] for row in told] == sorted(row[0] for row in told)


@pytest.mark.parametrize("document", ["README.md", "DEVELOPERS.md"])
def test_what_the_documents_point_to_is_there(document):
    text = (ROOT / document).read_text(encoding="utf-8")
    links = re.findall(r"\]\(([^)#:]+)\)", text)
    files = re.findall(r"`((?:tables|report|synth|tests|notebooks|demo_data)/[\w/.]*)`", text)
    missing = [link for link in links if not (ROOT / link).exists()]
    missing += [file for file in files if not ((ROOT / file).exists() or (SOURCE / file).exists())]
    assert missing == []
