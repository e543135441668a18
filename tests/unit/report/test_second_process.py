"""What a second process does beside the first is the same as without it, and costs nothing where it fails."""

from __future__ import annotations

import io
import subprocess
import sys
from pathlib import Path
from typing import Any

import numba
import numpy as np
import pytest

import paryield.report.compiled_ahead as ahead
import paryield.report.drawn_beside as beside
import paryield.report.second_process as second
from paryield.club import Club
from paryield.model import compiled_likelihood, compiled_rows, conditional, density, kernel
from paryield.model.design import build_observations
from paryield.model.spec import ModelSpec
from paryield.report.html import golfer_page
from paryield.report.reader import written_for
from paryield.report.write import golfer_views, report


def types_of(monkeypatch: pytest.MonkeyPatch, module: Any, name: str, run: Any) -> list[tuple[Any, ...]]:
    """Return the types of the arguments that a compiled function is called with while ``run`` runs."""
    plain, found = getattr(module, name), []

    def noted(*arguments: Any) -> Any:
        found.append(tuple(numba.typeof(one) for one in arguments))
        return plain(*arguments)

    with monkeypatch.context() as patched:
        patched.setattr(module, name, noted)
        run()
    return found


def test_what_is_compiled_ahead_is_what_a_fit_calls(fitted_club: Path, monkeypatch: Any) -> None:
    """By the types of all arguments, for which Numba compiles a function anew."""
    spec = ModelSpec(chains=2, draws=4, tune=4)
    with Club.open(fitted_club) as club:
        data = build_observations(club.tables(), spec, None)
    target = density.Density(data, spec)
    points = [target.values(target.start)] * 3
    draws = type(points[0])({name: np.stack([one[name] for one in points]) for name in points[0]})
    [whole] = types_of(monkeypatch, density, "likelihood", lambda: target(target.start))
    assert types_of(monkeypatch, compiled_likelihood, "likelihood", ahead.density) == [whole]
    drawn = types_of(monkeypatch, conditional, "draw_golfer", lambda: conditional.draw_all(draws, data, spec))
    assert types_of(monkeypatch, conditional, "draw_golfer", ahead.draws) == [drawn[0]]
    # What the likelihood passes on, in its order: batches, bounds, alike and during come before the rows.
    bounds, rows, shape, values, prior = whole[1:4], whole[4:10], whole[10:13], whole[13:14], whole[14:15]
    filled, back = whole[15:19], whole[19:23]
    forward = (*rows, *values, *shape, *filled)
    assert types_of(monkeypatch, compiled_rows, "rows_forward", ahead.rows_forward) == [forward]
    backward = (*rows, *values, *shape, *back, *whole[23:])
    assert types_of(monkeypatch, compiled_rows, "rows_backward", ahead.rows_backward) == [backward]
    evidence = (*bounds, *filled, *prior, *back)
    assert types_of(monkeypatch, kernel, "evidence", ahead.evidence) == [evidence]


@pytest.mark.parametrize(
    "name", ["blended", "left_and_turn", "lost_by_area", "added_up", "lost_on", "lost_under"]
)
def test_what_is_compiled_ahead_is_what_answers_call(name: str, fitted_club: Path, monkeypatch: Any) -> None:
    from paryield.forecast import compiled_days, outlook
    from paryield.plan import outcome

    user = outcome if name == "lost_under" else outlook
    with Club.open(fitted_club) as club:
        asked = types_of(monkeypatch, user, name, lambda: golfer_views(club, "G05", anyway=True))
    known = types_of(monkeypatch, compiled_days, name, ahead.days)
    assert asked
    assert set(asked) <= set(known)


def test_the_index_ahead_is_compiled_as_answers_call_it(fitted_club: Path, monkeypatch: Any) -> None:
    from paryield.scoring import kernel as index

    with Club.open(fitted_club) as club:
        asked = types_of(monkeypatch, index, "paths", lambda: golfer_views(club, "G05", anyway=True))
    assert asked
    assert set(asked) == set(types_of(monkeypatch, index, "paths", ahead.days))


def test_parts_are_said_when_they_are_done(capsys: Any) -> None:
    ahead.main()
    said = capsys.readouterr().out.split()
    assert said == list(ahead.PARTS)
    waiting = ahead.Ahead()
    waiting.follow(io.BytesIO("\n".join(["something else", *said[:2]]).encode()))
    for part in ahead.PARTS:  # after the last line nothing is waited for
        waiting.wait(part)


@pytest.mark.parametrize("executable", [sys.executable, "/no/such/python"])
def test_nobody_waits_for_a_process_that_fails(executable: str, monkeypatch: Any) -> None:
    """One that ends at once, for there is no such module, and one that cannot start at all."""
    monkeypatch.setattr(second, "cores", lambda: 2)
    monkeypatch.setattr(sys, "executable", executable)
    monkeypatch.setattr(ahead, "__name__", "paryield.report.no_such_module")
    monkeypatch.setattr(ahead, "MOST_SECONDS", 60.0)
    with ahead.compiled_ahead() as compiled:
        for part in ahead.PARTS:
            compiled.wait(part)


@pytest.mark.parametrize(("count", "alone"), [(1, ""), (2, "1")])
def test_one_core_or_the_wish_leaves_one_process(count: int, alone: str, monkeypatch: Any) -> None:
    monkeypatch.setattr(second, "cores", lambda: count)
    monkeypatch.setenv(second.ALONE, alone)
    monkeypatch.setattr(subprocess, "Popen", None)
    with second.second_process("paryield.report.compiled_ahead") as process:
        assert process is None


@pytest.fixture(scope="module")
def drawn_plainly(fitted_club: Path) -> tuple[Any, Any, dict[str, str]]:
    """Views of two golfers, the club's settings, and the pages as one process draws them."""
    with Club.open(fitted_club) as club:
        views, settings = golfer_views(club, anyway=True)[:2], club.tables().settings
    with written_for(settings):
        return views, settings, {view.page: golfer_page(view) for view in views}


@pytest.mark.parametrize("module", ["paryield.report.drawn_beside", "paryield.report.no_such_module"])
def test_pages_drawn_by_two_processes_are_the_same(module: str, drawn_plainly: Any, monkeypatch: Any) -> None:
    """Byte for byte, in order, also where the second process fails."""
    views, settings, plain = drawn_plainly
    monkeypatch.setattr(second, "cores", lambda: 2)
    monkeypatch.setattr(beside, "FEWEST", 2)
    monkeypatch.setattr(beside, "__name__", module)
    brought, told = [], []
    ask = beside._brought
    monkeypatch.setattr(beside, "_brought", lambda *asked: brought.append(ask(*asked)) or brought[-1])
    found = beside.golfer_pages(views, settings, lambda *line: told.append(line))
    assert list(found.items()) == list(plain.items())
    works = module.endswith("beside")
    assert [list(one) for one in brought] == [[views[1].page] if works else []]
    assert [line[0] for line in told] == ([0] if works else [0, 0])


def test_the_coachs_page_is_the_same_from_shared_views(fitted_club: Path, tmp_path: Path) -> None:
    """The demo gathers once for both audiences; drawing the golfers' pages changes nothing in the views."""
    from paryield.report.write import write_views

    with Club.open(fitted_club) as club:
        [alone] = report(club, "coach", out=tmp_path / "alone", anyway=True)
        views, settings = golfer_views(club, anyway=True), club.tables().settings
        write_views(views[:2], "golfer", settings, tmp_path / "both")
        [shared] = write_views(views, "coach", settings, tmp_path / "both")
    assert shared.read_bytes() == alone.read_bytes()
