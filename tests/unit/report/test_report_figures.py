from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pandas as pd
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text
from report_tables import (
    areas_records,
    forecast_records,
    quantiles,
    returns_records,
    rounds_frame,
    split_records,
)

from paryield.errors import InputError
from paryield.report import figures
from paryield.report.figures import fan, style
from paryield.report.svg import inline_svg

WIDTHS = ("wide", "narrow")
NAMES = {f"G{k}": f"Golfer with a rather long name {k}" for k in range(9)}
NOW = {f"G{k}": 4.0 * k - 2 for k in range(9)}


def club() -> pd.DataFrame:
    return pd.concat([pd.DataFrame(forecast_records(key, now)) for key, now in NOW.items()])


def draw(kind: str, width: Any) -> Figure:
    if kind == "fan":
        return figures.forecast_fan(rounds_frame(), pd.DataFrame(forecast_records()), width=width)
    if kind == "returns":
        return figures.returns_dots(pd.DataFrame(returns_records()), width=width)
    if kind == "areas":
        return figures.area_dots(areas_records(), width=width)
    if kind == "split":
        return figures.split_dots(split_records(), width=width)
    return figures.club_overview(club(), index_now=NOW, names=NAMES, width=width)


def shown(figure: Figure) -> Iterator[Text]:
    beyond = set()
    for axis in (figure.axes[0].xaxis, figure.axes[0].yaxis):
        low, high = sorted(axis.get_view_interval())
        ticks = zip(axis.get_majorticklocs(), axis.get_ticklabels(), strict=True)
        beyond |= {label for place, label in ticks if not low <= place <= high}
    for text in figure.findobj(Text):
        assert isinstance(text, Text)
        if text.get_visible() and text.get_text().strip() and text not in beyond:
            yield text


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("kind", ["fan", "returns", "areas", "hours", "overview", "split"])
def test_no_text_is_cut_off_or_overlaps(kind: str, width: str) -> None:
    figure = draw(kind, width)
    renderer = FigureCanvasAgg(figure).get_renderer()
    figure.draw(renderer)
    boxes = [(text.get_text(), text.get_window_extent(renderer)) for text in shown(figure)]
    for text, box in boxes:
        assert box.x0 >= -1, text
        assert box.y0 >= -1, text
        assert box.x1 <= figure.bbox.width + 1, text
        assert box.y1 <= figure.bbox.height + 1, text
    for (one, first), (other, second) in combinations(boxes, 2):
        crossing = first.padded(-1.5).overlaps(second.padded(-1.5))
        assert not crossing, f"{one!r} over {other!r}"


def test_returns_are_sorted_by_size_with_the_dots_where_the_numbers_are() -> None:
    shuffled = pd.DataFrame(returns_records()).sample(frac=1, random_state=1)
    axes = figures.returns_dots(shuffled).axes[0]
    names = [label.get_text() for label in axes.get_yticklabels()]
    assert names == ["chipping", "irons", "short putting", "driver", "strength", "noise floor"]
    dots = {
        float(line.get_ydata()[0]): float(line.get_xdata()[0])
        for line in axes.lines
        if line.get_marker() == "o"
    }
    assert dots == {0.0: 0.42, 1.0: 0.21, 2.0: 0.15, 3.0: 0.1, 4.0: 0.05, 5.0: 0.02}
    assert axes.get_xlabel() == "strokes saved a round per extra weekly hour, after 12 weeks"


def test_only_what_stands_out_is_coloured() -> None:
    axes = figures.returns_dots(pd.DataFrame(returns_records())).axes[0]
    dots = [line for line in axes.lines if line.get_marker() == "o"]
    assert [line.get_color() for line in dots].count(style.HUE) == 1
    assert next(line for line in dots if line.get_color() == style.HUE).get_ydata()[0] == 0


def test_areas_are_sorted_with_dots_and_rings_where_the_numbers_are() -> None:
    axes = figures.area_dots(areas_records()[::-1]).axes[0]
    names = [label.get_text() for label in axes.get_yticklabels()]
    assert names == ["putting", "short game", "approach", "off the tee"]
    dots = [line for line in axes.lines if line.get_marker() == "o"]
    filled = [line for line in dots if line.get_markerfacecolor() != "white"]
    assert [line.get_xdata()[0] for line in filled] == pytest.approx([1.2, 0.4, -0.2, -1.4])
    assert [line.get_color() for line in filled] == [style.HUE, *[style.GREY] * 3]
    rings = [line.get_xdata()[0] for line in dots if line.get_markerfacecolor() == "white"]
    assert rings == pytest.approx([1.6, 0.9, 0.3, -0.9])
    assert "ring: than those of index 11.0" in axes.get_xlabel()
    without = figures.area_dots(areas_records(goal=None)).axes[0]
    assert "ring" not in without.get_xlabel()
    assert len([line for line in without.lines if line.get_marker() == "o"]) == 4


