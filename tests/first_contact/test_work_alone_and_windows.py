"""Lists of work with purchases among it, of planned hours in seconds, and days as a spreadsheet's numbers with a comma."""

from maintkit.records.headings import draft_mapping
from tests.first_contact.as_drafted import drafted, rows

DONE = ("New chain", "Replaced brake cable", "Bought a helmet", "Cleaned and oiled", "Replaced both tyres")


def answered(folder, draft):
    """The mapping with every question answered by yes, and nothing ignored."""
    lines = (line.removeprefix("# ? ") for line in draft.splitlines() if not line.startswith("ignore"))
    (folder / "mapping.toml").write_text("\n".join(lines), encoding="utf-8")


def test_work_is_of_the_only_column_of_names_beside_it(tmp_path):
    lines = [f"2024-03-{at + 1:02},{('Tern', 'Heron')[at % 2]},{DONE[at % 5]},{at}.50" for at in range(20)]
    text = "\n".join(["date,cycle,activity,cost", *lines])
    (tmp_path / "cycle_work.csv").write_text(text, encoding="utf-8")
    drafted(tmp_path)
    found = rows(tmp_path, "select desk, action, count(*) from repairs group by all order by all")
    assert found == [
        *(("Heron", action, many) for action, many in (("clean", 2), ("other work", 2), ("replace", 6))),
        *(("Tern", action, many) for action, many in (("clean", 2), ("other work", 2), ("replace", 6))),
    ]


def test_a_sheet_that_tells_of_work_alone_is_read_as_work_and_asked_for_its_desks(tmp_path):
    lines = [f"{at + 1:02}.03.2024;{('Tern', 'Heron')[at % 2]};{DONE[at % 5]}" for at in range(20)]
    (tmp_path / "x.csv").write_text("\n".join(["Kiedy;Który;Co zrobiłem", *lines]), encoding="utf-8")
    text = drafted(tmp_path)
    assert rows(tmp_path, "select count(*) from repairs where action = 'replace'") == [(12,)]
    assert '# ? "Który" = "desk"' in text.splitlines()
    answered(tmp_path, text)
    query = "select desk, count(*) from repairs where action = 'replace' group by all order by all"
    assert rows(tmp_path, query) == [("Heron", 6), ("Tern", 6)]


def test_planned_hours_in_seconds_are_asked_about_and_loaded_once_answered(tmp_path):
    lines = [f"{1543237500 + 86400 * at},{1543253400 + 86400 * at},MX-{at % 2 + 10}" for at in range(12)]
    text = "\n".join(["starttime,endtime,mast", *lines])
    (tmp_path / "maintenance.csv").write_text(text, encoding="utf-8")
    draft = draft_mapping(tmp_path)
    assert draft.placed == {} and "Were it a list of planned work," in draft.text
    answered(tmp_path, draft.text)
    query = "select desk, planned, count(*), min(done_on)::varchar from repairs group by all order by all"
    assert rows(tmp_path, query) == [("MX-10", "yes", 6, "2018-11-26"), ("MX-11", "yes", 6, "2018-11-27")]


def test_days_as_numbers_with_a_comma_beside_a_list_of_groups(tmp_path):
    groups = "Depot north, no signal area, low roof, small van, yellow, two doors, no radio, petrol"
    said = ("Battery low", "Door sensor lost", "Fuse blown", "Lamp out")
    lines = [f"{45300 + at},{at + 1}5;KX{at % 3};{groups};{said[at % 4]}" for at in range(12)]
    text = "\n".join(["Data;Veículo;Grupo;Descrição", *lines])
    (tmp_path / "falhas.csv").write_text(text, encoding="utf-8")
    drafted(tmp_path)
    query = "select desk, count(*), min(raised_on)::varchar, min(symptom) from tickets group by 1 order by 1"
    assert rows(tmp_path, query)[0] == ("KX0", 4, "2024-01-09", "Battery low")
