"""The messages of a group as a text beside each other: reports with what was done about them, and much that is none."""

import openpyxl
import pytest

from tests.first_contact.as_drafted import drafted, rows

CHAT = """13/02/2025, 09:00 - Messages are kept for members alone.
13/02/2025, 09:00 - Ute created group "faults"
13/02/2025, 09:05 - Ute: ch 9 hums, again and again
13/02/2025, 09:06 - Ned: soup anyone?
13/02/2025, 15:00 - Kit: C7 replaced
20/02/2025, 10:00 - Ned: ch 12 no sound, left side
20/02/2025, 10:02 - Ute: ch 12 no sound here too
20/02/2025, 17:30 - Kit: done, dry joint,
it was the edge connector
03/03/2025, 11:00 - Ute: thanks all
17/03/2025, 11:00 - Ute: ch 4 fader scratchy
18/03/2025, 09:00 - Kit: cleaned
21/03/2025, 12:00 - Ned: heron 7
28/03/2025, 16:00 - Ned: ch 9 meter stuck
"""
BRACKETS = "".join(
    f"[{line.replace(' - ', ':07] ', 1)}\n" if line[:2].isdigit() else f"{line}\n"
    for line in CHAT.splitlines()
).replace("\\\n", "\n")


@pytest.mark.parametrize("text", [CHAT, BRACKETS], ids=["dash", "brackets"])
def test_messages_are_read_by_their_days_and_without_chatter_and_senders(tmp_path, text):
    (tmp_path / "group.txt").write_text(text, encoding="utf-8")
    draft = drafted(tmp_path)
    assert 'delimiter = "message"' in draft and "# 2 messages name no slot" not in draft
    assert "# 4 messages name no slot, part or complaint and no work, so they are left out" in draft
    assert (
        '# 1 name a number and nothing else that is known, and are taken for reports. Put those that are none into the next list: ["heron 7"]'
        in draft
    )
    left = 'leave_out."Fault" = ["Messages are kept for members alone.", "Ute created group \\"faults\\"", "soup anyone?", "thanks all"]'
    assert left in draft
    query = "select raised_on::date::varchar, tickets.position, symptom, action from tickets left join repairs using (ticket) order by raised_on"
    assert rows(tmp_path, query, left_out=4 + 6) == [
        ("2025-02-13", "ch 9", "ch 9 hums, again and again. C7 replaced", "replace"),
        (
            "2025-02-20",
            "ch 12",
            "ch 12 no sound, left side. ch 12 no sound here too. done, dry joint, it was the edge connector",
            "re-solder",
        ),
        ("2025-03-17", "ch 4", "ch 4 fader scratchy. cleaned", "clean"),
        ("2025-03-21", None, "heron 7", None),
        ("2025-03-28", "ch 9", "ch 9 meter stuck", None),
    ]


def test_the_name_before_the_colon_may_be_made_the_desk(tmp_path):
    lines = (
        f"{day}/03/2025, 09:00 - {('Tern', 'Heron')[day % 2]}: ch {day} no sound" for day in range(13, 20)
    )
    (tmp_path / "log.txt").write_text("\n".join(lines), encoding="utf-8")
    draft = drafted(tmp_path)
    assert 'Where it is the desk, write "Sender" = "desk" below' in draft
    changed = draft.replace('same = { desk = "the desk" }\n', "").replace(
        '"Date" = "raised_on"', '"Date" = "raised_on"\n"Sender" = "desk"'
    )
    (tmp_path / "mapping.toml").write_text(changed, encoding="utf-8")
    found = rows(tmp_path, "select desk, count(*) from tickets group by all order by all")
    assert found == [("Heron", 4), ("Tern", 3)]


def test_messages_pasted_into_a_sheet_are_read_as_they_are_from_a_text(tmp_path):
    query = "select raised_on, tickets.position, symptom, action from tickets left join repairs using (ticket) order by all"
    found = []
    for name in ("text", "book"):
        folder = tmp_path / name
        folder.mkdir()
        (folder / "group.txt").write_text(CHAT, encoding="utf-8")
        if name == "book":
            (folder / "group.txt").unlink()
            book = openpyxl.Workbook()
            for line in CHAT.splitlines():
                book.active.append([line])
            book.save(folder / "group.xlsx")
        drafted(folder)
        found.append(rows(folder, query, left_out=4 + 6))
    assert found[0] == found[1] and len(found[0]) == 5


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_messages_within_the_cells_of_a_table_make_none_of_it(tmp_path, kind):
    said = "[{0}/03/2025, 09:12:07] Ute: tried it\n[{0}/03/2025, 10:00:00] Kit: relay replaced"
    lines = [["Job", "Desk", "Slot", "Fault", "Remarks"]]
    lines += [[f"J{day}", "Heron", f"ch {day}", f"no sound {day}", said.format(day)] for day in range(13, 20)]
    if kind == "csv":
        text = "\n".join(",".join(f'"{cell}"' for cell in one) for one in lines)
        (tmp_path / "jobs.csv").write_text(text, encoding="utf-8")
    else:
        book = openpyxl.Workbook()
        for one in lines:
            book.active.append(one)
        book.save(tmp_path / "jobs.xlsx")
    assert 'delimiter = "message"' not in drafted(tmp_path)


def test_messages_of_other_things_alone_make_no_list(tmp_path):
    said = ("soup?", "yes", "me too", "who has the key", "thanks")
    lines = (f"{day}/03/2025, 09:00 - Ute: {what}" for day, what in enumerate(said, 13))
    (tmp_path / "group.txt").write_text("\n".join(lines), encoding="utf-8")
    assert "\n[tickets]" not in drafted(tmp_path)
