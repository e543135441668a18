from __future__ import annotations

import pandas as pd
import pytest
from report_tables import forecast_records, quantiles, returns_records, rounds_frame

from paryield.errors import InputError
from paryield.report import frames


def test_quantiles_under_the_name_of_the_quantity_are_spread_out() -> None:
    frame = frames.returns_frame(returns_records())
    assert frame.loc[0, "q10"] == pytest.approx(quantiles(0.42, 0.14)["q10"])
    assert "strokes_per_weekly_hour" not in frame
    pd.testing.assert_frame_equal(frames.returns_frame(frame), frame)


def test_returns_without_any_number_are_allowed_and_show_nothing() -> None:
    blank = [{**one, "strokes_per_weekly_hour": None, "verdict": None} for one in returns_records()]
    assert frames.practice_rows(frames.returns_frame(blank)).empty


def test_the_phantom_is_apart_from_practice() -> None:
    frame = frames.returns_frame(returns_records())
    assert "phantom" not in set(frames.practice_rows(frame)["category"])
    noise = frames.noise_row(frame)
    assert noise is not None
    assert noise["q50"] == pytest.approx(0.02)
    assert frames.noise_row(frame[frame["category"] != "phantom"]) is None


def test_a_forecast_counts_as_given_only_with_a_number_and_a_yes() -> None:
    plain = [one for one in forecast_records() if one["quantity"] == "handicap_index"][:4]
    plain[1] = {**plain[1], "reportable": False}
    plain[2] = {**plain[2], **dict.fromkeys(quantiles(0, 1))}
    plain[3] = {key: value for key, value in plain[3].items() if key != "reportable"}
    assert frames.forecast_frame(plain)["reportable"].tolist() == [True, False, False, False]


def test_rounds_are_put_in_order_and_blanks_of_any_kind_are_blanks() -> None:
    rounds = rounds_frame(count=5).astype({"index_after": "Float64"}).iloc[::-1]
    frame = frames.rounds_frame(rounds)
    assert frame["played_on"].is_monotonic_increasing
    assert frame["index_after"].isna().tolist() == [True, True, False, False, False]


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"evidence": "certain"}, "unknown evidence certain"),
        ({"verdict": None}, "unknown verdict None"),
    ],
)
def test_an_unknown_word_is_named(change: dict[str, object], message: str) -> None:
    with pytest.raises(InputError, match=message):
        frames.returns_frame([{**returns_records()[0], **change}])


def test_an_unknown_quantity_is_named_with_the_known_ones() -> None:
    with pytest.raises(InputError, match="unknown quantity net_score") as caught:
        frames.forecast_frame([{**forecast_records()[0], "quantity": "net_score"}])
    assert caught.value.line() == (
        "forecast: unknown quantity net_score - use mean_differential, score_differential, handicap_index"
    )
