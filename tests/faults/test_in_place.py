"""What is written takes the place of what was there whole or not at all, and nothing of anybody else's is lost."""

import os

import pytest

from maintkit.cli import main
from maintkit.errors import MaintkitError
from maintkit.in_place import put_in_place, write_new_file
from maintkit.report.sheets import file_names
from tests.faults.conftest import command


def writes(**files):
    """A function that writes these files, ``__`` in a name being the end of a folder's and ``_`` the point."""

    def write(place):
        for name, text in files.items():
            path = place / name.replace("__", "/").replace("_", ".")
            path.parent.mkdir(exist_ok=True)
            path.write_text(text)

    return write


def texts(folder):
    return {
        path.relative_to(folder).as_posix(): path.read_text()
        for path in folder.rglob("*")
        if path.is_file() and path.suffix != ".sha256"
    }


def test_what_an_earlier_call_wrote_goes_but_not_what_was_changed_since(tmp_path):
    assert put_in_place(tmp_path, "review", writes(a_csv="1", cards__b_csv="1", cards__c_csv="1")) == ()
    (tmp_path / "cards/c.csv").write_text("filled in")
    (tmp_path / "mine.txt").write_text("mine")
    assert put_in_place(tmp_path, "review", writes(a_csv="2")) == ()
    assert texts(tmp_path) == {"a.csv": "2", "cards/c.csv": "filled in", "mine.txt": "mine"}


def test_what_was_changed_or_is_not_ours_gets_another_name_where_ours_is_needed(tmp_path):
    (tmp_path / "a.csv").write_text("mine")
    assert put_in_place(tmp_path, "review", writes(a_csv="1", b_csv="1")) == ("a-kept-1.csv",)
    (tmp_path / "a.csv").write_text("changed")
    assert put_in_place(tmp_path, "review", writes(a_csv="2", b_csv="2")) == ("a-kept-2.csv",)
    assert put_in_place(tmp_path, "review", writes(a_csv="3", b_csv="3")) == ()
    assert texts(tmp_path) == {"a-kept-1.csv": "mine", "a-kept-2.csv": "changed", "a.csv": "3", "b.csv": "3"}


def test_two_kinds_of_output_in_one_folder_leave_each_other_alone(tmp_path):
    put_in_place(tmp_path, "review", writes(a_csv="1"))
    put_in_place(tmp_path, "check", writes(b_csv="1"))
    put_in_place(tmp_path, "check", writes(c_csv="2"))
    assert texts(tmp_path) == {"a.csv": "1", "c.csv": "2"}


def test_an_error_on_the_way_leaves_everything_as_it_was(tmp_path):
    def fails(place):
        writes(a_csv="2")(place)
        raise KeyboardInterrupt

    put_in_place(tmp_path / "out", "review", writes(a_csv="1"))
    for folder in ("out", "new"):
        with pytest.raises(KeyboardInterrupt):
            put_in_place(tmp_path / folder, "review", fails)
    assert texts(tmp_path) == {"out/a.csv": "1"}
    assert not (tmp_path / "new").exists() and len(list((tmp_path / "out").iterdir())) == 2


def test_links_in_the_folder_are_not_followed(tmp_path):
    other, out = tmp_path / "other", tmp_path / "out"
    other.mkdir()
    out.mkdir()
    (other / "precious.csv").write_text("precious")
    (out / "a.csv").symlink_to(other / "precious.csv")
    (out / "d.csv").symlink_to(other / "not there.csv")
    put_in_place(out, "review", writes(a_csv="1", d_csv="1"))
    assert texts(other) == {"precious.csv": "precious"}
    assert (out / "a.csv").read_text() == "1" and not (out / "a.csv").is_symlink()
    (out / "cards").symlink_to(other)
    with pytest.raises(
        MaintkitError, match=r"out/cards is a link, and files must go into a folder.*Nothing was written"
    ):
        put_in_place(out, "review", writes(a_csv="2", cards__precious_csv="2"))
    assert texts(other) == {"precious.csv": "precious"} and (out / "a.csv").read_text() == "1"


def test_a_list_from_a_stranger_takes_nothing_away_outside_the_folder(tmp_path):
    out, other = tmp_path / "out", tmp_path / "other"
    put_in_place(other, "review", writes(a_csv="precious"))
    put_in_place(out, "review", writes(a_csv="precious"))
    line = (other / "review.sha256").read_text()
    (out / "link").symlink_to(other)
    for name in ("../other/a.csv", f"{other}/a.csv", "link/a.csv"):
        (out / "review.sha256").write_text(line.replace("a.csv", name))
        put_in_place(out, "review", writes(b_csv="1"))
        assert (other / "a.csv").read_text() == "precious"


