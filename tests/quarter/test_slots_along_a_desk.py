"""Slots in their order along the desk, whichever way each is written, and those of one kind compared with each other."""

import pytest

from maintkit.quarter.quarter import Quarter
from maintkit.quarter.siblings import known_good
from tests.first_contact.as_drafted import loaded

SLOTS = ("12", "ch 3", "all chs", "grp 2", "7", "aux 2", "ch 10", "Groups 1", "7", "12", "ch 10", "3")
FAULTS = "Date,Desk,Channel,Fault,Work done\n" + "".join(
    f"{day}/{2 + at // 6}/2023,Curlew,{slot},hum,re-soldered\n"
    for at, (day, slot) in enumerate(zip((3, 7, 11, 15, 19, 23) * 2, SLOTS, strict=True))
)
LATER = "".join(
    f"{day}/6/2025,Curlew,{slot},dead,new relay\n" for day, slot in ((3, "12"), (9, "ch 10"), (12, "7"))
)


@pytest.fixture
def quarter(tmp_path):
    (tmp_path / "modules.csv").write_text("Serial,Desk,Slot\nM-012,Curlew,12\nM-007,Curlew,7\n", "utf-8")
    records, _ = loaded(tmp_path, "faults.csv", FAULTS + LATER)
    yield Quarter(records, "2025Q2")
    records.close()


def test_channels_go_by_their_number_and_what_is_beside_them_stands_behind(quarter):
    assert quarter.slots["position"].tolist() == [
        "3", "7", "ch 10", "12", "aux 2", "Groups 1", "grp 2", "all chs",
    ]  # fmt: skip


def test_a_channel_is_compared_with_a_channel_and_with_nothing_that_stands_for_all(quarter):
    assert known_good(quarter, "M-012") == "Curlew/3"
    assert (
        known_good(quarter, "Curlew/grp 2") == "Curlew/Groups 1"
        and known_good(quarter, "Curlew/aux 2") is None
    )
