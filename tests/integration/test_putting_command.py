"""The putting command: a published table through the whole way, its lines, and one line for bad files."""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import norm

from paryield.cli import main
from paryield.results import QUANTILES

BERRY = Path(__file__).parents[1] / "published" / "data" / "putting_berry.csv"


@pytest.fixture
def berry(tmp_path: Path) -> Path:
    """Professionals' putts (Berry 1996, in Gelman & Nolan 2002), under the names of our columns."""
    path = tmp_path / "berry.csv"
    text = BERRY.read_text(encoding="utf-8")
    path.write_text(text.replace("tries,successes", "tried,made"), encoding="utf-8")
    return path


@pytest.fixture
def short(tmp_path: Path) -> Path:
    """The first rows of that table, up to 6 ft: too near to tell length from direction."""
    path = tmp_path / "short.csv"
    rows = ["distance_ft,tried,made", "2,1443,1346", "3,694,577", "4,455,337", "5,353,208", "6,272,149"]
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return path


def test_json_is_one_document_that_says_what_was_published(berry, capsys):
    """sigma = 1.53 degrees with direction alone (Gelman & Nolan 2002; Stan golf case study); berry ends at
    20 ft, so direction alone is what is learnt. The chance follows from it by the formula of that paper."""
    assert main(["putting", str(berry), "--json"]) == 0
    out, err = capsys.readouterr()
    found = json.loads(out)
    assert err == ""
    assert set(found) == {"sigma_angle_degrees", "sigma_distance", "make_probability"}
    assert set(found["sigma_angle_degrees"]) == {*QUANTILES, "mean"}
    assert found["sigma_angle_degrees"]["q50"] == pytest.approx(1.53, abs=0.005)
    assert found["sigma_distance"] is None
    ten = next(one for one in found["make_probability"] if one["distance_ft"] == 10)
    angle = np.radians(found["sigma_angle_degrees"]["q50"])
    chance = 2 * norm.cdf(np.arcsin((4.25 - 1.68) / 24 / 10) / angle) - 1
    assert ten["q50"] == pytest.approx(chance, abs=5e-4)


def test_lines_give_skill_chances_and_strokes_lost(short, capsys):
    assert main(["putting", str(short)]) == 0
    out = capsys.readouterr().out.replace("\u00a0", " ").replace("\u2212", "-")
    assert "2617 of 3217 putts made." in out
    degrees, low, high = (
        float(found) for found in re.search(r"direction: (\S+) \((\S+) to (\S+)\) degrees", out).groups()
    )
    assert low < degrees < high
    for feet in (3, 6, 9, 12, 20):
        said = re.search(rf"^{feet} ft +(\d+) % \((\d+) % to (\d+) %\)$", out, re.MULTILINE)
        threshold = np.arcsin((4.25 - 1.68) / 24 / feet)
        expected = 100 * (2 * norm.cdf(threshold / np.radians(degrees)) - 1)
        assert float(said.group(1)) == pytest.approx(expected, abs=0.8)
    tour = re.search(r"^tour players +(\S+) \((\S+) to (\S+)\)$", out, re.MULTILINE)
    ninety = re.search(r"^golfers who score about 90 +(\S+) \((\S+) to (\S+)\)$", out, re.MULTILINE)
    assert float(tour.group(1)) > float(ninety.group(1))
    assert "length: not to be told from these putts" in out
    assert "Assumed, not measured: how many first putts a round" in out
    assert "and that misses leave what a tour player's leave.\n" in out


def test_spread_of_length_is_said_where_putts_tell(tmp_path, capsys):
    """Counts expected of 0.018 rad and 0.08 (last model of the Stan golf case study)."""
    feet = np.array([3, 6, 10, 15, 20, 30, 40, 50])
    aim = 2 * norm.cdf(np.arcsin((4.25 - 1.68) / 24 / feet) / 0.018) - 1
    length = norm.cdf(2 / ((feet + 1) * 0.08)) - norm.cdf(-1 / ((feet + 1) * 0.08))
    made = np.rint(900 * aim * length).astype(int)
    rows = [f"{x},900,{y}" for x, y in zip(feet, made, strict=True)]
    path = tmp_path / "far.csv"
    path.write_text("distance_ft,tried,made\n" + "\n".join(rows) + "\n", encoding="utf-8")
    assert main(["putting", str(path)]) == 0
    out = capsys.readouterr().out.replace("\u00a0", " ")
    angle = re.search(r"direction: (\S+) \(", out).group(1)
    share = re.search(r"length: (\d+) % \(\d+ % to \d+ %\) of the roll", out).group(1)
    assert float(angle) == pytest.approx(np.degrees(0.018), abs=0.03)
    assert float(share) == pytest.approx(8, abs=1)
    assert "is aimed 1 ft past the hole and drops when it would stop within 3 ft past it" in out


def test_a_warning_of_the_file_is_said_and_the_answer_stands(short, capsys):
    short.write_text("distance_ft,tried,made,weather\n3,10,8,wet\n", encoding="utf-8")
    assert main(["putting", str(short), "--json"]) == 0
    out, err = capsys.readouterr()
    assert json.loads(out)["sigma_distance"] is None
    assert err.startswith("warning: ")
    assert "weather" in err


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (None, "there is no such file"),
        ("", "the file is empty"),
        ("distance_ft,tried\n3,10\n", "column made: the column is missing"),
        ("distance_ft,tried,made\n3,10,11\n", "row 2, column made: is more than tried"),
        ("distance_ft,tried,made\n-3,10,1\n", "row 2, column distance_ft"),
        ("distance_ft,tried,made\n", "there is not one putt"),
    ],
)
def test_bad_files_are_one_line_and_exit_2(content, message, tmp_path, capsys):
    path = tmp_path / "bad.csv"
    if content is not None:
        path.write_text(content, encoding="utf-8")
    assert main(["putting", str(path), "--json"]) == 2
    out, err = capsys.readouterr()
    assert json.loads(out)["error"]["kind"] == "input"
    assert err.count("\n") == 1
    assert err.startswith("paryield: ")
    assert message in err
