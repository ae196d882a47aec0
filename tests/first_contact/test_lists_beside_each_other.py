"""Two lists on one sheet, apart by a blank column, each with headings of its own, below titles and notes."""

from tests.first_contact.as_drafted import rows
from tests.first_contact.test_shapes_of_books import loaded, workbook

GAP = [None]
SAID = ("", "2 tracks lifted", "made by another hand", "", "pots cleaned too", "")
RECAPS = [
    (slot, f"2015-06-{slot + 10}", 3.2, "o/c", 0.1, 0.2, 16.1, -16.0, said)
    for slot, said in zip((1, 2, 3, 4, 6, 7), SAID, strict=True)
]
NOT_DONE = (5, *[None] * 7, "not done")
SNAGS = [
    ("2016-02-08", 3, "clicks", "IC3 replaced", "Ada"),
    ("2016-03-03", "ch2", "low on +16", "R2 gone high, replaced", "me"),
    ("2016-04-01", 2, "clicks", "nothing found", "me"),
    ("2016-04-21", 7, "dead after recap", "dry joint reflowed", "me"),
    ("2016-05-02", 6, "eq noisy", "IC4 changed", "me"),
    ("2016-05-20", 6, "insert crackles", "jack cleaned", "Ada"),
    ("2016-07-19", "PSU", "hum on phones", "reservoir replaced", "Ada"),
]


def test_a_recap_of_every_channel_and_the_snags_since(tmp_path):
    sheet = [
        ["Recap 2015", *[None] * 9, "Snags since recap"],
        ["Ohms at 100 kHz, rails on the pins"],
        [None, None, "ESR old", None, "ESR new", None, "rails"],
        [
            "ch",
            "date",
            "C4",
            "C11",
            "C4",
            "C11",
            "+16",
            "-16",
            "remarks",
            None,
            "date",
            "ch",
            "snag",
            "cure",
            "who",
        ],
    ]
    recaps = [*RECAPS[:4], NOT_DONE, *RECAPS[4:], (None,) * 9]
    sheet += [[*one, *GAP, *other] for one, other in zip(recaps, [GAP * 5, *SNAGS], strict=True)]
    volts = [
        ("date", "+16", "-16", "what"),
        ("2015-06-01", 16, -16, "before"),
        ("2016-06-01", 15.9, -16, "yearly"),
    ]
    workbook(tmp_path, "book.xlsx", RECAP=sheet, PSU=[*volts, ("2017-06-01", 16.1, -15.9, "yearly")])
    draft, found, work = loaded(
        tmp_path,
        "select raised_on::text, position, symptom from tickets order by 1 limit 3",
        "select action, count(*) from repairs group by 1 order by 1",
    )
    assert "so they are not read: PSU." in draft
    assert found == [
        ("2016-02-08", "3", "clicks"),
        ("2016-03-03", "2", "low on +16"),
        ("2016-04-01", "2", "clicks"),
    ]
    assert work == [("clean", 1), ("re-cap", 6), ("re-solder", 1), ("replace", 4), ("test", 1)]
    assert rows(tmp_path, "select count(*) from tickets") == [(7,)]


def test_a_list_in_doubt_beside_one_of_faults_lends_it_no_slots(tmp_path):
    left = ["Ch", "serial", "2nd round", "audio caps", "PSU decoupl.", "aligned", "back in", "notes"]
    done = [
        (at, f"S{120 - at}", "?" if at == 5 else f"{('Mar', 'Apr', 'May', 'Jun')[at // 2 % 4]} 2017", f"2024-1{at // 8}-2{at % 5}", "✓", "✓", f"2024-1{at // 8}-2{at % 5 + 2}", "pads lifting" if at == 3 else "")
        for at in range(1, 9)
    ]  # fmt: skip
    faults = [
        (
            f"{at + 4}.{at % 9 + 1}.25",
            ("Heron", "Wren")[at % 2],
            at + 20,
            ("no sound", "crackly", "hum", "mute LED dead")[at % 4],
            ("yes", "C9", "cleaned")[at % 3],
        )
        for at in range(12)
    ]
    rows_below = zip([*done, *[(None,) * 8] * 4], faults, strict=True)
    sheet = [
        ["Re-cap, 3rd time round"],
        [*left, None, "when", "desk", "ch.", "what", "fixed?"],
        *([*one, *GAP, *other] for one, other in rows_below),
    ]
    workbook(tmp_path, "book.xlsx", Heron=sheet)
    _, found = loaded(tmp_path, "select desk, position from tickets")
    assert sorted(int(slot) for _, slot in found) == [*range(20, 32)]
    assert {desk for desk, _ in found} == {"Heron", "Wren"}
