"""A list of faults without a day says so; a calendar of planned work is asked about and read as no fault."""

import pytest

from maintkit.records.errors import RecordsError
from maintkit.records.headings import draft_mapping
from maintkit.records.store import open_records

CALENDAR = """4;OK;11;Revisión de ventilador;4;2024/01/08;2024/04/08;2024/07/08;2024/10/07;
4;OK;12;Limpieza de filtros;12;2024/01/08;2024/02/05;2024/03/04;2024/04/01;2024/05/06;2024/06/03;2024/07/01;2024/08/05;2024/09/02;2024/10/07;2024/11/04;2024/12/02;
9;OK;11;Revisión de ventilador;1;2024/03/04;
15;OK;14;Engrase de guías;2;2024/02/05;2024/08/05;
15;OK;12;Limpieza de filtros;4;2024/01/08;2024/04/08;2024/07/08;2024/10/07;
"""
OUT_OF_SERVICE = """Kind,Unit,Place,Reason,Back by
Hoist,H2,north wing,mechanical,TBD
Hoist,H5,south wing,electrical,after Easter
Hoist,H7,south wing,mechanical,TBD
Lamp bar,L1,stage left,vandalism,TBD
"""


@pytest.fixture
def draft_of(tmp_path):
    def drafted(name, text):
        (tmp_path / name).write_text(text, encoding="utf-8")
        return draft_mapping(tmp_path)

    return drafted


def answered(folder, text, *, date=""):
    """The records of a folder once every question of its draft is answered with yes."""
    lines = (line.removeprefix("# ? ") for line in text.splitlines() if not line.startswith("ignore"))
    (folder / "mapping.toml").write_text("\n".join(lines).replace("…", date), encoding="utf-8")
    return open_records(folder)


def test_a_calendar_of_planned_work_is_no_list_of_faults(draft_of, tmp_path):
    draft = draft_of("plan.csv", CALENDAR)
    assert "up to 12 days one behind the other, 23 in all" in draft.text
    assert (draft.placed, draft.guessed, draft.unread) == ({}, (), ("plan.csv",))
    records = answered(tmp_path, draft.text)
    rows = records.connection.sql(
        "select position, count(*), min(planned) from repairs group by 1 order by 1"
    )
    assert rows.fetchall() == [("15", 6, "yes"), ("4", 16, "yes"), ("9", 1, "yes")]
    assert records.connection.sql("select count(*) from tickets").fetchall() == [(0,)]
    records.close()


def test_a_calendar_may_have_headings(draft_of, tmp_path):
    days = (";".join(f"0{month}.0{month}.2024" for month in range(1, 2 + at)) for at in range(6))
    rows = [f"Pumpe {at};{('Sichtprüfung', 'Filterwechsel')[at % 2]};{some}" for at, some in enumerate(days)]
    headings = ["Gerät", "Arbeit", *(f"Termin {at}" for at in range(1, 7))]
    draft = draft_of("plan.csv", "\n".join([";".join(headings), *rows]))
    assert "up to 6 days one behind the other, 21 in all" in draft.text
    records = answered(tmp_path, draft.text)
    assert records.connection.sql(
        "select count(*), count(distinct desk), min(planned) from repairs"
    ).fetchall() == [(21, 6, "yes")]
    records.close()


def test_days_under_slots_are_those_of_faults(draft_of):
    rows = ["Heron,3.2.24,,9.1.24,,", "Osprel,,5.5.24,,1.1.24,", "Tern,2.2.24,1.1.24,,,8.8.24"]
    draft = draft_of("grid.csv", "\n".join(["Desk,Ch 1,Ch 2,Ch 3,Ch 4,Ch 5", *rows]))
    assert "calendar" not in draft.text and "grid = " in draft.text


def test_days_of_one_report_are_no_calendar(draft_of):
    rows = "".join(
        f"{day}.3.24;Osprel;ch {day};crackles;{day + 1}.3.24;{day + 3}.3.24;cleaned\n" for day in range(1, 9)
    )
    text = draft_of("log.csv", rows).text
    assert "calendar" not in text and "groups" not in text


def test_a_list_without_days_says_that_these_are_missing(draft_of, tmp_path):
    draft = draft_of("out.csv", OUT_OF_SERVICE)
    assert draft.waiting == {
        "out.csv": "a row of tickets needs raised_on (day it was reported, with or without the time), and no column says it"
    }
    assert '# ? same = { raised_on = "…", desk = "the desk" }' in draft.text
    (tmp_path / "mapping.toml").write_text(draft.text, encoding="utf-8")
    with pytest.raises(RecordsError, match="Answer in mapping.toml what lines beginning with # [?] ask"):
        open_records(tmp_path)
    records = answered(tmp_path, draft.text, date="2024-03-28")
    rows = records.connection.sql("select symptom, count(*) from tickets group by 1 order by 1").fetchall()
    assert rows == [("electrical", 1), ("mechanical", 2), ("vandalism", 1)]
    records.close()
