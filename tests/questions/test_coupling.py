from types import SimpleNamespace

import pandas as pd
import pytest

from maintkit import capacitor_or_dc, open_quarter, why_more
from maintkit.questions.coupling import _curves, _in_a_slot, coupling_table, nesting
from maintkit.records.understood import drafted_tables

BOTH = [
    {"desk": "Heron", "family": "longshore", "coupling": "capacitor", "records_from": "2020-01-01"},
    {"desk": "Curlew", "family": "saltmarsh", "coupling": "dc", "records_from": "2020-01-01"},
]


def book_of(opened, heron, curlew, cause="confirmed"):
    """Ten modules a desk over 2020 to 2024Q3, with so many faults each, one a module at most."""
    modules, fitments, tickets, repairs = [], [], [], []
    for desk, family, faults in (("Heron", "longshore", heron), ("Curlew", "saltmarsh", curlew)):
        for number in range(10):
            serial = f"{desk}-{number}"
            modules.append(
                {"serial": serial, "family": family, "module_type": "channel", "made_on": "2019-12-01"}
            )
            fitments.append(
                {"serial": serial, "desk": desk, "position": str(number), "fitted_on": "2020-01-01"}
            )
        for number in range(faults):
            key, place = f"{desk}-{number}", {"desk": desk, "position": str(number % 10)}
            day = f"202{number // 10}-0{1 + number % 9}-15"
            tickets.append(
                {
                    "ticket": key,
                    "raised_on": day,
                    **place,
                    "symptom": f"fault {number}",
                    "outcome": "fault found",
                    "closed_on": day,
                }
            )
            repairs.append(
                {
                    "repair": key,
                    "done_on": day,
                    **place,
                    "serial": f"{desk}-{number % 10}",
                    "ticket": key,
                    "action": "clean",
                    "cause": cause,
                    "planned": "no",
                }
            )
    return opened("2024Q3", desks=BOTH, modules=modules, fitments=fitments, tickets=tickets, repairs=repairs)


def test_three_times_as_many_faults_make_a_ratio_of_three(opened):
    row = coupling_table(book_of(opened, 30, 10)).iloc[0]
    assert row["ratio"] == pytest.approx(3.0, rel=0.01)
    assert row[["faults_capacitor", "faults_dc"]].tolist() == [30, 10]


def test_the_cause_moves_no_count_of_faults(opened):
    row = coupling_table(book_of(opened, 12, 6, cause="unknown")).iloc[0]
    assert row[["faults_capacitor", "faults_dc"]].tolist() == [12, 6]


def test_a_channel_of_two_modules_fails_as_often_as_both(opened):
    # As many faults, but two modules in each slot of the capacitor-coupled desk: half the rate a module, the same a channel.
    tables = {}
    book_of(lambda label, **given: tables.update(given), 20, 20)
    second = [
        {**module, "serial": module["serial"] + "b", "module_type": "monitor"}
        for module in tables["modules"]
        if module["family"] == "longshore"
    ]
    also = [
        {**stay, "serial": stay["serial"] + "b"} for stay in tables["fitments"] if stay["desk"] == "Heron"
    ]
    tables["modules"] += second
    tables["fitments"] += also
    table = coupling_table(opened("2024Q3", **tables)).set_index("per")
    assert table.loc["module", "ratio"] == pytest.approx(0.5, rel=0.01)
    assert table.loc["channel", "ratio"] == pytest.approx(1.0, rel=0.01)
    assert table.loc["channel", "years_capacitor"] == pytest.approx(
        table.loc["module", "years_capacitor"] / 2
    )


def test_a_clear_difference_is_said_with_limits_counts_and_the_ratio_at_equal_age(opened):
    found = capacitor_or_dc(book_of(opened, 40, 5))
    assert found.facts.verdict == "more"
    assert found.title.startswith("Capacitor-coupled modules fail 8 times as often (")
    assert "at equal age " in found.title
    assert "40 faults in 48 powered module-years against 5 in 48" in found.title


