"""A round with its card: a course is remembered, strokes by hole are checked, stored and undone as one."""

from __future__ import annotations

import csv
import re
from pathlib import Path
from urllib.parse import quote, urlencode

import pytest
from desk_reader import Reader, text_of
from typer.testing import CliRunner

from paryield.adopt import ratings_on_record
from paryield.cli import app
from paryield.club import Club
from paryield.desk.card import card_of, index_before, typed
from paryield.desk.courses import courses_of
from paryield.desk.entries import store_rows
from paryield.scoring import adjusted_gross_score, course_handicap
from paryield.tables import Tables

PARS = [4, 5, 3, 4, 4, 4, 3, 5, 4, 4, 3, 4, 5, 4, 4, 3, 4, 5]
RANKS = [7, 3, 17, 11, 1, 9, 15, 5, 13, 8, 18, 2, 6, 12, 4, 16, 10, 14]
STROKES = [5, 6, 4, 5, 12, 5, 3, 6, 5, 5, 4, 6, 7, 4, 5, 4, 5, 6]
RATINGS = {"course": "Kestrel Down", "tee": "yellow", "course_rating": "70.4", "slope_rating": "124"}


def card(strokes: list[int], holes: range = range(1, 19), **more: str) -> dict[str, str]:
    found = {}
    for hole, stroke in zip(holes, strokes, strict=True):
        found |= {f"hole.{hole}": str(stroke), f"par.{hole}": str(PARS[hole - 1])}
        found[f"index.{hole}"] = str(RANKS[hole - 1])
    return {**RATINGS, **found, **more}


def sent(reader: Reader, given: dict[str, str], day: str = "2026-06-30"):
    who = {"golfer": reader.desk.snapshot().ids["G02"], "day": day}
    return reader.post("/log/round", who | given)


def tables(reader: Reader) -> Tables:
    with Club.open(reader.desk.where) as club:
        return club.tables()


def test_a_card_is_stored_as_a_round_and_its_holes_and_taken_back_at_once(reader: Reader):
    before = tables(reader)
    answer = sent(reader, card(STROKES))
    told = f"92 at Kestrel Down, with 18 holes ({sum(STROKES)} strokes before adjustment)"
    assert told in text_of(answer.text)
    address = reader.page_of("G02").removesuffix(".html")
    assert f"92 {sum(STROKES)} before adjustment" in text_of(reader.get(f"{address}/rounds").text)
    now = tables(reader)
    assert (len(now.rounds) - len(before.rounds), len(now.holes) - len(before.holes)) == (1, 18)
    mine = now.rounds[now.rounds["course"] == "Kestrel Down"].iloc[0]
    assert (mine["holes"], mine["par"]) == (18, sum(PARS))
    # The second route: the rule asked directly, with the index in force the day before.
    (index,) = [index_before(before, "G02", mine["played_on"].date())]
    assert index is not None
    handicap = course_handicap(index, 124, 70.4, sum(PARS))
    assert mine["adjusted_gross_score"] == adjusted_gross_score(STROKES, PARS, RANKS, handicap)
    assert mine["adjusted_gross_score"] < sum(STROKES)  # the 12 on a par 4 is cut
    undo = re.search(r'action="(/log/undo/\d+)"', answer.text)
    assert undo is not None
    reader.post(undo.group(1))
    assert len(tables(reader).rounds) == len(before.rounds)
    assert len(tables(reader).holes) == len(before.holes)


def test_what_was_typed_as_the_score_stays_and_a_second_round_of_the_day_is_a_second_one(reader: Reader):
    sent(reader, card(STROKES, adjusted_gross_score="95"))
    asked = sent(reader, card(STROKES)).text
    free = re.search(r'name="another" value="(\d+)"', asked)
    assert free is not None
    sent(reader, card(STROKES, another=free.group(1)))
    mine = tables(reader).rounds
    mine = mine[mine["course"] == "Kestrel Down"]
    assert mine["adjusted_gross_score"].iloc[0] == 95
    assert len(set(mine["round_no"])) == 2


