"""What is it this time, asked of the demo and of thin books: believed, complete, and never without an answer."""

import json

import pytest

from maintkit.ask import ask, now_of
from maintkit.decide.diagnose_score import rolling_score
from maintkit.errors import MaintkitError
from maintkit.quarter.causes import question_set
from maintkit.quarter.in_slot import place_of
from maintkit.quarter.slots import named_slots
from maintkit.questions.what_is_it import facts
from maintkit.report.templates import plain_text, told
from tests.demo import truth


@pytest.fixture(scope="module")
def demo(demo_quarter):
    return demo_quarter


def test_a_thin_sound_is_most_likely_the_old_coupling_capacitor(demo):
    found = facts(demo, "heron", "24", "thin sound, no bottom end")
    assert found.heard.symptom == "thin sound"
    assert (found.likely[0].name, found.likely[0].serial) == ("electrolytic 10u coupling monitor", "LMO-041")
    assert sum(one.odds for one in (*found.likely, found.rest)) == pytest.approx(1)
    assert found.checks[0].values.down_20 == pytest.approx(0.8 * found.checks[0].values.new)


def test_a_part_named_in_the_complaint_is_weighed_before_one_that_sounds_alike(demo):
    found = facts(demo, "Heron", "24", "Fader kratzt und setzt aus")
    assert found.heard.symptoms == ("drops out", "scratchy")
    assert {one.name for one in found.likely} == {"contact", "fader"}


def test_odds_come_with_counts_and_limits(demo):
    for one in facts(demo, "Heron", "24", "thin sound").likely:
        assert one.low <= one.odds <= one.high
        assert 0 <= one.count <= one.of


def test_past_questions_were_answered_better_than_by_frequencies(demo):
    score = rolling_score(question_set(demo).questions)
    assert score.questions > 500
    assert score.log_loss < score.log_loss_frequencies - 0.25
    assert score.first_three > 0.67
    assert all(abs(given - came) < 0.05 for given, came, number in score.bins if number >= 200)


@pytest.mark.parametrize("asked", ["25", "ch 25", "Ch25", "CH-25", "025"])
def test_a_slot_is_found_however_it_is_spelt(opened, least, asked):
    book = {
        **least,
        "tickets": [{"ticket": "T1", "raised_on": "2024-05-02", "desk": "Heron", "position": "Ch 25"}],
    }
    assert place_of(opened(**book), "heron ", asked) == ("Heron", "Ch 25")


@pytest.mark.parametrize("asked", ["ch 2", "Ch.02", "strip 2", "channel 2", "#2", "2?", " 2"])
def test_a_slot_that_is_a_bare_number_is_found_by_any_word_for_a_channel(opened, least, asked):
    slots = ("2", "3", "Grp 2")
    book = {
        **least,
        "tickets": [
            {"ticket": f"T{at}", "raised_on": "2024-05-02", "desk": "Heron", "position": slot}
            for at, slot in enumerate(slots)
        ],
    }
    assert place_of(opened(**book), "Heron", asked) == ("Heron", "2")


def test_desk_and_slot_are_found_by_their_spellings_in_the_mapping(tmp_path):
    (tmp_path / "tickets.csv").write_text(
        "ticket,raised_on,desk,position,symptom\nT1,2024-05-02,Rm A,Ch 25,hum\nT2,2024-05-09,Rm A,Grp 2,hum\n",
        encoding="utf-8",
    )
    told = '[spelling.desk]\nA = "Rm A"\n[spelling.position."Rm A"]\nred = "Grp 2"\n'
    (tmp_path / "mapping.toml").write_text(told, encoding="utf-8")
    assert ask("a", "25", records=tmp_path).splitlines()[0] == "Rm A Ch 25"
    assert ask("A", "red", records=tmp_path).splitlines()[0] == "Rm A Grp 2"


