"""Speed of the index engine: rounds a second on one core, and the ratio to the plain route."""

import importlib.util
import time
from datetime import date
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest

from paryield.scoring import Entry, handicap_record, index_paths, index_state

PLAIN = Path(__file__).parents[1] / "unit" / "scoring" / "plain_index.py"
LEAST = 5_000_000
"""Rounds a second that the forecaster counts on."""


def plain_route():
    spec = importlib.util.spec_from_file_location("plain_index", PLAIN)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.plain_indexes


@pytest.mark.bench
def test_rounds_a_second(capsys):
    random = np.random.default_rng(9)
    first = date(2026, 1, 1).toordinal()
    entries = [
        Entry(date.fromordinal(first + n), score_differential=round(float(random.normal(18, 3.4)), 1))
        for n in range(30)
    ]
    state = index_state(handicap_record(entries))
    days = first + 40 + np.arange(60) * 6
    scores = random.normal(17, 3.4, (20_000, 60))
    index_paths(state, days, scores[:2])
    elapsed = []
    for _ in range(5):
        start = time.perf_counter()
        paths = index_paths(state, days, scores)
        elapsed.append(time.perf_counter() - start)
    rate = scores.size / min(elapsed)

    plain, known = (
        plain_route(),
        [(e.played_on.toordinal(), Decimal(str(e.score_differential))) for e in entries],
    )
    future = [(int(day), Decimal(repr(float(value)))) for day, value in zip(days, scores[0], strict=True)]
    start = time.perf_counter()
    answers = plain(known + future)[len(known) :]
    plain_rate = len(future) / (time.perf_counter() - start)
    np.testing.assert_array_equal(paths[0], [float(value) for value in answers])
    with capsys.disabled():
        print(
            f"\n{rate / 1e6:.1f} million rounds/s on one core, {rate / plain_rate:.0f} times the plain route"
        )
    assert rate >= LEAST
