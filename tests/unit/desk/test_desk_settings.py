"""Settings as a form: every setting asked for with meaning and range, wrong ones said at their field."""

from __future__ import annotations

from dataclasses import fields

import pytest
from desk_reader import Reader, text_of

from paryield.desk.settings_form import SETTINGS, given_of, text_of_form
from paryield.tables import SHIPPED, Category
from paryield.tables.settings import DEFAULTS, Settings

CHANGED = {
    "club_name": ("Larkmoor, the \"old\" range", 'Larkmoor, the "old" range'),
    "locale": ("de_DE", "de_DE"),
    "distance_unit": ("m", "m"),
    "bay_minutes_per_week": ("1200", 1200.0),
    "green_minutes_per_week": ("90,5", 90.5),
    "minimum_scores": ("1", 1),
    "maximum_index": ("36", 36.0),
    "minimum_holes": ("12", 12),
    "expected_nine_per_index": ("0,5", 0.5),
    "expected_nine_constant": ("-1.5", -1.5),
}  # fmt: skip
WRONG = {
    "locale": "Elvish",
    "distance_unit": "furlong",
    "bay_minutes_per_week": "-1",
    "green_minutes_per_week": "many",
    "minimum_scores": "2.5",
    "maximum_index": "60",
    "minimum_holes": "9",
    "expected_nine_per_index": "nan",
    "expected_nine_constant": "11",
}


def test_every_setting_is_asked_for_with_its_meaning():
    assert {one.name for one in SETTINGS} == {one.name for one in fields(Settings)}
    assert all(one.title and one.meaning for one in SETTINGS)
    numbers = {one.name for one in SETTINGS if isinstance(getattr(DEFAULTS, one.name), int | float)}
    assert {one.name for one in SETTINGS if one.unit} == numbers
    assert set(CHANGED) == {one.name for one in SETTINGS} - {"logo"}


def test_a_form_as_it_is_changes_nothing():
    own = Category("lob_shots", {"approach": 0.25, "short_game": 0.75}, 55.0, "swing", 200.0)
    text, problems = text_of_form(given_of(DEFAULTS, (*SHIPPED, own)), DEFAULTS, (*SHIPPED, own))
    from paryield.tables.settings import settings_text

    assert problems == ()
    assert text == settings_text(DEFAULTS, (*SHIPPED, own))


def test_all_settings_are_stored_from_the_form_and_blank_is_no_limit(reader: Reader):
    answer = reader.post("/settings", {f"s.{name}": typed for name, (typed, _) in CHANGED.items()})
    assert "The settings are stored" in text_of(answer.text)
    held = reader.desk.snapshot().tables.settings
    assert {name: getattr(held, name) for name in CHANGED} == {
        name: value for name, (_, value) in CHANGED.items()
    }
    reader.post("/settings", {"s.bay_minutes_per_week": ""})
    assert reader.desk.snapshot().tables.settings.bay_minutes_per_week == float("inf")
    assert reader.desk.snapshot().tables.settings.locale == "de_DE"


@pytest.mark.parametrize("name", sorted(WRONG))
def test_a_wrong_setting_is_said_at_its_field_and_nothing_is_stored(reader: Reader, name: str):
    answer = reader.post("/settings", {f"s.{name}": WRONG[name], "s.club_name": "Elsewhere"})
    assert answer.status_code == 400
    assert "Not stored" in answer.text
    assert f'class="field wrong"><label for="f-{name}"' in answer.text
    assert reader.desk.snapshot().tables.settings.club_name != "Elsewhere"


def category(**changed: str) -> dict[str, str]:
    plain = {"name": "lob shots", "short_game": "80", "approach": "20", "load": "swing"}
    plain |= {"minutes_per_100_reps": "55", "half_life_days": "200"}
    return {f"c.0.{name}": text for name, text in (plain | changed).items()}


def test_an_own_category_is_added_and_changed(reader: Reader):
    assert "stored" in text_of(reader.post("/settings", category()).text)
    (made,) = [one for one in reader.desk.snapshot().tables.categories if one not in SHIPPED]
    assert made == Category("lob shots", {"approach": 0.2, "short_game": 0.8}, 55.0, "swing", 200.0)
    assert made.serves == {"approach": 0.2, "short_game": 0.8}
    reader.post("/settings", category(minutes_per_100_reps=""))
    (made,) = [one for one in reader.desk.snapshot().tables.categories if one not in SHIPPED]
    assert made.minutes_per_100_reps is None
    assert 'name="c.1.name"' in reader.get("/settings").text


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"approach": "30"}, "must sum to 100 %, found 110.0"),
        ({"putting": "x"}, "putting must be a number"),
        ({"half_life_days": "-3"}, "half-life must be positive"),
        ({"load": "heavy"}, "none, swing or strength"),
        ({"name": "chipping"}, "taken by a shipped category"),
    ],
)
def test_a_category_that_cannot_be_is_refused(reader: Reader, changed: dict[str, str], words: str):
    answer = reader.post("/settings", category(**changed))
    assert answer.status_code == 400
    assert words in text_of(answer.text)
    assert all(one in SHIPPED for one in reader.desk.snapshot().tables.categories)
