import re

import pandas as pd

from maintkit.report.html_tables import html_table, notebook_html, sentences_html, table_columns
from maintkit.survival.results import Estimate


def headings(table: str) -> list[str]:
    return re.findall(r'<th scope="col"[^>]*>(.*?)</th>', table)


def cells(table: str) -> list[str]:
    return [
        re.sub(r"</?(?:span|div)[^>]*>", "", cell)
        for cell in re.findall(r"<(?:td|th scope=\"row\")[^>]*>(.*?)</t[dh]>", table)
    ]


def test_limits_join_the_column_before_them():
    frame = pd.DataFrame({"desk": ["Heron"], "ratio": [1.8], "low": [1.2], "high": [2.7]})
    table = html_table(frame, caption="c")
    assert headings(table) == ["desk", "ratio, 90 % limits"]
    assert cells(table) == ["Heron", "1.8 (1.2 to 2.7)"]


def test_named_limits_join_their_own_column():
    frame = pd.DataFrame({"shape": [3.0], "scale": [2.0], "shape_low": [2.0], "shape_high": [None]})
    table = html_table(frame, caption="c")
    assert headings(table) == ["shape, 90 % limits", "scale"]
    assert cells(table) == ["3 (at least 2)", "2"]


def test_limits_without_a_column_before_them_stand_alone():
    frame = pd.DataFrame({"low": [1.2], "high": [2.7], "n": [3]})
    assert headings(html_table(frame, caption="c")) == ["low", "high", "n"]


def test_how_a_column_is_shown_stands_in_its_kind():
    frame = pd.DataFrame(
        {
            "exposure_hours": [8766.0 * 1204.2],
            "share_left": [0.8207],
            "ratio": [2.634],
            "p": [0.0456],
            "minutes_lost": [17.34],
            "powered_years": [12.345],
        }
    )
    table = html_table(frame, caption="c")
    assert headings(table) == [
        "exposure (powered years)",
        "share left (%)",
        "ratio",
        "p",
        "minutes lost",
        "powered years",
    ]
    assert cells(table) == ["1,204", "82", "2.6", "0.046", "17", "12.3"]


def test_a_share_and_its_limits_are_all_per_cent():
    frame = pd.DataFrame({"share": [0.692], "low": [0.61], "high": [None]})
    assert table_columns(frame)[0][2] == ["69 (at least 61)"]


def test_a_column_that_is_none_of_the_kits_is_shown_as_what_its_values_are():
    frame = pd.DataFrame({"my_p": [1e-5], "when": [pd.Timestamp("2026-01-02")], "who": ["me"]})
    assert [(title, kind.name, cells) for title, kind, cells in table_columns(frame)] == [
        ("my p", "number", ["under 0.001"]),
        ("when", "day", ["2026-01-02"]),
        ("who", "text", ["me"]),
    ]


def test_numbers_stand_to_the_right_dates_and_short_words_stay_whole_and_long_text_gets_room():
    frame = pd.DataFrame(
        {
            "desk": ["Heron"],
            "faults": [3],
            "done_on": [pd.Timestamp("2026-01-02")],
            "reason": ["word " * 10],
            "code": ["x" * 30],
        }
    )
    table = html_table(frame, caption="c")
    assert '<th scope="col" class="number">faults</th>' in table
    assert '<td class="date">2026-01-02</td>' in table
    assert '<td class="long">' in table
    assert '<td class="unbroken">' in table
    assert '<th scope="row" class="short">Heron</th>' in table


def test_limits_stay_on_one_line_after_their_estimate():
    frame = pd.DataFrame(
        {"desk": ["Heron"], "rate": [1.8], "low": [1.2], "high": [2.7], "said": ["a (b to c)"]}
    )
    table = html_table(frame, caption="c")
    assert '<td class="number">1.8 <span class="limits">(1.2 to 2.7)</span></td>' in table
    assert ">a (b to c)</td>" in table


def test_text_too_long_for_a_column_is_told_below_its_row():
    frame = pd.DataFrame({"desk": ["Heron", "Curlew"], "rank": [1, 2], "reason": ["why " * 20, None]})
    table = html_table(frame, caption="c")
    assert headings(table) == ["desk", "rank"]
    assert table.count('<tr class="told"><td colspan="2">') == 1
    assert cells(table) == ["Heron", "1", "why " * 20, "Curlew", "2"]


def test_several_such_texts_are_told_with_their_names():
    frame = pd.DataFrame({"desk": ["Heron"], "touches": ["lives " * 15], "remedy": ["mend " * 15]})
    told = re.search(r'<tr class="told">(.*?)</tr>', html_table(frame, caption="c")).group(1)
    assert (
        '<span class="name">touches:</span> lives' in told
        and '<span class="name">remedy:</span> mend' in told
    )


def test_the_heading_of_a_row_is_never_told_below():
    frame = pd.DataFrame({"what": ["word " * 30], "n": [1]})
    assert headings(html_table(frame, caption="c")) == ["what", "n"]


