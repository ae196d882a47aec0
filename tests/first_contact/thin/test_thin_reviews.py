"""Reviews of thin books: every expected fact counted by hand in ``books.py``."""

import re
from datetime import date, timedelta

import pytest

from maintkit import open_quarter, pull_next, quarterly_review, review, write_review
from maintkit.ask import ask
from maintkit.quarter import quarter as quarter_room
from maintkit.questions import counted, happened, if_nothing, keep_next, reading, where_next, worklist
from maintkit.questions.plan import Waiting
from maintkit.report.report_page import OnTheBench
from maintkit.report.templates import plain_text, told
from maintkit.review import review_records
from tests.first_contact.thin import books


def opened(folder, label="2026Q3", **tables):
    return open_quarter(books.write(folder, **tables), label)


@pytest.fixture(scope="module")
def plain(tmp_path_factory):
    """Desks and tickets alone."""
    return opened(tmp_path_factory.mktemp("plain"), desks=books.desks(), tickets=books.tickets())


@pytest.fixture(scope="module")
def worked(tmp_path_factory):
    """Tickets closed as found, and the work that answers them: no cause, no parts list, no minutes."""
    tickets = books.tickets(minutes_lost=None, outcome="fault found")
    tables = dict(desks=books.desks(), tickets=tickets, repairs=books.repairs(tickets))
    return opened(tmp_path_factory.mktemp("worked"), **tables)


@pytest.fixture(scope="module")
def few(tmp_path_factory):
    """Four tickets in five weeks."""
    folder = tmp_path_factory.mktemp("few")
    return opened(folder, None, desks=books.desks(), tickets=books.tickets()[:4])


def page(quarter, folder):
    review = quarterly_review(quarter)
    written = write_review(review, folder).folder
    text = plain_text(
        (written / "report.html")
        .read_text(encoding="utf-8")
        .split("<body>")[1]
        .split("<noscript>")[0]
        .replace("<", " <")
    )
    return review, written, " ".join(text.split())


def often(rows):
    return [(row.desk, row.name, row.events) if row.desk else (row.name, row.events) for row in rows]


def test_tickets_alone_are_counted_by_desk_slot_symptom_and_quarter(plain):
    found, rows = happened.facts(plain), counted.facts(plain)
    table = found.table.set_index("desk")
    assert table["faults"].to_dict() == {"Alder": 6, "Birch": 1}
    assert table["minutes_lost"].to_dict() == {"Alder": 80, "Birch": 10}
    totals = found.history.groupby("quarter")["faults"].sum()
    assert totals.to_dict() == {"2025Q4": 8, "2026Q1": 8, "2026Q2": 7, "2026Q3": 7}
    assert found.as_reports == 30
    assert often(rows.symptoms) == [("crackle", 13), ("no sound", 7), ("distorted", 5), ("hum", 5)]
    assert often(rows.slots)[:3] == [("Alder", "3", 10), ("Alder", "7", 5), ("Birch", "4", 3)]
    assert rows.parts == ()


def test_slots_have_limits_on_how_often_they_are_reported(plain):
    first = counted.facts(plain).slots[0]
    # 10 in one year; exact 90 % limits of a count of 10 (Garwood 1936, chi-square tables): 5.43 and 16.96
    assert (first.low, first.a_year, first.high) == pytest.approx((5.43, 10, 16.96), rel=0.01)


def test_a_forecast_rests_on_counts(plain):
    ahead = if_nothing.facts(plain)
    assert ahead.faults.low < 30 / 4 < ahead.faults.high
    assert ahead.faults.value == pytest.approx(30 / 4, rel=0.15)


def test_no_slot_is_shown_as_a_module(plain):
    assert all(one.modules == () for one in where_next.facts(plain).next)


def test_parts_changed_are_counted_a_desk_year(worked):
    rows = counted.facts(worked)
    assert often(rows.parts) == [("pot 10k", 13), ("relay 24V", 7), ("opamp dual", 5)]
    assert rows.parts[0].a_year == pytest.approx(13 / 2, rel=0.02)
    assert rows.parts[0].this_quarter == 4


def test_thirty_tickets_found_and_mended_without_a_cause_are_thirty_faults(worked, tmp_path):
    found = happened.facts(worked)
    assert (found.faults, int(found.history["faults"].sum()), found.as_reports) == (7, 30, 0)
    review, _, text = page(worked, tmp_path / "out")
    assert "7 faults in 7 tickets" in text
    assert "no part is replaced" not in text
    assert "0 minutes" not in text
    assert not re.search(r"(?<![\d,.])0 session minutes", text)
    assert "order is by expected faults" in text
    assert not re.search(r"\b0 of ", text)
    assert "coupl" not in text + repr(review)
    assert "capacitor-or-dc" not in review.findings
    assert "pot 10k 4 13 6.5" in text
    assert "Minutes lost: 30 of 30 faults reported have none" in text


