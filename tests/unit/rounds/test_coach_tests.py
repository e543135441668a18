"""Tests and practice as measurements: Bayes' rule by a second route, scales and units."""

import numpy as np
import pandas as pd
import pytest
from scipy.integrate import quad
from scipy.special import ndtr
from scipy.stats import binom, norm

from paryield import rounds
from paryield.cli import main
from paryield.rounds.assessments import as_normal
from paryield.rounds.coach_tests import FALLBACK, PRACTICE_WEIGHT
from paryield.rounds.putting_skill import angle_to_strokes, reference_putts
from paryield.tables import make_tables
from paryield.units import unit_of

DAY = pd.Timestamp("2026-05-02")
LADDER = [(3.0, 10, 8), (6.0, 10, 5), (9.0, 10, 2), (12.0, 10, 2)]
PRIOR = {("A", "putting"): (3.0, 1.2), ("A", "short_game"): (4.0, 1.0)}


def ladder(rows=LADDER, test="putting_ladder", golfer="A"):
    frame = pd.DataFrame(rows, columns=["distance_ft", "tried", "made"])
    return frame.assign(golfer_id=golfer, assessed_on=DAY, test=test)


def measured(prior=PRIOR, **frames):
    return rounds.test_measurements(make_tables(frames), prior)


def combined(row, mean, sd):
    """Mean and variance of the normal prior times the normal measurement, in closed form."""
    precision = 1 / sd**2 + 1 / row["error_sd"] ** 2
    return (mean / sd**2 + row["value"] / row["error_sd"] ** 2) / precision, 1 / precision


def holed(feet, strokes):
    """Chance to hole by the geometry (Gelman & Nolan 2002), of a golfer who loses so many strokes."""
    spreads, lost = angle_to_strokes()
    spread = np.exp(np.interp(strokes, lost, np.log(spreads)))
    return 2 * ndtr(np.arcsin((4.25 - 1.68) / 24 / feet) / spread) - 1


def test_a_ladder_of_40_putts_moves_putting_as_bayes_rule_says():
    """17 of 40 made. Second route: prior x binomial summed over the spread of direction, not over strokes.

    Density of strokes per spread by differences; a grid of its own, 20 times finer.
    """
    (row,) = measured(assessments=ladder()).to_dict("records")
    assert (row["kind"], row["scale"], row["made"]) == ("putting", "strokes", (8.0, 5.0, 2.0, 2.0))

    spreads, lost = angle_to_strokes()
    logs = np.linspace(np.log(spreads[0]), np.log(spreads[-1]), 20_001)
    strokes = np.interp(logs, np.log(spreads), lost)
    weight = norm.pdf(strokes, *PRIOR["A", "putting"]) * np.gradient(strokes, logs)
    for feet, tried, made in LADDER:
        chance = 2 * ndtr(np.arcsin((4.25 - 1.68) / 24 / feet) / np.exp(logs)) - 1
        weight *= binom.pmf(made, tried, chance)
    mean = np.average(strokes, weights=weight)
    variance = np.average((strokes - mean) ** 2, weights=weight)
    assert combined(row, *PRIOR["A", "putting"]) == pytest.approx((mean, variance), abs=2e-3)
    assert mean < 3.0  # more made than the 15.6 of 40 by a golfer who loses 3 strokes


def test_ten_times_the_putts_come_near_what_they_say_alone():
    """A third of the error (root of ten), and hardly a trace of the prior."""
    many = [(feet, 10 * tried, 10 * made) for feet, tried, made in LADDER]
    once, more = (measured(assessments=ladder(rows)).iloc[0] for rows in (LADDER, many))
    assert more["error_sd"] == pytest.approx(once["error_sd"] / 10**0.5, rel=0.15)
    other = measured({("A", "putting"): (0.0, 2.0)}, assessments=ladder(many)).iloc[0]
    assert other["value"] == pytest.approx(more["value"], abs=0.1)


