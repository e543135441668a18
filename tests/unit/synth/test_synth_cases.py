"""Each kind of club has the trap it is named for, and the steady one has none of them."""

import numpy as np
import pandas as pd
import pytest

from paryield.scoring import differentials
from paryield.synth import ClubSpec, make_club
from paryield.synth.skills import AREA_SHARES, area_of_category


def club_of(case, **wishes):
    """Return a club of 60 golfers and 60 weeks."""
    return make_club(ClubSpec(golfers=60, weeks=60, seed=5, case=case, **wishes))


def recorded_hours(club):
    """Return hours of the record, shape (golfers, categories, weeks)."""
    roster = club.truth.roster
    return club.truth.life.hours[:, :, roster.first : roster.now]


def weak_area_correlation(club):
    """Correlate the share of hours with the share of strokes lost by area, over golfers and areas."""
    roster = club.truth.roster
    hours = recorded_hours(club).sum(axis=2) @ area_of_category(club.spec.categories)
    strokes = club.truth.life.practice_strokes[:, :, roster.first : roster.now].mean(axis=2)
    shares = hours / hours.sum(axis=1, keepdims=True)
    weakness = strokes / strokes.sum(axis=1, keepdims=True) / AREA_SHARES
    centred = shares - shares.mean(axis=0), weakness - weakness.mean(axis=0)
    return np.corrcoef(centred[0].ravel(), centred[1].ravel())[0, 1]


def test_only_the_weak_club_practises_what_is_weak():
    assert weak_area_correlation(club_of("steady")) < 0.1
    assert weak_area_correlation(club_of("weak")) > 0.2


def test_only_the_tied_club_moves_chipping_and_bunker_together():
    tied, steady = club_of("tied"), club_of("steady")
    chip, sand = (tied.spec.categories.index(name) for name in ("chipping", "bunker"))
    hours = recorded_hours(tied)
    np.testing.assert_array_equal(hours[:, chip], hours[:, sand])
    free = recorded_hours(steady)
    assert abs(np.corrcoef(free[:, chip].ravel(), free[:, sand].ravel())[0, 1]) < 0.5


def test_only_in_the_busy_club_do_busy_golfers_play_better():
    raw = {case: club_of(case).truth.roster for case in ("steady", "busy")}
    link = {
        case: np.corrcoef(np.log(roster.hours), roster.learning.raw.sum(axis=1))[0, 1]
        for case, roster in raw.items()
    }
    assert abs(link["steady"]) < 0.25
    assert link["busy"] < link["steady"] - 0.2


def test_the_thin_club_lacks_rounds_and_a_third_of_the_diary():
    thin, steady = club_of("thin"), club_of("steady")
    assert len(thin.tables.rounds) / len(steady.tables.rounds) == pytest.approx(0.4, abs=0.06)
    assert 1.0 - noted_share(thin) == pytest.approx(0.33, abs=0.05)
    assert 1.0 - noted_share(steady) == pytest.approx(0.05, abs=0.02)


def noted_share(club):
    """Return the share of golfer-weeks that the diary speaks about."""
    roster, practice = club.truth.roster, club.tables.practice
    done = practice[practice["state"] != "unknown"]
    week = (done["practised_on"] - pd.Timestamp(club.spec.starts_on)).dt.days // 7
    complete = set(club.tables.golfers.loc[club.tables.golfers["diary_complete"].fillna(False), "golfer_id"])
    noted = done.assign(week=week).loc[~done["golfer_id"].isin(complete), ["golfer_id", "week"]]
    weeks = roster.now - np.maximum(roster.joined, roster.first)
    open_diary = np.array([golfer_id not in complete for golfer_id in club.truth.ids])
    return (len(noted.drop_duplicates()) + weeks[~open_diary].sum()) / weeks.sum()


def changes(club):
    """Return last 5 rounds before and first 5 after the programme, golfers with both."""
    played = differentials(club.tables)
    rows = []
    for row in club.tables.programmes.dropna(subset=["ended_on"]).itertuples():
        own = played[played["golfer_id"] == row.golfer_id]
        before = own.loc[own["played_on"] < row.started_on, "differential"].tail(5)
        after = own.loc[own["played_on"] >= row.ended_on, "differential"].head(5)
        if len(before) == len(after) == 5:
            rows.append((row.golfer_id, before.mean(), after.mean()))
    return pd.DataFrame(rows, columns=["golfer_id", "before", "after"])


