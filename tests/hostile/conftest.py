"""A record book whose every free word would like to act: as markup, script, query, formula, control code or by sheer length."""

import csv
import random
from datetime import date, timedelta

import pytest

MARKUP = (
    "<script>document.title='taken'</script><img src=x onerror=\"document.title='taken'\"><b>bold</b>&amp;"
)
QUERY = "'; drop table tickets; --"
FORMULA = '=HYPERLINK("http://127.0.0.1:9/"&A1,"x")'
COMMAND = "@SUM(1+1)*cmd|' /C calc'!A0"
CONTROL = "\x1b[31mred\x1b[0m\x07\u202egnp.exe\u200b"
LONG = "endless" * 2000
TEMPLATE = "%{x}<extra></extra> $\\alpha$ {{7*7}} ${7*7} [link](javascript:alert(1))"
DESKS = (f"Heron {MARKUP}", f"+Curlew {QUERY} {CONTROL}")
SLOTS = (f"1 {FORMULA}", f"2 {MARKUP}", f"-3 {COMMAND}", f"4 {TEMPLATE}")
SYMPTOMS = (
    MARKUP,
    QUERY,
    FORMULA,
    COMMAND,
    CONTROL,
    LONG,
    TEMPLATE,
    "\r\n\tcrackle",
    "</script><script>document.title='taken'</script>",
)


def hostile_rows():
    """The tables as rows of text."""
    chance = random.Random(3)
    kinds = (f"chan {MARKUP}", f"=mon {QUERY}")
    desks = [
        [desk, f"family {MARKUP} {number}", coupling, "2022-01-01"]
        for number, (desk, coupling) in enumerate(zip(DESKS, ("capacitor", "dc"), strict=True))
    ]
    slots = [(desk, slot) for desk in DESKS for slot in SLOTS]
    serials = [f"@S{number} {MARKUP if number % 2 else CONTROL}" for number in range(len(slots))]
    parts = [f"=elco {MARKUP}", f"sw {QUERY}"]
    tickets, repairs = [], []
    for number in range(160):
        place = chance.randrange(len(slots)) if number % 3 else 0
        day = date(2022, 1, 3) + timedelta(days=number * 10)
        tickets.append(
            [
                f"=T{number}",
                day,
                slots[place][0],
                slots[place][1],
                SYMPTOMS[number % len(SYMPTOMS)],
                "worked round",
                10,
                "fault found",
                day + timedelta(days=2),
            ]
        )
        repairs.append(
            [
                f"@R{number}",
                day + timedelta(days=1),
                serials[place],
                f"=T{number}",
                "replace",
                parts[number % 2],
                SYMPTOMS[-number % 9],
                "confirmed" if number % 4 else "unknown",
                "no",
            ]
        )
    return {
        "desks": [["desk", "family", "coupling", "records_from"], *desks],
        "positions": [
            ["desk", "position", "bay", "zone"],
            *([*slot, f"<u>bay</u> {QUERY}", f"=zone {number % 2}"] for number, slot in enumerate(slots)),
        ],
        "modules": [
            ["serial", "family", "module_type", "made_on"],
            *(
                [serial, desks[number // 4][1], kinds[number // 4], "2015-01-01"]
                for number, serial in enumerate(serials)
            ),
        ],
        "fitments": [
            ["serial", "desk", "position", "fitted_on"],
            *([serial, *slot, "2015-02-01"] for serial, slot in zip(serials, slots, strict=True)),
        ],
        "part_types": [["part_type", "kind"], [parts[0], "electrolytic"], [parts[1], "switch"]],
        "parts_list": [
            ["family", "module_type", "part_type", "quantity"],
            *([desks[n][1], kinds[n], part, 10] for n in (0, 1) for part in parts),
        ],
        "tickets": [
            [
                "ticket",
                "raised_on",
                "desk",
                "position",
                "symptom",
                "impact",
                "minutes_lost",
                "outcome",
                "closed_on",
            ],
            *tickets,
            [f"T bad {CONTROL}", "2022-02-31", MARKUP, "", "", "", "", "", ""],
        ],
        "repairs": [
            ["repair", "done_on", "serial", "ticket", "action", "part_type", "finding", "cause", "planned"],
            *repairs,
            [
                "R last",
                "2026-06-29",
                f"serial {CONTROL} {MARKUP}",
                "no such \x1b]0;taken\x07 ticket",
                "clean",
                "",
                LONG,
                "suspected",
                "no",
            ],
        ],
    }


@pytest.fixture(scope="session")
def hostile_book(tmp_path_factory):
    """The folder of CSV files."""
    folder = tmp_path_factory.mktemp("hostile") / "book <b> 'x' \u202e=1+1"
    folder.mkdir()
    for name, rows in hostile_rows().items():
        with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows(rows)
    return folder


@pytest.fixture(scope="session")
def review(hostile_book):
    """The whole review of it."""
    from maintkit import open_quarter, quarterly_review

    return quarterly_review(open_quarter(hostile_book, "2026Q1"))


@pytest.fixture(scope="session")
def written(review, tmp_path_factory):
    """The folder the review was written to."""
    from maintkit import write_review

    return write_review(review, tmp_path_factory.mktemp("out")).folder