def test_the_measurement_is_unbiased_and_its_error_is_as_stated():
    """300 golfers from the prior, one ladder each: standardised errors have mean 0 and sd 1.

    Standard errors of both over 300 golfers: 0.06 and 0.04.
    """
    random = np.random.default_rng(5)
    mean, sd = 3.0, 1.5
    truth = random.normal(mean, sd, 300)
    names = [f"G{place:03}" for place in range(300)]
    feet = np.array([row[0] for row in LADDER])
    frames = []
    for name, strokes in zip(names, truth, strict=True):
        made = random.binomial(10, holed(feet, strokes))
        frames.append(ladder(list(zip(feet, [10] * 4, made, strict=True)), golfer=name))
    found = measured(
        {(name, "putting"): (mean, sd) for name in names}, assessments=pd.concat(frames, ignore_index=True)
    )
    precision = 1 / sd**2 + 1 / found["error_sd"] ** 2
    after = (mean / sd**2 + found["value"] / found["error_sd"] ** 2) / precision
    standard = (after - truth) * np.sqrt(precision)
    assert abs(standard.mean()) < 0.18
    assert standard.std() == pytest.approx(1.0, abs=0.12)
    covered = (abs(standard) < norm.ppf(0.9)).mean()
    assert 0.74 < covered < 0.86


def test_the_table_of_strokes_passes_through_the_reference_golfers():
    """Chances of a ladder as of the curve, strokes as of the curve (Broadie 2014), rising all the way."""
    spreads, lost = angle_to_strokes()
    assert np.all(np.diff(lost) > 0)
    table = rounds.reference_curves().set_index(["reference", "distance_ft"])["make_probability"]
    for name in ("tour", "scratch", "ninety"):
        goal = sum(np.interp(feet, table[name].index, table[name]) for feet in (3.0, 6.0, 9.0, 12.0))
        strokes = reference_putts(name) - reference_putts("scratch")
        made = sum(holed(feet, strokes) for feet in (3.0, 6.0, 9.0, 12.0))
        assert made == pytest.approx(goal, abs=0.005)
    assert len(spreads) == len(lost)


def test_successes_on_the_probit_scale_by_quadrature():
    """11 of 20 chips: prior N(-0.17 x 0.2, 0.17^2 + 0.8^2), posterior by adaptive quadrature."""
    frame = ladder([(30.0, 20, 11)], test="landing_spot_chip")
    row = measured(assessments=frame).iloc[0]
    assert (row["kind"], row["scale"], row["distance_ft"]) == ("chip", "probit", 30.0)
    mean, sd = -0.17 * (4.0 - FALLBACK["short_game"][0]), float(np.hypot(0.17, 0.8))

    def weight(probit, power):
        return probit**power * binom.pmf(11, 20, ndtr(probit)) * norm.pdf(probit, mean, sd)

    total, first, second = (quad(weight, -6, 6, args=(power,))[0] for power in range(3))
    after = first / total
    assert combined(row, mean, sd) == pytest.approx((after, second / total - after**2), abs=1e-6)


def test_all_made_and_none_made_stay_finite():
    """The posterior is what counts say, not infinity: made all 40, chances of nine in ten and more."""
    rows = [(3.0, 40, 40), (6.0, 40, 0)]
    for one in rows:
        row = measured(assessments=ladder([one])).iloc[0]
        assert np.isfinite([row["value"], row["error_sd"]]).all()
    best = measured(assessments=ladder([(3.0, 40, 40)])).iloc[0]
    assert combined(best, 3.0, 1.2)[0] < 3.0 < combined(row, 3.0, 1.2)[0]


def test_practice_counts_a_quarter_and_days_stay_apart():
    """Four times the tried and made in the diary say what the test says once."""
    assert PRACTICE_WEIGHT == 0.25
    diary = pd.DataFrame(
        {
            "golfer_id": "A",
            "practised_on": [DAY, DAY, DAY + pd.Timedelta(days=1)],
            "category": "short_putting",
            "entry_no": [1, 2, 1],
            "minutes": 20.0,
            "distance_ft": [6.0, 6.0, 6.0],
            "tried": [24, 16, 40],
            "made": [12, 8, 20],
        }
    )
    found = measured(practice=diary, assessments=ladder([(6.0, 10, 5)]))
    assert found["source"].tolist() == ["practice", "test", "practice"]
    assert found["value"].to_numpy() == pytest.approx(np.full(3, found["value"].iloc[0]))
    assert found["error_sd"].to_numpy() == pytest.approx(np.full(3, found["error_sd"].iloc[0]))
    assert found["tried"].iloc[0] == (24.0, 16.0)