def test_who_enrols_when_bad_comes_back_without_help():
    """The trap itself: the programme gives nothing and yet scores fall by more than a stroke."""
    club = club_of("enrol")
    plain = changes(club)
    assert len(plain) >= 10
    assert (plain["after"] - plain["before"]).mean() < -1.0
    assert all(club.truth.programme_gain(golfer_id) == 0.0 for golfer_id in club.truth.ids)


def test_a_programme_gives_its_effect_to_those_who_finish():
    club = club_of("enrol", programme_effect=1.5)
    table = club.tables.programmes
    finished = table.loc[table["outcome"] == "completed", "golfer_id"]
    left = table.loc[table["outcome"] == "left", "golfer_id"]
    assert len(finished) >= 5
    assert len(left) >= 3
    assert [club.truth.programme_gain(golfer) for golfer in finished] == pytest.approx([1.5] * len(finished))
    assert all(0.0 < club.truth.programme_gain(golfer) < 1.5 for golfer in left)
    outside = set(club.truth.ids) - set(table["golfer_id"])
    assert all(club.truth.programme_gain(golfer) == 0.0 for golfer in outside)


def test_nobody_plays_or_practises_after_leaving():
    club = club_of("enrol")
    left = club.tables.golfers.dropna(subset=["left_on"]).set_index("golfer_id")["left_on"]
    assert len(left) >= 2
    for table, column in (("rounds", "played_on"), ("practice", "practised_on")):
        frame = getattr(club.tables, table)
        gone = frame["golfer_id"].map(left)
        assert not (frame[column] >= gone).any()


def test_gains_have_the_published_order_of_magnitude_and_no_category_wins_always():
    """Strength: +5 % distance is about 0.4 to 0.8 stroke (Uthoff et al. 2021 with Broadie's 0.75 stroke per
    20 yd, computed), so 20 hours of anything stay well below a stroke and above nothing."""
    best = set()
    for seed in range(1, 13):
        truth = make_club(ClubSpec(golfers=10, weeks=26, seed=seed)).truth
        gains = {name: truth.population_gain(name) for name in truth.roster.spec.categories}
        assert all(0.02 < gain < 1.0 for gain in gains.values())
        best.add(max(gains, key=gains.__getitem__))
    assert len(best) >= 3


def test_in_the_silent_club_idle_weeks_leave_no_row_and_some_give_up():
    silent, steady = club_of("silent"), club_of("steady")
    assert not (silent.tables.practice["state"] == "none").any()
    assert (steady.tables.practice["state"] == "none").any()
    roster = silent.truth.roster
    gone = np.flatnonzero(roster.stress.quits < roster.now)
    assert 0.1 < len(gone) / 60 < 0.3
    for golfer in gone:
        assert silent.truth.life.hours[golfer, :, roster.stress.quits[golfer] :].sum() == 0.0
    assert (steady.truth.roster.stress.quits == steady.truth.roster.weeks).all()


def practised_away(club):
    """Return strokes that the hours of the record took away by its end, club mean."""
    roster, life = club.truth.roster, club.truth.life
    none = roster.learning.strokes_at(np.zeros_like(roster.learning.effort(life.hours)), roster.now)
    held = roster.learning.strokes_at(roster.learning.effort(life.hours), roster.now)
    return float((none - held).sum(axis=1).mean())


def test_the_other_club_has_other_shares_gains_and_form():
    other, steady = club_of("other"), club_of("steady")
    lost = other.truth.life.practice_strokes[:, :, other.truth.roster.first].mean(axis=0)
    assert (lost / lost.sum())[2:].sum() > AREA_SHARES[2:].sum() + 0.1
    spread = [club.truth.roster.form.sum(axis=1).std() for club in (other, steady)]
    assert spread[0] / spread[1] == pytest.approx(2.0, rel=0.02)
    slow = [club.truth.roster.learning.slow[:, 160, 212].mean() for club in (other, steady)]
    assert slow[0] < 0.7 * slow[1]


