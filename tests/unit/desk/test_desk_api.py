"""Answers as JSON: what the commands answer, as the description says, and under the rights of the pages."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from desk_reader import Reader
from house import House

from paryield.club import Club
from paryield.desk.rights import RIGHTS
from paryield.forecast import forecast
from paryield.plan import plan

ANSWERS = {"GET /api/golfers", "GET /api/golfers/{name}/forecast", "GET /api/golfers/{name}/plan"}


def test_every_answer_is_described_and_only_read(shared_reader: Reader):
    described = shared_reader.get("/api/openapi.json").json()
    paths = {f"{method.upper()} {path}" for path, ways in described["paths"].items() for method in ways}
    assert paths == ANSWERS == {one for one in RIGHTS if " /api/" in one} - {"GET /api/openapi.json"}
    assert described["openapi"].startswith("3.")
    assert described["security"] == [{"signed_in": []}]
    for path in described["paths"]:
        assert shared_reader.client.post(path.replace("{name}", "x")).status_code in (403, 404, 405)


@pytest.mark.parametrize(("path", "schema"), [("forecast", "Outlook"), ("plan", "Week")])
def test_answers_are_as_described(shared_reader: Reader, path: str, schema: str):
    """The description is read by another library, which follows JSON Schema 2020-12 as OpenAPI 3.1 does."""
    jsonschema: Any = pytest.importorskip("jsonschema")
    described = shared_reader.get("/api/openapi.json").json()
    checker = jsonschema.Draft202012Validator({**described, "$ref": f"#/components/schemas/{schema}"})
    members = shared_reader.get("/api/golfers").json()
    each = jsonschema.Draft202012Validator({**described, "$ref": "#/components/schemas/Member"})
    assert [list(each.iter_errors(one)) for one in members] == [[]] * 6
    for one in members:
        assert list(checker.iter_errors(shared_reader.get(one[path]).json())) == []
    assert list(checker.iter_errors({"golfer": 1})) != []


def test_forecast_and_plan_are_those_of_the_commands(shared_reader: Reader):
    snapshot = shared_reader.desk.snapshot()
    mark = snapshot.ids["G02"]
    with Club.open(shared_reader.desk.where) as club:
        (said,) = [
            one
            for one in forecast(club, golfer="G02", weeks=(12,), anyway=True).records
            if one["quantity"] == "mean_differential"
        ]
        (week,) = plan(club, golfer="G02", anyway=True).records
    answer = shared_reader.get(f"/api/golfers/{mark}/forecast").json()
    (row,) = [one for one in answer["ahead"] if (one["quantity"], one["weeks"]) == ("mean_differential", 12)]
    assert [row[name] for name in ("on", "q10", "q50", "q90")] == pytest.approx(
        [said[name] for name in ("on", "q10", "q50", "q90")]
    )
    answer = shared_reader.get(f"/api/golfers/{mark}/plan").json()
    assert answer["verdict"] == week["verdict"]
    assert answer["sessions"] == week["sessions"]
    assert answer["cautions"] == week["cautions"]
    assert [one["hours_advised"] for one in answer["weeks_plan"]] == pytest.approx(
        [one["hours_advised"] for one in week["weeks_plan"]]
    )


def test_each_gets_his_own_golfers_and_no_word_of_others(shared_house: House):
    for short in ("coach of two", "player", "guardian"):
        guest = shared_house.guest(short)
        listed = guest.get("/api/golfers")
        own = {one["golfer"] for one in listed.json()}
        ids = shared_house.app.state.desk.snapshot().ids
        assert own
        for golfer_id, mark in ids.items():
            status = guest.get(f"/api/golfers/{mark}/forecast").status_code
            assert (status != 404) == (mark in own), (short, golfer_id)


def test_what_cannot_be_answered_is_an_error_in_json(unfitted: Path):
    reader = Reader(unfitted)
    (one,) = reader.get("/api/golfers").json()
    assert (one["forecast"], one["plan"], one["rounds"]) == (None, None, 1)
    answer = reader.get(f"/api/golfers/{one['golfer']}/plan")
    assert answer.status_code == 409
    assert answer.json()["error"]["kind"] == "not_reportable"
    assert answer.json()["error"]["remedy"]
    assert reader.get("/api/golfers/none/plan").json()["error"]["message"] == "there is no such page"
