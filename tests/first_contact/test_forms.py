"""Forms one below the other in a sheet: each an entry, its labels in cells of their own with what was filled in beside them."""

import pytest

from maintkit.records.errors import LayoutError
from maintkit.records.headings import draft_mapping
from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted, rows
from tests.first_contact.test_shapes_of_books import workbook

CARDS = (
    ("3/5/2011", "Upper", "ch 4", "crackles", "fader cleaned", "", "5/5/2011", "[X]", "[ ]"),
    ("14/6/2011", "Lower", "ch 9", "thin", "polarity was in", "", "15/6/2011", "[ ]", "[X]"),
    ("20/6/2011", "Upper", "ch 4", "dead", "relay replaced", "relay 24V", "22/6/2011", "[ ]", "[ ]"),
    ("1/7/2011", "Upper", "ch 7", "hums", "", "", "", "[ ]", "[ ]"),
    ("9/8/2011", "Lower", "ch 2", "no level", "module swapped for spare no. 2", "", "9/8/2011", "[ ]", "[ ]"),
)


def card(number, day, desk, slot, fault, work, part, done, cleaned, nothing):
    return [
        ("FAULT CARD",),
        ("Card no.", number, "Date", day),
        ("Desk", desk, "Channel", slot),
        ("Fault", fault, "Show stopped?", "no"),
        (None, "in both acts") if number == 1 else (),
        ("Work done", work, "Done by", "VT"),
        (f"Cleaned {cleaned}   No fault {nothing}", None, "Parts used", part),
        ("Signed off", "VT", "Date done", done),
        (),
    ]


def book(folder, *cards):
    lines = [line for number, one in enumerate(cards, start=1) for line in card(number, *one)]
    workbook(folder, "cards.xlsx", **{"Season": [*lines, ("card 6 was lost",)]})


def test_each_form_is_an_entry(tmp_path):
    book(tmp_path, *CARDS)
    drafted(tmp_path)
    found = rows(
        tmp_path, "select ticket, raised_on::text, desk, position, symptom, outcome from tickets order by 1"
    )
    assert found == [
        ("1", "2011-05-03", "Upper", "ch 4", "crackles in both acts", None),
        ("2", "2011-06-14", "Lower", "ch 9", "thin", "no fault found"),
        ("3", "2011-06-20", "Upper", "ch 4", "dead", None),
        ("4", "2011-07-01", "Upper", "ch 7", "hums", None),
        ("5", "2011-08-09", "Lower", "ch 2", "no level", None),
    ]
    work = rows(tmp_path, "select ticket, done_on::text, action, part_type, serial from repairs order by 1")
    assert work == [
        ("1", "2011-05-05", "clean", None, None),
        ("2", "2011-06-15", "other work", None, None),
        ("3", "2011-06-22", "replace", "relay 24V", None),
        ("5", "2011-08-09", "swap module", None, None),
    ]


def test_what_stands_behind_no_label_is_kept_beside_the_entry(tmp_path):
    book(tmp_path, *CARDS)
    drafted(tmp_path)
    kept = rows(tmp_path, "select ticket, as_written['(beside)'] from tickets order by 1")
    assert kept[-1] == ("5", "card 6 was lost")


def test_what_is_filled_in_alike_in_every_form_is_no_label(tmp_path):
    book(tmp_path, *(one[:1] + ("Upper",) + one[2:] for one in CARDS))
    text = draft_mapping(tmp_path).text
    assert ('"Upper"' in text, '"VT"' in text, '"no", ' in text) == (False, False, False)
    assert '"Desk", "Channel", "Fault", "Show stopped?"' in text


def test_a_label_and_what_was_filled_in_may_share_a_cell(tmp_path):
    lines = [
        (line,)
        for day, desk, slot, fault, work, *_ in CARDS
        for line in (
            f"Date: {day}",
            f"Desk: {desk}",
            f"Channel: {slot}",
            f"Fault: {fault}",
            f"Work done: {work}",
        )
    ]
    workbook(tmp_path, "cards.xlsx", Cards=lines)
    drafted(tmp_path)
    found = rows(tmp_path, "select desk, position, symptom from tickets order by raised_on")
    assert found[:2] == [("Upper", "ch 4", "crackles"), ("Lower", "ch 9", "thin")]


def test_a_sheet_of_which_one_list_is_read_is_not_ignored_whole(tmp_path):
    faults = [("Date", "Desk", "Channel", "Fault", "Work done")]
    faults += [(f"2024-01-{day:02}", "Upper", day, "crackle", "cleaned") for day in range(1, 9)]
    others = [("Date", "Part", "Supplier"), *((f"2024-02-{day:02}", "x", "y") for day in range(1, 9))]
    workbook(tmp_path, "book.xlsx", Log=[*faults, (), *others])
    (path,) = tmp_path.glob("*.xlsx")
    (tmp_path / "mapping.toml").write_text(draft_mapping(path).text, encoding="utf-8")
    records = open_records(path)
    assert records.connection.sql("select count(*) from tickets").fetchall() == [(8,)]
    records.close()


