"""What was done, written as people write it, is told by its words, also in entries that come after the draft."""

import pytest

from maintkit.cli import main
from maintkit.quarter.causes import NO_PART
from maintkit.records.errors import MappingError
from maintkit.records.headings import draft_mapping
from maintkit.records.known_words.meanings import meaning_of_cell
from maintkit.records.known_words.part_kinds import work_in_text
from maintkit.records.lookups import meaning_of
from maintkit.records.mapping import LEAVE_OUT, Lookup, load_mapping
from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted, rows

HEADINGS = "Date,Desk,Ch,Problem,What I did\n"
DONE = (
    "replaced C12",
    "cleaned the fader, no better, so changed it",
    "resoldered all the joints of the edge connector, put it back and ran it with tone over night, all well since",
    "gave it a whack",
    "fixed it",
    "nothing found",
)


def log(done, month="01"):
    rows = (
        f'2025-{month}-{day:02d},Heron,{day * 7 % 23 + 1},crackle,"{text}"'
        for day, text in enumerate(done, start=1)
    )
    return HEADINGS + "\n".join(rows) + "\n"


@pytest.fixture
def book(tmp_path):
    folder = tmp_path / "book"
    folder.mkdir()
    (folder / "log.csv").write_text(log(DONE), encoding="utf-8")
    (folder / "mapping.toml").write_text(draft_mapping(folder).text, encoding="utf-8")
    return folder


def actions(folder):
    records = open_records(folder)
    rows = records.connection.sql("select action from repairs order by done_on").fetchall()
    report = records.report
    records.close()
    return [action for (action,) in rows], report


def test_every_row_is_kept_and_a_text_without_a_word_of_work_is_other_work_and_listed(book):
    told, report = actions(book)
    assert told == ["replace", "replace", "re-solder", "other work", "other work", "test"]
    assert report.turned_away == ()
    assert [(one.row, one.column, one.found) for one in report.not_understood] == [
        (5, "What I did", "gave it a whack"),
        (6, "What I did", "fixed it"),
    ]
    counted = [(one.read, one.lost) for one in report_cells(book)]
    assert counted == [(6, 2)]


def report_cells(folder):
    from maintkit.records.understood import what_was_not_understood

    records = open_records(folder)
    found = what_was_not_understood(records.connection)
    records.close()
    return found


def test_entries_that_come_after_the_draft_are_told_too(book):
    (book / "log.csv").write_text(
        log((*DONE, "new lamp", "swapped the module with the spare")), encoding="utf-8"
    )
    assert actions(book)[0][-2:] == ["replace", "swap module"]


def test_a_word_written_in_the_mapping_goes_before_and_is_understood(book):
    file = book / "mapping.toml"
    file.write_text(file.read_text().replace('# ? "fixed it" = "other work"', '"fixed it" = "adjust"'))
    told, report = actions(book)
    assert told[4] == "adjust"
    assert [one.found for one in report.not_understood] == ["gave it a whack"]


def test_what_known_words_tell_as_all_others_are_taken_is_understood(book):
    (book / "log.csv").write_text(log(("C14", "new fader", "sorted it", "cleaned")), encoding="utf-8")
    file = book / "mapping.toml"
    text = file.read_text()
    assert text.count('otherwise = "other work"') == 1
    file.write_text(text.replace('otherwise = "other work"', 'otherwise = "replace"'), encoding="utf-8")
    done, report = actions(book)
    assert done == ["replace", "replace", "replace", "clean"]
    assert [one.found for one in report.not_understood] == ["sorted it"]
    assert [(one.read, one.lost) for one in report_cells(book)] == [(4, 1)]


def test_work_of_another_kind_shows_a_fault_and_ends_no_life(book):
    """Rule 1 of what counts as a fault: unplanned work that answers a report, whatever it was."""
    assert (
        main(["review", "--records", str(book), "--quarter", "2025Q1", "--out", str(book.parent / "out")])
        == 0
    )
    counts = (book.parent / "out" / "counts.csv").read_text().splitlines()
    row = dict(zip(counts[0].split(","), counts[-1].split(","), strict=True))
    assert (row["tickets"], row["ticket_faults"], row["no_fault_found"]) == ("6", "5", "1")
    page = (book.parent / "out" / "report.html").read_text()
    assert "as work of another kind, which renews no part; records.txt says which" in " ".join(page.split())


