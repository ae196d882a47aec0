"""Files damaged at random, from fixed seeds: no row is lost, none is turned away that is sound."""

import random

import pytest

HEADINGS = "ticket,raised_on,desk,position,symptom,minutes_lost,outcome"
# What is done to a sound row, and the column it must be turned away for; None keeps the row, a minus costs the cell alone.
DAMAGE = (
    (lambda cells: cells | {"raised_on": "2020-13-01"}, "raised_on"),
    (lambda cells: cells | {"raised_on": "01/02/2020"}, "raised_on"),
    (lambda cells: cells | {"raised_on": ""}, "raised_on"),
    (lambda cells: cells | {"raised_on": " 2020-02-29 "}, None),
    (lambda cells: cells | {"ticket": "  "}, "ticket"),
    (lambda cells: cells | {"ticket": "T0"}, "ticket"),
    (lambda cells: cells | {"desk": "Hern"}, "desk"),
    (lambda cells: cells | {"minutes_lost": "-0.5"}, "-minutes_lost"),
    (lambda cells: cells | {"minutes_lost": "1 000"}, "-minutes_lost"),
    (lambda cells: cells | {"minutes_lost": "1e2"}, "-minutes_lost"),
    (lambda cells: cells | {"outcome": "no fault"}, "-outcome"),
    (lambda cells: cells | {"outcome": "No Fault Found"}, None),
    (lambda cells: cells | {"symptom": '"two\nlines, ""quoted"""'}, None),
    (lambda cells: cells | {"symptom": "a,b"}, "(whole row)"),
    (lambda cells: cells | {"symptom": '"open'}, "(whole row)"),
    (lambda cells: cells | {"symptom": '5" pot'}, None),
    (lambda cells: cells | {"symptom": ""}, None),
)


SPLINTERS = ('"', '""', ",", '",', ',"', "\t", "'", ";", "\u202e", "-")


def sound_row(number):
    return {
        "ticket": f"T{number}",
        "raised_on": "2020-01-01",
        "desk": "Heron",
        "position": str(number),
        "symptom": "hum",
        "minutes_lost": "5",
        "outcome": "open",
    }


def damaged_file(seed):
    """Text of a tickets file, the (row, column) turned away, those that cost a cell, and the row numbers kept."""
    chance = random.Random(seed)
    lines, turned_away, lost, kept = [HEADINGS], set(), set(), set()
    for number in range(12):
        cells, column = sound_row(number), None
        if number and chance.random() < 0.5:
            change, column = chance.choice(DAMAGE)
            cells = change(cells)
        if chance.random() < 0.1:
            lines.append("")
        lines.append(",".join(cells.values()))
        if column and column[0] == "-":
            lost.add((len(lines), column[1:]))
            column = None
        (kept if column is None else turned_away).add(len(lines) if column is None else (len(lines), column))
    return "\n".join(lines) + "\n", turned_away, lost, kept


@pytest.mark.parametrize("seeds", [range(start, start + 25) for start in range(0, 100, 25)], ids=str)
def test_damaged_rows_and_no_others_are_turned_away(book, load, seeds):
    for seed in seeds:
        text, turned_away, lost, kept = damaged_file(seed)
        report, records = load(book(tickets=text))
        assert {(one.row, one.column) for one in report.turned_away} == turned_away, f"seed {seed}"
        assert {(one.row, one.column) for one in report.not_understood} == lost, f"seed {seed}"
        rows = {
            row for (row,) in records.execute("select source_row from tickets order by source_row").fetchall()
        }
        assert rows == kept, f"seed {seed}"
        assert report.rows_in == report.kept + len(report.turned_away)


@pytest.mark.parametrize("seeds", [range(start, start + 25) for start in range(1000, 1100, 25)], ids=str)
def test_lines_that_random_characters_did_not_touch_are_kept(book, load, seeds):
    for seed in seeds:
        chance = random.Random(seed)
        body = [",".join(sound_row(number).values()) for number in range(30)]
        hit = chance.sample(range(30), 3)
        for place in hit:
            spot = chance.randrange(len(body[place]))
            body[place] = body[place][:spot] + chance.choice(SPLINTERS) + body[place][spot:]
        report, records = load(book(tickets="\n".join([HEADINGS, *body, ""])))
        kept = {
            ticket for (ticket,) in records.execute("select ticket from tickets order by ticket").fetchall()
        }
        assert kept >= {f"T{number}" for number in range(30) if number not in hit}, f"seed {seed}"
        assert report.rows_in == report.kept + len(report.turned_away), f"seed {seed}"
