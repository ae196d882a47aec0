import pandas as pd
import pytest
from scipy.stats import poisson

from maintkit.decide.patterns import (
    CHANCE,
    FOLLOWS,
    STAYS,
    SURE,
    gone_on,
    judged_patterns,
    longest_however_worded,
    told_today,
)

DAY = pd.Timestamp("2020-01-01")


def frames(runs):
    patterns = pd.DataFrame(
        [
            {"pattern": "follows the module", "told_by": told, "faults": faults, "usual_faults": usual}
            for told, faults, usual in runs
        ]
    )
    stays = pd.DataFrame(
        [
            {
                "serial": f"M{n}",
                "desk": "Heron",
                "position": str(n),
                "from_on": DAY,
                "to_on": DAY + pd.Timedelta(days=int(2.9 * 365)),
            }
            for n in range(5)
        ]
    )
    faults = pd.DataFrame({"symptom_key": ["hum", "hum", "crackle"]})
    return patterns, faults, stays


def test_the_chance_is_poisson_times_every_place_a_run_might_have_turned_up():
    # By hand: (5 modules + 5 slots) x 2 symptoms x 1 window of three years = 20 places.
    judged = judged_patterns(*frames([("symptom", 4, 0.1)]))
    assert judged["p"].iloc[0] == pytest.approx(20 * poisson.sf(3, 0.1))
    assert judged["verdict"].iloc[0] == SURE


def test_three_faults_where_one_is_usual_may_be_chance():
    assert judged_patterns(*frames([("symptom", 3, 1.0)]))["verdict"].tolist() == [CHANCE]


def test_a_run_of_one_kind_of_part_gets_no_verdict_of_its_own():
    judged = judged_patterns(*frames([("part kind", 12, 0.1), ("symptom", 5, 0.05)]))
    assert judged["told_by"].tolist() == ["symptom", "part kind"]
    assert judged["verdict"].tolist() == [SURE, CHANCE]


def test_reports_of_which_nothing_was_found_are_one_sort_and_told_only_beyond_chance():
    # By hand: (5 modules + 5 slots) x 1 sort x 1 window of three years = 10 places.
    judged = judged_patterns(
        *frames([("nothing found", 4, 0.1), ("nothing found", 3, 1.0), ("symptom", 3, 1.0)])
    )
    assert judged["told_by"].tolist() == ["nothing found", "symptom"]
    assert judged["p"].iloc[0] == pytest.approx(10 * poisson.sf(3, 0.1))
    assert judged["verdict"].tolist() == [SURE, CHANCE]


def test_no_runs_make_an_empty_table():
    patterns, faults, stays = frames([("symptom", 3, 1.0)])
    assert len(judged_patterns(patterns.head(0), faults, stays)) == 0


def test_a_run_that_was_mended_or_has_long_been_quiet_is_over():
    day = pd.Timestamp
    runs = pd.DataFrame(
        {
            "pattern": ["follows the module", "follows the module", "stays with the slot"],
            "serials": ["A", "B", "C, D"],
            "desk": "Heron",
            "position": ["1", "2", "3"],
            "faults": 3,
            "first_on": day("2024-01-01"),
            "last_on": day("2024-07-01"),  # a gap of 91 days
            "latest_on": day("2024-07-01"),
            "more_since": 0,
        }
    )
    work = pd.DataFrame(
        {
            "serial": ["B", "B", "B", "A", "B"],
            "desk": "Heron",
            "position": ["2", "2", "2", "1", "2"],
            "done_on": [
                day(when) for when in ("2023-12-31", "2024-02-01", "2024-05-01", "2024-07-03", "2024-07-04")
            ],
            "action": ["trace", "replace", "replace", "re-solder", "clean"],
            "part_type": ["ic", "ic", "ic", None, None],
            "finding": [None, None, "noisy", "cracked", None],
            "cause": ["unknown", "suspected", "suspected", "confirmed", "unknown"],
            "planned": False,
        }
    )
    soon, late = (
        told_today(runs, work, {"A": ("Heron", "9")}, today=day(when))
        for when in ("2024-10-01", "2025-10-01")
    )
    assert soon["alive"].tolist() == [False, True, True]
    assert late["alive"].tolist() == [False, False, False]
    assert soon["slot_today"].tolist() == ["Heron 9", "on no desk", "Heron 3"]
    assert (soon["days_quiet"].tolist(), soon["last_work"].tolist()) == (
        [92] * 3,
        ["re-solder", "clean", None],
    )
    assert soon["last_found"].tolist() == ["cracked", None, None]
    assert soon["tried"].tolist() == [
        (("re-solder", 1),),
        (("replace ic", 2), ("clean", 1)),
        (),
    ]  # since the first fault