def test_what_ages_alone_may_make_is_no_verdict(opened):
    # All capacitor-coupled modules are 35 years old when the others are new.
    tables = {}
    book_of(lambda label, **given: tables.update(given), 40, 5)
    for module in tables["modules"]:
        module["made_on"] = "1985-01-01" if module["family"] == "longshore" else "2019-12-01"
    found = capacitor_or_dc(opened("2024Q3", **tables))
    assert found.facts.verdict == "equal age cannot be told"
    assert found.facts.module["why_untold"] == "no age in common"
    assert "for those of one style were never as old as those of the other" in found.title


def test_where_no_age_is_known_no_verdict_is_given(opened):
    tables = {}
    book_of(lambda label, **given: tables.update(given), 40, 5)
    found = capacitor_or_dc(
        opened(
            "2024Q3",
            **{name: rows for name, rows in tables.items() if name not in ("fitments", "modules")}
            | {"repairs": [{**row, "serial": None} for row in tables["repairs"]]},
        )
    )
    assert found.facts.module["why_untold"] == "no age known"
    assert "no module's age is on record (made_on would tell)" in found.title


def test_a_difference_within_chance_is_none_and_what_would_have_shown_is_said(opened):
    found = capacitor_or_dc(book_of(opened, 10, 8))
    assert found.title.startswith(
        "No difference shown between coupling styles: capacitor-coupled modules fail 1.2 times as often"
    )
    assert 2 < found.facts.module["could_show"] < 8
    assert any("these records would have shown, four times in five" in caveat for caveat in found.caveats)


def test_four_faults_are_too_few_for_a_verdict(opened):
    title = capacitor_or_dc(book_of(opened, 3, 1)).title
    assert title == (
        "Too few faults to say which coupling style fails more: 3 faults in 48 powered module-years against 1 in 48; it takes 5."
    )


def test_what_cannot_be_told_apart_is_named(opened):
    found = nesting(book_of(opened, 10, 5))
    assert (found.labels, found.capacitor, found.dc) == (("family", "desk"), ("Heron",), ("Curlew",))
    said = capacitor_or_dc(book_of(opened, 10, 5)).caveats
    assert any(
        caveat.startswith(
            "No family or desk has both coupling styles (capacitor-coupled: Heron; DC-coupled: Curlew)"
        )
        for caveat in said
    )


def test_one_coupling_style_alone_cannot_be_compared(opened, least):
    book = opened(desks=least["desks"][:1], tickets=least["tickets"][:1])
    assert capacitor_or_dc(book).title.startswith(
        "These records cannot say whether capacitor-coupled desks fail more"
    )


def test_where_no_part_was_replaced_the_difference_is_said_so(opened):
    assert why_more(book_of(opened, 40, 5)).title.startswith(
        "The difference is mostly in faults for which no part was replaced: they are 8 times as frequent ("
    )


def test_a_fault_falls_in_the_stay_that_ran_the_evening_before_and_on_its_first_day_in_it():
    day = pd.Timestamp("2020-01-01")
    stays = pd.DataFrame(
        {
            "serial": ["A", "A", "B"],
            "from_on": day + pd.to_timedelta([0, 10, 0], "D"),
            "to_on": day + pd.to_timedelta([10, 20, 5], "D"),
        }
    )
    faults = pd.DataFrame(
        {
            "serial": ["A", "B", "A", "A", "A", "B", "C"],
            "happened_on": day + pd.to_timedelta([15, 9, 10, 0, 10, 5, 3], "D"),
        }
    )
    inside = _in_a_slot(faults, stays)
    hours = (inside["happened_on"] - day).dt.total_seconds() / 3600
    # of B the bench find of day 9 is left out; C was never watched; both faults of A on day 10 stand in its first stay
    assert sorted(zip(inside["serial"], hours, strict=True)) == [
        ("A", 1),
        ("A", 240),
        ("A", 240),
        ("A", 360),
        ("B", 120),
    ]


def test_two_faults_of_a_module_on_one_day_are_two_on_its_curve():
    stays = pd.DataFrame(
        {
            "serial": ["A", "B"],
            "coupling": "dc",
            "from_on": pd.to_datetime(["2020-01-01"] * 2).as_unit("ns"),
            "to_on": pd.to_datetime(["2020-04-10"] * 2).as_unit("ns"),
        }
    )
    days = pd.DataFrame(
        {
            "serial": ["A", "B"],
            "coupling": "dc",
            "happened_on": pd.to_datetime(["2020-02-10", "2020-03-01"]).as_unit("ns"),
            "faults": [2, 1],
        }
    )
    evidence = SimpleNamespace(
        stays=stays, drawn_modules=lambda: ["A", "B"], fault_counts=lambda labels, serials: days
    )
    curve = _curves(SimpleNamespace(evidence=evidence))["dc-coupled"]
    assert (curve.events.tolist(), curve.mean.tolist()) == ([2, 1], [1.0, 1.5])


