"""What past tests show, by a second route; the sheets to write on; the words of a routine."""

from __future__ import annotations

from datetime import date
from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest
import statsmodels.api as sm
from markupsafe import escape

from paryield.plan.measured import EIGHT_IN_TEN, early_and_late, measured_tests
from paryield.plan.testing import routines
from paryield.report import sections
from paryield.report.figures.tests import panels_of_tests
from paryield.report.testing_sheets import sheet_pages
from paryield.report.testing_words import (
    change_sentence,
    clear_change,
    measured_lines,
    measured_sentence,
    not_added,
    practised_sentence,
    routine_lines,
)
from paryield.rounds import coach_tests
from paryield.rounds.coach_tests import PROBIT_PER_STROKE
from paryield.tables import Tables, make_tables

DAY = date(2026, 6, 30)
GOLFERS = pd.DataFrame(
    {
        "golfer_id": ["G1", "G2", "G3"],
        "display_name": ["Ottilie <Fenwarth>", None, "Bram Teasdale"],
        "group": ["juniors", "juniors", None],
    }
)


def club(**frames: pd.DataFrame) -> Tables:
    return make_tables({"golfers": GOLFERS, **frames})


def chips(made: list[int], on: list[str], golfer: str = "G1") -> pd.DataFrame:
    frame = pd.DataFrame({"assessed_on": pd.to_datetime(on), "made": made, "tried": 20})
    return frame.assign(golfer_id=golfer, test="landing_spot_chip", distance_ft=30.0)


SPRING = ["2026-01-05", "2026-01-19", "2026-02-02", "2026-02-16", "2026-03-02", "2026-03-16"]
SUMMER = ["2026-07-06", "2026-07-20", "2026-08-03", "2026-08-17", "2026-08-31", "2026-09-14"]


def test_a_change_between_two_quarters_is_that_of_plain_regression():
    """Six tests a quarter; weighted least squares on a 0/1 column by another library, known errors."""
    rng = np.random.default_rng(5)
    frame = chips(rng.binomial(20, [0.4] * 6 + [0.55] * 6).tolist(), SPRING + SUMMER)
    tables = club(assessments=frame)
    (one,) = measured_tests(tables, "G1")
    rows = coach_tests.test_measurements(tables, {}).sort_values("on")
    later = np.repeat([0.0, 1.0], 6)
    plain = sm.WLS(
        rows["value"].to_numpy(dtype=float),
        sm.add_constant(later),
        weights=rows["error_sd"].to_numpy(dtype=float) ** -2.0,
    ).fit()
    assert one.change is not None
    saved, error = one.change
    assert saved == pytest.approx(plain.params[1] / PROBIT_PER_STROKE, rel=1e-9)
    assert error == pytest.approx(plain.bse[1] / np.sqrt(plain.scale) / PROBIT_PER_STROKE, rel=1e-6)


def test_results_stand_in_their_own_unit_with_a_range():
    tables = club(assessments=chips([8, 12], ["2026-03-01", "2026-06-01"]))
    (one,) = measured_tests(tables, "G1")
    assert one.unit == "% made"
    assert [result.on for result in one.results] == [date(2026, 3, 1), date(2026, 6, 1)]
    first, last = one.results
    assert first.low < 40.0 < first.high
    assert last.value > first.value
    assert first.strokes is not None
    assert last.strokes is not None
    assert first.strokes > last.strokes
    said = measured_sentence(one)
    assert "in March 2026" in said
    assert "worth" in said
    few = club(assessments=chips([8, 10], ["2026-03-01", "2026-06-01"]))
    assert "cannot tell it from no change" in measured_sentence(measured_tests(few, "G1")[0])


def test_practice_between_is_that_which_serves_the_area():
    days = pd.to_datetime(["2026-03-10", "2026-03-12", "2026-03-13", "2026-07-10"])
    practice = pd.DataFrame(
        {
            "golfer_id": "G1",
            "practised_on": days,
            "category": ["chipping", "short_putting", "chipping", "chipping"],
            "minutes": [60.0, 90.0, 30.0, 600.0],
        }
    )
    tables = club(assessments=chips([8, 12], ["2026-03-01", "2026-06-01"]), practice=practice)
    (one,) = measured_tests(tables, "G1")
    assert one.practised == (("chipping", 1.5),)
    assert "chipping 1.5 h" in practised_sentence(one).lower()


def test_the_putting_ladder_is_told_in_degrees():
    feet = [3.0, 6.0, 9.0, 12.0]
    frame = pd.DataFrame(
        {
            "golfer_id": "G1",
            "assessed_on": pd.to_datetime(["2026-03-02"] * 4 + ["2026-06-02"] * 4),
            "test": "putting_ladder",
            "distance_ft": feet * 2,
            "tried": 10,
            "made": [9, 5, 3, 2, 10, 7, 5, 4],
        }
    )
    (one,) = measured_tests(club(assessments=frame), "G1")
    assert one.unit == "degrees"
    assert one.before is not None
    assert one.after is not None
    assert 0.5 < one.after.value < one.before.value < 4.0
    assert one.change is not None
    assert one.change[0] == pytest.approx(one.before.strokes - one.after.strokes)
    assert "degrees" in measured_lines([one])[0]


def test_a_single_result_has_no_change():
    (one,) = measured_tests(club(assessments=chips([8], ["2026-03-01"])), "G1")
    assert one.change is None
    assert measured_sentence(one).endswith("once.")
    assert measured_lines([]) == ["No test on record."]


