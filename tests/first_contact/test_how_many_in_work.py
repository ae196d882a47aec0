"""How many parts the work says, in words, in capitals, in brackets or behind a re-cap."""

from tests.first_contact.as_drafted import drafted, loaded, rows

LOG = """Day,Console,Strip,Heard,Done
3/2/2014,North,5,HUM,REPL 2 FILTER CAPS
19/2/2014,North,9,dim,two lamps
2/3/2014,South,4,,RECAP - 31 CAPS
24/3/2014,South,6,,recap 27
1/4/2014,South,7,,recapped all lytics (29)
30/4/2014,North,9,dead,fader replaced (7 hrs)
8/5/2014,North,2,dead,12 fader replaced
9/5/2014,North,2,dead,new 24 V relay
"""
COUNTS = "select action, quantity from repairs order by done_on"
AUF_DEUTSCH = """Datum;Pult;Kanal;Störung;Arbeit
3.2.2014;Nord;5;brummt;3 Elkos ersetzt
19.2.2014;Nord;9;tot;Poti getauscht
24.3.2014;Nord;9;rauscht;zwei Transistoren erneuert
25.3.2014;Süd;7;rauscht;K 7 Elkos geprüft
"""


def test_a_count_in_words_capitals_or_brackets_is_the_quantity(tmp_path):
    (tmp_path / "log.csv").write_text(LOG, encoding="utf-8")
    assert "[repairs.lookup.quantity]" in drafted(tmp_path)
    found = rows(
        tmp_path, COUNTS, left_out=6
    )  # re-caps without a complaint: no reports, and work of a section of their own
    assert found == [
        ("replace", 2),
        ("replace", 2),
        ("re-cap", 31),
        ("re-cap", 27),
        ("re-cap", 29),
        ("replace", 1),
        ("replace", 1),
        ("replace", 1),
    ]


def test_a_count_in_german(tmp_path):
    (tmp_path / "buch.csv").write_text(AUF_DEUTSCH, encoding="utf-8")
    drafted(tmp_path)
    assert rows(tmp_path, COUNTS)[:3] == [("replace", 3), ("replace", 1), ("replace", 2)]


def test_a_pair_of_parts_is_counted_where_a_column_names_them_in_short(tmp_path):
    lines = ["Date,Table,Voie,Panne,Remède,Pièces"]
    lines += ["13/2/2014,A,5,souffle,remplacé,3 cond.", "19/2/2014,A,6,muette,remplacé,1 relais"]
    lines += ["24/3/2014,A,9,souffle,remplacé,11 cond."]
    (tmp_path / "cahier.csv").write_text("\n".join(lines), encoding="utf-8")
    drafted(tmp_path)
    assert rows(tmp_path, COUNTS) == [("replace", 3), ("replace", 1), ("replace", 11)]


def test_a_number_before_one_part_is_a_slot_and_belongs_to_no_name(tmp_path):
    work = {
        "44": "44 fader worn - replaced",
        "10": "10 fader replaced",
        "7": "2 caps changed",
        "14": "ch 14 relay replaced",
        "3": "3 electrolytics replaced",
        "9": "9 fader sticky again, replaced",
    }
    log = "Date,Desk,Ch,Fault,Work done\n"
    for day, (slot, done) in enumerate(work.items()):
        log += f'{day + 20}/02/2025,Heron,{slot},noisy,"{done}"\n'
    records, draft = loaded(tmp_path, "faults.csv", log)
    found = records.connection.sql("select position, part_type, quantity from repairs").fetchall()
    records.close()
    assert {slot: told for slot, *told in found} == {
        "44": ["fader", 1],
        "10": ["fader", 1],
        "7": ["capacitor", 2],
        "14": ["relay", 1],
        "3": ["electrolytic", 3],
        "9": ["fader", 1],
    }
    assert "14 relay" not in draft.split("[repairs.lookup.part_type]")[1]
