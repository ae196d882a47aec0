"""Months that stand for no day, such as Jan 2016 in a list of re-caps, or Mar 09 in an old log."""

from maintkit.records.headings import draft_mapping
from maintkit.records.store import open_records

RECAPS = """When,Desk,Strips,Caps fitted,Hours
May-June 2013,Heron,1-12,264,24
Jan 2016,Tern,1-4,96,9
Feb 2016,Tern,5-8,96,8
Oct 2018,Heron,3,22,2
"""
LOG = """when,desk,where,whats up,what I did
Mar 09,Heron,12,no sound,swapped U4
Mar 09,Heron,3,fader gritty,cleaned
Apr 09,Heron,1,dead,dry joint resoldered
May 09,Tern,7,low,C14 replaced
Sept 09,Heron,2,hum,4 caps
Nov 09,Heron,9,button stuck,cleaned
Jan 10,Tern,7,low again,C14 C15
14/5/10,Heron,4,crackle,R6
2/6/10,Heron,1,hot smell,R9 burnt
25/6/10,Tern,8,dead,new fader
"""


def days(folder, name, text, table, column):
    (folder / name).write_text(text, encoding="utf-8")
    draft = draft_mapping(folder).text
    (folder / "mapping.toml").write_text(draft, encoding="utf-8")
    records = open_records(folder)
    assert records.report.turned_away == ()
    found = records.connection.sql(f"select distinct {column}::text from {table} order by 1").fetchall()
    records.close()
    return draft, [day for (day,) in found]


def test_a_month_with_its_year_is_its_first_day(tmp_path):
    draft, found = days(tmp_path, "recaps.csv", RECAPS, "repairs", "done_on")
    assert 'date_format = "%b %Y"' in draft
    assert found == ["2013-05-01", "2016-01-01", "2016-02-01", "2018-10-01"]


def test_two_digits_behind_months_in_order_are_their_year(tmp_path):
    draft, found = days(tmp_path, "log.csv", LOG, "tickets", "raised_on")
    assert '"%b %y"' in draft
    assert (found[0], found[4], found[-1]) == ("2009-03-01", "2009-11-01", "2010-06-25")


def test_days_of_a_month_without_a_year_are_still_asked_for(tmp_path):
    text = (
        LOG.replace("Mar 09", "Mar 12")
        .replace("Apr 09", "Apr 3")
        .replace("Nov 09", "Nov 21")
        .replace("Sept 09", "Sept 30")
    )
    (tmp_path / "log.csv").write_text(text, encoding="utf-8")
    assert '"%b %y"' not in draft_mapping(tmp_path).text


AMONG_DAYS = """Date,Desk,Slot,Work
autumn 2025,,,
6.10.25,Heron,3,re-cap
04.11.2025,Heron,4,re-cap
Nov 25?,Heron,8,re-cap
20.11.2025,Heron,9,re-cap
4.12.25,Heron,10,re-cap
"""


def test_one_month_with_its_year_among_whole_days_is_no_day_of_the_year_above(tmp_path):
    draft, found = days(tmp_path, "re-caps.csv", AMONG_DAYS, "repairs", "done_on")
    assert (
        'date_format = ["%d.%m.%y", "%d.%m.%Y", "%b %y"]   # a year or month alone is its first day' in draft
    )
    assert sorted(found) == ["2025-10-06", "2025-11-01", "2025-11-04", "2025-11-20", "2025-12-04"]


def test_it_stays_a_day_where_others_name_no_year_either(tmp_path):
    text = AMONG_DAYS.replace("04.11.2025", "Nov 4").replace("20.11.2025", "Nov 27")
    _, found = days(tmp_path, "re-caps.csv", text, "repairs", "done_on")
    assert sorted(found) == ["2025-10-06", "2025-11-04", "2025-11-25", "2025-11-27", "2025-12-04"]
