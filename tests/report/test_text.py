from maintkit.report.text import figure_text, html_text, visible, words, wrapped


def test_plain_text_stays_as_it_is():
    assert visible("Kanal 17 – Knistern, +4 dB") == "Kanal 17 – Knistern, +4 dB"


def test_characters_that_reorder_or_hide_are_written_out():
    assert visible("LM\u202e71\u202c") == "LM[U+202E]71[U+202C]"
    assert visible("a\u200bb\ufeff\x00\x1b") == "a[U+200B]b[U+FEFF][U+0000][U+001B]"


def test_line_ends_and_tabs_become_one_space():
    assert visible("crackle\r\n\tleft") == "crackle left"


def test_letters_written_right_to_left_stay():
    assert visible("קול") == "קול"


def test_markup_is_text_on_a_page_and_in_an_attribute():
    assert html_text('"><script>') == "&quot;&gt;&lt;script&gt;"


def test_markup_is_text_in_a_figure():
    assert figure_text("<a href='x'>&amp;") == "&lt;a href='x'&gt;&amp;amp;"


def test_wrapping_counts_the_characters_seen_not_their_escapes():
    assert wrapped("<<<< >>>>", width=4) == ["&lt;&lt;&lt;&lt;", "&gt;&gt;&gt;&gt;"]


def test_wrapping_nothing_gives_one_empty_line():
    assert wrapped("", width=10) == [""]


def test_a_name_reads_as_words():
    assert words("module_type") == "module type"
