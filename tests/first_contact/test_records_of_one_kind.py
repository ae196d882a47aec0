"""Lists that tell one kind of thing alone: faults of which nothing more is said, work of which no place is."""

import pytest

from maintkit.records.headings import draft_mapping
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
