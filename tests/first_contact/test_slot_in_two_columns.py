"""A slot that stands in two columns, a section and its number, and sums of each month between the entries."""

from maintkit.records.store import open_records

from .as_drafted import drafted, rows

COMPLAINTS = ("no output", "crackles", "fader stuck", "hum", "LED out", "distorts", "mute sticks", "dead")


def a_log(heads=("Pos", "Mod"), gap="Left"):
    """Forty entries of sections and numbers, every tenth section left blank beside its number, with a sum below each ten."""
    sections, lines = (
        ("Left", "Right", "Back"),
        [f"Day,{heads[0]},{heads[1]},Complaint,What was done,Minutes"],
    )
    for at in range(40):
        section = gap if at % 10 == 4 else sections[(at - (at % 10 > 4)) % 3]
        day = f"{1 + at % 10 * 2}/{3 + at // 10}/2019"
        lines.append(f"{day},{section},{1 + at % 7},{COMPLAINTS[at % 8]},cleaned fader,{10 + at % 4 * 5}")
        if at % 10 == 9:
            lines += [f"19/{3 + at // 10}/2019,Outside,,dead,new lamp,5"]
            lines += [f"{('March', 'April', 'May', 'June')[at // 10]} 2019 total,,,,,175"]
    return "\n".join(lines)


def test_a_section_and_its_number_are_one_slot(tmp_path):
    (tmp_path / "log.csv").write_text(a_log())
    draft = drafted(tmp_path)
    assert draft.count('together = ["Pos", "Mod"]   # the slot is both') == 2  # as reports, and as work
    slots = rows(tmp_path, "select position, count(*) from tickets group by 1", left_out=4)
    assert dict(slots)["Outside"] == 4
    assert {len(name.split()) for name, _ in slots if name != "Outside"} == {2}
    assert sum(many for _, many in slots) == 44


def test_a_number_below_its_section_is_of_that_one_and_a_blank_row_of_none(tmp_path):
    (tmp_path / "log.csv").write_text(a_log(gap="").replace("Outside", ""))
    draft = drafted(tmp_path)
    assert '"Pos"]   # written once' in draft
    records = open_records(tmp_path)
    query = "select position, count(*) from tickets where source_row in (6, 12, 18) group by 1 order by 1"
    assert records.connection.sql(query).fetchall() == [("Left 5", 1), ("Right 1", 1), (None, 1)]
    records.close()


def test_a_section_that_may_be_a_desk_is_asked_about(tmp_path):
    (tmp_path / "log.csv").write_text(a_log(heads=("Bay", "Ch")))
    draft = drafted(tmp_path)
    assert '# ? together = ["Bay", "Ch"]' in draft
    (tmp_path / "mapping.toml").write_text(draft.replace("# ? together", "together"))
    slots = rows(tmp_path, "select distinct position from tickets where position like '%3'", left_out=4)
    assert sorted(slots) == [("Back 3",), ("Left 3",)]


def test_names_beside_a_number_are_no_sections(tmp_path):
    (tmp_path / "log.csv").write_text(a_log(heads=("By", "Ch")))
    assert "together" not in drafted(tmp_path)


def test_sums_of_months_are_left_out_and_days_are_not_theirs(tmp_path):
    lines = a_log().splitlines()
    first = next(at for at, line in enumerate(lines) if "total" in line)
    lines[first - 1] = lines[first - 1].replace("19/3/2019", "")  # blank: the same day as above
    lines[first + 2] = lines[first + 2].replace(lines[first + 2].split(",")[0], "", 1)
    lines[first + 3] = lines[first + 3].replace(lines[first + 3].split(",")[0], "", 1)
    (tmp_path / "log.csv").write_text("\n".join(lines))
    drafted(tmp_path)
    records = open_records(tmp_path)
    assert records.report.turned_away == ()
    assert [one.left_out for one in records.report.files] == [4, 0]
    records.close()


def test_what_has_no_number_beside_sections_may_be_other_gear(tmp_path):
    (tmp_path / "log.csv").write_text(a_log())
    draft = drafted(tmp_path)
    assert draft.count('# ? leave_out."Pos" = ["Outside"]') == 2
