"""Rows turned away, as a finding."""

from maintkit import open_quarter, rows_turned_away

DESKS = "desk,family,coupling,records_from\nHeron,longshore,capacitor,2024-01-01\n"
REPAIRS = "repair,done_on,desk,position,action,cause\nR1,2024-03-02,Heron,1,clean,confirmed\n"


def written(folder, tickets):
    for name, text in (
        ("desks", DESKS),
        ("repairs", REPAIRS),
        ("tickets", "ticket,raised_on,desk,position,impact\n" + tickets),
    ):
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    return open_quarter(folder, "2024Q1")


def test_each_is_listed_with_its_place_and_what_was_found(tmp_path):
    found = rows_turned_away(
        written(
            tmp_path,
            "T1,2024-02-01,Heron,1,nuisance\nT2,2024-02-31,Heron,1,nuisance\nT3,2024-02-03,Hern,1,nuisance\n",
        )
    )
    assert (
        found.title
        == "2 rows turned away in the last load of each file: 2 of tickets.csv. All others are in."
    )
    assert found.table[["file", "row", "column", "found"]].values.tolist() == [
        ["tickets.csv", 3, "raised_on", "2024-02-31"],
        ["tickets.csv", 4, "desk", "Hern"],
    ]


def test_none_turned_away_is_said(tmp_path):
    found = rows_turned_away(written(tmp_path, "T1,2024-02-01,Heron,1,nuisance\n"))
    assert (found.title, len(found.table)) == ("No row was turned away: every row of every file is in.", 0)
