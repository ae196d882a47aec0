"""One desk: what happened on it, what is to be expected, and its slots."""

import re
import shutil

import pytest

from maintkit import one_desk, open_quarter, work_next
from maintkit.records.errors import RecordsError
from tests.demo import truth


@pytest.fixture(scope="module")
def demo(demo_quarter):
    return demo_quarter


def test_its_slots_stand_in_the_order_of_the_work_list(demo):
    found = one_desk(demo, "Heron")
    assert set(found.table["desk"]) == {"Heron"}
    assert found.table["rank"].is_monotonic_increasing
    listed = work_next(demo).table
    assert (
        found.table["position"].head(3).tolist()
        == listed.loc[listed["desk"] == "Heron", "position"].head(3).tolist()
    )
    assert found.title.endswith(f"work first on {', '.join(found.table['position'].head(3))}.")


def test_what_it_says_to_expect_is_the_sum_over_its_slots(demo):
    found = one_desk(demo, "curlew")
    said = float(
        re.search(r"In 2026Q4 ([\d.]+) are to be expected \((\d+) to (\d+) may come\)", found.title)[1]
    )
    assert said == pytest.approx(found.table["expected_faults"].sum(), abs=0.05)


def demo_without_dunlin(folder):
    """The demo's records in a folder, Dunlin out of service since the middle of 2021."""
    shutil.copytree(truth.DATA_DEMO, folder, ignore=shutil.ignore_patterns("make", "*.xlsx"))
    desks = (folder / "desks.csv").read_text(encoding="utf-8").splitlines()
    added = {"desk": "retired_on", "Dunlin": "2021-06-30"}
    desks = [f"{row},{added.get(row.split(',')[0], '')}" for row in desks]
    (folder / "desks.csv").write_text("\n".join(desks) + "\n", encoding="utf-8")
    return folder


def test_a_desk_out_of_service_has_its_past_and_nothing_to_forecast(tmp_path):
    folder = demo_without_dunlin(tmp_path / "demo")
    found = one_desk(open_quarter(folder, "2026Q3"), "Dunlin")
    assert re.fullmatch(
        r"Dunlin: out of service since 2021-06-30; \d+ faults on record up to 2026-09-30, and nothing to forecast\.",
        found.title,
    )
    assert found.table is None
    assert " are to be expected" in one_desk(open_quarter(folder, "2020Q1"), "Dunlin").title


def test_too_few_faults_are_said(opened, least):
    found = one_desk(opened(**least), "Curlew")
    assert found.title == (
        "Curlew: 1 fault in 2024Q3 (90 % limits 0.1 to 4.7), 0 in the quarter before; 30 session minutes lost. "
        "2 faults of known modules on record: it takes 5 to say what is to be expected."
    )


def test_a_desk_with_no_slot_on_record_is_said(opened, least):
    extra = {
        **least,
        "desks": [
            *least["desks"],
            {"desk": "Tern", "family": "shoal", "coupling": "dc", "records_from": "2024-01-01"},
        ],
    }
    assert one_desk(opened(**extra), "Tern").title == (
        "Tern: no slot of it is on record; 0 faults on record up to 2024-09-30, and nothing to forecast."
    )


def test_a_desk_that_is_not_there_is_a_sentence(opened, least):
    with pytest.raises(
        RecordsError,
        match=r"^Desk: found 'Herron'\. No desk of that name is on record\. Choose one of: Heron, Curlew\.$",
    ):
        one_desk(opened(**least), "Herron")
