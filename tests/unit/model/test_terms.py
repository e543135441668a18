"""Terms of the model: what each adds, by hand, in the fit, on past days and on days to come."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pandas as pd
import pytest

from paryield.model.health import REPORTED
from paryield.model.likelihood import total_noise
from paryield.model.population import PopulationValues
from paryield.model.prior import COMPUTED, JUDGED, MEMORY, READ
from paryield.model.spec import ModelSpec, Priors
from paryield.model.terms import (
    ALL,
    COURSE,
    EFFECTS,
    MEASURED,
    PRACTICE,
    TERMS,
    VALUES,
    constants,
    shared_strokes,
)
from paryield.model.terms.background import Background
from paryield.model.terms.drift import Drift, come
from paryield.model.terms.events import Events
from paryield.model.terms.form import Form
from paryield.model.terms.growth import Growth
from paryield.model.terms.joining import Joining
from paryield.model.terms.level import Level, mean_level
from paryield.model.terms.practice import Response, Start, gap_left, rates_of, reference_gap, start_share
from paryield.model.terms.programme import Programme, Spell
from paryield.model.terms.round_terms import Competition, Course
from paryield.model.terms.season import HalfYear, Season
from paryield.model.terms.stats import STATS, OwnStats
from paryield.model.terms.term import Here, Moments, Values
from paryield.tables import make_tables

AS_OF = 20_000


def moments(*days: float, **changed: Any) -> Moments:
    """Days of one golfer whose record began 400 days before the last day of the data."""
    shape = len(days)
    known: dict[str, Any] = {"as_of": AS_OF, "priors": Priors()}
    who = np.full(shape, "A", dtype=object)
    at = Moments(who, np.array(days), np.full(shape, AS_OF - 400.0), np.ones(shape), **known)
    return replace(at, **changed)


def draws(**values: float) -> Values:
    """Two draws of each value, the second twice the first."""
    return PopulationValues({name: np.array([value, 2.0 * value]) for name, value in values.items()})


def test_season_is_a_wave_of_one_year() -> None:
    day = 365.25 * 55
    columns = Season().columns(moments(day, day + 365.25 / 4, day + 365.25 / 2))
    found = Season().strokes(draws(season_cos=0.7, season_sin=-0.2), columns, np)
    np.testing.assert_allclose(found[0], [0.7, -0.2, -0.7], atol=1e-9)
    np.testing.assert_allclose(found[1], 2.0 * found[0])


def test_the_smaller_wave_has_two_tops_a_year() -> None:
    day = 365.25 * 55
    columns = HalfYear().columns(moments(day, day + 365.25 / 8, day + 365.25 / 4, day + 365.25 / 2))
    found = HalfYear().strokes(draws(season_cos2=0.3, season_sin2=0.1), columns, np)
    np.testing.assert_allclose(found[0], [0.3, 0.1, -0.3, 0.3], atol=1e-9)


def test_a_junior_gains_by_growing_and_an_adult_does_not() -> None:
    """Born in 2012, 12 and a half when the record begins: whole growth for the 400 days, then also ahead; at
    18, half way from 16 to 20, half of it: checked by adding up days."""
    start = float((np.datetime64("2024-12-31") - np.datetime64("1970-01-01")).astype(int))
    year = 365.25

    def gained(born: float | None, *days: float) -> Any:
        people = pd.DataFrame({"golfer_id": ["A"], "birth_year": pd.array([born], dtype="Int64")})
        at = moments(*days, start=np.full(len(days), start), tables=make_tables({"golfers": people}))
        return Growth().strokes(draws(growth=1.5), Growth().columns(at), np)[0]

    np.testing.assert_allclose(gained(2012, start, start + year), [0.0, -1.5], atol=0.02)
    # Age 17.5 to 18.5 at half a share on average: 1 - 2 / 4.
    np.testing.assert_allclose(gained(2007, start, start + year), [0.0, -0.75], atol=0.02)
    np.testing.assert_array_equal(gained(1980, start, start + year), 0.0)
    np.testing.assert_array_equal(gained(None, start, start + year), 0.0)
    kept = moments(start + year, start=np.array([start]), kept={"growth": np.array([2012.0])})
    np.testing.assert_allclose(
        Growth().strokes(draws(growth=1.5), Growth().ahead(kept), np)[0], -1.5, atol=0.02
    )


def test_events_are_steps_of_the_golfer_they_happened_to() -> None:
    def on(day: float) -> pd.Timestamp:
        return pd.Timestamp("1970-01-01") + pd.Timedelta(days=day)

    rows = [
        ("A", on(AS_OF - 100.0), "lesson", pd.NaT),
        ("A", on(AS_OF - 50.0), "lesson", pd.NaT),
        ("A", on(AS_OF - 40.0), "injury", on(AS_OF - 30.0)),
        ("A", on(AS_OF - 20.0), "equipment", pd.NaT),
        ("B", on(AS_OF - 80.0), "illness", pd.NaT),
        ("A", on(AS_OF + 5.0), "lesson", pd.NaT),
        ("B", on(AS_OF - 90.0), "lesson", pd.NaT),
    ]
    events = pd.DataFrame(rows, columns=["golfer_id", "happened_on", "kind", "until"])
    golfers = pd.DataFrame({"golfer_id": ["A", "B"]})
    days = (AS_OF - 101.0, AS_OF - 60.0, AS_OF - 35.0, AS_OF - 25.0, AS_OF + 10.0)
    at = moments(*days, tables=make_tables({"golfers": golfers, "events": events}))
    found = Events().strokes(draws(lesson_gain=0.2, ailing=1.0, changed=0.4), Events().columns(at), np)[0]
    np.testing.assert_allclose(found, [0.0, -0.2, -0.4 + 1.0, -0.4, -0.4 + 0.4])
    other = replace(
        at, golfer=np.full(len(days), "B", dtype=object), day=AS_OF + np.array([-81.0, -80, -52, -51, 0])
    )
    # A lesson 90 days ago, and an illness without an end that is taken to last 28 days.
    ill = Events().strokes(draws(lesson_gain=0.0, ailing=1.0, changed=0.4), Events().columns(other), np)[0]
    np.testing.assert_allclose(ill, [0.0, 1.0, 1.0, 0.0, 0.0])
    ahead = moments(AS_OF + 28.0, kept={"events": np.array([2.0, 1.0, 0.0])})
    left = Events().strokes(draws(lesson_gain=0.2, ailing=1.0, changed=0.4), Events().ahead(ahead), np)[0]
    np.testing.assert_allclose(left, -0.4 + np.exp(-1.0))


def test_a_trend_takes_strokes_away_and_fades_beyond_the_data() -> None:
    """Half a year on, a trend that fades in half a year has given 0.5 (1 - 1/e) of a year."""
    half = 365.25 / 2
    columns = Background().columns(moments(AS_OF - 400.0, AS_OF - 400.0 + 365.25, AS_OF, AS_OF + half))
    found = Background().strokes(draws(trend=0.3), columns, np)
    now = -0.3 * 400.0 / 365.25
    np.testing.assert_allclose(found[0], [0.0, -0.3, now, now - 0.15 * (1.0 - np.exp(-1.0))], atol=1e-9)


def test_form_on_joining_fades_for_who_is_new() -> None:
    days = Priors().start_shift_days
    columns = Joining().columns(moments(AS_OF - 400.0, AS_OF - 400.0 + days))
    found = Joining().strokes(draws(start_shift=1.5), columns, np)
    np.testing.assert_allclose(found[0], [1.5, 1.5 / np.e])
    old = Joining().columns(moments(AS_OF, joined=np.zeros(1)))
    np.testing.assert_array_equal(old, 0.0)


def programmes() -> Any:
    start = np.datetime64(AS_OF - 200, "D")
    row = {
        "golfer_id": "A",
        "programme": "spring",
        "started_on": start,
        "ended_on": start + np.timedelta64(100, "D"),
    }
    golfers = pd.DataFrame({"golfer_id": ["A"]})
    return make_tables({"programmes": pd.DataFrame([row]), "golfers": golfers})


def test_a_programme_gives_by_the_share_gone_through_and_stays() -> None:
    at = moments(AS_OF - 201, AS_OF - 150, AS_OF, tables=programmes(), programmes=("autumn", "spring"))
    columns = Programme().columns(at)
    p = PopulationValues({"programme_effect": np.array([[9.0, -1.2], [9.0, -2.4]])})
    np.testing.assert_allclose(Programme().strokes(p, columns, np)[0], [0.0, -0.6, -1.2], atol=1e-9)
    ahead = Programme().ahead(moments(AS_OF + 50.0, kept={"programme": columns[:, -1]}))
    np.testing.assert_allclose(Programme().strokes(p, ahead, np)[:, 0], [-1.2, -2.4])


def test_the_spell_before_joining_holds_five_rounds_and_its_form_goes_on() -> None:
    days = np.array([-90.0, -40, -30, -20, -10, -1, 0, 60]) + AS_OF - 200
    at = moments(*days, tables=programmes(), programmes=("spring",))
    played = pd.DataFrame({"differential": np.full(8, 12.0)})
    fitted = Spell().columns(replace(at, rounds=played, fitted=True))[0]
    np.testing.assert_allclose(fitted, [0.0, 1, 1, 1, 1, 1, 0.23, 0.23 / np.e], atol=1e-9)
    found = Spell().strokes(PopulationValues({"enrol_shift": np.array([[0.8]])}), fitted[None, :], np)
    np.testing.assert_allclose(found[0], 0.8 * fitted)
    other = Spell().columns(at)[0]
    np.testing.assert_allclose(other[-2:], [0.23, 0.23 / np.e])
    ahead = Spell().ahead(moments(AS_OF + 60.0, kept={"spell": np.array([0.5])}))
    np.testing.assert_allclose(ahead, [[0.5 / np.e]])


def test_a_competition_costs_and_a_course_is_harder_in_its_rounds_alone() -> None:
    played = pd.DataFrame({"competition": pd.array([True, None, False], dtype="boolean")})
    columns = Competition().columns(moments(1.0, 2.0, 3.0, rounds=played))
    found = Competition().strokes(draws(competition=0.4), columns, np)
    np.testing.assert_allclose(found[0], [0.4, 0.0, 0.0])
    np.testing.assert_array_equal(Competition().ahead(moments(AS_OF + 7.0)), 0.0)
    one_hot = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
    harder = Course().strokes(PopulationValues({"course_effect": np.array([[1.1, -1.1]])}), one_hot, np)
    np.testing.assert_allclose(harder[0], [1.1, -1.1, 0.0])


def test_all_terms_are_added_up_once() -> None:
    at = moments(AS_OF - 30.0, AS_OF, tables=programmes(), programmes=("spring",), rounds=None)
    columns = {term.name: term.columns(at) for term in TERMS}
    p = draws(season_cos=0.7, season_sin=-0.2, trend=0.3, start_shift=1.5, competition=0.4)
    p |= draws(season_cos2=0.1, season_sin2=0.2, growth=0.6, lesson_gain=0.2, ailing=0.7, changed=0.3)
    p |= {"programme_effect": np.array([[-1.2], [-2.4]]), "enrol_shift": np.array([[0.8], [1.6]])}
    expected = sum(term.strokes(p, columns[term.name], np) for term in TERMS)
    np.testing.assert_allclose(shared_strokes(p, columns), expected)
    without = shared_strokes(p, {k: v for k, v in columns.items() if k != "background"})
    np.testing.assert_allclose(without - expected, np.outer([0.3, 0.6], columns["background"][0]))


def test_the_spread_before_the_data_is_that_of_the_prior() -> None:
    priors = Priors()
    assert Background().spread_before(priors, np.array([2.0])) == pytest.approx(2.0 * priors.trend_sd)
    found = Season().spread_before(priors, np.array([3.0, 4.0]))
    assert found == pytest.approx(5.0 * priors.season_sd)


def test_levels_follow_shares_and_what_is_practised() -> None:
    p = PopulationValues({"share": np.array([0.1, 0.2, 0.3, 0.4]), "level_mean": np.float64(20.0)})
    found = mean_level(p | {"selection": np.array(0.5)}, np.array([[1.0], [0.0], [-2.0], [0.0]]))
    np.testing.assert_allclose(found[:, 0], [2.5, 4.0, 5.0, 8.0])


class Doses:
    """One category and one occasion: 40 hours at work, of which 10 were there at the start."""

    stock = np.full((4, 1, 1), 30.0)
    held = np.full((4, 1, 1), 10.0)
    steady = np.full((4, 1), 10.0)
    habit = np.full((1, 1), 2.0)
    joined = np.zeros(1)


def test_practice_closes_the_gap_and_a_fuller_start_opens_it() -> None:
    p = PopulationValues({"log_half_life": np.zeros(1), "rate_area": np.array([[0.1, 0.0, 0.2, 0.0]])})
    p |= {"start_known": np.float64(0.8), "start_new": np.float64(0.2)}
    left, turned = gap_left(p, Doses(), 50.0, np)
    now, then = 38.0 / (1 + 38.0 / 50.0), 16.0 / (1 + 16.0 / 50.0)
    np.testing.assert_allclose(left[:, 0], np.exp(-np.array([0.1, 0, 0.2, 0]) * (now - then) / 20.0))
    step = 1e-6
    more, less = (p | {"start_known": np.float64(0.8 + sign * step)} for sign in (1, -1))
    slope = (gap_left(more, Doses(), 50.0, np)[0] - gap_left(less, Doses(), 50.0, np)[0]) / (2 * step)
    np.testing.assert_allclose(turned, slope, atol=1e-7)


def test_each_category_bends_at_its_own_hours_and_returns_the_same_up_to_thirty() -> None:
    """Held to the plain formula: gain / gap x S / (1 + S / c) x (1 + 30 / c) / (1 + 30 / 50)."""
    bends, gap = np.array([14.0, 50.0, 150.0]), np.array([5.0, 6.0, 7.0])
    gain, serves = np.array([0.3, 0.4, 0.5]), np.eye(4)[:3]
    log_bend = np.log(bends / 50.0)

    def closed(hours: float) -> np.ndarray:
        doses = Doses()
        doses.stock, doses.held = np.full((4, 3, 1), hours), np.zeros((4, 3, 1))
        doses.steady, doses.habit = np.zeros((4, 3)), np.zeros((3, 1))
        p = PopulationValues({"log_half_life": np.zeros(3), "log_bend": log_bend})
        p |= {"rate_area": rates_of(gain, log_bend, gap, serves, 50.0)}
        p |= {"start_known": np.float64(1.0), "start_new": np.float64(1.0)}
        return -np.log(gap_left(p, doses, 50.0, np)[0][:3, 0])

    for hours in (5.0, 30.0, 80.0):
        plainly = gain / gap * hours / (1 + hours / bends) * (1 + 30.0 / bends) / (1 + 30.0 / 50.0)
        np.testing.assert_allclose(closed(hours), plainly / 20.0)
    np.testing.assert_allclose(closed(30.0), gain / gap * 30.0 / (1 + 30.0 / 50.0) / 20.0)
    later = closed(60.0) / closed(30.0)
    assert later[0] < later[1] < later[2]


def test_who_is_new_held_less_at_the_start() -> None:
    p = PopulationValues({"start_known": np.array([0.8, 0.6]), "start_new": np.array([0.2, 0.3])})
    np.testing.assert_allclose(start_share(p, np.array([0.0, 1.0])), [[0.8, 0.2], [0.6, 0.3]])


def test_the_gap_of_the_reference_golfer_is_that_of_the_areas_a_category_serves() -> None:
    """Weights 5, 7, 4 and 3 of 19 strokes are 5, 7, 4 and 3 strokes; the floor lies 1.25 below nothing."""
    spec = ModelSpec(reference_level=19.0)
    serves = np.array([[0.0, 0.0, 0.0, 1.0], [0.25, 0.75, 0.0, 0.0]])
    found = reference_gap(spec, spec.priors, serves)
    np.testing.assert_allclose(found, [3.0 + 1.25, 0.25 * 6.25 + 0.75 * 8.25])


def test_effects_weigh_as_they_are_told() -> None:
    rng = np.random.default_rng(1)
    left, respond, begin = rng.normal(size=(3, 4, 2))
    here = Here(left, respond, begin, np.array([0.1, 0.2, 0.3, 0.4]), np.array([0.5, 1.0]))
    for effect, values in ((Level(), left), (Drift(), np.tile(here.drift, (4, 1)))):
        columns = effect.weighed(here)
        for own, areas in enumerate(columns):
            assert [one is not None for one in areas] == [k == own for k in range(4)]
            np.testing.assert_allclose(areas[own], values[own])
    for other, values in ((Response(), respond), (Start(), begin)):
        np.testing.assert_allclose(np.array(other.weighed(here)[0]), values)
    np.testing.assert_allclose(np.array(Form().weighed(here)[0])[:, 0], here.share)
    np.testing.assert_allclose(come(np.array([0.0, 100, 200]), 200.0), [0.0, np.sin(np.pi / 4), 1.0])


class Knots:
    """Three knots, 40 days apart."""

    knots = np.array([0.0, 40.0, 80.0])


def test_priors_of_effects_by_hand() -> None:
    p = PopulationValues({"share": np.array([0.1, 0.2, 0.3, 0.4]), "sd_area": np.full(4, 0.8)})
    p |= {"sd_level": np.float64(5.0), "sd_wander": np.float64(0.9), "wander_days": np.float64(100.0)}
    p |= {"sd_drift": np.float64(0.4), "sd_response": np.float64(0.3), "sd_start": np.float64(0.3)}
    p |= {"putts_own": np.float64(0.25)}
    level = Level().cover(p, Knots, np)
    np.testing.assert_allclose(level, 25 * np.outer(p["share"], p["share"]) + 0.64 * np.eye(4))
    form = Form().cover(p, Knots, np)
    apart = np.array([[0.0, 0.4, 0.8], [0.4, 0.0, 0.4], [0.8, 0.4, 0.0]])
    np.testing.assert_allclose(form, 0.81 * np.exp(-apart))
    np.testing.assert_allclose(Drift().cover(p, Knots, np), 0.16 * np.eye(4))
    np.testing.assert_allclose(Response().cover(p, Knots, np), [[0.09]])
    np.testing.assert_allclose(Start().cover(p, Knots, np), [[0.09]])
    np.testing.assert_allclose(np.diag(OwnStats().cover(p, Knots, np)), [1.0, 0.0625, 1.0])


def test_loads_of_stats_by_hand() -> None:
    p = PopulationValues({f"{stat.name}_slope": np.float64(2.0) for stat in STATS})
    p |= {"putts_short_game": np.float64(0.3)}
    p |= {"greens_tee": 0.5, "up_and_downs_putting": 0.7, "penalties_approach": 0.3}
    areas = ("off_the_tee", "approach", "short_game", "putting")
    expected = {
        "greens": [-1.0, -2.0, 0, 0],
        "putts": [0, 0, 0.3, 2.0],
        "fairways": [-2.0, 0, 0, 0],
        "up_and_downs": [0, 0, -2.0, -1.4],
        "penalties": [2.0, 0.6, 0, 0],
    }
    for stat in STATS:
        load = stat.load(p)
        np.testing.assert_allclose([float(np.ravel(load.get(a, 0.0))[0]) for a in areas], expected[stat.name])


def test_every_constant_says_unit_and_status() -> None:
    assert len({one.name for one in constants()}) == len(Priors())
    for one in constants():
        assert one.unit
        assert one.status in (READ, MEMORY, COMPUTED, JUDGED)
    assert ModelSpec().to_dict()["priors"] == {one.name: one.value for one in constants()}


def test_what_answers_are_made_of_is_checked_and_stored() -> None:
    for term in TERMS:
        assert all(value.label and value.name in REPORTED for value in term.values)
    names = [value.name for term in ALL for value in term.values]
    assert len(names) == len(set(names)) == len(VALUES)
    assert len({effect.name for effect in EFFECTS}) == len(EFFECTS)


def test_the_table_of_equations_names_every_term_its_values_and_its_file() -> None:
    text = (Path(__file__).parents[3] / "DEVELOPERS.md").read_text(encoding="utf-8")
    rows = dict(re.findall(r"^\| `(\w+)` \| (.*?`model/terms/\w+\.py`) \|$", text, re.M))
    known = {term.name: term for term in (*EFFECTS, *TERMS, PRACTICE, COURSE, MEASURED[-1]) if term.values}
    assert set(rows) == set(known)
    for name, term in known.items():
        *values, file = re.findall(r"`([^`]+)`", rows[name])
        assert values == [value.name for value in term.values]
        assert type(term).__module__ == "paryield." + file.removesuffix(".py").replace("/", ".")


def test_the_spread_of_a_round_holds_the_luck_of_its_stats() -> None:
    """Squares add up: 3.0 x 0.9 of the round, and 8 strokes a radian of greens whose luck is 0.11 wide."""
    p = PopulationValues(
        {"noise_scale": np.float64(0.9), "greens_day": np.float64(8.0), "greens_sd": np.float64(1.1)}
    )
    found = total_noise(p, SimpleNamespace(noise_guess=np.array([3.0, 2.0]), typical={"greens": 0.1}))  # type: ignore[arg-type]
    np.testing.assert_allclose(found, np.sqrt(np.array([2.7, 1.8]) ** 2 + (8.0 * 0.11) ** 2))
