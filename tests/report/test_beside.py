import pytest
from openpyxl import load_workbook

from maintkit.report.bench_book import write_bench_book
from maintkit.report.beside import written_beside
from tests.report.test_bench_book import blanks


@pytest.mark.parametrize("many", [False, True])
def test_a_workbook_is_there_when_the_block_is_left(many, tmp_path):
    paths = [tmp_path / "one.xlsx", tmp_path / "two.xlsx"]
    with written_beside(many) as write:
        for path in paths:
            write(write_bench_book, path, {"repairs": blanks()}, kinds=("clean",))
    one, two = ({sheet.title: [*sheet.values] for sheet in load_workbook(path)} for path in paths)
    assert one == two and one


@pytest.mark.parametrize("many", [False, True])
def test_what_cannot_be_written_is_raised_here(many, tmp_path):
    path = tmp_path / "no such folder" / "one.xlsx"
    with pytest.raises(FileNotFoundError) as raised, written_beside(many) as write:
        write(write_bench_book, path, {"repairs": blanks()})
    assert raised.value.filename == str(path)


def test_what_goes_wrong_here_ends_the_other_process_too():
    with pytest.raises(ZeroDivisionError), written_beside(True) as write:
        write(print, 1 / 0)