def test_a_code_of_desk_and_slot_stands_for_both_with_a_complaint_and_without(tmp_path):
    (tmp_path / "tickets.csv").write_text(
        "ticket,raised_on,desk,position,symptom\nT1,2024-05-02,QL-01,S025,hum\nT2,2024-05-09,QL-02,S025,hum\nT3,2024-05-09,QL-02,S7,dead\n",
        encoding="utf-8",
    )
    assert ask("QL-02-S025", "it hums", records=tmp_path).splitlines()[0] == 'QL-02 S025, "it hums"'
    assert ask("ql1s25", records=tmp_path).splitlines()[0] == "QL-01 S025"
    with pytest.raises(MaintkitError, match=r"^Slot: found 'S9'\. QL-02 has no slot of that name\."):
        ask("QL-02-S9", "dead", records=tmp_path)
    for other in ("QL-03-S025", "QL-029", "QL-02-S025"):
        with pytest.raises(MaintkitError, match=r"^Desk: found .* No desk of that name is on record\."):
            ask(other, "S025", "hums", records=tmp_path)


def test_a_serial_stands_for_its_slot_with_a_complaint_and_without(demo_store):
    by_serial = ask("lch-057", "thin sound", records=demo_store)
    assert by_serial == "\n".join(ask("Heron", "31", "thin sound", demo_store).splitlines())
    assert ask("LCH-057", records=demo_store).splitlines()[0] == "Heron 31"
    with pytest.raises(MaintkitError, match=r"^heron is a desk: give the slot too\.$"):
        ask("heron", records=demo_store)


def test_what_is_not_on_record_gets_the_nearest(demo):
    with pytest.raises(MaintkitError, match=r"^Desk: found 'Herron'\..*Heron"):
        facts(demo, "Herron", "25")
    with pytest.raises(
        MaintkitError, match=r"^Slot: found '99'\. Heron has no slot of that name\. Nearest: "
    ):
        facts(demo, "Heron", "99")


def test_a_thin_book_gives_counts_and_says_the_module_is_not_recorded(opened, least):
    found = facts(opened(**least), "Heron", least["tickets"][0].get("position") or "1", "crackle")
    assert found.method == "counts"
    assert all(one.odds is None for one in found.likely)


@pytest.mark.parametrize(
    "complaint",
    [
        "",
        "   ",
        "x" * 10_000,
        "\x00\x1b[31m red",
        "wurgle zzz",
        "ganz dünn, kein bass",
        "<script>alert(1)</script>",
    ],
)
def test_any_words_get_an_answer_in_eighty_columns(complaint, demo_store, tmp_path):
    said = ask("Heron", "25", complaint, demo_store, tmp_path)
    lines = said.split("\nPage to print:")[0].splitlines()
    assert max(map(len, lines)) <= 80
    page = next(tmp_path.glob("*.html")).read_text(encoding="utf-8")
    assert "<script>alert" not in page
    assert json.loads((tmp_path / "ask.json").read_text(encoding="utf-8"))["desk"] == "Heron"


def test_without_a_slot_it_says_what_is_open():
    said = ask(records=truth.DATA_DEMO)
    assert said.splitlines()[0].startswith("The bench on ")
    rows = truth.read_table("tickets")
    still = [
        row for row in rows if row["outcome"] == "open" and not row["restored_on"]
    ]  # service is not back
    assert f"Open        {len(still)}: " in said
    # done, refused or put off is not due; what was agreed is, by its module, until it is done
    decisions = truth.read_table("decisions")
    due = next(row for row in decisions if row["agreed"] == "agreed" and row["serial"] and not row["done_on"])
    assert f"late: re-cap {due['serial']} (agreed)" in said
    assert "(put off)" not in said and "(refused)" not in said
    assert max(map(len, said.splitlines())) <= 80


