"""What each command does and what its JSON document holds: one record a command.

``paryield --help`` groups the commands by it, ``paryield reference`` prints it, and a test runs the commands
and compares their fields with it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from paryield.results import QUANTILES

BEGIN, RECORDS, FIT, ASK, PLAN, SHOW, KEEP = (
    "Begin",
    "Records in",
    "Fit, and whether it can be trusted",
    "Ask",
    "Plan",
    "Show",
    "Look after the club",
)
ONE: Literal["one"] = "one"
MANY: Literal["a list"] = "a list"

GENERAL = (
    "CLUB is the path of the club file, or a database URL.",
    "Exit codes: 0 fine; 1 our fault; 2 bad input or usage; 3 the fit is not sound, so the answer is "
    "withheld (forecast, goals, returns, areas, split, plan, block, programme, report; --anyway gives it "
    "under a banner). One line on standard error says which and why.",
    "With --json standard output is exactly one document; messages go to standard error. Dates are ISO. A "
    "missing number is null. Lower scores are better: a return or gain is positive when scores fall, a "
    "change or effect is negative when scores fall.",
    f"Quantiles are {' '.join(QUANTILES)} and mean.",
    'An error is {"error": {"kind", "message", "where", "remedy"}}.',
)
"""What holds for every command."""


@dataclass(frozen=True)
class Document:
    """One command in the reference.

    Attributes
    ----------
    group : str
        Heading it stands under in ``--help``.
    does : str
        What it does, for somebody who chooses among the commands.
    kind : {"one", "a list"}
        Whether its JSON document is one record or a list of records.
    always, at_times : str
        Fields of a record, separated by blanks; ``*`` stands for all quantiles and the mean.
    words : str
        What the fields mean where their names do not say it.
    """

    group: str
    does: str
    kind: Literal["one", "a list"]
    always: str
    at_times: str = ""
    words: str = ""

    def fields(self, always: bool = True) -> list[str]:
        """Return the fields that always stand in a record, or those that stand in it at times."""
        names = (self.always if always else self.at_times).split()
        return [one for name in names for one in ((*QUANTILES, "mean") if name == "*" else (name,))]


DOCUMENTS: dict[str, Document] = {
    "demo": Document(
        BEGIN,
        "makes the demo club, fits, answers, writes its pages, says what to look at next",
        ONE,
        "club reports health forecast returns",
        at_times="error",
    ),
    "synth": Document(
        BEGIN,
        "makes up a club and writes its truth beside it",
        ONE,
        "folder files",
    ),
    "reference": Document(
        BEGIN,
        "shows all commands, their options and the fields of their JSON; on the terminal, or as one page",
        MANY,
        "command group does options document fields fields_at_times words",
    ),
    "adopt": Document(
        RECORDS,
        "turns your own spreadsheets into the tables: finds headers, columns, dates, names and practice, "
        "says what it understood, asks what it cannot know, remembers answers; --yes takes the proposals, "
        "--answers lists what holds (what a sheet or a word was taken for without asking too), and "
        "--change gives another answer",
        ONE,
        "folder files rows understood questions problems",
        at_times="error",
        words="rows counts rows by table; each of understood has sheet, kind, header, columns, dates, "
        "not_used, rows, passed_over and unmeasured; each of questions has key, text, where, options, "
        "proposal, form (a pattern for free text), label and parts (questions of one kind put as one); "
        "with --answers the questions are those that hold, proposal being the answer",
    ),
    "check": Document(
        RECORDS,
        "reads a folder of tables and lists every problem; stores nothing",
        ONE,
        "rows rejected errors warnings problems",
        at_times="error",
    ),
    "import": Document(
        RECORDS,
        "checks, then stores; all or nothing; the same folder again changes nothing",
        ONE,
        "club added skipped replaced rejected problems reread left_out unmeasured",
        words="An error of a refused import also lists problems.",
    ),
    "fit": Document(
        FIT,
        "fits the club and stores a numbered run; --quick for a rough fit, marked so; --expectations "
        "FILE takes the coach's own, or a ready set: cautious, usual, open; --learnt FILE starts from what "
        "another club has learnt",
        ONE,
        "run seed quick draws as_of golfers categories seconds stretches stopped why health",
    ),
    "learnt": Document(
        FIT,
        "writes what the club's fit says of practice in general, for a club that is like it to start from; "
        "no golfer's data, and refused under 20 golfers",
        ONE,
        "file golfers hours names",
        words="the file holds mean and covariance of the common rate of gains, each category's own part and "
        "each half-life, on the scale of the usual prior, on which each is standard normal beforehand.",
    ),
    "expectations": Document(
        FIT,
        "shows what such a file means in strokes before any data",
        MANY,
        "category index hours weeks strokes_saved said used",
        words="strokes_saved is an object of quantiles; said (null where the file is silent) and used hold "
        "low, likely and high in strokes per 20 hours for a golfer of index 15. The file has one "
        'table for each statement: [[expectation]], category = "chipping" (or "all"), low, likely, '
        "high, and a band index_from, index_to if wanted.",
    ),
    "health": Document(
        FIT,
        "the checks of the fit, line by line, with what to do; what is always practised together, "
        "what moved practice would earn, and how far the advice hangs on expectations",
        ONE,
        "run answers_from quick ok divergences divergences_ok looked_at lines expectations before_fit "
        "sensitivity learnt record misfit",
        at_times="error",
        words="learnt is null unless the fit started from what other clubs learnt: clubs, golfers, "
        "spread_common and spread_own (between clubs, in the prior's own spread), usual_before and "
        "usual_after (weight on the usual prior before and after the records) and conflict. record says how "
        "old the fit is beside the record as it is now, what is new since, and whether a new fit is due. "
        "misfit holds each round beside its forecast from the rounds before it: how many lie outside their "
        "80 % range and how many would be usual, months and golfers that stand out, the newest four weeks; "
        "null with too few rounds.",
    ),
    "refresh": Document(
        FIT,
        "a new run with the settings of the last where anything is new, and what each change came from: "
        "new data of the golfer or of others, settings or sampling; --golfer ID forecasts from that golfer's "
        "rows of today in a moment, and fits only where that cannot be trusted",
        ONE,
        "",
        at_times="run run_before ok settings changes turned notes log golfer_id rounds pareto_k draws_worth "
        "trusted forecast",
    ),
    "backtest": Document(
        FIT,
        "forecasts made from earlier days of the club's own record, scored against what came and "
        "against plain rules",
        MANY,
        "weeks quantity method n golfers origins crps crps_se bias rmse pit",
        at_times="ours_better_by ours_better_by_se verdict",
    ),
    "verify": Document(
        FIT,
        "calibration and recovery on this machine, in minutes or, with --full, hours; --out FILE "
        "writes the outcome as a page",
        ONE,
        "ok seconds checks calibration recovery machine",
        at_times="error",
    ),
    "forecast": Document(
        ASK,
        "average round, one round and Handicap Index, weeks ahead, under a plan or practising as now; "
        "chance of a goal",
        MANY,
        "golfer_id as_of on weeks quantity rounds_per_month reportable * because",
        at_times="reason goal by chance reached usual usual_share usual_chance",
        words="quantity is mean_differential (an average round), score_differential (one round, luck "
        "included) or handicap_index; the quantiles stand in the record itself. reached says whether the "
        "index in force is at the goal today: chance is then that of still holding it. because lists what "
        "moves the average round from the last day of the data to that day: part (season, practice, "
        "background, form, and growth, events, joining or programme where there is one), mean, q10, q50 and "
        "q90 in strokes, positive where scores rise; the means sum to the whole change. With --plan, usual "
        "holds the quantiles if the golfer does what he usually does of a plan, usual_share the share "
        "of its hours that is, and usual_chance the chance of the goal then.",
    ),
    "goals": Document(
        ASK,
        "the index that is likely, even or a stretch by a date; the chance of a goal and the hours a "
        "week it takes",
        MANY,
        "golfer_id as_of on weeks hours rounds_per_month reportable likely even stretch",
        at_times="reason goal by chance reached hours_even hours_even_year hours_tried",
        words="likely, even and stretch are the index reached or passed in 8, 5 and 2 of 10 simulated "
        "futures on hours a week split as in the present week; hours_even and hours_even_year are the "
        "hours for an even chance of the goal by its date and within a year, null where even hours_tried "
        "do not give it.",
    ),
    "returns": Document(
        ASK,
        "strokes saved by one more hour a week, by practice area",
        MANY,
        "golfer_id category weeks hours_now strokes_per_weekly_hour chance_best rank_before_record regret "
        "evidence evidence_share verdict",
        at_times="tied",
        words="strokes_per_weekly_hour is an object of quantiles. There are two rankings: by the record of "
        "this club (chance_best), and before any record of practice (rank_before_record, 1 is best: index, "
        "strokes lost by area and what is known of golf practice in general). evidence_share is the share "
        "of the prior variance of the category's own contrast (its log gain less the mean of all) that the "
        "data removed; evidence is measured from 0.5, part measured from 0.2, else assumed. The category "
        "phantom is the noise floor: what practice of other golfers of the club, which cannot have helped, "
        "seems to return. A category stands out only if its own estimate lies above that of 19 in 20 such "
        "partners. Categories that are always practised together are one record, tied lists them.",
    ),
    "split": Document(
        ASK,
        "what a golfer's last change came from: practice by area, season, form, luck",
        MANY,
        "golfer_id from to quantity part category change chance_fell evidence rounds_before rounds_after",
        at_times="reason",
        words="change is an object of quantiles, negative where scores fell; quantity is mean_differential "
        "(from the first day to the last) or observed_mean (rounds of the period against those of an "
        "equal time before it), and part is whole, practice (all of it, and by category), background "
        "(change without practice), season, form (return to the usual level), growth (of juniors), events "
        "(lessons, injuries, changes of equipment or swing), joining, programme (beyond its hours), and for "
        "rounds also course and luck. The parts without a category sum to the whole.",
    ),
    "programme": Document(
        ASK,
        "whether a programme worked, against what would have happened anyway; --design: how many "
        "members and months it takes to see",
        MANY,
        "programme golfers finished left running stopped_posting hidden effect from_hours "
        "beyond_hours index_effect plain_change plain_range verdict hours_done hours_planned bounds "
        "second_route outside placebo never_joined promise offered hours_kept anyway cost recommendation why "
        "members_needed by_lot warnings groups",
        at_times="members months strokes chance_seen smallest_seen",
        words="effect (negative when scores fell), its parts and index_effect are objects of quantiles: the "
        "mean over all who joined, at the planned end, against the same golfers without the "
        "programme. plain_change is before and after, for comparison only, plain_range its low and "
        "high (9 in 10, over golfers; so in outside and never_joined). A programme, or a group in "
        "groups (by, value, golfers, hidden, effect), of fewer than 5 members has hidden true and the "
        "rest null, and so have others from which it could be worked out. recommendation is go on, "
        "change, stop or cannot tell, with why and, where it cannot be told, members_needed; offered "
        "has starts_on, ends_on and weeks; hours_kept is the share of the planned hours; anyway is "
        "the change that would have come without it; cost (with --cost) has member and stroke; "
        "by_lot, where places were drawn, has places, waiting, effect, low, high and chance. With "
        "--places there is one record: programme, seed, on, places and waiting. With --design the "
        "records are members, months, strokes, chance_seen and smallest_seen.",
    ),
    "areas": Document(
        ASK,
        "strokes lost by scoring area, against golfers of the same index and of the goal index",
        MANY,
        "golfer_id as_of area lost same_index against_same_index chance_more goal at_goal "
        "against_goal evidence verdict rounds_shots rounds_stats rounds_score_only tests",
        words="lost, same_index (a golfer of the same index), against_same_index, at_goal and against_goal "
        "are objects of quantiles in strokes a round (the last two null throughout without a goal on "
        "file); positive against somebody is more lost.",
    ),
    "index": Document(
        ASK,
        "the handicap record step by step",
        MANY,
        "golfer_id played_on round_no course holes counts_for_index scaled differential index_before "
        "index_after lowest lowest_rounds adjustment average low_index low_index_on cap reduction "
        "note",
    ),
    "putting": Document(
        ASK,
        "putting skill from a spreadsheet of putts (distance_ft, tried, made): spread, chances, "
        "strokes lost a round",
        ONE,
        "sigma_angle_degrees sigma_distance make_probability",
        words="the two spreads are objects of quantiles (degrees; share of the roll, null where the putts "
        "do not tell), and make_probability is a list of distance_ft with quantiles.",
    ),
    "plan": Document(
        PLAN,
        "the advised week against the present one: hours and reps by practice area, sessions, and "
        "whether the change is worth it",
        MANY,
        "golfer_id hours weeks aim verdict evidence gain chance_gain price_if_wrong regret regret_now "
        "areas_to_test limited cautions weeks_plan phases sessions notes",
        words="gain holds the quantiles of the strokes a round that hours_best saves against hours_now at "
        "the horizon, evidence how far the returns that it moves were measured, price_if_wrong the "
        "strokes a round that it costs if the hours it adds do nothing, regret and regret_now the "
        "strokes a round that the advised and the present week fall short, on average, of the best "
        "split, areas_to_test the scoring areas whose tests would show what it does, and limited the "
        "categories of which a limit or a ceiling allows less than is practised now. Each of "
        "weeks_plan has category, hours_now (scaled to the hours given), hours_advised, hours_best, "
        "reps_advised, usual_low and usual_high (what golfers like him keep up); each of phases (runs "
        "of like weeks) starts_on, ends_on, weeks, phase and hours; each of sessions (the first week, "
        "and weeks with a competition; none under 10 minutes) on, category, minutes and reps. "
        "The verdict is change if the "
        "returns were measured at least in part, the chance that it pays is at least 0.8 and the "
        "middle gain at least 0.2 stroke (0.7 and 0.1 for a golfer whom the run before a refresh told "
        "to change, asked for his usual hours); else try if the mean gain is at least 0.05 stroke and "
        "the present week falls at least 0.1 short of the best split (0.025 and 0.075 for one told to "
        "change or try before): a week that rests on what is known of practice in general, to be "
        "entered as a block; else keep, and the advised week is the present split. A "
        "category whose return is assumed keeps at least a third of its hours. Without --golfer all "
        "golfers are planned together, within bay_minutes_per_week and green_minutes_per_week of the "
        "club's settings.toml where these are set.",
    ),
    "plans": Document(
        PLAN,
        "the plans on record: listed, side by side, taken over, ended",
        MANY,
        "plan golfer_id starts_on ends_on state hours week",
        words="state is running, to come or over on the last day of the data or --on; hours a week in all, "
        "week by category.",
    ),
    "block": Document(
        PLAN,
        "a season of emphases, their order by lot: what it tells and costs, put on record, followed, "
        "answered; with --golfer the cheapest block of one golfer",
        MANY,
        "golfer_id weeks reportable focus verdict cost weeks_plan cautions",
        at_times="reason rounds entropy_now entropy_after information information_error "
        "information_present cost_if_wrong others left_out seed members blocks tests each_test enough "
        "settled pair notes",
        words="entropy and information are in bits (information_present: what the same weeks tell without a"
        " change), cost is an object of quantiles, strokes a round, negative where it pays: at the "
        "end of a golfer's block, on average over a season. The club's record has golfer_id null and "
        "comes first: blocks with block, starts_on, ends_on and members by emphasis; tests with "
        "tests_every (weeks, null as now), minutes_a_week, information, lost_now and lost_after "
        "(strokes per 20 hours given up by a wrong pick) and error by category; enough with members, "
        "seasons, weeks, tests_every and share_told. In a member's, focus is the emphasis of each "
        "block, blank for one as before. With --start there is one record: season, plan, seed, "
        "members, starts_on and ends_on. With --progress the records are golfer_id, block, emphasis, "
        "planned, done, share, on_emphasis, last_test and test_due. With --result the first is the "
        "club's: golfer_id, season, starts_on, ends_on, over, chance (of an order at least as "
        "telling, by lot), orders, cells, entropy_before, entropy_now, promised, told, kept, "
        "cost_promised, cost, gains (category, chance_best, q10, q50, q90, plain, plain_error, ends),"
        " events and ending; then each member's: golfer_id, kept, settled and next. With --since-run "
        "the records are golfer_id, category, runs, chance_best_before, chance_best_after, "
        "entropy_before and entropy_after.",
    ),
    "tests": Document(
        PLAN,
        "what each test would tell a minute of a golfer's time, the routine that fits the minutes, who "
        "is due on a day; with --golfer also what past tests show, in their own unit and in strokes",
        MANY,
        "golfer_id on test kind area minutes chosen due last_on due_on error doubt_now doubt_after "
        "bits_areas bits_best bits_best_error rests_on",
        at_times="measured",
        words="One record a golfer and test, most telling a minute first. error is the test's own, doubt_now "
        "and doubt_after the standard deviation of strokes lost in the area, strokes a round; bits_areas is "
        "told of the four areas at once, bits_best (null without a sound fit) of which practice is best over "
        "12 weeks of the present practice with the test every other week against the same weeks without. "
        "rests_on is the fit, the index or golfers in general. measured (with --golfer) lists results "
        "of that kind of test: test, unit, results, before, after, strokes_saved with its error by the "
        "tests' sampling, and hours_between.",
    ),
    "chain": Document(
        FIT,
        "brings all club files of a folder up to date, learning from one another, on several workers; one "
        "page and one workbook for the board",
        ONE,
        "clubs seconds workers rate files",
        words="each of clubs has name, did (fitted, fitted with the others, no new rows, failed), reason, "
        "golfers, sampled (golfers that the fit read), run, sound, seconds, learnt_from, conflict, gains "
        "(category, chance_best, q10, q50, q90) and programmes (programme, golfers, verdict, q10, q50, q90). "
        "rate is golfers a second and core, null where nothing was fitted or on a cluster.",
    ),
    "report": Document(
        SHOW,
        "pages for the golfers, the page for the coach, a card a golfer with the week's sessions, the "
        "programme report for the facility, or the tests that are due as sheets to write on; "
        "--format pdf prints them: two sheets a golfer, a book for the coach with the longer tables, A6 for "
        "a week; --format xlsx is a workbook for the board",
        ONE,
        "folder files",
    ),
    "desk": Document(
        SHOW,
        "the club's pages on this computer: who needs attention, a golfer, another week, log, bring "
        "in; --listen lets others in, over TLS and after a sign-in",
        ONE,
        "club address",
    ),
    "people": Document(
        KEEP,
        "who may sign in to the desk: list, add, reset (a new one-time password), remove",
        MANY,
        "person_id name role golfers must_change added_at",
        at_times="password removed",
    ),
    "export": Document(
        KEEP,
        "writes everything out as the tables that import reads; --golfer: all data of one person",
        ONE,
        "folder files",
    ),
    "backup": Document(
        KEEP,
        "a consistent copy of the club file, also while it is in use",
        ONE,
        "file bytes",
    ),
    "erase": Document(
        KEEP,
        "one person gone, with a receipt: what was removed, the proof, and the copies outside that "
        "still hold the person",
        ONE,
        "golfer_id erased_at removed old_rows runs scrubbed mentions copies searched_bytes found compacted "
        "beyond",
    ),
    "audit": Document(
        KEEP,
        "who saw and changed what, without names and values",
        MANY,
        "audit_no at who action what mark",
    ),
}
"""By command, in the order in which they are shown."""
