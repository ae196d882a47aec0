"""Re-caps that a list of modules tells by serial, and a log by slot or by serial too: each counts once."""

from maintkit.quarter.quarter import Quarter
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


WORK = """Done on,Desk,Ch,What it was,What I did,Parts
3/2/2025,Port,5,hums,re-soldered,
19/2/2025,Star,1,dead,fader replaced,1x fader
14/3/2025,Port,1-8,old,"re-cap, not 6 (away)",56x 47u 25V
1/4/2025,Star,2,crackles,pot cleaned,
30/6/2025,Port,9-12,old,re-cap,32x 47u 25V
8/9/2025,Star,2,dead,relay replaced,1x relay
12/9/2025,Port,3,hum,re-soldered,
20/9/2025,Port,7,low,opamp replaced,1x opamp
"""
CAPS = """Port - capacitor jobs,,,
Channels,Re-capped,Kinds,Remarks
13-16,March 2019,47u 25V,before I kept the log
1-8,14/3/2025,47u 25V,not done: 6 (away)
"6",2/5/2025,47u 25V,done on the bench
9-12,June 2025,47u 25V,
17-20 (not 18),5/9/2025,47u 25V,
21-24,not yet,,
"""


def test_slots_left_out_of_a_span_and_a_list_with_the_month_alone(tmp_path):
    (tmp_path / "work.csv").write_text(WORK, encoding="utf-8")
    (tmp_path / "caps.csv").write_text(CAPS, encoding="utf-8")
    draft = drafted(tmp_path)
    assert "unless_told = true" in draft
    asked = draft.replace("# ? ", "").replace('same.desk = "…"', 'same.desk = "Port"')
    (tmp_path / "mapping.toml").write_text(asked, encoding="utf-8")
    records = open_records(tmp_path)
    query = "select position, count(*) from repairs where action = 're-cap' group by 1 order by position::int"
    times = dict(records.connection.sql(query).fetchall())
    quarter = Quarter(records, "2025Q3")
    boards = quarter.evidence.roster.set_index("serial")["rework_cycles"]
    records.close()
    assert times == {str(slot): 1 for slot in range(1, 21) if slot != 18}
    assert boards["Port/13"] == boards["Port/1"] == boards["Port/6"] == 1
    assert boards["Port/17"] == 1 and boards["Port/18"] == 0  # a slot between two that are named