def test_noise_floor_band_spans_eight_in_ten_of_the_phantom() -> None:
    axes = figures.returns_dots(pd.DataFrame(returns_records())).axes[0]
    band = axes.patches[0].get_bbox()
    law = quantiles(0.02, 0.09)
    assert (band.x0, band.x1) == pytest.approx((law["q10"], law["q90"]))


def test_fan_draws_the_record_and_the_forecast_as_given() -> None:
    rounds, forecast = rounds_frame(), pd.DataFrame(forecast_records())
    axes = figures.forecast_fan(rounds, forecast).axes[0]
    dots = next(line for line in axes.lines if line.get_marker() == "o")
    # Rounds are 3, 14, ... days back: 33 of the 34 lie within 52 weeks (364 days).
    np.testing.assert_allclose(dots.get_ydata(), rounds["differential"].to_numpy()[1:])
    index = forecast[forecast["quantity"] == "handicap_index"]
    assert any(
        len(line.get_ydata()) == len(index) and np.allclose(line.get_ydata(), index["q50"])
        for line in axes.lines
    )
    last = index.iloc[-1]
    edges = []
    for band in axes.collections:
        points = band.get_paths()[0].vertices
        final = points[points[:, 0] == points[:, 0].max(), 1]
        edges.append((final.min(), final.max()))
    expected = [(last[low], last[high]) for low, high in (("q025", "q975"), ("q10", "q90"), ("q25", "q75"))]
    np.testing.assert_allclose(edges, expected)
    labels = {text.get_text() for text in axes.texts}
    assert {"50 %", "80 %", "95 %", "Handicap Index 11.9", "average round 14.3"} <= labels
    assert axes.get_ylabel() == "strokes (lower is better)"


def test_what_is_not_reportable_is_not_drawn() -> None:
    refused = [{**one, "reportable": False} for one in forecast_records()]
    axes = figures.forecast_fan(rounds_frame(), pd.DataFrame(refused)).axes[0]
    assert not axes.collections
    assert not axes.texts
    figure = figures.club_overview(pd.DataFrame(refused), index_now={}, names={})
    assert "No golfer has a forecast to show." in {text.get_text() for text in shown(figure)}


def test_overview_has_lowest_on_top_and_plus_handicaps_as_written() -> None:
    figure = draw("overview", "wide")
    axes = figure.axes[0]
    assert axes.get_yticklabels()[0].get_text() == "Golfer with a rather long…"
    beside = [text.get_text() for text in axes.texts]
    assert beside[0] == "+2.0 → +2.7"
    assert beside[-1] == "30.0 → 29.3"


def test_a_missing_column_is_named() -> None:
    with pytest.raises(InputError, match="column verdict is missing"):
        figures.returns_dots(pd.DataFrame(returns_records()).drop(columns="verdict"))


def test_labels_are_moved_apart_in_order_and_no_more_than_needed() -> None:
    assert style.spread_out([1.0, 5.0, 9.0], 2.0) == [1.0, 5.0, 9.0]
    placed = style.spread_out([3.0, 1.0, 1.1, 1.2], 1.0)
    ordered = sorted(placed)
    assert min(np.diff(ordered)) >= 1.0 - 1e-9
    assert np.argsort(placed).tolist() == [1, 2, 3, 0]


def test_svg_is_the_same_each_time_and_carries_no_style_or_address() -> None:
    first, second = (inline_svg(draw("fan", "wide"), name="fan", alt="a & b") for _ in range(2))
    assert first == second
    assert 'aria-label="a &amp; b"' in first
    for outside in ("http", "style=", "<style", "<metadata", "<image", "xlink"):
        assert outside not in first
    with pytest.raises(ValueError, match="lower-case letters"):
        inline_svg(draw("returns", "wide"), name="a b", alt="")