@pytest.mark.parametrize("said, held", [("hum", None), ("no bass, thin", 40)])
def test_work_holds_no_longer_than_to_the_same_complaint_that_is_open(opened, least, said, held):
    tickets = [
        ("T1", "2024-03-01", "thin sound", "fault found", "2024-03-01"),
        ("T2", "2024-05-02", said, "fault found", "2024-05-02"),
        ("T3", "2024-06-11", "sounds thin", "open", None),
    ]
    columns = ("ticket", "raised_on", "symptom", "outcome", "closed_on")
    rows = [dict(zip(columns, one, strict=True), desk="Heron", position="25") for one in tickets]
    found = facts(opened(**{**least, "tickets": rows}), "Heron", "25", "thin sound")
    assert [(one.complaint, one.held_days) for one in found.before] == [(said, held), ("thin sound", 62)]


def _diary(*entries):
    """Tickets and work of one slot of a diary, in which a text is both complaint and finding; each a day, the text and the work."""
    place = {"desk": "Heron", "position": "25"}
    tickets = [
        {"ticket": f"T{number}", "raised_on": day, "symptom": text, **place}
        for number, (day, text, _) in enumerate(entries)
    ]
    work = [
        {
            "repair": f"T{number}",
            "ticket": f"T{number}",
            "done_on": day,
            "finding": text,
            "action": action,
            **place,
        }
        for number, (day, text, action) in enumerate(entries)
        if action
    ]
    return {"tickets": tickets, "repairs": work}


@pytest.mark.parametrize("came, held", [("25 again", 5), ("25 crackles", 5), ("25 hums", None), (None, None)])
def test_work_holds_no_longer_than_to_an_open_report_that_names_no_other_complaint(opened, least, came, held):
    entries = [("2024-03-01", "25 crackle, cleaned", "clean"), ("2024-03-06", came, None)]
    found = facts(opened(**{**least, **_diary(*entries[: 2 if came else 1])}), "Heron", "25", "crackle")
    assert [one.held_days for one in found.before] == [held]


def test_a_finding_that_says_it_cured_nothing_is_not_held_and_one_that_is_the_complaint_is_told_once(
    opened, least
):
    book = opened(
        **{**least, **_diary(("2024-03-01", "25 cuts out three times. reseated, no good", "clean"))}
    )
    [one] = facts(book, "Heron", "25", "drops out").before
    assert (one.in_vain, one.is_quiet_since) == (True, True)
    told_before = told("what_is_it", facts(book, "Heron", "25"), paragraphs=("before",))["before"]
    assert "Held" not in told_before and told_before.count("reseated") == 1


def test_what_did_not_hold_here_is_not_the_first_to_check(opened, least):
    elsewhere = [
        {
            "ticket": f"E{number}",
            "raised_on": f"2024-0{number}-02",
            "symptom": "crackle",
            "desk": "Heron",
            "position": str(number),
        }
        for number in range(1, 6)
    ]
    actions = dict.fromkeys(("E1", "E2", "E3"), "clean") | {"E4": "re-solder"}
    work = [
        {"repair": f"R{name}", "ticket": name, "done_on": "2024-06-02", "action": action, "desk": "Heron"}
        for name, action in actions.items()
    ]
    own = _diary(("2024-03-01", "25 crackle, cleaned", "clean"), ("2024-03-06", "25 back as promised", None))
    book = {**least, "tickets": elsewhere + own["tickets"], "repairs": work + own["repairs"]}
    here, there = (
        [(one.name, one.tried) for one in facts(opened(**book), "Heron", slot, "crackle").checks]
        for slot in ("25", "3")
    )
    assert here == [("joint", 0), ("contact", 1)]
    assert there == [("contact", 0), ("joint", 0)]


