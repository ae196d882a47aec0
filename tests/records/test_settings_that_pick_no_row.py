"""A setting of mapping.toml that picks rows and lets none in is told of by the load, the check and the review."""

import pytest

from maintkit.quarter.quarter import Quarter
from maintkit.questions.mending import what_to_mend
from maintkit.questions.soundness import sound_records
from maintkit.records.store import open_records
from maintkit.report.templates import plain_text, told

WORK = """repair,done_on,serial,desk,position,action,remark
1,2026-01-03,K101,Heron,3,clean,K102 fitted in its place
2,2026-01-09,K107,Heron,7,replace,
3,2026-01-12,K109,Heron,9,replace,K111 fitted in its place
"""
MAPPING = """[repairs]
file = "work.csv"
[fitments]
file = "work.csv"
{}
[fitments.columns]
done_on = "fitted_on"
"""
SETTINGS = {
    'rows_where = {{ remark = ["{}"] }}': ("fitted", "k# fitted in its place"),
    'moves = {{ remark = "{}" }}': ("serial", ""),
}


def opened(folder, setting):
    (folder / "work.csv").write_text(WORK, encoding="utf-8")
    (folder / "mapping.toml").write_text(MAPPING.format(setting), encoding="utf-8")
    return open_records(folder)


@pytest.mark.parametrize("setting", SETTINGS)
def test_it_is_told_by_the_load_the_check_and_the_review(tmp_path, setting):
    wrong, right = SETTINGS[setting]
    records = opened(tmp_path, setting.format(wrong))
    name = f"work.csv (fitments, {setting.split()[0]})"
    assert records.fed_nothing == (name,) and f"By this setting no row is read: {name}." in str(
        records.report
    )
    quarter = Quarter(records, "2026Q1")
    for question, facts in (("what_to_mend", what_to_mend), ("sound_records", sound_records)):
        assert f"No row is read of {name}" in plain_text(told(question, facts(quarter))["title"])
    records.close()
    if right:
        assert opened(tmp_path, setting.format(right)).fed_nothing == ()
