"""What stands under a heading against what the heading says: rooms that look like slots, work under Resolution, desks with a number."""

from maintkit.records.headings import draft_mapping
from maintkit.records.store import open_records

ROWS = (
    ("2024-01-10", "6", "crackle", "pot cleaned"),
    ("2024-01-13", "2", "lamp out", "lamp replaced"),
    ("2024-02-02", "14", "no output", "relay replaced, tested"),
    ("2024-02-15", "3", "noisy", "fader cleaned and lubed"),
    ("2024-03-07", "6", "crackles again", "new pot"),
    ("2024-03-29", "11", "intermittent", "dry joint resoldered"),
    ("2024-04-11", "9", "dead", "module reseated"),
    ("2024-04-30", "1", "hum", "no fault found, cable"),
    ("2024-05-16", "2", "meter sticks", "meter changed"),
    ("2024-06-01", "11", "cuts out", "track wired over"),
)
DESKS = (
    "Pellam 32",
    "Vosk 24",
    "Pellam 32",
    "Pellam 32",
    "Pellam 32",
    "Vosk 24",
    "Pellam 32",
    "Vosk 24",
    "Vosk 24",
    "Pellam 32",
)


def drafted(folder, headings, rows, name="log.csv"):
    lines = [",".join(headings), *(",".join(f'"{cell}"' for cell in row) for row in rows)]
    (folder / name).write_text("\n".join(lines), encoding="utf-8")
    return draft_mapping(folder)


def test_the_number_behind_a_desk_that_is_always_the_same_is_its_own(tmp_path):
    rows = [
        (day, desk, slot, heard, done) for (day, slot, heard, done), desk in zip(ROWS, DESKS, strict=True)
    ]
    placed = drafted(tmp_path, ("Date", "Desk", "Whereabouts", "They said", "I did"), rows).placed["log.csv"]
    assert placed["Desk"] == ("tickets.desk", "repairs.desk")
    assert placed["Whereabouts"] == ("tickets.position", "repairs.position")


def test_what_is_the_same_for_each_desk_is_its_room_and_the_summary_names_the_slot(tmp_path):
    rooms = {"Pellam 32": "St 4", "Vosk 24": "St 4A"}
    rows = [
        (day, rooms[desk], desk, f"Ch {slot} {heard}", done)
        for (day, slot, heard, done), desk in zip(ROWS, DESKS, strict=True)
    ]
    draft = drafted(tmp_path, ("Created", "Location", "Asset", "Summary", "Resolution"), rows)
    assert draft.placed["log.csv"]["Asset"] == ("tickets.desk", "repairs.desk")
    assert "Location" in draft.unplaced["log.csv"]
    assert 'words = { "ch #" = "ch #" }' in draft.text


def test_work_under_resolution_is_work(tmp_path):
    rows = [
        (day, desk, slot, heard, done) for (day, slot, heard, done), desk in zip(ROWS, DESKS, strict=True)
    ]
    placed = drafted(tmp_path, ("Created", "Asset", "Channel", "Summary", "Resolution"), rows).placed[
        "log.csv"
    ]
    assert placed["Resolution"] == ("repairs.action",)
    words = [*["fixed"] * 5, "open", *["fixed"] * 3, "no fault found"]
    rows = [(*row[:-1], word) for row, word in zip(rows, words, strict=True)]
    placed = drafted(tmp_path, ("Created", "Asset", "Channel", "Summary", "Resolution"), rows).placed[
        "log.csv"
    ]
    assert placed["Resolution"] == ("tickets.outcome",)


def test_letters_that_stand_for_complaints_are_no_desks(tmp_path):
    rows = [(day, slot, "FCNHDILBFC"[at], done) for at, (day, slot, _, done) in enumerate(ROWS)]
    placed = drafted(tmp_path, ("dt", "psn", "sym", "rem"), rows).placed["log.csv"]
    assert "desk" not in str(placed.get("sym", ""))


def test_sheets_of_their_own_headings_that_are_named_for_desks(tmp_path):
    drafted(tmp_path, ("Date", "Channel", "What was wrong", "What I did"), ROWS, "Corvayne 36.csv")
    rows = [(slot, day, heard, done) for day, slot, heard, done in ROWS]
    text = drafted(tmp_path, ("Strip", "Day", "Trouble", "Fix"), rows, "Corvayne 36B.csv").text
    assert (
        text.count('same = { desk = "Corvayne 36" }') == text.count('same = { desk = "Corvayne 36B" }') == 1
    )


def test_the_order_of_the_rows_tells_day_and_month_apart(tmp_path):
    days = [f"{day[8:]}/{day[5:7]}/{day[:4]}" if day[8:] < "13" else day for day, *_ in ROWS]
    rows = [(day, *row) for day, (_, *row) in zip(days, ROWS, strict=True)]
    text = drafted(tmp_path, ("Date", "Channel", "Fault", "Work"), rows).text
    assert 'date_format = "%d/%m/%Y"' in text and "in order only with the day first" in text