def test_of_many_texts_none_is_written_out_and_those_that_differ_in_the_place_alone_are_asked_about_once(
    tmp_path,
):
    done = [f"replaced C{number}" for number in range(1, 29)]
    (tmp_path / "a.csv").write_text(log(done), encoding="utf-8")
    (tmp_path / "b.csv").write_text(
        log([f"sorted C{number}" for number in range(40, 68)], "02"), encoding="utf-8"
    )
    lines = draft_mapping(tmp_path).text.splitlines()
    assert [line for line in lines if line.startswith('# ? "')] == ['# ? "sorted c40" = "other work"']


def test_words_of_another_column_are_not_known(tmp_path):
    file = tmp_path / "mapping.toml"
    file.write_text('[tickets.lookup.symptom]\nfrom = "Said"\nknown_words = true\n')
    with pytest.raises(
        MappingError, match="words are known for action, part_type, quantity and outcome alone"
    ):
        load_mapping(tmp_path)


WORK = "date of job,location on desk,description of work\n2025-01-12,in 7,replaced relay 24V\n2025-01-19,in 22,cleaned pot\n2025-02-02,grp 2,fixed it\n"


def test_work_that_names_a_slot_and_no_more_is_of_the_one_desk(tmp_path):
    (tmp_path / "Work diary.csv").write_text(WORK, encoding="utf-8")
    draft = draft_mapping(tmp_path)
    assert draft.is_of_one_desk
    (tmp_path / "mapping.toml").write_text(draft.text, encoding="utf-8")
    records = open_records(tmp_path)
    rows = records.connection.sql("select desk, position, action from repairs order by done_on").fetchall()
    records.close()
    assert rows == [
        ("the desk", "in 7", "replace"),
        ("the desk", "in 22", "clean"),
        ("the desk", "grp 2", "other work"),
    ]


def test_where_another_sheet_names_the_desks_such_work_is_of_none(tmp_path):
    (tmp_path / "Work diary.csv").write_text(WORK, encoding="utf-8")
    (tmp_path / "tickets.csv").write_text(
        "Date,Desk,Channel,Fault\n2025-01-06,Heron,3,hum\n2025-02-06,Tern,4,no sound\n", encoding="utf-8"
    )
    assert not draft_mapping(tmp_path).is_of_one_desk


def test_the_part_is_told_too_and_a_part_alone_is_one_replaced(tmp_path):
    done = (
        "new relay fitted, no more clicks",
        "lamp",
        "C12",
        "C7 dried out, replaced with 47u/35V",
        "relay and lamp looked at",
    )
    (tmp_path / "log.csv").write_text(log(done), encoding="utf-8")
    (tmp_path / "mapping.toml").write_text(draft_mapping(tmp_path).text, encoding="utf-8")
    records = open_records(tmp_path)
    rows = records.connection.sql("select action, part_type, ref from repairs order by done_on").fetchall()
    records.close()
    assert rows == [
        ("replace", "relay", None),
        ("replace", "lamp", None),
        ("replace", "capacitor", "C12"),
        ("replace", "47u 35V", "C7"),
        ("other work", None, None),
    ]


def test_work_that_names_a_desk_and_no_slot_is_of_the_desk_as_a_whole(tmp_path):
    (tmp_path / "work.csv").write_text(
        "Date,Desk,Work done,Minutes\n2025-01-07,Heron,replaced relay,30\n2025-01-19,Tern,cleaned pots,20\n2025-02-04,Heron,new lamp,10\n",
        encoding="utf-8",
    )
    (tmp_path / "mapping.toml").write_text(draft_mapping(tmp_path).text, encoding="utf-8")
    records = open_records(tmp_path)
    rows = records.connection.sql("select desk, position, action from repairs order by done_on").fetchall()
    records.close()
    assert rows == [
        ("Heron", "(whole desk)", "replace"),
        ("Tern", "(whole desk)", "clean"),
        ("Heron", "(whole desk)", "replace"),
    ]


