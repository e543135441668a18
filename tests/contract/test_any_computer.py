"""Nothing in the package is for one operating system alone: a coach's computer is seldom a server."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

from test_layout import SOURCE

ONE_SYSTEM = {
    "modules": {
        *("fcntl", "grp", "pty", "pwd", "readline", "resource", "syslog", "termios", "tty"),
        *("msvcrt", "winreg", "winsound", "_winapi"),
    },
    "os": {
        *(
            "chown",
            "fchmod",
            "fchown",
            "fork",
            "forkpty",
            "getegid",
            "geteuid",
            "getgid",
            "getpgid",
            "getppid",
        ),
        *(
            "getuid",
            "initgroups",
            "kill",
            "killpg",
            "lchown",
            "mkfifo",
            "mknod",
            "nice",
            "posix_spawn",
            "setsid",
        ),
        *("setuid", "startfile", "sync", "uname", "wait", "waitpid"),
    },
    "signal": {
        *("SIGALRM", "SIGCHLD", "SIGHUP", "SIGKILL", "SIGPIPE", "SIGQUIT", "SIGSTOP", "SIGUSR1", "SIGUSR2"),
        *("alarm", "pause", "pthread_kill", "setitimer", "sigwait", "CTRL_C_EVENT", "CTRL_BREAK_EVENT"),
    },
    "select": {"epoll", "kqueue", "poll"},
    "socket": {"AF_UNIX"},
    "multiprocessing": {"get_context"},
}
"""Modules, and names of modules, that the Python library reference marks "Availability: Unix" or "Windows"
(docs.python.org/3/library, each module's page); a start by fork is asked for by ``get_context``."""

WITH_FALLBACK = {
    ("private.py", "os.fchmod"): 'hasattr(os, "fchmod")',
    ("club/scratch.py", "os.getuid"): 'hasattr(os, "getuid")',
    ("desk/door.py", "resource"): 'sys.platform == "win32"',
}
"""What is used all the same, and the question beside it that leads round it elsewhere."""

PATHS = ("/tmp", "/proc", "/dev", "/etc", "/usr", "/var", "/home", "C:\\")


def used(tree: ast.AST) -> Iterator[str]:
    """Yield what a file uses of one system alone: ``module`` or ``module.name``."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (one.name for one in node.names if one.name in ONE_SYSTEM["modules"])
        elif isinstance(node, ast.ImportFrom) and node.module is not None:
            if node.module in ONE_SYSTEM["modules"]:
                yield node.module
            names = ONE_SYSTEM.get(node.module, set())
            yield from (f"{node.module}.{one.name}" for one in node.names if one.name in names)
        elif isinstance(node, ast.Attribute):
            module = ast.unparse(node.value)
            if node.attr in ONE_SYSTEM.get(module, set()):
                yield f"{module}.{node.attr}"


def files() -> Iterator[tuple[str, Path]]:
    for path in sorted(SOURCE.rglob("*.py")):
        yield path.relative_to(SOURCE).as_posix(), path


def test_what_is_for_one_system_alone_has_a_way_round_it() -> None:
    found = {
        (name, what) for name, path in files() for what in used(ast.parse(path.read_text(encoding="utf-8")))
    }
    assert found == set(WITH_FALLBACK)
    for (name, what), question in WITH_FALLBACK.items():
        assert question in (SOURCE / name).read_text(encoding="utf-8"), (name, what)


def test_the_search_finds_what_it_looks_for() -> None:
    text = "import fcntl\nfrom os import fork\nimport os, signal\nos.kill(1, signal.SIGKILL)\nos.getpid()\n"
    assert set(used(ast.parse(text))) == {"fcntl", "os.fork", "os.kill", "signal.SIGKILL"}


def test_no_place_of_one_system_is_written_down() -> None:
    for name, path in files():
        tree = ast.parse(path.read_text(encoding="utf-8"))
        docs = {
            id(node.body[0].value)
            for node in ast.walk(tree)
            if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef)
            and node.body
            and isinstance(node.body[0], ast.Expr)
        }
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs:
                assert not any(node.value == one or node.value.startswith(f"{one}/") for one in PATHS), name


def test_text_files_are_read_and_written_in_one_encoding() -> None:
    """Elsewhere the default is that of the country: every text read or written names its own."""
    for name, path in files():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Attribute):
                continue
            if node.func.attr in ("read_text", "write_text"):
                given = {word.arg for word in node.keywords}
                assert "encoding" in given or node.args, f"{name}:{node.lineno}"