def test_early_and_late_never_share_a_result():
    for gaps in ([0, 30], [0, 100, 200, 400], [0, 10, 20, 30, 40], [0, 91, 182]):
        days = [date.fromordinal(739000 + gap) for gap in gaps]
        found = early_and_late(days)
        assert found is not None
        assert not (found[0] & found[1]).any()
        assert found[0][0]
        assert found[1][-1]
    assert early_and_late([DAY, DAY]) is None
    assert pytest.approx(1.2815515655446004, abs=1e-4) == EIGHT_IN_TEN


def test_a_sheet_a_group_names_its_members_and_escapes_them():
    tables = club()
    pages = sheet_pages(tables, routines(tables, None, on=DAY))
    assert sorted(pages) == ["tests-1-All-golfers.html", "tests-2-juniors.html"]
    juniors = pages["tests-2-juniors.html"]
    assert "Ottilie &lt;Fenwarth&gt;" in juniors
    assert "<Fenwarth>" not in juniors
    assert "Bram Teasdale" not in juniors
    assert 'class="across"' in juniors
    assert "target 150 yd" in juniors
    assert "<script" not in juniors


def test_a_golfers_sheet_is_small_and_holds_what_is_due_alone():
    tables = club(assessments=chips([9], ["2026-06-25"]))
    found = routines(tables, None, golfer="G1", minutes=60.0, on=DAY)
    (page,) = sheet_pages(tables, found, "G1").values()
    assert 'class="small"' in page
    assert "Landing-spot chips" not in page
    assert "Putting ladder" in page
    assert page.count('<th scope="col">made of 10</th>') == 6
    assert page.count("<td></td>") == 6 + 10 + 12 + 8


@pytest.mark.parametrize(("golfer", "size"), [(None, (297.0, 210.0)), ("G1", (148.0, 210.0))])
def test_a_sheet_is_one_page_of_its_size(golfer: str | None, size: tuple[float, float]):
    """A4 across for a group of six, A5 for a golfer, three measured tests each: ISO 216, at 96 dpi."""
    import weasyprint

    six = pd.DataFrame({"golfer_id": [f"G{number}" for number in range(1, 7)], "group": "juniors"})
    tables = make_tables({"golfers": six})
    pages = sheet_pages(tables, routines(tables, None, golfer=golfer, on=DAY), golfer)
    (page,) = pages.values()
    assert page.count("<h2>") == 3
    (laid_out,) = weasyprint.HTML(string=page).render().pages
    found = [length * 25.4 / 96.0 for length in (laid_out.width, laid_out.height)]
    assert found == pytest.approx(size, abs=0.5)


def test_the_lines_say_who_is_due_and_what_comes_first():
    tables = club(assessments=chips([9], ["2026-06-25"]))
    several = routine_lines(routines(tables, None, on=DAY))
    assert several[0] == "Tests due on 30 June 2026, 10 minutes a week."
    assert len(several) == 5
    one = routine_lines(routines(tables, None, golfer="G1", on=DAY))
    assert one[0].startswith("Golfer G1: test ")
    assert "25 June 2026" in "\n".join(one)


def test_the_figure_draws_every_result_with_its_range():
    tables = club(assessments=chips([8, 9, 12], ["2026-03-01", "2026-04-01", "2026-06-01"]))
    found = measured_tests(tables, "G1")
    figure = panels_of_tests(found)
    (axes,) = [one for one in figure.axes if one.get_visible()]
    dots = axes.lines[-1]
    assert list(dots.get_ydata()) == pytest.approx([one.value for one in found[0].results])
    ranges = [sorted(line.get_ydata()) for line in axes.lines[:-1]]
    assert ranges == [[one.low, one.high] for one in found[0].results]
    assert "higher is better" in axes.get_title(loc="left")
    assert panels_of_tests([]).axes


def test_the_part_of_the_page_says_what_the_terminal_says():
    tables = club(assessments=chips([8, 12], ["2026-03-01", "2026-06-01"]))
    found = tuple(measured_tests(tables, "G1"))
    page = str(
        sections.tests_section(SimpleNamespace(tests=found, golfer_id="G1", long=True, due=(), counting=8))
    )
    assert str(escape(measured_sentence(found[0]))) in page
    assert "move the index, the best 8 of the latest 20 rounds, too." in page
    assert 'class="figure narrow"' in page
    assert sections.tests_section(SimpleNamespace(tests=(), due=(), counting=0)) == ""


def test_a_golfers_page_says_clear_changes_in_short_and_names_the_rest():
    made = {"clear": [2, 18], "luck": [8, 10]}
    shown = {}
    for name, counts in made.items():
        tables = club(assessments=chips(counts, ["2026-03-01", "2026-06-01"]))
        shown[name] = tuple(measured_tests(tables, "G1"))
        assert clear_change(shown[name][0]) == (name == "clear")

    def view(name: str) -> SimpleNamespace:
        return SimpleNamespace(tests=shown[name], golfer_id="G1", long=False, due=(), counting=8)

    page = str(sections.tests_section(view("clear")))
    saved, error = shown["clear"][0].change
    low, high = saved - 1.2816 * error, saved + 1.2816 * error
    assert f"{saved:.1f} strokes a round better since Mar 2026 ({low:.1f} to {high:.1f})." in page
    assert "Test changes do not add up to how the index moved: each is of one area" in page
    page = str(sections.tests_section(view("luck")))
    assert "No change that can be told from luck: landing spot chip, 30 ft." in page
    once = club(assessments=chips([8], ["2026-03-01"]))
    assert not_added(measured_tests(once, "G1")) == ""
    few = not_added(shown["clear"], 3)
    assert "the best 3 rounds so far (later the best 8 of the latest 20 rounds)" in few
    with pytest.raises(ValueError, match="not taken twice"):
        change_sentence(measured_tests(once, "G1")[0])