def faults_at_one_slot(wording, done):
    """Three faults in ten slots, watched three years each; then five within a year at slot 3, each with that work done."""
    day = pd.Timestamp
    stays = pd.DataFrame(
        [("Heron", str(n), "channel", day("2021-01-01"), day("2024-01-01")) for n in range(10)],
        columns=["desk", "position", "module_type", "from_on", "to_on"],
    )
    at = [("1", "2021-03-01"), ("5", "2022-03-01"), ("7", "2023-03-01")]
    at += [("3", f"2023-{month:02}-01") for month in (2, 4, 6, 8, 10)]
    faults = pd.DataFrame(
        [(f"T{n}", "Heron", slot, "channel", "fault", day(on), wording) for n, (slot, on) in enumerate(at)],
        columns=["event_id", "desk", "position", "module_type", "class", "happened_on", "symptom_key"],
    )
    work = faults.assign(serial="A", done_on=faults["happened_on"], planned=False, **done)
    run = {
        "verdict": SURE,
        "pattern": "stays with the slot",
        "serials": "A, B",
        "desk": "Heron",
        "position": "3",
    }
    run |= {
        "module_type": "channel",
        "faults": 4,
        "first_on": day("2022-06-01"),
        "last_on": day("2023-01-01"),
    }
    judged = gone_on(pd.DataFrame([run]), faults, stays, work, today=day("2024-01-01"))
    return told_today(judged, work, {}, today=day("2024-01-01")).iloc[0]


UNCLEAR = {"action": "clean", "part_type": "edge", "finding": None, "kind": "connector"}


def test_a_run_at_a_slot_goes_on_in_other_words_while_no_failed_part_explains_them():
    # 8 faults in 30 slot-years: 0.27 expected in the last year, 5 seen; quiet for 92 days, the usual gap is 61.
    judged = faults_at_one_slot("cuts in and out", UNCLEAR | {"cause": "suspected", "as_found": "failed"})
    assert (judged["alive"], judged["more_since"], judged["days_quiet"]) == (True, 5, 92)


@pytest.mark.parametrize(
    "told", [{"cause": "confirmed", "as_found": None}, {"cause": None, "as_found": "failed"}]
)
def test_parts_found_failed_at_a_slot_do_not_bring_an_ended_run_back(told):
    judged = faults_at_one_slot("thin", UNCLEAR | {"kind": "electrolytic"} | told)
    assert (judged["alive"], judged["more_since"], judged["days_quiet"]) == (False, 0, 365)


def moved_about():
    """Twenty modules of 900 days in twenty slots; M0 in three slots for 300 days each, through slot 19 three others."""
    places = {f"M{n}": [str(n)] for n in range(20)} | {"M0": ["0", "1", "2"]}
    rows = [
        (serial, slot, len(slots) - at)
        for serial, slots in places.items()
        for at, slot in enumerate(reversed(slots))
    ]
    rows = [row for row in rows if row[0] != "M19"] + [(f"N{n}", "19", n) for n in (1, 2, 3)]
    hours = [300 * 24 if serial in ("M0", "N1", "N2", "N3") else 900 * 24 for serial, *_ in rows]
    stays = pd.DataFrame(rows, columns=["serial", "position", "nth"])
    return stays.assign(desk="Heron", module_type=None, exposure_hours=hours)


def at(*places):
    rows = [(f"E{n}", serial, slot) for n, (serial, slot) in enumerate(places)]
    faults = pd.DataFrame(rows, columns=["event_id", "serial", "position"])
    return faults.assign(**{"desk": "Heron", "module_type": None, "class": "fault"})


def test_faults_however_worded_are_told_of_the_module_and_the_slot_with_most():
    """By hand: 20 faults in 20 x 900 days, so one is usual of M0 and of slot 19; 22 modules and 20 slots make 42."""
    others = [(f"M{n}", str(n)) for n in range(3, 15)]
    faults = at(*[("M0", "0"), ("M0", "1"), ("M0", "2")], ("N1", "19"), *[("N3", "19")] * 4, *others)
    found = longest_however_worded(faults, moved_about()).set_index("name")
    assert found["pattern"].to_dict() == {"Heron 19": STAYS}  # three of M0 come by chance somewhere
    row = found.loc["Heron 19"]
    assert (row["faults"], row["through"], row["usual"]) == (5, 2, pytest.approx(1.0))
    assert row["p"] == pytest.approx(42 * poisson.sf(4, 1.0))
    more = at(*[("M0", "0"), ("M0", "1"), ("M0", "2")] * 2, *[("M5", "5")] * 9, *others[:5])
    first = longest_however_worded(more, moved_about()).iloc[0]
    assert (first["name"], first["pattern"], first["through"]) == ("M0", FOLLOWS, 3)
    assert first["p"] == pytest.approx(42 * poisson.sf(5, 1.0))


def test_without_stays_or_faults_no_module_and_no_slot_is_told():
    assert len(longest_however_worded(at(), moved_about())) == 0
    assert len(longest_however_worded(at(("M1", "1")), moved_about().head(0))) == 0
