"""Books made up or damaged at random go through every command; no reader of what comes out meets a traceback or a number that is none."""

import pytest

from tests.faults.any_book import run, untold


@pytest.mark.parametrize("seed", (2, 15, 45, 48, 50))
def test_a_book_goes_through_every_command(tmp_path, seed):
    assert run(seed, tmp_path) == []


@pytest.mark.slow
@pytest.mark.parametrize("start", range(100, 1100, 50))
def test_a_thousand_books_go_through_every_command(tmp_path, start):
    assert [one for seed in range(start, start + 50) for one in run(seed, tmp_path)] == []


@pytest.mark.parametrize(
    "text",
    (
        "0 (-88454 to 3)",
        "ranked 1 (nan)",
        "see None.",
        "about 5.06×10⁻⁶",
        "most 1.66e+03",
        "1 faults",
        "-0 min",
        "{{ f.n }}",
    ),
)
def test_the_reader_finds_what_nobody_should_read(text):
    assert untold(text)


@pytest.mark.parametrize("text", ("None of the 3", "1 fault, 11 faults", "0.1 (0.0 to 2)", "A-1 modules"))
def test_the_reader_lets_plain_words_pass(text):
    assert untold(text) == []
