"""The bad spell on which members join: the last rounds hold all of it, its form fades to both sides."""

from __future__ import annotations

import numpy as np

from paryield.dose.exposure import (
    COMPLETED,
    FORM_DAYS,
    FORM_SHARE,
    Enrolment,
    form_on_joining,
    spell_of_rounds,
)

ONE = Enrolment("A", "spring", 1000, 1084, 1084, COMPLETED)


def test_the_last_five_rounds_before_joining_hold_all_of_it() -> None:
    days = np.array([870, 940, 950, 960, 970, 980, 990, 1000, 1060])
    found = spell_of_rounds([ONE], "spring", days)
    np.testing.assert_array_equal(found[:2], 0.0)
    np.testing.assert_array_equal(found[2:7], 1.0)
    np.testing.assert_allclose(found[7:], FORM_SHARE * np.exp(-np.array([0.0, 60.0]) / FORM_DAYS))


def test_rounds_of_long_ago_are_not_of_the_spell() -> None:
    np.testing.assert_array_equal(
        spell_of_rounds([ONE], "spring", np.array([600, 700, 900, 990])), [0, 0, 1, 1]
    )


def test_form_fades_to_both_sides_and_nobody_has_any_without_a_programme() -> None:
    days = np.array([940.0, 1000.0, 1060.0])
    near, far = FORM_SHARE, FORM_SHARE / np.e
    np.testing.assert_allclose(form_on_joining([ONE], "spring", days), [far, near, far])
    np.testing.assert_array_equal(form_on_joining([], "spring", days), 0.0)
    np.testing.assert_array_equal(spell_of_rounds([], "spring", days), 0.0)