def test_the_stroke_of_a_mark_is_said_where_it_is_drawn_so_that_the_dark_page_can_turn_it() -> None:
    root = ElementTree.fromstring(str(inline_svg(draw("overview", "wide"), name="ring", alt="Rings")))
    shapes = [shape for defs in root.iter("defs") for shape in defs.findall("path")]
    drawn = [use for use in root.iter("use") if "x" in use.attrib]
    assert len(shapes) > 1
    assert not any("stroke" in shape.attrib for shape in shapes)
    assert sum(use.attrib.get("stroke") == style.INK for use in drawn) == len(NAMES)
    assert all("stroke" in use.attrib for use in drawn)


@pytest.mark.parametrize("width", WIDTHS)
def test_a_low_goal_does_not_lie_over_the_word_forecast(width: Any) -> None:
    """A goal on a day soon after the last one on record, below all else."""
    forecast = pd.DataFrame(forecast_records())
    for soon in (0, 2):
        on = pd.Timestamp(forecast["on"].min()) + pd.Timedelta(weeks=8 * soon + 6)
        figure = figures.forecast_fan(rounds_frame(), forecast, goal=(on.date(), 5.5), width=width)
        renderer = FigureCanvasAgg(figure).get_renderer()
        boxes = {text.get_text(): text.get_window_extent(renderer) for text in figure.axes[0].texts}
        assert not boxes["forecast"].overlaps(boxes["goal 5.5"])


@pytest.mark.parametrize("index", [-2.4, 36.4, 54.0])
def test_the_label_beside_another_week_is_not_cut_off(monkeypatch: pytest.MonkeyPatch, index: float) -> None:
    seen: list[Figure] = []

    def keep(figure: Figure, **named: Any) -> Any:
        seen.append(figure)
        return inline_svg(figure, **named)

    monkeypatch.setattr(fan, "inline_svg", keep)
    rows = [row | {"q50": index} for row in forecast_records(now=index)]
    fan.what_if_picture(rows, rows)
    figure = seen[0]
    renderer = FigureCanvasAgg(figure).get_renderer()
    label = next(text for text in figure.axes[0].texts if text.get_text().startswith("present"))
    assert label.get_window_extent(renderer).x1 <= figure.bbox.x1


def test_the_rounds_that_make_the_index_are_ringed() -> None:
    """Open marks around the dots of the rounds that count, and none where none is named."""
    rounds = rounds_frame()
    drawn = figures.forecast_fan(rounds.assign(counts=False), pd.DataFrame(forecast_records())).axes[0]
    assert not [line for line in drawn.lines if line.get_markerfacecolor() == "none"]
    best = set(rounds["differential"].nsmallest(3).index)
    counts = rounds.assign(counts=[place in best for place in rounds.index])
    drawn = figures.forecast_fan(counts, pd.DataFrame(forecast_records())).axes[0]
    (ringed,) = [line for line in drawn.lines if line.get_markerfacecolor() == "none"]
    assert sorted(ringed.get_ydata()) == pytest.approx(sorted(rounds.loc[list(best), "differential"]))


def test_the_week_shows_the_plan_that_runs_and_the_advised_week_second() -> None:
    """Dots stand at the hours of the plan, diamonds at the advised ones; a practice of the plan alone too."""
    blank = {"hours_now": 1.0, "usual_low": 0.2, "usual_high": 1.5}
    record = {
        "verdict": "keep",
        "weeks_plan": [
            {"category": "chipping", "hours_advised": 2.0, **blank},
            {"category": "irons", "hours_advised": 0.5, **blank},
        ],
    }
    plain = figures.week_dots(record).axes[0]
    assert plain.get_xlabel() == "hours a week (ring: present, dot: advised)"
    axes = figures.week_dots(record, running={"irons": 1.25, "bunker": 0.75}).axes[0]
    assert axes.get_xlabel() == "hours a week (ring: present, dot: plan, diamond: advised)"
    marks: dict[str, list[float]] = {"o": [], "D": []}
    for line in axes.lines:
        if line.get_marker() in marks and line.get_markerfacecolor() != "white":
            marks[line.get_marker()] += list(line.get_xdata())
        elif line.get_marker() == "D":
            marks["D"] += list(line.get_xdata())
    assert sorted(marks["o"]) == [0.0, 0.75, 1.25]
    assert sorted(marks["D"]) == [0.0, 0.5, 2.0]
    assert [label.get_text() for label in axes.get_yticklabels()] == ["irons", "bunker", "chipping"]
