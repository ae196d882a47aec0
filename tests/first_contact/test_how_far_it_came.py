"""A column that says how far a report came is its outcome and no work; what may name desk or slot is asked about."""

from maintkit.records.headings import draft_mapping
from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted, rows

CAFE = ("Fixed", "Repairable", "End of life", "Fixed", "Unknown")
THINGS = ("Kettle", "Radio", "Lamp", "Toaster")


def cafe(folder):
    lines = [
        f"rc_{3 * at},Repair Corner North,{THINGS[at % 4]},{CAFE[at % 5]},repair-corner-{'ab'[at % 2]},2024-03-{at % 28 + 1:02},odd {at}"
        for at in range(20)
    ]
    text = "\n".join(["id,provider,product category,repair status,group id,event date,problem", *lines])
    (folder / "repairs.csv").write_text(text, encoding="utf-8")
    return drafted(folder)


def test_how_far_a_repair_came_is_the_outcome_and_no_work(tmp_path):
    draft = cafe(tmp_path)
    assert "[repairs]" not in draft and "Repair Corner" not in draft
    found = rows(tmp_path, "select outcome, count(*) from tickets group by 1 order by 2 desc, 1")
    assert found == [("fault found", 12), ("open", 4), (None, 4)]


def test_columns_that_may_name_the_desk_are_asked_about_and_hold_once_answered(tmp_path):
    draft = cafe(tmp_path)
    assert '# ? "product category" = "desk"' in draft and '# ? "group id" = "desk"' in draft
    answered = draft.replace('# ? "product category"', '"product category"')
    (tmp_path / "mapping.toml").write_text(answered, encoding="utf-8")
    assert rows(tmp_path, "select desk, count(*) from tickets group by 1 order by 1") == [
        (thing, 5) for thing in sorted(THINGS)
    ]


def test_orders_have_their_number_and_are_asked_for_desk_and_slot(tmp_path):
    lines = [
        f"{70 - at},QX,Mill {'NS'[at % 2]},QX-{at % 3},P-{at % 4:03},does not start {at},2024-05-{at + 1:02}"
        for at in range(14)
    ]
    head = "Job num,Mill ID,Mill Name,Mill Number,Pump No,Description,Event Date"
    (tmp_path / "orders.csv").write_text("\n".join([head, *lines]), encoding="utf-8")
    draft = draft_mapping(tmp_path)
    assert draft.placed["orders.csv"]["Job num"] == ("tickets.ticket",)
    asked = [line for line in draft.text.splitlines() if line.startswith("# ? ")]
    assert asked == ['# ? "Mill Name" = "desk"', '# ? "Pump No" = "position"']


def test_the_kind_of_fault_is_no_kind_of_module(tmp_path):
    kinds = ("Paper feed", "Cannot print", "Power")
    lines = [f"2024-06-{at + 1:02},Heron,{kinds[at % 3]},stops after page {at}" for at in range(9)]
    (tmp_path / "log.csv").write_text("\n".join(["Date,Desk,Fault type,Problem", *lines]), encoding="utf-8")
    placed = draft_mapping(tmp_path).placed["log.csv"]
    assert placed["Problem"] == ("tickets.symptom",) and "Fault type" not in placed


JOBS = """Job,Raised,Desk,Ch,Description,Remarks,Status
11,2023-02-01,Wren,3,fader crackles,[2023-02-02 Kim] fader cleaned,Closed - completed
12,2023-02-07,Wren,9,no sound,[2023-02-07 Kim] could not reproduce it,Closed - completed
13,2023-02-09,Wren,9,no sound again,,Duplicate of 12
14,2023-03-03,Teal,2,distorted,[2023-03-04 Kim] IC3 replaced,Closed - completed
15,2023-03-11,Teal,5,hum on the left,[2023-03-12 Kim] heard nothing of it,Closed - no action
16,2023-03-12,Teal,5,hum,,Duplicate of 15
17,2023-04-20,Teal,6,dead,[2023-04-21 Kim] relay ordered,Awaiting parts
18,2023-04-22,Teal,7,lamp out,,Cancelled
"""


def test_a_report_that_is_the_same_as_another_is_left_out_whatever_the_number_of_that(tmp_path):
    (tmp_path / "log.csv").write_text(JOBS, encoding="utf-8")
    assert 'leave_out."Status" = ["Duplicate of #", "Cancelled"]' in drafted(tmp_path)
    (tmp_path / "log.csv").write_text(
        JOBS + "19,2023-07-01,Wren,4,thin,,duplicate of #17\n", encoding="utf-8"
    )
    assert rows(tmp_path, "select list(ticket order by ticket) from tickets", left_out=5) == [
        (["11", "12", "14", "15", "17"],)
    ]


def test_what_a_text_says_was_found_goes_before_a_state_that_says_closed(tmp_path):
    (tmp_path / "log.csv").write_text(JOBS, encoding="utf-8")
    draft = drafted(tmp_path)
    assert '"closed - completed" = ""' in draft and "Not understood" not in draft
    told = "select ticket, outcome from tickets where outcome is not null order by 1"
    assert rows(tmp_path, told, left_out=4) == [
        ("12", "no fault found"),
        ("15", "no fault found"),
        ("17", "open"),
    ]


def test_a_state_that_is_not_understood_is_told_of_its_own_column(tmp_path):
    (tmp_path / "log.csv").write_text(JOBS, encoding="utf-8")
    draft = drafted(tmp_path)
    for_good = draft.replace('"closed - no action" = "no fault found"', "")
    (tmp_path / "mapping.toml").write_text(for_good, encoding="utf-8")
    (told,) = open_records(tmp_path).report.not_understood
    assert (told.row, told.column, told.found) == (6, "Status", "Closed - no action")
