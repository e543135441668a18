"""Answers from one tiny stored fit: shapes, gates, banners, pages, and what a change of data does."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from paryield.cli import main
from paryield.club import Club
from paryield.forecast import forecast
from paryield.results import QUANTILES
from paryield.scoring import handicap_records

Run = Callable[..., tuple[int, Any, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    def call(*words: object) -> tuple[int, Any, str]:
        code = main([*map(str, words), "--json"])
        out, err = capsys.readouterr()
        return code, json.loads(out), err

    return call


def rising(record: dict[str, Any]) -> bool:
    values = [record[name] for name in QUANTILES]
    return values == sorted(values)


def test_the_gate_says_why_and_how(fitted_club, run):
    code, found, err = run("health", fitted_club)
    assert code == 3
    assert found["ok"] is False
    bad = [line for line in found["lines"] if not line["ok"]]
    assert all(line["rhat"] > 1.01 or min(line["ess_bulk"], line["ess_tail"]) < 400 for line in bad)
    assert all(line["remedy"] for line in bad)
    assert err == f"paryield: {fitted_club}: {found['error']['message']} - {found['error']['remedy']}\n"


@pytest.mark.parametrize("words", [("forecast",), ("returns",), ("plan",), ("report", "coach")])
def test_nothing_is_answered_past_the_gate_unasked(words, fitted_club, run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    code, document, _ = run(words[0], fitted_club, *words[1:])
    assert code == 3
    assert document["error"]["kind"] == "not_reportable"
    assert "--anyway" in document["error"]["remedy"]
    assert list(tmp_path.iterdir()) == []


def test_forecast_of_all(fitted_club, run):
    code, records, err = run("forecast", fitted_club, "--anyway")
    assert code == 0
    assert "NOT REPORTABLE" in err
    kinds = {(one["golfer_id"], one["weeks"], one["quantity"]) for one in records}
    assert len(kinds) == len(records) == 6 * 3 * 3
    for one in records:
        assert date.fromisoformat(one["on"]) == date(2026, 7, 5) + timedelta(weeks=one["weeks"])
        assert rising(one)
    index = [one for one in records if one["quantity"] == "handicap_index"]
    assert all(one["q025"] >= -10 and one["q975"] <= 54.0 for one in index)


def test_index_today_is_the_one_of_the_record(fitted_club, run):
    """Nought weeks on, nothing was played yet: every draw is the index in force."""
    _, records, _ = run("forecast", fitted_club, "--weeks", 0, "--anyway")
    with Club.open(fitted_club) as club:
        now = {golfer: record.index for golfer, record in handicap_records(club.tables()).items()}
    today = [one for one in records if one["quantity"] == "handicap_index"]
    assert {one["golfer_id"]: one["q05"] for one in today} == now
    assert all(one["q05"] == one["q95"] for one in today)


def test_one_round_spreads_more_than_the_mean(fitted_club, run):
    _, records, _ = run("forecast", fitted_club, "--weeks", 12, "--anyway")
    width = {(one["golfer_id"], one["quantity"]): one["q90"] - one["q10"] for one in records}
    for golfer in {one["golfer_id"] for one in records}:
        assert width[golfer, "score_differential"] > 1.5 * width[golfer, "mean_differential"]


def test_a_lower_goal_is_never_likelier(fitted_club, run):
    chances = []
    for goal in ("54", "30", "20", "10", "+5"):
        words = ("--golfer", "G03", "--goal", goal, "--by", "2026-12-01", "--anyway")
        _, records, _ = run("forecast", fitted_club, *words)
        chances += [one["chance"] for one in records if one.get("goal") is not None]
    assert chances == sorted(chances, reverse=True)
    assert chances[0] == 1.0
    assert chances[-1] == 0.0


def test_a_seed_gives_one_answer(fitted_club, run):
    first = run("forecast", fitted_club, "--golfer", "G01", "--anyway")[1]
    assert run("forecast", fitted_club, "--golfer", "G01", "--anyway")[1] == first


def test_returns_of_one_golfer(fitted_club, run):
    code, records, _ = run("returns", fitted_club, "--golfer", "G02", "--anyway")
    assert code == 0
    real = [one for one in records if one["category"] != "phantom"]
    assert len(records) == len(real) + 1 == 7
    assert sum(one["chance_best"] for one in real) == pytest.approx(1.0)
    assert all(one["regret"] >= 0 for one in real)
    assert all(rising(one["strokes_per_weekly_hour"]) for one in records)
    assert {one["evidence"] for one in real} <= {"measured", "part measured", "assumed"}


def test_pages_say_what_the_commands_say(fitted_club, run, tmp_path):
    out = tmp_path / "pages"
    assert run("report", fitted_club, "golfer", "--out", out, "--anyway")[0] == 0
    code, document, _ = run("report", fitted_club, "coach", "--out", out, "--anyway")
    assert code == 0
    coach = Path(document["files"][0]).read_text(encoding="utf-8")
    links = set(re.findall(r'href="([^"]+\.html)"', coach))
    assert links == {f"golfer-G0{number}.html" for number in range(1, 7)}
    assert all((out / link).exists() for link in links)
    page = (out / "golfer-G01.html").read_text(encoding="utf-8")
    with Club.open(fitted_club) as club:
        index = handicap_records(club.tables())["G01"].index
    assert f"Handicap Index {index:.1f}" in page
    assert "Do not act on these numbers: the fit behind them did not pass its checks." in page
    assert "NOT REPORTABLE" not in page
    assert "G02" not in page


def test_terminal_answers_fit_a_screen(fitted_club, capsys):
    for words in (["forecast"], ["forecast", "--golfer", "G01"], ["returns"], ["returns", "--golfer", "G01"]):
        assert main([words[0], str(fitted_club), *words[1:], "--anyway"]) == 0
        lines = capsys.readouterr().out.splitlines()
        assert 3 <= len(lines) <= 20  # of the 24 of a terminal; a fit that says more has more
        assert "8 in 10" in "\n".join(lines)
    assert main(["forecast", str(fitted_club), "--anyway"]) == 0
    assert "official one comes from the golfer's association" in capsys.readouterr().out


def test_new_data_count_at_once(tiny_club, run, tmp_path):
    folder = tmp_path / "more"
    folder.mkdir()
    (folder / "rounds.csv").write_text(
        "golfer_id,played_on,score_differential\nG01,2026-07-12,18.2\n", encoding="utf-8"
    )
    before = run("forecast", tiny_club, "--anyway")[1]
    assert run("import", tiny_club, folder)[0] == 0
    code, after, _ = run("forecast", tiny_club, "--anyway")
    assert code == 0
    assert {one["as_of"] for one in before} == {"2026-07-05"}
    assert {one["as_of"] for one in after} == {"2026-07-12"}


def test_an_erased_golfer_takes_the_draws_along(tiny_club, run):
    assert run("erase", tiny_club, "--golfer", "G01")[1]["runs"] == [1]
    code, document, _ = run("forecast", tiny_club, "--anyway")
    assert (code, document["error"]["message"]) == (2, "there is no fit yet")


def test_wrong_requests_to_a_fitted_club(fitted_club, run):
    for words, message in (
        (("forecast", "--golfer", "G99"), "no golfer 'G99'"),
        (("returns", "--golfer", "G99"), "no golfer 'G99'"),
        (("forecast", "--plan", "winter"), "winter"),
        (("forecast", "--goal", "9"), "--goal and --by"),
        (("forecast", "--goal", "9", "--by", "2020-01-01"), "before the last day"),
    ):
        code, document, _ = run(words[0], fitted_club, *words[1:], "--anyway")
        assert code == 2
        assert message in document["error"]["message"]


def test_answers_never_load_the_model(fitted_club):
    """Only fit may import the sampler: everything else answers from stored draws."""
    script = (
        "import sys\nfrom paryield.cli import main\n"
        "for words in (['forecast', '--anyway'], ['returns', '--anyway'], ['plan', '--anyway'], ['health'],\n"
        "              ['index']):\n"
        f"    main([words[0], {str(fitted_club)!r}, *words[1:]])\n"
        "real = [name for name, module in sys.modules.items() if 'Lazy' not in type(module).__name__]\n"
        "loaded = {name.split('.')[0] for name in real}\n"
        "print(sorted(loaded & {'pymc', 'pytensor', 'nutpie', 'jax'}), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stderr.splitlines()[-1] == "[]"


def test_forecast_in_python_is_what_the_command_prints(fitted_club, run):
    with Club.open(fitted_club) as club:
        found = forecast(club, golfer="G05", weeks=(8,), anyway=True)
    assert (
        json.loads(json.dumps(found.records))
        == run("forecast", fitted_club, "--golfer", "G05", "--weeks", 8, "--anyway")[1]
    )
    frame = found.to_frame()
    assert len(frame) == 3
    assert set(frame["quantity"]) == {"mean_differential", "score_differential", "handicap_index"}


def test_the_demo_uses_a_fit_that_is_there(tmp_path, fitted_club, run, monkeypatch):
    """A second demo in one folder fits nothing: the same club, run 1, a page for each golfer.

    The demo of the fitted club's six golfers; 24 take minutes more and the same way.
    """
    import paryield.report.demo
    import paryield.synth.demo
    from paryield.synth import ClubSpec

    spec = ClubSpec(golfers=6, weeks=26, seed=3)
    for module in (paryield.synth.demo, paryield.report.demo):
        monkeypatch.setattr(module, "demo_spec", lambda: spec)
    shutil.copy(fitted_club, tmp_path / "club.db")
    code, document, _ = run("demo", "--out", tmp_path)
    assert code == 3
    with Club.open(tmp_path / "club.db") as club:
        assert len(club.runs()) == 1
    assert len(document["reports"]) == spec.golfers + 1
    assert all(Path(page).exists() for page in document["reports"])
    assert {one["golfer_id"] for one in document["forecast"]} == {f"G{n:02}" for n in range(1, 7)}


def test_a_page_gives_one_chance_for_one_goal(fitted_club):
    from paryield.report.write import golfer_views

    with Club.open(fitted_club) as club:
        views = golfer_views(club, anyway=True)
    pairs = [
        (view.goal.chance, row["chance"])
        for view in views
        if view.goal is not None and view.goal.chance is not None
        for row in view.goals
        if row.get("goal") == view.goal.goal and row["chance"] is not None
    ]
    assert pairs
    assert all(head == body for head, body in pairs)
