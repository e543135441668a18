"""Areas of a fit held against truth: they sum to the mean differential, and the table is by hand."""

import numpy as np
import pandas as pd
import pytest

from paryield.club import Club
from paryield.evaluate.areas import score_areas, table_by_detail
from paryield.forecast import golfer_draws, steady_path
from paryield.forecast.areas import area_now
from paryield.forecast.current import current_fit
from paryield.synth import ClubSpec, make_club
from paryield.tables import AREAS


@pytest.fixture(scope="module")
def posterior(fitted_club):
    with Club.open(fitted_club) as club:
        return current_fit(club)[1]


def test_areas_sum_to_the_mean_differential_of_the_day(posterior):
    """Second route: the path of the forecast on day 0, and the form of that day."""
    for golfer_id in posterior.golfers:
        golfer = golfer_draws(posterior, golfer_id)
        path = steady_path(golfer, np.zeros(1), golfer.recent)[:, 0] + golfer.form
        assert area_now(posterior, golfer_id).sum(axis=1) == pytest.approx(path)


def test_scores_of_the_fitted_club(posterior):
    """The fixture's club: 6 golfers x 4 areas, truth from the generator."""
    club = make_club(ClubSpec(golfers=6, weeks=26, seed=3))
    scores = score_areas(club, posterior)
    assert scores.groupby("golfer_id")["area"].agg(list).tolist() == [list(AREAS)] * len(posterior.golfers)
    one = scores.iloc[0]
    draws = area_now(posterior, one["golfer_id"])[:, 0]
    assert one["truth"] == pytest.approx(club.truth.areas(one["golfer_id"], "2026-07-05")[0], abs=0.5)
    assert one["error"] == pytest.approx(np.median(draws) - one["truth"])
    assert one["cover80"] == float(np.quantile(draws, 0.1) <= one["truth"] <= np.quantile(draws, 0.9))


def test_the_table_by_hand():
    """Bias of clubs 0.2 and 0.4: mean 0.3, standard error 0.1414 / sqrt(2) = 0.1; coverage 3 of 4."""
    frame = pd.DataFrame(
        {
            "detail": ["scores", "scores", "scores", "scores", "shots", "shots"],
            "seed": [1, 1, 2, 2, 1, 2],
            "error": [0.1, 0.3, 0.4, 0.4, 0.0, 0.2],
            "cover80": [1.0, 1.0, 1.0, 0.0, 1.0, 1.0],
            "width80": [2.0, 2.0, 3.0, 3.0, 1.0, 1.0],
        }
    )
    table = table_by_detail(frame)
    assert table["detail"].tolist() == ["shots", "scores"]
    row = table.iloc[1]
    assert row[["n", "bias", "bias_se", "cover80", "width80"]].tolist() == pytest.approx(
        [4, 0.3, 0.1, 0.75, 2.5]
    )
    assert row["rmse"] == pytest.approx(np.sqrt((0.01 + 0.09 + 0.16 + 0.16) / 4))
