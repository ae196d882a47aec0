"""Books as technicians keep them: their headings are placed at the first attempt, and none wrongly."""

import os
import subprocess
import sys
import tomllib
from functools import cache
from pathlib import Path

import pytest

from maintkit.records.headings import draft_mapping

HERE = Path(__file__).parent
BOOKS = sorted(path.parent.name for path in HERE.glob("*/expected.toml"))
FROZEN = [
    "english_spreadsheet",
    "form_export",
    "german_workbook",
    "one_list",
    "paper_log",
    "sheet_a_year",
]
# Measured honestly: each round is of books typed and frozen before they were tried, five at a time, and the figure is of the
# first attempt, before anything was changed for them. The drafter that knew whole phrases placed 18 of 86 columns of the
# first round (rundfunk_kartei, console_hospital, festival_crew, uni_formular, spares_room; 1 wrong). The one that weighs words
# and cells placed 59 of 79 (5 wrong) of the second (theater_vorfaelle, radio_tracker, casual_sheet, modul_lebenslauf,
# order_book), 61 of 79 (1 wrong) of the third (schiff_werft, night_desk, postproduction, musikschule, hire_firm), and 50 of 63
# (2 wrong) of the fourth (ob_van, cathedral, konservatorium, mobile_unit, tafelblatt). After each it was widened by principle.
# The fifth and sixth were typed together by one who had read the words known, so they flatter: 70 of 75 (1 wrong) of the
# fifth, ten books (chapel_duty, tonmeister_kladde, studio_form, pivot_count, schulheft, flt_abbrev, two_row_heads, einheiten,
# kerk_dutch, zwei_sprachen); after it was widened 26 of 37 (8 wrong, of which 3 were held to be right afterwards) of the
# sixth, which is stranger (diary_notes, valve_bench, funkhaus_export, salle_french, touring_rental); after it was widened 39
# of 48 (4 wrong) of the seventh (jugendhaus, broadcast_ops, fault_register, opernhaus, drawer_list). The eighth to eleventh
# were typed, each before the words were looked at again, and widened after each: 79 of 100 (1 wrong) of the eighth (job_cards,
# where_cell, jahresblatt, lagerliste, recap_diary, time_sheet, sheet_desks, db_dump), 57 of 85 (4 headings wrong) of the ninth
# (us_notebook, pannenliste, passports, helpdesk, kassetten, sunday_sheet, four_tabs, tauschbuch), 59 of 80 (10 headings wrong,
# 6 of one sheet taken for another table) of the tenth (shift_log, zwei_pulte, stores_print, studio_sheet, messbuch, invoices,
# modul_at, old_dbase), 47 of 55 (9 headings wrong, 7 of one sheet) of the eleventh (oops_log, hausdienst, recap_planner,
# lab_tables, freelancer, animals).
# The twelfth and thirteenth, twelve books each, were typed whole before any of them was tried, by one who had read the words
# known. Since a sheet must be of one table by a clear margin: 88 of 111 (2 headings wrong, of which 1 was held to be right
# afterwards) of the twelfth (two_columns, gast_techniker, church_form, side_by_side, pult_blaetter, serial_shop, dub_stage,
# notizzettel, abbrev_ship, orchestra_hall, stadthalle, swap_and_fix), where the drafter before placed 92 (8 wrong); after it
# was widened 90 of 126 (7 headings wrong, 4 of one sheet) of the thirteenth (zwei_spalten, hochschule_form, radio_house,
# kneipe, three_rooms, leiterplatten, caretaker, van_rig, bw_formblatt, old_hand, modulverwaltung, cap_man), where the drafter
# before both placed 83 (9 wrong).
# The fourteenth, twelve books again, was typed by one who had not seen the words nor the code: 174 of 243 (7 headings wrong;
# two slips of the expectations mended first: the time of day has a place, and of two lines of headings the lower counts) of
# cap_campaign, college_rooms, drama_snags, haus_buch, kap_messung, lyric_house, maengelkarte, playhouse_notes, regie_blatt,
# swap_cards, uewagen_lager, wo_export. What was missed was mostly whole sheets of one column too few.
# The fifteenth, ten books by another who had not seen the words nor the code either, was tried without a look at it while the
# fourteenth was mended: 228 of 260 (4 headings wrong) before that, 237 (3 wrong) after it. One sheet of parts_room is still
# of no table the drafter can tell.
# The sixteenth to twenty-first, 74 books in English and German by six others who had seen neither the words nor the code (sheets of
# what was proposed and agreed among them, which are never drafted): before anything was changed 229 of 312 (beat to wiktoria,
# 3 headings wrong), 222 of 300 (arts_center_forms to verleih_lager, 10), 247 of 291 (de_eineliste to us_trouble, 7), 117 of 197
# (alf to verleih, 11), 247 of 310 (birgit_theater to ulli_liste, 7), 227 of 272 (annegret_landesstudio to wiesner_funkhaus, 4).
# After the drafter was mended on the first four, the fifth had 266 (5 wrong); after that on the fifth too, the sixth, which
# nobody had looked into, had 250 of 272 (92 %, 1 wrong). Then it was mended on the sixth.
# The twenty-second, fourteen books typed whole by one who had seen neither the words nor the code (fault_repair_rows, lyric_season,
# regie_seiten and strip_swaps of them are kept): 77 of 90 (1 heading wrong), 89 of 90 (none) after it was mended. Its headings flatter:
# what was wrong lay below them, and in silence. The second year of a season went into the first, two desks of one cell became one, six
# capacitors were one, two reports struck out counted, ten reports of a log with repairs on rows of their own were not read at all.
SHORT = {  # books of which fewer are placed, none wrongly
    "alf": 16,
    "form_de": 14,
    "freelance_bench": 19,
    "funkhaus_schweiz": 25,
    "hire_jo": 18,
    "karo_zettel": 11,
    "marco": 13,
    "parts_room": 25,
    "rudi_kladde": 13,
    "sabine": 28,
    "schichtbuch": 9,
    "stores_ledger": 17,
    "ue_wagen": 39,
    "uni_studio": 16,
}
LEAST = 0.9  # share of the columns with a place that are to be placed; one may be missed in a small book


