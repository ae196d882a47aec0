"""A sheet of measurements with a column a quantity: each filled cell becomes a reading, and every one is accounted for."""

import pytest

from maintkit.records.account import account
from maintkit.records.errors import MappingError
from maintkit.records.headings import draft_mapping
from maintkit.records.store import open_records

MAPPING = """
[readings]
file = "readings.csv"
[readings.columns]
"Bench" = "air_c"
[readings.each]
"C" = { measure = "capacitance", unit = "µF" }
"ESR (mΩ)" = { measure = "esr", unit = "mΩ", nominal = "" }
"""
HEADINGS = "serial,part_type,ref,measured_on,nominal,C,ESR (mΩ),Bench,remark\n"
SHEET = HEADINGS + (
    "M-1,47u 35V,C12,2024-03-05,47,44.1,900,21,leaks\n"
    "M-1,47u 35V,C14,2024-03-05,,31800 nF,4.4 Ω,21,\n"
    "M-2,47u 35V,C12,2024-03-06,47,-,1100,hot,\n"
    "M-2,47u 35V,C14,2024-03-06,47,4O,800,21,\n"
    "M-2,100u 25V,C15,2024-03-06,100,,,21,open circuit\n"
)


def readings(connection):
    return connection.execute(
        "select serial, ref, measure, nominal, value, unit, air_c from readings order by source_row, measure"
    ).fetchall()


def test_each_filled_cell_is_a_reading_in_the_unit_of_its_column(book, load):
    report, connection = load(book(readings=SHEET, mapping=MAPPING))
    assert readings(connection) == [
        ("M-1", "C12", "capacitance", 47, 44.1, "µF", 21),
        ("M-1", "C12", "esr", None, 900, "mΩ", 21),
        ("M-1", "C14", "capacitance", 47, 31.8, "µF", 21),  # 31,800 nF, and 47 by the part's name
        ("M-1", "C14", "esr", None, 4400, "mΩ", 21),
        ("M-2", "C12", "esr", None, 1100, "mΩ", None),
        ("M-2", "C14", "esr", None, 800, "mΩ", 21),
    ]
    assert (
        "1 capacitance has no printed value (nominal): taken from what the part is called." in report.drafted
    )


def test_every_reading_is_kept_or_turned_away_and_a_row_without_one_is_told(book, load):
    report, connection = load(book(readings=SHEET, mapping=MAPPING))
    [file] = [one for one in report.files if one.table == "readings"]
    assert (file.rows_in, file.kept, file.turned_away, file.not_understood) == (8, 6, 2, 1)
    assert [(one.row, one.column, one.found) for one in report.turned_away] == [(5, "C", "4O"), (6, "C", "")]
    assert [(one.row, one.column, one.found) for one in report.not_understood] == [(4, "Bench", "hot")]
    kept = connection.execute("select as_written from readings where source_row = 2").fetchall()
    assert kept == [({"remark": "leaks"},)] * 2
    assert "rows read = kept + turned away: 11 = 9 + 2" in account(connection, "book").splitlines()


def test_a_row_that_lacks_what_a_reading_needs_costs_all_its_readings(book, load):
    sheet = HEADINGS + "M-1,,C12,2024-03-05,47,44.1,900,21,\n"
    report, connection = load(book(readings=sheet, mapping=MAPPING))
    assert readings(connection) == []
    assert [(one.row, one.column) for one in report.turned_away] == [(2, "part_type")] * 2


def test_the_same_sheet_again_changes_nothing(book, load):
    folder = book(readings=SHEET, mapping=MAPPING)
    _, connection = load(folder)
    report, _ = load(folder, connection)
    [file] = [one for one in report.files if one.table == "readings"]
    assert (file.unchanged, file.new, file.changed) == (6, 0, 0)


@pytest.mark.parametrize(
    ("mapping", "said"),
    (
        ('[readings.each]\n"C" = { measure = "farads" }', "there is no choice 'farads'"),
        ('[readings.each]\n"C" = { what = "esr" }', "there is no column 'what'"),
        ('[readings.each]\n"C" = "esr"', 'it must be a section of lines such as "ESR (Ω)" = { measure'),
        ('[tickets.each]\n"C" = { ticket = "1" }', "[tickets.each]: there is no column 'value'"),
    ),
)
def test_a_mistake_in_such_a_section_gets_a_sentence(book, load, mapping, said):
    with pytest.raises(MappingError) as error:
        load(book(readings=SHEET, mapping=mapping))
    assert said in str(error.value)