def test_what_to_keep_next_names_at_most_three_things_the_widest_gap_first(plain, worked):
    assert [(gap.name, gap.lacking, gap.of) for gap in keep_next.facts(plain).gaps] == [
        ("outcome", 30, 30),
        ("serial", 30, 30),
        ("coupling", 2, 2),
    ]
    assert [(gap.name, gap.lacking) for gap in keep_next.facts(worked).gaps] == [
        ("minutes", 30),
        ("serial", 30),
        ("bench_minutes", 30),
    ]


def test_of_fewer_than_five_faults_the_list_is_given_and_no_order(few, tmp_path):
    # 4 faults in the 35 days to the 4th of November: one in 8.75 days, so the fifth about the 13th
    assert if_nothing.facts(few).enough_on == date(2025, 11, 13)
    review, folder, text = page(few, tmp_path / "out")
    assert "to 4 November, 35 of 92 days" in text
    assert "3 October 2025 Alder 3 crackle reported 10" in text
    assert "five by about November 2025" in text
    assert "Slots to work on next" not in text
    assert "application/json" not in (folder / "report.html").read_text(encoding="utf-8")
    assert not list(folder.glob("bench-cards/*"))
    ranks = [line.split(",") for line in (folder / "priority.csv").read_text().splitlines()[1:]]
    assert len(ranks) == 3
    assert {cell for row in ranks for cell in row[2:]} == {""}


def test_a_quarter_without_an_entry_had_no_fault_where_later_ones_show_the_log_was_kept(tmp_path):
    tickets = [row for row in books.tickets() if not "2026-04" <= row["raised_on"] < "2026-07"]
    quarter = opened(tmp_path / "book", "2026Q2", desks=books.desks(), tickets=tickets)
    found = happened.facts(quarter)
    assert (found.faults, found.faults_before, found.is_kept, found.tickets) == (0, 8, True, 0)


def test_a_slot_out_of_use_ends_its_time_and_is_not_forecast(tmp_path):
    end = date(2026, 6, 30)
    slots = [
        {**slot, "in_use_to": end.isoformat() if slot == dict(desk="Alder", position="3") else ""}
        for slot in books.slots()
    ]
    tickets = [
        row for row in books.tickets() if row["position"] != "3" or row["raised_on"] <= end.isoformat()
    ]
    quarter = opened(tmp_path / "book", desks=books.desks(), positions=slots, tickets=tickets)
    places = list(zip(quarter.forecast.slots["desk"], quarter.forecast.slots["position"], strict=True))
    assert ("Alder", "3") not in places
    assert len(places) == 15
    first = counted.facts(quarter).slots[0]
    # 1 October 2025 to 30 June 2026: 273 days
    assert (first.name, first.events) == ("3", 7)
    assert first.calendar_years == pytest.approx(273 / 365.25, abs=0.005)


def test_where_no_electrolytic_is_known_no_overhaul_is_asked_for(worked):
    """A list of tickets and work names no capacitor of any module: there is nothing to re-cap, and hours would be none."""
    plan = pull_next(worked)
    assert plan.title.startswith("Pull no module for overhaul in ")
    assert "No electrolytic of known number is in any of them" in plan.title
    assert plan.table is None or len(plan.table) == 0


def test_a_re_cap_that_names_a_ticket_answers_it_and_one_that_names_none_is_planned(tmp_path):
    """Nothing said of planned: T1 was mended by R1; R2 answers nobody. Neither is a failure of every capacitor."""
    tickets = books.tickets()[:2]
    done = [
        dict(repair="R1", done_on="2025-10-03", desk="Alder", position="3", ticket="T1", action="re-cap"),
        dict(repair="R2", done_on="2025-10-20", desk="Alder", position="7", ticket="", action="re-cap"),
        dict(repair="R3", done_on="2025-10-09", desk="Birch", position="1", ticket="T2", action="test"),
    ]
    quarter = opened(tmp_path, None, desks=books.desks(), tickets=tickets, repairs=done)
    assert quarter.evidence.faults.set_index("event_id")["class"].to_dict() == {"T1": "fault", "T2": "open"}
    assert quarter.evidence.work.set_index("repair")["planned"].to_dict() == {
        "R1": True,
        "R2": True,
        "R3": False,
    }