def test_a_course_played_before_fills_in_its_ratings_and_its_card(reader: Reader):
    sent(reader, card(STROKES))
    page = reader.get("/log?kind=round&known=Kestrel+Down%2C+yellow&hole.1=6").text
    assert 'name="course_rating" value="70.4"' in page
    assert 'name="slope_rating" value="124"' in page
    assert 'name="tee" value="yellow"' in page
    assert 'name="hole.1" value="6"' in page
    shown = [re.search(rf'name="par.{hole}" value="(\d)"', page) for hole in range(1, 19)]
    assert [int(one.group(1)) for one in shown if one] == PARS
    shown = [re.search(rf'name="index.{hole}" value="(\d+)"', page) for hole in range(1, 19)]
    assert [int(one.group(1)) for one in shown if one] == RANKS
    changed = RATINGS | {"course_rating": "70.9", "adjusted_gross_score": "88"}
    sent(reader, changed, day="2026-07-06")
    course = courses_of(tables(reader))["Kestrel Down, yellow"]
    assert course.values["course_rating"] == "70.9"
    assert course.holes[5] == ("4", "1")
    assert next(iter(courses_of(tables(reader)))) == "Kestrel Down, yellow"


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"hole.7": ""}, "hole 7 has no score: type it, or leave every hole blank"),
        ({"hole.7": "x"}, "strokes of hole 7 must be a whole number, found 'x'"),
        ({"par.2": ""}, "par of hole 2 must be a whole number, it is blank"),
        ({"index.3": "40"}, "18"),
        ({"slope_rating": "20"}, "slope rating (55 to 155)"),
        ({"slope_rating": "20", "adjusted_gross_score": "90"}, "55"),
        ({"index.3": ""}, "it cannot be worked out from the holes without"),
    ],
)
def test_what_is_wrong_is_said_at_its_hole_and_nothing_is_stored(
    reader: Reader, given: dict[str, str], words: str
):
    before = tables(reader)
    answer = sent(reader, card(STROKES) | given)
    assert answer.status_code == 400
    assert words in text_of(answer.text)
    assert 'name="hole.1" value="5"' in answer.text
    assert len(tables(reader).rounds) == len(before.rounds)


def test_a_nine_is_a_round_of_nine_holes(reader: Reader):
    given = card(STROKES[9:], range(10, 19), course_rating="35.2")
    row = {"golfer_id": "G02", "played_on": "2026-06-30", **RATINGS, "course_rating": "35.2"}
    made = card_of(given, row, tables(reader))
    assert typed(given) == list(range(10, 19))
    assert (made.row["holes"], made.row["par"], made.wrong) == ("9", "36", {})
    assert int(made.row["adjusted_gross_score"]) <= sum(STROKES[9:])
    assert card_of({"hole.1": "4"}, row, tables(reader)).wrong.keys() > {"hole.2", "par.1"}


def test_nine_holes_of_a_course_are_a_course_of_their_own(reader: Reader):
    """Ratings of nine holes go with nine holes; where another course is chosen what was filled in goes."""
    nine = {**RATINGS, "course_rating": "35.4", "holes": "9", "adjusted_gross_score": "44"}
    with Club.open(reader.desk.where) as club:
        for day, row in (("2026-06-20", {**RATINGS, "adjusted_gross_score": "90"}), ("2026-06-27", nine)):
            club.log("rounds", {"golfer_id": "G01", "played_on": day, **row})
    courses = courses_of(tables(reader))
    label = f"{RATINGS['course']}, {RATINGS['tee']}"
    assert (courses[label].values["course_rating"], courses[f"{label}, 9 holes"].values["holes"]) == (
        RATINGS["course_rating"], "9",
    )  # fmt: skip
    pair = ratings_on_record(tables(reader)).of(RATINGS["course"], RATINGS["tee"])
    assert pair == (float(RATINGS["course_rating"]), float(RATINGS["slope_rating"]))
    page = reader.get(f"/log?kind=round&known={quote(label)}%2C+9+holes").text
    assert 'value="35.4"' in page
    assert 'name="filled"' in page
    gone = (
        f"/log?kind=round&known=&filled={quote(label)}%2C+9+holes&course_rating=35.4&slope_rating=99&holes=9"
    )
    page = reader.get(gone).text
    assert 'value="35.4"' not in page
    assert 'value="99"' in page


def test_nobody_learns_another_golfers_scores_from_a_remembered_course(reader: Reader):
    sent(reader, card(STROKES, adjusted_gross_score="97"))
    course = courses_of(tables(reader))["Kestrel Down, yellow"]
    assert set(course.given()) == {
        *RATINGS, "par", "holes", *(f"{name}.{hole}" for name in ("par", "index") for hole in range(1, 19))
    }  # fmt: skip


def test_rounds_with_a_differential_alone_are_listed(reader: Reader):
    sent(reader, {"score_differential": "14.2"}, day="2026-07-01")
    shown = text_of(reader.get(f"{reader.page_of('G02').removesuffix('.html')}/rounds").text)
    assert "1 July 2026 not given not given 14.2" in shown
    assert "before adjustment" not in shown


def rounds_of_men_and_women(reader: Reader) -> None:
    """G02 a man, G03 a woman, G05 and G06 not said; each of the first two with ratings of her or his own."""
    people = [("G01", "man"), ("G02", "man"), ("G03", "woman"), ("G04", "woman"), ("G05", "-"), ("G06", "-")]
    rows = [{"golfer_id": golfer, "sex": sex} for golfer, sex in people]
    store_rows(reader.desk, "golfers", rows, replace=True)
    ladies = {"course_rating": "75.9", "slope_rating": "133"}
    with Club.open(reader.desk.where) as club:
        for golfer, day, more in (("G02", 20, {}), ("G03", 22, ladies), ("G05", 23, ladies)):
            row = {"golfer_id": golfer, "played_on": f"2026-06-{day}", "adjusted_gross_score": "90"}
            club.log("rounds", row | RATINGS | more)


