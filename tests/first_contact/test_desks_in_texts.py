"""Complaints that name their desk, each in its own way, where no column does."""

from tests.first_contact.as_drafted import drafted, rows

TOLD = """Date,What
3/2/2025,Heron 5 hums
14/2/2025,hall 2 ch 9 crackles
20/2/2025,"no sound on 9, heron"
28/2/2025,heron ch 7 low
17/3/2025,hall 2 12 pops
21/3/2025,"mute lamp on 6 (heron) dark"
2/4/2025,distorts on 3 hall 2
9/4/2025,Heron 12 thin
"""
AS_READ = [
    ("Heron", "5"),
    ("Heron", "6"),
    ("Heron", "7"),
    ("Heron", "9"),
    ("Heron", "12"),
    ("hall 2", "3"),
    ("hall 2", "9"),
    ("hall 2", "12"),
]


def test_each_report_is_of_the_desk_and_slot_it_names_before_or_behind(tmp_path):
    (tmp_path / "list.csv").write_text(TOLD, encoding="utf-8")
    drafted(tmp_path)
    placed = rows(tmp_path, "select desk, regexp_extract(position, '\\d+')::int::varchar from tickets")
    assert sorted(placed, key=lambda one: (one[0], int(one[1]))) == AS_READ


def test_names_of_one_desk_are_to_be_joined_where_each_report_has_its_own_way(tmp_path):
    told = (
        TOLD.replace("heron ch 7", "heron 7")
        .replace("Heron 12", "old desk 12")
        .replace("9, heron", "9 old desk")
    )
    (tmp_path / "list.csv").write_text(
        told + "5/5/2025,old desk 4 dead\n6/5/2025,4 on heron dead\n", encoding="utf-8"
    )
    draft = drafted(tmp_path)
    assert "give two names of one desk the same name behind the =" in draft
    assert rows(tmp_path, "select count(*) from tickets where desk = 'old desk'") == [(3,)]
    (tmp_path / "mapping.toml").write_text(
        draft.replace('"old desk" = "old desk"', '"old desk" = "Heron"'), encoding="utf-8"
    )
    assert rows(tmp_path, "select desk, count(*) from tickets group by desk order by desk") == [
        ("Heron", 7),
        ("hall 2", 3),
    ]


def test_words_of_parts_and_work_before_numbers_name_no_desk(tmp_path):
    told = TOLD.replace("Heron ", "fader ").replace("heron ", "fader ").replace("hall 2", "hum")
    (tmp_path / "list.csv").write_text(told, encoding="utf-8")
    assert "tickets.lookup.desk]\nfrom" not in drafted(tmp_path)


OF_BOTH_WAYS = """3/2/2025 Big desk 22 hums
14/2/2025 Big desk ch 14 crackles
20/2/2025 Big desk 5 dead
28/2/2025 Old desk 7 low
17/3/2025 PSU 2 of the big desk, fan noisy
21/3/2025 Old desk 11 stuck
2/4/2025 fader of 9 on the big desk stiff
9/4/2025 Big desk PSU 1 trips
"""


def test_a_desk_of_channels_named_in_both_ways_has_one_series_and_its_supplies_are_no_channels(tmp_path):
    (tmp_path / "diary.txt").write_text(OF_BOTH_WAYS, encoding="utf-8")
    drafted(tmp_path)
    assert rows(tmp_path, "select desk, position from tickets order by raised_on") == [
        ("Big desk", "ch 22"),
        ("Big desk", "ch 14"),
        ("Big desk", "ch 5"),
        ("Old desk", "7"),
        ("Big desk", "PSU 2"),
        ("Old desk", "11"),
        ("Big desk", "ch 9"),
        ("Big desk", "PSU 1"),
    ]