def test_a_book_asked_for_as_this_folder_has_its_name(tmp_path, monkeypatch):
    monkeypatch.chdir(books.write(tmp_path / "Studio A", desks=books.desks(), tickets=books.tickets()))
    assert open_quarter(".").records.name == "Studio A"


def test_faults_without_minutes_are_told_where_they_are_many(tmp_path):
    """Ten of the thirty reports have no minutes: a third, and each costs what the others did."""
    tickets = [{**row, "minutes_lost": ""} if n % 3 == 0 else row for n, row in enumerate(books.tickets())]
    quarter = opened(tmp_path / "book", None, desks=books.desks(), tickets=tickets)
    ahead = if_nothing.facts(quarter)
    assert (ahead.untimed, ahead.counted) == (10, 30)
    assert "10 of 30 faults on record have no minutes" in page(quarter, tmp_path / "out")[2]


def test_a_quarter_after_the_last_entry_is_not_said_to_have_had_no_fault(tmp_path):
    # The last of the thirty tickets is of 24 September: of the next quarter nothing was written down.
    later = opened(tmp_path / "book", "2026Q4", tickets=books.tickets())
    _, _, text = page(later, tmp_path / "out")
    assert "Nothing is on record in " in text
    assert "0 came" not in text
    assert "No quarter before this one is on record" not in text


@pytest.mark.parametrize("of_one_desk", [False, True])
def test_where_no_slot_is_named_desks_are_forecast_no_slot_comes_first_and_slots_are_asked_for(
    tmp_path, of_one_desk
):
    tickets, desks = books.tickets(position=None), books.desks()
    if of_one_desk:
        tickets, desks = [{**ticket, "desk": "Alder"} for ticket in tickets], desks[:1]
    quarter = opened(tmp_path / "records", desks=desks, tickets=tickets)
    review, _, text = page(quarter, tmp_path / "out")
    assert if_nothing.facts(quarter).faults.value == pytest.approx(30 / 4, rel=0.15)
    assert where_next.facts(quarter).next == ()
    assert counted.facts(quarter).slots == ()
    assert "The slot: 30 of 30 faults name none" in text
    assert "Look first at" not in text and "the order is loose" not in text
    assert re.fullmatch(
        r"7\.\d faults and \d+ session minutes are expected in 2026Q4\. No slot is told from another in these records: "
        r"with the slot of each entry written down, the next review says which to work on first\.",
        review["work-next"].title,
    )


@pytest.mark.parametrize("asked", [("alder", "crackle"), ("Alder", "3", "crackle"), ("Alder", "", "crackle")])
def test_a_desk_of_which_no_slot_is_named_is_asked_about_as_a_whole(tmp_path, asked):
    folder = books.write(tmp_path, desks=books.desks(), tickets=books.tickets(position=None))
    lines = ask(*asked, records=folder).splitlines()
    assert lines[0] == 'Alder (whole desk), "crackle"'
    assert any("23 faults on" in line for line in lines)


def test_a_desk_of_which_hardly_an_entry_names_a_slot_is_forecast_as_a_whole_and_leads_no_list(tmp_path):
    tickets = books.tickets()
    for number, ticket in enumerate(one for one in tickets if one["desk"] == "Alder"):
        ticket["position"] = "27" if number == 4 else ""
    desks = [{**desk, "family": "shore", "coupling": "dc"} for desk in books.desks()]
    quarter = opened(tmp_path, desks=desks, tickets=tickets)
    forecast = quarter.forecast.count_limits.set_index("desk")
    assert forecast.loc["Alder", "expected_faults"] == pytest.approx(23 / 4, rel=0.15)
    assert forecast.loc["Alder", "level"] == pytest.approx(1, abs=0.1)
    assert forecast.loc["Birch", "expected_faults"] == pytest.approx(7 / 4, rel=0.2)
    assert {one.desk for one in where_next.facts(quarter).next} == {"Birch"}
    assert {place.rpartition(" ")[0] for place in worklist.work_next(quarter).first} == {"Birch"}


def test_a_quarter_of_planned_work_alone_says_so_and_one_after_the_last_entry_says_when_that_was(tmp_path):
    recaps = [
        {"repair": f"R{at}", "done_on": day, "desk": "Alder", "position": str(at), "action": "re-cap"}
        | {"quantity": 38, "bench_minutes": 120}
        for at, day in enumerate(("2025-11-04", "2026-02-10", "2026-02-17", "2026-05-05"), start=1)
    ]
    folder = tmp_path / "book"
    written, after = (
        page(open_quarter(books.write(folder, desks=books.desks(), repairs=recaps), label), tmp_path / label)[
            2
        ]
        for label in ("2026Q1", "2026Q3")
    )
    assert "Planned work alone was done: 2 jobs, 4 bench hours, 76 parts." in written
    assert "Nothing was written down" not in written
    assert "Nothing was written down in this quarter; the last entry is of 5 May 2026." in after
    assert "under power" not in after


