"""Slots that a title or a description names, and numbers that are of other gear."""

import pytest

from maintkit.records.errors import MappingError
from maintkit.records.mapping import load_mapping
from tests.first_contact.as_drafted import drafted, loaded, rows

REQUESTS = (
    ("45 dead", "no signal at all", "ch 45"),
    ("noise on ch 12", "hiss all day", "ch 12"),
    ("no low end", "channel 9 sounds thin", "ch 9"),
    ("aux on ch 23 scratchy", "Aux 2 pot of 23 scratchy", "ch 23"),
    ("aux 3 low", "send too low", "aux 3"),
    ("7 pops", "loud pops from that one", "ch 7"),
    ("33 crackles", "crackles in the morning", "ch 33"),
    ("hum", "hum on group 2", "group 2"),
    ("16 distorts", "distorts on loud voices", "ch 16"),
    ("phones", "Headphones no. 11: left side gone", None),
    ("phones again", "headphones no. 4 dead", None),
    ("mute stuck", "Ch 30 mute stuck", "ch 30"),
)


def write(folder, requests=REQUESTS):
    lines = [f"{at},2026-03-{at + 1:02},Heron,{title},{said}" for at, (title, said, _) in enumerate(requests)]
    text = "\n".join(["Number,Created,Desk,Title,Description", *lines])
    (folder / "requests.csv").write_text(text, encoding="utf-8")


def test_the_slot_is_read_from_title_and_description_and_a_channel_goes_before_a_send(tmp_path):
    write(tmp_path)
    draft = drafted(tmp_path)
    assert "# No slot was found in 2 of 12 cells" in draft
    told = rows(tmp_path, "select position from tickets order by ticket::int")
    assert [slot for (slot,) in told] == [slot for _, _, slot in REQUESTS]


def test_the_number_of_a_channel_stays_a_slot_where_other_gear_has_none(tmp_path):
    write(tmp_path, [(f"fault {at}", f"no. {at + 3} crackles", None) for at in range(8)])
    drafted(tmp_path)
    assert rows(tmp_path, "select position from tickets order by ticket::int limit 2") == [
        ("no. 3",),
        ("no. 4",),
    ]


MAPPING = """[tickets]
[tickets.lookup.position]
from = "What"
also = {also}
within = true
words = {{ "ch #" = "ch #", "aux #" = "aux #" }}
otherwise = ""
"""


def test_a_lookup_reads_further_columns_and_its_first_word_counts(tmp_path):
    lines = (
        "1,2026-01-01,Heron,aux 2 low,on ch 4",
        "2,2026-01-02,Heron,ch 5 low,ch 6",
        "3,2026-01-03,Heron,hum,",
    )
    text = "\n".join(["ticket,raised_on,desk,What,More", *lines])
    (tmp_path / "tickets.csv").write_text(text, encoding="utf-8")
    (tmp_path / "mapping.toml").write_text(MAPPING.format(also='["More"]'), encoding="utf-8")
    assert rows(tmp_path, "select position from tickets order by ticket") == [("ch 4",), ("ch 5",), (None,)]


def test_further_columns_are_a_list(tmp_path):
    (tmp_path / "mapping.toml").write_text(MAPPING.format(also='"More"'), encoding="utf-8")
    said = r"\[tickets.lookup.position\] also: found 'More'. It must be a list of texts"
    with pytest.raises(MappingError, match=said):
        load_mapping(tmp_path)


def slots_of(folder, texts):
    """The slot that is read of each complaint in a list of them."""
    lines = (f'2024-01-{day:02},Heron,"{text}"' for day, text in enumerate(texts, start=3))
    records, _ = loaded(folder, "log.csv", "\n".join(["Date,Desk,What", *lines]) + "\n")
    found = records.connection.sql("select symptom, position from tickets").fetchall()
    records.close()
    return dict(found)


def test_a_number_behind_a_comma_is_of_something_else_than_the_word_before_it(tmp_path):
    told = {
        "ch 14 crackly": "ch 14",
        "6 no output, 21 pan scratchy": "ch 6",
        "14: relay exchanged": "ch 14",
        "28, 31 noisy": "ch 28",
        "9 hum": "ch 9",
        "14:30 session stopped, all fine later": None,
        "ch 3 dead": "ch 3",
    }
    assert slots_of(tmp_path, told) == told


def test_a_number_before_the_name_of_one_part_is_a_slot_and_before_several_it_counts_them(tmp_path):
    told = {
        "17 fader rough": "17",
        "6 led dark": "6",
        "23 button sticks": "23",
        "11 hum": "11",
        "1 lamp gone": None,
        "3 faders rough": None,
        "4 boomy": "4",
    }
    assert slots_of(tmp_path, told) == told


def test_several_slots_in_a_title_are_asked_and_each_can_be_a_report(tmp_path):
    pairs = (
        ("channels 3+4 low", "both of them"),
        ("groups 1 and 2 hum", "all day"),
        ("5 and 6 dead", "since noon"),
    )
    write(tmp_path, (*((*one, None) for one in pairs), *REQUESTS))
    draft, asked = drafted(tmp_path), '# ? several = ["Title"]'
    assert '# Several slots stand in 3 of 15 cells, such as "channels 3+4 low".' in draft
    query = "select position from tickets order by source_row, ticket limit 6"
    assert rows(tmp_path, query)[:2] == [("ch 3",), ("groups 1",)]
    (tmp_path / "mapping.toml").write_text(draft.replace(asked, asked[4:]), encoding="utf-8")
    told = [slot for (slot,) in rows(tmp_path, query)]
    assert told == ["ch 3", "ch 4", "group 1", "group 2", "ch 5", "ch 6"]


def test_a_slot_that_a_list_calls_by_a_word_is_found_where_no_text_has_it_in_a_longer_word(tmp_path):
    named = (
        ("master section hisses", "all day", "Master"),
        ("ch 7 sends to master", "low", "ch 7"),
        ("Monday", "rota", None),
    )
    write(tmp_path, (*REQUESTS, *named))
    slots = "".join(f"Heron,{slot}\n" for slot in ("ch 7", "ch 9", "Master", "Mon", "Hum"))
    (tmp_path / "positions.csv").write_text(f"desk,position\n{slots}", encoding="utf-8")
    draft = drafted(tmp_path)
    assert '"master" = "Master" }' in draft
    told = rows(tmp_path, "select position from tickets order by source_row")
    assert [slot for (slot,) in told[-3:]] == [slot for *_, slot in named]