@pytest.mark.parametrize(
    ("golfer", "rating", "said"),
    [
        ("G01", "70.4", ""),
        ("G04", "75.9", ""),
        ("G05", "75.9", ""),
        ("G06", "", "Which hold for this one is not known: type them."),
        ("", "", "Choose the golfer."),
    ],
)
def test_a_known_course_fills_in_the_ratings_that_hold_for_the_golfer(
    reader: Reader, golfer: str, rating: str, said: str
):
    rounds_of_men_and_women(reader)
    who = reader.desk.snapshot().ids.get(golfer, "")
    page = reader.get(f"/log?kind=round&known=Kestrel+Down%2C+yellow&golfer={who}").text
    found = re.search(r'name="course_rating" value="([^"]*)"', page)
    assert found is not None
    assert found[1] == rating
    assert ("The ratings on record of Kestrel Down, yellow are not the same" in page) == (not rating)
    assert said in page


@pytest.mark.parametrize(
    ("golfer", "typed", "rating", "slope"),
    [
        ("G04", {"course_rating": "70.4", "slope_rating": "124"}, "75.9", "133"),
        ("G04", {"course_rating": "71", "slope_rating": "124"}, "71", "124"),
        ("G06", {"course_rating": "70.4", "slope_rating": "124"}, "", ""),
        ("", {"course_rating": "70.4", "slope_rating": "124"}, "", ""),
        ("G01", {"course_rating": "70.4", "slope_rating": "124"}, "70.4", "124"),
    ],
)
def test_ratings_follow_the_golfer_who_is_chosen_but_not_those_typed_by_hand(
    reader: Reader, golfer: str, typed: dict[str, str], rating: str, slope: str
):
    rounds_of_men_and_women(reader)
    ids = reader.desk.snapshot().ids
    label = "Kestrel Down, yellow"
    page = reader.get(f"/log?kind=round&known={quote(label)}&golfer={ids['G02']}").text
    assert f'name="filled_for" value="{ids["G02"]}"' in page
    assert 'hx-include="#f-known, #entry' in page
    sent = {"kind": "round", "known": label, "filled": label, "filled_for": ids["G02"], **typed}
    page = reader.get(f"/log?{urlencode(sent | {'golfer': ids.get(golfer, '')})}").text
    assert re.findall(r'name="(?:course|slope)_rating" value="([^"]*)"', page) == [rating, slope]


def test_without_scripts_the_ratings_of_the_golfer_are_shown_before_a_round_is_stored(reader: Reader):
    rounds_of_men_and_women(reader)
    ids, label = reader.desk.snapshot().ids, "Kestrel Down, yellow"
    form = {"golfer": ids["G04"], "day": "2026-07-02", "adjusted_gross_score": "94", "course": "Kestrel Down"}
    form |= {"filled": label, "filled_for": ids["G02"], **RATINGS}
    answer = reader.post("/log/round", form)
    assert answer.status_code == 400
    assert "other ratings hold for this one: they are filled in now" in text_of(answer.text)
    assert re.findall(r'name="(?:course|slope)_rating" value="([^"]*)"', answer.text) == ["75.9", "133"]
    form |= {"filled_for": ids["G04"], "course_rating": "75.9", "slope_rating": "133"}
    assert "Stored" in reader.post("/log/round", form).text


def test_a_spreadsheet_on_the_desk_and_on_the_command_line_gets_the_same_ratings(
    reader: Reader, tmp_path: Path
):
    rounds_of_men_and_women(reader)
    names = reader.desk.snapshot().names
    lines = [f"2026-06-28;{names[golfer]};Kestrel Down;yellow;91" for golfer in ("G01", "G04", "G05")]
    sheet = "\n".join(("Date;Player;Course;Tee;Gross", *lines))
    (tmp_path / "own").mkdir()
    (tmp_path / "own" / "cards.csv").write_text(sheet, encoding="utf-8")
    place = ["adopt", str(tmp_path / "own"), "--club", str(reader.desk.where), "--out", str(tmp_path / "out")]
    done = CliRunner().invoke(app, place)
    assert done.exit_code == 0, done.output
    with (tmp_path / "out" / "rounds.csv").open(encoding="utf-8-sig", newline="") as stream:
        told = [(row["golfer_id"], row["course_rating"]) for row in csv.DictReader(stream)]
    assert sorted(told) == [("G01", "70.4"), ("G04", "75.9"), ("G05", "75.9")]
    files = {"files": ("cards.csv", sheet.encode(), "text/csv")}
    page = reader.post("/bring-in", files=files)
    rows = text_of(reader.get(f"{page.url.path}/rows?table=rounds").text)
    assert rows.count("course rating 75.9") == 2
    assert rows.count("course rating 70.4") == 1