def test_the_only_fault_of_several_desks_is_said_in_a_sentence_of_its_own(tmp_path):
    tickets = [
        {"ticket": f"T{at}", "raised_on": day, "desk": desk, "position": "3", "symptom": "hum"}
        for at, (day, desk) in enumerate(
            (("2026-02-03", "Birch"), ("2026-05-03", "Birch"), ("2026-08-03", "Alder"))
        )
    ]
    folder = books.write(tmp_path / "book", desks=books.desks(), tickets=tickets)
    said = page(open_quarter(folder, "2026Q3"), tmp_path / "out")[2]
    assert "The only reported fault was on Alder." in said


def test_less_than_an_hour_kept_for_what_waits_is_told_in_minutes():
    waiting = (Waiting("M1", "Alder", "3", date(2026, 8, 3), "hum", None, at_bench=True),)
    short, long = (
        plain_text(told("part_waiting", OnTheBench(at_bench=waiting, reports=(), queue_hours=hours))["title"])
        for hours in (2 / 3, 3)
    )
    assert short.endswith("40 minutes at the bench are kept.")
    assert long.endswith("3 bench hours are kept.")


def test_a_desk_of_which_no_report_gives_minutes_has_none_and_not_nought(tmp_path):
    tickets = [one | ({} if one["desk"] == "Alder" else {"minutes_lost": None}) for one in books.tickets()]
    folder = books.write(tmp_path / "book", desks=books.desks(), tickets=tickets)
    written = page(open_quarter(folder, "2026Q3"), tmp_path / "out")[1]
    html = (written / "report.html").read_text(encoding="utf-8")
    table = html.split("What happened, desk by desk")[1].split("</table>")[0]
    cells = {
        desk: [plain_text(cell) for cell in re.findall(r"<td class=\"n\">(.*?)</td>", row)[-2:]]
        for desk, row in re.findall(r"<th scope=\"row\">(\w+)</th>(.*?)</tr>", table, re.DOTALL)
    }
    assert cells["Birch"] == ["–", "–"]
    assert cells["Alder"][0] == "80"


def test_a_few_weeks_are_not_drawn_out_over_years(plain, tmp_path):
    """Eight reports to 15 December, as often as leaves 16 days quiet: the quarter's 92 days are too few for two years to come."""
    tickets = books.tickets()[:8]
    short = opened(tmp_path / "book", "2025Q4", desks=books.desks(), tickets=tickets)
    ahead = if_nothing.facts(short)
    assert (ahead.seen, ahead.days) == (8, 92)
    assert (ahead.two_years_faults, ahead.two_years_hours, ahead.two_years_mending) == (None, None, None)
    text = page(short, tmp_path / "out")[2]
    assert "rests on 8 faults in 92 days" in text and "In two years" not in text
    whole = if_nothing.facts(plain)
    assert whole.days is None
    assert whole.two_years_faults == pytest.approx(8 * whole.faults.value)


def test_faults_of_no_known_slot_are_told_beside_those_of_the_slots(plain, tmp_path):
    """Three of the thirty reports name no slot."""
    tickets = [{**row, "position": ""} if n in (5, 11, 20) else row for n, row in enumerate(books.tickets())]
    quarter = opened(tmp_path / "book", desks=books.desks(), tickets=tickets)
    where = where_next.facts(quarter)
    assert (where.seen, where.unplaced) == (27, 3)
    assert "27 faults on record, and 3 of no known slot or module" in page(quarter, tmp_path / "out")[2]
    assert where_next.facts(plain).unplaced == 0


def test_slots_taken_from_the_entries_are_told_of_all_there_are(plain, tmp_path):
    """Fitments tell of thirty slots of Alder, the reports alone of four of Birch."""
    stays = [
        dict(serial=f"A{slot}", desk="Alder", position=str(slot), fitted_on="2025-10-01")
        for slot in range(1, 31)
    ]
    quarter = opened(tmp_path / "book", desks=books.desks(), tickets=books.tickets(), fitments=stays)
    found = reading.facts(quarter)
    drafted = {one.table: one.rows for one in found.drafted}
    assert found.slots == 34
    assert drafted["positions"] < 34
    assert f"{drafted['positions']} of 34 slots" in plain_text(told("how_it_was_read", found)["title"])
    assert " of 8 slots" not in plain_text(told("how_it_was_read", reading.facts(plain))["title"])