def swapped_at(opened, days, *, last="dead"):
    """Slot 1 of 30, whose module was swapped on each of the days for a complaint, the last of them for another, perhaps."""
    slots = [str(number) for number in range(1, 31)]
    times = range(len(days))
    stays = [(f"M{slot}", slot, "2024-01-01", None) for slot in slots[1:]]
    stays += zip(
        (f"S{at}" for at in range(len(days) + 1)),
        ["1"] * 99,
        ["2024-01-01", *days],
        [*days, None],
        strict=False,
    )
    return opened(
        desks=[{"desk": "Tern", "family": "f", "coupling": "dc", "records_from": "2024-01-01"}],
        modules=[{"serial": serial, "family": "f", "module_type": "channel"} for serial, *_ in stays],
        fitments=[
            {"serial": serial, "desk": "Tern", "position": slot, "fitted_on": on, "removed_on": off}
            for serial, slot, on, off in stays
        ],
        tickets=[
            {"ticket": f"T{at}", "raised_on": on, "desk": "Tern", "position": "1", "outcome": "fault found"}
            | {"symptom": "dead" if at < len(days) - 1 else last, "closed_on": on}
            for at, on in enumerate(days)
        ],
        repairs=[
            {"repair": f"R{at}", "done_on": days[at], "ticket": f"T{at}", "serial": f"S{at}"}
            | {"action": "swap module", "cause": "unknown"}
            for at in times
        ],
    )


DAYS = ["2024-03-01", "2024-04-10", "2024-05-01", "2024-06-01", "2024-07-01", "2024-09-28"]


@pytest.mark.parametrize(("last", "held"), [("dead", 20), ("hum", None)])
def test_a_swap_held_no_longer_than_until_the_slot_had_the_same_complaint_again(opened, last, held):
    found = facts(swapped_at(opened, ["2024-03-01", "2024-03-21"], last=last), "Tern", "1")
    assert [one.held_days for one in found.before] == [None, held]


def test_a_complaint_that_stays_with_the_slot_is_looked_for_there_whatever_the_odds(opened):
    book = swapped_at(opened, DAYS)
    found = facts(book, "Tern", "1", "dead")
    assert found.slot_first.name == "Tern 1" and found.likely
    said = told("what_is_it", found)
    stayed = "6 faults of this sort stayed with it whatever module sat there. If it is the module"
    assert plain_text(said["short"]).startswith(
        f"Look at the slot first, its connector, wiring and rail: {stayed}, most often it was "
    )
    assert plain_text(said["likely"]).startswith(f"The slot: {stayed}:")
    assert facts(book, "Tern", "1", "hum").slot_first is None
    assert facts(book, "Tern", "2", "dead").slot_first is None


def test_faults_that_work_alone_tells_of_stand_among_those_before(opened, least):
    work = {"repair": "R1", "done_on": "2024-05-02", "desk": "Heron", "position": "25", "action": "replace"}
    tickets = [{"ticket": "T1", "raised_on": "2024-07-02", "desk": "Heron", "position": "3"}]
    book = {**least, "tickets": tickets, "repairs": [{**work, "part_type": "fuse", "planned": "no"}]}
    found = facts(opened(**book), "Heron", "25")
    assert sum(one.faults for one in found.here) == len(found.before) == 1
    assert (found.before[0].complaint, found.before[0].done) == (None, "replace fuse")


def test_a_run_that_moves_with_a_module_is_told_where_it_sits_now(demo, demo_store):
    [run] = facts(demo, "Curlew", "20", "drops out").runs
    assert (run.name, run.follows) == ("SCH-012", True)
    said = " ".join(ask("Curlew", "20", "drops out", records=demo_store).split())
    assert "7 faults of one sort here (drops out) since April 2023 moved with SCH-012" in said
    assert facts(demo, "Curlew", "21").runs == ()


def mended(least, parts: dict, **more):
    """A book of one hum a month at slot 1, each mended with the next of these parts; ``parts`` gives the kind of each."""
    names = list(parts)
    days = [f"2024-{month:02}-02" for month in range(1, len(names) + 1)]
    tickets = [
        {"ticket": f"T{at}", "raised_on": day, "desk": "Heron", "position": "1", "symptom": "hum"}
        for at, day in enumerate(days)
    ]
    repairs = [
        {
            "repair": f"R{at}",
            "done_on": day,
            "ticket": f"T{at}",
            "action": "replace",
            "part_type": name.strip(),
        }
        for at, (day, name) in enumerate(zip(days, names, strict=True))
    ]
    kinds = {name.strip(): kind for name, kind in parts.items()}
    types = [{"part_type": name, "kind": kind} for name, kind in kinds.items()]
    return {**least, "tickets": tickets, "repairs": repairs, "part_types": types, **more}


