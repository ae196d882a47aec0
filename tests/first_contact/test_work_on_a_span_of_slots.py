"""Work told of several slots at once: fewer parts than slots, and work on the supply, are one job and none of each slot."""

from maintkit.quarter.counts import counts_table
from maintkit.quarter.quarter import Quarter
from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted, rows

WORK = """Done on,Desk,Ch,What it was,What I did,Parts
2/3/2026,Wren,4,dirty,pot cleaned,
9/3/2026,Wren,9-16,ripple,new caps in the PSU of bay 2,2x 4700u 40V
16/3/2026,Wren,17-20,contacts burnt,relays replaced,4x relay 12V
23/3/2026,Wren,1-8,dark,lamps replaced,3x lamp 12V
30/3/2026,Wren,21-24,old,re-cap,2x 47u 25V
13/4/2026,Wren,5-8,PSU connector loose,cleaned,
20/4/2026,Wren,3,hum,re-soldered,
27/4/2026,Wren,11,worn,new fader,1x fader
"""


def test_fewer_parts_than_slots_and_work_on_the_supply_are_one_job(tmp_path):
    (tmp_path / "work.csv").write_text(WORK, encoding="utf-8")
    drafted(tmp_path)
    query = 'select position, "where", quantity from repairs where length(position) > 2 order by done_on'
    assert rows(tmp_path, query) == [("9-16", "rail", 2), ("1-8", None, 3), ("5-8", "rail", 1)]
    query = "select action, count(*), sum(quantity) from repairs where position in ('17', '18', '19', '20', '21', '22', '23', '24') group by action order by action"
    assert rows(tmp_path, query) == [("re-cap", 4, 4), ("replace", 4, 4)]


def test_a_fault_of_the_supply_is_no_modules_and_makes_no_slot(tmp_path):
    (tmp_path / "work.csv").write_text(WORK, encoding="utf-8")
    drafted(tmp_path)
    records = open_records(tmp_path)
    quarter = Quarter(records, "2026Q1")
    row = counts_table(quarter).iloc[-1]
    assert (row["unticketed_slot_or_supply"], row["unticketed_faults"]) == (1, 5)
    assert {"9-16", "5-8"}.isdisjoint(quarter.evidence.stays["position"])
    records.close()