WIDE = {
    "Tested,S/N,Designator,Part,Nominal µF,Cap,ESR,Temp": (
        "2025-02-03,S-1101,C4,100u 25V,100,88 uF,450 mΩ,21|2025-02-10,S-1102,C4,47u 35V,47,31 uF,3.1 ohm,20|"
        "2025-02-10,S-1107,C4,100u 25V,100,64 uF,1.2 ohm,20",
        {"Cap": ("capacitance", "µF"), "ESR": ("esr", "Ω")},
    ),
    "date,serial,part,C_uF,ESR_mOhm,Leak uA": (
        "2025-02-03,S-1101,100u 25V,88,450,1.2|2025-02-10,S-1102,47u 35V,31,3100,4|2025-02-11,S-1102,47u 35V,30,3000,5",
        {"C_uF": ("capacitance", "µF"), "ESR_mOhm": ("esr", "mΩ"), "Leak uA": ("leakage", "µA")},
    ),
    "Gemessen am,Gerätenr.,Elko,Bez.,Soll µF,Ist µF,Leckstrom": (
        "14.02.2025,2207,47µ 25V,C5,47,44,3|14.02.2025,2207,47µ 25V,C9,47,31,9|21.02.2025,2211,220µ 35V,C21,220,198,6",
        {"Ist µF": ("capacitance", "µF"), "Leckstrom": ("leakage", "µA")},
    ),
    # two of one quantity: neither is told, and what is left would not be all
    "date,serial,part,C before µF,C after µF": (
        "2025-02-03,S-1101,100u 25V,61,101|2025-02-10,S-1102,47u 35V,31,48",
        {},
    ),
}


@pytest.mark.parametrize("headings", WIDE)
def test_columns_of_quantities_are_placed_as_values_of_readings(book, headings):
    rows, expected = WIDE[headings]
    folder = book(
        desks=None, tickets=None, repairs=None, readings=f"{headings}\n" + rows.replace("|", "\n") + "\n"
    )
    import tomllib

    drafted = draft_mapping(folder)
    each = tomllib.loads(drafted.text).get("readings", {}).get("each", {})
    assert {heading: (one["measure"], one["unit"]) for heading, one in each.items()} == expected
    assert all(drafted.placed["readings.csv"][heading] == ("readings.value",) for heading in expected)
    printed = [one.get("nominal") for one in each.values() if one["measure"] != "capacitance"]
    assert {*printed} <= {"" if {"Nominal µF", "Soll µF"} & {*headings.split(",")} else None}


def test_a_point_is_a_decimal_sign_before_a_unit_in_a_book_of_commas_too(tmp_path):
    text = "Date;Module;Part;ESR;Cap\n3.2.2025;M-1;100/25;2.4 Ω;78,5 uF\n4.2.2025;M-2;100/25;1,2 ohm;92 uF\n"
    text += "5.2.2025;M-3;100/25;0,9;1.200 uF\n6.2.2025;M-4;100/25;did not measure;did not measure\n"
    (tmp_path / "readings.csv").write_text(text, encoding="utf-8")
    (tmp_path / "tickets.csv").write_text("ticket,raised_on,desk\nT1,2025-02-03,Heron\n", encoding="utf-8")
    mapping = '[readings]\nfile = "readings.csv"\ndelimiter = ";"\ndecimal = ","\ndate_format = "%d.%m.%Y"\n'
    mapping += '[readings.columns]\n"Date" = "measured_on"\n"Module" = "serial"\n"Part" = "part_type"\n'
    mapping += '[readings.each]\n"ESR" = { measure = "esr", unit = "Ω" }\n"Cap" = { measure = "capacitance", unit = "µF" }\n'
    (tmp_path / "mapping.toml").write_text(mapping, encoding="utf-8")
    records = open_records(tmp_path)
    kept = records.connection.sql("select serial, measure, value from readings order by all").fetchall()
    away = [(one.row, one.column, one.found) for one in records.report.turned_away]
    records.close()
    assert kept == [
        ("M-1", "capacitance", 78.5),
        ("M-1", "esr", 2.4),
        ("M-2", "capacitance", 92),
        ("M-2", "esr", 1.2),
        ("M-3", "esr", 0.9),
    ]
    assert away == [(4, "Cap", "1.200 uF"), (5, "ESR", "did not measure")]
