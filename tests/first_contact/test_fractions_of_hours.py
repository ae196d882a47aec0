"""Fractions where a time should be: of an hour under a heading that says hours, and asked about as that under any other."""

import pytest

from tests.first_contact.as_drafted import drafted, rows

TIMES = ("½", "{}", "¾", "{}", "{}", "½", "{}", "{}", "{}", "¾", "{}", "{}", "{}", "{}")


def work(heading, whole):
    """A list of work, and under a heading how long it took."""
    lines = (
        f"{day}/3/2026,Wren,{day + 2},pot cleaned,{time.format(whole)}"
        for day, time in enumerate(TIMES, start=1)
    )
    return "\n".join([f"Done on,Desk,Ch,What I did,{heading}", *lines])


def test_under_hours_they_are_read_and_nothing_is_asked(tmp_path):
    (tmp_path / "work.csv").write_text(work("Hrs", 2), encoding="utf-8")
    assert "How long is that" not in drafted(tmp_path)
    query = "select bench_minutes, count(*) from repairs group by 1 order by 1"
    assert rows(tmp_path, query) == [(30, 2), (45, 2), (120, 10)]


@pytest.mark.parametrize(("text", "minutes"), [("½", 30), ("¾", 45)])
def test_under_another_heading_they_are_asked_about_as_parts_of_an_hour(tmp_path, text, minutes):
    (tmp_path / "work.csv").write_text(work("Time taken", 90), encoding="utf-8")
    assert f'# ? "{text}" = "{minutes} min"' in drafted(tmp_path)


@pytest.mark.parametrize("half", ["0,5", ",5", ".5", "0.5"])
def test_decimals_under_hours_are_hours_with_a_nought_before_them_or_none(tmp_path, half):
    lines = (f"{day}/3/2026;Wren;9;pot cleaned;{half if day % 2 else '1,5'}" for day in range(1, 29))
    text = "\n".join(["Done on;Desk;Ch;What I did;Hours", *lines])
    (tmp_path / "work.csv").write_text(text, encoding="utf-8")
    drafted(tmp_path)
    query = "select bench_minutes, count(*) from repairs group by 1 order by 1"
    assert rows(tmp_path, query) == [(30, 14), (90, 14)]