def test_practice_harms_in_the_harmful_club_and_does_nothing_in_the_growing_one():
    assert practised_away(club_of("steady")) > 0.5
    assert practised_away(club_of("harmful")) < -0.2
    assert practised_away(club_of("growing")) == 0.0


def test_juniors_grow_and_are_juniors_on_record():
    club = club_of("growing")
    stress, first, now = club.truth.roster.stress, club.truth.roster.first, club.truth.roster.now
    born = club.tables.golfers.set_index("golfer_id")["birth_year"].loc[list(club.truth.ids)].to_numpy()
    assert 0.2 < stress.junior.mean() < 0.6
    assert (born[stress.junior] >= 2009).all()
    gained = stress.beside[:, now] - stress.beside[:, first]
    assert gained[stress.junior].mean() > 1.0
    assert not gained[~stress.junior].any()
    lost = club.truth.mean_differential(club.truth.ids[int(np.argmax(stress.junior))], [club.spec.starts_on])
    assert np.isfinite(lost).all()


def test_lessons_are_events_that_help_and_are_followed_by_practice():
    club = club_of("lessons")
    stress = club.truth.roster.stress
    events = club.tables.events
    recorded = stress.lessons[:, club.truth.roster.first : club.truth.roster.now]
    # Lessons before joining and after leaving are on nobody's record here.
    assert 60 < (events["kind"] == "lesson").sum() <= recorded.sum()
    assert stress.beside[:, -1].mean() > 0.5
    hours = club.truth.life.hours.sum(axis=1)
    after = stress.more_hours() > 1.0
    assert (
        hours[after].mean()
        > 1.4 * hours[:, club.truth.roster.first :][~after[:, club.truth.roster.first :]].mean()
    )


def test_bad_rounds_are_missing_where_they_are_not_posted():
    club, steady = club_of("unposted"), club_of("steady")
    counts = [len(one.tables.rounds) for one in (club, steady)]
    assert 0.85 < counts[0] / counts[1] < 0.97
    assert len(club.future) == len(steady.future)


def test_the_coach_sends_those_who_play_worse():
    club = club_of("sent")
    joined = set(club.tables.programmes["golfer_id"])
    level = {
        golfer: club.truth.life.practice_strokes[place, :, club.truth.roster.now - 30].sum()
        for place, golfer in enumerate(club.truth.ids)
    }
    inside = np.mean([level[golfer] for golfer in joined])
    outside = np.mean([value for golfer, value in level.items() if golfer not in joined])
    assert len(joined) > 10
    assert inside > outside + 4.0


def test_clubs_end_in_any_season():
    from paryield.synth.stress import ends_by_lot

    months = {ends_by_lot(seed).month for seed in range(60)}
    assert months == set(range(1, 13))
    assert ends_by_lot(7) == ends_by_lot(7)


def test_first_tests_are_worse_and_golfers_differ_at_tests_for_good():
    """Makes in the ladder by how often a golfer took it before, and how far golfers spread, against the
    club of the same golfers without either; practice does nothing in both."""
    wishes = {"assessments": True, "strikes": True, "blocks_share": 1.0}
    tested, plain = club_of("tested", **wishes), club_of("null", **wishes)
    pd.testing.assert_frame_equal(tested.tables.practice, plain.tables.practice)
    made = {}
    for name, club in (("tested", tested), ("plain", plain)):
        rows = club.tables.assessments[club.tables.assessments["test"] == "putting_ladder"]
        total = rows.groupby(["golfer_id", "assessed_on"])["made"].sum().astype(float)
        made[name] = total.reset_index()
        made[name]["earlier"] = made[name].groupby("golfer_id").cumcount()
    late = {name: one[one["earlier"] >= 8] for name, one in made.items()}
    risen = {
        name: late[name]["made"].mean() - one.groupby("earlier")["made"].mean()[0]
        for name, one in made.items()
    }
    assert risen["tested"] > risen["plain"] + 1.0
    spread = {name: one.groupby("golfer_id")["made"].mean().std() for name, one in late.items()}
    assert spread["tested"] > 1.3 * spread["plain"]