def test_a_fader_is_the_channel_of_its_number(tmp_path):
    rows = [
        (day, f"{'fader' if at == 6 else 'ch'} {slot} {heard}", done)
        for at, (day, slot, heard, done) in enumerate(ROWS)
    ]
    assert (
        'words = { "ch #" = "ch #", "fader #" = "ch #" }'
        in drafted(tmp_path, ("Date", "Fault", "Work"), rows).text
    )


def test_a_month_over_days_that_begin_with_the_weekday(tmp_path):
    rows = [
        ("SEPTEMBER 2023", "", "", ""),
        *ROWS[:4],
        ("OCTOBER", "", "", ""),
        *ROWS[4:7],
        ("JANUARY", "", "", ""),
        *ROWS[7:],
    ]
    days = iter(("Tue 5", "Wed 6", "Fri 8", "Sat 16", "Tue 3", "Wed 4", "Tue 10", "Mon 8", "Tue 9", "Fri 12"))
    rows = [row if not row[1] else (next(days), *row[1:]) for row in rows]
    draft = drafted(tmp_path, ("Date", "Channel", "Fault", "Work"), rows)
    (tmp_path / "mapping.toml").write_text(draft.text, encoding="utf-8")
    records = open_records(tmp_path)
    found = [
        str(day) for (day,) in records.connection.sql("select raised_on from tickets order by 1").fetchall()
    ]
    records.close()
    assert found == [
        *("2023-09-05", "2023-09-06", "2023-09-08", "2023-09-16", "2023-10-03", "2023-10-04", "2023-10-10"),
        *("2024-01-08", "2024-01-09", "2024-01-12"),
    ]


def test_what_is_seldom_named_among_desks_may_be_none_and_is_asked(tmp_path):
    others = {3: "Hybrid 1", 7: "Mic arm"}
    rows = [
        (day, others.get(at, DESKS[at]), slot, heard, done)
        for at, (day, slot, heard, done) in enumerate(ROWS)
    ]
    rows += [
        (day.replace("2024", "2025"), DESKS[at], slot, heard, done)
        for at, (day, slot, heard, done) in enumerate(ROWS)
    ]
    text = drafted(tmp_path, ("Date", "Asset", "Channel", "Fault", "Work"), rows).text
    asked = [line for line in text.splitlines() if line.startswith("# ? leave_out")]
    assert len(asked) == 2
    assert asked[0] == '# ? leave_out."Asset" = ["Hybrid 1", "Mic arm"]'
    (tmp_path / "mapping.toml").write_text(text.replace("# ? leave_out", "leave_out"), encoding="utf-8")
    records = open_records(tmp_path)
    counted = records.connection.sql("select desk, count(*) from tickets group by 1 order by 1").fetchall()
    counts = [(count.rows_in, count.kept, count.left_out) for count in records.report.files]
    records.close()
    assert counted == [("Pellam 32", 11), ("Vosk 24", 7)]
    assert counts == [(20, 18, 2), (20, 18, 2)]


def test_a_time_of_day_is_no_duration_and_a_month_may_have_more_to_say(tmp_path):
    rows = [
        ("DECEMBER - SHOWS", "", "", "", ""),
        *(
            (f"Sat {3 + at}", f"{18 + at % 4}.{at}5", heard, done, "10")
            for at, (_, _, heard, done) in enumerate(ROWS)
        ),
    ]
    draft = drafted(
        tmp_path, ("Date", "Time", "What happened", "Put right?", "mins"), rows, "nights 2023.csv"
    )
    placed = draft.placed["nights 2023.csv"]
    assert (placed["Date"][0], placed["Time"]) == ("tickets.raised_on", ("tickets.raised_at",))
    assert placed["Put right?"] == ("repairs.action",)


def test_a_diary_in_a_language_without_words_is_asked_about(tmp_path):
    days = ("12/02/2020", "3 mar 2020", "17/03/2020", "9/6/20", "13/10/2020")
    (tmp_path / "zeszyt.txt").write_text(
        "Zeszyt\n\n"
        + "\n".join(
            f"{day} - Tor {at}: brak dźwięku, karta włożona. {at}0 min"
            for at, day in enumerate(days, start=5)
        ),
        encoding="utf-8",
    )
    text = draft_mapping(tmp_path).text
    assert '# ? "Entry" = "symptom"' in text.splitlines()


def test_of_headings_in_a_language_without_words_desk_and_slot_are_told_by_their_cells(tmp_path):
    rows = [
        (f"S-{at:03}", day, f"Merwick {40 - 8 * (at % 3 == 0)}", heard)
        for at, (day, _, heard, _) in enumerate(ROWS, start=1)
    ]
    rows = [(one, day, desk, f"xo {heard} xe") for one, day, desk, heard in rows]
    text = drafted(tmp_path, ("Kode", "Dagen", "Tafelx", "Klagt"), rows).text
    assert '"Tafelx" = "desk"' in text
    assert '"Kode" = "position"' not in text
