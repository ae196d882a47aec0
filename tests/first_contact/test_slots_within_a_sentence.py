"""Slots that complaints name within a sentence: behind input or a sign for a number, beside an aux, and several at once."""

from tests.first_contact.as_drafted import drafted, rows

COMPLAINTS = (
    "Input 9 spits when warm",
    "hum on ch 4",
    "4, 6 and 11 lost their bass",
    "nothing from #7 since lunch",
    "scratchy aux 2 on input 12",
    "strip 5 stays dark, 2 lamps tried",
    "Block 13-15 went quiet",
    "loud bang from #10 when soloed",
    "aux 3 master buzzes",
    "ch 8 dead in 3 places",
)
FAULTS = "Date,Desk,What was wrong\n" + "".join(
    f'{13 + at}/5/2025,Curlew,"{text}"\n' for at, text in enumerate(COMPLAINTS)
)
QUERY = "select position, symptom from tickets order by raised_on, ticket"


def places(tmp_path):
    return [(slot or "").removeprefix("ch ") for slot, _ in rows(tmp_path, QUERY)]


def test_an_input_or_a_sign_for_a_number_names_a_slot_and_an_aux_of_a_channel_is_of_the_channel(tmp_path):
    (tmp_path / "faults.csv").write_text(FAULTS, encoding="utf-8")
    drafted(tmp_path)
    assert places(tmp_path) == ["9", "4", "", "7", "12", "5", "", "10", "aux 3", "8"]


def test_it_is_asked_whether_each_of_several_slots_is_a_report_of_its_own(tmp_path):
    (tmp_path / "faults.csv").write_text(FAULTS, encoding="utf-8")
    text = drafted(tmp_path)
    assert '# Several slots stand in 2 of 10 cells, such as "4, 6 and 11 lost their bass".' in text
    asked = '# ? several = ["What was wrong"]'
    assert text.count(asked) == 1
    answered = text.replace(asked, asked.removeprefix("# ? "))
    (tmp_path / "mapping.toml").write_text(answered, encoding="utf-8")
    assert places(tmp_path) == [
        "9",
        "4",
        "4",
        "6",
        "11",
        "7",
        "12",
        "5",
        "13",
        "14",
        "15",
        "10",
        "aux 3",
        "8",
    ]
    assert {one for slot, one in rows(tmp_path, QUERY) if slot in ("ch 13", "ch 14")} == {COMPLAINTS[6]}