def source_of(name):
    """The workbook of a book, or its folder where it is of several files."""
    files = [path for path in (HERE / name).iterdir() if path.suffix != ".toml"]
    return files[0] if len(files) == 1 and files[0].suffix == ".xlsx" else HERE / name


def places_of(cell):
    """Sets of places of which one each must be there, and all that may be."""
    wanted = [cell] if isinstance(cell, str) else cell
    needed = [set(one.split(" | ")) for one in wanted if one and not one.startswith("?")]
    allowed = {place.lstrip("?") for one in wanted for place in one.split(" | ") if place}
    return needed, allowed


@cache
def compare(name):
    """How many columns have a place and how many got it, those missed, and every place that is wrong."""
    expected = tomllib.loads((HERE / name / "expected.toml").read_text(encoding="utf-8"))
    placed = draft_mapping(source_of(name)).placed
    have, got, missed, wrong = 0, 0, [], []
    for page, headings in expected.items():
        for heading, cell in headings.items():
            needed, allowed = places_of(cell)
            found = set(placed.get(page, {}).get(heading, ()))
            have += bool(needed)
            is_there = all(found & one for one in needed)
            got += bool(needed) and is_there
            missed += [] if is_there else [f"{page}: {heading}"]
            wrong += [f"{page}: {heading} as {place}" for place in sorted(found - allowed)]
    wrong += [f"{page} as a table" for page in placed if page not in expected]
    return have, got, missed, wrong


def test_the_six_books_are_those_that_were_frozen():
    assert set(FROZEN) <= set(BOOKS)
    assert sum(compare(name)[0] for name in FROZEN) == 111


@pytest.mark.parametrize("name", BOOKS)
def test_nothing_is_placed_wrongly_and_nine_in_ten_are_placed(name):
    have, got, missed, wrong = compare(name)
    print(f"{name}: {got} of {have} columns with a place are placed; missed: {', '.join(missed) or 'none'}")
    assert wrong == []
    assert got >= SHORT.get(name, have - max(1, (1 - LEAST) * have)), missed


def test_a_draft_is_the_same_whatever_order_a_set_has():
    """Words alike weighed as the set they stood in was walked, so one draft of these differed from run to run."""
    ask = "from maintkit.records.headings.likeness import likeness_of_column as near; "
    ask += "print([near(one, *of) for one in ('wie lange weg', 'off air') for of in (('tickets', 'minutes_lost'), ('repairs', 'bench_minutes'))])"
    told = {
        subprocess.run(
            [sys.executable, "-c", ask],
            env=os.environ | {"PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(told) == 1
