"""Serials of letters and a number that differ in case, marks, blanks and leading zeros alone: one module, but where two stand on one day."""

from maintkit.quarter.quarter import Quarter
from maintkit.questions.names import facts as names
from maintkit.records.store import open_records

from .as_drafted import drafted, rows

HEADINGS = "Done on;Module no;Desk;Slot;Fault found;Work done"
SERIALS = ("K-014", "K014", "K-031", "k 014", "K14", "K-031", "L-02", "K31", "L-02", "K-007")


def bench(folder, serials, more=""):
    lines = [
        f"{day + 1:02d}.03.2026;{serial};Heron;{int(''.join(filter(str.isdigit, serial)))};dead;op amp replaced"
        for day, serial in enumerate(serials)
    ]
    text = "\n".join(filter(None, [HEADINGS, *lines, more])) + "\n"
    (folder / "bench.csv").write_text(text, encoding="utf-8")


def serials_in(folder):
    return rows(folder, "select serial, count(*) from repairs group by all order by all")


def test_they_are_one_by_the_commonest_writing(tmp_path):
    bench(tmp_path, SERIALS)
    drafted(tmp_path)
    assert serials_in(tmp_path) == [("K-007", 1), ("K-014", 4), ("K-031", 3), ("L-02", 2)]


def test_where_two_so_alike_stand_on_one_day_none_of_their_letters_are_joined(tmp_path):
    bench(tmp_path, SERIALS, "01.03.2026;K14;Heron;15;hums;op amp replaced")
    draft = drafted(tmp_path)
    assert "[spelling.serial]" not in draft
    assert len(serials_in(tmp_path)) == 7
    found = names(Quarter(open_records(tmp_path), "2026Q1"))
    assert found.table["taken_as_one"].tolist() == ["no"] * 3 + ["yes"]


def test_two_so_alike_in_one_list_of_modules_are_two(tmp_path):
    bench(tmp_path, SERIALS)
    modules = ["Serial;Desk;Slot", "K-014;Heron;14", "K14;Heron;15", "K-031;Heron;31", "L-02;Heron;2"]
    (tmp_path / "modules.csv").write_text("\n".join(modules) + "\n", encoding="utf-8")
    assert "[spelling.serial]" not in drafted(tmp_path)
