"""Re-caps that a list of modules tells by serial, and a log by slot or by serial too: each counts once."""

from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted

LOG = """Date,Console,Slot,Complaint,Work
3/2/2016,Port,5,hums,new pot
19/2/2016,Star,1,dead,fader replaced
2/3/2017,Port,5,,re-cap 24 parts
24/3/2017,Port,6,,re-cap 24 parts
1/4/2017,Star,2,crackles,cleaned
30/4/2017,Star,1,,re-cap 22 parts
8/5/2018,Star,2,dead,relay replaced
"""
MODULES = """Serial no,Kind,Console,Position,Recapped
CH-011,channel,Port,5,03/2017
CH-012,channel,Port,6,03/2017
CH-013,channel,Star,1,04/2017
CH-014,channel,Star,2,11/2015
CH-015,channel,Star,3,
"""


def re_caps(folder):
    records = open_records(folder)
    report = records.report
    assert (
        report.rows_in == report.kept + sum(one.left_out for one in report.files) and not report.turned_away
    )
    query = "select year(done_on), count(*) from repairs where action = 're-cap' group by 1 order by 1"
    found = records.connection.sql(query).fetchall()
    said = str(report)
    records.close()
    return found, said


def test_a_re_cap_by_serial_is_that_of_the_slot_in_which_the_module_sits(tmp_path):
    (tmp_path / "log.csv").write_text(LOG, encoding="utf-8")
    (tmp_path / "modules.csv").write_text(MODULES, encoding="utf-8")
    assert "unless_told = true" in drafted(tmp_path)
    found, said = re_caps(tmp_path)
    assert found == [(2015, 1), (2017, 3)]
    assert (
        "3 pieces of work are told by another list too, of the same slot or module in the same month" in said
    )


BY_SERIAL = """Date,Desk,Module serial,Complaint,Work
3/2/2016,Big,MI2211,hums,new pot
19/2/2016,Big,MI2233,dead,fader replaced
2/3/2017,Big,MI2211,,re-cap 24 parts
24/3/2017,Big,MI2222,,re-cap 24 parts
1/4/2017,Big,MI2244,crackles,cleaned
30/4/2017,Big,MI2233,,re-cap 22 parts
"""
YEARS = """Serial,Type,Desk,Slot,Re-capped
MI2211,input,Big,1,2017
MI2222,input,Big,2,2017
MI2233,input,Big,3,2017
MI2244,input,Big,4,2014
MI2255,input,Big,5,
"""


def test_of_years_alone_the_year_tells_and_a_serial_in_the_log_does(tmp_path):
    (tmp_path / "log.csv").write_text(BY_SERIAL, encoding="utf-8")
    (tmp_path / "all modules.csv").write_text(YEARS, encoding="utf-8")
    drafted(tmp_path)
    found, said = re_caps(tmp_path)
    assert found == [(2014, 1), (2017, 3)]
    assert "in the same year" in said
