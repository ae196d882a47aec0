"""A log in which the fault and its repair stand on rows of their own, told apart by a letter; every count by hand."""

import pytest

from maintkit.quarter.counts import counts_table
from maintkit.quarter.quarter import open_quarter
from maintkit.records.errors import MappingError
from maintkit.records.headings import draft_mapping
from maintkit.records.mapping import load_mapping
from maintkit.records.store import open_records

LOG = """when,desk,module,F/R,note,by,mins
2025-01-06,Kestrel,12,F,scratchy fader,stage,
2025-01-08,Kestrel,12,R,cleaned fader,TK,25
2025-01-09,Kestrel,30,F,no output,band,
2025-01-09,Kestrel,30,R,swapped with spare module,TK,10
2025-01-15,Osprey,4,F,hum on insert return,foh,
2025-01-20,Kestrel,12,f,fader scratchy again,stage,
2025-01-22,Osprey,4,R,resoldered insert jack,TK,40
2025-01-24,Kestrel,12,R,fitted new fader,TK,50
2025-02-02,Osprey,17,F,distorts when hot,foh,
2025-02-05,Osprey,17,R,replaced IC3,TK,70
"""


def written(folder, log=LOG):
    (folder / "log.csv").write_text(log, encoding="utf-8")
    draft = draft_mapping(folder)
    (folder / "mapping.toml").write_text(draft.text, encoding="utf-8")
    return draft


def test_a_row_is_a_report_or_work_as_its_letter_says_and_work_answers_the_report_before_it(tmp_path):
    draft = written(tmp_path)
    assert draft.asks == 0
    assert draft.placed["log.csv"]["when"] == ("tickets.raised_on", "repairs.done_on")
    assert draft.placed["log.csv"]["module"] == ("tickets.position", "repairs.position")
    records = open_records(tmp_path)
    reports = records.connection.execute(
        "select position, symptom from tickets order by source_row"
    ).fetchall()
    assert reports == [
        ("12", "scratchy fader"),
        ("30", "no output"),
        ("4", "hum on insert return"),
        ("12", "fader scratchy again"),
        ("17", "distorts when hot"),
    ]
    work = records.connection.execute(
        "select position, action, bench_minutes from repairs order by source_row"
    ).fetchall()
    assert work == [
        ("12", "clean", 25),
        ("30", "swap module", 10),
        ("4", "re-solder", 40),
        ("12", "replace", 50),
        ("17", "replace", 70),
    ]
    records.close()
    counts = counts_table(open_quarter(tmp_path, "2025Q1")).set_index("desk")
    assert counts["tickets"].to_dict() == {"Kestrel": 3, "Osprey": 2}
    assert counts["unticketed_faults"].to_dict() == {"Kestrel": 0, "Osprey": 0}


@pytest.mark.parametrize(
    ("said", "instead"),
    (
        (("cleaned fader", "fitted new fader"), "still scratchy"),  # repairs that complain
        (("no output", "distorts when hot"), "cleaned it"),  # reports that tell of work
    ),
)
def test_a_column_that_parts_them_less_surely_parts_nothing(tmp_path, said, instead):
    log = LOG.replace(",TK,", ",,").replace(",stage,", ",,").replace(",foh,", ",,").replace(",band,", ",,")
    for one in said:
        log = log.replace(one, instead)
    assert "rows_where" not in written(tmp_path, log).text


def test_words_of_rows_are_lists_by_heading(tmp_path):
    (tmp_path / "mapping.toml").write_text('[tickets]\nrows_where = { "F/R" = "f" }\n', encoding="utf-8")
    with pytest.raises(MappingError, match="must be a list of texts"):
        load_mapping(tmp_path)


def test_a_row_with_a_word_of_neither_is_turned_away_once(tmp_path):
    written(tmp_path)
    more = "2025-02-08,Osprey,9,?,dead,foh,\n2025-02-09,Osprey,9,,dead,foh,\n"
    (tmp_path / "log.csv").write_text(LOG + more, encoding="utf-8")
    records = open_records(tmp_path)
    told = [(one.row, one.column, one.found) for one in records.report.turned_away]
    rule = records.report.turned_away[0].rule
    records.close()
    assert told == [(12, "F/R", "?"), (13, "F/R", "")]
    assert rule == "The word here says of which table a row is: f or r."


@pytest.mark.parametrize("heading", ["By", "Who", "Initials", "Tech"])
def test_who_wrote_a_row_is_no_kind_of_row_so_that_a_new_colleague_s_rows_are_read(tmp_path, heading):
    log = f"""Date,Desk,Ch,Fault,{heading}
2/10/24,Heron,17,sounds thin,AH
8/10/24,Heron,4,hum,Marek
9/10/24,Tern,12,scratchy,Sal
15/10/24,Heron,18,no output,AH
20/12/24,Heron,1-12,re-capped as planned,SW
25/1/25,Heron,13-24,re-capped,SW
3/2/25,Tern,3,distorts when hot,Marek
12/2/25,Heron,25-36,re-capped,SW
"""
    assert f'"{heading}" = ["ah"' not in written(tmp_path, log).text
    (tmp_path / "log.csv").write_text(f"{log}14/2/25,Tern,9,hum,Tim\n", encoding="utf-8")
    records = open_records(tmp_path)
    assert records.report.turned_away == ()
    assert records.connection.sql("select count(*) from tickets").fetchall() == [(6,)]
    assert records.connection.sql("select count(*) from repairs").fetchall() == [(36,)]
    records.close()
