"""A made-up club is made while one waits."""

import pytest

from paryield.synth import ClubSpec, make_club


@pytest.mark.bench
def test_eighty_golfers_for_a_year_and_a_half_in_under_three_seconds(benchmark):
    benchmark(make_club, ClubSpec(golfers=80, weeks=78))
    assert benchmark.stats.stats.median < 3.0
