"""Lists that tell one kind of thing alone: faults of which nothing more is said, work of which no place is."""

import pytest

from maintkit.records.contradictions import find_contradictions
from maintkit.records.headings import draft_mapping
from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted, rows

FAULTS = (
    "{}\n2/14/2021 9:30,Tern,44017,95.5\n2/27/2021 18:05,Heron,43120,12.25\n3/1/2021 7:40,Tern,45502,240.75\n"
)


@pytest.mark.parametrize(
    ("name", "headings"),
    [("averias_2021.csv", "fecha,equipo,orden,duración"), ("desk faults.csv", "Date,Desk,WO,Downtime")],
)
def test_a_list_called_faults_is_one_though_no_column_says_what_was_wrong(tmp_path, name, headings):
    (tmp_path / name).write_text(FAULTS.format(headings), encoding="utf-8")
    text = drafted(tmp_path)
    assert "each row is a fault, by what the sheet is called" in text
    assert "If such numbers are hours" in text
    found = rows(tmp_path, "select raised_on::date::varchar, desk, symptom, minutes_lost from tickets")
    assert sorted(found) == [
        ("2021-02-14", "Tern", None, 95.5),
        ("2021-02-27", "Heron", None, 12.25),
        ("2021-03-01", "Tern", None, 240.75),
    ]


def test_a_list_called_otherwise_is_not(tmp_path):
    (tmp_path / "shifts.csv").write_text(FAULTS.format("Date,Desk,WO,Downtime"), encoding="utf-8")
    assert "[tickets]" not in draft_mapping(tmp_path).text.splitlines()


def _visits(rounds=10):
    days = [f"2019-{month:02}-{day:02}" for month in range(1, 13) for day in (5, 19)]
    told = ["meters read"] * rounds + [
        "meters read 7:20pm",
        "meters read; cleaned the filters",
        "cleaned the filters",
        "fan replaced; lid raised to ~40'",
        "door had come off its hinges, put back",
        "meters read; ladder left up to ~40'",
        "fan replaced; ladder taken to ~30'",
        *(f"cleaned the filters of house {house}" for house in range(2, 8)),
    ]
    return "\n".join(["date,action", *(f'{day},"{text}"' for day, text in zip(days, told))])


def test_work_of_which_nothing_says_where_is_of_one_desk_and_its_rounds_mend_nothing(tmp_path):
    (tmp_path / "maintenance log.csv").write_text(_visits(), encoding="utf-8")
    text = drafted(tmp_path)
    assert "#   [repairs.lookup.desk]" in text and "bench_minutes" not in text
    assert '# ? "door had come off its hinges, put back" = "other work"' in text
    found = rows(tmp_path, "select desk, position, action, count(*) from repairs group by all order by 3")
    assert found == [
        ("the desk", "(whole desk)", "clean", 8),
        ("the desk", "(whole desk)", "other work", 2),
        ("the desk", "(whole desk)", "replace", 2),
        ("the desk", "(whole desk)", "test", 11),
    ]


def test_words_that_come_a_few_times_are_no_round(tmp_path):
    (tmp_path / "maintenance log.csv").write_text(_visits(rounds=6), encoding="utf-8")
    assert '# ? "meters read" = "other work"' in drafted(tmp_path)


def test_states_that_come_again_and_again_are_no_rounds(tmp_path):
    states = ["Fixed", "Fixed", "End of life", "Mended on the day"] * 10
    lines = [f"2019-01-{at % 28 + 1:02},Tern,{at % 9},{state}" for at, state in enumerate(states)]
    (tmp_path / "repairs.csv").write_text("\n".join(["date,desk,channel,action", *lines]), encoding="utf-8")
    assert "are taken as a round" not in drafted(tmp_path)


def test_beside_reports_work_without_a_place_is_not_of_the_one_desk(tmp_path):
    (tmp_path / "maintenance log.csv").write_text(_visits(), encoding="utf-8")
    (tmp_path / "faults.csv").write_text(
        "Date,Desk,Channel,Fault\n2019-01-02,Heron,3,hum\n2019-02-02,Tern,4,no sound\n", encoding="utf-8"
    )
    assert "[repairs]" not in draft_mapping(tmp_path).text.splitlines()


IN_AND_OUT = """Datum;Raum;Gerät;Seriennr;{}
03.05.2021;Saal;Netzteil 1;N-204;{out}
03.05.2021;Saal;Netzteil 1;N-311;{into}
17.05.2021;Studio;Netzteil 1;N-118;{out}
17.05.2021;Studio;Netzteil 1;N-204;{into}
02.02.2022;Saal;Netzteil 1;N-311;{out}
02.02.2022;Saal;Netzteil 1;N-118;{into}
14.03.2022;Saal;Netzteil 2;N-402;{into}
07.06.2022;Saal;Netzteil 1;N-118;{out}
07.06.2022;Saal;Netzteil 1;N-204;{into}
"""


@pytest.mark.parametrize(
    ("heading", "out", "into"),
    [("Action", "removed", "installed"), ("raus oder rein", "ausgebaut", "eingebaut")],
)
def test_rows_of_what_came_out_and_went_in_are_moves_and_swaps(tmp_path, heading, out, into):
    text = IN_AND_OUT.format(heading, out=out, into=into)
    (tmp_path / "umbau.csv").write_text(text, encoding="utf-8")
    drafted(tmp_path)
    columns = "desk, position, serial"
    stays = [
        ("Saal", "Netzteil 1", "N-311", "2021-05-03"),
        ("Studio", "Netzteil 1", "N-204", "2021-05-17"),
        ("Saal", "Netzteil 1", "N-118", "2022-02-02"),
        ("Saal", "Netzteil 2", "N-402", "2022-03-14"),
        ("Saal", "Netzteil 1", "N-204", "2022-06-07"),
    ]
    found = f"select {columns}, fitted_on::varchar from fitments order by fitted_on"
    assert rows(tmp_path, found, left_out=8) == stays
    found = f"select {columns}, done_on::varchar, action from repairs order by done_on"
    assert rows(tmp_path, found, left_out=8) == [(*one, "swap module") for one in stays]
    records = open_records(tmp_path)
    assert find_contradictions(records.connection) == []
    records.close()


def test_beside_reports_moves_are_no_work(tmp_path):
    text = IN_AND_OUT.format("Aktion", out="ausgebaut", into="eingebaut")
    (tmp_path / "umbau.csv").write_text(text, encoding="utf-8")
    (tmp_path / "störungen.csv").write_text(
        "Datum;Pult;Kanal;Störung\n03.01.2021;Saal;3;brummt\n14.02.2021;Studio;4;kein Ton\n", encoding="utf-8"
    )
    text = drafted(tmp_path)
    assert "[fitments]" in text and "[repairs]" not in text.splitlines()
