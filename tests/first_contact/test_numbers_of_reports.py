"""Work in a file of its own that quotes the numbers of the reports, whatever they are called there."""

import pytest

from maintkit.records.contradictions import find_contradictions
from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted

REPORTS = """No.,Date,Desk,Module,Reported fault,By
101,2/10/24,Bittern,17,sounds thin,AH
102,8/10/24,Bittern,4,hum when warm,Marek
103,9/10/24,Curlew,12,fader noisy,Sal
104,15/10/24,Bittern,18,still thin,AH
105,21/10/24,Curlew,9,no level,Marek
106,28/10/24,Bittern,30,crackle,Sal
107,4/11/24,Dunlin,6,no signal,AH
108,11/11/24,Bittern,22,no signal,Marek
109,14/12/24,Bittern,1-4,re-cap as planned,SW
110,16/12/24,Curlew,1-3,re-cap,SW
111,3/1/25,Bittern,35,distorts,AH
112,9/1/25,Dunlin,8,hiss,Marek
113,9/2/25,Bittern,5-7,re-cap,SW
114,9/3/25,Bittern,2,thin,AH
"""
BENCH = """Date,{},Mod,Found/done,Parts,Hrs
4/10/24,101,17,"coupling caps measured low, only one changed",C11,1
10/10/24,102,4,decoupling cap replaced,C20,1
10/10/24,103,12,cleaned,,0.5
17/10/24,104,17,changed the other three,"C8,C9,C12",1.5
22/10/24,105,9,relay K2 replaced,K2,1
30/10/24,106,30,gain switch cleaned,,0.5
5/11/24,170,6,opamp replaced,IC3,1
12/11/24,108,22,output connector replaced,,1
20/12/24,109,1-4,"RE-CAP all four, full kit",full kit,18
20/12/24,110,1-3,RE-CAP,full kit,18
5/1/25,111,35,opamp replaced,IC2,1
11/1/25,,8,opamp replaced (Dunlin),IC1,1
12/2/25,113,5-7,RE-CAP,full kit,18
12/3/25,102,2,caps replaced,"C8,C9",1.5
"""


@pytest.fixture(params=["Rep. no", "Report no", "Fault no.", "Job no"])
def book(tmp_path, request):
    (tmp_path / "reports.csv").write_text(REPORTS, encoding="utf-8")
    (tmp_path / "bench.csv").write_text(BENCH.format(request.param), encoding="utf-8")
    return tmp_path


def test_numbers_that_are_mostly_those_of_reports_are_the_reports_that_work_answers(book):
    assert "same.desk" not in drafted(book)
    query = "select count(*) from repairs join tickets using (ticket)"
    records = open_records(book)
    assert records.connection.sql(query).fetchall() == [(9,)]
    records.close()


def test_who_wrote_a_report_does_not_tell_whether_it_is_one(book):
    draft = drafted(book)
    assert 'leave_out."Reported fault" = ["re-cap as planned", "re-cap"]' in draft and "SW" not in draft


def test_a_re_cap_that_has_the_number_of_a_planned_one_is_no_wrong_number(book):
    drafted(book)
    records = open_records(book)
    (wrong,) = [
        one for one in find_contradictions(records.connection) if one.kind.startswith("A ticket number")
    ]
    assert (wrong.count, wrong.examples) == (1, ("bench.csv, row 8: ticket 170 is not in tickets.",))
    records.close()


@pytest.mark.parametrize("dropped", ["Rep. no"])
def test_work_of_several_desks_without_a_number_is_not_said_to_be_of_one(tmp_path, dropped):
    (tmp_path / "reports.csv").write_text(REPORTS, encoding="utf-8")
    lines = [line.split(",") for line in BENCH.format(dropped).splitlines()]
    without = "\n".join(",".join([line[0], *line[2:]]) for line in lines)
    (tmp_path / "bench.csv").write_text(without + "\n", encoding="utf-8")
    assert '# ? same.desk = "…"' in drafted(tmp_path)
