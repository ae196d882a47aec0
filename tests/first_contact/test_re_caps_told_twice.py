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


BEGUN = """Date,Desk,Ch,Fault,Done,Minutes
2/9/2024,Port,4,no output,line amp replaced,40
16/9/2024,Port,1-3,re-cap,out for re-cap,30
20/9/2024,Port,1-3,re-cap,"re-capped, back in",600
22/9/2024,Port,2,hum,re-soldered,20
1/10/2024,Star,1,re-cap,half of them,200
2/10/2024,Star,1,re-cap,re-capped,100
3/10/2024,Star,1,re-cap,"re-capped, finished",50
3/10/2024,Star,2,re-cap,re-capped,300
18/10/2024,Star,2,re-cap,re-capped,310
18/10/2024,Star,(whole desk),re-cap,a module re-capped,310
19/10/2024,Star,(whole desk),re-cap,another,310
"""


def test_a_re_cap_told_again_within_two_weeks_is_one_on_its_last_day(tmp_path):
    (tmp_path / "log.csv").write_text(BEGUN, encoding="utf-8")
    (tmp_path / "mapping.toml").write_text(
        """[tickets]
file = "log.csv"
number_rows = ["ticket"]
date_format = "%d/%m/%Y"
leave_out."Fault" = ["re-cap"]
columns = { "Date" = "raised_on", "Ch" = "position", "Fault" = "symptom" }
[repairs]
file = "log.csv"
number_rows = ["repair"]
date_format = "%d/%m/%Y"
several = ["Ch"]
rows_where = { "Fault" = ["re-cap"] }
same = { action = "re-cap" }
columns = { "Date" = "done_on", "Ch" = "position", "Minutes" = "bench_minutes" }
""",
        encoding="utf-8",
    )
    records = open_records(tmp_path)
    query = "select desk, position, done_on::text, bench_minutes from repairs order by done_on, position"
    found, said = records.connection.sql(query).fetchall(), str(records.report)
    records.close()
    assert found == [
        *(("Port", slot, "2024-09-20", 210.0) for slot in "123"),
        ("Star", "1", "2024-10-03", 350.0),
        ("Star", "2", "2024-10-03", 300.0),
        ("Star", "(whole desk)", "2024-10-18", 310.0),  # of which module is not told
        ("Star", "2", "2024-10-18", 310.0),  # 15 days later
        ("Star", "(whole desk)", "2024-10-19", 310.0),
    ]
    assert "5 re-caps are told again for the same slot or module within 14 days, and counted once" in said
