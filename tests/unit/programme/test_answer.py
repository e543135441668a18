"""Programme answers from a fit: practice recomputed, effects added up, small programmes hidden."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from paryield.cli import main
from paryield.club import Club
from paryield.dose.exposure import enrolments
from paryield.errors import InputError
from paryield.forecast import golfer_draws
from paryield.posterior import Posterior
from paryield.posterior.current import stored_fit
from paryield.programme import design_table, programme_fit
from paryield.programme.board import CANNOT_TELL, HELPED
from paryield.programme.members import outcomes
from paryield.programme.plain import club_rounds
from paryield.programme.practice import at_habit, club_diaries, earlier_habit, hours_effect, stock_on, weekly
from paryield.report.programme_lines import design_lines, programme_lines
from paryield.tables import Tables, make_tables

FIVE = ("G01", "G02", "G03", "G04", "G05")
Case = tuple[Tables, Posterior, Path]


@pytest.fixture(scope="module")
def case(
    fitted_club: Path, add_programme: Callable[..., None], tmp_path_factory: pytest.TempPathFactory
) -> Case:
    place = tmp_path_factory.mktemp("programme")
    path = Path(shutil.copy(fitted_club, place / "club.db"))
    add_programme(path, place / "joined", {"spring": FIVE, "trial": ("G06", "G01")})
    with Club.open(path) as club:
        return club.tables(), stored_fit(club)[1], path


def with_term(posterior: Posterior, strokes: float) -> Posterior:
    """The same fit with a programme term of the same size in every draw."""
    tree = posterior.tree.copy()
    draws = tree["posterior"].to_dataset()
    for name in ("programme_effect", "programme"):
        draws = draws.drop_vars(name, errors="ignore")
    sizes = (draws.sizes["chain"], draws.sizes["draw"], 2)
    draws = draws.assign(programme_effect=(("chain", "draw", "programme"), np.full(sizes, strokes)))
    tree["posterior"] = type(tree)(draws.assign_coords(programme=["spring", "trial"]))
    return replace(posterior, tree=tree)


def test_stock_at_the_end_of_the_record_is_that_of_the_fit(case: Case):
    tables, posterior, _ = case
    diaries, now = club_diaries(tables, posterior), np.array([posterior.as_of])
    for number, golfer in enumerate(posterior.golfers):
        own, begun = golfer_draws(posterior, golfer), posterior.draws("start_share")[:, number]
        starts = float(posterior.constant("starts")[number])
        again = stock_on(own, diaries.hours[number], diaries, starts, begun, now)[:, 0]
        stored = np.maximum((own.weights * own.stock).sum(axis=0), 0.0)
        np.testing.assert_allclose(again, stored, rtol=1e-4, atol=1e-4)


def test_stock_in_the_middle_of_the_record_by_adding_up_days(case: Case):
    tables, posterior, _ = case
    diaries, day, number = club_diaries(tables, posterior), posterior.as_of - 60, 2
    own, begun = golfer_draws(posterior, "G03"), posterior.draws("start_share")[:, number]
    starts = float(posterior.constant("starts")[number])
    found = stock_on(own, diaries.hours[number], diaries, starts, begun, np.array([day]))[:, 0]
    by_hand = np.zeros_like(found)
    steady = posterior.constant("steady")[:, number]
    for node, half in enumerate(posterior.constant("node_half_life")):
        fresh = sum(
            diaries.hours[number, k] * 2.0 ** (-(day + 1 - diaries.first_day - k) / half)
            for k in range(day + 1 - diaries.first_day)
        )
        held = begun[:, None] * steady[node] * 2.0 ** (-(day + 1 - starts) / half)
        by_hand += own.weights[node] * (fresh + held)
    real = diaries.fitted
    np.testing.assert_allclose(found[:, real], np.maximum(by_hand, 0)[:, real], rtol=1e-6, atol=1e-6)


def test_hours_at_the_habit_change_nothing_and_fewer_hours_lose_nothing_else(case: Case):
    tables, posterior, _ = case
    diaries, begin, days = club_diaries(tables, posterior), posterior.as_of - 90, np.array([posterior.as_of])
    own, begun = golfer_draws(posterior, "G01"), posterior.draws("start_share")[:, 0]
    starts = float(posterior.constant("starts")[0])
    habit = earlier_habit(diaries, 0, begin)
    assert habit is not None
    steady = diaries.hours.copy()
    steady[0] = at_habit(diaries, 0, begin, habit)
    same = hours_effect(own, replace(diaries, hours=steady), 0, starts, begun, begin, habit, days)
    np.testing.assert_allclose(same, 0.0, atol=1e-12)
    known = diaries.known[0, begin - diaries.first_day :]
    assert known.any()
    assert weekly(replace(diaries, hours=steady), 0, begin, posterior.as_of + 1)[0] == pytest.approx(habit)


def test_a_programme_term_adds_up_over_what_each_member_received(case: Case):
    tables, posterior, _ = case
    members = enrolments(tables.programmes, posterior.as_of)
    rounds, diaries = club_rounds(tables, posterior.as_of), club_diaries(tables, posterior)
    with_two = outcomes(tables, with_term(posterior, -2.0), members, diaries, rounds)
    for one in with_two:
        received = float(one.member.exposure(one.on))
        np.testing.assert_allclose(one.effect - one.from_hours, -2.0 * received)
    left = next(one for one in with_two if one.member.outcome == "left")
    assert 0 < float(left.member.exposure(left.on)) < 1
    assert all(one.index is None or one.index.mean() <= 0.1 for one in with_two)


def test_records_with_and_without_the_term(case: Case):
    tables, posterior, _ = case
    strong = programme_fit(tables, with_term(posterior, -4.0)).records
    spring = next(one for one in strong if one["programme"] == "spring")
    assert spring["verdict"] == HELPED
    counts = ("golfers", "finished", "left", "running")
    assert [spring[name] for name in counts] == [5, 4, 1, 0]
    assert spring["effect"]["mean"] == pytest.approx(
        spring["from_hours"]["mean"] + spring["beyond_hours"]["mean"]
    )
    assert spring["bounds"]["best"] < spring["effect"]["q50"] < spring["bounds"]["worst"]
    lines = programme_lines(strong)
    assert any("Spring helped" in line for line in lines)
    bare = posterior.tree["posterior"].to_dataset().drop_vars("programme_effect", errors="ignore")
    tree = posterior.tree.copy()
    tree["posterior"] = type(tree)(bare)
    weak = programme_fit(tables, replace(posterior, tree=tree)).records[0]
    assert (weak["beyond_hours"], weak["verdict"]) == (None, CANNOT_TELL)
    assert any("only what the logged hours did" in text for text in weak["warnings"])


def test_a_programme_of_two_and_the_total_that_gives_it_away_are_hidden(case: Case):
    """Five in spring, G01 and G06 in the trial: the total of six would give away G06 alone."""
    tables, posterior, _ = case
    records = {one["programme"]: one for one in programme_fit(tables, posterior).records}
    assert not records["spring"]["hidden"]
    for name in ("trial", "all programmes"):
        shown = {key: value for key, value in records[name].items() if value not in (None, [], ())}
        assert shown == {"programme": name, "verdict": "hidden", "hidden": True} | (
            {"groups": records[name]["groups"]} if records[name]["groups"] else {}
        )
        assert all(one["hidden"] and one["effect"] is None for one in records[name]["groups"])
    only = programme_fit(tables, posterior, name="trial").records
    assert only == [records["trial"]]


def test_unknown_and_missing_programmes_are_said_in_one_line(case: Case):
    tables, posterior, _ = case
    with pytest.raises(InputError, match="no programme is called 'summer'") as raised:
        programme_fit(tables, posterior, name="summer")
    assert "spring, trial" in raised.value.line()
    frames = {name: frame for name, frame in tables.items() if name != "programmes"}
    with pytest.raises(InputError, match="no programme that has started"):
        programme_fit(make_tables(frames, categories=tables.categories), posterior)


def test_the_command_prints_lines_and_one_document(case: Case, capsys: pytest.CaptureFixture[str]):
    _, posterior, path = case
    assert main(["programme", str(path), "--anyway", "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert {one["programme"] for one in document} == {"spring", "trial", "all programmes"}
    assert main(["programme", str(path), "--anyway"]) == 0
    text = capsys.readouterr().out
    assert "Groups of fewer than 5 members are hidden" in text
    assert not any(golfer in text for golfer in posterior.golfers)
    assert main(["programme", str(path), "--name", "summer", "--anyway"]) == 2


def test_more_members_see_more(case: Case):
    _, posterior, _ = case
    rows = design_table(posterior, 2.5, members=(10, 80), months=(3, 12), clubs=200)
    assert [(row["members"], row["months"]) for row in rows] == [(10, 3), (80, 3), (10, 12), (80, 12)]
    chance = [row["chance_seen"] for row in rows]
    assert chance[0] < chance[1]
    assert chance[2] < chance[3]
    assert rows[3]["smallest_seen"] < rows[0]["smallest_seen"]
    none = design_table(posterior, 2.5, members=(40,), months=(6,), strokes=0.0, clubs=400)[0]
    # One side of a 95 % interval: 2.5 % of 400, give or take three binomial errors.
    assert none["chance_seen"] <= 0.05
    assert any("10" in line for line in design_lines(rows))
