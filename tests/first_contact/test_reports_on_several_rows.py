"""A report that stands on several rows is counted once; hours and minutes in two columns are one duration."""

from functools import partial

import pytest

from maintkit.records.mapping import load_mapping
from maintkit.records.store import open_records
from tests.first_contact import as_drafted

FAULTS = ("no signal", "hum on the left", "crackles", "meter dead", "fader stuck")


@pytest.fixture
def loaded(tmp_path):
    return partial(as_drafted.loaded, tmp_path, "log.csv")


def test_rows_of_one_minute_that_differ_in_the_hall_alone_are_one_report(loaded):
    faults = ("geen signaal", "brom op links", "kraakt", "valt weg", "geen voeding")
    rows = [
        f"2024-05-{day:02} 1{day}:4{day},{faults[day % 5]},{hall},{day % 2},{5 * day}"
        for day in range(1, 9)
        for hall in ("grote zaal", "foyer", "kleine zaal")[: day % 3 + 1]
    ]
    records, text = loaded("\n".join(["datum,storing,destination,uren,minuten", *rows]))
    assert 'stand on 15 rows that differ in "destination" alone' in text
    assert 'once = ["storing", "datum"]' in text
    (of_file,) = records.report.files
    assert (of_file.rows_in, of_file.kept, of_file.left_out) == (17, 8, 9)
    assert records.connection.sql("select sum(minutes_lost) from tickets").fetchall() == [(4 * 60 + 5 * 36,)]
    records.close()


def test_rows_with_one_number_are_one_report_and_those_without_are_each(loaded):
    rows = [
        f"V-{at};{at}.03.2024;Kanal {at} rauscht;{side}" for at in range(11, 18) for side in ("Saal", "Foyer")
    ]
    rows += [";21.03.2024;kein Signal;Saal", ";22.03.2024;kein Signal;Saal"]
    records, text = loaded("\n".join(["Vorgangsnummer;Datum;Störung;Ausspielweg", *rows]))
    assert 'once = ["Vorgangsnummer"]' in text
    assert records.connection.sql("select count(*) from tickets").fetchall() == [(9,)]
    records.close()


def test_slots_with_the_same_fault_in_one_minute_are_each_a_report(loaded):
    rows = [
        f"2024-05-{day:02} 10:15,{channel},{fault}"
        for day, fault in enumerate(FAULTS, start=1)
        for channel in (3, 4)
    ]
    records, text = loaded("\n".join(["Date,Channel,Fault", *rows]))
    assert "once = " not in text
    assert records.connection.sql("select count(*) from tickets").fetchall() == [(10,)]
    records.close()


def test_headings_of_which_the_first_row_counts_must_be_there(loaded, tmp_path):
    records, text = loaded("Date,Desk,Channel,Fault\n2024-05-01,Heron,3,hum\n2024-05-02,Heron,3,hum\n")
    records.close()
    (tmp_path / "mapping.toml").write_text(text.replace("[tickets]", '[tickets]\nonce = ["Fault"]'))
    assert load_mapping(tmp_path).sections("tickets")[0].once == ("Fault",)
    assert open_records(tmp_path).report.kept == 1


def test_hours_and_minutes_of_work_are_its_minutes(loaded):
    rows = [
        f"{day}.2.24;Heron;{day};no signal;relay replaced;{day % 3};{10 * (day % 4)}" for day in range(1, 13)
    ]
    records, text = loaded("\n".join(["Date;Desk;Ch;Fault;Done;Std;Min", *rows]))
    assert records.connection.sql(
        "select sum(bench_minutes), max(bench_minutes) from repairs"
    ).fetchall() == [(12 * 60 + 180, 150)]
    assert records.report.turned_away == ()
    records.close()
