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


WITHOUT_WORD = {
    "ch 14 has no bottom end": "ch 14",
    "22 hums all night": "ch 22",
    "fader on 6 scratchy": "ch 6",
    "mute on 17 sticks, have to hit it": "ch 17",
    "hiss on 40, like rain": "ch 40",
    "hum on 21 when EQ in": "ch 21",
    "pops on 20 every few minutes": "ch 20",
    "mute stuck 25": "ch 25",
    "meter 20 stuck": "ch 20",
    "hot night, 29 gone distorted": "ch 29",
    "ch 45 jumps by itself": "ch 45",
    "31 crackles when touched": "ch 31",
    "8 thin": "ch 8",
    "24 dull": "ch 24",
    "aux 3 send on 12 intermittent": "ch 12",
    "psu trips in the afternoon": "PSU",
    "fan of the PSU rattles": "PSU",
    "left output 3 dB low": None,
    "clicks on 48 V": None,
    "hum on 50 Hz": None,
    "harsh on 10k, on 2 kHz too": None,
    "dead since half past 9": None,
    "noise on 3 May, then fine": None,
    "buzz on 2 channels": None,
    "level low 6": None,
    "hum on the whole of 25-32": None,
    "nothing on the left, 2 mics tried": None,
    "phones box 2 crackles": None,
}


def test_a_number_behind_no_word_for_a_slot_is_one_where_others_are_and_no_measure_or_time(tmp_path):
    lines = (f'{1 + at % 28}/{1 + at // 28}/2025,Curlew,"{text}"\n' for at, text in enumerate(WITHOUT_WORD))
    (tmp_path / "faults.csv").write_text("Date,Desk,What was wrong\n" + "".join(lines), encoding="utf-8")
    text = drafted(tmp_path)
    assert '"output #"' not in text
    assert {told: slot for slot, told in rows(tmp_path, QUERY)} == WITHOUT_WORD


def test_where_few_complaints_name_slots_a_lone_number_is_none(tmp_path):
    texts = ("hum on 3", "ch 7 dead", "all dull", "clicks", "lamp out", "no talkback", "psu loud")
    lines = (f"{1 + at}/3/2025,Curlew,{text}\n" for at, text in enumerate(texts))
    (tmp_path / "faults.csv").write_text("Date,Desk,What was wrong\n" + "".join(lines), encoding="utf-8")
    assert not {'"on #"', '"psu"'} & {*drafted(tmp_path).split()}