def test_a_very_small_p_is_below_a_thousandth():
    frame = pd.DataFrame(
        {"p": [2.2e-11, 0.0456, None], "p_adjusted": [0.0009, 1.0, 0.5], "shape": [1e-6, 1.0, 2.0]}
    )
    shown = [column[2] for column in table_columns(frame)]
    assert shown == [["< 0.001", "0.046", "–"], ["< 0.001", "1", "0.5"], ["under 0.001", "1", "2"]]


def test_on_paper_fewer_rows_are_shown_and_the_caption_says_where_all_are():
    table = html_table(
        pd.DataFrame({"n": range(50)}), caption="Slots", max_rows=40, paper_rows=2, pointer="all in slots.csv"
    )
    assert (
        '<span class="screen">Slots (the first 40 of 50 rows; all in slots.csv)</span>'
        '<span class="paper">Slots (the first 2 of 50 rows; all in slots.csv)</span>'
    ) in table
    assert table.count('<tbody class="screen">') == 38 and table.count("<tbody>") == 2
    whole = html_table(
        pd.DataFrame({"n": [1, 2]}), caption="Slots", max_rows=40, paper_rows=2, pointer="all in slots.csv"
    )
    assert "<caption>Slots</caption>" in whole


def test_hostile_text_is_shown_as_text():
    frame = pd.DataFrame(
        {"<b>name</b>": ["<script>alert(1)</script>", "LM\u202e71"], "said": ["=cmd()", "קול"]}
    )
    table = html_table(frame, caption="<i>")
    assert "<script" not in table and "<b>" not in table and "<i>" not in table and "\u202e" not in table
    assert cells(table) == ["&lt;script&gt;alert(1)&lt;/script&gt;", "=cmd()", "LM[U+202E]71", "קול"]


def test_rows_left_out_are_counted_in_the_caption():
    table = html_table(pd.DataFrame({"n": range(1500)}), caption="Slots", max_rows=2)
    assert "<caption>Slots (the first 2 of 1,500 rows)</caption>" in table
    assert cells(table) == ["0", "1"]
    assert "<caption>Slots</caption>" in html_table(pd.DataFrame({"n": [1, 2]}), caption="Slots", max_rows=2)


def test_a_table_without_rows_says_so():
    assert '<td colspan="2">no rows</td>' in html_table(pd.DataFrame({"a": [], "b": []}), caption="c")


def test_estimates_in_cells_are_numbers():
    frame = pd.DataFrame({"b10": [Estimate(1.8, 1.2, 2.7, 0.90, 9, 1.0), None]})
    assert table_columns(frame)[0][2] == ["1.8 (1.2 to 2.7)", "–"]


def test_the_frame_is_not_changed():
    frame = pd.DataFrame({"ratio": [1.8], "low": [1.2], "high": [2.7]})
    before = frame.copy()
    html_table(frame, caption="c")
    pd.testing.assert_frame_equal(frame, before)


def test_many_columns_are_marked_for_small_print():
    few, many = (pd.DataFrame({f"c{number}": [1] for number in range(count)}) for count in (9, 10))
    assert '<table class="wide">' in html_table(many, caption="c")
    assert '<table class="wide">' not in html_table(few, caption="c")


def test_years_and_row_numbers_are_names_and_have_no_thousands_mark():
    frame = pd.DataFrame({"row": [1209], "year": [2014], "entries": [1209]})
    assert cells(html_table(frame, caption="c")) == ["1209", "2014", "1,209"]


def test_a_chance_below_a_thousandth_is_said_to_be_no_more():
    frame = pd.DataFrame(
        {"part": ["fader", "chip"], "runs_out": [2.2e-11, 0.124], "chance_in_top": [0.92, 0.0]}
    )
    assert cells(html_table(frame, caption="c")) == [
        "fader",
        "&lt; 0.001",
        "0.92",
        "chip",
        "0.12",
        "&lt; 0.001",
    ]


def test_what_is_told_below_a_row_is_one_sentence_after_another_each_with_its_name_and_blanks_are_left_out():
    frame = pd.DataFrame({"n": [1, 2], "example": ["a" * 80, ""], "remedy": ["b" * 80 + ".", "c" * 80]})
    table = html_table(frame, caption="c")
    assert (
        f'<span class="name">example:</span> {"a" * 80}. <span class="name">remedy:</span> {"b" * 80}.</div>'
        in table
    )
    assert table.count('<span class="name">example:') == 1


def test_a_notebook_is_told_to_set_words_left_and_numbers_right():
    html = notebook_html(html_table(pd.DataFrame({"desk": ["Heron"], "faults": [3]}), caption="c"))
    assert html.startswith('<div class="maintkit"><style>') and html.endswith("</table>\n</div>")
    assert "td { text-align: left !important;" in html and ".number { text-align: right !important; }" in html


def test_sentences_are_a_list_and_nothing_in_them_acts():
    html = sentences_html(["One.", "<script>1</script>"])
    assert "<li>One.</li><li>&lt;script&gt;1&lt;/script&gt;</li>" in html
