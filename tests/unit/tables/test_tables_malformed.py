"""Every malformed folder gives exactly the errors meant, one clear line each."""

import pytest

from malformed import MALFORMED, Malformed


def test_the_list_is_long_and_its_names_differ():
    assert len({case.name for case in MALFORMED}) == len(MALFORMED) >= 40


@pytest.mark.parametrize("case", MALFORMED, ids=lambda case: case.name)
def test_each_error_is_one_clear_line(case: Malformed, read):
    reading = read(dict(case.files), bare=True)
    lines = [problem.line() for problem in reading.errors]
    assert len(lines) == len(case.errors), lines
    for line, fragments in zip(lines, case.errors, strict=True):
        assert "\n" not in line
        for fragment in fragments:
            assert fragment in line
    assert all(problem.remedy and problem.message for problem in reading.problems)