def test_parts_of_one_kind_are_one_cause_whatever_they_are_called(opened, least):
    """Two electrolytics by two names are one cause; the one relay keeps its name, and so does what a parts list has."""
    parts = {"elko": "electrolytic", "can cap": "electrolytic", "elko ": "electrolytic", "24V relay": "relay"}
    found = facts(opened(**mended(least, parts)), "Heron", "1", "hum")
    assert [(one.name, one.count) for one in found.likely] == [("electrolytic", 3), ("24V relay", 1)]
    assert found.likely[0].names == ("elko", "can cap")
    assert "electrolytic (elko and can cap)" in plain_text(told("what_is_it", found)["title"])
    listed = [{"module_type": "channel", "part_type": name, "quantity": 1} for name in ("elko", "can cap")]
    found = facts(opened(**mended(least, parts, parts_list=listed)), "Heron", "1", "hum")
    assert {one.name for one in found.likely} == {"elko", "can cap", "24V relay"}


def test_what_was_done_here_for_the_same_complaint_is_told_together(opened, least):
    parts = {"opamp": "ic", "opamp ": "ic", "regulator": "other"}
    found = facts(opened(**mended(least, parts)), "Heron", "1", "hum")
    same = found.same_here
    assert (same.times, same.last, str(same.on)) == (3, "replace regulator", "2024-03-02")
    assert [(one.name, one.times) for one in same.earlier] == [("replace opamp", 2)]
    said = plain_text(told("what_is_it", found, paragraphs=("look",))["look"])
    assert (
        "for this complaint 3 times: last replace regulator, March 2024; before that replace opamp (2 times)"
        in said
    )
    assert facts(opened(**mended(least, parts)), "Heron", "1", "crackle").same_here is None


def test_a_supply_and_a_desk_as_a_whole_are_no_channel_modules(opened, least):
    """Hum is the listed capacitor in channels, and what was mended in the supply there; none works on all channels first."""
    places = [*(str(at) for at in range(1, 9)), "PSU", "PSU", "all"]
    book = mended(least, {f"cap{' ' * at}": "electrolytic" for at in range(len(places))})
    for at, (ticket, work) in enumerate(zip(book["tickets"], book["repairs"], strict=True)):
        ticket["position"] = places[at]
        work["part_type"] = "cap" if places[at] != "PSU" else "reservoir"
    book["part_types"] = [{"part_type": name, "kind": "electrolytic"} for name in ("cap", "reservoir")]
    book["parts_list"] = [
        {"family": "longshore", "module_type": "channel", "part_type": "cap", "quantity": 14}
    ]
    quarter = opened(
        "2024Q4", **book, stock=[{"part_type": "reservoir", "on_hand": 2, "counted_on": "2024-06-01"}]
    )
    supply, channel = (facts(quarter, "Heron", slot, "hum") for slot in ("PSU", "3"))
    assert [one.here[0].module_type for one in (supply, channel)] == ["supply", "channel"]
    assert supply.likely[0].name == "reservoir" and channel.likely[0].name == "cap"
    assert "cap" not in {one.name for one in supply.likely}
    assert [(one.part_type, one.in_stock) for one in supply.parts] == [("reservoir", 2)]
    assert (supply.same_here.times, supply.same_here.last) == (2, "replace reservoir")
    roster = quarter.evidence.roster.set_index("position")["module_type"]
    assert roster["1"] == "channel" and roster["PSU"] == "supply" and roster.isna()["all"]
    assert {*named_slots(quarter.slots)["position"]} == {*places} - {"all"}