def test_a_sheet_that_is_ignored_and_read_is_a_fault_of_the_mapping(tmp_path):
    workbook(tmp_path, "book.xlsx", Log=[("raised_on", "desk", "symptom"), ("2024-01-03", "Upper", "hum")])
    (tmp_path / "mapping.toml").write_text('ignore = ["Log"]\n[tickets]\nsheet = "Log"\n', encoding="utf-8")
    with pytest.raises(LayoutError, match=r"lists 'Log' under ignore and reads it as \[tickets\]"):
        open_records(tmp_path)


def fiche(number, day, slot, fault, work, part="", minutes=""):
    lines = [("Fiche", number), ("Date :", day), ("Lieu :", slot), ("Panne :", fault), ("Travaux :", work)]
    told = [("Pièces :", part), ("Temps :", minutes)]
    return [*lines, *(line for line in told if line[1])]


def beside(one, other):
    wide = max(len(one), len(other))
    return [
        (*left, None, *right)
        for left, right in zip(
            *(card + [(None, None)] * (wide - len(card)) for card in (one, other)), strict=True
        )
    ]


FICHES = (
    fiche("1", "mi-mai 2014", "voie 3", "crachements", "potentiomètre remplacé", "potentiomètre", "1 h 20"),
    fiche("2", "06/2014", "voie 4", "muette", "soudure refaite"),
    fiche("3", "juil. 2014", "voie 4", "ronflement", "nettoyage", "", "20 mn"),
    fiche("4", "fin août 2014", "voie 9", "souffle", "fusible remplacé", "fusible"),
    fiche("5", "août 2014", "voie 11", "muette", "relais remplacé", "relais", "45 mn"),
    fiche("6", "mars 2015", "voie 1", "coupures", "à faire"),
)


@pytest.mark.parametrize("are_beside", [False, True])
def test_forms_of_some_labels_each_stand_below_or_beside_each_other(tmp_path, are_beside):
    pairs = [beside(one, other) for one, other in zip(FICHES[::2], FICHES[1::2], strict=True)]
    lines = [line for card in (pairs if are_beside else FICHES) for line in (*card, ())]
    workbook(tmp_path, "fiches.xlsx", **{"Pupitre": [("Pupitre du foyer",), (), *lines]})
    draft = drafted(tmp_path)
    assert 'form = ["Fiche", "Date", "Lieu", "Panne", "Travaux", "Pièces", "Temps"]' in draft
    found = rows(tmp_path, "select ticket, raised_on::text, position, symptom from tickets order by 1")
    days = ("2014-05-01", "2014-06-01", "2014-07-01", "2014-08-01", "2014-08-01", "2015-03-01")
    told = (dict((label.rstrip(" :"), text) for label, text in one) for one in FICHES)
    assert found == [
        (one["Fiche"], day, one["Lieu"], one["Panne"]) for day, one in zip(days, told, strict=True)
    ]
    work = rows(tmp_path, "select ticket, action, part_type, bench_minutes from repairs order by 1")
    assert work[:3] == [
        ("1", "replace", "potentiomètre", 80.0),
        ("2", "re-solder", None, None),
        ("3", "clean", None, 20.0),
    ]


def test_sheets_of_forms_share_the_labels_that_are_on_some(tmp_path):
    others = [[line for line in one if line[0] != "Temps :"] for one in FICHES]
    lines = ([line for card in cards for line in (*card, ())] for cards in (FICHES, others))
    workbook(tmp_path, "fiches.xlsx", **dict(zip(("Hall", "Foyer"), lines, strict=True)))
    text = drafted(tmp_path)
    assert text.count(
        'form = ["Fiche", "Date", "Lieu", "Panne", "Travaux", "Pièces", "Temps"]'
    ) == text.count("form = ")


def test_titles_over_forms_name_the_desk_of_each_sheet(tmp_path):
    lines = [line for card in FICHES for line in (*card, ())]
    sheets = {title[-2:]: [(title,), ("Foyer",), (), *lines] for title in ("Pupitre no 41", "Pupitre no 52")}
    workbook(tmp_path, "fiches.xlsx", **sheets)
    drafted(tmp_path)
    assert rows(tmp_path, "select desk, count(*) from tickets group by desk order by desk") == [
        ("Pupitre no 41", 6),
        ("Pupitre no 52", 6),
    ]