def test_a_word_with_a_sharp_s_in_the_mapping_is_understood(book):
    (book / "log.csv").write_text(log(("Schweißpunkt gesetzt",)), encoding="utf-8")
    file = book / "mapping.toml"
    file.write_text(
        file.read_text().replace('# ? "fixed it" = "other work"', '"Schweißpunkt gesetzt" = "other work"'),
        encoding="utf-8",
    )
    told, report = actions(book)
    assert (told, report.not_understood) == (["other work"], ())


def test_entries_that_say_nothing_was_found_or_done_show_no_fault(book):
    """Also those that come after the draft: they are no work of another kind, which would be a fault."""
    (book / "log.csv").write_text(
        log((*DONE[:3], "NFF", "waiting for parts", "user error", "keeping an eye on it")), encoding="utf-8"
    )
    assert actions(book)[0][3:] == ["test", "trace", "test", "test"]


STILL_TO_DO = [
    "needs a new fader",
    "waiting for new fader",
    "fader to be replaced",
    "replace fader please",
    "ch 3 needs cleaning",
    "new fader ordered",
    "cleaning needed",
    "swap needed",
    "todo: re-solder C12",
    "not replaced yet",
    "Poti wartet auf Ersatz",
    "Fader muss getauscht werden",
    "Fader bitte tauschen",
]
DONE_ALL_THE_SAME = {
    "ordered and fitted new fader": "replace",
    "replaced fader, new spare ordered": "replace",
    "replaced fader; please test": "replace",
    "cleaned fader, needs new one": "clean",
    "needs new fader, cleaned for now": "clean",
    "needed cleaning": "clean",
    "replaced due to noise": "replace",
    "gereinigt, Poti bestellt": "clean",
    "wurde getauscht": "replace",
    "no output replaced relay": "replace",
    "kein Signal - Relais getauscht": "replace",
    "no sound cleaned fader": "clean",
}


def test_work_still_to_be_done_is_no_work_done():
    assert {text: work_in_text(text) for text in STILL_TO_DO} == dict.fromkeys(STILL_TO_DO, "trace")
    assert {text: work_in_text(text) for text in DONE_ALL_THE_SAME} == DONE_ALL_THE_SAME
    assert {text: meaning_of_cell("outcome", text) for text in STILL_TO_DO} == dict.fromkeys(
        STILL_TO_DO, "open"
    )


def test_a_part_still_to_come_ends_no_life(tmp_path):
    (tmp_path / "log.csv").write_text(log([*DONE, "needs new fader", "new fader fitted"]), encoding="utf-8")
    (tmp_path / "mapping.toml").write_text(draft_mapping(tmp_path).text, encoding="utf-8")
    assert actions(tmp_path)[0][-2:] == ["trace", "replace"]


def test_slips_of_the_pen_in_words_of_work_are_read_and_no_other_word_is_taken_for_one():
    said = ("Cleanned", "fader claened", "IC7 repalced", "gereingt", "re-sodlered joint")
    assert [work_in_text(text) for text in said] == ["clean", "clean", "replace", "clean", "re-solder"]
    assert [
        work_in_text(text) for text in ("recharged", "told the singer", "cleared", "rested", "shored")
    ] == [""] * 5


def test_a_part_with_a_word_or_two_before_it_is_one_replaced(tmp_path):
    told = [
        "lamps",
        "output IC",
        "mute FET",
        "stuck relay",
        "cleaned fader",
        "re-flow",
        "tail fuse",
        "new pot",
    ]
    said = [f"2025-03-{day:02},Heron,{day},dead,{work}" for day, work in enumerate(told, 1)]
    text = "\n".join(["Date,Desk,Ch,Fault,Work done", *said])
    (tmp_path / "log.csv").write_text(text, encoding="utf-8")
    drafted(tmp_path)
    found = rows(tmp_path, "select action, part_type from repairs order by done_on")
    assert found == [
        ("replace", "lamp"),
        ("replace", "ic"),
        ("replace", "fet"),
        ("other work", None),
        ("clean", "fader"),
        ("re-solder", None),
        ("replace", "fuse"),
        ("replace", "pot"),
    ]


