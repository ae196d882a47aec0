"""Work listed by things that are called by kind and place, in French, German and Spanish; rows that say they were planned."""

from functools import partial

import pytest

from maintkit.records.store import open_records
from tests.first_contact import as_drafted

PLACES = ("passerelle", "herse 2", "foyer", "cintre lointain", "loge 3")
KINDS = ("projecteur", "Treuil", "enceinte")
WORK = ("changement lampe", "graissage", "réglage", "réparation", "hivernage")
TIMES = ("1h30", "une matinée", "45 min", "une matinée", "2h")


@pytest.fixture
def loaded(tmp_path):
    return partial(as_drafted.loaded, tmp_path, "carnet.csv")


def things(rows=45):
    """Each thing of some kinds and places in turn, and the number of its row."""
    return [(f"{KINDS[at % 3]} {PLACES[at % 5]}", at) for at in range(rows)]


@pytest.mark.parametrize(
    ("headings", "work", "time"),
    [
        ("x;appareil;type d'intervention;technicien;temps", WORK, TIMES),
        (
            "Tag;Objekt;Art der Arbeit;Techniker;Dauer",
            ("Lampe gewechselt", "geschmiert", "eingestellt", "Reparatur", "Jahreswartung"),
            TIMES,
        ),
        (
            "fecha;equipo;tipo de trabajo;técnico;tiempo",
            ("cambio de lámpara", "engrase", "ajuste", "reparación", "revisión anual"),
            TIMES,
        ),
    ],
)
def test_kind_and_place_are_desk_and_slot(loaded, headings, work, time):
    rows = [
        f"{at % 28 + 1:02}.0{at % 9 + 1}.2023;{thing};{work[at * 7 % 5]};{('Léo', 'Anaïs')[at % 2]};{time[at % 5]}"
        for thing, at in things()
    ]
    records, text = loaded("\n".join([headings, *rows]))
    assert records.report.turned_away == ()
    rows = records.connection.sql(
        "select desk, count(*), count(distinct position) from repairs group by 1 order by 1"
    )
    assert rows.fetchall() == [("Treuil", 15, 5), ("enceinte", 15, 5), ("projecteur", 15, 5)]
    done = records.connection.sql(
        "select count(*) filter (action = 'replace'), count(*) filter (planned = 'yes') from repairs"
    )
    assert done.fetchall() == [(9, 9)]
    assert '# ? "une matinée" = "3 h"' in text
    assert records.connection.sql("select sum(bench_minutes) from repairs").fetchall() == [
        (9 * (90 + 45 + 120),)
    ]
    records.close()
    assert "technicien" not in text.lower().split("[repairs.columns]")[1]


def test_rooms_of_a_letter_are_desks_as_they_are(loaded):
    rows = [
        f"{at % 28 + 1:02}.0{at % 9 + 1}.2023;{('Salle A', 'Salle B', 'Régie A', 'Régie B')[at % 4]};voie {at};{WORK[at % 4]}"
        for at in range(40)
    ]
    records, _ = loaded("\n".join(["date;salle;voie;travaux", *rows]))
    assert records.connection.sql("select count(distinct desk) from repairs").fetchall() == [(4,)]
    records.close()


def test_how_long_is_asked_of_words_and_read_once_it_is_told(loaded, tmp_path):
    rows = [
        f"{at % 28 + 1:02}.0{at % 9 + 1}.2023;{thing};{WORK[at % 4]};{TIMES[at % 5]}"
        for thing, at in things(30)
    ]
    records, text = loaded("\n".join(["date;appareil;travaux;durée", *rows]))
    records.close()
    (tmp_path / "mapping.toml").write_text(text.replace('# ? "une matinée"', '"une matinée"'))
    records = open_records(tmp_path)
    assert records.connection.sql("select count(*) filter (bench_minutes = 180) from repairs").fetchall() == [
        (12,)
    ]
    records.close()


@pytest.mark.parametrize(
    "words", [("geplant", "ungeplant"), ("planifié", "non planifié"), ("planificado", "imprevisto")]
)
def test_planned_rows_are_no_faults(loaded, words):
    faults = ("kein Signal", "Kanal rauscht", "Brummen links", "Fader klemmt")
    rows = [
        f"{at + 1:02}.03.2024;{at + 2:02}.03.2024;{faults[at % 4]};{words[at % 3 > 0]}" for at in range(18)
    ]
    records, text = loaded("\n".join(["Beginn;Ende;Störung;Typ", *rows]))
    assert f'leave_out."Typ" = ["{words[0]}"]   # planned, so no faults' in text
    (of_file,) = records.report.files
    assert (of_file.kept, of_file.left_out) == (12, 6)
    days = records.connection.sql("select min(raised_on)::varchar, max(restored_on)::varchar from tickets")
    assert days.fetchall() == [("2024-03-02", "2024-03-19")]
    records.close()


def test_remarks_here_and_there_beside_work_are_no_complaints(loaded):
    rows = [
        f"{at % 28 + 1:02}.0{at % 9 + 1}.2023;{thing};{WORK[at % 4]};{'câble usé' if at % 3 == 0 else ''}"
        for thing, at in things(30)
    ]
    records, _ = loaded("\n".join(["jour;appareil;travaux;observations", *rows]))
    counted = records.connection.sql("select (select count(*) from tickets), (select count(*) from repairs)")
    assert counted.fetchall() == [(0, 30)]
    records.close()


def test_things_by_number_kind_and_day_of_installation_are_modules(loaded, tmp_path):
    days = ("04.03.2019", "2021-05-06", "2020", "11.12.2018")
    things_there = [f"B-{at:03};{KINDS[at % 3]};{PLACES[at % 5]};{days[at % 4]};bon" for at in range(1, 21)]
    listed = "\n".join(["id;type;lieu;date d'installation;état", *things_there])
    (tmp_path / "parc.csv").write_text(listed, encoding="utf-8")
    codes = "\n".join(["ID;Titre;Description", *(f"{at};panne {at};texte {at}" for at in range(1, 9))])
    (tmp_path / "codes.csv").write_text(codes, encoding="utf-8")
    rows = [f"{at % 28 + 1:02}.0{at % 9 + 1}.2023;{thing};{WORK[at % 4]}" for thing, at in things(30)]
    records, text = loaded("\n".join(["jour;appareil;travaux", *rows]))
    counted = records.connection.sql("select (select count(*) from modules), (select count(*) from repairs)")
    assert counted.fetchall() == [(20, 30)]
    assert "# parc.csv: a row of fitments needs desk" in text
    assert '# ? "date d\'installation" = "fitted_on"' in text
    records.close()