def test_a_kind_that_differs_the_other_way_is_not_what_the_difference_is_made_of(opened):
    # Of 20 faults against 40 the electrolytics' are 15 against 3: the difference lies in the rest.
    tables = {}
    book_of(lambda label, **given: tables.update(given), 20, 40)
    with_part = {f"Heron-{n}" for n in range(15)} | {f"Curlew-{n}" for n in range(3)}
    for row in tables["repairs"]:
        row |= {"action": "replace", "part_type": "cap"} if row["repair"] in with_part else {}
    kinds = [{"part_type": "cap", "kind": "electrolytic"}]
    found = why_more(opened("2024Q3", **tables, part_types=kinds))
    assert (found.facts.top["kind"], found.facts.is_against) == (found.facts.no_part, False)
    assert found.title.startswith("The difference is mostly in faults for which no part was replaced")


def test_ages_of_a_few_modules_stand_for_no_style(opened):
    tables = {}
    book_of(lambda label, **given: tables.update(given), 40, 5)
    for module in tables["modules"]:
        if module["serial"][-1] not in "01":
            module |= {"origin": "donor", "made_on": "1985-01-01"}
    found = capacitor_or_dc(opened("2024Q3", **tables))
    assert found.facts.module["why_untold"] == "few ages known"
    assert found.facts.ages is None
    assert "for of most modules of one style no age is on record" in found.title


def reported(folder, capacitor, dc, hours=168, parts=(), positions=(), modules=()):
    """Files of a desk of either style over four years with so many faults in each slot; ``parts`` of either, in turn."""
    tickets, repairs = [], []
    for desk, faults, fitted in zip(("Heron", "Curlew"), (capacitor, dc), parts or ((), ()), strict=True):
        for slot, number in ((slot, number) for slot, many in enumerate(faults, 1) for number in range(many)):
            day = f"202{number % 4}-{1 + (slot + number // 4) % 9:02d}-{10 + slot % 18}"
            place = {"ticket": f"{desk}-{slot}-{number}", "desk": desk, "position": slot}
            tickets.append(
                place
                | {"raised_on": day, "symptom": f"fault {number}", "outcome": "fault found", "closed_on": day}
            )
            if fitted:
                part = {"action": "replace", "part_type": fitted[(slot + number) % len(fitted)]}
                repairs.append(
                    place | part | {"repair": place["ticket"], "done_on": day, "cause": "confirmed"}
                )
    desks = [BOTH[0], {**BOTH[1], "powered_hours_per_week": hours}]
    for name, rows in {
        "desks": desks,
        "tickets": tickets,
        "repairs": repairs,
        "positions": positions,
        "modules": modules,
    }.items():
        if rows:
            pd.DataFrame(rows).to_csv(folder / f"{name}.csv", index=False)
    return open_quarter(folder, "2024Q3")


ONCE = [1] * 18 + [9] * 3  # faults of the slots of a desk of which many may never have had one


def test_slots_that_never_had_an_entry_leave_it_open_which_style_fails_more(tmp_path):
    found = capacitor_or_dc(reported(tmp_path, [2] * 20, ONCE))
    facts = found.facts
    assert facts.verdict == facts.module["verdict"] == "slots without an entry"
    assert (facts.unseen.dc.value, facts.unseen.capacitor.value) == (18 * 17 / 2, 0)
    assert facts.module["ratio"] < facts.unseen.ratio.value < facts.unseen.ratio.high
    assert "list of the slots" in found.title


def test_a_difference_beyond_what_slots_without_an_entry_can_make_stands(tmp_path):
    facts = capacitor_or_dc(reported(tmp_path, [12] * 20, ONCE)).facts
    assert facts.module["ratio"] > 5 and facts.unseen.dc.value == 18 * 17 / 2
    assert facts.verdict == "equal age cannot be told"