NO_FAULT = {
    "singer forgot to switch the preamp on": "not the desk",
    "engineer had the wrong channel selected": "not the desk",
    "was ok, customer had pressed dim": "not the desk",
    "phantom button not pressed": "not the desk",
    "false alarm (console was switched off)": "not the desk",
    "called out for a buzz, was their own cable": "not the desk",
    "faulty guitar lead": "not the desk",
    "dimmer again!": "not the desk",
    "Toningenieur hatte den falschen Eingang gewählt": "not the desk",
    "Mikrokabel defekt": "not the desk",
    "Pult war ausgeschaltet": "not the desk",
    "Fehlalarm": "no fault found",
    "looked in on Tuesday, all well": "no fault found",
    "couldn't hear it": "no fault found",
}
IN_THE_DESK = [
    "meter cable came off",
    "ribbon cable",
    "lead of C31 broken",
    "Kabel zum Netzteil lose",
    "dimmer pot dirty",
    "client had the wrong chip, IC7 selected",
    "mute button stuck",
    "relay was switched off by a dry joint",
]
MENDED = ["wrong capacitor fitted, changed", "mic lead inside broken, re-soldered", "dimmer relay replaced"]


def test_what_was_in_the_use_or_in_other_gear_is_not_the_desk_and_a_part_inside_it_is():
    assert {text: meaning_of_cell("outcome", text) for text in NO_FAULT} == NO_FAULT
    assert {work_in_text(text) for text in NO_FAULT} == {"test"}
    assert not {meaning_of_cell("outcome", text) for text in IN_THE_DESK} & {"not the desk", "no fault found"}
    assert {work_in_text(text) for text in MENDED} == {"replace", "re-solder"}


@pytest.mark.parametrize(
    "text",
    ["reseated 1112", "re-seated, ok", "card plugged in again", "Stecker neu gesteckt", "wieder eingesteckt"],
)
def test_a_card_or_plug_seated_again_points_to_a_contact(text):
    assert NO_PART[work_in_text(text)] == "contact"


def test_what_was_cleaned_is_a_part_and_a_place_on_the_board_again_is_one_replaced(tmp_path):
    told = {
        "switch cleaned": ("clean", "switch"),
        "C14 again": ("replace", "capacitor"),
        "C22 C14 both": ("replace", "capacitor"),
        "IC3 this time": ("replace", "ic"),
        "C14 in 1150": ("replace", "capacitor"),
        "fader, used one": ("replace", "fader"),
        "1112: track under C22 lifted, bridged, C22 new": ("bridge track", None),
        "new relay": ("replace", "relay"),
    }
    said = [f'2025-03-{day:02},Heron,{day},dead,"{work}"' for day, work in enumerate(told, 1)]
    (tmp_path / "log.csv").write_text("\n".join(["Date,Desk,Ch,Fault,Work done", *said]), encoding="utf-8")
    drafted(tmp_path)
    found = rows(tmp_path, "select action, part_type from repairs order by done_on")
    assert dict(zip(told, found, strict=True)) == told


def test_where_no_column_says_what_was_done_the_cause_tells_it_by_the_part_it_names(tmp_path):
    heard = 2 * ("LF thin", "distorted", "crackle on gain", "no direct out")
    causes = ("47u cap dry", "op amp", "pot dirty", "user - wrong patch", "", "mute switch", "lug", "")
    fixed = [cause and f"2024-{month:02}-12" for month, cause in enumerate(causes, start=1)]
    lines = [
        f"{month},2024-{month:02}-11,{month + 2},{said},{cause or 'could not find'},{day}\n"
        for month, (said, cause, day) in enumerate(zip(heard, causes, fixed, strict=True), start=1)
    ]
    (tmp_path / "log.csv").write_text("No,Date,Ch,Fault,Cause,Fixed\n" + "".join(lines), encoding="utf-8")
    drafted(tmp_path)
    told = rows(tmp_path, "select ticket, action, part_type from repairs order by ticket", left_out=3)
    outcomes = rows(tmp_path, "select ticket, outcome from tickets where outcome is not null", left_out=3)
    assert told == [
        ("1", "replace", "47u cap"),
        ("2", "replace", "op amp"),
        ("3", "clean", "pot"),
        ("6", "replace", "switch"),
        ("7", "other work", None),
    ]
    assert outcomes == [("4", "not the desk"), ("5", "no fault found"), ("8", "no fault found")]


