"""Rows of CSV files know their row in the sheet, and one stray quote costs one row."""

import pytest

from maintkit.records.errors import TurnedAway
from maintkit.records.sheets import Dialect, Sheet, batches, encoding_fault, read_header

REMEDY = (
    "Put a cell that holds the delimiter or a quote in quotes, count the cells, and load the file again; "
    "the other rows are in."
)


@pytest.fixture
def read(tmp_path):
    def run(text, dialect=Dialect()):
        path = tmp_path / "tickets.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        sheet = Sheet(path, dialect)
        read_in = list(batches(sheet, read_header(sheet)))
        rows = [
            (number, *row) for batch in read_in for number, row in zip(batch.numbers, batch.rows, strict=True)
        ]
        return (
            rows,
            [one for batch in read_in for one in batch.turned_away],
            sum(batch.blank_rows for batch in read_in),
        )

    return run


def test_the_heading_is_row_1_and_blank_lines_take_a_row(read):
    rows, turned_away, blank = read("a,b\n1,2\n\n , \n3,4\n")
    assert rows == [(2, "1", "2"), (5, "3", "4")]
    assert turned_away == []
    assert blank == 2


def test_a_cell_with_line_breaks_is_one_row(read):
    rows, turned_away, _ = read('a,b\n1,"two\nlines"\n3,4\n')
    assert rows == [(2, "1", "two\nlines"), (3, "3", "4")]
    assert turned_away == []


def test_a_quote_inside_an_unquoted_cell_is_text(read):
    rows, turned_away, _ = read('a,b\n1,5" pot\n')
    assert rows == [(2, "1", '5" pot')]
    assert turned_away == []


def test_doubled_quotes_mean_one(read):
    assert read('a,b\n1,"the ""hum"" one"\n')[0] == [(2, "1", 'the "hum" one')]


@pytest.mark.parametrize("tail", ["4,5\n6,7\n", '4,"5"\n6,7\n', '4,"5\n6"\n', '4,"5""6"\n6,7\n'])
def test_a_stray_quote_costs_its_own_line_only(read, tail):
    rows, turned_away, _ = read(f'a,b\n1,2\n3,"crackle\n{tail}')
    expected, _, _ = read(f"a,b\n{tail}")
    assert rows[0] == (2, "1", "2")
    assert [row[1:] for row in rows[1:]] == [row[1:] for row in expected]
    assert turned_away == [
        TurnedAway(
            "tickets.csv",
            3,
            "(whole row)",
            '3,"crackle',
            "A quote opens here and is not closed where the cell ends.",
            REMEDY,
        )
    ]
    assert rows[1][0] == 4


def test_two_broken_lines_that_close_each_other_lose_no_third_line(read):
    rows, turned_away, _ = read('a,b,c\n1,"crackle,2\n3,4,5\n6,7,hum"\n8,9,10\n')
    assert [row[0] for row in rows] == [3, 4, 5]
    assert rows[1] == (4, "6", "7", 'hum"')
    assert [str(one) for one in turned_away] == [
        f"""tickets.csv, row 2: found '1,"crackle,2'. The row has 2 fields and the headings are 3. {REMEDY}"""
    ]


def test_a_quote_open_for_more_than_200_lines_is_given_up(read):
    rows, turned_away, _ = read('a,b\n1,"open\n' + "2,3\n" * 400 + '4,"closed"\n')
    assert len(rows) == 401
    assert [(one.row, one.rule) for one in turned_away] == [
        (2, "A quote opens here and 200 lines later it is still open.")
    ]


def test_a_cell_of_200_lines_is_kept_and_one_of_201_is_not(read):
    assert len(read('a,b\n1,"' + "x\n" * 199 + '"\n')[0]) == 1
    rows, turned_away, _ = read('a,b\n1,"' + "x\n" * 200 + '"\n')
    assert rows == []
    assert turned_away[0].row == 2


@pytest.mark.parametrize(("line", "count"), [("1", "1 field"), ("1,2,3", "3 fields")])
def test_a_row_with_too_many_or_too_few_fields_is_turned_away(read, line, count):
    rows, turned_away, _ = read(f"a,b\n{line}\n3,4\n")
    assert rows == [(3, "3", "4")]
    assert [str(one) for one in turned_away] == [
        f"tickets.csv, row 2: found '{line}'. The row has {count} and the headings are 2. {REMEDY}"
    ]


