"""A list without numbers of its own loaded again after rows were put in, taken out, sorted or corrected: each row counts once."""

from maintkit.note import note
from maintkit.records.history import undo_last_load
from maintkit.records.store import load_into, open_records

HEAD = "raised_on,desk,position,symptom,action,part_type\n"
ROWS = (
    "2025-01-06,Knot,7,crackle,clean,\n",
    "2025-02-03,Knot,8,hum,replace,470u 35V\n",
    "2025-02-03,Knot,9,hum,replace,470u 35V\n",
    "2025-03-04,Ruff,2,dead,replace,switch\n",
    "2025-04-09,Ruff,3,noisy,clean,\n",
)
ONE_LIST = (
    '[tickets]\nfile = "log.csv"\nnumber_rows = ["ticket"]\n[tickets.columns]\n"raised_on" = "raised_on"\n'
    '[repairs]\nfile = "log.csv"\nnumber_rows = ["repair", "ticket"]\n[repairs.columns]\n"raised_on" = "done_on"\n'
)
EARLIER, LATER = "2025-01-02,Knot,1,no sound,test,\n", "2025-05-02,Ruff,4,dull,re-cap,\n"


def read(store, load=None):
    records = open_records(store)
    rows = [
        records.connection.execute(query).fetchall()
        for query in (
            "select raised_on::varchar, desk, position, symptom from tickets order by all",
            "select tickets.raised_on::varchar, repairs.desk, action, part_type from repairs left join tickets using (ticket) order by all",
            "select ticket, source_row from tickets order by source_row",
        )
    ]
    records.close()
    return rows


def loaded(book, store, *rows):
    place = book(desks=None, tickets=None, repairs=None, mapping=ONE_LIST)
    (place / "log.csv").write_text(HEAD + "".join(rows), encoding="utf-8")
    return load_into(store, place), place


def alone(book, tmp_path, *rows):
    """What the list gives where nothing was loaded before."""
    store = tmp_path / f"alone{len(list(tmp_path.iterdir()))}.duckdb"
    loaded(book, store, *rows)
    return read(store)


def test_rows_put_in_taken_out_sorted_or_corrected_leave_what_the_list_alone_gives(book, tmp_path):
    store = tmp_path / "records.duckdb"
    corrected = ROWS[1].replace("hum", "hum and hiss")
    redated = ROWS[3].replace("2025-03-04,Ruff,2", "2025-03-14,Ruff,12")
    for rows in (
        ROWS,
        (EARLIER, *ROWS),
        ROWS[::-1],
        (*ROWS[1:], LATER),
        (EARLIER, ROWS[0], corrected, *ROWS[2:]),
        (EARLIER, *ROWS[:3], redated, ROWS[4]),
    ):
        loaded(book, store, *rows)
        assert read(store) == alone(book, tmp_path, *rows)


def test_what_moved_is_not_changed_and_what_is_gone_is_said(book, tmp_path):
    store = tmp_path / "records.duckdb"
    loaded(book, store, *ROWS)
    report, _ = loaded(book, store, EARLIER, *ROWS[:3], ROWS[4])
    assert [(one.new, one.changed, one.unchanged, one.only_earlier) for one in report.files] == [
        (1, 0, 4, 0)
    ] * 2
    assert report.changes == ()
    assert [one for one in report.drafted if "before" in one or "no longer" in one][:2] == [
        "log.csv: 3 rows stand in another place than when it was loaded before, and count as before.",
        "log.csv: 1 row is no longer in it and taken out, log row 5 (2025-03-04 Ruff 2).",
    ]


def test_such_a_load_is_taken_back_whole(book, tmp_path):
    store = tmp_path / "records.duckdb"
    loaded(book, store, *ROWS)
    before = read(store)
    loaded(book, store, EARLIER, ROWS[2].replace("hum", "hiss"), *ROWS[3:], LATER)
    assert read(store) != before
    undo_last_load(store)
    assert read(store) == before


def test_work_noted_in_the_store_stays_with_its_report(book, tmp_path):
    store = tmp_path / "records.duckdb"
    loaded(book, store, *ROWS)
    note("work", ["action=re-solder", "ticket=log row 5", "done_on=2025-03-06"], store, yes=True)
    answered = ("2025-03-04", None, "re-solder", None)
    for rows, expected in (((EARLIER, *ROWS), answered), (ROWS[:3], (None, "Ruff", "re-solder", None))):
        loaded(book, store, *rows)
        assert [one for one in read(store)[1] if one[2] == "re-solder"] == [expected]
    for _ in range(2):
        undo_last_load(store)
    assert answered in read(store)[1]


def test_rows_given_numbers_are_the_rows_they_were(book, tmp_path):
    store = tmp_path / "records.duckdb"
    loaded(book, store, *ROWS)
    place = book()
    (place / "mapping.toml").write_text(
        ONE_LIST.replace('number_rows = ["ticket"]', "").replace('"repair", "ticket"', '"repair"')
        .replace('"raised_on" =', '"no" = "ticket"\n"raised_on" ='), encoding="utf-8"
    )  # fmt: skip
    for name in ("desks", "tickets", "repairs"):
        (place / f"{name}.csv").unlink()
    (place / "log.csv").write_text(
        "no," + HEAD + "".join(f"{at},{row}" for at, row in enumerate(ROWS)), encoding="utf-8"
    )
    load_into(store, place)
    assert [name for name, _ in read(store)[2]] == ["0", "1", "2", "3", "4"]


def test_another_list_under_the_same_name_takes_away_no_row_but_those_it_stands_on(book, tmp_path):
    store = tmp_path / "records.duckdb"
    loaded(book, store, *ROWS)
    others = [row.replace("2025", "2026").replace("Knot", "Dove") for row in ROWS[:3]]
    report, _ = loaded(book, store, *others)
    assert [(one.changed, one.only_earlier) for one in report.files] == [(3, 2)] * 2
