"""Reports of several desks of which no column names one: the sheet or file is named for its desk."""

import pytest

from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted
from tests.first_contact.test_shapes_of_books import loaded, workbook

GANNET = [
    ("Date", "Chan", "Fault", "Work done", "Time"),
    ("2017-02-03", 4, "crackling", "pot cleaned", 20),
    ("2017-03-09", 11, "no output", "IC3 replaced", 45),
    ("2017-06-21", 4, None, "re-cap, 30 caps", 120),
    ("2017-06-22", 5, None, "re-cap, 31 caps", 125),
    ("2018-01-30", 9, "hum", "re-soldered the connector", 30),
    ("2018-05-04", 2, "fader scratchy", "fader replaced", 30),
]
PETREL = [
    ("Strip", "Reported", "Complaint", "Remedy", "mins"),
    ("ch 2", "2017-01-14", "distorted", "IC5 replaced", 50),
    ("ch 7", "2017-11-02", "noisy", "switch cleaned", 15),
    ("ch 7", "2018-02-11", "dead", "relay replaced", 35),
    ("ch 12", "2018-08-19", "meter dark", "lamp replaced", 10),
]
PER_DESK = "select desk, count(*) from tickets group by 1 order by 1"
RECAPS = "select desk, count(*) from repairs where action = 're-cap' group by 1"


def test_each_of_several_sheets_laid_out_otherwise_is_a_desk(tmp_path):
    workbook(tmp_path, "book.xlsx", Gannet=GANNET, Petrel=PETREL)
    draft, found = loaded(tmp_path, PER_DESK)
    assert found == [("Gannet", 4), ("Petrel", 4)]  # and two re-caps, which nobody reported
    assert loaded(tmp_path, RECAPS)[1] == [("Gannet", 2)]
    assert "No column names the desk; by the names of the sheets" in draft


@pytest.mark.parametrize("names", [("New book", "Old book"), ("March", "October"), ("Channels", "Masters")])
def test_sheets_that_go_on_from_each_other_or_are_named_otherwise_are_of_one_desk(tmp_path, names):
    earlier = names[0] == "New book"
    next_one = [tuple(str(cell).replace("201", "200") if earlier else cell for cell in row) for row in PETREL]
    workbook(tmp_path, "book.xlsx", **dict(zip(names, (GANNET, next_one), strict=True)))
    assert loaded(tmp_path, PER_DESK)[1] == [("the desk", 8)]
    assert loaded(tmp_path, RECAPS)[1] == [("the desk", 2)]


def test_a_sheet_alone_is_of_one_desk(tmp_path):
    workbook(tmp_path, "book.xlsx", Gannet=GANNET)
    assert loaded(tmp_path, PER_DESK)[1] == [("the desk", 4)]
    assert loaded(tmp_path, RECAPS)[1] == [("the desk", 2)]


def test_a_list_of_re_caps_is_of_the_desk_whose_sheet_tells_the_same_and_counts_each_once(tmp_path):
    listed = [
        ("Ch", "done?", "when", "caps"),
        (4, "x", "Jun 2017", 30),
        (5, "x", "Jun 2017", 31),
        (6, "x", "Jul 2017", 30),
    ]
    workbook(tmp_path, "book.xlsx", Petrel=PETREL, Gannet=GANNET, **{"Recap plan": listed})
    draft = drafted(tmp_path)
    assert draft.count('same = { desk = "Gannet", action = "re-cap" }') == 1 and "unless_told = true" in draft
    records = open_records(tmp_path)
    count = "select count(*) from repairs where action = 're-cap'"
    assert records.connection.execute(count).fetchone() == (3,)
    assert "2 pieces of work are told by another list too" in str(records.report)
    # the two re-caps are no reports, stand in a section of their own, and are told by the list too
    assert [file.left_out for file in records.report.files if file.left_out] == [2, 2, 2]
    records.close()


def entries(*days):
    return "day,ch,what,did,min\n" + "".join(
        f"{day},{at + 1},hum,cleaned,10\n" for at, day in enumerate(days)
    )


def test_files_named_for_desk_and_year_are_of_that_desk_and_year(tmp_path):
    for name, days in {
        "gannet_2016_north": ("3/2", "3/17", "11/4"),
        "petrel_2016_north": ("1/5", "6/21"),
        "gannet_2017_south": ("2/4", "9/3", "10/30"),
        "petrel_2017_south": ("5/6", "12/1"),
    }.items():
        (tmp_path / f"{name}.csv").write_text(entries(*days))
    query = "select desk, year(raised_on), min(raised_on)::varchar, count(*) from tickets group by all order by all"
    assert loaded(tmp_path, query)[1] == [
        ("gannet", 2016, "2016-03-02", 3),
        ("gannet", 2017, "2017-02-04", 3),
        ("petrel", 2016, "2016-01-05", 2),
        ("petrel", 2017, "2017-05-06", 2),
    ]


DIARIES = (
    "3/2/22 ch 4 fader crackles, cleaned\n14/3/22 ch 9 no signal, IC2 replaced\n9/5/23 ch 4 hums, re-soldered\n",
    "7/3/22 ch 4 dead, relay replaced\n2/6/22 ch 4 dead again, connector cleaned\n11/1/23 ch 2 pot noisy, replaced\n",
    "10.02.22 ch 4 lamp out, replaced\n05.07.22 ch 1 distorted, C4 replaced\n19.09.23 ch 4 hums, cleaned\n",
)


def written(folder, names):
    for name, text in zip(names, DIARIES, strict=True):
        (folder / f"{name}.txt").write_text(text, encoding="utf-8")
    drafted(folder)
    records = open_records(folder)
    query = "select desk, count(*) from tickets where position = 'ch 4' group by 1 order by 1"
    found = records.connection.sql(query).fetchall()
    records.close()
    return found


def test_each_of_several_texts_that_lie_together_is_of_the_desk_it_is_named_for(tmp_path):
    assert written(tmp_path, ("Gannet", "Room 2", "Petrel")) == [("Gannet", 2), ("Petrel", 2), ("Room 2", 2)]


def test_a_file_called_otherwise_among_files_of_desks_changes_nothing_for_these(tmp_path):
    found = [("Gannet", 2), ("Petrel", 2), ("the desk", 2)]
    assert written(tmp_path, ("Gannet", "notes", "Petrel")) == found


@pytest.mark.parametrize("names", [("my diary", "Gannet", "notes"), ("chat export", "old faults", "log 2")])
def test_a_file_that_is_called_by_what_it_is_names_no_desk(tmp_path, names):
    assert written(tmp_path, names) == [("the desk", 6)]