@pytest.mark.parametrize(("reports", "label"), [(12, "2026Q1"), (25, "2026Q3")])
def test_a_list_of_the_last_reports_alone_says_so(tmp_path, reports, label):
    tickets = books.tickets(outcome="no fault found")[:reports]
    text = page(opened(tmp_path / "book", label, desks=books.desks(), tickets=tickets), tmp_path / "out")[2]
    assert ("The last 20 of 25 reports so far" in text) == (reports == 25)
    assert ("Every report so far" in text) == (reports == 12)


@pytest.mark.parametrize(
    ("last", "quarter", "is_told"),
    [(27, None, True), (28, None, False), (30, None, False), (27, "2026Q2", False)],
)
def test_the_command_says_why_it_does_not_review_the_quarter_of_the_last_entry(
    tmp_path, last, quarter, is_told
):
    """A report comes every 12 days or so: the 27th is of 14 August 2026, 47 days before the quarter ends, the 28th of two weeks later."""
    folder = books.write(tmp_path / "book", desks=books.desks(), tickets=books.tickets()[:last])
    said = review_records(folder, quarter, tmp_path / "out")
    told = "The last entry is of 14 August 2026, more than 35 days before 2026Q3 ends"
    assert (told in said) == is_told
    assert ("--quarter 2026Q3 reviews that one to that day" in said) == is_told
    if not is_told and quarter is None:
        assert "2026Q3: " in said and open_quarter(folder, "2026Q3").days_so_far is None


def test_silence_that_a_book_written_daily_does_not_know_ends_its_quarter(tmp_path):
    """Of ninety entries, one a day, the last is of 10 September: 20 days without one are no common thing."""
    first = date(2026, 6, 13)
    tickets = [
        row | {"raised_on": str(first + timedelta(days=at))} for at, row in enumerate(books.tickets() * 3)
    ]
    tickets = [row | {"ticket": f"T{at}"} for at, row in enumerate(tickets)]
    quarter = open_quarter(books.write(tmp_path / "book", desks=books.desks(), tickets=tickets), "2026Q3")
    assert quarter.last_day == date(2026, 9, 10) and quarter.days_so_far == 72


@pytest.mark.parametrize(("today", "is_over"), [(date(2026, 9, 30), False), (date(2026, 10, 1), True)])
def test_a_quarter_still_running_is_not_over_and_not_to_be_written_down_as_over(
    tmp_path, monkeypatch, today, is_over
):
    class Clock(date):
        @classmethod
        def today(cls):
            return today

    monkeypatch.setattr(review, "date", Clock)
    monkeypatch.setattr(quarter_room, "date", Clock)
    folder = books.write(tmp_path / "book", desks=books.desks(), tickets=books.tickets()[:28])
    said = review_records(folder, None, tmp_path / "out")
    assert ("--quarter 2026Q3 reviews that one to that day" in said) == (not is_over)
    assert ("2026Q3: " in said) == is_over and "write as_of" not in said


def test_a_quiet_end_is_over_where_the_mapping_says_to_when_records_were_kept(tmp_path):
    folder = books.write(tmp_path / "book", desks=books.desks(), tickets=books.tickets()[:27])
    said = review_records(folder, None, tmp_path / "out")
    assert "write as_of = 2026-09-30 at the top of mapping.toml" in said
    with open(folder / "mapping.toml", "a", encoding="utf-8") as mapping:
        mapping.write("as_of = 2026-09-30\n")
    said = review_records(folder, None, tmp_path / "out2")
    assert "2026Q3: " in said and "days before" not in said
    assert open_quarter(folder, "2026Q3").days_so_far is None


def test_drafted_desks_with_few_entries_may_be_second_names(tmp_path):
    tickets = books.tickets()[:20]
    for at in (3, 4):
        tickets[at] = {**tickets[at], "desk": "the old one"}
    quarter = opened(tmp_path / "book", "2026Q1", tickets=tickets)
    found = reading.facts(quarter)
    assert found.seldom == ("the old one",)
    said = plain_text(told("how_it_was_read", found)["title"])
    assert "the old one has under five entries: where a name is another’s, join the two" in said
    alike = opened(tmp_path / "alike", "2026Q1", tickets=books.tickets()[:20])
    assert reading.facts(alike).seldom == ()