def test_a_new_file_is_whole_or_not_there_and_replaces_nothing(tmp_path):
    path = tmp_path / "book.xlsx"
    write_new_file(path, b"whole")
    with pytest.raises(FileExistsError):
        write_new_file(path, b"other")
    link = tmp_path / "link.xlsx"
    link.symlink_to(tmp_path / "not there")
    with pytest.raises(FileExistsError):
        write_new_file(link, b"other")
    assert path.read_bytes() == b"whole"
    assert sorted(one.name for one in tmp_path.iterdir()) == ["book.xlsx", "link.xlsx"]


def test_serials_that_make_one_file_name_get_two():
    assert file_names(["LMO/045", "LMO-045", "lmo 045", "x"]) == ["LMO-045", "LMO-045-2", "lmo-045-3", "x"]


@pytest.mark.parametrize("arguments", [("review", "--records"), ("check",)])
def test_nothing_is_written_among_the_records(book, arguments, tmp_path, capsys):
    before = {path.name: path.read_bytes() for path in book.iterdir()}
    link = tmp_path / "link"
    link.symlink_to(book)
    for out in (book, link):
        assert main([*arguments, str(book), "--out", str(out)]) == 1
        assert capsys.readouterr().err.splitlines()[-1] == (
            f"{out} holds the records, and what is written would lie among them. Nothing was written. Name another folder, such as "
            f"{out / 'review'}."
        )
    assert {path.name: path.read_bytes() for path in book.iterdir()} == before


def test_a_full_disk_leaves_the_old_report_whole(small_disk, book):
    out = small_disk / "out"
    assert main(["review", "--records", str(book), "--quarter", "2020Q2", "--out", str(out)]) == 0
    before = {path: path.read_bytes() for path in out.rglob("*") if path.is_file()}
    room = os.statvfs(small_disk)
    (small_disk / "other").write_bytes(b"0" * (room.f_bavail * room.f_frsize - 300_000))
    done = command("review", "--records", book, "--quarter", "2026Q3", "--out", out, folder=book.parent)
    assert done.returncode == 1 and "Traceback" not in done.stderr
    assert done.stderr.strip().splitlines()[-1] == (
        f"The review could not be written: {out}: No space left on device. Nothing that was recorded is lost. Free space, or set out "
        "to a folder you may write to, and write it again."
    )
    assert {path: path.read_bytes() for path in out.rglob("*") if path.is_file()} == before


def test_the_review_of_another_quarter_takes_the_place_of_the_older_one_and_keeps_what_was_filled_in(
    book, tmp_path
):
    out = tmp_path / "out"
    assert main(["review", "--records", str(book), "--quarter", "2020Q2", "--out", str(out)]) == 0
    cards = sorted(path.name for path in (out / "bench-cards").glob("*.xlsx"))
    filled = out / "bench-cards" / cards[0]
    filled.write_bytes(filled.read_bytes() + b"filled in")
    assert main(["review", "--records", str(book), "--quarter", "2026Q3", "--out", str(out)]) == 0
    listed = {line.split("  ")[1] for line in (out / "review.sha256").read_text().splitlines()}
    there = {path.relative_to(out).as_posix() for path in out.rglob("*") if path.is_file()}
    kept = {name for name in there - listed if name != "review.sha256"}
    assert len(kept) == 1 and (out / kept.pop()).read_bytes().endswith(b"filled in")


def test_the_demo_goes_into_an_empty_folder_alone(tmp_path, capsys):
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "notes.txt").write_text("mine")
    for place in (tmp_path / "mine", tmp_path / "mine" / "notes.txt"):
        assert main(["demo", str(place)]) == 1
        assert capsys.readouterr().err == (
            f"{place} is not empty, and what is in it would be mixed with the demo's records. Nothing was written. Name a new folder for "
            "the demo.\n"
        )
    assert texts(tmp_path / "mine") == {"notes.txt": "mine"}
    assert main(["demo", str(tmp_path / "new")]) == 0
    assert capsys.readouterr().out.startswith(f"The demo facility's records are in {tmp_path / 'new'}; ")
