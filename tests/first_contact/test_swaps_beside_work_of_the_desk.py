"""A list of swaps alone beside a log whose work names no slot now and then: reports stay in their slots."""

import pytest

from maintkit import open_quarter

TICKETS = "ticket,raised_on,desk,position,symptom\nT1,2025-01-10,Heron,4,hums\nT2,2025-02-10,Heron,7,crackles\nT3,2025-03-10,Heron,9,dead\n"
WORK = """repair,done_on,desk,position,action,part_type,where
R1,2025-01-12,Heron,4,replace,47u,
R2,2025-02-12,Heron,(whole desk),replace,lamp,
R3,2025-03-01,Heron,1-8,other work,,rail
"""
SWAPS = "serial,desk,position,fitted_on\nH-07,Heron,12,2025-02-01\nH-09,Heron,14,2025-03-01\n"


@pytest.mark.parametrize("swaps", [SWAPS, ""], ids=["swaps", "none"])
def test_work_of_the_whole_desk_or_a_rail_takes_no_report_from_its_slot(tmp_path, swaps):
    for name, text in {"tickets": TICKETS, "repairs": WORK, "fitments": swaps}.items():
        if text:
            (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
    (tmp_path / "mapping.toml").write_text("", encoding="utf-8")
    quarter = open_quarter(tmp_path, "2025Q1")
    faults = quarter.evidence.faults.query("as_report or event_id.str.startswith('T')")
    assert faults[["event_id", "position"]].values.tolist() == [["T1", "4"], ["T2", "7"], ["T3", "9"]]
    assert not {"(whole desk)", "1-8"} & {*quarter.evidence.stays["position"]}