@pytest.mark.parametrize("table", ["positions", "modules"])
def test_slots_that_are_listed_by_themselves_or_with_their_modules_are_all_seen(tmp_path, table):
    slots = [{"desk": desk, "position": slot} for desk in ("Heron", "Curlew") for slot in range(1, 41)]
    own = [{"serial": f"K{at}"} | slot if table == "modules" else slot for at, slot in enumerate(slots)]
    quarter = reported(tmp_path, [2] * 20, ONCE, **{table: own})
    facts = capacitor_or_dc(quarter).facts
    assert facts.unseen is None and facts.verdict != "slots without an entry"
    gaps = " ".join(quarter.evidence.gaps)
    assert "a slot that never failed is not seen" not in gaps
    assert "positions" not in drafted_tables(quarter.records.connection)


def test_modules_of_slots_with_an_entry_alone_are_no_list_of_all(tmp_path):
    slots = [{"desk": desk, "position": slot} for desk in ("Heron", "Curlew") for slot in range(1, 21)]
    modules = [{"serial": f"K{at}"} | slot for at, slot in enumerate(slots)]
    assert capacitor_or_dc(reported(tmp_path, [2] * 20, ONCE, modules=modules)).facts.unseen is not None


def test_a_desk_that_is_on_day_and_night_is_compared_by_the_calendar_too(tmp_path):
    found = capacitor_or_dc(reported(tmp_path, [8] * 20, [4] * 20, hours=84))
    facts = found.facts
    assert facts.module["ratio"] == pytest.approx(1.0, rel=0.01)
    calendar = facts.by_calendar
    assert calendar.ratio.value == pytest.approx(2.0, rel=0.01) and calendar.ratio.low > 1
    assert (calendar.hours_capacitor, calendar.hours_dc) == pytest.approx((168, 84), rel=0.01)
    assert "in a calendar year they fail 2 times as often" in found.title


def test_where_the_calendar_says_the_same_it_is_not_told(tmp_path):
    assert capacitor_or_dc(reported(tmp_path, [8] * 20, [4] * 20)).facts.by_calendar is None


def test_a_kind_that_differs_at_no_known_age_is_named_as_the_records_stand(tmp_path):
    found = why_more(reported(tmp_path, [8] * 20, [4] * 20, parts=(["47u 25V"], ["47u 25V", *["fader"] * 9])))
    facts = found.facts
    assert facts.top is None and facts.untold["kind"] == "electrolytic"
    assert facts.untold["verdict"] == "equal age cannot be told" and facts.untold["ratio"] > 5
    assert "As the records stand" in found.title


def waiting(folder, *, capacitor, dc):
    """Two desks with eight faults a slot, where so many reports in each slot of either have neither outcome nor work."""
    reported(folder, [8] * 20, [8] * 20)
    path = folder / "tickets.csv"
    table = pd.read_csv(path, dtype=str)
    number = table["ticket"].str.rsplit("-", n=1).str[1].astype(int)
    table["outcome"] = table["outcome"].where(
        number >= table["desk"].map({"Heron": capacitor, "Curlew": dc}), ""
    )
    table["closed_on"] = table["closed_on"].where(table["outcome"] != "")
    table.to_csv(path, index=False)
    return capacitor_or_dc(open_quarter(folder, "2024Q3"))


def test_reports_still_open_of_the_one_style_alone_leave_it_open_which_fails_more(tmp_path):
    found = waiting(tmp_path, capacitor=6, dc=0)
    facts = found.facts
    assert facts.verdict == facts.module["verdict"] == "reports without an outcome"
    assert facts.module["ratio"] == pytest.approx(0.25, rel=0.01) and facts.unread.ratio > 0.9
    assert (facts.unread.reports_capacitor, facts.unread.reports_dc) == (120, 0)
    assert "cannot be told before the open reports have an outcome" in found.title


def test_reports_still_open_of_both_styles_alike_change_nothing(tmp_path):
    found = waiting(tmp_path, capacitor=6, dc=6)
    unread = found.facts.unread
    assert found.facts.verdict == "no difference shown" and unread.reports_capacitor == unread.reports_dc > 0
    assert "cannot be told" not in found.title