@pytest.mark.parametrize(
    "text",
    [
        "1 dead after the re-cap. I put one in backwards",
        "nach dem Elkotausch tot",
        "46 was me, forgot to put the jumper back",
        "29 got one too while it was open",
        "30 distorts, waiting for its re-cap anyway",
    ],
)
def test_a_diary_that_tells_what_came_after_a_re_cap_or_was_forgotten_or_still_waits_tells_no_work(text):
    diary = Lookup("What", {}, otherwise=LEAVE_OUT, known_as="action")
    assert meaning_of(text.casefold(), diary) == LEAVE_OUT


@pytest.mark.parametrize(
    "text", ["30 re-capped, cured", "hum gone after the re-cap", "nach Elkotausch wieder gut"]
)
def test_a_re_cap_after_which_all_was_well_is_one(text):
    assert work_in_text(text) == "re-cap"


SAID = {
    "noticed at the morning line-up, pot worn, changed": ("replace", "pot"),
    "noticed at line-up": ("", ""),
    "changed the relay for one out of the scrap bin": ("replace", "relay"),
    "dry joints along the edge": ("re-solder", ""),
    "rail tants leaky x3": ("replace", "tant"),
    "all of them dry, changed 16 x 22uF/35": ("re-cap", ""),
    "changed 3 x 22uF/35": ("replace", "22u 35V"),
    "lamp flickers, DC on the pan pot, IC2 replaced": ("replace", "ic"),
    "hiss on the fader, Q3 noisy, renewed": ("replace", "transistor"),
    "both meter bulbs changed": ("replace", "bulb"),
    "bent jack, replaced": ("replace", "jack"),
}


def test_what_was_done_and_on_which_part_is_told_by_the_clause_of_the_work():
    lookups = [Lookup("Done", {}, known_as=name, otherwise="") for name in ("action", "part_type")]
    for text, told in SAID.items():
        assert tuple(meaning_of(text.casefold(), one) or "" for one in lookups) == told, text


SHORT_NOTES = """Date,Desk,Ch,Fault,Done
2/3/2026,Wren,3,hum,220u 16V replaced
3/3/2026,Wren,4,hum,"6 220u 16V, 8 fuse"
4/3/2026,Wren,5,thin,"C9, 22u 16V - recapped in 22, so 4 years"
5/3/2026,Wren,6,thin,220u. recapped in 2024!
6/3/2026,Wren,7,hum,"2 had a 220u 16V gone, rest fine after"
9/3/2026,Wren,8,hum,"22u at the output, both. works now"
10/3/2026,Wren,9,dead,"6 220u 16V, 9 not found"
11/3/2026,Wren,10,dead,10: fader worn. 11: no fault found
12/3/2026,Wren,11,dull,opamp 1458
13/3/2026,Wren,12,dull,"22u measured, nothing found"
16/3/2026,Wren,13,dull,"fader, nothing found"
17/3/2026,Wren,14,hum,recapped in 2026
"""


def test_short_notes_of_a_size_and_of_several_slots_tell_the_part_that_was_found(tmp_path):
    (tmp_path / "log.csv").write_text(SHORT_NOTES, encoding="utf-8")
    drafted(tmp_path)
    query = "select position::integer, action, part_type, quantity from repairs order by 1"
    assert rows(tmp_path, query) == [
        (3, "replace", "220u 16V", 1),
        (4, "replace", "220u 16V", 1),
        (5, "replace", "22u 16V", 1),
        (6, "replace", "220u capacitor", 1),
        (7, "replace", "220u 16V", 1),
        (8, "replace", "22u capacitor", 1),
        (9, "replace", "220u 16V", 1),
        (10, "replace", "fader", 1),
        (11, "replace", "opamp", 1),
        (12, "test", None, 1),
        (13, "test", None, 1),
        (14, "re-cap", None, 1),
    ]
    unfound = "select position from tickets where outcome = 'no fault found' order by 1"
    assert rows(tmp_path, unfound) == [("12",), ("13",)]
