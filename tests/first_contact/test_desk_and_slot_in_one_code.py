"""Lists in which one code names desk and slot, as inventories give them, alone or among codes of other gear."""

import pytest

from tests.first_contact.as_drafted import drafted, rows

FAULTS = ("crackles", "no signal", "dead", "hums", "distorted")
# day, desk, slot; the slots of the first desk are those of the second as well
JOBS = [(day, 1 + day % 3, (5, 9, 12, 5, 31, 2, 18)[day % 7]) for day in range(1, 29)]


def write(folder, heading, tag, others=()):
    """A list of jobs whose tag is made of desk and slot, some with ``others``."""
    lines = [f"Date;{heading};Fault"]
    lines += [f"2024-03-{day:02};{tag(desk, slot)};{FAULTS[day % 5]}" for day, desk, slot in JOBS]
    lines += [f"2024-04-{day:02};{other};dead" for day, other in enumerate(others, 1)]
    (folder / "jobs.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")


SLOTS = "select desk, count(*), count(distinct position) from tickets group by all order by 1"


def expected(name):
    own = {desk: [slot for _, one, slot in JOBS if one == desk] for desk in (1, 2, 3)}
    return [(name(desk), len(slots), len({*slots})) for desk, slots in own.items()]


@pytest.mark.parametrize("heading", ["Asset tag", "Equipment", "Desk", "Location", "Slot", "Tag", "Code"])
def test_the_desk_is_the_part_with_few_values_whatever_stands_above(tmp_path, heading):
    write(tmp_path, heading, lambda desk, slot: f"QL-{desk:02}-S{slot:03}")
    drafted(tmp_path)
    assert rows(tmp_path, SLOTS) == expected(lambda desk: f"QL-{desk:02}")


@pytest.mark.parametrize(
    "tag",
    ["QL{0}.S{1}", "{0}/S{1}", "QL {0} {1:02}", "R{0}_{1}", "QL-{0}-{1:03}", "{0}S{1}", "AB-QL{0}-S{1}"],
)
def test_any_mark_or_none_stands_between_them_with_or_without_letters_before(tmp_path, tag):
    write(tmp_path, "Asset", tag.format)
    drafted(tmp_path)
    assert [one[1:] for one in rows(tmp_path, SLOTS)] == [one[1:] for one in expected(str)]


def test_other_spellings_are_the_same_desk_and_a_tag_of_the_desk_alone_has_no_slot(tmp_path):
    def tag(desk, slot):
        return {5: f"ql{desk}-s{slot}", 12: f"QL-{desk:02}"}.get(slot, f"QL-{desk:02}-S{slot:03}")

    write(tmp_path, "Asset tag", tag)
    drafted(tmp_path)
    per_desk = "select desk, count(*), count(position) from tickets group by all order by 1"
    told = {desk: [slot for _, one, slot in JOBS if one == desk] for desk in (1, 2, 3)}
    assert rows(tmp_path, per_desk) == [
        (f"QL-{desk:02}", len(slots), len(slots) - slots.count(12)) for desk, slots in told.items()
    ]


def test_codes_that_begin_otherwise_are_of_other_gear_and_left_out_with_their_count(tmp_path):
    others = [f"{name}-{at:03}" for name in ("MIC", "FAN", "LGT") for at in range(1, 9)]
    write(tmp_path, "Asset tag", lambda desk, slot: f"QL-{desk:02}-S{slot:03}", others)
    assert 'one cell; 24 of 52 name neither, such as "MIC-001"' in drafted(tmp_path)
    assert rows(tmp_path, SLOTS, left_out=24) == expected(lambda desk: f"QL-{desk:02}")


@pytest.mark.parametrize(
    ("heading", "tag"),
    [
        ("Serial", "EQ{0}-{1:03}"),
        ("Ref", "IC{0}-C{1}"),
        ("Order no", "W{0}-{1:03}"),
        ("Position", "K{0}-C{1}"),
        ("Ticket", "F{0}-{1:03}"),
    ],
)
def test_numbers_of_modules_of_orders_and_of_parts_of_a_board_are_none(tmp_path, heading, tag):
    write(tmp_path, heading, tag.format)
    assert "desk and slot stand in one cell" not in drafted(tmp_path)


def test_a_list_of_what_each_code_is_lists_no_modules(tmp_path):
    write(tmp_path, "Asset tag", lambda desk, slot: f"QL-{desk:02}-S{slot:03}")
    lines = ["Tag,Kind,What,Where"]
    for desk in (1, 2, 3):
        lines.append(f"QL-{desk:02},Mixing desks,Desk {desk},Room {desk}")
        lines += [
            f"QL-{desk:02}-S{slot:03},Mixing desks,Desk {desk} strip {slot},Room {desk}"
            for slot in range(1, 33)
        ]
    (tmp_path / "tags.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    assert "[modules]" not in drafted(tmp_path)
    assert rows(tmp_path, SLOTS) == expected(lambda desk: f"QL-{desk:02}")


def test_stays_of_modules_are_placed_by_such_codes_though_a_column_is_called_module(tmp_path):
    stays = [
        (f"EM-0{number}", f"S{number}77", f"QL-0{1 + number % 3}-S{number:03}") for number in range(101, 125)
    ]
    stays += [("EM-0101", "S10177", "cupboard B"), ("EM-0109", "S10977", "lent out")]
    lines = ["Module tag,Serial,Location,Moved on"]
    lines += [f"{','.join(one)},2024-02-{at:02}" for at, one in enumerate(stays, 1)]
    (tmp_path / "moves.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    drafted(tmp_path)
    query = "select desk, count(*), count(distinct position) from fitments group by all order by 1"
    assert rows(tmp_path, query, left_out=4) == [("QL-01", 8, 8), ("QL-02", 8, 8), ("QL-03", 8, 8)]
