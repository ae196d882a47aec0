"""Messages of a group saved as plain text: where one begins, who sent it, and what goes on with a report."""

import pytest

from maintkit.records.messages import are_messages, message_at, message_entries


@pytest.mark.parametrize(
    "line, found",
    [
        ("14/03/2025, 09:12 - Ute: ch 9 hums", ("14/03/2025, 09:12", "Ute", "ch 9 hums")),
        ("[14/03/2025, 09:12:07] Ute: ch 9 hums", ("14/03/2025, 09:12:07", "Ute", "ch 9 hums")),
        (
            "\u200e[14.03.25, 09:12:07] Ute Berg: Kanal 9: tot",
            ("14.03.25, 09:12:07", "Ute Berg", "Kanal 9: tot"),
        ),
        ("3/14/25, 9:12\u202fAM - +49 170 12345: ch 9", ("3/14/25, 9:12 AM", "+49 170 12345", "ch 9")),
        ("2025-03-14 09:12 - Ute:", ("2025-03-14 09:12", "Ute", "")),
        ("14/03/2025, 09:12 - Ute added Ned", ("14/03/2025, 09:12", "", "Ute added Ned")),
    ],
)
def test_a_message_begins_with_its_day_time_and_sender(line, found):
    assert message_at(line) == found


@pytest.mark.parametrize(
    "line",
    [
        "ch 9: dead",
        "14/03/2025 - Ute: ch 9",
        "14/03/2025 09:12 ch 9: hums",
        "14/03 09:12 - Ute: ch 9",
        "- C7",
        "",
    ],
)
def test_a_line_of_another_kind_begins_none(line):
    assert message_at(line) is None


def test_a_diary_of_days_with_the_slot_before_a_colon_is_none_of_messages():
    assert not are_messages([f"{day}/3/2025 09:30 ch {day}: dead" for day in range(1, 9)])
    assert not are_messages([f"{day}/3/2025 - Heron: ch {day} dead" for day in range(1, 9)])
    assert are_messages([f"{day}/3/2025 09:30 - Ned: ch {day} dead" for day in range(1, 9)])


def entries(*lines):
    return [fields for _, fields in message_entries(lines)]


def test_a_line_that_begins_none_goes_on_with_the_one_above():
    told = list(
        message_entries(["saved on Monday\n", "3/2/2025, 10:00 - Ute: ch 9 hums\n", "\n", "even when cold\n"])
    )
    assert told == [
        (1, ["", "", "saved on Monday"]),
        (2, ["3/2/2025, 10:00", "Ute", "ch 9 hums even when cold"]),
    ]


def test_what_was_done_goes_on_with_the_report_before_it_whoever_sent_it_and_over_chatter():
    assert entries(
        "13/2/2025, 10:00 - Ned: ch 9 hums",
        "13/2/2025, 10:01 - Ute: oh dear",
        "13/2/2025, 10:02 - Ute: 1 for soup",
        "14/2/2025, 15:00 - Ned: ch 4 dead",
        "15/2/2025, 15:00 - Ned: done, dry joint",
        "15/2/2025, 16:00 - Ned: C7 in 9 replaced",
    ) == [
        ["13/2/2025, 10:00", "Ned", "ch 9 hums"],
        ["13/2/2025, 10:01", "Ute", "oh dear"],
        ["13/2/2025, 10:02", "Ute", "1 for soup"],
        ["14/2/2025, 15:00", "Ned", "ch 4 dead. done, dry joint"],
        ["15/2/2025, 16:00", "Ned", "C7 in 9 replaced"],
    ]


def test_what_was_done_a_week_later_goes_on_with_nothing_in_either_order_of_day_and_month():
    days = (
        ("10/02/2025", "17/02/2025", "10/03/2025", "11/03/2025"),
        ("02/10/25", "02/17/25", "03/10/25", "03/11/25"),
    )
    for first, late, next_month, soon in days:
        assert entries(
            f"{first}, 10:00 - Ned: ch 9 hums",
            f"{late}, 10:00 - Ute: cleaned",
            f"{next_month}, 10:00 - Ned: ch 3 dead",
            f"{soon}, 10:00 - Ute: cleaned",
        ) == [
            [f"{first}, 10:00", "Ned", "ch 9 hums"],
            [f"{late}, 10:00", "Ute", "cleaned"],
            [f"{next_month}, 10:00", "Ned", "ch 3 dead. cleaned"],
        ]


def test_a_report_told_again_by_another_within_the_hour_is_one_and_its_work_too():
    told = ["Tern ch 6 is thin", "6 on tern sounds like a phone", "heron 6 thin", "tern 6 thin"]
    minutes = (("10:00", "Ned"), ("10:01", "Ute"), ("10:02", "Ute"), ("11:40", "Ned"))
    lines = [f"13/2/2025, {at} - {who}: {one}" for (at, who), one in zip(minutes, told, strict=True)]
    assert [one[-1] for one in entries(*lines, "14/2/2025, 9:00 - Ute: C7 replaced")] == [
        "Tern ch 6 is thin. 6 on tern sounds like a phone",
        "heron 6 thin",
        "tern 6 thin. C7 replaced",
    ]