def test_odds_follow_the_ages_of_parts_where_no_module_is_recorded_or_say_that_none_is_known(opened, least):
    """Thirty hums were a capacitor and thirty a relay, in slots of which no module is on record; slot 1 was re-capped last month."""
    parts = {
        f"{'cap' if at % 2 else 'relay'}{' ' * at}": "electrolytic" if at % 2 else "relay" for at in range(60)
    }
    book = mended(least, {name: parts[name] for name in list(parts)[:12]})
    for table in ("tickets", "repairs"):
        day = "raised_on" if table == "tickets" else "done_on"
        book[table] = [
            {**row, **{key: f"{row[key]}{again}" for key in ("ticket", "repair") if key in row}}
            | {day: row[day].replace("2024", str(2019 + again))}
            | ({"position": str(again + 3)} if table == "tickets" else {})
            for again in range(5)
            for row in book[table]
        ]
    book["desks"] = [{**desk, "records_from": "2018-01-01"} for desk in least["desks"]]
    for slot, day in (("1", "2024-08-20"), ("2", "2018-02-01")):
        work = {
            "repair": f"N{slot}",
            "done_on": day,
            "desk": "Heron",
            "position": slot,
            "action": "re-cap",
            "planned": "yes",
        }
        book["repairs"].append(work)
    listed = [
        {"family": "longshore", "module_type": "channel", "part_type": name, "quantity": 1}
        for name in ("cap", "relay")
    ]
    quarter = opened("2024Q3", **book, parts_list=listed)
    young, old = (facts(quarter, "Heron", slot, "hum") for slot in "12")
    assert young.aged and old.aged
    odds = [next(one.odds for one in found.likely if one.name == "cap") for found in (young, old)]
    assert odds[0] < odds[1] - 0.1
    unlisted = facts(opened("2024Q3", **book), "Heron", "1", "hum")
    assert not unlisted.aged
    assert "ages of the parts" not in plain_text(
        told("what_is_it", unlisted, paragraphs=("likely",))["likely"]
    )


def test_a_report_that_was_closed_without_a_word_of_what_it_was_is_not_called_open(tmp_path):
    (tmp_path / "tickets.csv").write_text(
        "ticket,raised_on,closed_on,desk,position,symptom,outcome\n"
        "T1,2024-02-01,2024-02-02,Heron,25,crackle,fault found\nT2,2024-05-02,2024-05-04,Heron,25,distorts,\n"
        "T3,2024-06-11,,Heron,25,hum,\n",
        encoding="utf-8",
    )
    said = ask("Heron", "25", records=tmp_path)
    assert "Closed, and what it was is not on record: distorts (T2, 2 May 2024)." in said
    assert "Still open: hum (T3" in said and "Still open: distorts" not in said


BOOK = {
    "tickets": "ticket,raised_on,desk,position,symptom,outcome\n"
    "T1,2024-01-10,Heron,7,7 no pfx,fault found\nT2,2024-03-10,Heron,7,pfx again,fault found\n"
    "T3,2024-05-10,Heron,7,crackle,fault found\nT4,2024-06-10,Heron,8,crackle,fault found\n",
    "repairs": "repair,done_on,ticket,action,part_type,notes\n"
    "R1,2024-01-11,T1,replace,,socket pins bent\nR2,2024-03-11,T2,other work,,pins in the frame tightened\n"
    "R3,2024-05-11,T3,clean,fader,\nR4,2024-06-11,T4,clean,fader,\n",
}


@pytest.mark.parametrize(
    ("slot", "complaint", "told"),
    [
        ("7", "no pfx at all", (2, "pins in the frame tightened", ["socket pins bent"])),
        ("7", "odd", (3, "clean fader", ["pins in the frame tightened", "socket pins bent"])),
        ("8", "odd", (1, "clean fader", [])),
        ("7", "crackle", None),
    ],
)
def test_what_was_done_here_is_told_whatever_the_vocabulary_knows_of_the_complaint(
    tmp_path, slot, complaint, told
):
    for name, text in BOOK.items():
        (tmp_path / f"{name}.csv").write_text(text)
    quarter, _ = now_of(tmp_path)
    found = facts(quarter, "Heron", slot, complaint)
    same = found.same_here
    assert told == (same and (same.times, same.last, [one.name for one in same.earlier]))
    assert found.of_such == (complaint == "crackle")
    quarter.records.close()
