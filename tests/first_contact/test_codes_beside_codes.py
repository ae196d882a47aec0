"""Two lists of codes side by side, each with the numbers of its rows; a 0 that is no number of anything."""

from tests.first_contact.as_drafted import drafted, rows

CODES = """\
,BUS CODE,MEANING,,,TRAM CODE,MEANING
1,BD,Door does not shut,,1,TB,Brake drags
2,BH,Heater cold,,2,TD,Door does not open
3,BW,Window cracked,,3,TP,Pantograph down
4,BZ,Horn silent,,,,
"""
SAID = ("BD", "TB", "BH", "TD", "BW", "TP", "BZ", "TB")


def test_both_lists_are_codes_of_one_column_and_0_is_no_slot(tmp_path):
    (tmp_path / "codes.csv").write_text(CODES, encoding="utf-8")
    lines = [f"2024-02-{at + 1:02},{SAID[at]},{(4107, 0, 4112)[at % 3]}" for at in range(8)]
    (tmp_path / "log.csv").write_text("\n".join(["Date,Code,Vehicle", *lines]), encoding="utf-8")
    draft = drafted(tmp_path)
    assert '"0" = ""' in draft and "# which one is not said, in 3 of 8 cells" in draft
    found = rows(tmp_path, "select symptom, position from tickets order by raised_on")
    assert found[:3] == [("Door does not shut", "4107"), ("Brake drags", None), ("Heater cold", "4112")]
    assert found[5] == ("Pantograph down", "4112")


def test_0_among_short_numbers_is_a_slot(tmp_path):
    lines = [f"2024-02-{at + 1:02},Heron,{at % 4},crackles" for at in range(9)]
    (tmp_path / "log.csv").write_text("\n".join(["Date,Desk,Channel,Fault", *lines]), encoding="utf-8")
    drafted(tmp_path)
    assert rows(tmp_path, "select count(*) from tickets where position = '0'") == [(3,)]
