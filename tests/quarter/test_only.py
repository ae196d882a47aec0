"""A part of the records alone: what is looked at, what is left out, and what cannot be asked."""

import pytest

from maintkit import what_happened, work_next
from maintkit.errors import MaintkitError


@pytest.fixture(scope="module")
def now(demo_quarter):
    return demo_quarter


def test_one_desk_has_the_faults_it_has_among_all(now):
    whole = what_happened(now).table.set_index("desk")["faults"]
    found = what_happened(now.only(desk="heron"))
    assert found.table["desk"].tolist() == ["Heron"]
    assert found.table["faults"].tolist() == [whole["Heron"]]
    assert found.caveats[0].startswith("Only desk Heron: ")
    assert found.caveats[0].endswith("the rest is left out.")


def test_a_stretch_of_slots_leaves_the_others_out(now):
    part = now.only(desk="Heron", positions="1-4, 9")
    assert set(part.slots["position"]) == {"1", "2", "3", "4", "9"}
    assert set(part.evidence.faults["position"].dropna()) <= {"1", "2", "3", "4", "9"}


def test_the_whole_is_as_it_was_after_a_part_was_asked(now):
    before = now.records.connection.execute("select count(*) from tickets").fetchone()
    assert len(now.only(desk="Heron").evidence.faults) < before[0]
    assert now.records.connection.execute("select count(*) from tickets").fetchone() == before


def test_a_query_of_ones_own_may_follow_a_part(now):
    now.only(desk="Heron")
    counted = now.records.connection.sql("select count(*) as tickets from tickets").df()
    assert counted["tickets"].tolist() == [len(now.table("tickets"))]


def test_days_move_the_time_at_risk_too(now):
    whole, part = now.evidence.stays, now.only(since="2020-01-01", until="2021-12-31").evidence
    assert part.stays["exposure_hours"].sum() < whole["exposure_hours"].sum() / 4
    assert part.faults.loc[part.faults["counts"].astype(bool), "happened_on"].dt.year.isin([2020, 2021]).all()


def test_a_kind_of_part_looks_at_the_work_on_it_alone(now):
    part = now.only(kind="switch")
    kinds = part.evidence.faults.loc[part.evidence.faults["kind"].notna(), "kind"]
    assert len(kinds) and set(kinds) == {"switch"}


def test_a_complaint_by_its_words(now):
    part = now.only(symptom="CRACKLE")
    assert part.left_out.tickets > 0
    assert part.evidence.faults["symptom"].dropna().str.lower().str.contains("crackle").all()


def test_the_list_of_slots_can_be_narrowed(now):
    found = work_next(now.only(desk="Curlew"))
    assert set(found.table["desk"]) == {"Curlew"}


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"desk": "Herron"}, r"^Desk: found 'Herron'\..*Heron"),
        (
            {"desk": "Heron", "positions": "99-120"},
            r"^Slots: found '99-120'\. No slot lies in that stretch\. Nearest: ",
        ),
        ({"module_type": "monitr"}, r"^Module type: found 'monitr'\..*monitor"),
        ({"part": "flux capacitor"}, r"^Part: found 'flux capacitor'\."),
        ({"kind": "swich"}, r"^Kind of part: found 'swich'\..*switch"),
        ({"symptom": "plays the wrong song"}, r"^Symptom: found 'plays the wrong song'\. No ticket has it"),
        ({"since": "31.12.2024"}, r"^since: found '31.12.2024'\. A day reads YYYY-MM-DD"),
        ({"bay": 3}, r"^Filter: found 'bay'\. There are: desk, positions"),
    ],
)
def test_what_cannot_be_asked_gets_a_sentence(now, asked, said):
    with pytest.raises(MaintkitError, match=said):
        now.only(**asked)