def test_a_row_without_the_empty_cells_at_its_end_is_filled_up_but_not_the_last_of_a_file_cut_off(read):
    rows, turned_away, _ = read("a,b,c\n1,2\n3,4,5\n6,7\n")
    assert rows == [(2, "1", "2", ""), (3, "3", "4", "5"), (4, "6", "7", "")]
    assert turned_away == []
    rows, turned_away, _ = read("a,b,c\n1,2\n3,4")
    assert rows == [(2, "1", "2", "")]
    assert [one.row for one in turned_away] == [3]


def test_text_under_no_heading_turns_no_row_away(read):
    rows, turned_away, _ = read("a,b,\n1,2,\n3,4,x\n")
    assert rows == [(2, "1", "2", ""), (3, "3", "4", "x")]
    assert turned_away == []


def test_a_cell_longer_than_the_limit_is_turned_away(read):
    rows, turned_away, _ = read(f"a,b\n1,{'x' * 140_000}\n3,4\n")
    assert rows == [(3, "3", "4")]
    assert turned_away[0].rule == "A cell may hold at most 131,072 characters."
    assert len(turned_away[0].found) == 200


def test_a_byte_order_mark_and_windows_line_ends_are_tolerated(read):
    assert read(b"\xef\xbb\xbfa,b\r\n1,2\r\n")[0] == [(2, "1", "2")]


def test_the_delimiter_is_the_declared_one(read):
    assert read("a;b\n1,5;2\n", Dialect(delimiter=";"))[0] == [(2, "1,5", "2")]


def test_more_rows_than_a_batch_keep_their_numbers(read):
    rows, _, _ = read("a,b\n" + "1,2\n" * 50_001)
    assert [row[0] for row in rows] == list(range(2, 50_003))


def test_latin_1_is_named_with_line_and_byte(tmp_path):
    path = tmp_path / "tickets.csv"
    path.write_bytes("a,b\n1,prüfen\n".encode("latin-1"))
    assert encoding_fault(Sheet(path)) == (
        "tickets.csv, line 2: byte 9 of the file is 0xfc, which is not UTF-8 text. "
        'Save the file as UTF-8, or declare its encoding in mapping.toml, such as encoding = "latin-1".'
    )
    assert encoding_fault(Sheet(path, Dialect(encoding="latin-1"))) == ""


def test_the_byte_is_counted_from_the_start_of_a_file_with_a_byte_order_mark(tmp_path):
    path = tmp_path / "tickets.csv"
    path.write_bytes(b"\xef\xbb\xbfa\n\xfc\n")
    assert encoding_fault(Sheet(path)).startswith("tickets.csv, line 2: byte 6 of the file is 0xfc,")


def test_zero_bytes_are_no_text(tmp_path):
    path = tmp_path / "tickets.csv"
    path.write_bytes("a,b\n1,2\n".encode("utf-16-le"))
    assert encoding_fault(Sheet(path)) == (
        "tickets.csv holds zero bytes, so it is no plain text. "
        "Save it again as CSV in UTF-8, or declare its encoding in mapping.toml."
    )
    assert encoding_fault(Sheet(path, Dialect(encoding="utf-16-le"))) == ""


def test_a_cell_with_a_comma_and_a_blank_is_joined_where_the_row_then_fits(read):
    rows, turned_away, _ = read("a,b,c\n1,crackles, left bus, at times,3\n4,5, 6,7\n8, 9, 10\n1,2,x,3\n")
    assert rows[:2] == [(2, "1", "crackles, left bus, at times", "3"), (3, "4", "5, 6", "7")]
    assert rows[2][0] == 4 and len(rows) == 3  # as wide as the headings: nothing is joined
    assert [one.row for one in turned_away] == [5]


def test_a_row_without_its_last_cells_is_turned_away_where_a_comma_may_be_of_its_text(book, load):
    head = "raised_on,desk,position,symptom,outcome,closed_on,minutes_lost\n"
    rows = (
        "2026-01-05,Heron,7,dead,fault found\n"
        "2026-01-06,Heron,8,crackles, left side,fault found\n"
        "2026-01-07, Heron, 9, hum\n"
    )
    mapping = '[tickets]\nfile = "log.csv"\nnumber_rows = ["ticket"]\n'
    report, connection = load(book(desks=None, tickets=None, log=head + rows, mapping=mapping))
    told = connection.execute("select position, symptom, outcome from tickets order by source_row").fetchall()
    assert told == [("7", "dead", "fault found"), ("9", "hum", None)]
    assert [str(one).partition(":")[0] for one in report.turned_away] == ["log.csv, row 3"]
