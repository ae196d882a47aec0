"""The page of the record book is the one that its tables write."""

from maintkit.records.dictionary import PAGE, dictionary_page


def test_the_page_is_as_the_tables_write_it():
    assert PAGE.read_text(encoding="utf-8") == dictionary_page()