def test_speed_and_carry_come_in_one_unit_and_say_when_they_cannot():
    """100 mph = 44.704 m/s, 160.9344 km/h = 44.704 m/s, 200 yd = 182.88 m, 600 ft = 182.88 m (exact)."""
    tests = [
        ("clubhead speed", 100.0, "mph"),
        ("ball speed", 160.9344, "km/h"),
        ("driver carry", 200.0, "Yards"),
        ("iron carry", 600.0, "ft"),
        ("carry", 200.0, "kg"),
        ("speed", 90.0, "yd"),
        ("speed trap", 0.0, "mph"),
        ("deadlift", 80.0, "kg"),
    ]
    frame = pd.DataFrame(tests, columns=["test", "value", "unit"]).assign(golfer_id="A", assessed_on=DAY)
    tables = make_tables({"assessments": frame})
    found = rounds.test_measurements(tables, {}).set_index("test")
    assert found["value"].to_dict() == pytest.approx(
        {"clubhead speed": 44.704, "ball speed": 44.704, "driver carry": 182.88, "iron carry": 182.88}
    )
    assert found["scale"].to_dict() == {
        "clubhead speed": "m/s",
        "ball speed": "m/s",
        "driver carry": "m",
        "iron carry": "m",
    }
    assert found.loc["driver carry", "error_sd"] == pytest.approx(0.04 * 182.88)
    left = rounds.values_left_out(tables)
    assert left["test"].tolist() == ["carry", "speed", "speed trap"]
    assert left["reason"].iloc[0] == "carry needs a value above 0 in yd, ft, m"


def test_a_test_left_out_is_named_with_its_row(tmp_path, capsys):
    (tmp_path / "golfers.csv").write_text("golfer_id,display_name\nG1,Ada Quill\n")
    (tmp_path / "rounds.csv").write_text("golfer_id,played_on,score_differential\nG1,2026-05-01,14.2\n")
    (tmp_path / "assessments.csv").write_text(
        "golfer_id,assessed_on,test,distance_ft,tried,made,value,unit\n"
        "G1,2026-05-02,driver carry,,,,210,yd\n"
        "G1,2026-05-02,carry,,,,200,kg\n"
    )
    assert main(["check", str(tmp_path)]) == 0
    line = "warning: assessments.csv, row 3, column unit: carry is not used (found 'kg') - carry needs"
    assert line in capsys.readouterr().out


@pytest.mark.parametrize(
    ("word", "unit"), [(" M ", "m"), ("yds.", "yd"), ("Feet", "ft"), ("KPH", "km/h"), ("stone", None)]
)
def test_words_for_units(word, unit):
    assert unit_of(word) == unit


def test_putts_from_afar_and_other_tests():
    """A putt from 30 ft is not told by direction; a lag test and a bunker test have tasks of their own."""
    rows = [ladder([(30.0, 20, 2)]), ladder([(40.0, 10, 6)], "lag putts"), ladder([(15.0, 10, 3)], "sand")]
    found = measured(assessments=pd.concat(rows, ignore_index=True))
    assert found["kind"].tolist() == ["lag", "bunker"]
    assert found["area"].tolist() == ["putting", "short_game"]


def test_a_club_without_tests():
    assert rounds.test_measurements(make_tables({}), {}).empty


def test_what_says_nothing_narrows_nothing():
    points = np.linspace(-5, 5, 401)
    value, error = as_normal(points, np.zeros((401, 1)), 0.0, 1.0)
    assert error[0] == pytest.approx(1000**0.5)
    assert value[0] == pytest.approx(0.0, abs=1e-6)
